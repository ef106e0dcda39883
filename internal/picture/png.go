package picture

import (
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"

	"git.sr.ht/~sbinet/gg"

	"tugback/internal/geom"
)

// Limits of the width of a raster picture, px: below, nothing can be made out; above, memory is the
// limit (8192 px take about 200 MB).
const (
	NarrowestPNG = 64
	WidestPNG    = 8192
)

// leastStroke, px, is the thinnest stroke drawn: thinner ones fade away on small pictures.
const leastStroke = 0.7

// errWidth says which widths a raster picture may have.
var errWidth = errors.New("picture: width outside the allowed range")

// PNG writes the drawing as a PNG picture of the given width; the height follows. The same drawing
// gives the same bytes. A width outside NarrowestPNG … WidestPNG is refused.
// Checked by TestSameBytes and TestRefusals.
func (d Drawing) PNG(w io.Writer, widthPx int) error {
	if widthPx < NarrowestPNG || widthPx > WidestPNG {
		return fmt.Errorf("%w: %d px, allowed %d to %d", errWidth, widthPx, NarrowestPNG, WidestPNG)
	}
	device := d.device(widthPx)
	dc := gg.NewContext(widthPx, int(math.RoundToEven(device.Y)))
	dc.SetColor(d.Palette.Paper.rgba())
	dc.Clear()
	for _, l := range d.Layers {
		if !l.Shown(device.Scale) {
			continue
		}
		view := l.View.Then(device)
		dc.ResetClip()
		for _, clip := range l.Clips {
			trace(dc, clip, view)
			dc.Clip()
		}
		for _, s := range l.Shapes {
			paint(dc, s, view, device.Scale)
		}
	}
	encoder := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := encoder.Encode(w, dc.Image()); err != nil {
		return fmt.Errorf("write the picture: %w", err)
	}
	return nil
}

// paint draws a single shape.
func paint(dc *gg.Context, s Shape, view View, scale float64) {
	if s.Text != nil {
		dc.SetColor(s.Text.Colour.rgba())
		dc.SetFillRule(gg.FillRuleWinding)
		trace(dc, s.Text.outline(), view)
		dc.Fill()
		return
	}
	if s.Fill.Set {
		dc.SetColor(s.Fill.rgba())
		dc.SetFillRule(gg.FillRuleWinding)
		trace(dc, s.Path, view)
		dc.Fill()
	}
	if !s.Stroke.Set {
		return
	}
	dc.SetColor(s.Stroke.rgba())
	dc.SetLineWidth(math.Max(leastStroke, s.Weight*scale))
	dash := make([]float64, len(s.Dash))
	for i, v := range s.Dash {
		dash[i] = v * scale
	}
	dc.SetDash(dash...)
	trace(dc, s.Path, view)
	dc.Stroke()
}

// trace lays a path down in the context.
func trace(dc *gg.Context, p Path, view View) {
	dc.ClearPath()
	at := 0
	next := func() geom.Point {
		q := view.Point(p.Points[at])
		at++
		return q
	}
	for _, v := range p.Verbs {
		switch v {
		case MoveTo:
			q := next()
			dc.MoveTo(q.X, q.Y)
		case LineTo:
			q := next()
			dc.LineTo(q.X, q.Y)
		case QuadTo:
			a, b := next(), next()
			dc.QuadraticTo(a.X, a.Y, b.X, b.Y)
		case CubeTo:
			a, b, c := next(), next(), next()
			dc.CubicTo(a.X, a.Y, b.X, b.Y, c.X, c.Y)
		case Close:
			dc.ClosePath()
		}
	}
}
