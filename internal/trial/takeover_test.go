package trial_test

import (
	"slices"
	"testing"

	"tugback/internal/marking"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// TestTakeOver holds that an operator goes on where steps of a plan have led: what it does begins with them, its
// own first step is what comes next, and nothing that cannot be done twice is done again.
func TestTakeOver(t *testing.T) {
	grown := specimen.Paper(t, "lower-premolar").Case
	plan := specimen.Plan(t, "lower-premolar.careful").Steps
	for _, at := range []struct {
		before string // step of the plan before which the operator takes over
		first  treatment.Kind
	}{
		{"isolate", treatment.Isolate}, {"open", treatment.Open}, {"find", treatment.Find},
		{"measure", treatment.Irrigate}, // first the blood of a vital pulp is rinsed out
		{"irrigate ultrasonic", treatment.Irrigate}, {"dry", treatment.Dry}, {"fit", treatment.Fit}, {"seal", treatment.Seal},
	} {
		n := slices.IndexFunc(plan, func(a treatment.Action) bool { return marking.IsDeed(at.before, &a) })
		if n < 1 {
			t.Fatalf("the plan has no %s", at.before)
		}
		done := trial.TakeOver(grown, plan[:n], operator(t, "careful"), 5)
		if done.Refused > 0 || len(done.Actions) <= n || !slices.Equal(done.Actions[:n], plan[:n]) {
			t.Errorf("before %s: %d actions, %d refused; want the plan's %d and more", at.before, len(done.Actions), done.Refused, n)
			continue
		}
		own := done.Actions[n:]
		if own[0].Do != at.first {
			t.Errorf("before %s: the operator begins with %s", at.before, own[0].Do)
		}
		if !done.State.Sealed || done.State.Canals[0].Fill.Technique == "" {
			t.Errorf("before %s: the treatment is not brought to its end", at.before)
		}
		for _, once := range []treatment.Kind{treatment.Judge, treatment.Isolate, treatment.Open} {
			is := func(a treatment.Action) bool { return a.Do == once }
			if slices.ContainsFunc(plan[:n], is) && slices.ContainsFunc(own, is) {
				t.Errorf("before %s: %s is done again", at.before, once)
			}
		}
	}
}

// TestTakeOverTells holds that a careful operator tells a mishap of the steps before, and takes a refused step for
// the end of them.
func TestTakeOverTells(t *testing.T) {
	from := specimen.Scenario(t, "drill-ledge")
	drill, _ := from.Drill()
	grown := specimen.Paper(t, "drill-ledge").Case
	done := trial.TakeOver(grown, drill.Steps, operator(t, "careful"), 1)
	if a := done.Actions[len(drill.Steps)]; a.Do != treatment.Report || a.Choice != "blockage" {
		t.Errorf("after a ledge the operator begins with %+v", a)
	}
	wrong := append(slices.Clone(drill.Steps[:2]), treatment.Action{Do: treatment.Find, Canal: "canal"})
	done = trial.TakeOver(grown, wrong, operator(t, "careful"), 1)
	if done.Refused != 1 || done.Actions[2].Do != treatment.Isolate {
		t.Errorf("%d refused, then %s", done.Refused, done.Actions[2].Do)
	}
}

// TestDrillTrials holds that a trial of every shipped drill begins where the drill does, and that the instructor's
// plan earns its pass mark and more than a novice.
func TestDrillTrials(t *testing.T) {
	for _, name := range []string{"drill-measure", "drill-ledge", "drill-cone", "drill-needle"} {
		from := specimen.Scenario(t, name)
		run := specimen.Treated(t, name, "careful")
		marks := run.Marks()
		if marks.Failed || marks.Total < 0.85*marks.Available {
			t.Errorf("%s: the plan earns %v of %v, failed %v", name, marks.Total, marks.Available, marks.Failed)
		}
		r, err := trial.Run(trial.Plan{Scenario: from, Operator: operator(t, "novice"), Cases: 4, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if r.Marks.Mean >= marks.Total {
			t.Errorf("%s: novices earn %v on the mean, the plan %v", name, r.Marks.Mean, marks.Total)
		}
	}
}
