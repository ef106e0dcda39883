package treatment

import (
	"math"

	"tugback/internal/geom"
)

// Level is what shaping did at one distance from the foramen, in the clinical plane unless said.
type Level struct {
	Level     float64    `json:"level_mm"`     // from the foramen, crownwards
	Inner     float64    `json:"inner_mm"`     // cut off the wall towards the centre of the main bend
	Outer     float64    `json:"outer_mm"`     // cut off the wall opposite
	Transport float64    `json:"transport_mm"` // outer less inner (Gambill); half of it is the shift of the centre
	Shift     float64    `json:"centre_shift_mm"`
	Centring  float64    `json:"centring"`   // smaller over larger cut, 1 also where nothing was cut
	Cut       [4]float64 `json:"removed_mm"` // mesial, distal, buccal, lingual
	Before    [2]float64 `json:"before_mm"`  // width, clinical and proximal
	After     [2]float64 `json:"after_mm"`
	Least     float64    `json:"dentine_mm"`        // thinnest wall left on any side
	First     float64    `json:"dentine_before_mm"` // the same before shaping
	Untouched float64    `json:"untouched_share"`   // of the four walls within half a millimetre
}

// Levels returns what shaping did to a canal at 0, 1 … 12 mm from the foramen, as far as the canal goes.
// Inner is the distal wall of a canal whose main bend turns distally, also in its straight parts, and the
// mesial wall else. Source of the definitions: Gambill 1996, J Endod 22:369. Checked by TestLevels.
func (s *State) Levels(k int) []Level {
	c := &s.Canals[k]
	inner := 1
	if s.bend(k) < 0 {
		inner = 0
	}
	var out []Level
	for mm := 0; mm <= 12 && float64(mm) <= c.Foramen()-c.Orifice()+1e-9; mm++ {
		out = append(out, c.level(mm, inner))
	}
	return out
}

// level measures one level.
func (c *CanalState) level(mm, inner int) Level {
	i := c.station(c.Foramen() - float64(mm))
	l := Level{Level: float64(mm), Least: math.Inf(1), First: math.Inf(1), Centring: 1}
	for side := range 4 {
		l.Cut[side] = tidy(c.cut(c.Space.Wall, side, i))
		l.Least = math.Min(l.Least, c.Space.Surface[side][i]-c.Space.Wall[side][i])
		l.First = math.Min(l.First, c.Space.Surface[side][i]-c.First[side][i])
	}
	for p := range 2 {
		l.Before[p] = tidy(c.First[2*p][i] + c.First[2*p+1][i])
		l.After[p] = tidy(c.width(p, i))
	}
	l.Inner, l.Outer = l.Cut[inner], l.Cut[1-inner]
	l.Transport = tidy(l.Outer - l.Inner)
	l.Shift = tidy(l.Transport / 2)
	if large := math.Max(l.Inner, l.Outer); large > 1e-9 {
		l.Centring = tidy(math.Max(0, math.Min(l.Inner, l.Outer)) / large)
	}
	l.Least, l.First, l.Untouched = tidy(l.Least), tidy(l.First), tidy(c.untouchedNear(i))
	return l
}

// untouchedNear returns the share of wall stations within half a millimetre of a station that no
// instrument cut.
func (c *CanalState) untouchedNear(i int) float64 {
	reach := int(math.RoundToEven(0.5 / c.Space.Step))
	whole, left := 0, 0
	for k := max(c.Space.Orifice, i-reach); k <= min(c.Space.Foramen, i+reach); k++ {
		for side := range 4 {
			whole++
			if c.cut(c.Space.Wall, side, k) < 1e-4 {
				left++
			}
		}
	}
	return float64(left) / float64(max(1, whole))
}

// Straightening returns the loss of Schneider's angle of a canal's middle line in the clinical plane, rad,
// straighter positive.
func (s *State) Straightening(k int) float64 { return s.straightening(k) }

// LengthChange returns the change of the path length from the orifice to the foramen, mm, shorter
// negative: the shift of the middle line against the curvature of the axis.
func (s *State) LengthChange(k int) float64 {
	c := &s.Canals[k]
	return -c.shortening(c.Foramen())
}

// zip returns how much farther the outer wall was torn out at the foramen's end of a canal than at its
// narrowest place above, and that place: an apex wider than what lies 1 to 5 mm above it makes the tear
// drop and the elbow of a filed curve. A foramen that is wider than the constriction by nature is no zip: the
// figure is what has been added to it, 0 for a canal that widens crownwards. Source of the shape: Weine 1975, J Endod 1:255. Checked by TestZip.
func (c *CanalState) zip() (tear, elbow float64) {
	now, elbow := c.hourglass(c.Space.Wall)
	grown, _ := c.hourglass(c.First)
	if tear = now - grown; tear <= 0 || now <= 0 {
		return 0, 0
	}
	return tear, elbow
}

// hourglass returns by how much the widest place of the apical millimetre is wider than the narrowest from
// there to 5 mm in the clinical plane, and the level of that elbow; below 0 for a funnel.
func (c *CanalState) hourglass(walls [4][]float64) (waist, elbow float64) {
	wide, narrow := 0.0, math.Inf(1)
	for i := c.station(c.Foramen() - 1); i <= c.Space.Foramen; i++ {
		wide = math.Max(wide, walls[0][i]+walls[1][i])
	}
	for i := c.station(c.Foramen() - 1); i >= max(c.Space.Orifice, c.station(c.Foramen()-5)); i-- {
		if w := walls[0][i] + walls[1][i]; w < narrow {
			narrow, elbow = w, c.Level(float64(float64(i)*c.Space.Step))
		}
	}
	return wide - narrow, elbow
}

// foramenMoved returns how far the middle of the foramen was moved by cutting, mm, both planes.
func (c *CanalState) foramenMoved() float64 {
	a, b := c.shift(0, c.Space.Foramen), c.shift(1, c.Space.Foramen)
	return math.Sqrt(float64(a*a) + float64(b*b))
}

// foramenTear returns how much wider the foramen was cut than it was, mm, in the plane of the larger cut.
func (c *CanalState) foramenTear() float64 {
	i, widest := c.Space.Foramen, 0.0
	for p := range 2 {
		widest = math.Max(widest, c.width(p, i)-c.First[2*p][i]-c.First[2*p+1][i])
	}
	return widest
}

// MiddleLine returns a canal's middle line in the clinical plane, as grown or as it is now, orifice first.
func (s *State) MiddleLine(k int, now bool) []geom.Point {
	return s.Canals[k].middle(s.Case.Tooth.Canals[k].Axis, now)
}

// SchneiderGrown returns Schneider's angle of a canal's middle line in the clinical plane as grown, rad.
func (s *State) SchneiderGrown(k int) float64 { return geom.Schneider(s.MiddleLine(k, false)) }
