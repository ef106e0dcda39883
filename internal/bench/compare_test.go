package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/scenarios"
)

// finished treats the lower premolar a little and ends it.
func finished(t testing.TB, k *keeper, o bench.Opening) (*bench.Session, student) {
	t.Helper()
	o.Cases, o.Keeper = scenarios.Files, k
	s, err := bench.New(o)
	if err != nil {
		t.Fatal(err)
	}
	p := newStudent(t, s)
	p.press("case:lower-premolar")
	p.press("begin")
	p.key("2")
	p.press("go")
	p.key("x")
	p.press("go")
	p.key("F10")
	p.press("show:")
	return s, p
}

// TestBeside: in the debrief an earlier attempt on the same tooth, fetched from what is kept, or the
// instructor's plan stands beside one's own: two plates, two lines of transportation, points of both.
func TestBeside(t *testing.T) {
	first := &keeper{}
	finished(t, first, bench.Opening{})
	record, err := attempt.Decode(first.records[0])
	if err != nil {
		t.Fatal(err)
	}
	fetched := 0
	k := &keeper{}
	s, p := finished(t, k, bench.Opening{
		Kept: []bench.Kept{{ID: 7, Scenario: "lower-premolar", Total: record.Marks.Total, Available: record.Marks.Available}},
		Record: func(id int64) <-chan []byte {
			fetched++
			comes := make(chan []byte, 1)
			if id == 7 {
				comes <- first.records[0]
			}
			return comes
		},
	})
	if s.Page().Centre.Beside != nil {
		t.Fatal("something stands beside before it was asked for")
	}
	for _, want := range []string{"plan", "earlier attempt"} {
		p.press("beside:")
		s.Tick(16)
		page := s.Page()
		if page.Centre.Beside == nil || !strings.Contains(page.Centre.Names[1], want) {
			t.Fatalf("beside stands %q, want the %s", page.Centre.Names[1], want)
		}
		if got := page.Centre.Beside.State.Case.Seed; got != page.Centre.Plate.State.Case.Seed {
			t.Errorf("the %s is on another tooth", want)
		}
		var graph *bench.Graph
		for _, b := range page.Right {
			if b.Graph != nil {
				graph = b.Graph
			}
		}
		if graph == nil || len(graph.Lines) != 2 || !strings.Contains(graph.Lines[1].Name, want) {
			t.Errorf("the graph does not show both: %+v", graph)
		}
	}
	if fetched != 1 {
		t.Errorf("the record was fetched %d times", fetched)
	}
	p.press("beside:")
	if s.Page().Centre.Beside != nil {
		t.Error("nothing more was to stand beside")
	}
}

// TestBeforeOver: the plate of the debrief shows the moment, the tooth before, and the walls as grown over
// those of the moment.
func TestBeforeOver(t *testing.T) {
	s, _ := finished(t, &keeper{}, bench.Opening{})
	p := newStudent(t, s)
	at := s.Page().Centre.Plate.State.Elapsed
	p.key("v")
	if s.Page().Centre.Plate.State.Elapsed != 0 {
		t.Error("V does not show the tooth before")
	}
	p.key("v")
	if over := s.Page().Centre.Plate; over.State.Elapsed != at || len(over.Over) != 1 || len(over.Over[0].First) < 20 {
		t.Errorf("V does not lay the walls as grown over the moment: %d outlines", len(over.Over))
	}
	p.key("v")
	if now := s.Page().Centre.Plate; now.Over != nil || now.State.Elapsed != at {
		t.Error("V does not come back to the moment")
	}
}

// TestComments: comments that the gradebook takes are shown in the debrief, lead to their moments, and stand
// on the time line; a file with faults is told line by line and nothing of it is shown.
func TestComments(t *testing.T) {
	s, p := finished(t, &keeper{}, bench.Opening{})
	s.Take("comments.csv", []byte("candidate,case,action,by,comment\n"+
		"c1,lower-premolar,2,E. Examiner,\"A film after the dam is on is harder to place.\"\n"+
		"c1,lower-premolar,,E. Examiner,Read the chapter on access again.\n"+
		"c1,upper-canine,1,E. Examiner,Another case.\n"))
	text := strings.Join(lines(s.Page().Right), "|")
	if !strings.Contains(text, "Comments") {
		t.Fatalf("no comments in %s", text)
	}
	p.press("earlier:")
	p.press("comment:1")
	if got := s.Page().Centre.Foot; !strings.HasPrefix(got, "Action 2") {
		t.Errorf("the comment leads to %q, want action 2", got)
	}
	if pins := s.Page().Foot[0].Controls[0].Pins; len(pins) != 2 || pins[1] != 1 {
		t.Errorf("the time line has pins at %v, want 0 and the end", pins)
	}
	s.Take("comments.csv", []byte("candidate,case,action,by,comment\nc1,lower-premolar,1,E,fine\nc2,lower-premolar,1,E,fine\n"))
	for _, c := range s.Page().Controls() {
		if strings.HasPrefix(c.ID, "comment:") {
			t.Error("comments on several candidates are shown")
		}
	}
	for _, bad := range []struct{ text, say string }{
		{"candidate,case\n", "1: the head is not"},
		{"candidate,case,action,by,comment\nc,x,-1,E,y\nc,x,1,E, \n", "2: action is"},
	} {
		s.Said()
		s.Take("f.csv", []byte(bad.text))
		if text := strings.Join(s.Said(), " "); !strings.Contains(text, bad.say) {
			t.Errorf("%q: said %q, want %q", bad.text, text, bad.say)
		}
	}
}

// TestTakeRecord: a record handed to the bench is carried out again and looked back at; one that does not
// give what it says is refused.
func TestTakeRecord(t *testing.T) {
	k := &keeper{}
	finished(t, k, bench.Opening{})
	s, _ := open(t, nil)
	s.Take("record.json", []byte(strings.Replace(string(k.records[0]), `"total":`, `"total":1`, 1)))
	if s.Screen() != bench.ShelfScreen || s.Page().Tell == nil && !strings.Contains(strings.Join(s.Said(), " "), "cannot be shown") {
		t.Errorf("a forged record was opened, or nothing was said: %s", s.Screen())
	}
	s.Take("record.json", k.records[0])
	if s.Screen() != bench.DebriefScreen {
		t.Errorf("the record was not opened: %v", s.Said())
	}
	s.Take("photo.png", []byte{0x89, 'P'})
	if text := strings.Join(s.Said(), " "); !strings.Contains(text, "photo.png is neither") {
		t.Errorf("said %q of a picture", text)
	}
}
