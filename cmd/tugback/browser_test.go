package main_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tugback/internal/attempt"
	"tugback/internal/rehearsal"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// Times a browser without a graphics card is given on a slow computer.
const (
	openingTime = 90 * time.Second // from the address to the first picture
	answerTime  = 20 * time.Second // from a key to what comes of it
	lookTime    = 20 * time.Millisecond
)

// Size of the page, px, and device px in one of them: without a graphics card every one of them costs.
const (
	wide    = 1280
	high    = 800
	density = 0.5
)

// mostControls is above the number of controls of any page.
const mostControls = 80

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
	t   *testing.T
	ctx context.Context
	end context.CancelFunc

	mu       sync.Mutex
	forgiven []string // parts of messages that are no faults
}

// forgive lets the page report errors that hold one of some texts.
func (b *tab) forgive(texts ...string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.forgiven = texts
}

// report fails the test for an error that the page reports.
func (b *tab) report(m chromedp.ConsoleMessage) {
	b.mu.Lock()
	defer b.mu.Unlock()
	forgiven := slices.ContainsFunc(b.forgiven, func(text string) bool { return strings.Contains(m.Text, text) })
	if m.Type != chromedp.ConsoleError && !m.IsException() || forgiven {
		return
	}
	b.t.Errorf("the page reports %s (%s)", m, m.URL)
}

// openBrowser starts a browser without a window that draws without a graphics card. Whatever the page
// reports as an error fails the test.
func openBrowser(t *testing.T) *tab {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(os.Getenv("TUGBACK_BROWSER")), chromedp.WindowSize(wide, high),
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
			b.report(m)
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

// size sets the size of the page, px.
func (b *tab) size(w, h int64) {
	b.t.Helper()
	do(b, answerTime, "set the size", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: w, Height: h, DeviceScaleFactor: density})
		return err
	}))
}

// visit opens the page, waits until the bench has drawn and has the keyboard, and returns how long that
// took.
func (b *tab) visit(url string) time.Duration {
	b.t.Helper()
	b.size(wide, high)
	return b.open(url)
}

// open is visit at the size that is set.
func (b *tab) open(url string) time.Duration {
	b.t.Helper()
	begin := time.Now()
	do(b, answerTime, "open the page", chromedp.Navigate(url))
	do(b, openingTime, "wait for the bench", chromedp.Poll[bool](
		`document.getElementById("loading").hidden && document.getElementById("mirror").textContent !== "" && document.activeElement.tagName === "CANVAS"`,
		chromedp.WithPollingTimeout(openingTime)))
	return time.Since(begin)
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
			b.dispatch(event)
			if event.Type == kb.KeyDown {
				b.frames(2)
			}
		}
		b.frames(1)
	}
}

// dispatch sends one event of the keyboard.
func (b *tab) dispatch(event *input.DispatchKeyEventParams) {
	b.t.Helper()
	do(b, answerTime, "press a key", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, input.DispatchKeyEvent, *event)
		return err
	}))
}

// frames waits until the page has drawn so many times, however slow the computer.
func (b *tab) frames(n int) {
	b.t.Helper()
	wait := fmt.Sprintf(`new Promise((done) => { let n = %d; const next = () => n-- > 0 ? requestAnimationFrame(next) : done(true); next(); })`, n)
	do(b, answerTime, "wait for a picture", chromedp.Evaluate[bool](wait, chromedp.EvalAwaitPromise))
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
		time.Sleep(lookTime)
	}
}

// to moves the keyboard back, as Shift and Tab do, to the control whose name begins with a text: what acts
// stands last on a page.
func (b *tab) to(name string) {
	b.t.Helper()
	shift := kb.Encode([]rune(kb.Shift)[0])
	b.dispatch(shift[0])
	defer b.dispatch(shift[len(shift)-1])
	for range mostControls {
		b.press(kb.Tab)
		if strings.HasPrefix(b.lastLine(), name) {
			return
		}
	}
	b.picture("failed")
	b.t.Fatalf("the keyboard never reaches %q; the page says %q", name, b.mirror())
}

// choose moves the keyboard to a control and presses it.
func (b *tab) choose(name string) {
	b.t.Helper()
	b.to(name)
	b.press(kb.Enter)
}

// lastLine returns what the page said last.
func (b *tab) lastLine() string {
	lines := strings.Split(strings.TrimSpace(b.mirror()), "\n")
	return lines[len(lines)-1]
}

// TestBrowserTreatment treats the upper lateral incisor by keyboard alone, from the shelf to the debrief,
// with the list of keys that the test of package bench keeps. The record that the server keeps must stand
// verification by the program.
func TestBrowserTreatment(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	b.visit(s.url)
	b.picture("shelf")
	list, err := os.ReadFile("../../testdata/keys/upper-lateral-incisor.txt")
	if err != nil {
		t.Fatal(err)
	}
	r := rehearsal.New(t, &page{b, s}, scenarios.Files, true, wide, high)
	r.Incisor(string(list))
	b.checkTreatment(program, s, "upper-lateral-incisor", "keyboard")
}

// firstFrame is how long the bench may take from its address to the first frame that can be used, once its
// page is built.
const firstFrame = 3 * time.Second

// TestBrowserOpens measures how long the bench takes from its address to the first frame that can be used. Of
// some times the shortest counts, since other programs can only make one longer; on a computer that is busy
// with other things it is told and not judged.
func TestBrowserOpens(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	best := b.visit(s.url)
	for range 4 {
		best = min(best, b.visit(s.url))
	}
	load := busy()
	told := fmt.Sprintf("first usable frame %.1f s after the address, %.0f allowed, drawn without a graphics card, %.1f programs running", best.Seconds(), firstFrame.Seconds(), load)
	if best > firstFrame && load <= 2*float64(runtime.NumCPU()) {
		t.Error(told)
		return
	}
	t.Log(told)
}

// busy returns how many programs wanted a processor in the last minute, 0 where that is not known.
func busy() (load float64) {
	text, err := os.ReadFile("/proc/loadavg")
	if err == nil {
		_, err = fmt.Sscan(string(text), &load)
	}
	if err != nil {
		return 0
	}
	return load
}

// TestBrowserMouse treats the lower first molar by the mouse alone.
func TestBrowserMouse(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	b.visit(s.url)
	r := rehearsal.New(t, &page{b, s}, scenarios.Files, true, wide, high)
	r.Molar()
	b.checkTreatment(program, s, "lower-first-molar", "mouse")
}

// TestBrowserTouch works in the lower premolar with a finger alone, on a tablet held upright.
func TestBrowserTouch(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	b := openBrowser(t)
	const w, h = 820, 1180
	b.size(w, h)
	b.open(s.url)
	r := rehearsal.New(t, &finger{&page{b, s}}, scenarios.Files, true, w, h)
	r.Fingers()
	b.picture("touch")
	if list := s.list(t); len(list) != 1 {
		t.Errorf("%d records are kept, want 1", len(list))
	}
	t.Log("a treatment by fingers alone, with film, ruler, sliders, held work and the time line")
}

// checkTreatment holds that the debrief stands open and that the one record kept is of a whole treatment,
// and stands verification.
func (b *tab) checkTreatment(program string, s *served, name, by string) {
	t := b.t
	t.Helper()
	b.waitFor("Debrief")
	b.frames(2)
	b.picture("debrief")
	if list := s.list(t); len(list) != 1 {
		t.Fatalf("%d records are kept, want 1", len(list))
	}
	file := filepath.Join(t.TempDir(), "record.json")
	data := s.get(t, "practice/1")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	record, err := attempt.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if lacking := rehearsal.Lacking(record.Actions); len(lacking) > 0 || record.Scenario.Name != name {
		t.Errorf("the treatment of %s lacks %v", record.Scenario.Name, lacking)
	}
	if out, err := exec.Command(program, "verify", file).CombinedOutput(); err != nil {
		t.Errorf("verify: %v\n%s", err, out)
	}
	t.Logf("%s by %s: %d actions, %.1f of %.0f points, digest %s, verified", name, by, len(record.Actions), record.Marks.Total, record.Marks.Available, record.Digest[:12])
	if left := s.get(t, "practice/current"); len(left) > 0 {
		t.Errorf("after the finish a run is under way: %s", left)
	}
}

// begin chooses a case and begins its treatment.
func (b *tab) begin() {
	b.t.Helper()
	b.choose("Upper left lateral incisor")
	b.choose("Begin treatment")
	b.to("Judge the case")
}

// TestBrowserKilled takes films one after the other, kills the server ten times at a random moment, leaves
// the page, and holds that whoever comes back finds all that was done but at most the last action.
func TestBrowserKilled(t *testing.T) {
	program, data := browserTest(t), filepath.Join(t.TempDir(), "practice.db")
	s := serve(t, program, data)
	b := openBrowser(t)
	// What the browser says of a server that is gone, by how far the request was when it died.
	b.forgive("ERR_CONNECTION_REFUSED", "ERR_CONNECTION_RESET", "ERR_CONNECTION_CLOSED", "ERR_EMPTY_RESPONSE", "ERR_SOCKET_NOT_CONNECTED")
	b.visit(s.url)
	b.begin()
	b.press("a")
	b.to("Take the film")
	kept := 0
	for round := range 10 {
		before := b.count("Film taken")
		time.AfterFunc(time.Duration(rand.IntN(1500))*time.Millisecond, func() { s.cmd.Process.Kill() })
		for alive := true; alive; {
			b.press(kb.Enter)
			select {
			case <-s.done:
				alive = false
			default:
			}
		}
		done := kept + b.count("Film taken") - before
		s = serve(t, program, data)
		b.visit(s.url)
		var run struct{ Actions []treatment.Action }
		if text := s.get(t, "practice/current"); len(text) > 0 {
			if err := json.Unmarshal(text, &run); err != nil {
				t.Fatalf("round %d: %v", round, err)
			}
		}
		// What was done as the server died may have been kept before the page came to say so.
		if kept = len(run.Actions); kept < done-1 || kept > done+1 {
			t.Errorf("round %d: %d films were taken, %d are kept", round, done, kept)
		}
	}
	t.Logf("killed ten times, %d films are kept", kept)
}

// count returns how many lines of the mirror hold a text.
func (b *tab) count(text string) int { return strings.Count(b.mirror(), text) }
