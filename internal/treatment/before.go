package treatment

import (
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
)

func (t *turn) judge() error {
	if t.Isolated != 0 || t.Access.Opened {
		return refuse("judge-late", "judge: the case is judged before treatment begins")
	}
	t.Judged, t.Rated, t.Referred = t.action.Choice, t.action.Agent, t.action.Choice == "refer"
	t.spend(120_000)
	t.happen(Event{Kind: Judged, Detail: t.action.Choice})
	return nil
}

// radiograph takes a film. The image length of each canal asked for (all, when none is named) is the
// length in the clinical plane, turned by the horizontal shift, with the reading error of a film.
func (t *turn) radiograph() error {
	t.Films++
	t.spend(90_000)
	for i := range t.Canals {
		c := &t.Canals[i]
		if t.action.Canal != "" && c.Name != t.action.Canal {
			continue
		}
		t.happen(Event{Kind: FilmTaken, Canal: c.Name, Value: t.imageLength(i), Unit: "mm"})
	}
	if t.action.Canal != "" && len(t.events) == 0 {
		return refuse("no-such-canal", "radiograph: this tooth has no canal %q, only %s", t.action.Canal, t.canalNames())
	}
	return nil
}

// magnification of a paralleling film: source 400 mm and tooth 20 mm from the receptor, M = 400/380
// (protocol facts 2.2, derived).
const magnification = 400.0 / 380

// imageLength is the cusp-to-apex distance on the film: the straight projection, magnified, with the
// error of reading it.
func (t *turn) imageLength(i int) float64 {
	canal := &t.Case.Tooth.Canals[i]
	cusp := t.Case.Tooth.Crown.Cusps[canal.Cusp]
	root := &t.Case.Tooth.Roots[canal.Root]
	shift := radians(float64(t.action.Angle) / 10)
	sin, cos := detmath.Sincos(shift)
	dx := float64((root.Apex.X-cusp.Point.X)*cos) + float64((root.ApexZ-cusp.Z)*sin)
	length := detmath.Hypot(dx, root.Apex.Y-cusp.Point.Y)
	return detmath.Quantise(float64(length*magnification)+t.Film.Normal(0, t.Case.Settings.FilmError), 0.1)
}

func (t *turn) isolate() error {
	t.Isolated, t.LeakTest = t.action.Tooth, t.action.Tested != 0
	t.spend(180_000)
	detail := "untested"
	if t.LeakTest {
		detail = "tested"
	}
	t.happen(Event{Kind: Dammed, Value: float64(t.Isolated), Detail: detail})
	if t.Isolated != t.Case.Number {
		t.happen(Event{Kind: WrongTooth, Value: float64(t.Isolated)})
	}
	return nil
}

// open drills the cavity, or widens it: extents and depth only grow.
func (t *turn) open() error {
	tooth, a := t.Case.Tooth, &t.Access
	if t.Isolated != 0 && t.Isolated != t.Case.Number {
		return refuse("wrong-tooth", "open: the dam is on tooth %d, the patient's tooth is %d", t.Isolated, t.Case.Number)
	}
	top := highestCusp(tooth)
	a.Depth = max(a.Depth, float64(t.action.Depth)/1000)
	for side, v := range [4]int{t.action.Mesial, t.action.Distal, t.action.Buccal, t.action.Lingual} {
		a.Extent[side] = max(a.Extent[side], float64(v)/1000)
	}
	t.spend(300_000)
	if roof := top - tooth.Chamber.Roof; a.Depth < roof {
		t.happen(Event{Kind: NotThrough, Value: roof - a.Depth, Unit: "mm"})
		return nil
	}
	a.Deroofed = a.Deroofed || t.action.Tested != 0
	first := !a.Opened
	a.Opened = true
	if first {
		t.IsolatedFirst = t.Isolated == t.Case.Number
	}
	t.cutFloor(top)
	t.measureAccess(top)
	t.shapeAccess()
	t.happen(Event{Kind: Opened, Value: a.Depth, Unit: "mm"})
	if a.Roof > 0.05 {
		t.happen(Event{Kind: RoofLeft, Value: a.Roof})
	}
	if first && t.Case.Vital {
		t.happen(Event{Kind: Bleeding, Value: t.Pulp})
	}
	return nil
}

// cutFloor compares the depth drilled with the floor: a round bur that goes deeper cuts it, and
// perforates it where a furcation lies below.
func (t *turn) cutFloor(top float64) {
	tooth, a := t.Case.Tooth, &t.Access
	below := a.Depth - (top - tooth.Chamber.Floor)
	if below <= 0 || !tooth.Furcated {
		return
	}
	if below > a.FloorCut {
		a.FloorCut = below
		t.happen(Event{Kind: FloorCut, Value: below, Unit: "mm"})
	}
	if below >= tooth.Chamber.Floor-tooth.Furcation.Y && !a.Through {
		a.Through = true
		t.mishap("perforation")
		t.happen(Event{Kind: FloorHole, Value: below, Unit: "mm"})
	}
}

// measureAccess derives the share of roof left and the tooth substance lost beyond the chamber's outline.
func (t *turn) measureAccess(top float64) {
	tooth, a := t.Case.Tooth, &t.Access
	covered, whole, lost := 1.0, 1.0, 0.0
	for p := range 2 {
		chamber := tooth.Chamber.Wall[2*p] + tooth.Chamber.Wall[2*p+1]
		open := min(a.Extent[2*p], tooth.Chamber.Wall[2*p]) + min(a.Extent[2*p+1], tooth.Chamber.Wall[2*p+1])
		covered = float64(covered * open)
		whole = float64(whole * chamber)
	}
	a.Roof = math.Max(0, 1-covered/whole)
	if !a.Deroofed {
		a.Roof = math.Max(a.Roof, 0.3) // a round bur alone leaves the lips of its hole: common practice, no source
	}
	area := float64((a.Extent[0] + a.Extent[1]) * (a.Extent[2] + a.Extent[3]))
	lost = float64(math.Max(0, area-covered) * (top - tooth.Chamber.Floor))
	a.DentineLost = lost
}

// shapeAccess gives every canal's space its walls above the orifice.
func (t *turn) shapeAccess() {
	for i := range t.Canals {
		t.Canals[i] = t.Canals[i].clone()
		c := &t.Canals[i]
		for k := range c.Space.Orifice {
			walls := t.cavityAt(i, k)
			for side := range 4 {
				c.Space.Wall[side][k] = walls[side]
				c.First[side][k] = walls[side]
			}
		}
		t.blend(c)
	}
}

// cavityAt returns the distances of the four cavity walls from the canal's straight continuation at an
// access station. A wall the line runs beyond gives a negative distance: it will bend the file.
func (t *turn) cavityAt(canal, k int) [4]float64 {
	grown := &t.Case.Tooth.Canals[canal]
	c := &t.Canals[canal]
	back := float64(float64(c.Space.Orifice-k) * c.Space.Step)
	line := [2]float64{
		grown.Axis[0].Point.X - float64(back*detmath.Sin(grown.Axis[0].Heading)),
		grown.Proximal[0].Point.X - float64(back*detmath.Sin(grown.Proximal[0].Heading)),
	}
	y := grown.Axis[0].Point.Y + float64(back*detmath.Cos(grown.Axis[0].Heading))
	reach := t.cavityReach(y)
	var out [4]float64
	for p := range 2 {
		out[2*p] = line[p] + reach[2*p]
		out[2*p+1] = reach[2*p+1] - line[p]
	}
	return out
}

// cavityReach returns how far the cavity reaches from the tooth's axis at a height: what was drilled,
// and below the roof the chamber itself, where that is wider. A roof left covers the chamber's rim.
func (t *turn) cavityReach(y float64) [4]float64 {
	tooth, a := t.Case.Tooth, &t.Access
	reach := a.Extent
	if y > tooth.Chamber.Roof {
		return reach
	}
	share := 1.0
	if span := tooth.Chamber.Roof - tooth.Chamber.Floor; !a.Deroofed && span > 0 {
		share = math.Min(1, math.Max(0, (tooth.Chamber.Roof-y)/span))
	}
	for side := range 4 {
		rim := a.Extent[side] + float64(share*(tooth.Chamber.Wall[side]-a.Extent[side]))
		reach[side] = math.Max(reach[side], rim)
	}
	return reach
}

// blend lets the funnel of the orifice join the canal: the last millimetre above the orifice is never
// narrower than the orifice itself, since the chamber's floor slopes into it.
func (t *turn) blend(c *CanalState) {
	o := c.Space.Orifice
	for k := max(0, o-10); k < o; k++ {
		for side := range 4 {
			w := math.Max(c.Space.Wall[side][k], c.Space.Wall[side][o])
			c.Space.Wall[side][k], c.First[side][k] = w, w
		}
	}
}

// highestCusp returns the height of the highest reference point.
func highestCusp(tooth *anatomy.Tooth) float64 {
	top := tooth.Crown.Cusps[0].Point.Y
	for _, c := range tooth.Crown.Cusps {
		top = math.Max(top, c.Point.Y)
	}
	return top
}

// find probes the floor: a canal is found when its orifice lies under the opening.
func (t *turn) find() error {
	if t.action.Item != "" {
		if _, err := t.instrument(); err != nil {
			return err
		}
	}
	c, grown := t.canal(), t.grown()
	x, z := grown.Axis[0].Point.X, grown.Proximal[0].Point.X
	e := t.Access.Extent
	short := math.Max(math.Max(-e[0]-x, x-e[1]), math.Max(-e[2]-z, z-e[3]))
	t.spend(60_000)
	if short > 0 {
		t.happen(Event{Kind: NotFound, Value: short, Unit: "mm"})
		return nil
	}
	c.Found = true
	t.happen(Event{Kind: Located, Value: detmath.Hypot(x, z), Unit: "mm"})
	return nil
}
