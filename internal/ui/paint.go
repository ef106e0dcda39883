package ui

import (
	"image"
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"tugback/internal/bench"
	"tugback/internal/picture"
)

// brush is what items are painted with.
type brush struct {
	g       *Game
	d       float64 // device px per logical px
	u       float64 // device px per logical px at 100 % text
	palette picture.Palette
	letters *lettering
	shapes  *sprites
	over    string // control under the pointer
	down    string // control that is pressed
	focus   string // control with the keyboard
}

// letters returns the game's lettering.
func (g *Game) letters() *lettering { return &g.lettering }

// paint draws what differs from the last time.
func (g *Game) paint(screen *ebiten.Image) {
	palette := g.session.Settings().Colours()
	b := &brush{g: g, d: g.density, u: g.density * g.sheet.Text, palette: palette, letters: g.letters(), shapes: &g.shapes, over: g.pointer.hover}
	if g.pointer.keyboard {
		b.focus = g.session.Focus()
	}
	if g.pointer.pressed {
		b.down = g.pointer.on.ID
	}
	g.lacking = b.engraveCards()
	for _, box := range g.stale(b) {
		r := image.Rect(int(box.X*b.d), int(box.Y*b.d), int(math.Ceil(box.Right()*b.d)), int(math.Ceil(box.Bottom()*b.d)))
		part := screen.SubImage(r.Intersect(screen.Bounds())).(*ebiten.Image)
		if part.Bounds().Empty() {
			continue
		}
		b.part(part, box)
	}
}

// part paints everything that reaches into a box.
func (b *brush) part(dst *ebiten.Image, box bench.Box) {
	g := b.g
	r := dst.Bounds()
	b.shapes.bar(dst, float64(r.Min.X), float64(r.Min.Y), float64(r.Dx()), float64(r.Dy()), rgba(b.palette.Paper))
	if f := g.sheet.Film; f != nil && f.Box.Overlaps(box) {
		b.film(dst, f.Scene, f.Box, f.View)
	}
	if p := g.sheet.Plate; p != nil && p.Box.Overlaps(box) {
		g.plates.draw(g, dst, p)
	}
	if p := g.sheet.Beside; p != nil && p.Box.Overlaps(box) {
		g.beside.draw(g, dst, p)
	}
	for i := range g.sheet.Items {
		item := &g.sheet.Items[i]
		if !reach(item).Overlaps(box) {
			continue
		}
		on := dst
		if item.Column >= 0 {
			column := g.sheet.Columns[item.Column].Box
			if outside(item.Box, column) {
				continue
			}
			on = b.clip(dst, column)
		}
		b.item(on, item)
	}
	for i := range g.sheet.Columns {
		if c := &g.sheet.Columns[i]; bar(c).Overlaps(box) {
			b.more(dst, c)
		}
	}
}

// outside reports whether an item is not wholly inside its column: what scrolls goes line by line, so
// that nothing is seen cut. What is higher than half the column is seen in part.
func outside(item, column bench.Box) bool {
	if item.H > 0.5*column.H {
		return item.Bottom() < column.Y || item.Y > column.Bottom()
	}
	const hair = 1.5
	return item.Y < column.Y-hair || item.Bottom() > column.Bottom()+hair
}

// clip returns the part of the screen a column is seen in, with room for a focus ring.
func (b *brush) clip(screen *ebiten.Image, box bench.Box) *ebiten.Image {
	const ring = 5
	r := image.Rect(int((box.X-ring)*b.d), int((box.Y-ring)*b.d), int((box.Right()+ring)*b.d), int(math.Ceil((box.Bottom()+ring)*b.d)))
	return screen.SubImage(r).(*ebiten.Image)
}

// more shows with a hairline bar that a column goes on above or below.
func (b *brush) more(screen *ebiten.Image, c *bench.Column) {
	if c.Content <= c.Box.H+1 || c.Box.H <= 0 {
		return
	}
	x := (c.Box.Right() + 5) * b.d
	top, high := c.Box.Y*b.d, c.Box.H*b.d
	share := c.Box.H / c.Content
	at := c.Scroll / c.Content
	b.shapes.line(screen, x, top, x, top+high, 1*b.d, rgba(b.palette.Hairline))
	b.shapes.line(screen, x, top+at*high, x, top+(at+share)*high, 3*b.d, rgba(b.palette.Quiet))
}

func (b *brush) ink(i bench.Ink) color.RGBA {
	switch i {
	case bench.InkQuiet:
		return rgba(b.palette.Quiet)
	case bench.InkEvent:
		return rgba(b.palette.Event)
	default:
		return rgba(b.palette.Ink)
	}
}

// item paints one item.
func (b *brush) item(dst *ebiten.Image, i *bench.Item) {
	x, y, w, h := i.Box.X*b.d, i.Box.Y*b.d, i.Box.W*b.d, i.Box.H*b.d
	switch i.Kind {
	case bench.Letter:
		b.letters.write(dst, i.Text, i.Role, i.Size*b.d, x, y+0.8*h, b.ink(i.Ink))
	case bench.Hairline:
		b.shapes.line(dst, x, y, x+w, y+h, 1.2*b.d, rgba(b.palette.Hairline))
	case bench.Leader:
		fill(dst, disc(x, y, 2.6*b.d), rgba(b.palette.Event))
		stroke(dst, segment(x, y, x+w, y+h), 0.9*b.d, rgba(b.palette.Event))
	case bench.Frame:
		b.frame(dst, i)
	case bench.Notice:
		b.shapes.frame(dst, x, y, w, h, 1.2*b.d, rgba(b.palette.Event))
	case bench.Blank:
		b.shapes.bar(dst, x, y, w, h, rgba(b.palette.Paper))
	case bench.Cross:
		b.cross(dst, x, y, w, h)
	case bench.Underline:
		b.shapes.line(dst, x, y, x+w, y, 1.8*b.d, rgba(b.palette.Ink))
	case bench.Mark:
		b.mark(dst, i)
	case bench.Swatch:
		b.swatch(dst, i)
	case bench.Track:
		b.track(dst, i)
	case bench.TimeTrack:
		b.timeTrack(dst, i)
	case bench.GraphPanel:
		b.graph(dst, i.Box, i.Graph)
	case bench.ScalePanel:
		b.locator(dst, i.Box, i.Scale)
	case bench.StripPanel:
		b.strip(dst, i.Box, i.Strip)
	case bench.PlanPanel:
		b.plan(dst, i.Box, i.Plan)
	case bench.FilmPanel:
		b.smallFilm(dst, i)
	case bench.Ruler:
		b.ruler(dst, i)
	case bench.PicturePanel:
		b.card(dst, i)
	}
}

// frame paints the ground of a control in its state: chosen, hovered, pressed, disabled, focused.
func (b *brush) frame(dst *ebiten.Image, i *bench.Item) {
	c := i.Control
	box := i.Box.Shrunk(0.7)
	x, y, w, h := box.X*b.d, box.Y*b.d, box.W*b.d, box.H*b.d
	filled := (c.Chosen && c.Kind != bench.Tab && c.Kind != bench.StageLine && c.Kind != bench.Toggle) || b.down == c.ID
	if filled {
		b.shapes.bar(dst, x, y, w, h, rgba(b.palette.Chosen))
	}
	pen, colour := 0.0, b.palette.Ink
	switch {
	case c.Disabled:
		if c.Kind == bench.Button || c.Kind == bench.Primary {
			pen, colour = 1, b.palette.Hairline
		}
	case c.Kind == bench.Primary:
		pen = 1.6
	case c.Kind == bench.Instrument && c.Chosen, c.Kind == bench.Pick && c.Chosen:
		pen = 1.4
		if b.palette.Name == "high-contrast" {
			pen = 3
		}
	case c.Kind == bench.Button, c.Kind == bench.Choice, c.Kind == bench.CardFace:
		pen, colour = 1, b.palette.Hairline
	}
	if b.over == c.ID && !c.Disabled {
		pen, colour = math.Max(pen, 1.2), b.palette.Ink
	}
	if pen > 0 {
		b.shapes.frame(dst, x, y, w, h, pen*b.d, rgba(colour))
	}
	if c.Next {
		b.next(dst, i.Box)
	}
	if b.focus == c.ID {
		b.ring(dst, i.Box)
	}
}

// next paints the mark of what a guided case asks for: a heavy frame with a wedge at its left.
func (b *brush) next(dst *ebiten.Image, box bench.Box) {
	x, y, h := box.X*b.d, box.Y*b.d, box.H*b.d
	ink := rgba(b.palette.Event)
	b.shapes.frame(dst, x, y, box.W*b.d, h, 2.4*b.d, ink)
	wedge := &vector.Path{}
	wedge.MoveTo(float32(x-5*b.d), float32(y+h/2-6*b.d))
	wedge.LineTo(float32(x+5*b.d), float32(y+h/2))
	wedge.LineTo(float32(x-5*b.d), float32(y+h/2+6*b.d))
	wedge.Close()
	fill(dst, wedge, ink)
}

// ring paints the mark of the keyboard: ink with a gap of paper.
func (b *brush) ring(dst *ebiten.Image, box bench.Box) {
	in := box.Shrunk(-0.6)
	out := box.Shrunk(-2.6)
	b.shapes.frame(dst, in.X*b.d, in.Y*b.d, in.W*b.d, in.H*b.d, 2*b.d, rgba(b.palette.Paper))
	b.shapes.frame(dst, out.X*b.d, out.Y*b.d, out.W*b.d, out.H*b.d, 2*b.d, rgba(b.palette.Ink))
}

// mark paints a stage's dot on the line of the procedure: full and ticked when done, full in hand.
func (b *brush) mark(dst *ebiten.Image, i *bench.Item) {
	c := i.Control
	x, y := (i.Box.X+i.Box.W/2)*b.d, (i.Box.Y+i.Box.H/2)*b.d
	b.shapes.line(dst, x, i.Box.Y*b.d, x, i.Box.Bottom()*b.d, 1*b.d, rgba(b.palette.Hairline))
	r := 5.2 * b.u
	switch {
	case c.Chosen:
		b.shapes.dot(dst, x, y, 7*b.u, rgba(b.palette.Ink))
	case c.Done:
		b.shapes.dot(dst, x, y, r, rgba(b.palette.Ink))
	default:
		b.shapes.dot(dst, x, y, r, rgba(b.palette.Paper))
		b.shapes.ring(dst, x, y, r, 1.4*b.d, rgba(b.palette.Ink))
	}
	if c.Done {
		ink, r := rgba(b.palette.Paper), 4*b.u
		put(dst, b.shapes.get(spriteKey{"tick", r, 0, ink}, 2*r, 2*r, func(i *ebiten.Image) {
			stroke(i, segment(0.35*r, r, 0.85*r, 1.5*r), 0.35*r, ink)
			stroke(i, segment(0.85*r, 1.5*r, 1.7*r, 0.45*r), 0.35*r, ink)
		}), x-r, y-r)
	}
}

// track paints a slider.
func (b *brush) track(dst *ebiten.Image, i *bench.Item) {
	c := i.Control
	y := (i.Box.Y + i.Box.H/2) * b.d
	x0, x1 := i.Box.X*b.d, i.Box.Right()*b.d
	b.shapes.line(dst, x0, y, x1, y, 1.5*b.d, rgba(b.palette.Ink))
	x := x0 + c.Share*(x1-x0)
	r := 7 * b.u
	ground := b.palette.Paper
	if b.over == c.ID || b.down == c.ID {
		ground = b.palette.Chosen
	}
	b.shapes.dot(dst, x, y, r, rgba(ground))
	b.shapes.ring(dst, x, y, r, 1.6*b.d, rgba(b.palette.Ink))
	if b.focus == c.ID {
		b.shapes.ring(dst, x, y, r+4*b.d, 2*b.d, rgba(b.palette.Ink))
	}
}

// timeTrack paints the time line with a mark where something went wrong.
func (b *brush) timeTrack(dst *ebiten.Image, i *bench.Item) {
	c := i.Control
	y := (i.Box.Y + 0.6*i.Box.H) * b.d
	x0, x1 := i.Box.X*b.d, i.Box.Right()*b.d
	b.shapes.line(dst, x0, y, x1, y, 1.5*b.d, rgba(b.palette.Ink))
	for _, m := range c.Marks {
		x := x0 + m*(x1-x0)
		b.shapes.line(dst, x, y-13*b.u, x, y-4*b.u, 2*b.d, rgba(b.palette.Event))
		b.shapes.dot(dst, x, y-13*b.u, 3*b.u, rgba(b.palette.Event))
	}
	for _, m := range c.Pins { // open, above those of faults
		x := x0 + m*(x1-x0)
		b.shapes.line(dst, x, y-18*b.u, x, y-4*b.u, 1*b.d, rgba(b.palette.Ink))
		b.shapes.frame(dst, x-4*b.u, y-26*b.u, 8*b.u, 8*b.u, 1.5*b.d, rgba(b.palette.Ink))
	}
	b.track(dst, &bench.Item{Box: bench.Box{X: i.Box.X, Y: i.Box.Y + 0.6*i.Box.H, W: i.Box.W}, Control: c})
}

// cross paints a place in hand: two strokes on paper, open in the middle, so that what is marked is seen.
func (b *brush) cross(dst *ebiten.Image, x, y, w, h float64) {
	cx, cy := x+w/2, y+h/2
	for _, pen := range []struct {
		width  float64
		colour color.RGBA
	}{{4.5, rgba(b.palette.Paper)}, {2, rgba(b.palette.Event)}} {
		for _, l := range [][4]float64{{x, cy, cx - w/6, cy}, {cx + w/6, cy, x + w, cy}, {cx, y, cx, cy - h/6}, {cx, cy + h/6, cx, y + h}} {
			stroke(dst, segment(l[0], l[1], l[2], l[3]), pen.width*b.d, pen.colour)
		}
	}
}
