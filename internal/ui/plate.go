package ui

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"

	"tugback/internal/anatomy"
	"tugback/internal/bench"
	"tugback/internal/picture"
)

// plates keeps the engraving of the scene on the sheet as an image.
type plates struct {
	ground    *ebiten.Image // bone, hatch and outline: once for a tooth and size
	groundKey string
	still     *ebiten.Image // ground with canals, cavity and filling: once for an action
	stillKey  string
	lens      *ebiten.Image
	lensKey   string
	drawing   picture.Drawing
	drawnKey  string // scene and palette of the drawing
	wanted    string // what is being engraved now
	ready     chan engraved
}

// engraved is a drawing that came back from another goroutine.
type engraved struct {
	key     string
	drawing picture.Drawing
	err     error
}

func newPlates() *plates { return &plates{ready: make(chan engraved, 4)} }

// key says which engraving the screen shows.
func (p *plates) key() string { return p.drawnKey }

// prepare has the engraving of a plate's scene made, beside the frames: it takes some hundredths of a second.
func (p *plates) prepare(g *Game, plate *bench.Plate) {
	for {
		select {
		case e := <-p.ready:
			if e.key == p.wanted && e.err == nil {
				p.drawing, p.drawnKey = e.drawing, e.key
			}
			if e.key == p.wanted {
				p.wanted = ""
			}
			continue
		default:
		}
		break
	}
	if plate == nil || p.wanted != "" {
		return
	}
	scene := *plate.Scene
	palette := g.session.Settings().Colours()
	key := fmt.Sprintf("%s|%s", scene.Key, palette.Name)
	if key == p.drawnKey {
		return
	}
	p.wanted = key
	go func() {
		d, err := scene.Engrave(palette)
		p.ready <- engraved{key, d, err}
	}()
}

// toothView returns the view the layers of the tooth have, and whether there is such a layer.
func toothView(d *picture.Drawing) (picture.View, bool) {
	for i := range d.Layers {
		if d.Layers[i].Name == "tooth" {
			return d.Layers[i].View, true
		}
	}
	return picture.View{}, false
}

// local returns the view of a plate in an image of its box, device px.
func local(p *bench.Plate, density float64) picture.View {
	v := p.View
	return picture.View{Scale: v.Scale * density, X: (v.X - p.Box.X) * density, Y: (v.Y - p.Box.Y) * density, Down: v.Down}
}

// fresh returns an empty image of a size, the old one where it fits.
func fresh(old *ebiten.Image, w, h float64) *ebiten.Image {
	iw, ih := max(1, int(math.Ceil(w))), max(1, int(math.Ceil(h)))
	if old != nil && old.Bounds().Dx() == iw && old.Bounds().Dy() == ih {
		old.Clear()
		return old
	}
	if old != nil {
		old.Deallocate()
	}
	return ebiten.NewImage(iw, ih)
}

// draw paints the plate: the engraving as kept, and over it what moves.
func (p *plates) draw(g *Game, screen *ebiten.Image, plate *bench.Plate) {
	palette := g.session.Settings().Colours()
	view := local(plate, g.density)
	box := plate.Box
	w, h := box.W*g.density, box.H*g.density
	place := fmt.Sprintf("%.1f %.1f %.1f %.1f %v", view.Scale, view.X, view.Y, w, h)
	kase := plate.Scene.State.Case
	if _, ok := toothView(&p.drawing); !ok || !strings.HasPrefix(p.drawnKey, sceneFamily(plate.Scene.Key)) {
		if !plate.Scene.Closed {
			x, y := (box.X+box.W/2)*g.density, (box.Y+box.H/2)*g.density
			g.letters().writeMiddle(screen, bench.Word("plate.making"), picture.SerifItalic, 17*g.density*g.sheet.Text, x, y, rgba(palette.Quiet))
			return
		}
	}
	if key := fmt.Sprintf("%p|%s|%s|%v|%v", kase.Tooth, palette.Name, place, plate.Scene.Closed, p.drawnKey == ""); key != p.groundKey {
		p.ground = fresh(p.ground, w, h)
		p.groundKey, p.stillKey = key, ""
		if plate.Scene.Closed {
			p.paintOutside(p.ground, kase.Tooth, view, palette)
		} else {
			p.paintLayers(p.ground, view, groundLayer, nil)
		}
	}
	if key := p.groundKey + p.drawnKey; key != p.stillKey {
		p.still = fresh(p.still, w, h)
		p.stillKey = key
		p.still.DrawImage(p.ground, nil)
		if !plate.Scene.Closed {
			p.paintLayers(p.still, view, movedLayer, nil)
			g.levelFigures(p.still, plate, view)
			stroke(p.still, polygon(kase.Tooth.Crown.Outline, view, false), math.Max(leastPen, 0.012*view.Scale), rgba(palette.Quiet)) // the crown behind the cut
		}
	}
	o := &ebiten.DrawImageOptions{}
	o.GeoM.Translate(math.Round(box.X*g.density), math.Round(box.Y*g.density))
	screen.DrawImage(p.still, o)
	clip := screen.SubImage(image.Rect(int(box.X*g.density), int(box.Y*g.density), int(box.Right()*g.density), int(box.Bottom()*g.density))).(*ebiten.Image)
	over := view
	over.X += math.Round(box.X * g.density)
	over.Y += math.Round(box.Y * g.density)
	p.paintLive(g, clip, plate, over, palette)
	paintOver(clip, plate.Scene.Over, over, palette)
	if plate.Lens != nil {
		p.paintLens(g, screen, plate, palette)
	}
}

// paintOver paints the walls as grown over those as they are: what was cut is washed, where the wall was is
// dashed.
func paintOver(dst *ebiten.Image, list []bench.Outline, view picture.View, palette picture.Palette) {
	pen := math.Max(1.4, 0.05*view.Scale)
	for _, o := range list {
		for _, piece := range o.Removed {
			fill(dst, polygon(piece, view, true), rgba(palette.Wash))
			stroke(dst, polygon(piece, view, true), 0.6*pen, rgba(palette.Event))
		}
		stroke(dst, dashed(append(o.First, o.First[0]), view, 4*pen, 3*pen), pen, rgba(palette.Ink))
	}
}

// sceneFamily is the part of a scene's key that scenes of one tooth share.
func sceneFamily(key string) string {
	parts := strings.SplitN(key, ":", 3)
	return strings.Join(parts[:min(2, len(parts))], ":")
}

// groundLayer says which layers never change in a treatment.
func groundLayer(name string) bool {
	for _, prefix := range []string{"bone", "ligament", "behind-", "tooth", "hatch", "enamel", "junction", "outline"} {
		if strings.HasPrefix(name, prefix) {
			return true
		}
	}
	return false
}

// movedLayer says which layers change with the treatment.
func movedLayer(name string) bool { return !groundLayer(name) }

// paintLayers paints the layers of the tooth that are wanted; lettering and legends of the printed plate
// are left to the sheet.
func (p *plates) paintLayers(dst *ebiten.Image, view picture.View, want func(string) bool, near *cull) {
	own, ok := toothView(&p.drawing)
	if !ok {
		return
	}
	k := view.Scale / own.Scale // px per mm of the printed sheet
	for i := range p.drawing.Layers {
		l := &p.drawing.Layers[i]
		if l.View != own || !want(l.Name) || k < l.From || l.Upto > 0 && k >= l.Upto {
			continue
		}
		if len(l.Clips) == 0 {
			paintShapes(dst, l.Shapes, view, k, near)
			continue
		}
		b := dst.Bounds()
		part := ebiten.NewImage(b.Dx(), b.Dy())
		paintShapes(part, l.Shapes, view, k, near)
		mask := ebiten.NewImage(b.Dx(), b.Dy())
		for _, clip := range l.Clips {
			mask.Clear()
			fill(mask, trace(clip, view, nil), color.White)
			o := &ebiten.DrawImageOptions{Blend: ebiten.BlendDestinationIn}
			part.DrawImage(mask, o)
		}
		dst.DrawImage(part, nil)
		part.Deallocate()
		mask.Deallocate()
	}
}

// leastPen, px, is the thinnest stroke that still reads as a line.
const leastPen = 0.75

func paintShapes(dst *ebiten.Image, shapes []picture.Shape, view picture.View, k float64, near *cull) {
	for _, s := range shapes {
		if s.Text != nil || s.Path.Empty() {
			continue
		}
		if s.Fill.Set {
			fill(dst, trace(s.Path, view, near), rgba(s.Fill))
		}
		if !s.Stroke.Set {
			continue
		}
		width := math.Max(leastPen, s.Weight*k)
		if len(s.Dash) < 2 {
			stroke(dst, trace(s.Path, view, near), width, rgba(s.Stroke))
			continue
		}
		for _, run := range runs(s.Path) {
			stroke(dst, dashed(run, view, s.Dash[0]*k, s.Dash[1]*k), width, rgba(s.Stroke))
		}
	}
}

// paintOutside paints the tooth as it is seen from outside.
func (p *plates) paintOutside(dst *ebiten.Image, tooth *anatomy.Tooth, view picture.View, palette picture.Palette) {
	if v, ok := toothView(&p.drawing); ok && v.Down != view.Down {
		p.paintLayers(dst, view, func(name string) bool {
			return strings.HasPrefix(name, "bone") || strings.HasPrefix(name, "ligament")
		}, nil)
	}
	paintSurface(dst, tooth, view, palette)
}

// paintSurface shades the outside of a tooth.
func paintSurface(dst *ebiten.Image, tooth *anatomy.Tooth, view picture.View, palette picture.Palette) {
	s := bench.Outside(tooth)
	outline := math.Max(1.2, 0.055*view.Scale)
	for _, part := range s.Parts {
		body := polygon(part.Outline, view, true)
		fill(dst, body, rgba(palette.Tooth))
		strokes := polygon(nil, view, false)
		for _, q := range part.Strokes {
			addPolygon(strokes, q, view, true)
		}
		fill(dst, strokes, rgba(palette.Hatch))
		stroke(dst, polygon(part.Outline, view, false), outline, rgba(palette.Ink))
	}
	stroke(dst, polygon(s.Neck, view, false), math.Max(0.8, 0.02*view.Scale), rgba(palette.Enamel))
}
