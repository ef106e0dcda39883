package ui

import (
	"image"
	"math"
	"strconv"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/picture"
)

// mostFilms is how many developed films are kept; a treatment shows a few.
const mostFilms = 12

// exposeAgain is how long it takes until a film that could not be developed is tried again.
const exposeAgain = 3 * time.Second

// films keeps developed films by their keys.
type films struct {
	shown  map[string]*ebiten.Image
	live   *ebiten.Image // the last live film
	moment string        // its key
	wanted string        // what is being developed now
	ready  chan developed
}

// developed is a film that came back from another goroutine.
type developed struct {
	key   string
	live  bool
	image *image.Gray
	err   error
}

func newFilms() *films {
	return &films{shown: map[string]*ebiten.Image{}, ready: make(chan developed, 4)}
}

// onSheet returns the films a sheet shows.
func onSheet(sheet *bench.Sheet) []*bench.FilmScene {
	var out []*bench.FilmScene
	if sheet.Film != nil {
		out = append(out, sheet.Film.Scene)
	}
	for i := range sheet.Items {
		if f := sheet.Items[i].Film; f != nil {
			out = append(out, f)
		}
	}
	return out
}

// prepare has the films of the sheet developed one after the other, beside the frames.
func (f *films) prepare(sheet *bench.Sheet) {
	for {
		select {
		case d := <-f.ready:
			f.take(d)
			continue
		default:
		}
		break
	}
	if f.wanted != "" {
		return
	}
	for _, scene := range onSheet(sheet) {
		if f.has(scene) {
			continue
		}
		f.wanted = scene.Key
		one := *scene
		go func() {
			r, err := one.Expose()
			if err != nil { // a class server that did not answer
				time.Sleep(exposeAgain)
			}
			f.ready <- developed{one.Key, one.Live, r.Image, err}
		}()
		return
	}
}

// take keeps a film that was developed; one that could not be is wanted still.
func (f *films) take(d developed) {
	f.wanted = ""
	if d.err != nil {
		return
	}
	if d.live {
		if f.live != nil {
			f.live.Deallocate()
		}
		f.live, f.moment = ebiten.NewImageFromImage(d.image), d.key
		return
	}
	if len(f.shown) >= mostFilms {
		for _, img := range f.shown {
			img.Deallocate()
		}
		f.shown = map[string]*ebiten.Image{}
	}
	f.shown[d.key] = ebiten.NewImageFromImage(d.image)
}

// has reports whether a film is developed.
func (f *films) has(scene *bench.FilmScene) bool {
	if scene.Live {
		return f.moment == scene.Key
	}
	return f.shown[scene.Key] != nil
}

// image returns what is seen of a film now: of a live one the last that was developed; nil for nothing yet.
func (f *films) image(scene *bench.FilmScene) *ebiten.Image {
	if scene.Live {
		return f.live
	}
	return f.shown[scene.Key]
}

// print says all that the look of a film hangs on.
func (f *films) print(scene *bench.FilmScene) string {
	if scene.Live {
		return "live " + f.moment
	}
	return scene.Key + " " + strconv.FormatBool(f.has(scene))
}

// waits reports whether a film of the sheet is not developed yet.
func (f *films) waits(sheet *bench.Sheet) bool {
	for _, scene := range onSheet(sheet) {
		if !f.has(scene) {
			return true
		}
	}
	return false
}

// film paints a film into a box of the sheet, seen through a view (mm of the receptor to logical px).
func (b *brush) film(dst *ebiten.Image, scene *bench.FilmScene, box bench.Box, view picture.View) {
	r := image.Rect(int(box.X*b.d), int(box.Y*b.d), int(box.Right()*b.d), int(box.Bottom()*b.d))
	part := dst.SubImage(r.Intersect(dst.Bounds())).(*ebiten.Image)
	if part.Bounds().Empty() {
		return
	}
	img := b.g.films.image(scene)
	if img == nil {
		x, y := (box.X+box.W/2)*b.d, (box.Y+box.H/2)*b.d
		b.letters.writeMiddle(part, bench.Word("film.making"), picture.SerifItalic, 17*b.u, x, y, rgba(b.palette.Quiet))
		return
	}
	left, right, low, high := scene.Frame()
	a, c := view.Point(geom.Point{X: left, Y: high}), view.Point(geom.Point{X: right, Y: low})
	size := img.Bounds()
	o := &ebiten.DrawImageOptions{Filter: ebiten.FilterLinear}
	o.GeoM.Scale((c.X-a.X)*b.d/float64(size.Dx()), (c.Y-a.Y)*b.d/float64(size.Dy()))
	o.GeoM.Translate(a.X*b.d, a.Y*b.d)
	part.DrawImage(img, o)
}

// smallFilm paints a film in a column.
func (b *brush) smallFilm(dst *ebiten.Image, i *bench.Item) {
	b.film(dst, i.Film, i.Box, bench.FitFilm(i.Film, i.Box))
}

// ruler paints a ruler on a film: a line on paper with a tick at every millimetre, longer at the fifth.
func (b *brush) ruler(dst *ebiten.Image, i *bench.Item) {
	x0, y0, x1, y1 := i.Box.X*b.d, i.Box.Y*b.d, i.Box.Right()*b.d, i.Box.Bottom()*b.d
	paper, ink := rgba(b.palette.Paper), rgba(b.palette.Event)
	long := math.Hypot(x1-x0, y1-y0)
	if long > 0 {
		ux, uy := (x1-x0)/long, (y1-y0)/long
		mm := i.Size * b.d
		for _, pen := range []struct {
			width float64
			ink   bool
		}{{4.5, false}, {1.6, true}} {
			colour := paper
			if pen.ink {
				colour = ink
			}
			stroke(dst, segment(x0, y0, x1, y1), pen.width*b.d, colour)
			for k := 0; float64(k)*mm <= long+0.5; k++ {
				high := 4.0 * b.u
				if k%5 == 0 {
					high = 8 * b.u
				}
				x, y := x0+float64(k)*mm*ux, y0+float64(k)*mm*uy
				stroke(dst, segment(x, y, x-uy*high, y+ux*high), pen.width*b.d, colour)
			}
		}
	}
	for _, end := range [][2]float64{{x0, y0}, {x1, y1}} {
		fill(dst, disc(end[0], end[1], 4.5*b.d), paper)
		fill(dst, disc(end[0], end[1], 3*b.d), ink)
	}
}
