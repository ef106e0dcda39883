package main_test

import (
	"context"
	"encoding/json"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tugback/internal/rehearsal"
	"tugback/internal/treatment"
)

// page is the bench in a browser, given real events of keyboard and mouse; it is a rehearsal.Host.
type page struct {
	*tab
	s *served
}

// keyRune returns the character by which package kb knows a key of the bench.
func keyRune(key string) rune {
	names := map[string]string{"Tab": kb.Tab, "Enter": kb.Enter, "Space": " ", "Left": kb.ArrowLeft, "Right": kb.ArrowRight,
		"Up": kb.ArrowUp, "Down": kb.ArrowDown, "PageUp": kb.PageUp, "PageDown": kb.PageDown, "Escape": kb.Escape,
		"F1": kb.F1, "F2": kb.F2, "F10": kb.F10, "Shift": kb.Shift}
	if text, ok := names[key]; ok {
		key = text
	}
	return []rune(key)[0]
}

func (p *page) KeyDown(key string) { p.t.Helper(); p.dispatch(kb.Encode(keyRune(key))[0]) }

func (p *page) KeyUp(key string) {
	p.t.Helper()
	events := kb.Encode(keyRune(key))
	p.dispatch(events[len(events)-1])
}

func (p *page) Press(x, y float64) {
	p.t.Helper()
	p.mouse(input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseMoved, X: x, Y: y})
	p.mouse(input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMousePressed, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
}

func (p *page) Release(x, y float64) {
	p.t.Helper()
	p.mouse(input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseReleased, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1})
}

func (p *page) Wheel(x, y float64, notches int) {
	p.t.Helper()
	p.mouse(input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseMoved, X: x, Y: y})
	p.Settle() // the wheel turns where the bench last saw the pointer
	wheel := struct {
		input.DispatchMouseEventParams
		DeltaX float64 `json:"deltaX"` // must be sent, which the package leaves out when it is 0
	}{DispatchMouseEventParams: input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseWheel, X: x, Y: y, DeltaY: float64(notches*rehearsal.WheelStep) * density}} // which the browser counts in device px
	do(p.tab, answerTime, "turn the wheel", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		return target.Call(ctx, string(input.CommandDispatchMouseEvent), wheel, nil)
	}))
}

// finger is a page that is touched.
type finger struct{ *page }

// touch sends one event of a finger; none that it is lifted.
func (f *finger) touch(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
	f.t.Helper()
	if points == nil {
		points = []*input.TouchPoint{}
	}
	do(f.tab, answerTime, "touch the page", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		return err
	}))
}

func (f *finger) Press(x, y float64) {
	f.t.Helper()
	f.touch(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: x, Y: y})
	f.Settle() // a finger rests for longer than a frame
}

func (f *finger) Release(float64, float64) {
	f.t.Helper()
	f.touch(input.DispatchTouchEventTypeTouchEnd)
	f.Settle()
}

// Wheel swipes: up to scroll down.
func (f *finger) Wheel(x, y float64, notches int) {
	f.t.Helper()
	const steps = 4
	way := float64(notches * rehearsal.WheelStep)
	f.Press(x, y+way/2)
	for k := 1; k <= steps; k++ {
		f.touch(input.DispatchTouchEventTypeTouchMove, &input.TouchPoint{X: x, Y: y + way/2 - way*float64(k)/steps})
	}
	f.Settle()
	f.Release(x, y-way/2)
}

// mouse sends one event of the mouse.
func (p *page) mouse(event input.DispatchMouseEventParams) {
	p.t.Helper()
	do(p.tab, answerTime, "move the mouse", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, input.DispatchMouseEvent, event)
		return err
	}))
}

func (p *page) Settle() { p.t.Helper(); p.frames(2) }

// Heard reads the mirror, which holds the last lines and how many there have been.
func (p *page) Heard() (last string, count int) {
	p.t.Helper()
	const look = `(() => { const m = document.getElementById("mirror"); return { Last: Array.from(m.children, (l) => l.textContent).join("\n"), Count: Number(m.dataset.said ?? 0) }; })()`
	said := do(p.tab, answerTime, "read the mirror", chromedp.Evaluate[struct {
		Last  string
		Count int
	}](look))
	return said.Last, said.Count
}

// Actions asks the server for the run under way.
func (p *page) Actions() []treatment.Action {
	p.t.Helper()
	var run struct{ Actions []treatment.Action }
	if text := p.s.get(p.t, "practice/current"); len(text) > 0 {
		if err := json.Unmarshal(text, &run); err != nil {
			p.t.Fatal(err)
		}
	}
	return run.Actions
}
