package quiz_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/open-spaced-repetition/go-fsrs/v4"

	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// morning is a time to begin with.
var morning = time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)

// record notes an answer or ends the test.
func record(t *testing.T, p quiz.Practice, item quiz.Item, credit float64, confidence int, at time.Time) quiz.Practice {
	t.Helper()
	p, err := p.Record(item, credit, confidence, at)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestRecord holds the days of the schedule against the published vectors of FSRS-6 (go-fsrs tests, also
// run with ts-fsrs 5.4.2): good six times, again twice, good five times, each on the day it is due, with
// short-term steps on.
func TestRecord(t *testing.T) {
	want := []uint64{0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21}
	p, now := quiz.NewPractice(), morning
	for n, days := range want {
		credit := 1.0
		if n == 6 || n == 7 {
			credit = 0
		}
		p = record(t, p, sound(), credit, 75, now)
		card := p.Cards[0].FSRS
		if card.ScheduledDays != days {
			t.Errorf("answer %d: due in %d days, want %d", n+1, card.ScheduledDays, days)
		}
		now = card.Due
	}
	if len(p.Cards) != 1 || len(p.Answers) != len(want) {
		t.Errorf("%d cards and %d answers", len(p.Cards), len(p.Answers))
	}
}

// TestRecordKeeps holds that recording leaves its argument alone, refuses what cannot be, and survives JSON.
func TestRecordKeeps(t *testing.T) {
	before := record(t, quiz.NewPractice(), sound(), 1, 75, morning)
	text, err := json.Marshal(before)
	if err != nil {
		t.Fatal(err)
	}
	after := record(t, before, sound(), 0, 25, morning.Add(time.Hour))
	if again, _ := json.Marshal(before); string(again) != string(text) || len(after.Answers) != 2 {
		t.Error("recording changed the practice it was given")
	}
	var back quiz.Practice
	if err := json.Unmarshal(text, &back); err != nil || back.Check() != nil {
		t.Fatalf("read back: %v, %v", err, back.Check())
	}
	if again, _ := json.Marshal(back); string(again) != string(text) {
		t.Errorf("written again it differs: %s", again)
	}
	for _, c := range []struct {
		credit     float64
		confidence int
		at         time.Time
	}{{1.1, 50, morning}, {math.NaN(), 50, morning}, {1, 101, morning}, {1, -1, morning}, {1, 50, morning.Add(-time.Hour)}} {
		if _, err := before.Record(sound(), c.credit, c.confidence, c.at); err == nil {
			t.Errorf("accepted %+v", c)
		}
	}
	for _, text := range []string{`{"format":2}`, `{"format":1,"cards":[{"item":""}]}`, `{"format":1,"cards":[{"item":"b"},{"item":"a"}]}`,
		`{"format":1,"cards":[{"item":"a","fsrs":{"Stability":-1}}]}`, `{"format":1,"answers":[{"credit":7}]}`} {
		var p quiz.Practice
		if err := json.Unmarshal([]byte(text), &p); err != nil {
			t.Fatal(err)
		}
		if p.Check() == nil {
			t.Errorf("%s passes", text)
		}
	}
}

// TestRate holds the house's rule for turning credit and confidence into a rating.
func TestRate(t *testing.T) {
	for _, c := range []struct {
		credit     float64
		confidence int
		want       fsrs.Rating
	}{
		{0, 95, fsrs.Again}, {0.49, 25, fsrs.Again}, {0.5, 95, fsrs.Hard}, {1, 25, fsrs.Hard}, {1, 50, fsrs.Good}, {1, 75, fsrs.Good}, {1, 95, fsrs.Easy},
	} {
		if got := quiz.Rate(c.credit, c.confidence); got != c.want {
			t.Errorf("credit %.2f, confidence %d: %v, want %v", c.credit, c.confidence, got, c.want)
		}
	}
}

// named returns a sound item with an id and tags.
func named(id, step string, tags ...string) quiz.Item {
	item := sound()
	item.ID, item.Step, item.Tags = id, step, tags
	return item
}

// TestDue holds that what is forgotten comes first and what is not yet due does not come.
func TestDue(t *testing.T) {
	p := record(t, quiz.NewPractice(), named("known", "fit"), 1, 95, morning)
	p = record(t, p, named("forgotten", "fit"), 0, 75, morning)
	p = record(t, p, named("guessed", "fit"), 1, 25, morning)
	if due := p.Due(morning); len(due) != 0 {
		t.Errorf("due at once: %v", due)
	}
	if due := p.Due(morning.Add(2 * time.Minute)); !slices.Equal(due, []string{"forgotten"}) {
		t.Errorf("due after two minutes: %v", due)
	}
	if due := p.Due(morning.AddDate(1, 0, 0)); len(due) != 3 || due[0] != "forgotten" || due[2] != "known" {
		t.Errorf("due after a year: %v", due)
	}
	if fresh := p.New([]string{"known", "new", "guessed"}); !slices.Equal(fresh, []string{"new"}) {
		t.Errorf("never met: %v", fresh)
	}
}

// TestBringBack holds that a fault of a treatment makes the items tagged with it due, and that what went
// well brings nothing back.
func TestBringBack(t *testing.T) {
	bank := []quiz.Item{named("needle", "rinse", "needle-bound"), named("good", "rinse", "rinsed"), named("other", "fit", "ledge")}
	p := record(t, quiz.NewPractice(), bank[0], 1, 95, morning)
	now := morning.Add(time.Hour)
	p, back := p.BringBack(bank, []treatment.Event{{Kind: treatment.NeedleBound}, {Kind: treatment.Rinsed}}, now)
	if !slices.Equal(back, []string{"needle"}) || !slices.Equal(p.Due(now), []string{"needle"}) {
		t.Errorf("brought back %v, due %v", back, p.Due(now))
	}
}

// TestCalibrate holds the figures of four answers worked by hand: 95 % right, 95 % wrong, 25 % wrong,
// 75 % half right.
func TestCalibrate(t *testing.T) {
	p := quiz.NewPractice()
	for n, a := range []struct {
		confidence int
		credit     float64
	}{{95, 1}, {95, 0}, {25, 0}, {75, 0.5}} {
		p = record(t, p, named(string(rune('a'+n)), "fit"), a.credit, a.confidence, morning)
	}
	c := p.Calibrate()
	wantOver := (0.95*2 + 0.25 + 0.75 - 1.5) / 4
	wantBrier := (0.05*0.05 + 0.95*0.95 + 0.25*0.25 + 0.25*0.25) / 4
	if math.Abs(c.Over-wantOver) > 1e-12 || math.Abs(c.Brier-wantBrier) > 1e-12 || c.Answers != 4 {
		t.Errorf("over %.4f, Brier %.4f of %d answers, want %.4f and %.4f of 4", c.Over, c.Brier, c.Answers, wantOver, wantBrier)
	}
	if len(c.Bins) != 3 || c.Bins[2].Answers != 2 || c.Bins[2].Credit != 0.5 || c.Bins[0].Low != 20 {
		t.Errorf("bins %+v", c.Bins)
	}
	if empty := quiz.NewPractice().Calibrate(); empty.Answers != 0 || len(empty.Bins) != 0 || empty.Over != 0 {
		t.Errorf("of no answers: %+v", empty)
	}
}

// TestMasteries holds that mastery grows with answers, falls with time and lies in 0 … 1.
func TestMasteries(t *testing.T) {
	bank := []quiz.Item{named("a", "fit"), named("b", "fit"), named("c", "rinse")}
	entries := quiz.Entries(bank, false)
	p := quiz.NewPractice()
	if all := p.Masteries(entries, morning); len(all) != 2 || all[0].Step != "rinse" || all[1].Mastery != 0 {
		t.Fatalf("before any answer: %+v", all)
	}
	p = record(t, p, bank[0], 1, 95, morning)
	one := p.Masteries(entries, morning)[1]
	p = record(t, p, bank[1], 1, 95, morning)
	two := p.Masteries(entries, morning)[1]
	later := p.Masteries(entries, morning.AddDate(0, 6, 0))[1]
	if !(one.Mastery > 0 && one.Mastery < two.Mastery && later.Mastery < two.Mastery && two.Mastery <= 1) {
		t.Errorf("one %.3f, two %.3f, after half a year %.3f", one.Mastery, two.Mastery, later.Mastery)
	}
	if later.Recall <= 0 || later.Recall >= two.Recall {
		t.Errorf("recall at once %.3f, after half a year %.3f", two.Recall, later.Recall)
	}
	if all := quiz.Entries(bank, true); len(all) != len(bank)+len(quiz.Generators()) {
		t.Errorf("%d entries with generators", len(all))
	}
}

// TestSit holds that a sitting begins with what is due, is filled with what is new, keeps to its count, and
// is the same for the same seed.
func TestSit(t *testing.T) {
	bank := []quiz.Item{named("a", "fit"), named("b", "fit"), named("c", "rinse"), named("d", "rinse")}
	p := record(t, quiz.NewPractice(), bank[2], 0, 95, morning)
	now := morning.AddDate(0, 0, 1)
	ids := func(w quiz.Wish) (list []string) {
		w.Now = now
		for _, s := range quiz.Sit(p, bank, w) {
			list = append(list, quiz.CardID(s.Item))
		}
		return list
	}
	if got := ids(quiz.Wish{Count: 3, Seed: 1}); len(got) != 3 || got[0] != "c" || !slices.Equal(got, ids(quiz.Wish{Count: 3, Seed: 1})) {
		t.Errorf("a sitting of three: %v", got)
	}
	if got := ids(quiz.Wish{DueOnly: true}); !slices.Equal(got, []string{"c"}) {
		t.Errorf("due only: %v", got)
	}
	ground := grounds(t, 1)[13]
	if got := ids(quiz.Wish{Ground: ground}); len(got) != len(bank)+len(quiz.Generators()) {
		t.Errorf("with generators: %d items", len(got))
	}
	for _, s := range quiz.Sit(p, nil, quiz.Wish{Ground: ground, Seed: 5, Now: now, Count: 5}) {
		if s.Item.Made == nil || s.Item.Made.Scenario != ground.Scenario {
			t.Errorf("%s was not made from the ground", s.Item.ID)
		}
	}
}
