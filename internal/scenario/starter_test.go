package scenario_test

import (
	"io/fs"
	"slices"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// TestStarters holds that the starter of every kind of tooth is without fault, without doubt, and right by
// the schema.
func TestStarters(t *testing.T) {
	schema := compiled(t)
	for _, kind := range scenario.StarterKinds() {
		text := scenario.Starter(anatomy.Kind(kind))
		s, err := scenario.Parse("starter.yaml", []byte(text))
		if err != nil {
			t.Errorf("%s:\n%v", kind, err)
			continue
		}
		if doubts := s.Lint(); doubts != nil {
			t.Errorf("%s:\n%v", kind, doubts)
		}
		if err := schema.Validate(document(t, []byte(text))); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
	if scenario.Starter("lower-third-molar") != "" {
		t.Error("a starter for a tooth there is not")
	}
}

// TestFormatPlan holds that every shipped plan, written anew from its actions, is read as the same actions.
func TestFormatPlan(t *testing.T) {
	names, err := fs.Glob(scenarios.Files, "plans/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(scenarios.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := scenario.ParsePlan(name, text)
		if err != nil {
			t.Fatal(err)
		}
		again, err := scenario.ParsePlan("again.yaml", []byte(scenario.FormatPlan(plan.Name, plan.For, "written anew", plan.Steps)))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !slices.Equal(plan.Steps, again.Steps) {
			t.Errorf("%s: other actions are read back", name)
		}
	}
}
