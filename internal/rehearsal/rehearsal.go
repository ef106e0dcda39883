// Package rehearsal carries treatments out at a bench that runs elsewhere, in a browser's page or in a
// window, by real keys and a real pointer, and holds it to what it has to say.
//
// The main idea: beside the bench under test runs a session of its own, without a display. Every key and
// every press is given to both. From the session's sheet, laid out at the same size, comes where a control
// stands; from what the session says comes what the bench must have said before the next key is pressed.
// So nothing depends on how fast the computer is, and the first difference ends the test with both texts.
// Work that is held takes as many strokes as there was time for: those are read from the practice that the
// bench keeps, and the session makes as many.
//
// It is for tests alone; a Host of package cmd/tugback drives Chromium, one of cmd/tugback-desk X. Begin
// reading at New, then at Molar.
package rehearsal

import (
	"errors"
	"io/fs"
	"slices"
	"strings"
	"time"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/treatment"
)

// Host gives real input to a bench that runs elsewhere and tells what comes of it.
type Host interface {
	KeyDown(key string)              // presses a key of bench.Stroke, or "Shift"
	KeyUp(key string)                // lets it go
	Press(x, y float64)              // presses the pointer at a place of the sheet
	Release(x, y float64)            // lets it go there
	Wheel(x, y float64, notches int) // turns the wheel there, each notch WheelStep px downwards
	Settle()                         // waits until what was given is drawn
	Heard() (last string, count int) // what the bench said last, lines with newlines between them, and how often it spoke
	Actions() []treatment.Action     // of the run under way that the bench keeps
}

// Test is what a rehearsal needs of a *testing.T.
type Test interface {
	Helper()
	Fatalf(format string, args ...any)
}

// WheelStep is how far a notch of the wheel scrolls, px.
const WheelStep = 48

// Times that a slow computer is given.
const (
	patience = 60 * time.Second // for the bench to say what it has to
	lookTime = 10 * time.Millisecond
)

// Rehearsal is a treatment under way at a bench and at the session beside it.
type Rehearsal struct {
	t    Test
	host Host
	twin *bench.Session
	w, h float64
	said strings.Builder
	told int           // how often the session spoke
	last string        // what it said last
	held time.Duration // how long work is held
}

// New begins at a bench that stands on the shelf with an empty practice. w and h are its size, px; cases
// are its scenarios, and picks says whether it asks for files, as a page does and a window does not.
func New(t Test, host Host, cases fs.FS, picks bool, w, h float64) *Rehearsal {
	t.Helper()
	opening := bench.Opening{Cases: cases, Quiz: bench.QuizOpening{Now: time.Now}, Exam: closedDesk{}}
	if picks {
		opening.Pick = func() {}
	}
	twin, err := bench.New(opening)
	if err != nil {
		t.Fatalf("%v", err)
	}
	r := &Rehearsal{t: t, host: host, twin: twin, w: w, h: h}
	r.listen("the opening")
	return r
}

// closedDesk is a desk at which no examination is sat: with one the shelf says how a paper is opened.
type closedDesk struct{}

var errClosed = errors.New("rehearsal: no examination is sat here")

// Log refuses.
func (closedDesk) Log(exam.Packet, int) (exam.Log, [][]byte, error) { return nil, nil, errClosed }

// Keep refuses.
func (closedDesk) Keep(string, []byte) (string, error) { return "", errClosed }

// HandIn has no server.
func (closedDesk) HandIn(int, []byte) <-chan bench.HandedIn { return nil }

// Seat has none.
func (closedDesk) Seat() bench.Seat { return nil }

// Clock is the machine's.
func (closedDesk) Clock() exam.Clock { return nil }

// Screen returns the screen that stands open.
func (r *Rehearsal) Screen() bench.Screen { return r.twin.Screen() }

// Keys presses keys and holds each until it is answered; + before a name stands for Shift.
func (r *Rehearsal) Keys(names ...string) {
	r.t.Helper()
	for _, name := range names {
		key, shift := strings.CutPrefix(name, "+")
		if key == "Space" && r.twin.Screen() == bench.TreatmentScreen {
			r.holdBy("Space", func(held time.Duration) {
				r.host.KeyDown("Space")
				time.Sleep(held)
				r.host.KeyUp("Space")
			})
			continue
		}
		if shift {
			r.host.KeyDown("Shift")
		}
		r.host.KeyDown(key)
		r.twin.Type(bench.Stroke{Key: key, Shift: shift})
		r.listen("key " + name)
		r.host.KeyUp(key)
		if shift {
			r.host.KeyUp("Shift")
		}
	}
}

// Incisor treats the upper lateral incisor with the keyboard alone by a list of keys as the test of package
// bench keeps it. The way to the case is found here: a page has a control more on the shelf than a window.
func (r *Rehearsal) Incisor(list string) {
	r.t.Helper()
	keys := strings.Fields(list)
	first := slices.Index(keys, "Enter")
	if first < 0 {
		r.t.Fatalf("the list of keys has no Enter")
	}
	for range mostTurns {
		if r.twin.Focus() == "case:upper-lateral-incisor" {
			break
		}
		r.Keys("Tab")
	}
	r.Keys(keys[first:]...)
}

// listen waits until the bench has said all that the session has, and nothing else.
func (r *Rehearsal) listen(after string) {
	r.t.Helper()
	news := r.twin.Said()
	for _, line := range news {
		r.last = line
		r.said.WriteString(line + "\n")
	}
	r.sheet()
	if len(news) == 0 {
		r.host.Settle()
	}
	r.told += len(news)
	want, got, count := "\n"+strings.TrimSpace(r.said.String()), "", -1
	for until := time.Now().Add(patience); time.Now().Before(until) && count < r.told; time.Sleep(lookTime) {
		got, count = r.host.Heard()
		if got = strings.TrimSpace(got); count == r.told && strings.HasSuffix(want, "\n"+got) {
			return
		}
	}
	r.t.Fatalf("after %s the bench has spoken %d times, the last\n…%s\nwant %d\n…%s", after, count, tail(got), r.told, tail(want))
}

// tail returns the last lines of a text.
func tail(text string) string {
	lines := strings.Split(text, "\n")
	return strings.Join(lines[max(0, len(lines)-6):], "\n")
}

// sheet lays the session's page out as the bench does.
func (r *Rehearsal) sheet() *bench.Sheet {
	for range 3 {
		before := r.twin.Revision()
		sheet := r.twin.Compose(r.w, r.h)
		if r.twin.Revision() == before {
			return sheet
		}
	}
	return r.twin.Compose(r.w, r.h)
}

// holdBy works for a while and has the session make as many strokes as the bench then did.
func (r *Rehearsal) holdBy(what string, hold func(time.Duration)) {
	r.t.Helper()
	before := len(r.host.Actions())
	hold(r.held)
	var actions []treatment.Action
	for until := time.Now().Add(patience); ; time.Sleep(lookTime) {
		if actions = r.host.Actions(); len(actions) > before {
			break
		}
		if time.Now().After(until) {
			last, _ := r.host.Heard()
			r.t.Fatalf("%s was held and no action came of it; %d are kept, the last words are\n%s", what, before, tail(last))
		}
	}
	strokes := actions[len(actions)-1].Strokes
	if len(actions) != before+1 || actions[before].Do != treatment.Work || strokes < bench.Burst {
		r.t.Fatalf("%s was held and gave %d actions, the last %v", what, len(actions)-before, actions[len(actions)-1])
	}
	r.twin.Hold(true)
	for made := bench.Burst; made < strokes; made += bench.Burst {
		r.twin.Tick(bench.BurstTime)
	}
	r.twin.Hold(false)
	r.listen(what)
}

// Lacking returns the kinds of action that a whole treatment has and this one lacks.
func Lacking(actions []treatment.Action) []treatment.Kind {
	var out []treatment.Kind
	for _, kind := range []treatment.Kind{treatment.Judge, treatment.Isolate, treatment.Open, treatment.Find, treatment.SetLength, treatment.Work,
		treatment.Irrigate, treatment.Gauge, treatment.Dry, treatment.Fit, treatment.Fill, treatment.Seal, treatment.Restore, treatment.Review} {
		if !slices.ContainsFunc(actions, func(a treatment.Action) bool { return a.Do == kind }) {
			out = append(out, kind)
		}
	}
	return out
}
