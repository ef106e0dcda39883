package bench_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/specimen"
	"tugback/scenarios"
)

// keeper remembers what it was given.
type keeper struct {
	records [][]byte
	current []byte
	saves   int
}

func (k *keeper) Keep(record []byte)     { k.records = append(k.records, bytes.Clone(record)) }
func (k *keeper) SaveCurrent(run []byte) { k.current = bytes.Clone(run); k.saves++ }

func open(t testing.TB, current []byte) (*bench.Session, *keeper) {
	t.Helper()
	k := &keeper{}
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Keeper: k, Current: current, Quiz: bench.QuizOpening{Now: func() time.Time { return quizBegun }}})
	if err != nil {
		t.Fatal(err)
	}
	return s, k
}

// student presses keys, as a person does who never touches a mouse, and keeps a list of them.
type student struct {
	t    testing.TB
	s    *bench.Session
	list *[]string
}

// newStudent sits a student down at a session.
func newStudent(t testing.TB, s *bench.Session) student { return student{t, s, new([]string)} }

// key presses keys; + before a name stands for Shift.
func (p student) key(names ...string) {
	for _, n := range names {
		shift := strings.HasPrefix(n, "+")
		p.s.Type(bench.Stroke{Key: strings.TrimPrefix(n, "+"), Shift: shift})
		*p.list = append(*p.list, n)
		if n == "Space" {
			p.s.Hold(false)
		}
	}
}

// focus tabs to a control, the shorter way round.
func (p student) focus(id string) {
	p.t.Helper()
	list := p.s.Page().Controls()
	at := func(id string) int {
		return slices.IndexFunc(list, func(c bench.Control) bool { return c.ID == id })
	}
	from, to, n := at(p.s.Focus()), at(id), len(list)
	if to < 0 {
		p.t.Fatalf("there is no %s on %s", id, p.s.Screen())
	}
	way := "Tab"
	if from >= 0 && (to-from+n)%n > n/2 {
		way = "+Tab"
	}
	for range n + 1 {
		if p.s.Focus() == id {
			return
		}
		p.key(way)
	}
	p.t.Fatalf("the keyboard does not reach %s on %s", id, p.s.Screen())
}

func (p student) press(id string) {
	p.t.Helper()
	p.focus(id)
	p.key("Enter")
}

// value turns a control until it shows a value.
func (p student) value(id, want string) {
	p.t.Helper()
	p.focus(id)
	number := func(text string) float64 {
		v := 0.0
		for i, r := range text {
			if r == ' ' {
				text = text[:i]
				break
			}
		}
		if _, err := sscan(text, &v); err != nil {
			return -1
		}
		return v
	}
	for range 400 {
		now := p.shown(id)
		if now == want {
			return
		}
		a, b := number(now), number(want)
		switch {
		case b < 0 || a < 0:
			p.key("Right")
		case b-a >= step(id):
			p.key("Right")
		case a-b >= step(id):
			p.key("Left")
		case b > a:
			p.key("+Right")
		default:
			p.key("+Left")
		}
	}
	p.t.Fatalf("%s shows %q and never %q", id, p.shown(id), want)
}

func (p student) shown(id string) string {
	for _, c := range p.s.Page().Controls() {
		if c.ID == id {
			return c.Value
		}
	}
	p.t.Fatalf("no control %s", id)
	return ""
}

// stage goes to a step and an act of it.
func (p student) act(stage, kind string) {
	p.t.Helper()
	p.key(stage)
	for range 6 {
		for _, c := range p.s.Page().Controls() {
			if c.ID == "kind:"+kind && c.Chosen {
				return
			}
		}
		p.key("a")
	}
}

// TestATreatmentByKeyboard treats the upper lateral incisor from the shelf to the debrief with keys alone,
// and runs the record that comes out again.
func TestATreatmentByKeyboard(t *testing.T) {
	s, k := open(t, nil)
	p := newStudent(t, s)
	s.Compose(1280, 800) // what is offered depends on the room there is
	treatIncisor(p)
	if s.Screen() != bench.DebriefScreen {
		t.Fatalf("the screen is %s, want debrief", s.Screen())
	}
	if len(k.records) != 1 || len(k.current) != 0 {
		t.Fatalf("%d records kept and %d bytes under way, want 1 and 0", len(k.records), len(k.current))
	}
	record, err := attempt.Decode(k.records[0])
	if err != nil {
		t.Fatal(err)
	}
	again := specimen.Treat(t, specimen.Seeded(t, "upper-lateral-incisor", record.Seed), record.Actions)
	if got := again.Close().Digest; got != record.Digest {
		t.Errorf("run again the digest is %s, want %s", got, record.Digest)
	}
	if share := record.Marks.Total / record.Marks.Available; share < 0.5 {
		t.Errorf("the treatment earned %.0f %% of the points, want half at least", 100*share)
	}
	t.Logf("%d keys, %d actions, %.1f of %.0f points", len(*p.list), len(record.Actions), record.Marks.Total, record.Marks.Available)
	checkKeys(t, *p.list)
	p.press("show:")
	for range 10 {
		p.key("[")
	}
	if d := s.Page().Centre.Clock; d == "" {
		t.Error("the debrief has no clock")
	}
}
