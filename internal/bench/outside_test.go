package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/scenarios"
)

// TestWarnOnce: a fault from outside stands once on every page it can be told on.
func TestWarnOnce(t *testing.T) {
	const fault = "the class server does not answer"
	for _, screen := range []bench.Screen{bench.ShelfScreen, bench.BriefingScreen, bench.TreatmentScreen, bench.DebriefScreen, bench.QuizScreen} {
		s, _ := open(t, nil)
		p := newStudent(t, s)
		switch screen {
		case bench.ShelfScreen:
		case bench.QuizScreen:
			p.press("quiz:open")
		case bench.DebriefScreen:
			s, _ = finished(t, &keeper{}, bench.Opening{})
		default:
			p.press("case:lower-premolar")
			if screen == bench.TreatmentScreen {
				p.press("begin")
			}
		}
		s.Said()
		s.Warn(fault)
		if n := strings.Count(textsOf(s.Page()), fault); s.Screen() != screen || n != 1 || strings.Join(s.Said(), "") != fault {
			t.Errorf("on %s, wanted %s, the fault stands %d times, want once", s.Screen(), screen, n)
		}
	}
}

// TestUnkept: that nothing is kept stands on the page as long as it lasts, whatever is done meanwhile; that the
// class server takes no more lines stands there to the end of the sitting.
func TestUnkept(t *testing.T) {
	s, _ := begun(t)
	s.Unkept("database or disk is full")
	for range 2 {
		if text := textsOf(s.Page()); !strings.Contains(text, "disk is full") {
			t.Errorf("nothing is told: %s", text)
		}
		s.Type(bench.Stroke{Key: "i"})
	}
	s.Unkept("")
	if text := strings.Join(s.Said(), " "); !strings.Contains(text, "kept again") {
		t.Errorf("said %q, want that it is kept again", text)
	}
	s.Type(bench.Stroke{Key: "w"})
	if text := textsOf(s.Page()); strings.Contains(text, "disk is full") {
		t.Error("what is mended still stands on the page")
	}
	_, packet := sealedPaper(t)
	s, p := examSession(t, newMemory(), packet)
	p.press("exam:begin")
	s.Unsent("the class server refuses (403): the paper is closed")
	p.press("exam:case-0")
	if text := textsOf(s.Page()); !strings.Contains(text, "takes no more lines") || !strings.Contains(text, "the paper is closed") {
		t.Errorf("the candidate is not told: %s", text)
	}
}

// TestElsewhere: a treatment that goes on in another window is put away with a word; an examination, which is
// kept by itself, stays.
func TestElsewhere(t *testing.T) {
	s, _ := begun(t)
	s.Elsewhere()
	text := textsOf(s.Page())
	if s.Screen() != bench.ShelfScreen || strings.Contains(text, "On the bench") || !strings.Contains(text, "Another window") {
		t.Errorf("on %s stands %q", s.Screen(), text)
	}
	_, packet := sealedPaper(t)
	s, p := examSession(t, newMemory(), packet)
	p.press("exam:begin")
	s.Elsewhere()
	if s.Screen() != bench.ExamScreen {
		t.Errorf("the examination was left for %s", s.Screen())
	}
}

// TestLateRecord: an earlier attempt that comes when the student has begun to treat again is not opened.
func TestLateRecord(t *testing.T) {
	first := &keeper{}
	finished(t, first, bench.Opening{})
	for _, late := range []bool{false, true} {
		comes := make(chan []byte, 1)
		s, p := withKept(t, comes)
		p.press("case:lower-premolar")
		p.press("past")
		want := bench.DebriefScreen
		if late {
			p.press("begin")
			want = bench.TreatmentScreen
		}
		comes <- first.records[0]
		s.Tick(16)
		if s.Screen() != want {
			t.Errorf("late %v: the record led to %s, want %s", late, s.Screen(), want)
		}
	}
}

// withKept returns a session on whose shelf an attempt at the premolar is kept, fetched through a channel.
func withKept(t *testing.T, comes <-chan []byte) (*bench.Session, student) {
	t.Helper()
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Kept: []bench.Kept{{ID: 7, Scenario: "lower-premolar", Total: 1, Available: 2}},
		Record: func(int64) <-chan []byte { return comes }})
	if err != nil {
		t.Fatal(err)
	}
	return s, newStudent(t, s)
}

// TestServerComments: when the paper has closed, who handed in looks back at it, though another attempt was
// allowed, and reads there what was said of their own moments; what cannot be read is told.
func TestServerComments(t *testing.T) {
	_, packet := sealedPaper(t)
	m := newMemory()
	_, p := examSession(t, m, packet)
	p.press("exam:begin")
	p.press("exam:enter-0")
	p.act("1", "radiograph")
	p.press("go")
	p.key("Escape", "Escape")
	p.press("exam:submit")
	p.press("exam:handin")
	m.now += 2 * 86400_000
	s, _ := examSession(t, m, packet)
	const head = "candidate,case,action,by,comment\n"
	s.TakeComments([]byte(head + "ALFA,upper-lateral-incisor,1,E. Examiner,\"Good, a film first.\"\nALFA,upper-lateral-incisor,,E. Examiner,Begin earlier.\n" +
		"BRAVO,upper-lateral-incisor,1,E. Examiner,Not yours.\nALFA,upper-lateral-incisor,7,E. Examiner,No such moment.\n"))
	text := everything(s)
	for want, stands := range map[string]bool{"Handed in": true, "1 of 2": true, "Good, a film first.": true, "action 1: ": true, "Begin earlier.": true, "Not yours": false, "No such moment": false} {
		if strings.Contains(text, want) != stands {
			t.Errorf("%q stands there: %v, want %v: %s", want, !stands, stands, text)
		}
	}
	s.TakeComments([]byte("<html>"))
	if text := strings.Join(s.Said(), " "); !strings.Contains(text, "from the class server:1: the head is not") {
		t.Errorf("said %q of a page that is no comments", text)
	}
}
