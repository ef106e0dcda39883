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
