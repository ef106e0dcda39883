package ui

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/picture"
)

// paintLive paints what moves: the canal in hand and the instrument.
func (p *plates) paintLive(g *Game, dst *ebiten.Image, plate *bench.Plate, view picture.View, palette picture.Palette) {
	live := plate.Scene.Live
	if live == nil {
		return
	}
	if !plate.Scene.Closed && (g.session.Working() || p.hides(plate)) {
		paintCanal(belowFloor(dst, plate, view), &live.Inside, view, palette)
	}
	if live.File != nil {
		g.paintFile(dst, live.File, plate, view, palette)
	}
	paintGrown(dst, &live.Inside, view, palette)
	if from := plate.Scene.From; from != nil {
		g.paintReference(dst, from, live.File, view, palette)
	}
}

// paintReference paints the reference point as a ring, and the level at which the stop is read against it.
func (g *Game) paintReference(dst *ebiten.Image, from *bench.Reference, file *bench.FileShape, view picture.View, palette picture.Palette) {
	d := g.density
	at := view.Point(from.At)
	if file != nil && file.Item.Family != "cone" {
		level := view.Point(geom.Point{X: file.Top.X, Y: from.At.Y})
		line := []geom.Point{at, {X: level.X, Y: at.Y}}
		stroke(dst, dashed(line, picture.View{Scale: 1}, 4*d, 3*d), 1.1*d, rgba(palette.Ink))
	}
	fill(dst, disc(at.X, at.Y, 4.5*d), rgba(palette.Paper))
	stroke(dst, disc(at.X, at.Y, 4.5*d), 1.6*d, rgba(palette.Ink))
	fill(dst, disc(at.X, at.Y, 1.6*d), rgba(palette.Ink))
}

// belowFloor returns the part of a picture that lies below the chamber's floor where that was cut, so that the
// cut stays seen.
func belowFloor(dst *ebiten.Image, plate *bench.Plate, view picture.View) *ebiten.Image {
	s := &plate.Scene.State
	if s.Access.FloorCut <= 0 {
		return dst
	}
	y := int(view.Point(geom.Point{Y: s.Case.Tooth.Chamber.Floor - s.Access.FloorCut}).Y)
	b := dst.Bounds()
	if view.Down {
		b.Min.Y = max(b.Min.Y, y)
	} else {
		b.Max.Y = min(b.Max.Y, y)
	}
	return dst.SubImage(b).(*ebiten.Image)
}

// hides reports whether the engraving shows the canal in hand only as a dashed line.
func (p *plates) hides(plate *bench.Plate) bool {
	name := plate.Scene.State.Canals[plate.Scene.Canal].Name
	for i := range p.drawing.Layers {
		if p.drawing.Layers[i].Name == "hidden-"+name {
			return true
		}
	}
	return false
}

// paintCanal paints a canal as it is at this moment: its space, the pulp and the shavings in it, what was cut
// away, crossed where colour must not say it.
func paintCanal(dst *ebiten.Image, in *picture.Inside, view picture.View, palette picture.Palette) {
	pen := math.Max(1, 0.044*view.Scale)
	stroke(dst, trace(in.Lines, view, nil), 2*pen, rgba(palette.Ink))
	fill(dst, trace(in.Space, view, nil), rgba(palette.Ground))
	fill(dst, trace(in.Pulp, view, nil), rgba(palette.Pulp))
	across := &vector.Path{}
	for _, piece := range in.Removed {
		fill(dst, polygon(piece, view, true), rgba(palette.Wash))
		for k := 1; palette.Patterned && k < len(piece)/2; k++ {
			addPolygon(across, []geom.Point{piece[k], piece[len(piece)-1-k]}, view, false)
		}
	}
	stroke(dst, across, leastPen, rgba(palette.Event))
	fill(dst, trace(in.Chips, view, nil), rgba(palette.Hatch))
}

// paintGrown paints where the walls were that were cut away, over the instrument too: dashes on paper.
func paintGrown(dst *ebiten.Image, in *picture.Inside, view picture.View, palette picture.Palette) {
	pen := math.Max(1.1, 0.018*view.Scale)
	dashes, ground := &vector.Path{}, &vector.Path{}
	for _, run := range runs(in.Walls) {
		addPolygon(ground, run, view, false)
		dashes.AddPath(dashed(run, view, 0.1*view.Scale, 0.07*view.Scale), nil)
	}
	stroke(dst, ground, 2*pen, rgba(palette.Paper))
	stroke(dst, dashes, pen, rgba(palette.Event))
}

// Of an instrument, logical px: how far its handle is seen, and how high its stop is.
const (
	handleLow = 42.0
	stopHigh  = 7.0
)

// paintFile paints an instrument: blade, flutes, stop, shaft and handle with its size in figures.
func (g *Game) paintFile(dst *ebiten.Image, f *bench.FileShape, plate *bench.Plate, view picture.View, palette picture.Palette) {
	if f.Item.Family == "cone" {
		if !plate.Scene.Closed {
			paintBlade(dst, f, view, palette)
		}
		return
	}
	d := g.density
	top := view.Point(f.Top)
	up := view.Point(f.Top.Add(f.Up)).Sub(top).Unit()
	across := geom.Point{X: -up.Y, Y: up.X}
	wide := math.Max(f.Shaft*view.Scale, 3*d)
	edge := (plate.Box.Y - 10) * d
	if plate.Upper {
		edge = (plate.Box.Bottom() - math.Max(34, plate.Foot+12)) * d
	}
	long := math.Abs((edge - top.Y) / math.Copysign(math.Max(math.Abs(up.Y), 0.3), up.Y))
	long = math.Min(long, 7*view.Scale)
	end := top.Add(up.Scale(long))
	bar := func(from, to geom.Point, w float64) *vector.Path {
		a := across.Scale(w / 2)
		path := &vector.Path{}
		for i, q := range []geom.Point{from.Sub(a), from.Add(a), to.Add(a), to.Sub(a)} {
			if i == 0 {
				path.MoveTo(float32(q.X), float32(q.Y))
				continue
			}
			path.LineTo(float32(q.X), float32(q.Y))
		}
		path.Close()
		return path
	}
	fill(dst, bar(top, end, wide), rgba(palette.Steel))
	if !plate.Scene.Closed {
		paintBlade(dst, f, view, palette)
	}
	stop := view.Point(f.Stop)
	if most := long - (handleLow+stopHigh)*d; stop.Sub(top).Dot(up) > most { // farther off than is seen
		stop = top.Add(up.Scale(most))
	}
	disc := bar(stop, stop.Add(up.Scale(stopHigh*d)), math.Max(wide+14*d, 22*d))
	fill(dst, disc, rgba(palette.Chosen))
	stroke(dst, disc, 1.3*d, rgba(palette.Ink))
	colour := picture.ISOColour(f.Item.Colour)
	if !colour.Set {
		colour = palette.Tooth
	}
	handle := math.Max(24*d, wide+12*d)
	from, to := end.Sub(up.Scale(handleLow*d)), end.Add(up.Scale(30*d))
	body := bar(from, to, handle)
	fill(dst, body, rgba(colour))
	stroke(dst, body, 1.4*d, rgba(palette.Ink))
	figures := fmt.Sprintf("%02d", f.Item.Size)
	at := end.Sub(up.Scale(24 * d))
	g.letters().writeMiddle(dst, figures, picture.SansBold, 14*d, at.X, at.Y+5*d, on(colour))
}

// on returns black or white, whichever reads better on a colour.
func on(c picture.Colour) color.Color {
	white := picture.Colour{R: 255, G: 255, B: 255, Set: true}
	if picture.Contrast(white, c) > picture.Contrast(picture.Colour{Set: true}, c) {
		return color.White
	}
	return color.Black
}

// paintBlade paints the part of an instrument that is bent.
func paintBlade(dst *ebiten.Image, f *bench.FileShape, view picture.View, palette picture.Palette) {
	body := polygon(f.Body, view, true)
	colour := palette.Steel
	if f.Item.Family == "cone" {
		colour = palette.GuttaPercha
	}
	fill(dst, body, rgba(colour))
	stroke(dst, body, math.Max(0.8, 0.02*view.Scale), rgba(palette.Ink))
	flutes := &vector.Path{}
	for _, l := range f.Flutes {
		addPolygon(flutes, l[:], view, false)
	}
	stroke(dst, flutes, math.Max(0.8, 0.03*view.Scale), rgba(palette.Flute))
	if f.Clog > leastClog { // shavings lie in the flutes
		stroke(dst, flutes, (0.03+0.05*f.Clog)*view.Scale, rgba(palette.Tooth))
	}
}

// leastClog is the share of filled flutes from which shavings are seen in them.
const leastClog = 0.1

// paintLens paints the round glass with its hairline to the place.
func (p *plates) paintLens(g *Game, screen *ebiten.Image, plate *bench.Plate, palette picture.Palette) {
	d, l := g.density, plate.Lens
	r := l.Radius * d
	size := 2 * r
	scale := plate.View.Scale * d * bench.LensPower
	view := picture.View{Scale: scale, Down: plate.View.Down}
	at := view.Point(l.At)
	view.X, view.Y = r-at.X, r-at.Y
	near := &cull{at: l.At, within: 1.9 * r / scale}
	key := fmt.Sprintf("%s|%.2f %.2f|%.1f|%d", p.stillKey, l.At.X, l.At.Y, r, g.laid.revision)
	if g.session.Working() { // while the hand works the glass follows in steps of a fifth of a millimetre
		key = fmt.Sprintf("%s|%.0f %.0f|%.1f", p.stillKey, 5*l.At.X, 5*l.At.Y, r)
	}
	if key != p.lensKey {
		p.lensKey = key
		p.lens = fresh(p.lens, size, size)
		p.lens.Fill(rgba(palette.Paper))
		p.paintLayers(p.lens, view, func(name string) bool {
			return groundLayer(name) && !strings.HasPrefix(name, "tooth") && name != "outline"
		}, near)
		p.paintLayers(p.lens, view, func(name string) bool {
			return name == "outline" || movedLayer(name) && !strings.HasPrefix(name, "levels")
		}, &cull{at: l.At, within: math.Inf(1)})
		paintCanal(p.lens, &plate.Scene.Live.Inside, view, palette)
		paintBlade(p.lens, plate.Scene.Live.File, view, palette)
		paintGrown(p.lens, &plate.Scene.Live.Inside, view, palette)
	}
	x, y := l.X*d, l.Y*d
	roundImage(screen, p.lens, x, y, r)
	stroke(screen, disc(x, y, r), 2*d, rgba(palette.Ink))
	tip := plate.View.Point(l.At)
	tx, ty := tip.X*d, tip.Y*d
	ring := r / bench.LensPower
	away := math.Hypot(tx-x, ty-y)
	if away > r+ring {
		ux, uy := (tx-x)/away, (ty-y)/away
		stroke(screen, segment(x+ux*r, y+uy*r, tx-ux*ring, ty-uy*ring), 0.9*d, rgba(palette.Quiet))
	}
	stroke(screen, disc(tx, ty, ring), 0.9*d, rgba(palette.Quiet))
}

// roundImage draws an image as a disc.
func roundImage(dst, src *ebiten.Image, x, y, r float64) {
	const corners = 64
	vertices := []ebiten.Vertex{{DstX: float32(x), DstY: float32(y), SrcX: float32(r), SrcY: float32(r), ColorR: 1, ColorG: 1, ColorB: 1, ColorA: 1}}
	var indices []uint16
	for i := range corners + 1 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		vertices = append(vertices, ebiten.Vertex{DstX: float32(x + r*cos), DstY: float32(y + r*sin), SrcX: float32(r + r*cos), SrcY: float32(r + r*sin), ColorR: 1, ColorG: 1, ColorB: 1, ColorA: 1})
		if i > 0 {
			indices = append(indices, 0, uint16(i), uint16(i+1))
		}
	}
	dst.DrawTriangles(vertices, indices, src, nil) // the ring drawn over it covers the edge
}

// caption returns where the lettering under a plate begins, the end of the plate where there is none.
func (g *Game) caption(plate *bench.Plate) float64 {
	top := plate.Box.Bottom()
	for i := range g.sheet.Items {
		if b := g.sheet.Items[i].Box; g.sheet.Items[i].Kind == bench.Blank && b.Overlaps(plate.Box) && b.Y > plate.Box.Y+0.5*plate.Box.H {
			top = math.Min(top, b.Y)
		}
	}
	return top
}

// within moves a height so that what reaches half above and below it stays inside an image; not where it
// would stand beside another place.
func within(y, half float64, b image.Rectangle) (float64, bool) {
	moved := math.Min(math.Max(y, float64(b.Min.Y)+half), float64(b.Max.Y)-half)
	return moved, math.Abs(moved-y) <= 1.5*half
}

// levelFigures letters the scale beside the root, at a size that is read.
func (g *Game) levelFigures(dst *ebiten.Image, plate *bench.Plate, view picture.View) {
	d := &g.plates.drawing
	own, ok := toothView(d)
	if !ok {
		return
	}
	size := 14 * g.density * g.sheet.Text
	free := dst.Bounds()
	free.Max.Y = min(free.Max.Y, int((g.caption(plate)-plate.Box.Y)*g.density))
	for i := range d.Layers {
		l := &d.Layers[i]
		if !strings.HasPrefix(l.Name, "levels-") || !strings.HasSuffix(l.Name, "-figures-full") {
			continue
		}
		for _, s := range l.Shapes {
			if s.Text == nil {
				continue
			}
			at := view.Point(own.Back(geom.Point{X: s.Text.At.X, Y: s.Text.At.Y + 0.36*s.Text.Size}))
			if at.Y, ok = within(at.Y, 0.55*size, free); !ok {
				continue
			}
			ink := rgba(d.Palette.Ink)
			paper := rgba(d.Palette.Paper)
			wide := bench.Advance(s.Text.String, picture.Sans, size)
			middle := at.X + wide/2
			if s.Text.Anchor == picture.End {
				middle = at.X - wide/2
			}
			fill(dst, disc(middle, at.Y, 0.5*math.Hypot(wide, 0.8*size)), paper)
			g.letters().writeMiddle(dst, s.Text.String, picture.Sans, size, middle, at.Y+0.36*size, ink)
		}
	}
}
