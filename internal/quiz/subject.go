package quiz

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

const degree = math.Pi / 180

// Grow grows the tooth of a picture item and finds its canal.
func (s *Subject) Grow() (tooth *anatomy.Tooth, canal int, err error) {
	if s == nil {
		return nil, 0, fmt.Errorf("the item names no tooth")
	}
	tooth, err = anatomy.Grow(anatomy.Spec{Kind: s.Kind}, s.Seed)
	if err != nil {
		return nil, 0, fmt.Errorf("grow %s from %d: %w", s.Kind, s.Seed, err)
	}
	canal, err = canalNamed(tooth, s.Canal)
	return tooth, canal, err
}

// canalNamed returns the index of a canal, which "" leaves to the first.
func canalNamed(tooth *anatomy.Tooth, name string) (int, error) {
	var names []string
	for i, c := range tooth.Canals {
		if c.Name == name || name == "" {
			return i, nil
		}
		names = append(names, c.Name)
	}
	return 0, fmt.Errorf("this tooth has no canal %q; it has %s", name, strings.Join(names, ", "))
}

// Landmarks returns the words for the places that can be asked for on a picture.
func Landmarks() []string {
	return []string{"orifice", "constriction", "foramen", "apex", "bend", "ledge", "danger-zone", "furcation", "roof", "floor"}
}

// Landmark returns a place of a tooth in the clinical plane, mm, and whether the tooth has it:
//
//	orifice, constriction, foramen, bend   on the canal's axis; bend is the middle of its main bend
//	apex                                   the radiographic apex of the canal's root
//	ledge                                  where the coronal canal, drawn on as a straight line, meets
//	                                       the outer wall of the bend: what a straight stiff tip runs into
//	danger-zone                            the thinnest dentine towards the furcation, in its middle
//	furcation, roof, floor                 of the tooth
//
// An unknown word is a place that no tooth has. Checked by TestLandmarks.
func Landmark(tooth *anatomy.Tooth, canal int, name string) (geom.Point, bool) {
	c := &tooth.Canals[canal]
	last := len(c.Axis) - 1
	switch name {
	case "orifice":
		return c.Axis[0].Point, true
	case "foramen":
		return c.Axis[last].Point, true
	case "constriction":
		return c.Axis[stationAt(c, c.Length-c.Constriction.Level)].Point, true
	case "apex":
		return tooth.Roots[c.Root].Apex, true
	case "bend":
		bend := anatomy.Measure(tooth, canal).Pruett
		return c.Axis[(bend.Begin+bend.End)/2].Point, bend.Angle > 5*degree
	case "ledge":
		return ledge(tooth, canal)
	case "danger-zone":
		return dangerZone(tooth, canal)
	case "furcation":
		return tooth.Furcation, tooth.Furcated
	case "roof":
		return geom.Point{Y: tooth.Chamber.Roof}, tooth.Chamber.Roof > tooth.Chamber.Floor+0.5
	case "floor":
		return geom.Point{Y: tooth.Chamber.Floor}, len(tooth.Canals) > 1
	}
	return geom.Point{}, false
}

// stationAt returns the station of a canal nearest to an arc length.
func stationAt(c *anatomy.Canal, s float64) int {
	return max(0, min(len(c.Axis)-1, int(math.RoundToEven(s/c.Step))))
}

// ledge follows the line along the canal just before its main bend until it leaves the canal.
func ledge(tooth *anatomy.Tooth, canal int) (geom.Point, bool) {
	c := &tooth.Canals[canal]
	bend := anatomy.Measure(tooth, canal).Pruett
	if bend.Angle < 10*degree || bend.End <= bend.Begin {
		return geom.Point{}, false
	}
	begin := c.Axis[bend.Begin]
	along := geom.Direction(begin.Heading)
	for j := bend.Begin; j < len(c.Axis); j++ {
		s := c.Axis[j]
		to := s.Point.Sub(begin.Point)
		off := along.Cross(to) // of the axis from the line: to its left positive, which is distal
		side := 0
		if off < 0 { // the axis has turned to mesial, so the line lies on its distal side
			side = 1
		}
		if math.Abs(off) >= c.Wall[side][j] {
			return begin.Point.Add(along.Scale(along.Dot(to))), true
		}
	}
	return geom.Point{}, false
}

// dangerZone finds the middle of the thinnest dentine towards the furcation.
func dangerZone(tooth *anatomy.Tooth, canal int) (geom.Point, bool) {
	side := anatomy.FurcalSide(tooth, canal)
	if side != 0 && side != 1 {
		return geom.Point{}, false
	}
	m := anatomy.Measure(tooth, canal)
	c := &tooth.Canals[canal]
	y := tooth.Furcation.Y - m.DangerLevel
	for j, s := range c.Axis {
		if s.Point.Y <= y+1e-9 {
			left := geom.Direction(s.Heading).Left()
			reach := (c.Wall[side][j] + c.Surface[side][j]) / 2
			if side == 0 {
				reach = -reach
			}
			return s.Point.Add(left.Scale(reach)), m.DangerThickness > 0
		}
	}
	return geom.Point{}, false
}

// Reading is something that can be measured on a picture.
type Reading struct {
	Name, Unit, Text string
	Levelled         bool // it is taken at a level, mm from the foramen
}

// Readings returns what can be measured on a picture.
func Readings() []Reading {
	return []Reading{
		{"schneider", "deg", "Schneider's angle of the canal", false},
		{"pruett-angle", "deg", "angle of the main bend by the tangent circle (Pruett)", false},
		{"pruett-radius", "mm", "radius of the main bend by the tangent circle (Pruett)", false},
		{"canal-length", "mm", "length of the canal from orifice to foramen", false},
		{"working-length", "mm", "length from the reference cusp to the constriction", false},
		{"width", "mm", "mesiodistal width of the canal at a level", true},
		{"danger-thickness", "mm", "thinnest dentine towards the furcation", false},
		{"roof-depth", "mm", "depth of the chamber roof below the reference cusp", false},
		{"floor-depth", "mm", "depth of the chamber floor below the reference cusp", false},
	}
}

// Read returns a reading of a canal in its unit, and whether the tooth has it. at is a level, mm from the
// foramen, for readings that have one. Checked by TestReadings.
func Read(tooth *anatomy.Tooth, canal int, name string, at float64) (float64, bool) {
	c := &tooth.Canals[canal]
	switch name {
	case "schneider":
		return anatomy.Measure(tooth, canal).Schneider / degree, true
	case "pruett-angle":
		return anatomy.Measure(tooth, canal).Pruett.Angle / degree, true
	case "pruett-radius":
		bend := anatomy.Measure(tooth, canal).Pruett
		return bend.Radius, bend.Angle > 5*degree && !math.IsInf(bend.Radius, 0)
	case "canal-length":
		return c.Length, true
	case "working-length":
		return workingLength(tooth, canal), true
	case "width":
		j := stationAt(c, c.Length-at)
		return c.Wall[0][j] + c.Wall[1][j], at >= 0 && at < c.Length
	case "danger-thickness":
		m := anatomy.Measure(tooth, canal)
		return m.DangerThickness, m.DangerThickness > 0
	case "roof-depth":
		return tooth.Crown.Cusps[0].Point.Y - tooth.Chamber.Roof, true
	case "floor-depth":
		return tooth.Crown.Cusps[0].Point.Y - tooth.Chamber.Floor, len(tooth.Canals) > 1
	}
	return 0, false
}

// workingLength returns the length from the reference point to the constriction of an untouched canal.
func workingLength(tooth *anatomy.Tooth, canal int) float64 {
	state := treatment.Start(&treatment.Case{Tooth: tooth, Seed: tooth.Seed, Settings: treatment.DefaultSettings()})
	return state.Target(canal)
}

// readingNamed returns a reading by its name.
func readingNamed(name string) (Reading, bool) {
	all := Readings()
	i := slices.IndexFunc(all, func(r Reading) bool { return r.Name == name })
	if i < 0 {
		return Reading{}, false
	}
	return all[i], true
}

// Resolve fills in what of an item the engine computes: the answer and unit of a measure item. Other
// items come back as they are. It is an error when the tooth does not have what is asked for.
func Resolve(item Item) (Item, error) {
	if item.Kind != Measure && item.Kind != Place {
		return item, nil
	}
	tooth, canal, err := item.Subject.Grow()
	if err != nil {
		return item, err
	}
	if item.Kind == Place {
		if _, found := Landmark(tooth, canal, item.Target); !found {
			return item, fmt.Errorf("this tooth has no %s", item.Target)
		}
		return item, nil
	}
	reading, found := readingNamed(item.Target)
	if !found {
		return item, fmt.Errorf("unknown reading %q", item.Target)
	}
	value, found := Read(tooth, canal, item.Target, item.At)
	if !found {
		return item, fmt.Errorf("this tooth has no %s", item.Target)
	}
	item.Answer, item.Unit = round(value, decimalsOf(item.Tolerance)), reading.Unit
	return item, nil
}
