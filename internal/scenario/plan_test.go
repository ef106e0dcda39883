package scenario_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// TestPlan reads a plan with every kind of action and checks values, order, repetition and places.
func TestPlan(t *testing.T) {
	name := filepath.Join(testdata, "plan-ok", "every-kind.yaml")
	p, err := scenario.LoadPlan(name)
	if err != nil {
		t.Fatal(err)
	}
	if p.Name != "every-kind" || p.For != "every-key" || p.Seed == nil || *p.Seed != 7 {
		t.Errorf("head of the plan: %s %s %v", p.Name, p.For, p.Seed)
	}
	written := map[treatment.Kind]int{}
	for _, a := range p.Steps {
		written[a.Do]++
	}
	for _, k := range treatment.Kinds() {
		if written[k] == 0 {
			t.Errorf("the plan lacks an action of kind %s", k)
		}
	}
	if written[treatment.Work] != 4 || written[treatment.Wipe] != 3 {
		t.Errorf("worked %d times and wiped %d, want 4 and 3", written[treatment.Work], written[treatment.Wipe])
	}
	want := treatment.Action{Do: treatment.Work, Canal: "MB", Item: "hand-steel-10.02", Motion: "watch-winding", Stop: 19500, Push: 500, Strokes: 20}
	if diff := cmp.Diff(want, p.Steps[8]); diff != "" {
		t.Errorf("first repeated step (-want +got):\n%s", diff)
	}
	if p.Place(8) != p.Place(10) || !strings.HasSuffix(p.Place(8), "every-kind.yaml:19:11") {
		t.Errorf("places of a repeated step: %s and %s", p.Place(8), p.Place(10))
	}
	if got := p.Fault(0, errors.New("too late")).String(); !strings.HasPrefix(got, name+":8:5: too late [step]\n") {
		t.Errorf("fault of step 0: %s", got)
	}
}

// TestUnits checks each unit through a field that takes it. Expected integers follow from the
// definition of the unit and the field's scale, rounded to the nearest.
func TestUnits(t *testing.T) {
	wait := func(v string) string { return "wait: {time: " + v + "}" }
	work := func(v string) string {
		return "work: {canal: MB, with: rotary-25.04, motion: rotation, stop: 19 mm, push: 1 N, strokes: 5, " + v + "}"
	}
	rinse := func(v string) string {
		return "irrigate: {canal: MB, irrigant: edta, with: needle-30-side, stop: 18 mm, " + v + "}"
	}
	for _, test := range []struct {
		step string
		got  func(treatment.Action) int
		want int
	}{
		{wait("40 s"), timeOf, 40000},
		{wait("40s"), timeOf, 40000},
		{wait("1 min"), timeOf, 60000},
		{wait("0.5 h"), timeOf, 1800000},
		{wait("1500 ms"), timeOf, 1500},
		{wait("1.0004 s"), timeOf, 1000},
		{work("torque: 2 N·cm"), func(a treatment.Action) int { return a.Torque }, 20000},
		{work("torque: 2 Ncm"), func(a treatment.Action) int { return a.Torque }, 20000},
		{work("torque: 2 N.cm"), func(a treatment.Action) int { return a.Torque }, 20000},
		{work("torque: 20 N·mm"), func(a treatment.Action) int { return a.Torque }, 20000},
		{work("torque: 20 mN·m"), func(a treatment.Action) int { return a.Torque }, 20000},
		{work("speed: 300 rpm"), func(a treatment.Action) int { return a.Speed }, 300},
		{work("forward: 30°"), func(a treatment.Action) int { return a.Forward }, 300},
		{work("forward: 0.5 rad"), func(a treatment.Action) int { return a.Forward }, 286}, // 28.648 deg
		{work("lift: 1.9996 mm"), func(a treatment.Action) int { return a.Lift }, 2000},
		{work("lift: 300 µm"), func(a treatment.Action) int { return a.Lift }, 300},
		{work("lift: 0.3 cm"), func(a treatment.Action) int { return a.Lift }, 3000},
		{work("press: 250 mN"), func(a treatment.Action) int { return a.Press }, 250},
		{rinse("percent: 17 %, volume: 2 ml, flow: 4 ml/min"), flowOf, 67}, // 66.67 µl/s
		{rinse("percent: 17 %, volume: 2 ml, flow: 0.1 ml/s"), flowOf, 100},
		{rinse("percent: 17 %, volume: 2000 µl, flow: 50 µl/s"), flowOf, 50},
		{rinse("percent: 5.25 %, volume: 300 mm³, flow: 50 ul/s"), func(a treatment.Action) int { return a.Percent }, 53}, // 52.5 to 53
		{rinse("percent: 5 %, volume: 300 mm³, flow: 50 ul/s"), func(a treatment.Action) int { return a.Volume }, 300},
		{"review: {days: 2 weeks}", daysOf, 14},
		{"review: {days: 1 year}", daysOf, 365}, // 365.25 d
		{"review: {days: 1 d}", daysOf, 1},
	} {
		p, err := scenario.ParsePlan("plan.yaml", []byte("format: 1\nname: units\nsteps:\n  - "+test.step+"\n"))
		if err != nil {
			t.Errorf("%s: %v", test.step, err)
		} else if got := test.got(p.Steps[0]); got != test.want {
			t.Errorf("%s: got %d, want %d", test.step, got, test.want)
		}
	}
}

func timeOf(a treatment.Action) int { return a.Time }
func flowOf(a treatment.Action) int { return a.Flow }
func daysOf(a treatment.Action) int { return a.Days }

// TestFieldsCanBeWritten holds that every unit in the table of fields is one that people can write,
// so that a new field cannot be out of reach.
func TestFieldsCanBeWritten(t *testing.T) {
	for _, kind := range treatment.Kinds() {
		for _, f := range treatment.Fields(kind) {
			if f.Form != treatment.Number {
				continue
			}
			value := fmt.Sprintf("%.6f %s", float64(f.Max)/f.Scale, f.Unit)
			if f.Unit == "" {
				value = fmt.Sprint(f.Max)
			}
			text := fmt.Sprintf("format: 1\nname: one\nsteps:\n  - %s: {%s: %s}\n", kind, f.Key, value)
			_, err := scenario.ParsePlan("plan.yaml", []byte(text))
			if err != nil && strings.Contains(err.Error(), ": "+f.Key+" is") {
				t.Errorf("%s %s: %v", kind, f.Key, err)
			}
		}
	}
}

// TestPlanAgainstCase checks what only turns out when the case is known, each fault at its word.
func TestPlanAgainstCase(t *testing.T) {
	p, err := scenario.ParsePlan("plan.yaml", []byte(strings.Join([]string{
		"format: 1", "name: other", "for: another-case", "steps:",
		"  - find: {canal: MB}",
		"  - find: {canal: MBB}",
		"  - wipe: {with: hand-steel-15.02}",
		"  - wipe: {with: hand-steel-10.02}", "",
	}, "\n")))
	if err != nil {
		t.Fatal(err)
	}
	c := &treatment.Case{
		Scenario: "this-case", Tray: []string{"hand-steel-10.02"},
		Tooth: &anatomy.Tooth{Canals: []anatomy.Canal{{Name: "MB"}, {Name: "D"}}},
	}
	var faults scenario.Faults
	if !errors.As(p.CheckAgainst(c), &faults) {
		t.Fatal("no faults found")
	}
	var got []string
	for _, f := range faults {
		got = append(got, fmt.Sprintf("%d:%d %s", f.Line, f.Column, f.Rule))
	}
	if diff := cmp.Diff([]string{"3:6 scenario", "6:19 canal", "7:18 instrument"}, got); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
	c.Scenario, c.Tray, c.Tooth.Canals[1].Name = "another-case", nil, "MBB"
	if err := p.CheckAgainst(c); err != nil {
		t.Errorf("a fitting case: %v", err)
	}
}

// TestShippedPlans checks that the plans of the program are without fault and fit their scenarios.
func TestShippedPlans(t *testing.T) {
	names, err := filepath.Glob("../../scenarios/plans/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatalf("plans %v, %v", names, err)
	}
	for _, name := range names {
		p, err := scenario.LoadPlan(name)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if want := p.For + "." + p.Name + ".yaml"; filepath.Base(name) != want {
			t.Errorf("%s is for %s and named %s, so its file is %s", name, p.For, p.Name, want)
		}
		s, err := scenario.LoadFS(scenarios.Files, p.For+".yaml")
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		c, err := s.Case(s.Seed())
		if err == nil {
			err = p.CheckAgainst(c)
		}
		if err != nil {
			t.Errorf("%v", err)
		}
	}
}

// FuzzParsePlan is FuzzParse for plans; every step read must be one that the engine takes.
func FuzzParsePlan(f *testing.F) {
	for _, folder := range []string{"plan-ok", "plan-bad"} {
		names, err := filepath.Glob(filepath.Join(testdata, folder, "*.yaml"))
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := scenario.ParsePlan("fuzz.yaml", text)
		checkFaults(t, text, err)
		for i, a := range p.Steps {
			if err := a.Check(); err != nil || p.Place(i) == "" {
				t.Errorf("step %d at %s: %v", i, p.Place(i), err)
			}
		}
	})
}
