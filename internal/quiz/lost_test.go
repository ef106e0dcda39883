package quiz_test

import (
	"slices"
	"testing"
	"time"

	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/specimen"
	"tugback/scenarios"
)

// TestLostTags holds that every rule of the shipped cases, when its marks are lost, brings back items of
// the bank, and that these are no mere default: a rule whose metric is in the table brings items that bear
// one of its tags.
func TestLostTags(t *testing.T) {
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)
	seen := map[string]bool{}
	for _, name := range []string{"upper-central-incisor", "lower-first-molar"} {
		sc := specimen.Scenario(t, name)
		for _, r := range sc.Rules() {
			if seen[r.ID] {
				continue
			}
			seen[r.ID] = true
			mark := marking.RuleMark{ID: r.ID, Stage: r.Stage, Available: r.Points, Happened: true}
			if _, back := quiz.NewPractice().BringBackLost(bank, sc.Rules(), []marking.RuleMark{mark}, now); len(back) == 0 && r.Stage != "" {
				t.Errorf("%s (%s) brings nothing back", r.ID, r.Stage)
			}
		}
	}
}

// TestBringBackLost: only what was lost comes back, the least known first, no more than the limits, and what
// went well stays where it is.
func TestBringBackLost(t *testing.T) {
	bank := []quiz.Item{
		{ID: "a", Kind: quiz.Single, Step: "fit", Tags: []string{"cone-fits"}}, {ID: "b", Kind: quiz.Single, Step: "fit", Tags: []string{"cone-off"}},
		{ID: "c", Kind: quiz.Single, Step: "fit", Tags: []string{"cone-fits"}}, {ID: "d", Kind: quiz.Single, Step: "rinse", Tags: []string{"rinsed"}},
		{ID: "e", Kind: quiz.Single, Step: "open"},
	}
	rules := []marking.Rule{{ID: "grip", Metric: "cone_grip_N"}, {ID: "clean", Metric: "tissue_left_share"}, {ID: "house"}}
	now := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)
	p, err := quiz.NewPractice().Record(bank[0], 1, 95, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		marks []marking.RuleMark
		want  []string
	}{
		{"most lost", []marking.RuleMark{{ID: "grip", Stage: "fit", Points: 1, Available: 4}}, []string{"b", "c"}},
		{"little lost", []marking.RuleMark{{ID: "grip", Stage: "fit", Points: 3, Available: 4}}, nil},
		{"excused", []marking.RuleMark{{ID: "grip", Stage: "fit", Available: 4, Excused: true}}, nil},
		{"unknown rule", []marking.RuleMark{{ID: "house", Stage: "open", Available: 4}}, []string{"e"}},
		{"two rules", []marking.RuleMark{{ID: "clean", Stage: "rinse", Available: 4}, {ID: "house", Stage: "open", Available: 1}}, []string{"d", "e"}},
		{"critical", []marking.RuleMark{{ID: "house", Stage: "open", Critical: true, Happened: true}}, []string{"e"}},
	} {
		after, back := p.BringBackLost(bank, rules, c.marks, now)
		if !slices.Equal(back, c.want) {
			t.Errorf("%s: %v came back, want %v", c.name, back, c.want)
		}
		due := after.Due(now)
		for _, id := range c.want {
			if !slices.Contains(due, id) {
				t.Errorf("%s: %s is not due", c.name, id)
			}
		}
		if slices.Contains(due, "a") {
			t.Errorf("%s: what was known is due", c.name)
		}
	}
}
