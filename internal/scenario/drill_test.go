package scenario_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

const drillPlan = `format: 1
name: all
for: another-case
steps:
  - isolate: {tooth: 43, tested: yes}
  - open: {depth: 8.55 mm, mesial: 1 mm, distal: 1.15 mm, buccal: 1.75 mm, lingual: 1.7 mm, with: safe-ended, deroofed: yes}
  - find: {canal: canal}
  - measure: {canal: canal, by: locator, with: hand-steel-10.02}
`

// drilled reads a case with a drill.
func drilled(drill, plan string) (scenario.Scenario, error) {
	files := fstest.MapFS{"plans/all.yaml": {Data: []byte(plan)}}
	return scenario.ParseIn(files, "", "x.yaml", []byte("format: 1\ntooth: {kind: lower-canine}\ndrill: "+drill+"\n"))
}

// TestDrill holds that a drill does a plan's steps as far as one, or steps of its own, that other steps make
// another digest, and what is told of one that cannot be.
func TestDrill(t *testing.T) {
	s, err := drilled("{goal: Find the length., plan: plans/all.yaml, before: measure locator}", drillPlan)
	if err != nil {
		t.Fatal(err)
	}
	d, is := s.Drill()
	if !is || d.Goal != "Find the length." || len(d.Steps) != 3 || d.Steps[2].Do != treatment.Find {
		t.Errorf("got %+v", d)
	}
	other, err := drilled("{goal: Find the length., plan: plans/all.yaml, before: measure locator}", strings.Replace(drillPlan, "depth: 8.55", "depth: 9.99", 1))
	if err != nil || other.Digest() == s.Digest() {
		t.Errorf("another plan, the same digest (%v)", err)
	}
	own, err := drilled("{steps: [{isolate: {tooth: 43}}]}", drillPlan)
	if d, _ := own.Drill(); err != nil || len(d.Steps) != 1 {
		t.Errorf("got %+v, %v", d, err)
	}
	plain, err := scenario.Parse("x.yaml", []byte("format: 1\ntooth: {kind: lower-canine}\n"))
	if _, is := plain.Drill(); err != nil || is {
		t.Error("a case without drill is one")
	}
	for drill, want := range map[string]string{
		"{}":                                      "lacks what is done",
		"{plan: plans/all.yaml}":                  "lacks before",
		"{before: find}":                          "lacks plan",
		"{plan: no.yaml, before: find}":           "no such file",
		"{plan: ../x.yaml, before: a}":            "leaves the scenario's folder",
		"{plan: plans/all.yaml, before: fil}":     `did you mean "fit"`,
		"{plan: plans/all.yaml, before: fill}":    `no step "fill"; it has isolate, open, find, measure`,
		"{plan: plans/all.yaml, before: isolate}": "first step",
		"{plan: plans/all.yaml, before: find, steps: [{isolate: {tooth: 43}}]}": "write one of them",
		"{steps: [{find: {canal: MB}}]}":                                        `no canal "MB"`,
		"{steps: [{fill: {}}]}":                                                 "lacks",
		"{step: []}":                                                            `did you mean "steps"`,
	} {
		if _, err := drilled(drill, drillPlan); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q", drill, err, want)
		}
	}
	if _, err := drilled("{plan: plans/all.yaml, before: measure}", "format: 1\nname: all\nsteps: [{isolat: {}}]\n"); err == nil || !strings.Contains(err.Error(), "plans/all.yaml:3:") {
		t.Errorf("got %v", err)
	}
	wrong, err := drilled("{steps: [{find: {canal: canal}}]}", drillPlan)
	if err != nil {
		t.Fatal(err)
	}
	if doubts := wrong.Lint(); len(doubts) == 0 || !strings.Contains(doubts.Error(), "drill: this step is refused") {
		t.Errorf("got %v", doubts)
	}
}
