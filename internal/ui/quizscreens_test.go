package ui_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/open-spaced-repetition/go-fsrs/v4"

	"tugback/internal/bench"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// quizStations are the screens of the quiz: its door, and each kind of item asked and told.
func quizStations() []station {
	list := []station{{"quiz-door", func(t *testing.T) *bench.Session {
		return quizReopened(t)
	}}}
	for _, kind := range quiz.Kinds() {
		list = append(list,
			station{"quiz-" + string(kind) + "-asked", func(t *testing.T) *bench.Session {
				s := quizOf(t, kind)
				s.Press("quiz:begin")
				for _, k := range []string{"a", "b", "a", "Left", "Down", "m", "Up", "Up", "Up", "Up", "m", "1", "2"} {
					s.Type(bench.Stroke{Key: k})
				}
				return s
			}},
			station{"quiz-" + string(kind) + "-told", func(t *testing.T) *bench.Session {
				s := quizOf(t, kind)
				s.Press("quiz:begin")
				answerItem(s)
				s.Press("quiz:sure-75")
				return s
			}})
	}
	list = append(list, station{"quiz-zoomed", func(t *testing.T) *bench.Session {
		s := quizOf(t, quiz.Place)
		s.Press("quiz:begin")
		enlargeItem(s)
		return s
	}})
	return append(list, station{"quiz-sure", func(t *testing.T) *bench.Session {
		s := quizOf(t, quiz.Several)
		s.Press("quiz:begin")
		answerItem(s)
		return s
	}})
}

// quizReopened opens the quiz of a student who has answered sixty items.
func quizReopened(t *testing.T) *bench.Session {
	t.Helper()
	practice := quiz.NewPractice()
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	at := quizTime()
	for i, item := range bank[:60] {
		sure := quiz.Confidences()[i%4]
		credit := float64((i*7%10 + sure/15) / 8)
		at = at.Add(time.Minute)
		if practice, err = practice.Record(item, min(credit, 1), sure, at); err != nil {
			t.Fatal(err)
		}
	}
	s := openedQuiz(t, practice)
	s.Press("quiz:open")
	return s
}

func quizTime() time.Time { return time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC) }

// quizOf opens the quiz with the items of one kind due.
func quizOf(t *testing.T, kind quiz.Kind) *bench.Session {
	t.Helper()
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	practice := quiz.NewPractice()
	longest := ""
	for _, item := range bank {
		if item.Kind == kind && len(item.Stem)+len(item.Options)*20+len(item.Pairs)*40 > len(longest) {
			longest = strings.Repeat(" ", len(item.Stem)+len(item.Options)*20+len(item.Pairs)*40)
			practice.Cards = []quiz.Card{{Item: item.ID, Step: item.Step, FSRS: fsrs.NewCard(quizTime())}}
		}
	}
	s := openedQuiz(t, practice)
	s.Press("quiz:open")
	return s
}

func openedQuiz(t *testing.T, practice quiz.Practice) *bench.Session {
	t.Helper()
	data, err := json.Marshal(practice)
	if err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return quizTime().Add(2 * time.Hour) }
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Quiz: bench.QuizOpening{Practice: data, Now: now}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// enlargeItem moves the cross and enlarges the picture about it.
func enlargeItem(s *bench.Session) {
	for _, k := range []string{"Down", "Down", "Down", "Left", "=", "="} {
		s.Type(bench.Stroke{Key: k})
	}
}

// answerItem gives some answer to the item on the page.
func answerItem(s *bench.Session) {
	for _, k := range []string{"Left", "Down", "1", "2"} {
		s.Type(bench.Stroke{Key: k})
	}
	for _, c := range s.Page().Controls() {
		if strings.HasPrefix(c.ID, "quiz:opt-") || strings.HasPrefix(c.ID, "quiz:side-") {
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
}
