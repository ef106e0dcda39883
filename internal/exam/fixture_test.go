package exam_test

import (
	"bytes"
	"crypto/ed25519"
	"slices"
	"strings"
	"sync"
	"testing"

	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// Moments of the papers here: it is open for a day in January 2030.
const (
	opens  = 1_893_456_000
	closes = opens + 86_400
	begins = (opens + 3600) * 1000 // ms, when candidates begin
)

// desk is a sealed paper with its key.
type desk struct {
	paper exam.Paper
	key   ed25519.PrivateKey
}

// must returns a value, or ends the program: a fixture that can't be made is a fault of the test.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func testKey(n byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, ed25519.SeedSize))
}

// allItems and incisor are read once.
var (
	allItems = sync.OnceValue(func() []quiz.Item { return must(scenario.LoadItemsFS(scenarios.Files, "quiz")) })
	incisor  = sync.OnceValue(func() exam.Case {
		return must(exam.CaseOf(must(scenario.LoadFS(scenarios.Files, "upper-central-incisor.yaml"))))
	})
)

// bank returns one question of each kind.
func bank() []quiz.Item {
	all := allItems()
	var out []quiz.Item
	for _, kind := range quiz.Kinds() {
		n := slices.IndexFunc(all, func(i quiz.Item) bool { return i.Kind == kind })
		if n >= 0 {
			out = append(out, all[n])
		}
	}
	return out
}

// unsealed returns a paper of one case, a question of each kind and three candidates.
func unsealed() exam.Paper {
	paper := exam.Paper{ID: "incisor-2030", Title: "An incisor", Cases: []exam.Case{incisor()},
		Candidates: []exam.Candidate{{ID: "ALFA", TimeFactor: 1}, {ID: "BRAVO", TimeFactor: 1.5, RestS: 600}, {ID: "CHARLIE", TimeFactor: 1}},
		Terms:      exam.Terms{FromS: opens, UntilS: closes, LimitS: 3600, Attempts: 2, See: []string{exam.SeeHints}}}
	for _, i := range bank() {
		paper.Items = append(paper.Items, exam.Item{Item: i, Points: 2})
	}
	return paper
}

func sealed(t testing.TB, change func(*exam.Paper)) desk {
	t.Helper()
	paper := unsealed()
	if change != nil {
		change(&paper)
	}
	return desk{paper: specimen.Seal(t, paper), key: specimen.Key()}
}

func (d desk) packet(t testing.TB, candidate string) exam.Packet {
	t.Helper()
	return must(d.paper.Packet(candidate, d.key))
}

func (d desk) examiner(t testing.TB) *exam.Examiner {
	t.Helper()
	return must(exam.NewExaminer(d.paper))
}

// watch is a clock that is set by hand.
type watch struct{ wall, mono int64 }

func (w *watch) read() (int64, int64) { return w.wall, w.mono }

func (w *watch) pass(ms int64) { w.wall, w.mono = w.wall+ms, w.mono+ms }

func newWatch() *watch { return &watch{wall: begins} }

// kept is a log in memory that can be full.
type kept struct {
	lines [][]byte
	full  error
}

func (k *kept) Append(lines [][]byte) error {
	if k.full != nil {
		return k.full
	}
	k.lines = append(k.lines, lines...)
	return nil
}

// actions returns the first actions of the careful plan, all for 0.
func actions(t testing.TB, limit int) []treatment.Action {
	t.Helper()
	steps := specimen.Plan(t, "upper-central-incisor.hurried").Steps
	if limit > 0 {
		steps = steps[:limit]
	}
	return steps
}

// response returns an answer that fits a question.
func response(s exam.Shown) quiz.Response {
	switch s.Item.Kind {
	case quiz.Ordering:
		var ids []string
		for _, o := range s.Item.Options {
			ids = append(ids, o.ID)
		}
		return quiz.Response{Chosen: ids}
	case quiz.Matching:
		var joined []quiz.Joined
		for _, p := range s.Item.Pairs {
			joined = append(joined, quiz.Joined{Pair: p.ID, Right: s.Sides[0]})
		}
		return quiz.Response{Joined: joined}
	case quiz.Numeric, quiz.Measure:
		return quiz.Response{Value: 1.5}
	case quiz.Place:
		r := quiz.Response{}
		r.Point.Y = -5
		return r
	case quiz.Single, quiz.Several, quiz.Predict:
	}
	return quiz.Response{Chosen: []string{s.Item.Options[0].ID}}
}

// sit sits a packet: an answer to every question and some actions, a second apart.
func sit(t testing.TB, packet exam.Packet, w *watch, log exam.Log, steps int) *exam.Sitting {
	t.Helper()
	s := must(exam.Begin(packet, 1, exam.Options{Clock: w.read, Log: log}))
	for _, shown := range packet.Items {
		w.pass(1000)
		if err := s.Answer(shown.Item.ID, response(shown)); err != nil {
			t.Fatal(err)
		}
	}
	for _, a := range actions(t, steps) {
		w.pass(1000)
		if _, err := s.Do(0, a); err != nil {
			t.Fatalf("%s: %v", a.Do, err)
		}
	}
	return s
}

// honest returns the export of a sitting of some actions.
func (d desk) honest(t testing.TB, candidate string, steps int) []byte {
	t.Helper()
	return must(sit(t, d.packet(t, candidate), newWatch(), nil, steps).Submit())
}

// refusedAs fails unless an error is a refusal with a code whose reason says some words.
func refusedAs(t testing.TB, err error, code exam.Code, says string) {
	t.Helper()
	r := exam.AsRefusal(err)
	switch {
	case r == nil:
		t.Errorf("got %v, want a refusal as %s", err, code)
	case r.Code != code:
		t.Errorf("got %v, want %s", r, code)
	case !strings.Contains(r.Reason, says):
		t.Errorf("got the reason %q, want one that says %q", r.Reason, says)
	}
}
