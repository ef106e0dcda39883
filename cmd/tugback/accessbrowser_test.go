package main_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// object is what a screen reader is given of a part of the page.
type object struct{ role, name, about string }

// tree returns the page as the browser gives it to a screen reader.
func (b *tab) tree() []object {
	b.t.Helper()
	nodes := do(b, answerTime, "read the accessibility tree", chromedp.Action[[]*accessibility.Node](func(ctx context.Context, target *chromedp.Target) ([]*accessibility.Node, error) {
		got, err := cdp.Call(ctx, target, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
		if err != nil {
			return nil, err
		}
		return got.Nodes, nil
	}))
	text := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		return strings.Trim(string(v.Value), `"`)
	}
	var out []object
	for _, n := range nodes {
		if role := text(n.Role); !n.Ignored && role != "InlineTextBox" && role != "generic" {
			out = append(out, object{role, text(n.Name), text(n.Description)})
		}
	}
	return out
}

// holds waits until the tree has an object of a role whose name or description holds a text.
func (b *tab) holds(role, text string) {
	b.t.Helper()
	for until := time.Now().Add(answerTime); ; time.Sleep(lookTime) {
		list := b.tree()
		for _, o := range list {
			if o.role == role && (strings.Contains(o.name, text) || strings.Contains(o.about, text)) {
				return
			}
		}
		if time.Now().After(until) {
			b.t.Fatalf("a screen reader finds no %s with %q; it finds %+v", role, text, list)
		}
	}
}

// TestBrowserAccessible opens the bench as somebody who cannot see it, with a keyboard, in a browser that asks
// for less motion and more contrast: the canvas says what it is and which keys help, the page stands beside it
// in words, F4 has it read, and the browser's own keys stay its own.
func TestBrowserAccessible(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	do(b, answerTime, "ask for less motion", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-reduced-motion", Value: "reduce"}, {Name: "prefers-contrast", Value: "more"}}})
		return err
	}))
	b.visit(s.url)
	b.holds("application", "tugback")
	b.holds("application", "F1 is help")
	b.holds("region", "The page in words")
	b.holds("heading", "Case shelf")
	b.choose("Upper left lateral incisor")
	b.holds("heading", "History")
	b.press(kb.F4)
	b.waitFor("Cold test")
	b.press(kb.F2)
	b.holds("StaticText", "Colours: high contrast")
	b.holds("StaticText", "Less motion: on")
	const listen = `addEventListener("keydown", (event) => { window.lastKey = event.key + (event.defaultPrevented ? " taken" : " free"); })`
	do(b, answerTime, "listen to keys", chromedp.Evaluate[any](listen))
	for _, key := range []struct {
		key, code string
		with      int64
		want      string
	}{{"=", "Equal", 2 /* Ctrl */, "= free"}, {"F6", "F6", 0, "F6 free"}, {"Tab", "Tab", 0, "Tab taken"}} {
		for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
			b.dispatch(&input.DispatchKeyEventParams{Type: kind, Key: key.key, Code: key.code, Modifiers: key.with})
		}
		if got := do(b, answerTime, "look at the key", chromedp.Evaluate[string](`window.lastKey`)); got != key.want {
			t.Errorf("the key was %q, want %q", got, key.want)
		}
	}
	t.Log("a screen reader is given the page in words, the log of what happens, and the keys")
}
