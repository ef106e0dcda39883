package ui

import (
	"image/color"
	"math"
	"strconv"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// swatch paints an instrument of the tray: handle in its ISO colour, blade with flutes, wider for
// larger sizes.
func (b *brush) swatch(dst *ebiten.Image, i *bench.Item) {
	w, h := i.Box.W*b.d, i.Box.H*b.d
	key := spriteKey{i.Control.Item.ID + b.palette.Name, w, h, color.RGBA{}}
	img := b.shapes.get(key, w, h, func(own *ebiten.Image) { b.paintSwatch(own, i.Control.Item, w, h) })
	put(dst, img, i.Box.X*b.d, i.Box.Y*b.d)
}

// paintSwatch paints the instrument into an image of its own.
func (b *brush) paintSwatch(dst *ebiten.Image, item *treatment.Instrument, w, h float64) {
	x, y := 2*b.d, h/2
	w -= 4 * b.d
	if w < 30*b.u {
		return
	}
	long := math.Min(46*b.u, 0.35*w)
	high := 17 * b.u
	colour := picture.ISOColour(item.Colour)
	if !colour.Set {
		colour = b.palette.Paper
	}
	end := math.Min(x+w, x+long+140*b.u)
	switch item.Family {
	case "cone":
		b.blade(dst, x, end, y, 0.9*b.u+float64(item.Size)*0.055*b.u, b.palette.GuttaPercha, false)
		fill(dst, rectangle(x, y-high/4, 7*b.u, high/2, 1.5*b.u), rgba(colour))
		stroke(dst, rectangle(x, y-high/4, 7*b.u, high/2, 1.5*b.u), 1.1*b.d, rgba(b.palette.Ink))
		return
	case "needle":
		fill(dst, rectangle(x, y-high/2, long*0.6, high, 2*b.u), rgba(b.palette.Tooth))
		stroke(dst, rectangle(x, y-high/2, long*0.6, high, 2*b.u), 1.3*b.d, rgba(b.palette.Ink))
		stroke(dst, segment(x+long*0.6, y, end, y), math.Max(1.4*b.u, (34-float64(item.Size))*0.34*b.u), rgba(b.palette.Steel))
		return
	}
	b.blade(dst, x+long, end, y, 1.1*b.u+float64(min(item.Size, 60))*0.05*b.u+float64(item.Taper)*0.14*b.u, b.palette.Steel, true)
	fill(dst, rectangle(x, y-high/2, long, high, 4*b.u), rgba(colour))
	stroke(dst, rectangle(x, y-high/2, long, high, 4*b.u), 1.4*b.d, rgba(b.palette.Ink))
}

// blade paints a tapering blade from x0 to its tip at x1.
func (b *brush) blade(dst *ebiten.Image, x0, x1, y, half float64, colour picture.Colour, fluted bool) {
	p := &vector.Path{}
	p.MoveTo(float32(x0), float32(y-half))
	p.LineTo(float32(x1), float32(y-0.5*b.u))
	p.LineTo(float32(x1), float32(y+0.5*b.u))
	p.LineTo(float32(x0), float32(y+half))
	p.Close()
	fill(dst, p, rgba(colour))
	if !fluted {
		stroke(dst, p, 1*b.d, rgba(b.palette.Ink))
		return
	}
	flutes := &vector.Path{}
	from := x0 + 0.25*(x1-x0)
	for x := from; x < x1-4*b.u; x += 5 * b.u {
		h := half * (x1 - x) / (x1 - x0)
		flutes.MoveTo(float32(x), float32(y+h))
		flutes.LineTo(float32(x+2.6*b.u), float32(y-h))
	}
	stroke(dst, flutes, 0.9*b.u, rgba(b.palette.Flute))
}

// graph paints curves over axes with their units.
func (b *brush) graph(dst *ebiten.Image, box bench.Box, g *bench.Graph) {
	size := 13 * b.u
	ink, quiet := rgba(b.palette.Ink), rgba(b.palette.Quiet)
	left, top := (box.X)*b.d+30*b.u, box.Y*b.d+16*b.u
	right, foot := box.Right()*b.d-6*b.u, box.Bottom()*b.d-50*b.u
	if len(g.Lines) == 0 && g.Empty != "" {
		b.letters.writeMiddle(dst, g.Empty, picture.SerifItalic, 15*b.u, (left+right)/2, (top+foot)/2, quiet)
	}
	sx := func(v float64) float64 { return left + (v-g.Left)/(g.Right-g.Left)*(right-left) }
	sy := func(v float64) float64 { return foot - (v-g.Bottom)/(g.Top-g.Bottom)*(foot-top) }
	b.shapes.line(dst, left, top, left, foot, 1.1*b.d, ink)
	zero := foot
	if g.Bottom < 0 {
		zero = sy(0)
	}
	b.shapes.line(dst, left, zero, right, zero, 1.1*b.d, ink)
	step := niceStep((g.Right-g.Left)/4, 1)
	for v := math.Ceil(g.Left/step) * step; v <= g.Right+1e-9; v += step {
		b.letters.writeMiddle(dst, strconv.FormatFloat(v, 'f', g.PlacesX, 64), picture.Sans, size, sx(v), foot+14*b.u, quiet)
	}
	step = niceStep((g.Top-g.Bottom)/4, 0.1)
	for v := math.Ceil(g.Bottom/step) * step; v <= g.Top+1e-9; v += step {
		if g.NoFigures {
			break
		}
		b.letters.writeEnd(dst, strconv.FormatFloat(v+0, 'f', g.PlacesY, 64), picture.Sans, size, left-6*b.u, sy(v)+4*b.u, quiet)
		b.shapes.line(dst, left-3*b.u, sy(v), left, sy(v), 1*b.d, ink)
	}
	b.letters.writeEnd(dst, g.Across, picture.Sans, size, right, foot+29*b.u, quiet)
	b.letters.write(dst, g.Up, picture.Sans, size, left+5*b.u, top-2*b.u, quiet)
	view := picture.View{Scale: 1}
	for _, l := range g.Lines {
		points := make([]geom.Point, len(l.Points))
		for k, p := range l.Points {
			points[k] = geom.Point{X: sx(p.X), Y: math.Max(sy(p.Y), top)}
		}
		colour := ink
		if l.Event {
			colour = rgba(b.palette.Event)
		}
		if l.Dashed {
			stroke(dst, dashed(points, view, 5*b.u, 4*b.u), 1.3*b.u, colour)
		} else if len(points) > 1 {
			stroke(dst, polygon(points, view, false), 2.1*b.u, colour)
		}
	}
	b.graphKey(dst, g, left, right, foot)
	if !math.IsNaN(g.Marker) {
		x := sx(g.Marker)
		b.shapes.line(dst, x, top, x, foot, 0.9*b.d, quiet)
		if g.MarkerName != "" {
			b.letters.writeMiddle(dst, g.MarkerName, picture.Sans, size, x, top-3*b.u, quiet)
		}
	}
}

// graphKey names the lines under the graph.
func (b *brush) graphKey(dst *ebiten.Image, g *bench.Graph, left, _, foot float64) {
	x, y := left, foot+45*b.u
	for _, l := range g.Lines {
		colour := rgba(b.palette.Ink)
		if l.Event {
			colour = rgba(b.palette.Event)
		}
		end := x + 18*b.u
		line := []geom.Point{{X: x, Y: y - 4*b.u}, {X: end, Y: y - 4*b.u}}
		if l.Dashed {
			stroke(dst, dashed(line, picture.View{Scale: 1}, 4*b.u, 3*b.u), 1.3*b.u, colour)
		} else {
			b.shapes.line(dst, x, y-4*b.u, end, y-4*b.u, 2.1*b.u, colour)
		}
		b.letters.write(dst, l.Name, picture.Sans, 13*b.u, end+5*b.u, y, rgba(b.palette.Quiet))
		x = end + 16*b.u + bench.Advance(l.Name, picture.Sans, 13*b.u)
	}
}

// niceStep returns a round step of at least some size.
func niceStep(want, least float64) float64 {
	for _, unit := range []float64{0.1, 1, 10, 100} {
		for _, k := range []float64{1, 2, 5} {
			if s := k * unit; s >= want && s >= least {
				return s
			}
		}
	}
	return want
}

// plan paints the crown from above with the cavity and what was found on the floor.
func (b *brush) plan(dst *ebiten.Image, box bench.Box, p *bench.Plan) {
	wide, high := 0.0, 0.0
	for _, q := range p.Tooth {
		wide, high = math.Max(wide, math.Abs(q.X)), math.Max(high, math.Abs(q.Y))
	}
	for _, cavity := range []*[4]float64{p.Done, p.Wanted} {
		if cavity != nil {
			wide = math.Max(wide, math.Max(cavity[0], cavity[1]))
			high = math.Max(high, math.Max(cavity[2], cavity[3]))
		}
	}
	room := 22 * b.u
	scale := math.Min((box.W*b.d-2.6*room)/(2*wide), (box.H*b.d-2*room)/(2*high))
	view := picture.View{Scale: scale, X: (box.X + box.W/2) * b.d, Y: (box.Y + box.H/2) * b.d, Down: true}
	ink, quiet := rgba(b.palette.Ink), rgba(b.palette.Quiet)
	fill(dst, polygon(p.Tooth, view, true), rgba(b.palette.Tooth))
	stroke(dst, polygon(p.Tooth, view, true), 2*b.u, ink)
	if p.Done != nil {
		cavity := cavityPath(p.Done, view, 0.5)
		fill(dst, cavity, rgba(b.palette.Paper))
		if len(p.Chamber) > 0 {
			fill(dst, polygon(p.Chamber, view, true), rgba(b.palette.Pulp))
			stroke(dst, polygon(p.Chamber, view, true), 1.1*b.u, ink)
			for _, l := range p.Lines {
				stroke(dst, polygon(l[:], view, false), 1*b.u, rgba(b.palette.Enamel))
			}
		}
		stroke(dst, cavityPath(p.Done, view, 0.5), 1.6*b.u, ink)
	}
	if p.Wanted != nil {
		w := *p.Wanted
		corners := []geom.Point{{X: -w[0], Y: -w[2]}, {X: w[1], Y: -w[2]}, {X: w[1], Y: w[3]}, {X: -w[0], Y: w[3]}, {X: -w[0], Y: -w[2]}}
		stroke(dst, dashed(corners, view, 5*b.u, 4*b.u), 1.5*b.u, rgba(b.palette.Event))
	}
	for _, o := range p.Orifices {
		at := view.Point(o.At)
		away := geom.Point{X: at.X - view.X, Y: at.Y - view.Y}.Unit().Scale(17 * b.u)
		if away == (geom.Point{}) {
			away.Y = -15 * b.u
		}
		fill(dst, disc(at.X, at.Y, 3.4*b.u), ink)
		half := bench.Advance(o.Name, picture.SansBold, 13*b.u)/2 + 3*b.u
		fill(dst, rectangle(at.X+away.X-half, at.Y+away.Y-8*b.u, 2*half, 16*b.u, 3*b.u), rgba(b.palette.Paper))
		b.letters.writeMiddle(dst, o.Name, picture.SansBold, 13*b.u, at.X+away.X, at.Y+away.Y+5*b.u, ink)
	}
	lingual := bench.Word("plan.lingual")
	if p.Upper {
		lingual = bench.Word("plan.palatal")
	}
	x, y := view.X, view.Y
	top, foot := y-high*scale-7*b.u, y+high*scale+16*b.u
	b.letters.writeMiddle(dst, lingual, picture.SerifItalic, 14*b.u, x, top, quiet)
	b.letters.writeMiddle(dst, bench.Word("plan.buccal"), picture.SerifItalic, 14*b.u, x, foot, quiet)
	b.letters.write(dst, bench.Word("plate.mesial"), picture.SerifItalic, 14*b.u, box.X*b.d, foot, quiet)
	b.letters.writeEnd(dst, bench.Word("plate.distal"), picture.SerifItalic, 14*b.u, box.Right()*b.d, foot, quiet)
}

// cavityPath is the outline of a cavity with round corners.
func cavityPath(e *[4]float64, view picture.View, round float64) *vector.Path {
	a, c := view.Point(geom.Point{X: -e[0], Y: e[3]}), view.Point(geom.Point{X: e[1], Y: -e[2]})
	return rectangle(a.X, a.Y, c.X-a.X, c.Y-a.Y, round*view.Scale)
}

// cardsAFrame is how many teeth of the shelf are painted in a frame: with all of them the first would come late.
const cardsAFrame = 2

// cardKey names the picture of a case on the shelf in a size and palette.
func (b *brush) cardKey(i *bench.Item) string {
	return i.Card.Control.ID + strconv.Itoa(int(i.Box.W*b.d)) + "x" + strconv.Itoa(int(i.Box.H*b.d)) + b.palette.Name
}

// engraveCards paints some of the teeth on the sheet that are still lacking, none in the first frame, and
// tells whether others are.
func (b *brush) engraveCards() (lacking bool) {
	left := cardsAFrame
	if !b.g.started {
		left = 0
	}
	for k := range b.g.sheet.Items {
		i := &b.g.sheet.Items[k]
		if i.Kind != bench.PicturePanel || i.Card == nil || b.g.small[b.cardKey(i)] != nil {
			continue
		}
		if left == 0 {
			return true
		}
		left--
		img := ebiten.NewImage(max(1, int(i.Box.W*b.d)), max(1, int(i.Box.H*b.d)))
		tooth := i.Card.Case.Tooth
		view := bench.FitTooth(tooth, bench.Box{X: 4 * b.d, Y: 4 * b.d, W: i.Box.W*b.d - 8*b.d, H: i.Box.H*b.d - 8*b.d}, 0)
		paintSurface(img, tooth, view, b.palette)
		b.g.small[b.cardKey(i)] = img
	}
	return false
}

// card shows the small tooth of a case on the shelf once it is painted.
func (b *brush) card(dst *ebiten.Image, i *bench.Item) {
	img := b.g.small[b.cardKey(i)]
	if img == nil {
		return
	}
	o := &ebiten.DrawImageOptions{}
	o.GeoM.Translate(math.Round(i.Box.X*b.d), math.Round(i.Box.Y*b.d))
	dst.DrawImage(img, o)
}
