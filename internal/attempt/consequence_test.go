package attempt_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// treatPlan runs a shipped plan and returns its closed record.
func treatPlan(t *testing.T, tooth, plan string) attempt.Record {
	t.Helper()
	return specimen.Treated(t, tooth, plan).Close()
}

// stagePoints adds up the points of a stage, and those it offers.
func stagePoints(r attempt.Record, stage string) (points, available float64) {
	for _, rule := range r.Marks.Rules {
		if rule.Stage == stage {
			points, available = points+rule.Points, available+rule.Available
		}
	}
	return points, available
}

// earnsMore tells of a record that does not earn more points in a stage than another.
func earnsMore(t *testing.T, stage string, good, bad attempt.Record) {
	t.Helper()
	more, _ := stagePoints(good, stage)
	if less, _ := stagePoints(bad, stage); more <= less {
		t.Errorf("%s, %s: %.2f points, not more than %.2f", good.Scenario.Name, stage, more, less)
	}
}

// A careful operator in one or two visits earns more than a hurried one in every stage that is marked.
func TestCarefulAndHurriedDiffer(t *testing.T) {
	good, bad := treatPlan(t, "upper-central-incisor", "two-visits"), treatPlan(t, "upper-central-incisor", "hurried")
	for _, stage := range []string{"judge", "isolate", "open", "measure", "rinse", "dry", "dress", "fit", "fill", "seal", "restore", "review", "shape"} {
		earnsMore(t, stage, good, bad)
	}
	many, few := treatPlan(t, "lower-first-molar-four", "careful"), treatPlan(t, "lower-first-molar-four", "hurried")
	earnsMore(t, "find", many, few)
	if good.Marks.Failed || !bad.Marks.Failed {
		t.Error("the hurried run without a dam must fail and the careful one not")
	}
}

// Changing only the irrigation moves wall, disinfection and filling; the actions are the plan's own.
func TestOnlyIrrigationChanged(t *testing.T) {
	paper, plan := specimen.Paper(t, "upper-central-incisor"), specimen.Plan(t, "upper-central-incisor.careful")
	measure := func(change func(*treatment.Action)) treatment.Outcome {
		steps := slices.Clone(plan.Steps)
		for i := range steps {
			if steps[i].Do == treatment.Irrigate {
				change(&steps[i])
			}
		}
		return specimen.Treat(t, paper, steps).Close().Outcome
	}
	good := measure(func(*treatment.Action) {})
	poor := measure(func(a *treatment.Action) { a.Agent, a.Percent, a.Time, a.Choice = "water", 0, 0, "" })
	for _, name := range strings.Fields("smear_left_share flora_left_share tissue_left_share fill_void_share") {
		a, _ := good.Value(name, "canal")
		b, _ := poor.Value(name, "canal")
		if b <= a {
			t.Errorf("%s: %.4f with hypochlorite, %.4f with water only", name, a, b)
		}
	}
}

// Every shipped scenario's rules cover every stage of the procedure; those of drills their own part of it.
func TestEveryStageIsMarked(t *testing.T) {
	names, err := fs.Glob(scenarios.Files, "*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatalf("no scenario is shipped (%v)", err)
	}
	stages := map[string]bool{}
	for _, k := range treatment.Kinds() {
		stages[k.Stage()] = true
	}
	for _, name := range names {
		if _, drill := specimen.Scenario(t, strings.TrimSuffix(name, ".yaml")).Drill(); drill {
			continue
		}
		run := attempt.Begin(specimen.Paper(t, strings.TrimSuffix(name, ".yaml")))
		got := map[string]bool{}
		for _, rule := range run.Close().Marks.Rules {
			got[rule.Stage] = got[rule.Stage] || rule.Available > 0
		}
		for stage := range stages {
			if !got[stage] {
				t.Errorf("%s: no points for %s", name, stage)
			}
		}
	}
}

// Changing only the access moves what the files meet: on the same plan the largest strain of a file and the
// wear of the walls grow when the roof stays.
func TestOnlyAccessChanged(t *testing.T) {
	measure := func(plan string) (strain, wear float64) {
		run := specimen.Treated(t, "lower-first-molar", plan)
		for _, tool := range run.State().Tools {
			strain = max(strain, tool.Peak)
		}
		wear, _ = run.Close().Outcome.Value("transport_max_mm", "MB")
		return strain, wear
	}
	strain, wear := measure("careful")
	bent, worn := measure("roof-left")
	if bent <= strain || worn <= wear {
		t.Errorf("roof left: strain %.4f, wear %.3f mm; straight way in %.4f and %.3f", bent, worn, strain, wear)
	}
}

// The same perforation, stopped, imaged, told and closed at once, or passed over: the marks for the response differ,
// irrigant goes through the open hole only, and a year later more bacteria have come in. Both fail, since a
// perforation is a critical error across schools.
func TestPerforationIsAnswered(t *testing.T) {
	told, silent := treatPlan(t, "upper-central-incisor", "perforated-told"), treatPlan(t, "upper-central-incisor", "perforated-silent")
	points := func(r attempt.Record) float64 {
		for _, rule := range r.Marks.Rules {
			if rule.ID == "perforation-decided" {
				return rule.Points
			}
		}
		t.Fatal("no rule for the response")
		return 0
	}
	if a, b := points(told), points(silent); a != 1.5 || b != 0 {
		t.Errorf("the response earns %.2f, silence %.2f points", a, b)
	}
	for _, metric := range []string{"irrigant_escaped_ml", "flora_left_share"} {
		a, _ := told.Outcome.Value(metric, "canal")
		b, _ := silent.Outcome.Value(metric, "canal")
		if b <= a {
			t.Errorf("%s: told %.4f, silent %.4f", metric, a, b)
		}
	}
	if !told.Marks.Failed || !silent.Marks.Failed {
		t.Error("a perforation does not fail the run")
	}
}
