package ui

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"tugback/internal/bench"
	"tugback/internal/geom"
)

// namedKey is a key with the name bench knows it by.
type namedKey struct {
	key  ebiten.Key
	name string
}

// keyNames are the keys that mean something, in a fixed order.
var keyNames = sync.OnceValue(func() []namedKey {
	names := []namedKey{
		{ebiten.KeyTab, "Tab"}, {ebiten.KeyEnter, "Enter"}, {ebiten.KeyNumpadEnter, "Enter"}, {ebiten.KeySpace, "Space"},
		{ebiten.KeyLeft, "Left"}, {ebiten.KeyRight, "Right"}, {ebiten.KeyUp, "Up"}, {ebiten.KeyDown, "Down"},
		{ebiten.KeyEscape, "Escape"}, {ebiten.KeyPageUp, "PageUp"}, {ebiten.KeyPageDown, "PageDown"},
		{ebiten.KeyBracketLeft, "["}, {ebiten.KeyBracketRight, "]"}, {ebiten.KeyComma, ","}, {ebiten.KeyPeriod, "."},
		{ebiten.KeyMinus, "-"}, {ebiten.KeyEqual, "="}, {ebiten.KeyNumpadSubtract, "-"}, {ebiten.KeyNumpadAdd, "="},
		{ebiten.KeyBackspace, "Backspace"}, {ebiten.KeyNumpadDecimal, "."}, {ebiten.KeyF1, "F1"}, {ebiten.KeyF2, "F2"}, {ebiten.KeyF4, "F4"}, {ebiten.KeyF10, "F10"},
	}
	for k := ebiten.KeyA; k <= ebiten.KeyZ; k++ {
		names = append(names, namedKey{k, string(rune('a' + int(k-ebiten.KeyA)))})
	}
	for k := ebiten.KeyDigit0; k <= ebiten.KeyDigit9; k++ {
		names = append(names, namedKey{k, string(rune('0' + int(k-ebiten.KeyDigit0)))})
	}
	for k := ebiten.KeyNumpad0; k <= ebiten.KeyNumpad9; k++ {
		names = append(names, namedKey{k, string(rune('0' + int(k-ebiten.KeyNumpad0)))})
	}
	return names
})

// Repeats of a held key, by the clock and by what was drawn meanwhile: after a slow frame Ebitengine makes
// up for several updates at once, and on a slow computer a single frame can take longer than a finger
// rests on a key; in both a key that was only touched would count as held.
const (
	repeatAfter = 400 * time.Millisecond
	repeatEvery = 70 * time.Millisecond
	leastFrames = 6 // drawn since the key went down
)

// repeats are the keys that act again while they are held.
const repeats = "|Tab|Left|Right|Up|Down|[|]|,|.|-|=|PageUp|PageDown|"

// readKeys turns the keys of this frame into strokes.
func (g *Game) readKeys() {
	// Only a key of one side is ever "just released".
	left := inpututil.IsKeyJustReleased(ebiten.KeyShiftLeft) || inpututil.IsKeyJustReleased(ebiten.KeyShiftRight)
	if ebiten.IsKeyPressed(ebiten.KeyControl) || ebiten.IsKeyPressed(ebiten.KeyAlt) || ebiten.IsKeyPressed(ebiten.KeyMeta) {
		return
	}
	now := time.Now()
	for _, k := range keyNames() {
		first := inpututil.IsKeyJustPressed(k.key)
		if first {
			g.held, g.next, g.heldFrom = k.key, now.Add(repeatAfter), g.frame
		}
		again := !first && k.key == g.held && g.frame-g.heldFrom >= leastFrames && now.After(g.next) &&
			ebiten.IsKeyPressed(k.key) && strings.Contains(repeats, "|"+k.name+"|")
		if again {
			g.next = now.Add(repeatEvery)
		}
		if first || again {
			// A shifted key may be down and up again within one slow frame, and Shift with it; one that is
			// down still came after Shift.
			shift := ebiten.IsKeyPressed(ebiten.KeyShift) || left && inpututil.KeyPressDuration(k.key) == 0
			g.session.Type(bench.Stroke{Key: k.name, Shift: shift})
			g.pointer.keyboard = true
		}
	}
	if inpututil.IsKeyJustReleased(ebiten.KeySpace) {
		g.session.Hold(false)
	}
}

// pointer is the mouse or the first finger.
type pointer struct {
	x, y     float64
	down     bool
	touch    ebiten.TouchID
	touching bool
	on       bench.Hit // what was pressed
	pressed  bool      // something was pressed
	hover    string
	fromX    float64 // where it went down
	fromY    float64
	lastY    float64
	dragged  bool
	finger   bool // what went down is a finger
	sliding  bool // and it moves a slider
	keyboard bool // the keyboard was used last: show its focus
}

// slop, px, is how far a finger may stray before it is taken to move.
const slop = 8

func (p *pointer) key() string {
	return fmt.Sprintf("%s|%v|%s|%v", p.hover, p.pressed, p.on.ID, p.keyboard)
}

// readPointer turns mouse and touch into presses, drags and scrolls.
func (g *Game) readPointer() {
	p := &g.pointer
	x, y, down := g.locate()
	over := g.Point(x, y, down)
	if _, dy := ebiten.Wheel(); dy != 0 {
		g.Wheel(p.x, p.y, -dy*wheelStep())
	}
	if !p.touching && !down {
		shape := ebiten.CursorShapeDefault
		if over {
			shape = ebiten.CursorShapePointer
		}
		ebiten.SetCursorShape(shape)
	}
}

// Wheel scrolls the column at a place of the sheet by dy px, as wheel and trackpad do.
func (g *Game) Wheel(x, y, dy float64) {
	g.lay()
	g.scroll(x, y, dy)
}

// wheelStep is how far a unit of the wheel scrolls, px: a window counts notches, a page px.
func wheelStep() float64 {
	if runtime.GOOS == "js" {
		return 1
	}
	return 48
}

// Point moves the pointer to a place of the sheet, down or up, and reports whether it is over a control.
func (g *Game) Point(x, y float64, down bool) bool {
	g.lay()
	p := &g.pointer
	p.x, p.y = x, y
	hit, over := g.sheet.At(p.x, p.y)
	p.hover = ""
	if over && !p.touching {
		p.hover = hit.ID
	}
	switch {
	case down && !p.down:
		g.pointerDown(hit, over)
	case down && p.down:
		g.pointerMove()
	case !down && p.down:
		g.pointerUp(hit, over)
	}
	p.down = down
	return over
}

// Touch puts a finger to a place of the sheet, moves it there, or lifts it: what readPointer does with the
// first finger on the screen.
func (g *Game) Touch(x, y float64, down bool) {
	p := &g.pointer
	p.touching = p.touching || down
	g.Point(x, y, down)
	p.touching = down
}

// locate reads where the pointer is, logical px, and whether it is down. A finger that was lifted leaves
// the pointer where it was.
func (g *Game) locate() (x, y float64, down bool) {
	p := &g.pointer
	ids := ebiten.AppendTouchIDs(nil)
	if !p.touching && len(ids) > 0 {
		p.touch, p.touching = ids[0], true
	}
	if p.touching {
		if !slices.Contains(ids, p.touch) {
			p.touching = false
			return p.x, p.y, false
		}
		x, y := ebiten.TouchPosition(p.touch)
		return float64(x) / g.density, float64(y) / g.density, true
	}
	cx, cy := ebiten.CursorPosition()
	return float64(cx) / g.density, float64(cy) / g.density, ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft)
}

func (g *Game) pointerDown(hit bench.Hit, over bool) {
	p := &g.pointer
	p.fromX, p.fromY, p.lastY, p.dragged, p.keyboard = p.x, p.y, p.y, false, false
	p.pressed, p.on, p.finger, p.sliding = over, hit, p.touching, !p.touching
	if !over {
		return
	}
	switch {
	case hit.ID == "go" && g.works():
		g.session.SetFocus(hit.ID)
		g.session.Hold(true)
	case hit.Part == 2 && p.sliding: // of a finger its way tells whether it means to slide or to scroll
		g.slideTo()
	case hit.Part == 3:
		g.session.Spot(g.onPicture())
	}
}

// works reports whether the main act is work, which is held rather than pressed.
func (g *Game) works() bool {
	for _, c := range g.session.Page().Controls() {
		if c.ID == "repeat" {
			return true
		}
	}
	return false
}

// onPicture returns where the pointer is, mm of the tooth or of the film in the middle.
func (g *Game) onPicture() geom.Point {
	at := geom.Point{X: g.pointer.x, Y: g.pointer.y}
	if g.sheet.Film != nil {
		return g.sheet.Film.View.Back(at)
	}
	return g.sheet.Plate.View.Back(at)
}

func (g *Game) slideTo() {
	p := &g.pointer
	g.session.Slide(p.on.ID, (p.x-p.on.Box.X)/math.Max(p.on.Box.W, 1))
}

func (g *Game) pointerMove() {
	p := &g.pointer
	across, along := math.Abs(p.x-p.fromX), math.Abs(p.y-p.fromY)
	if p.pressed && p.on.Part == 2 && !p.dragged {
		p.sliding = p.sliding || across > slop && across >= along
		if p.sliding {
			g.slideTo()
			return
		}
	}
	if p.pressed && p.on.Part == 3 && g.sheet.Film != nil {
		if math.Hypot(across, along) > slop {
			g.session.Stretch(g.onPicture())
		}
		return
	}
	if along > slop && p.finger && !g.session.Working() {
		p.dragged = true
	}
	if p.dragged {
		g.scroll(p.x, p.fromY, p.lastY-p.y)
		p.lastY = p.y
	}
}

func (g *Game) pointerUp(hit bench.Hit, over bool) {
	p := &g.pointer
	working := g.session.Working()
	g.session.Hold(false)
	pressed := p.pressed && !p.dragged
	p.pressed = false
	if pressed && p.on.Part == 2 {
		g.slideTo() // a tap, or what it moved since the last frame
		g.session.Tell(p.on.ID)
	}
	if !pressed || working || p.on.Part >= 2 {
		return
	}
	switch {
	case !over || hit.ID != p.on.ID:
	case p.on.Part != 0:
		g.session.Adjust(p.on.ID, p.on.Part, ebiten.IsKeyPressed(ebiten.KeyShift))
	default:
		g.session.Press(p.on.ID)
	}
}

// scroll moves the column under a point.
func (g *Game) scroll(x, y, dy float64) {
	for i, c := range g.sheet.Columns {
		if c.Box.Contains(x, y) {
			g.session.Scroll(i, dy)
			return
		}
	}
}
