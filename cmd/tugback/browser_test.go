package main_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Times a browser without a graphics card is given on a slow computer.
const (
	openingTime = 90 * time.Second // from the address to the first picture
	answerTime  = 20 * time.Second // from a key to what comes of it
	pressTime   = 40 * time.Millisecond
)

// browserTest returns the built program, or skips: these tests need a browser, which the variable
// TUGBACK_BROWSER names, and take minutes. The gate runs them.
func browserTest(t *testing.T) string {
	t.Helper()
	if os.Getenv("TUGBACK_BROWSER") == "" {
		t.Skip("TUGBACK_BROWSER names no browser; go run ./cmd/gate browser does")
	}
	return build(t)
}

// tab is a page open in a browser.
type tab struct {
	t    *testing.T
	ctx  context.Context
	end  context.CancelFunc
	read int // characters of the mirror seen so far
}

// openBrowser starts a browser without a window that draws without a graphics card. Whatever the page
// reports as an error fails the test.
func openBrowser(t *testing.T) *tab {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(os.Getenv("TUGBACK_BROWSER")), chromedp.WindowSize(1280, 800),
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	allocator, endAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, endBrowser := chromedp.NewContext(allocator)
	b := &tab{t: t, ctx: ctx, end: func() { endBrowser(); endAllocator() }}
	t.Cleanup(b.end)
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.Type == chromedp.ConsoleError || m.IsException() {
				t.Errorf("the page reports %s (%s)", m, m.URL)
			}
		}
	}()
	return b
}

// do runs one step in the page with a limit of time.
func do[T any](b *tab, limit time.Duration, what string, step chromedp.Action[T]) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, limit)
	defer cancel()
	value, err := chromedp.Run(ctx, step)
	if err != nil {
		b.picture("failed")
		b.t.Fatalf("%s: %v\nmirror: %s", what, err, b.mirror())
	}
	return value
}

// visit opens the page and waits until the bench has drawn and has the keyboard.
func (b *tab) visit(url string) {
	b.t.Helper()
	begin := time.Now()
	do(b, answerTime, "open the page", chromedp.Navigate(url))
	do(b, openingTime, "wait for the bench", chromedp.Poll[bool](
		`document.getElementById("loading").hidden && document.getElementById("mirror").textContent !== "" && document.activeElement.tagName === "CANVAS"`,
		chromedp.WithPollingTimeout(openingTime)))
	b.t.Logf("the bench opened in %.1f s", time.Since(begin).Seconds())
}

// mirror returns what the page says to those who cannot see it.
func (b *tab) mirror() string {
	ctx, cancel := context.WithTimeout(b.ctx, answerTime)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.getElementById("mirror")?.innerText ?? ""`))
	if err != nil {
		return fmt.Sprintf("(unknown: %v)", err)
	}
	return text
}

// press presses a key, holds it for a moment as a finger does, and lets it go.
func (b *tab) press(key string) {
	b.t.Helper()
	for _, r := range key {
		for _, event := range kb.Encode(r) {
			do(b, answerTime, "press a key", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
				_, err := cdp.Call(ctx, target, input.DispatchKeyEvent, *event)
				return err
			}))
			if event.Type == kb.KeyDown {
				time.Sleep(pressTime)
			}
		}
		time.Sleep(pressTime)
	}
}

// picture writes what the page shows as a PNG beside the test's other artefacts.
func (b *tab) picture(name string) {
	ctx, cancel := context.WithTimeout(b.ctx, answerTime)
	defer cancel()
	image, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(b.t.ArtifactDir(), name+".png"), image, 0o600)
	}
	if err != nil {
		b.t.Logf("no picture: %v", err)
	}
}

// waitFor waits until the mirror holds a text.
func (b *tab) waitFor(text string) {
	b.t.Helper()
	until := time.Now().Add(answerTime)
	for !strings.Contains(b.mirror(), text) {
		if time.Now().After(until) {
			b.picture("failed")
			b.t.Fatalf("the page never says %q; it says %q", text, b.mirror())
		}
		time.Sleep(pressTime)
	}
}

func TestBrowserOpens(t *testing.T) {
	s := serve(t, browserTest(t), filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	b.visit(s.url)
	b.picture("open")
	b.press("x")
	b.waitFor("kept x: 204")
	if got := string(s.get(t, "practice/current")); got != `{"key":"x"}` {
		t.Errorf("kept %q", got)
	}
}
