package scenario_test

import (
	"testing"

	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// TestProtocolMarks holds what the steps of a protocol earn: how often, at most, in time, in order, with a step
// that was left out costing only itself. Points by hand.
func TestProtocolMarks(t *testing.T) {
	s, err := scenario.Load(testdata + "/ok/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	naocl := treatment.Action{Do: treatment.Irrigate, Agent: "sodium-hypochlorite", Canal: "MB"}
	edta := treatment.Action{Do: treatment.Irrigate, Agent: "edta", Canal: "MB"}
	dam, open := treatment.Action{Do: treatment.Isolate}, treatment.Action{Do: treatment.Open}
	measure := func(canal string) treatment.Action { return treatment.Action{Do: treatment.Measure, Canal: canal} }
	first, second := measure("MB"), measure("ML")
	taught := []treatment.Action{dam, open, first, first, second, second, naocl, naocl, edta, naocl}
	cases := []struct {
		name    string
		actions []treatment.Action
		at      int // ms, of the first event
		minutes float64
		want    map[string]float64
	}{
		{"as taught", taught, 60_000, 100, map[string]float64{"isolate": 2, "measure": 3, "irrigate-sodium-hypochlorite": 2, "irrigate-edta": 2, "irrigate-sodium-hypochlorite-2": 1, "dress": 1, "time": 2}},
		{"nothing", nil, 0, 0, map[string]float64{"dress": 1, "time": 2}},
		{"dam too late", taught, 601_000, 120, map[string]float64{"measure": 3, "irrigate-sodium-hypochlorite": 2, "irrigate-edta": 2, "irrigate-sodium-hypochlorite-2": 1, "dress": 1, "time": 2}},
		{"one canal measured once", []treatment.Action{open, first, second, second}, 0, 150, map[string]float64{"measure": 2.25, "dress": 1, "time": 1}},
		{"rinsed out of order", []treatment.Action{edta, naocl, naocl, first}, 0, 180, map[string]float64{"measure": 0.75, "irrigate-sodium-hypochlorite-2": 1, "dress": 1}},
		{"EDTA four times", []treatment.Action{naocl, edta, edta, edta, edta, naocl}, 0, 120, map[string]float64{"irrigate-sodium-hypochlorite": 4.0 / 3, "irrigate-sodium-hypochlorite-2": 1, "dress": 1, "time": 2}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			facts := marking.Facts{Actions: c.actions, Events: []treatment.Event{{Action: 0, At: c.at}}, Outcome: treatment.Outcome{Metrics: []treatment.Metric{
				{Name: "minutes", Value: c.minutes}, {Name: "found", Canal: "MB"}, {Name: "found", Canal: "ML"}}}}
			for _, r := range s.Marker().Mark(facts).Rules {
				id := r.ID
				if len(id) > 9 && id[:9] == "protocol-" {
					id = id[9:]
				}
				if want := c.want[id]; r.Points < want-1e-6 || r.Points > want+1e-6 {
					t.Errorf("%s earns %v, want %v: %s", r.ID, r.Points, want, r.Evidence)
				}
			}
		})
	}
}

// TestInAnotherLanguage holds that the texts of a language replace those of the file, those it lacks stay, and the
// case with its rules remains the same; and that a language the file lacks is told.
func TestInAnotherLanguage(t *testing.T) {
	text := `format: 1
name: x
title: A canine
summary: It hurts.
findings: [cold hurts]
tooth: {kind: upper-canine}
texts:
  de: {title: Ein Eckzahn, findings: [Kälte schmerzt]}
  fr: {summary: La dent fait mal.}
`
	s, err := scenario.Parse("x.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	de, err := s.In("de")
	if err != nil || de.Title() != "Ein Eckzahn" || de.Summary() != "It hurts." || de.Findings()[0] != "Kälte schmerzt" || de.Digest() != s.Digest() {
		t.Errorf("de: %q, %q, %q, %v", de.Title(), de.Summary(), de.Findings(), err)
	}
	if fr, err := s.In("fr"); err != nil || fr.Title() != "A canine" || fr.Summary() != "La dent fait mal." || fr.Findings()[0] != "cold hurts" {
		t.Errorf("fr: %q, %q, %v", fr.Title(), fr.Summary(), err)
	}
	if _, err := s.In("it"); err == nil || err.Error() != `x has no texts in "it"; it has de, fr` {
		t.Errorf("it: %v", err)
	}
}
