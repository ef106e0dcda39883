package quiz_test

import (
	"math"
	"slices"
	"testing"

	"tugback/internal/quiz"
)

// TestFormulas holds each formula against a worked value from the published tables or the geometry notes
// (identifiers of those rows in brackets); "derived" is arithmetic done by hand.
func TestFormulas(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range []struct {
		name      string
		args      []float64
		want      float64
		tolerance float64
		source    string
	}{
		{"magnification", []float64{406.4, 20}, 1.0518, 1e-4, "G1"},
		{"magnification", []float64{203.2, 20}, 1.1092, 1e-4, "G2"},
		{"true-length", []float64{23.1, 1.05}, 22, 1e-9, "derived"},
		{"projection", []float64{30, 0}, 0.8660, 1e-4, "G3"},
		{"projection", []float64{30, 15}, 1, 1e-4, "G3"},
		{"projection", []float64{30, 30}, 1.1547, 1e-4, "G3"},
		{"projection", []float64{40, 10}, 0.8794, 1e-4, "G4"},
		{"projection", []float64{0, 25}, 1, 1e-9, "G5"},
		{"parallax", []float64{3, 20}, 1.092, 1e-3, "G6"},
		{"parallax", []float64{3, 30}, 1.732, 1e-3, "G6"},
		{"file-ratio", []float64{20, 23.1, 21}, 22, 1e-9, "G7"},
		{"predictive-positive", []float64{.87, .84, .5}, 84.5, 0.05, "Mainkar and Kim 2018, Bayes column"},
		{"predictive-negative", []float64{.87, .84, .5}, 86.6, 0.05, "Mainkar and Kim 2018, Bayes column"},
		{"predictive-positive", []float64{.72, .93, .5}, 91.1, 0.05, "the same"},
		{"predictive-negative", []float64{.78, .67, .5}, 75.3, 0.05, "the same"},
		{"needle-reach", []float64{.3112, 25, .04}, 1.53, .01, "G8"},
		{"needle-reach", []float64{.3112, 30, .06}, .19, .01, "G8"},
		{"needle-reach", []float64{.4128, 30, .04}, 2.82, .01, "G8"},
		{"needle-reach", []float64{.3112, 35, .04}, 0, .01, "G8"},
		{"needle-reach", []float64{.5144, 40, .06}, 1.91, .01, "G8"},
		{"canal-volume", []float64{25, .04, 15}, 3.917, .005, "G9"},
		{"canal-volume", []float64{25, .06, 15}, 6.568, .005, "G9"},
		{"canal-volume", []float64{40, .04, 15}, 6.126, .005, "G9"},
		{"cone-short", []float64{.05, .02}, 2.50, .01, "G10"},
		{"cone-short", []float64{.05, .06}, .83, .01, "G10"},
		{"cone-short", []float64{.07, .04}, 1.75, .01, "G10"},
		{"area-share", []float64{30, .02, .06, 1}, 79.0, .1, "G11"},
		{"area-share", []float64{30, .02, .06, 5}, 44.4, .1, "G11"},
		{"area-share", []float64{30, .04, .06, 10}, 60.5, .1, "G11"},
		{"area-share", []float64{25, .02, .04, 3}, 70.2, .1, "G11"},
		{"step-back-taper", []float64{1, .05}, .05, 1e-9, "G12"},
		{"step-back-taper", []float64{.5, .05}, .10, 1e-9, "G12"},
		{"tube-loss", []float64{4, .5, 1}, .37, .01, "G13"},
		{"tube-loss", []float64{2.5, .5, 1}, 2.40, .01, "G13"},
		{"tube-loss", []float64{3, .6, 1.4}, 4.59, .01, "G13"},
		{"pressure", []float64{.26, 25, .159}, 410, 2, "P1"},
		{"pressure", []float64{.26, 25, .260}, 57.4, .3, "P2"},
		{"bore-ratio", []float64{.260, .159}, 7.15, .02, "P2"},
		{"diameter", []float64{15, .04, 15}, .75, 1e-9, "read row 15/.04"},
		{"diameter", []float64{17, .08, 12}, 1.13, 1e-9, "read row 17/.08"},
		{"diameter", []float64{25, .04, 10}, .65, 1e-9, "read"},
		{"diameter", []float64{25, .02, 16}, .57, 1e-9, "D16 table"},
		{"trimmed", []float64{10, .02, 1}, .12, 1e-9, "read: 10 cut 1 mm acts as 12"},
		{"acts-as", []float64{15, .02, 1}, 17, 1e-9, "read: 15 cut 1 mm acts as 17"},
		{"trim", []float64{10, 14, .02}, 2, 1e-9, "read: 2 mm for 14"},
		{"relative-step", []float64{10, 15}, 50, 1e-4, "D5"},
		{"relative-step", []float64{30, 35}, 16.67, .01, "D5"},
		{"relative-step", []float64{55, 60}, 9.09, .01, "D5"},
		{"net-turn", []float64{150, 30}, 120, 1e-9, "M1"},
		{"net-turn", []float64{120, 30}, 90, 1e-9, "M1"},
		{"cycles-per-turn", []float64{150, 30}, 3, 1e-9, "M1"},
		{"cycles-per-turn", []float64{120, 30}, 4, 1e-9, "M1"},
		{"stiffness-ratio", []float64{40, 25, 3}, 4.846, .02, "derived: (0.46/0.31)^4"},
		{"arc-length", []float64{5, 60}, 5.236, .001, "A5 and the table of arcs"},
		{"arc-length", []float64{2, 30}, 1.047, .001, "the same"},
		{"schneider", []float64{5, 60, 0}, 30, .02, "worked example 1"},
		{"schneider", []float64{5, 60, 2}, 38.449, .05, "worked example 2"},
		{"schneider", []float64{2, 60, 3}, 48.068, .05, "worked example 4"},
		{"straightening", []float64{5, 60, 2}, .430, .001, "worked example 2"},
		{"straightening", []float64{10, 70, 0}, .746, .001, "worked example 9"},
		{"strain", []float64{.30, 5}, 3.00, .005, "table of strain"},
		{"strain", []float64{.55, 2}, 13.75, .05, "table of strain"},
		{"transportation", []float64{1, .80, 1, .65}, .15, 1e-9, "Gambill, worked: 0.20 and 0.35"},
		{"centring", []float64{1, .80, 1, .65}, .571, .001, "Gambill, worked"},
		{"centring", []float64{1, .9, 1, .9}, 1, 1e-9, "Gambill, worked"},
		{"rinse-time", []float64{2, 4}, .5, 1e-9, "derived"},
		{"dilute", []float64{5, 1, 60}, 12, 1e-9, "derived"},
		{"flow-per-minute", []float64{.26}, 15.6, 1e-4, "G16"},
		{"difference", []float64{14, 5}, 9, 1e-9, "derived"},
		{"sum", []float64{6.24, 1.88}, 8.12, 1e-9, "Deutsch and Musikant 2004, additivity"},
	} {
		seen[c.name] = true
		got, err := quiz.Call{Name: c.name, Args: c.args}.Compute()
		if err != nil || math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%s %v: %.5g (%v), want %.5g (%s)", c.name, c.args, got, err, c.want, c.source)
		}
	}
	for _, f := range quiz.Formulas() {
		if !seen[f.Name] {
			t.Errorf("%s is not checked", f.Name)
		}
		if f.Text == "" || f.Source == "" || len(f.Args) == 0 {
			t.Errorf("%s lacks a text, a source or arguments", f.Name)
		}
	}
}

// TestFormulasRefuse holds that what has no value is an error.
func TestFormulasRefuse(t *testing.T) {
	for _, c := range []quiz.Call{
		{Name: "no-such", Args: []float64{1}}, {Name: "sum", Args: []float64{1}}, {Name: "magnification", Args: []float64{20, 20}},
		{Name: "stiffness-ratio", Args: []float64{26, 25, 3}}, {Name: "sum", Args: []float64{math.NaN(), 1}},
	} {
		if v, err := c.Compute(); err == nil {
			t.Errorf("%s %v gave %g", c.Name, c.Args, v)
		}
	}
}

// TestFacts holds that the table is sound: ids once, a standing, a source that can be named, ranges rising.
func TestFacts(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range quiz.Facts() {
		if seen[f.ID] || f.ID == "" || f.Text == "" {
			t.Errorf("fact %q stands twice or lacks a text", f.ID)
		}
		seen[f.ID] = true
		if !slices.Contains([]string{"confirmed", "memory", "common practice", "derived"}, f.Standing) {
			t.Errorf("fact %s has the standing %q", f.ID, f.Standing)
		}
		if f.Source == "" || f.Low > f.High || f.Value != 0 && f.Value != f.Low {
			t.Errorf("fact %s: source %q, value %g, range %g to %g", f.ID, f.Source, f.Value, f.Low, f.High)
		}
	}
	if _, found := quiz.FactByID("no-such"); found {
		t.Error("a fact that does not exist was found")
	}
}
