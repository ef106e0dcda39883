// Package ui draws the bench with Ebitengine and turns keys, pointer and touch into presses.
//
// The main idea: package bench lays a page out on a sheet; ui paints the sheet's items and the plate
// and knows nothing else. The engraving of a tooth is painted once into an image and only what moves
// is drawn over it: the canal in hand while it is worked, the bent file, the lens. Nothing is drawn
// while nothing changes. Drawing reads the session and never changes a treatment.
//
// Widgets are painted here and not taken from a library: their places are computed by package bench,
// where a test without a display proves that none overlaps or is too small, and they are letters and
// hairlines with four states, less than the skin of a widget library would take.
//
// This is the only package that may import Ebitengine: it panics where there is no display. Begin
// reading at Game, then paint.go for the sheet and plate.go for the tooth.
package ui

import (
	"errors"
	"fmt"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"tugback/internal/bench"
)

// Options say how the bench is run in a window or page.
type Options struct {
	Session  *bench.Session
	Announce func(text string)           // what people who cannot see the page are told; may be nil
	InWords  func(page []bench.Sentence) // called with the page in words whenever it has changed; may be nil
	Comfort  func(now bench.Settings)    // called when the settings of comfort change; may be nil
	// News is what happens outside while the bench runs, for instance that nothing can be kept; it is done to
	// the session between two frames. May be nil.
	News  <-chan func(*bench.Session)
	Files chan File // files that are handed to the bench from outside; may be nil
}

// Game draws a session; it is Ebitengine's game.
type Game struct {
	session   *bench.Session
	options   Options
	w, h      float64 // logical size, px
	density   float64 // device px per logical px
	sheet     *bench.Sheet
	laid      layoutKey
	drawn     drawKey
	screen    *ebiten.Image // that was drawn on last
	comfort   bench.Settings
	pointer   pointer
	plates    *plates
	beside    *plates // of a second plate
	lettering lettering
	shapes    sprites
	shown     shown
	films     *films
	small     map[string]*ebiten.Image // the teeth on the shelf
	lacking   bool                     // some of them are not painted yet
	held      ebiten.Key               // pressed last
	next      time.Time                // when it acts again if it is held on
	heldFrom  int                      // frame in which it went down
	frame     int                      // drawn so far
	started   bool
	inWords   int // revision that was given in words
	given     chan File
}

// File is a file that was dropped on the bench or opened.
type File struct {
	Name string
	Data []byte
}

// layoutKey is what a sheet was laid out for.
type layoutKey struct {
	revision int
	w, h     float64
}

// drawKey is what the screen shows; the same key need not be drawn again.
type drawKey struct {
	layout  layoutKey
	pointer string
	plate   string
	film    bool // a film is still being developed
	density float64
}

// New returns a game that draws a session.
func New(o Options) *Game {
	files := o.Files
	if files == nil {
		files = make(chan File, 8)
	}
	return &Game{session: o.Session, options: o, plates: newPlates(), beside: newPlates(), films: newFilms(), small: map[string]*ebiten.Image{}, comfort: o.Session.Settings(), given: files, w: 1280, h: 800, density: 1}
}

// Run opens the window and runs until it is closed.
func Run(title string, o Options) error {
	ebiten.SetWindowTitle(title)
	ebiten.SetWindowSize(1280, 800)
	ebiten.SetWindowSizeLimits(640, 480, -1, -1)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetScreenClearedEveryFrame(false)
	if err := ebiten.RunGame(New(o)); err != nil && !errors.Is(err, ebiten.Termination) {
		return fmt.Errorf("run the bench: %w", err)
	}
	return nil
}

// Layout is not called, since LayoutF is there.
func (g *Game) Layout(w, h int) (int, int) { return w, h }

// LayoutF takes the size of the window and returns the size drawn at, device pixels.
func (g *Game) LayoutF(w, h float64) (float64, float64) {
	density := 1.0
	if m := ebiten.Monitor(); m != nil {
		density = m.DeviceScaleFactor()
	}
	g.SetSize(w, h, density)
	return w * density, h * density
}

// SetSize sets the logical size and the density of the screen.
func (g *Game) SetSize(w, h, density float64) { g.w, g.h, g.density = w, h, density }

// Update takes the input of a frame.
func (g *Game) Update() error {
	select {
	case happened := <-g.options.News:
		happened(g.session)
	default:
	}
	g.lay()
	g.readKeys()
	g.readPointer()
	g.readFiles()
	g.session.Tick(1000 / ebiten.TPS())
	if g.started && g.options.Announce != nil {
		for _, text := range g.session.Said() {
			g.options.Announce(text)
		}
	}
	if now := g.session.Revision(); g.started && g.options.InWords != nil && now != g.inWords && !g.session.Working() {
		g.inWords = now
		g.options.InWords(g.session.Page().InWords())
	}
	if now := g.session.Settings(); now != g.comfort {
		g.comfort = now
		if g.options.Comfort != nil {
			g.options.Comfort(now)
		}
	}
	g.lay()
	g.plates.prepare(g, g.sheet.Plate)
	g.beside.prepare(g, g.sheet.Beside)
	g.films.prepare(g.sheet)
	if g.session.Done() {
		return ebiten.Termination
	}
	return nil
}

// lay lays the sheet out when the page or the size changed.
func (g *Game) lay() {
	key := layoutKey{g.session.Revision(), g.w, g.h}
	if g.sheet != nil && g.laid == key {
		return
	}
	for range 3 {
		g.sheet = g.session.Compose(g.w, g.h)
		key.revision = g.session.Revision()
		if g.laid.revision == key.revision {
			break
		}
		g.laid = key
	}
	g.laid = key
}

// Sheet returns the sheet as it was last laid out, for tests.
func (g *Game) Sheet() *bench.Sheet {
	g.lay()
	return g.sheet
}

// Draw paints the sheet when it differs from what the screen shows.
func (g *Game) Draw(screen *ebiten.Image) {
	g.frame++
	g.lay()
	if screen != g.screen { // a new one, after a change of size, is empty whatever was painted on the last
		g.screen, g.drawn, g.shown.base = screen, drawKey{}, ""
	}
	key := drawKey{g.laid, g.pointer.key(), g.plates.key() + "|" + g.beside.key(), g.films.waits(g.sheet), g.density}
	if key == g.drawn && !g.lacking {
		return
	}
	g.drawn = key
	g.paint(screen)
	g.started = true
}

// Ready reports whether the plate on the sheet is engraved and its films are developed, or there are none.
func (g *Game) Ready() bool {
	g.lay()
	ready := func(plate *bench.Plate, p *plates) bool {
		return plate == nil || p.wanted == "" && p.drawnKey != ""
	}
	return !g.lacking && !g.films.waits(g.sheet) && ready(g.sheet.Plate, g.plates) && ready(g.sheet.Beside, g.beside)
}
