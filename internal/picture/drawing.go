package picture

import (
	"math"

	"tugback/internal/geom"
)

// Drawing is a sheet: what is on it, bottom layer first. It is a value that writers only read.
type Drawing struct {
	Title, Description string  // for people who cannot see it
	Width, Height      float64 // sheet, mm
	Palette            Palette
	Layers             []Layer
}

// Layer is a named group of shapes in one scale.
type Layer struct {
	Name       string
	View       View    // the layer's mm to sheet mm
	Clips      []Path  // in the layer's mm; only what lies in all of them is seen
	From, Upto float64 // shown from this many px per sheet mm up to (not including) that many; Upto 0: no limit
	Shapes     []Shape
}

// Shown reports whether the layer belongs into a picture of so many px per sheet mm.
func (l Layer) Shown(scale float64) bool {
	return scale >= l.From && (l.Upto == 0 || scale < l.Upto)
}

// Shape is one path to fill, stroke or both, or one text.
type Shape struct {
	Path   Path
	Fill   Colour // None: not filled
	Stroke Colour // None: not stroked
	Weight float64
	Dash   []float64 // mm of the sheet, on and off; empty: solid
	Text   *Text
}

// Verb is one kind of step of a Path.
type Verb byte

// The verbs of a path and how many points each takes.
const (
	MoveTo Verb = iota // 1
	LineTo             // 1
	QuadTo             // 2
	CubeTo             // 3
	Close              // 0
)

// points returns how many points the verb takes.
func (v Verb) points() int { return [...]int{1, 1, 2, 3, 0}[v] }

// Path is a run of verbs and their points, mm; even a few thousand closed strokes can be one Path.
type Path struct {
	Verbs  []Verb
	Points []geom.Point
}

// Empty reports whether there is nothing in the path.
func (p Path) Empty() bool { return len(p.Verbs) == 0 }

// Add appends a verb with its points. It panics if the number of points is not the verb's.
func (p *Path) Add(v Verb, points ...geom.Point) {
	if len(points) != v.points() {
		panic("picture: wrong number of points")
	}
	p.Verbs = append(p.Verbs, v)
	p.Points = append(p.Points, points...)
}

// Append appends another path.
func (p *Path) Append(q Path) {
	p.Verbs = append(p.Verbs, q.Verbs...)
	p.Points = append(p.Points, q.Points...)
}

// line returns an open path along points.
func line(points ...geom.Point) Path {
	var p Path
	for i, q := range points {
		if i == 0 {
			p.Add(MoveTo, q)
			continue
		}
		p.Add(LineTo, q)
	}
	return p
}

// polygon returns a closed path along points.
func polygon(points []geom.Point) Path {
	p := line(points...)
	if !p.Empty() {
		p.Add(Close)
	}
	return p
}

// smooth returns a path through all points as cubic curves (Catmull and Rom, uniform), closed or open.
func smooth(points []geom.Point, closed bool) Path {
	n := len(points)
	if n < 3 {
		return line(points...)
	}
	at := func(i int) geom.Point {
		if closed {
			return points[(i+n)%n]
		}
		return points[min(max(i, 0), n-1)]
	}
	var p Path
	p.Add(MoveTo, points[0])
	last := n - 1
	if closed {
		last = n
	}
	for i := range last {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		p.Add(CubeTo, b.Add(c.Sub(a).Scale(1.0/6)), c.Sub(d.Sub(b).Scale(1.0/6)), c)
	}
	if closed {
		p.Add(Close)
	}
	return p
}

// circle returns a closed circle of four cubic arcs.
func circle(centre geom.Point, radius float64) Path {
	const k = 0.5522847498 // radial error below 0.03 % of the radius
	at := func(x, y float64) geom.Point { return centre.Add(geom.Point{X: x, Y: y}.Scale(radius)) }
	var p Path
	p.Add(MoveTo, at(1, 0))
	p.Add(CubeTo, at(1, k), at(k, 1), at(0, 1))
	p.Add(CubeTo, at(-k, 1), at(-1, k), at(-1, 0))
	p.Add(CubeTo, at(-1, -k), at(-k, -1), at(0, -1))
	p.Add(CubeTo, at(k, -1), at(1, -k), at(1, 0))
	p.Add(Close)
	return p
}

// flat returns the path's points as polygons or lines, each curve replaced by a few chords.
func (p Path) flat() [][]geom.Point {
	var runs [][]geom.Point
	var run []geom.Point
	at := 0
	for _, v := range p.Verbs {
		pts := p.Points[at : at+v.points()]
		at += v.points()
		switch v {
		case MoveTo:
			if len(run) > 0 {
				runs = append(runs, run)
			}
			run = []geom.Point{pts[0]}
		case LineTo:
			run = append(run, pts[0])
		case QuadTo, CubeTo:
			run = append(run, chords(run[len(run)-1], pts)...)
		case Close:
		}
	}
	if len(run) > 0 {
		runs = append(runs, run)
	}
	return runs
}

// chords returns eight points of a quadratic or cubic curve from a.
func chords(a geom.Point, pts []geom.Point) []geom.Point {
	b, c, d := pts[0], pts[len(pts)-2], pts[len(pts)-1]
	if len(pts) == 2 { // raised to a cubic
		b, c = a.Add(pts[0].Sub(a).Scale(2.0/3)), d.Add(pts[0].Sub(d).Scale(2.0/3))
	}
	out := make([]geom.Point, 8)
	for i := range out {
		t := float64(i+1) / 8
		u := 1 - t
		out[i] = a.Scale(u * u * u).Add(b.Scale(3 * u * u * t)).Add(c.Scale(3 * u * t * t)).Add(d.Scale(t * t * t))
	}
	return out
}

// bounds returns the smallest box around the path's points.
func (p Path) bounds() Box {
	b := emptyBox()
	for _, q := range p.Points {
		b = b.with(q)
	}
	return b
}

// Box is an upright rectangle, mm.
type Box struct{ Left, Bottom, Right, Top float64 }

func emptyBox() Box {
	return Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

func (b Box) with(p geom.Point) Box {
	return Box{math.Min(b.Left, p.X), math.Min(b.Bottom, p.Y), math.Max(b.Right, p.X), math.Max(b.Top, p.Y)}
}

func (b Box) grown(by float64) Box {
	return Box{b.Left - by, b.Bottom - by, b.Right + by, b.Top + by}
}

// Overlaps reports whether two boxes share more than an edge.
func (b Box) Overlaps(c Box) bool {
	return b.Left < c.Right && c.Left < b.Right && b.Bottom < c.Top && c.Bottom < b.Top
}

// Inside reports whether the box lies in another.
func (b Box) Inside(c Box) bool {
	return b.Left >= c.Left && b.Right <= c.Right && b.Bottom >= c.Bottom && b.Top <= c.Top
}
