package treatment

import (
	"math"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
)

// open drills the cavity, or widens it: extents and depth only grow. The bur goes in by depth, outline
// and direction; a safe-ended bur does not cut what its end touches.
func (t *turn) open() error {
	tooth, a := t.Case.Tooth, &t.Access
	if t.Isolated != 0 && t.Isolated != t.Case.Number {
		return refuse("wrong-tooth", "open: the dam is on tooth %d, the patient's tooth is %d", t.Isolated, t.Case.Number)
	}
	top := highestCusp(tooth)
	depth := float64(t.action.Depth) / 1000
	if t.safeEnded() {
		depth = math.Min(depth, top-tooth.Chamber.Floor)
	}
	a.Depth = math.Max(a.Depth, depth)
	for side, v := range [4]int{t.action.Mesial, t.action.Distal, t.action.Buccal, t.action.Lingual} {
		a.Extent[side] = math.Max(a.Extent[side], float64(v)/1000)
	}
	t.lean(depth)
	t.spend(300_000)
	t.tellWalls(top)
	if roof := top - tooth.Chamber.Roof; a.Depth < roof {
		t.happen(Event{Kind: NotThrough, Value: roof - a.Depth, Unit: "mm"})
		return nil
	}
	a.Deroofed = a.Deroofed || t.action.Tested != 0
	first := !a.Opened
	a.Opened = true
	if first {
		t.IsolatedFirst = t.Isolated == t.Case.Number
		t.hurts()
	}
	t.cutFloor(top)
	t.measureAccess(top)
	t.shapeAccess()
	t.happen(Event{Kind: Opened, Value: a.Depth, Unit: "mm"})
	t.tellCover()
	if first && t.Case.Vital {
		t.happen(Event{Kind: Bleeding, Value: t.Pulp})
	}
	return nil
}

// safeEnded says whether the bur's end does not cut.
func (t *turn) safeEnded() bool {
	return t.action.Choice == "safe-ended" || t.action.Choice == "tapered"
}

// lean displaces the cavity's bottom by the bur's direction: depth times the tangent of the angle.
func (t *turn) lean(depth float64) {
	a := &t.Access
	for p, tilt := range [2]int{t.action.Angle, t.action.Tilt} {
		off := float64(depth * detmath.Tan(radians(float64(tilt)/10)))
		extent := [2]int{t.action.Mesial, t.action.Distal}
		if p == 1 {
			extent = [2]int{t.action.Buccal, t.action.Lingual}
		}
		a.Bottom[2*p] = math.Max(a.Bottom[2*p], float64(extent[0])/1000-off)
		a.Bottom[2*p+1] = math.Max(a.Bottom[2*p+1], float64(extent[1])/1000+off)
	}
}

// CavityReach returns how far the drilled cavity reaches at a height: between its outline at the top
// and its bottom.
func (s *State) CavityReach(y float64) [4]float64 {
	a := &s.Access
	share := 0.0
	if a.Depth > 0 {
		share = math.Min(1, math.Max(0, (highestCusp(s.Case.Tooth)-y)/a.Depth))
	}
	reach := a.Extent
	for side := range reach {
		reach[side] += float64(share * (a.Bottom[side] - a.Extent[side]))
	}
	return reach
}

// outerReach returns the distance from the tooth's axis to its outside at a height: the crown's widest
// part at 60 % of its height, the cervix at the junction, the root trunk below it.
func outerReach(tooth *anatomy.Tooth, y float64) [4]float64 {
	var out [4]float64
	share := math.Min(1, math.Max(0, y/float64(0.6*tooth.Crown.Height)))
	for p := range 2 {
		half := float64((tooth.Crown.Cervix[p] + float64(share*(tooth.Crown.Table[p]-tooth.Crown.Cervix[p]))) / 2)
		if y < 0 {
			half = math.Max(float64(0.3*half), half+float64(0.06*y))
		}
		out[2*p], out[2*p+1] = half, half
	}
	return out
}

// Limits of a cavity's walls, mm: below the first a wall is gouged, below the second in the crown's upper
// third the opening is too wide (2 mm of cusp: common practice, no source).
const (
	gougeLeft = 1.0
	cuspLeft  = 1.5
)

// tellWalls finds the thinnest wall round the cavity, told when it got thinner: perforated, gouged, or the
// opening too wide at the top.
func (t *turn) tellWalls(top float64) {
	tooth, a := t.Case.Tooth, &t.Access
	left, side, height := math.Inf(1), 0, 0.0
	front := strings.HasSuffix(string(tooth.Kind), "incisor") || strings.HasSuffix(string(tooth.Kind), "canine")
	for k := range 41 {
		y := top - float64(float64(k)/40*a.Depth)
		drilled, outer := t.CavityReach(y), outerReach(tooth, y)
		for w := range 4 {
			if w == 3 && front && y > 0 {
				continue // the way into a front tooth leads through its lingual surface
			}
			if v := outer[w] - drilled[w]; v < left {
				left, side, height = v, w, y
			}
		}
	}
	was := a.WallLeft
	if a.WallLeft == 0 {
		was = math.Inf(1)
	}
	a.WallLeft = math.Max(left, 1e-6)
	if left > was-1e-9 {
		return
	}
	upper := height > float64(0.5*tooth.Crown.Height)
	e := Event{Wall: wallName(side), Value: math.Max(0, left), Unit: "mm"}
	switch {
	case left <= 0 && a.Sideways:
		a.SideAt = math.Min(a.SideAt, height) // the hole that was told has grown
		return
	case left <= 0:
		e.Kind = CrownHole
		a.Sideways, a.SideAt, a.SideWall = true, height, side
		t.pierced()
	case upper && left < cuspLeft:
		e.Kind = OverOpened
	case !upper && left < gougeLeft:
		e.Kind = WallGouged
	default:
		return
	}
	t.happen(e)
}

// tellCover says what of the roof stays: the roof itself, and horns beyond the opening.
func (t *turn) tellCover() {
	a := &t.Access
	if a.Roof > 0.05 {
		t.happen(Event{Kind: RoofLeft, Value: a.Roof})
	}
	a.Horns = 0
	reach := t.CavityReach(t.Case.Tooth.Chamber.Roof)
	for _, h := range t.Case.Tooth.Chamber.Horns {
		x, z := h.Point.X, h.Z
		if x < -reach[0]-0.3 || x > reach[1]+0.3 || z < -reach[2]-0.3 || z > reach[3]+0.3 {
			a.Horns++
		}
	}
	if a.Horns > 0 {
		t.happen(Event{Kind: HornsLeft, Value: float64(a.Horns)})
	}
}

// cutFloor compares the depth drilled with the floor: a round bur that goes deeper cuts it, and
// perforates it where a furcation lies below.
func (t *turn) cutFloor(top float64) {
	tooth, a := t.Case.Tooth, &t.Access
	below := a.Depth - (top - tooth.Chamber.Floor)
	if below <= 1e-9 || !tooth.Furcated {
		return
	}
	t.deepen(below)
}

// deepen books a cut of the floor of a depth, mm.
func (t *turn) deepen(below float64) {
	tooth, a := t.Case.Tooth, &t.Access
	if below > a.FloorCut {
		a.FloorCut = below
		t.happen(Event{Kind: FloorCut, Value: below, Unit: "mm"})
	}
	if below >= tooth.Chamber.Floor-tooth.Furcation.Y && !a.Through {
		a.Through = true
		t.pierced()
		t.happen(Event{Kind: FloorHole, Value: below, Unit: "mm"})
	}
}

// measureAccess derives the share of roof left and the tooth substance lost beyond the chamber's outline.
func (t *turn) measureAccess(top float64) {
	tooth, a := t.Case.Tooth, &t.Access
	covered, whole := 1.0, 1.0
	reach := t.CavityReach(tooth.Chamber.Roof)
	for p := range 2 {
		chamber := tooth.Chamber.Wall[2*p] + tooth.Chamber.Wall[2*p+1]
		open := math.Max(0, min(reach[2*p], tooth.Chamber.Wall[2*p])+min(reach[2*p+1], tooth.Chamber.Wall[2*p+1]))
		covered = float64(covered * open)
		whole = float64(whole * chamber)
	}
	a.Roof = math.Max(0, 1-covered/whole)
	if !a.Deroofed {
		a.Roof = math.Max(a.Roof, 0.3) // a round bur alone leaves the lips of its hole: common practice, no source
	}
	area := float64((a.Extent[0] + a.Extent[1]) * (a.Extent[2] + a.Extent[3]))
	a.DentineLost = float64(math.Max(0, area-covered) * (top - tooth.Chamber.Floor))
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
	reach := t.CavityReach(y)
	if y > tooth.Chamber.Roof {
		return reach
	}
	share := 1.0
	if span := tooth.Chamber.Roof - tooth.Chamber.Floor; !a.Deroofed && span > 0 {
		share = math.Min(1, math.Max(0, (tooth.Chamber.Roof-y)/span))
	}
	for side := range 4 {
		rim := reach[side] + float64(share*(tooth.Chamber.Wall[side]-reach[side]))
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

// shelf is how deep dentine covers an orifice that is not seen at once, mm: the second mesiobuccal one
// lies under a shelf of a step of 1.68 ± 0.83 mm (anatomy facts 2.4); others lie open. Drawn per case.
func (t *turn) shelf(name string) float64 {
	if name != "MB2" {
		return 0
	}
	s := detmath.NewStream(t.Case.Seed, "shelf "+name)
	return s.Truncated(t.Case.Settings.Around.Shelf, 0.83, 0, 3)
}

// find probes the floor: a canal is found when its orifice lies under the opening and no dentine covers
// it. Troughing along the developmental line takes dentine away, and the floor with it where it goes
// deeper than the shelf.
func (t *turn) find() error {
	if t.action.Item != "" {
		if _, err := t.instrument("hand-steel", "hand-flex", "hand-h", "hand-niti", "reamer"); err != nil {
			return err
		}
	}
	c, grown := t.canal(), t.grown()
	x, z := grown.Axis[0].Point.X, grown.Proximal[0].Point.X
	e := t.CavityReach(t.Case.Tooth.Chamber.Floor)
	short := math.Max(math.Max(-e[0]-x, x-e[1]), math.Max(-e[2]-z, z-e[3]))
	t.spend(60_000)
	if t.bleeds() {
		t.spend(60_000) // blood hides the floor
	}
	trough := float64(t.action.Depth) / 1000
	cover := t.shelf(c.Name)
	if over := trough - cover - 0.5; over > 0 && t.Case.Tooth.Furcated {
		t.deepen(over)
	}
	c.Care.Trough = math.Max(c.Care.Trough, trough)
	switch {
	case short > 0:
		t.happen(Event{Kind: NotFound, Value: short, Unit: "mm"})
	case cover > c.Care.Trough+0.3:
		t.happen(Event{Kind: NotFound, Value: cover - c.Care.Trough, Unit: "mm", Detail: "covered"})
	default:
		c.Found = true
		t.happen(Event{Kind: Located, Value: detmath.Hypot(x, z), Unit: "mm"})
	}
	return nil
}

// slimFile is the radius of a slender file in the chamber, mm: it must pass beside the wall.
const slimFile = 0.15

// AccessAngle returns the largest angle by which a wall of the cavity bends a file out of the straight line
// into a canal, rad; 0 for a straight-line access. Checked by TestAccessAngle.
func (s *State) AccessAngle(canal int) float64 {
	c := &s.Canals[canal]
	if !s.Access.Opened {
		return 0
	}
	worst := 0.0
	for k := range c.Space.Orifice {
		back := float64(float64(c.Space.Orifice-k) * c.Space.Step)
		if back < 1.5 {
			break // the mouth of the orifice itself is no wall
		}
		for side := range 4 {
			if w := c.Space.Wall[side][k] - slimFile; w < 0 {
				worst = math.Max(worst, detmath.Atan(-w/back))
			}
		}
	}
	return worst
}
