package ui

import (
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"tugback/internal/bench"
)

// strip paints the bars of the feel strip: this stroke hatched in ink, what is over as an outline, and a
// stroke across both where the scale's mark stands.
func (b *brush) strip(dst *ebiten.Image, box bench.Box, s *bench.Strip) {
	ink, quiet := rgba(b.palette.Ink), rgba(b.palette.Quiet)
	x, w := box.X*b.d, box.W*b.d
	row := box.H * b.d / float64(len(s.Rows))
	b.shapes.line(dst, x, box.Y*b.d, x, box.Bottom()*b.d, 1.3*b.d, ink)
	for i, r := range s.Rows {
		high := 0.5 * row
		y := box.Y*b.d + (float64(i)+0.5)*row - high/2
		long := w * math.Min(1, math.Max(0, r.Force)/s.Full)
		if long < 1 {
			continue
		}
		if !r.Open {
			hatch := &vector.Path{}
			for k := 2 * b.u; k < long; k += 3.2 * b.u {
				hatch.MoveTo(float32(x+k), float32(y))
				hatch.LineTo(float32(x+k), float32(y+high))
			}
			stroke(dst, hatch, 1.7*b.u, ink)
		}
		b.shapes.frame(dst, x, y, long, high, 1.3*b.d, ink)
	}
	if s.Mark > 0 {
		at := x + w*s.Mark/s.Full
		b.shapes.line(dst, at, box.Y*b.d, at, box.Bottom()*b.d+3*b.u, 1.3*b.d, quiet)
	}
}

// locatorTicks are the strokes of the apex locator's scale on this side of the mark: closer towards it, since
// what it measures changes fastest there.
func locatorTicks() []float64 {
	return []float64{-1, -0.8, -0.63, -0.49, -0.375, -0.28, -0.2, -0.135, -0.08, -0.035}
}

// locator paints the apex locator's scale: strokes that close up towards the foramen mark, hatch beyond it,
// and the pointer: full where it stands, between two ghosts where it swings, open where nothing was read.
func (b *brush) locator(dst *ebiten.Image, box bench.Box, l *bench.Locator) {
	ink, quiet := rgba(b.palette.Ink), rgba(b.palette.Quiet)
	at := func(v float64) float64 { return bench.LocatorAt(box, v) * b.d }
	y, u := box.Bottom()*b.d, b.u
	x0, mark, x1 := at(-1), at(0), at(1)
	b.shapes.line(dst, x0, y, x1, y, 1.4*b.d, ink)
	for _, v := range locatorTicks() {
		b.shapes.line(dst, at(v), y-7*u, at(v), y, 1.1*b.d, ink)
	}
	hatch := &vector.Path{}
	for x := mark + 5*u; x < x1; x += 5 * u {
		hatch.MoveTo(float32(x), float32(y))
		hatch.LineTo(float32(math.Min(x+7*u, x1)), float32(y-9*u))
	}
	stroke(dst, hatch, 1.1*b.d, quiet)
	b.shapes.line(dst, mark, y-14*u, mark, y+3*u, 2.6*b.u, ink)
	if math.IsNaN(l.Pointer) {
		return
	}
	x := at(l.Pointer)
	if l.Swing > 0 {
		a, c, top := at(l.Pointer-l.Swing), at(l.Pointer+l.Swing), y-34*u
		b.pointer(dst, a, y, false)
		b.pointer(dst, c, y, false)
		stroke(dst, segment(a, top, c, top), 1.1*b.d, ink)
		for _, end := range []struct{ x, way float64 }{{a, 1}, {c, -1}} {
			stroke(dst, segment(end.x, top, end.x+end.way*5*u, top-3.5*u), 1.1*b.d, ink)
			stroke(dst, segment(end.x, top, end.x+end.way*5*u, top+3.5*u), 1.1*b.d, ink)
		}
	}
	b.pointer(dst, x, y, l.Reading)
}

// pointer paints a plumb with its point on the scale's strokes.
func (b *brush) pointer(dst *ebiten.Image, x, y float64, full bool) {
	u := b.u
	p := &vector.Path{}
	p.MoveTo(float32(x), float32(y-15*u))
	p.LineTo(float32(x-5.5*u), float32(y-27*u))
	p.LineTo(float32(x-2.2*u), float32(y-31*u))
	p.LineTo(float32(x+2.2*u), float32(y-31*u))
	p.LineTo(float32(x+5.5*u), float32(y-27*u))
	p.Close()
	fill(dst, p, rgba(b.palette.Paper))
	if full {
		fill(dst, p, rgba(b.palette.Ink))
	}
	stroke(dst, p, 1.3*b.d, rgba(b.palette.Ink))
}
