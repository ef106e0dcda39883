package bench_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// hidden are words that only somebody who knows the tooth could say.
var hidden = []string{"from the foramen", "edge", "transport", "fatigue life", "void", "roof is left", "dentine left", "torque that breaks"}

// TestExamPrompt treats a tooth by the hurried plan in an examination: every action is kept before it is
// done, nothing is told that only the model knows, practice's ways back are not known, and another prompt
// that takes the actions up goes on alike.
func TestExamPrompt(t *testing.T) {
	sc, paper, plan := specimen.Scenario(t, "lower-first-molar"), specimen.Paper(t, "lower-first-molar"), specimen.Plan(t, "lower-first-molar.hurried")
	var kept []treatment.Action
	full := errors.New("the disk is full")
	var fault error
	exam := bench.Exam{Scenario: sc, Case: paper.Case, Look: func(what string) error { return errors.New("not allowed: " + what) },
		Do: func(a treatment.Action) error {
			if fault != nil {
				return fault
			}
			kept = append(kept, a)
			return nil
		}}
	p, said := bench.SitExam(exam)
	all := strings.Join(said, "\n")
	practice, _ := bench.Sit(bench.Sitting{Scenario: sc, Case: paper.Case})
	told := ""
	for i, a := range plan.Steps {
		if i == 3 {
			fault = full
			if said := p.Do(a); !p.Wrong() || !strings.Contains(said[0], full.Error()) || p.Actions() != i {
				t.Errorf("an action that is not kept is done: %q", said)
			}
			fault = nil
		}
		lines := p.Do(a)
		if p.Wrong() || p.Actions() != i+1 || len(kept) != i+1 {
			t.Fatalf("action %d: %q", i+1, lines)
		}
		all += "\n" + strings.Join(append(lines, p.Line("look")...), "\n")
		told += strings.Join(practice.Do(a), "\n")
	}
	all += strings.Join(p.Line("record"), "\n") + strings.Join(p.Line("sheet"), "\n")
	for _, word := range hidden {
		if strings.Contains(all, word) {
			t.Errorf("the examination tells %q", word)
		}
	}
	words := 0
	for _, word := range hidden {
		if strings.Contains(told, word) {
			words++
		}
	}
	if words < 3 {
		t.Errorf("practice tells %d of the words, so that little was shown here", words)
	}
	for _, line := range []string{"rewind", "checkpoint", "finish", "quit", "marks", "truth", "section", "hint", "guide"} {
		if said := p.Line(line); !p.Wrong() {
			t.Errorf("%s is answered: %q", line, said)
		}
	}
	exam.Done = slices.Clone(kept)
	again, _ := bench.SitExam(exam)
	if a, b := again.Line("record"), p.Line("record"); !slices.Equal(a, b) || again.Ask() != p.Ask() {
		t.Errorf("taken up: %d lines behind %q, before %d behind %q", len(a), again.Ask(), len(b), p.Ask())
	}
	run, err := attempt.Treat(paper, kept)
	if err != nil || len(run.Actions()) != len(plan.Steps) {
		t.Errorf("what was kept cannot be done again: %v", err)
	}
}
