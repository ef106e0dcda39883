package ui

import (
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"tugback/internal/geom"
	"tugback/internal/picture"
)

// rgba returns a palette's colour for drawing.
func rgba(c picture.Colour) color.RGBA { return color.RGBA{c.R, c.G, c.B, 255} }

// options colour a path.
func options(c color.Color) *vector.DrawPathOptions {
	o := &vector.DrawPathOptions{AntiAlias: true}
	o.ColorScale.ScaleWithColor(c)
	return o
}

// fill fills a path.
func fill(dst *ebiten.Image, p *vector.Path, c color.Color) {
	vector.FillPath(dst, p, &vector.FillOptions{FillRule: vector.FillRuleNonZero}, options(c))
}

// stroke strokes a path with round ends.
func stroke(dst *ebiten.Image, p *vector.Path, width float64, c color.Color) {
	vector.StrokePath(dst, p, &vector.StrokeOptions{Width: float32(width), LineCap: vector.LineCapRound, LineJoin: vector.LineJoinRound}, options(c))
}

// polygon returns a closed or open path through points.
func polygon(points []geom.Point, v picture.View, closed bool) *vector.Path {
	p := &vector.Path{}
	addPolygon(p, points, v, closed)
	return p
}

func addPolygon(p *vector.Path, points []geom.Point, v picture.View, closed bool) {
	for i, q := range points {
		at := v.Point(q)
		if i == 0 {
			p.MoveTo(float32(at.X), float32(at.Y))
			continue
		}
		p.LineTo(float32(at.X), float32(at.Y))
	}
	if closed && len(points) > 0 {
		p.Close()
	}
}

// segment returns a path of one line.
func segment(x0, y0, x1, y1 float64) *vector.Path {
	p := &vector.Path{}
	p.MoveTo(float32(x0), float32(y0))
	p.LineTo(float32(x1), float32(y1))
	return p
}

// rectangle returns a closed upright rectangle with round corners.
func rectangle(x, y, w, h, r float64) *vector.Path {
	p := &vector.Path{}
	r = math.Min(r, math.Min(w, h)/2)
	x0, y0, x1, y1, rr := float32(x), float32(y), float32(x+w), float32(y+h), float32(r)
	p.MoveTo(x0+rr, y0)
	p.LineTo(x1-rr, y0)
	p.ArcTo(x1, y0, x1, y0+rr, rr)
	p.LineTo(x1, y1-rr)
	p.ArcTo(x1, y1, x1-rr, y1, rr)
	p.LineTo(x0+rr, y1)
	p.ArcTo(x0, y1, x0, y1-rr, rr)
	p.LineTo(x0, y0+rr)
	p.ArcTo(x0, y0, x0+rr, y0, rr)
	p.Close()
	return p
}

// disc returns a closed circle.
func disc(x, y, r float64) *vector.Path {
	p := &vector.Path{}
	p.Arc(float32(x), float32(y), float32(r), 0, 2*math.Pi, vector.Clockwise)
	p.Close()
	return p
}

// cull keeps only the runs of a path that begin near a place; nil keeps all.
type cull struct {
	at     geom.Point
	within float64
}

// trace turns a path of a drawing into one of the screen.
func trace(p picture.Path, v picture.View, near *cull) *vector.Path {
	out := &vector.Path{}
	at, skip := 0, false
	next := func() (float32, float32) {
		q := v.Point(p.Points[at])
		at++
		return float32(q.X), float32(q.Y)
	}
	for _, verb := range p.Verbs {
		if verb == picture.MoveTo && near != nil {
			skip = p.Points[at].Sub(near.at).Norm() > near.within
		}
		switch verb {
		case picture.MoveTo:
			x, y := next()
			if !skip {
				out.MoveTo(x, y)
			}
		case picture.LineTo:
			x, y := next()
			if !skip {
				out.LineTo(x, y)
			}
		case picture.QuadTo:
			a, b := next()
			c, d := next()
			if !skip {
				out.QuadTo(a, b, c, d)
			}
		case picture.CubeTo:
			a, b := next()
			c, d := next()
			e, f := next()
			if !skip {
				out.CubicTo(a, b, c, d, e, f)
			}
		case picture.Close:
			if !skip {
				out.Close()
			}
		}
	}
	return out
}

// dashed cuts a polyline into dashes; on and off are px.
func dashed(points []geom.Point, v picture.View, on, off float64) *vector.Path {
	out := &vector.Path{}
	left, drawing := on, true
	for i := 1; i < len(points); i++ {
		a, b := v.Point(points[i-1]), v.Point(points[i])
		long := b.Sub(a).Norm()
		if long == 0 {
			continue
		}
		at := 0.0
		for at < long {
			step := math.Min(left, long-at)
			from, to := a.Add(b.Sub(a).Scale(at/long)), a.Add(b.Sub(a).Scale((at+step)/long))
			if drawing {
				out.MoveTo(float32(from.X), float32(from.Y))
				out.LineTo(float32(to.X), float32(to.Y))
			}
			at += step
			left -= step
			if left <= 1e-9 {
				drawing = !drawing
				left = map[bool]float64{true: on, false: off}[drawing]
			}
		}
	}
	return out
}

// runs returns the polylines of a path, curves by their end points.
func runs(p picture.Path) [][]geom.Point {
	var out [][]geom.Point
	at := 0
	for _, verb := range p.Verbs {
		switch verb {
		case picture.MoveTo:
			out = append(out, []geom.Point{p.Points[at]})
			at++
		case picture.LineTo, picture.QuadTo, picture.CubeTo:
			at += map[picture.Verb]int{picture.LineTo: 1, picture.QuadTo: 2, picture.CubeTo: 3}[verb]
			if n := len(out); n > 0 {
				out[n-1] = append(out[n-1], p.Points[at-1])
			}
		case picture.Close:
			if n := len(out); n > 0 {
				out[n-1] = append(out[n-1], out[n-1][0])
			}
		}
	}
	return out
}
