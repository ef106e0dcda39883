package bench_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/open-spaced-repetition/go-fsrs/v4"

	"tugback/internal/bench"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// quizBegun is when the tests' sittings begin.
var quizBegun = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// quizKeeper keeps the practice as a host does.
type quizKeeper struct {
	now  time.Time
	kept []byte
}

// quizSession opens a bench with a quiz of the items that a test wants.
func quizSession(t testing.TB, k *quizKeeper, want func(quiz.Item) bool) *bench.Session {
	t.Helper()
	files := fstest.MapFS{}
	for _, name := range []string{"upper-lateral-incisor.yaml"} {
		data, err := scenarios.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: data}
	}
	for _, folder := range []string{"rules", "trays", "plans", "quiz"} {
		entries, err := scenarios.Files.ReadDir(folder)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			data, err := scenarios.Files.ReadFile(folder + "/" + e.Name())
			if err != nil {
				t.Fatal(err)
			}
			files[folder+"/"+e.Name()] = &fstest.MapFile{Data: data}
		}
	}
	practice := quiz.NewPractice()
	if len(k.kept) > 0 {
		if err := json.Unmarshal(k.kept, &practice); err != nil {
			t.Fatal(err)
		}
	} else if want != nil { // what is wanted is due, so that it is asked first
		bank, err := scenario.LoadItemsFS(files, "quiz")
		if err != nil {
			t.Fatal(err)
		}
		seen := map[quiz.Kind]bool{}
		for _, item := range bank {
			if !seen[item.Kind] && want(item) {
				seen[item.Kind] = true
				practice.Cards = append(practice.Cards, quiz.Card{Item: item.ID, Step: item.Step, FSRS: fsrs.NewCard(quizBegun)})
			}
		}
		slices.SortFunc(practice.Cards, func(a, b quiz.Card) int { return strings.Compare(a.Item, b.Item) })
	}
	data, err := json.Marshal(practice)
	if err != nil {
		t.Fatal(err)
	}
	s, err := bench.New(bench.Opening{Cases: files, Quiz: bench.QuizOpening{Practice: data, Now: func() time.Time { return k.now },
		Save: func(p []byte) { k.kept = bytes.Clone(p) }}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func any1(quiz.Item) bool { return true }

// answerKeys are keys that answer the item on the page, right or not.
func answerKeys(p bench.Page) []string {
	var opts, pairs int
	number, spot := false, false
	for _, c := range p.Controls() {
		switch {
		case strings.HasPrefix(c.ID, "quiz:opt-"):
			opts++
		case strings.HasPrefix(c.ID, "quiz:pair-"):
			pairs++
		case c.ID == "quiz:key-1":
			number = true
		case c.ID == "quiz:across":
			spot = true
		}
	}
	switch {
	case pairs > 0:
		return slices.Repeat([]string{"a"}, pairs)
	case number && spot:
		return []string{"m", "Up", "Up", "m", "+Left", "Up", "m", "1", "2"}
	case number:
		return []string{"1", ".", "5", "Backspace", "5"}
	case spot:
		return []string{"Left", "Down", "+Down"}
	}
	var keys []string
	for i := range opts {
		keys = append(keys, string(rune('a'+i)))
	}
	return keys
}

// TestQuizByKeyboard sits all kinds of item by keys alone, and holds that every answer is kept at once,
// that no result is told before confidence was, and that the dates are those of the scheduler itself,
// asked beside the program.
func TestQuizByKeyboard(t *testing.T) {
	k := &quizKeeper{now: quizBegun}
	s := quizSession(t, k, any1)
	p := newStudent(t, s)
	if !slices.ContainsFunc(s.Page().Controls(), func(c bench.Control) bool { return c.ID == "quiz:open" && c.Detail == "8 due" }) {
		t.Error("the shelf does not say that 8 items are due")
	}
	p.focus("quiz:open")
	p.key("Enter")
	p.focus("quiz:begin")
	p.key("Enter")
	for n := range 8 {
		k.now = k.now.Add(time.Minute)
		if title := s.Page().Title; title != fmt.Sprintf("Question %d of 10", n+1) {
			t.Fatalf("the title is %q", title)
		}
		p.key(answerKeys(s.Page())...)
		p.key("Enter")
		if strings.Contains(fmt.Sprint(s.Page()), "Source:") {
			t.Error("the source is shown before confidence was said")
		}
		p.key(fmt.Sprint(n%4 + 1))
		if !strings.Contains(fmt.Sprint(s.Page()), "Source:") {
			t.Fatalf("item %d: no result is told: %v", n+1, s.Page().Act)
		}
		var kept quiz.Practice
		if err := json.Unmarshal(k.kept, &kept); err != nil || len(kept.Answers) != n+1 {
			t.Fatalf("%d answers are kept, %v", len(kept.Answers), err)
		}
		p.key("Enter")
	}
	checkDates(t, k.kept, quizBegun)
}

// checkDates schedules every answer anew with the library alone.
func checkDates(t *testing.T, data []byte, made time.Time) {
	t.Helper()
	var kept quiz.Practice
	if err := json.Unmarshal(data, &kept); err != nil {
		t.Fatal(err)
	}
	parameters := fsrs.DefaultParam()
	parameters.EnableFuzz = false
	library := fsrs.NewFSRS(parameters)
	for _, a := range kept.Answers {
		next, err := library.Next(fsrs.NewCard(made), a.At, fsrs.Rating(a.Rating))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range kept.Cards {
			if c.Item == a.Item && !c.FSRS.Due.Equal(next.Card.Due) {
				t.Errorf("%s is due %s, the library says %s", a.Item, c.FSRS.Due, next.Card.Due)
			}
		}
	}
}

// TestQuizByPointer answers a matching, an ordering and a place by pressing alone.
func TestQuizByPointer(t *testing.T) {
	for _, kind := range []quiz.Kind{quiz.Matching, quiz.Ordering, quiz.Place, quiz.Numeric, quiz.Measure} {
		k := &quizKeeper{now: quizBegun}
		s := quizSession(t, k, func(i quiz.Item) bool { return i.Kind == kind })
		s.Press("quiz:open")
		s.Press("quiz:begin")
		s.Press("quiz:answer")
		if strings.Contains(fmt.Sprint(s.Page()), "sure are you") {
			t.Errorf("%s: an empty answer is taken", kind)
		}
		sheet := s.Compose(1024, 640)
		if sheet.Plate != nil {
			s.Spot(sheet.Plate.View.Back(sheet.Plate.View.Point(s.Page().Centre.At)))
		}
		for _, c := range s.Page().Controls() {
			if strings.HasPrefix(c.ID, "quiz:opt-") || strings.HasPrefix(c.ID, "quiz:side-") || c.ID == "quiz:key-7" {
				s.Press(c.ID)
			}
		}
		for _, c := range s.Page().Controls() {
			if strings.HasPrefix(c.ID, "quiz:pair-") && c.Value == "–" {
				s.Press(c.ID)
				s.Press("quiz:side-0")
			}
		}
		s.Press("quiz:answer")
		s.Press("quiz:sure-75")
		if len(k.kept) == 0 {
			t.Errorf("%s: no answer was kept: %v", kind, s.Page().Act)
		}
	}
}

// TestQuizBroken holds that practice that cannot be read is neither used nor written over.
func TestQuizBroken(t *testing.T) {
	for _, data := range []string{"{", `{"format":7}`, `[]`} {
		s, err := bench.New(bench.Opening{Cases: scenarios.Files, Quiz: bench.QuizOpening{Practice: []byte(data), Now: func() time.Time { return quizBegun },
			Save: func([]byte) { t.Errorf("%s was written over", data) }}})
		if err != nil {
			t.Fatal(err)
		}
		s.Press("quiz:open")
		if s.Screen() != bench.ShelfScreen {
			t.Errorf("%s: the quiz opens", data)
		}
	}
}

// TestQuizClockBack holds that a clock set back between two answers loses nothing.
func TestQuizClockBack(t *testing.T) {
	k := &quizKeeper{now: quizBegun}
	s := quizSession(t, k, any1)
	p := newStudent(t, s)
	s.Press("quiz:open")
	s.Press("quiz:begin")
	for range 3 {
		p.key(answerKeys(s.Page())...)
		p.key("Enter", "3", "Enter")
		k.now = k.now.Add(-48 * time.Hour)
	}
	var kept quiz.Practice
	if err := json.Unmarshal(k.kept, &kept); err != nil || len(kept.Answers) != 3 || kept.Check() != nil {
		t.Errorf("%d answers kept, %v, %v", len(kept.Answers), err, kept.Check())
	}
}

// TestFaultsBringBack holds that a fault of a treatment makes the items due that are tagged with it, and the
// marks lost in the steps that were reached theirs, that the debrief offers exactly these, and that leaving them leads back to the debrief.
func TestFaultsBringBack(t *testing.T) {
	k := &quizKeeper{now: quizBegun}
	s := quizSession(t, k, nil)
	s.Press("case:upper-lateral-incisor")
	s.Press("begin")
	s.Type(bench.Stroke{Key: "2"})
	s.Press("go") // the form holds the tooth beside
	s.Type(bench.Stroke{Key: "F10"})
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, i := range bank {
		if slices.Contains(i.Tags, "wrong-tooth") {
			want = append(want, i.ID)
		}
	}
	slices.Sort(want)
	var kept quiz.Practice
	if err := json.Unmarshal(k.kept, &kept); err != nil {
		t.Fatal(err)
	}
	due := kept.Due(quizBegun)
	for _, id := range want {
		if !slices.Contains(due, id) {
			t.Errorf("%s is not due: %v", id, due)
		}
	}
	for _, id := range due {
		i := slices.IndexFunc(bank, func(i quiz.Item) bool { return quiz.CardID(i) == id })
		if i < 0 || bank[i].Step != "isolate" && !slices.Contains(want, id) {
			t.Errorf("%s is due, of a step that was not reached", id)
		}
	}
	want = due
	s.Press("quiz:after")
	if want := fmt.Sprintf("Question 1 of %d", len(want)); s.Page().Title != want {
		t.Errorf("the page is %q, want %q", s.Page().Title, want)
	}
	s.Type(bench.Stroke{Key: "Escape"})
	if s.Screen() != bench.DebriefScreen {
		t.Errorf("the way back leads to %s", s.Screen())
	}
}

// BenchmarkLoadItems is what entering the quiz costs the first time.
func BenchmarkLoadItems(b *testing.B) {
	for b.Loop() {
		if _, err := scenario.LoadItemsFS(scenarios.Files, "quiz"); err != nil {
			b.Fatal(err)
		}
	}
}

// TestQuizNothingOverlaps lays every page of the quiz out at every size: the door, and each kind of item
// asked, before confidence was said, and told. The limits are those of TestNothingOverlaps.
func TestQuizNothingOverlaps(t *testing.T) {
	look := func(name string, s *bench.Session) {
		for _, z := range sizes() {
			t.Run(fmt.Sprintf("%s at %.0f×%.0f, text %d %%", name, z.w, z.h, z.text), func(t *testing.T) {
				s.SetComfort(bench.Settings{TextPercent: z.text, Palette: "light"})
				checkSheet(t, s.Compose(z.w, z.h))
			})
		}
	}
	for _, kind := range quiz.Kinds() {
		k := &quizKeeper{now: quizBegun}
		s := quizSession(t, k, func(i quiz.Item) bool { return i.Kind == kind })
		p := newStudent(t, s)
		s.Press("quiz:open")
		s.Press("quiz:begin")
		look(string(kind)+" asked", s)
		p.key(answerKeys(s.Page())...)
		p.key("Enter")
		look(string(kind)+" sure", s)
		p.key("3")
		look(string(kind)+" told", s)
		k2 := &quizKeeper{now: quizBegun, kept: k.kept}
		s = quizSession(t, k2, nil)
		s.Press("quiz:open")
		look("door after "+string(kind), s)
	}
}

// TestQuizSpeaks holds that whoever cannot see the page hears the question, its options and the result.
func TestQuizSpeaks(t *testing.T) {
	k := &quizKeeper{now: quizBegun}
	s := quizSession(t, k, func(i quiz.Item) bool { return i.Kind == quiz.Single })
	p := newStudent(t, s)
	s.Press("quiz:open")
	s.Said()
	s.Press("quiz:begin")
	heard := strings.Join(s.Said(), "\n")
	for _, c := range s.Page().Controls() {
		if text, is := strings.CutPrefix(c.ID, "quiz:opt-"); is && !strings.Contains(heard, strings.TrimSpace(strings.SplitN(c.Label, ")", 2)[1])) {
			t.Errorf("option %s is not said", text)
		}
	}
	p.key("a", "Enter", "2")
	if heard := strings.Join(s.Said(), "\n"); !strings.Contains(heard, "How sure") || !strings.Contains(heard, "Answer: ") {
		t.Errorf("heard is %q", heard)
	}
}
