package main_test

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/open-spaced-repetition/go-fsrs/v4"

	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// dueOfEachKind returns a practice in which ten items are due, at least one of each kind, longest overdue
// first.
func dueOfEachKind(t *testing.T) (practice quiz.Practice, items []quiz.Item) {
	t.Helper()
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	practice = quiz.NewPractice()
	begin := time.Now().Add(-time.Hour).UTC().Truncate(time.Second)
	for n, kind := range append(quiz.Kinds(), quiz.Single, quiz.Numeric) {
		for _, item := range bank {
			if item.Kind == kind && !slices.ContainsFunc(items, func(i quiz.Item) bool { return i.ID == item.ID }) {
				items = append(items, item)
				card := fsrs.NewCard(begin.Add(time.Duration(n) * time.Minute))
				practice.Cards = append(practice.Cards, quiz.Card{Item: item.ID, Step: item.Step, FSRS: card})
				break
			}
		}
	}
	slices.SortFunc(practice.Cards, func(a, b quiz.Card) int { return strings.Compare(a.Item, b.Item) })
	return practice, items
}

// answerByKeys answers an item by keys, whatever the answer is worth.
func (b *tab) answerByKeys(item quiz.Item) {
	b.t.Helper()
	switch item.Kind {
	case quiz.Ordering:
		b.press("abcdefghij"[:len(item.Options)])
	case quiz.Matching:
		b.press(strings.Repeat("a", len(item.Pairs)))
	case quiz.Numeric:
		b.press("1.5")
	case quiz.Measure:
		b.press("m" + kb.ArrowUp + kb.ArrowUp + "m12")
	case quiz.Place:
		b.press(kb.ArrowDown + kb.ArrowLeft + "=")
	default:
		b.press("b")
	}
	b.press(kb.Enter)
	b.waitFor("How sure are you?")
}

// TestBrowserQuiz sits ten items, one of each kind at least, by real keys in the page, and holds that the
// server keeps each answer with its confidence and a date on which the scheduler's library, asked beside
// the program, agrees; and that a closed tab loses none.
func TestBrowserQuiz(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	practice, items := dueOfEachKind(t)
	data, err := json.Marshal(practice)
	if err != nil {
		t.Fatal(err)
	}
	request, err := http.NewRequestWithContext(t.Context(), http.MethodPut, s.url+"practice/quiz", bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("Origin", strings.TrimSuffix(s.url, "/"))
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusNoContent {
		t.Fatalf("the server answers %s", answer.Status)
	}
	b := openBrowser(t)
	b.visit(s.url)
	b.choose("The quiz, 10 due")
	b.choose("Ask me")
	for n, item := range items {
		b.waitFor(item.Stem)
		b.picture(string(item.Kind) + "-asked")
		b.answerByKeys(item)
		b.press(string(rune('1' + n%4)))
		b.waitFor("Answer: " + item.Key())
		b.picture(string(item.Kind) + "-told")
		b.press(kb.Enter)
	}
	b.waitFor("10 answered")
	var kept quiz.Practice
	for until := time.Now().Add(answerTime); len(kept.Answers) < len(items) && time.Now().Before(until); time.Sleep(lookTime) {
		if err := json.Unmarshal(s.get(t, "practice/quiz"), &kept); err != nil {
			t.Fatal(err)
		}
	}
	b.checkQuiz(practice, kept, items)
	b.visit(s.url)
	b.to("The quiz, ")
	if again := s.get(t, "practice/quiz"); !bytes.Contains(again, []byte(items[9].ID)) {
		t.Error("the answers are lost when the page is opened anew")
	}
}

// checkQuiz schedules every answer anew with the library alone.
func (b *tab) checkQuiz(before, kept quiz.Practice, items []quiz.Item) {
	b.t.Helper()
	if len(kept.Answers) != len(items) {
		b.t.Fatalf("%d answers are kept, want %d", len(kept.Answers), len(items))
	}
	parameters := fsrs.DefaultParam()
	parameters.EnableFuzz = false
	library := fsrs.NewFSRS(parameters)
	card := func(p quiz.Practice, id string) fsrs.Card {
		return p.Cards[slices.IndexFunc(p.Cards, func(c quiz.Card) bool { return c.Item == id })].FSRS
	}
	for n, a := range kept.Answers {
		if a.Item != items[n].ID || a.Confidence != quiz.Confidences()[n%4] {
			b.t.Errorf("answer %d is of %s with %d %%, want %s with %d %%", n+1, a.Item, a.Confidence, items[n].ID, quiz.Confidences()[n%4])
		}
		next, err := library.Next(card(before, a.Item), a.At, fsrs.Rating(a.Rating))
		if err != nil {
			b.t.Fatal(err)
		}
		if due := card(kept, a.Item).Due; !due.Equal(next.Card.Due) {
			b.t.Errorf("%s is due %s, the library says %s", a.Item, due, next.Card.Due)
		}
	}
	b.t.Logf("ten items by keyboard, ten dates as the library has them")
}

// TestBrowserQuizCopy holds that a copy of the page without a server keeps answers in the browser.
func TestBrowserQuizCopy(t *testing.T) {
	program := browserTest(t)
	folder := filepath.Join(t.TempDir(), "page")
	if out, err := exec.Command(program, "page", folder).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	site := httptest.NewServer(http.FileServer(http.Dir(folder)))
	t.Cleanup(site.Close)
	b := openBrowser(t)
	b.forgive("status of 404") // by which the page learns that nobody keeps practice here
	b.visit(site.URL)
	b.choose("The quiz, new")
	b.choose("Ask me")
	b.waitFor("Question 1 of 10")
	b.press("abcdefghij1.5m" + strings.Repeat("a", 9) + kb.ArrowDown)
	b.choose("That is my answer")
	b.waitFor("How sure are you?")
	b.press("3")
	b.waitFor("Answer: ")
	kept := `(() => { const p = JSON.parse(localStorage.getItem("tugback.quiz") ?? "{}"); return (p.answers ?? []).length; })()`
	for until := time.Now().Add(answerTime); do(b, answerTime, "read the memory", chromedp.Evaluate[int](kept)) != 1; time.Sleep(lookTime) {
		if time.Now().After(until) {
			t.Fatal("the browser keeps no answer")
		}
	}
	b.visit(site.URL)
	if n := do(b, answerTime, "read the memory", chromedp.Evaluate[int](kept)); n != 1 {
		t.Errorf("%d answers are kept when the page is opened anew, want 1", n)
	}
	b.to("The quiz, nothing due")
}
