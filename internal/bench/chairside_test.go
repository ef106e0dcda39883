package bench_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/scenario"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// examOf lays a scenario's text on the bench as a case of an examination and returns the prompt and what is said first.
func examOf(t *testing.T, text string) (*bench.Prompt, []string) {
	t.Helper()
	sc, err := scenario.ParseIn(scenarios.Files, "", "upper-first-molar.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	grown, err := sc.Case(16)
	if err != nil {
		t.Fatal(err)
	}
	return bench.SitExam(bench.Exam{Scenario: sc, Case: grown, Do: func(treatment.Action) error { return nil }, Look: func(string) error { return nil }})
}

// TestExamNamesNoHiddenCanal treats an upper molar with a hidden fourth canal and its twin without one in an
// examination. Until the fourth is found both say the same to whoever asks for it, in every way there is to name a
// canal: looking for it, working in it, turning to it, filming it, completing its name. Found, it has its name.
func TestExamNamesNoHiddenCanal(t *testing.T) {
	text, err := scenarios.Files.ReadFile("upper-first-molar.yaml")
	if err != nil {
		t.Fatal(err)
	}
	from, to := strings.Index(string(text), "    MB2:"), strings.Index(string(text), "    DB:")
	four, said := examOf(t, string(text))
	three, alike := examOf(t, string(text[:from])+string(text[to:]))
	figure := regexp.MustCompile(`[0-9.]+ mm`) // films are read with chance
	same := func(what string, a, b []string) {
		t.Helper()
		for i := range a {
			a[i] = figure.ReplaceAllString(a[i], "")
		}
		for i := range b {
			b[i] = figure.ReplaceAllString(b[i], "")
		}
		if !slices.Equal(a, b) {
			t.Errorf("%s: with the fourth canal %q, without %q", what, a, b)
		}
		if all := strings.Join(a, "\n"); what != "" && strings.Contains(all, "MB2") && !strings.Contains(what, "MB2") {
			t.Errorf("%s names the hidden canal: %q", what, all)
		}
	}
	same("the beginning", said, alike)
	plan := specimen.Plan(t, "upper-first-molar.careful").Steps
	opened := slices.IndexFunc(plan, func(a treatment.Action) bool { return a.Do == treatment.Find })
	for _, a := range plan[:opened] {
		if a.Do == treatment.Radiograph {
			a.Canal = "MB2"
		}
		same(string(a.Do), four.Do(a), three.Do(a))
	}
	probe := treatment.Action{Do: treatment.Find, Canal: "MB2", Item: "hand-steel-10.02"}
	for range 5 {
		same("find", four.Do(probe), three.Do(probe))
	}
	if !strings.Contains(strings.Join(four.Line("sheet"), " "), "P") {
		t.Fatalf("the open canals are not found: %q", four.Line("sheet"))
	}
	for _, line := range []string{"find", "find canal MB2", "canal MB2", "work canal MB2", "work MB2", "radiograph canal MB2", "radiograph", "offers", "look",
		"record", "sheet", "steps", "help find", "canal nowhere"} {
		same(line, four.Line(line), three.Line(line))
	}
	same("completing", four.Complete("canal "), three.Complete("canal "))
	same("acting", four.Do(treatment.Action{Do: treatment.Work, Canal: "MB2", Item: "hand-steel-10.02", Motion: "watch-winding", Stop: 15000, Push: 1000, Strokes: 2}),
		three.Do(treatment.Action{Do: treatment.Work, Canal: "MB2", Item: "hand-steel-10.02", Motion: "watch-winding", Stop: 15000, Push: 1000, Strokes: 2}))
	if four.Ask() != three.Ask() || four.Actions() != three.Actions() {
		t.Errorf("%q after %d actions, without the fourth canal %q after %d", four.Ask(), four.Actions(), three.Ask(), three.Actions())
	}
	found := four.Line("find trough 3 mm")
	if all := strings.Join(found, "\n"); !strings.Contains(all, "MB2 found.") || strings.Contains(all, "axis") {
		t.Errorf("troughed to it: %q", found)
	}
	if none := three.Line("find trough 3 mm"); !strings.Contains(strings.Join(none, "\n"), "No further orifice") {
		t.Errorf("troughed for nothing: %q", none)
	}
}
