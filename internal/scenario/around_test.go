package scenario_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// G15, G16, G17: pressures and flows are read in the units people write. Expected: 1 mmHg = 133.322 Pa; derived.
func TestUnitsOfTheProcedure(t *testing.T) {
	load := func(mmHg string) float64 {
		text := "format: 1\nname: a\ntooth:\n  kind: upper-canine\n  number: 13\npulp: vital\ndifficulty: low\nsettings:\n  back-pressure: " + mmHg + " mmHg\n"
		s, err := scenario.Parse("a.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		c, err := s.Case(1)
		if err != nil {
			t.Fatal(err)
		}
		return c.Settings.Around.BackPressure
	}
	for text, want := range map[string]float64{"5.73": 763.9, "5.88": 783.9, "30": 3999.7} {
		if got := load(text); math.Abs(got-want) > 0.1 {
			t.Errorf("%s mmHg is %.1f Pa, want %.1f", text, got, want)
		}
	}
	flow := func(text string) int {
		p, err := scenario.ParsePlan("p.yaml", []byte("format: 1\nname: p\nsteps:\n  - irrigate: {canal: a, irrigant: water, percent: 0 %, volume: 5 ml, flow: "+text+", with: needle-30-side, stop: 10 mm}\n"))
		if err != nil {
			t.Fatal(err)
		}
		return p.Steps[0].Flow
	}
	for text, want := range map[string]int{"4 ml/min": 67, "15.6 ml/min": 260, "3 ml/min": 50, "0.238 ml/s": 238, "0.167 ml/s": 167} {
		if got := flow(text); got != want {
			t.Errorf("%s is %d µl/s, want %d", text, got, want)
		}
	}
}

// What an instructor writes of the patient arrives in the case; an unknown word is refused.
func TestExamination(t *testing.T) {
	head := "format: 1\nname: a\ntooth:\n  kind: upper-canine\n  number: 13\npulp: necrotic\ndifficulty: low\n"
	s, err := scenario.Parse("a.yaml", []byte(head+"examination: {sinus: yes, pocket: 3 mm, physical-status: 2, pulp-term: previously-initiated}\n"))
	if err != nil {
		t.Fatal(err)
	}
	c, err := s.Case(1)
	if err != nil {
		t.Fatal(err)
	}
	if f := c.Findings; !f.Sinus || f.Pocket != 3 || f.ASA != 2 || f.PulpTerm != "previously-initiated" {
		t.Errorf("findings %+v", f)
	}
	if _, err := scenario.Parse("a.yaml", []byte(head+"examination: {pulp-term: dead}\n")); err == nil {
		t.Error("a pulp term that is none was read")
	}
}

// The example of every setting is what holds when it is left out, and what is assumed says so.
func TestSettingsShowTheirDefaults(t *testing.T) {
	assumed := 0
	for _, g := range scenario.Reference() {
		if g.Name != "settings" {
			continue
		}
		for _, e := range g.Entries {
			if e.Default == "" {
				t.Errorf("%s has no default", e.Key)
			}
			if e.Example != e.Default && e.Default != "yes" {
				t.Errorf("%s: example %q, default %q", e.Key, e.Example, e.Default)
			}
			if strings.Contains(e.Text, "assumed") {
				assumed++
			}
		}
	}
	if want := reflect.TypeFor[treatment.Assumptions]().NumField(); assumed < want {
		t.Errorf("%d settings say that they are assumed, there are %d", assumed, want)
	}
}
