package picture

import (
	"math"
	"slices"
	"strings"

	"tugback/internal/detmath"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// half is the share of tissue below which a place is drawn as empty.
const half = 0.5

// lumens draws chamber and canals as they are now: ink line around the space, a red wash where
// dentine was removed, within it the canal as grown, with pulp where pulp is left.
func (d depiction) lumens(s treatment.State) {
	p := d.sheet.Palette
	var all Path
	for _, outline := range d.section.pulp() {
		all.Append(polygon(counterClockwise(outline)))
	}
	chamber := p.Pulp
	if s.Access.Opened && s.Pulp < half {
		chamber = p.Ground
	}
	d.clipped("lumen",
		Shape{Path: all, Stroke: p.Ink, Weight: 2 * canalPen},
		Shape{Path: all, Fill: p.Ground},
		Shape{Path: polygon(d.section.tooth.Chamber.Outline), Fill: chamber})
	var pulp, first, chips Path
	var removed []Shape
	for i, l := range d.section.canals {
		if l.behind {
			continue
		}
		pulp.Append(l.tissue(&s.Canals[i]))
		chips.Append(l.chips(&s.Canals[i]))
		for side := range 2 {
			for _, piece := range l.removed(side) {
				removed = append(removed, Shape{Path: polygon(piece), Fill: p.Wash})
			}
			first.Append(l.firstWall(side))
		}
	}
	d.clipped("pulp", Shape{Path: pulp, Fill: p.Pulp})
	if chamber == p.Pulp {
		pulp.Append(polygon(counterClockwise(d.section.tooth.Chamber.Outline)))
	}
	d.dots(pulp)
	d.layer("removed", removed...)
	d.strokes("removed-strokes", removed)
	d.clipped("chips", Shape{Path: chips, Fill: p.Hatch})
	d.layer("first-walls", Shape{Path: first, Stroke: p.Event, Weight: hairPen, Dash: []float64{0.9, 0.6}})
}

// tissue returns the parts of a canal that still hold pulp.
func (l lumen) tissue(c *treatment.CanalState) Path {
	var p Path
	begin := -1
	n := len(l.axis)
	for i := range n {
		left := c.Tissue[c.Space.Orifice+i] >= half
		if left && begin < 0 {
			begin = i
		}
		if begin >= 0 && (!left || i == n-1) {
			walls := [2][]geom.Point{slices.Clone(l.now[0][begin : i+1]), slices.Clone(l.now[1][begin : i+1])}
			if begin == 0 {
				walls = l.begun(walls)
			}
			if left && i == n-1 {
				walls = l.ended(walls, l.now)
			}
			p.Append(polygon(l.outline(walls)))
			begin = -1
		}
	}
	return p
}

// firstWall returns a wall as grown where it was cut.
func (l lumen) firstWall(side int) Path {
	var p Path
	drawing := false
	for i, at := range l.first[side] {
		if l.now[side][i].Sub(at).Norm() <= 0.01 {
			drawing = false
			continue
		}
		if drawing {
			p.Add(LineTo, at)
		} else {
			p.Add(MoveTo, at)
		}
		drawing = true
	}
	return p
}

// cavity draws the access cavity: paper from the roof of the chamber to the surface it was cut through.
// In front teeth that surface is the lingual one, so the cavity is drawn dashed, as seen through.
func (d depiction) cavity(s treatment.State) {
	p, t, a := d.sheet.Palette, d.section.tooth, s.Access
	if !a.Opened {
		return
	}
	top := d.section.box().Top
	foot := math.Min(t.Chamber.Roof, math.Max(top-a.Depth, t.Chamber.Floor))
	left, right := -a.Extent[0], a.Extent[1]
	if frontTooth(string(t.Kind)) {
		d.window(left, right, foot, t.Crown.Fossa)
		return
	}
	space := []geom.Point{{X: left, Y: foot}, {X: right, Y: foot}, {X: right, Y: top + 1}, {X: left, Y: top + 1}}
	d.layer("cavity", append([]Shape{{Path: polygon(space), Fill: p.Paper}}, d.opened(left, right, foot, s)...)...)
	var edges Path
	for _, x := range []float64{left, right} {
		edges.Append(d.section.cavityWall(x, foot))
	}
	d.layer("cavity-edges", Shape{Path: edges, Stroke: p.Ink, Weight: 0.8 * outlinePen})
	if a.FloorCut > 0 {
		groove := []geom.Point{{X: left, Y: t.Chamber.Floor}, {X: right, Y: t.Chamber.Floor},
			{X: right, Y: t.Chamber.Floor - a.FloorCut}, {X: left, Y: t.Chamber.Floor - a.FloorCut}}
		shape := Shape{Path: polygon(groove), Fill: p.Wash, Stroke: p.Ink, Weight: canalPen}
		d.layer("floor-cut", shape)
		d.strokes("floor-cut-strokes", []Shape{shape})
	}
}

func frontTooth(kind string) bool {
	return strings.Contains(kind, "incisor") || strings.Contains(kind, "canine")
}

// window draws a lingual cavity, seen through the tooth, with rounded corners.
func (d depiction) window(left, right, foot, top float64) {
	r := 0.25 * math.Min(right-left, math.Abs(top-foot))
	var p Path
	p.Add(MoveTo, geom.Point{X: left, Y: foot})
	p.Add(LineTo, geom.Point{X: left, Y: top - r})
	p.Add(QuadTo, geom.Point{X: left, Y: top}, geom.Point{X: left + r, Y: top})
	p.Add(LineTo, geom.Point{X: right - r, Y: top})
	p.Add(QuadTo, geom.Point{X: right, Y: top}, geom.Point{X: right, Y: top - r})
	p.Add(LineTo, geom.Point{X: right, Y: foot})
	palette := d.sheet.Palette
	d.layer("cavity", Shape{Path: p, Stroke: palette.Ink, Weight: canalPen, Dash: []float64{1.5, 0.9}})
}

// opened covers the line of the roof where the cavity opened it.
func (d depiction) opened(left, right, foot float64, s treatment.State) []Shape {
	chamber := d.section.tooth.Chamber
	box := line(chamber.Outline...).bounds()
	left, right = math.Max(left, box.Left+0.05), math.Min(right, box.Right-0.05)
	low := math.Max(foot-0.45*(chamber.Roof-chamber.Floor), chamber.Floor+0.2*(chamber.Roof-chamber.Floor))
	if low >= foot || left >= right {
		return nil
	}
	colour := d.sheet.Palette.Pulp
	if s.Pulp < half {
		colour = d.sheet.Palette.Ground
	}
	corners := []geom.Point{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: foot + 0.05}, {X: left, Y: foot + 0.05}}
	return []Shape{{Path: polygon(corners), Fill: colour}}
}

// cavityWall returns the line of a cavity wall at x: from the crown's surface down to the chamber's
// outline, or to the cavity's foot and along it to the chamber where the cavity is the wider one.
func (s section) cavityWall(x, foot float64) Path {
	top := highest(s.crown, x)
	roof := highest(s.tooth.Chamber.Outline, x)
	if top <= foot {
		return Path{}
	}
	if roof > foot {
		return line(geom.Point{X: x, Y: top}, geom.Point{X: x, Y: roof})
	}
	points := []geom.Point{{X: x, Y: top}, {X: x, Y: foot}}
	box := line(s.tooth.Chamber.Outline...).bounds()
	if x < box.Left || x > box.Right {
		points = append(points, geom.Point{X: nearestX(s.pulp(), x, foot), Y: foot})
	}
	return line(points...)
}

// highest returns the greatest height of a closed outline at x, −∞ beside it.
func highest(outline []geom.Point, x float64) float64 {
	top := math.Inf(-1)
	for i, b := range outline {
		a := outline[(i+len(outline)-1)%len(outline)]
		if (a.X > x) != (b.X > x) {
			top = math.Max(top, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X))
		}
	}
	return top
}

// nearestX returns the place nearest to x where closed outlines cross the height y, x if none does.
func nearestX(outlines [][]geom.Point, x, y float64) float64 {
	best := math.Inf(1)
	for _, outline := range outlines {
		for i, b := range outline {
			a := outline[(i+len(outline)-1)%len(outline)]
			if (a.Y > y) == (b.Y > y) {
				continue
			}
			if at := a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y); math.Abs(at-x) < math.Abs(best-x) {
				best = at
			}
		}
	}
	if math.IsInf(best, 1) {
		return x
	}
	return best
}

// holes rings the perforations.
func (d depiction) holes(s treatment.State) {
	p := d.sheet.Palette
	var shapes []Shape
	ring := func(at geom.Point) {
		shapes = append(shapes, Shape{Path: circle(at, 0.34), Stroke: p.Event, Weight: 2 * eventPen},
			Shape{Path: circle(at, 0.12), Fill: p.Event})
	}
	for i := range s.Canals {
		hole := s.Canals[i].Perforation
		if hole == nil {
			continue
		}
		l, c := d.section.canals[i], &s.Canals[i]
		k := min(max(int(math.RoundToEven(hole.S/c.Space.Step))-c.Space.Orifice, 0), len(l.axis)-1)
		at := l.axis[k].Point
		if hole.Wall == 0 || hole.Wall == 1 {
			at = l.now[hole.Wall][k]
		}
		ring(at)
	}
	if s.Access.Through {
		ring(d.section.tooth.Furcation)
	}
	d.layer("perforations", shapes...)
}

// filling draws a root filling: the core with a fine slanting hatch, the paste around it, and paper
// where there is a void.
func (d depiction) filling(l lumen, c *treatment.CanalState) {
	p, o := d.sheet.Palette, c.Space.Orifice
	if c.Fill.Technique == "" || l.behind || len(c.Fill.Solid) < o+len(l.axis) || len(c.Fill.Paste) < o+len(l.axis) {
		return
	}
	core, paste := l.shares(func(i int) float64 { return c.Fill.Solid[o+i] }), l.shares(func(i int) float64 { return c.Fill.Solid[o+i] + c.Fill.Paste[o+i] })
	shapes := []Shape{{Path: l.band(paste), Fill: p.Paste}, {Path: l.band(core), Fill: p.GuttaPercha}}
	var hatch Path
	for i := 2; i < len(core); i += 2 {
		if core[i] > 0.05 && core[i-2] > 0.05 {
			a, b := l.across(i, -0.8*core[i]), l.across(i-2, 0.8*core[i-2])
			hatch.Append(line(a, b))
		}
	}
	shapes = append(shapes, Shape{Path: hatch, Stroke: p.Ink.over(p.GuttaPercha, 0.65), Weight: hairPen})
	if c.Fill.Beyond > 0 {
		end := l.axis[len(l.axis)-1]
		radius := detmath.Pow(3*c.Fill.Beyond/(4*math.Pi), 1.0/3)
		puff := circle(end.Point.Add(geom.Direction(end.Heading).Scale(0.6*radius)), radius)
		shapes = append(shapes, Shape{Path: puff, Fill: p.Paste, Stroke: p.Event, Weight: eventPen})
	}
	d.layer("filling-"+l.canal.Name, shapes...)
}

// shares turns shares of a section's area into shares of its width.
func (l lumen) shares(area func(i int) float64) []float64 {
	out := make([]float64, len(l.axis))
	for i := range out {
		out[i] = math.Sqrt(math.Max(0, math.Min(1, area(i))))
	}
	return out
}

// across returns the point at a share of the way from the middle of the canal to its mesial (−1) or
// distal (1) wall.
func (l lumen) across(i int, share float64) geom.Point {
	a, b := l.now[0][i], l.now[1][i]
	return a.Add(b.Sub(a).Scale(0.5 + 0.5*share))
}

// band returns the closed shapes of what fills a share of the canal's width.
func (l lumen) band(share []float64) Path {
	var p Path
	begin := -1
	for i := range share {
		some := share[i] > 0.05
		if some && begin < 0 {
			begin = i
		}
		if begin >= 0 && (!some || i == len(share)-1) {
			var left, right []geom.Point
			for k := begin; k <= i; k++ {
				left, right = append(left, l.across(k, -share[k])), append(right, l.across(k, share[k]))
			}
			slices.Reverse(right)
			p.Append(polygon(append(left, right...)))
			begin = -1
		}
	}
	return p
}
