package marking_test

import (
	"fmt"
	"testing"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// canal is a made-up canal: metric name to value. Metrics that are left out are absent from the outcome.
type canal struct {
	name   string
	values map[string]float64
}

// outcome makes an outcome in the order of the metric table, tooth first, then canal by canal.
func outcome(tooth map[string]float64, canals ...canal) treatment.Outcome {
	var o treatment.Outcome
	add := func(name string, values map[string]float64, perCanal bool) {
		for _, d := range treatment.MetricTable() {
			if x, given := values[d.Name]; given && d.PerCanal == perCanal {
				o.Metrics = append(o.Metrics, treatment.Metric{Name: d.Name, Canal: name, Value: x, Unit: d.Unit})
			}
		}
	}
	add("", tooth, false)
	for _, c := range canals {
		add(c.name, c.values, true)
	}
	return o
}

// molar is a made-up run on a tooth with three canals: a ledge and much transportation in MB, a dam
// placed before opening, EDTA as the last rinse of MB only.
func molar() marking.Facts {
	return marking.Facts{
		Outcome: outcome(
			map[string]float64{"canals_missed": 0, "roof_left_share": 0.3, "minutes": 42},
			canal{"MB", map[string]float64{"transport_max_mm": 0.25, "ledge_depth_mm": 0.14, "found": 1, "patent": 0, "erosion": 0}},
			canal{"ML", map[string]float64{"transport_max_mm": 0.1, "ledge_depth_mm": 0, "found": 1, "patent": 1, "erosion": 0}},
			canal{"D", map[string]float64{"transport_max_mm": 0.04, "ledge_depth_mm": 0, "found": 1, "patent": 1, "erosion": 0}},
		),
		Actions: []treatment.Action{
			{Do: treatment.Isolate, Tooth: 46, Tested: 1},
			{Do: treatment.Open},
			{Do: treatment.Work, Canal: "MB", Item: "hand-steel-35.02", Motion: "reaming"},
			{Do: treatment.Irrigate, Canal: "MB", Agent: "sodium-hypochlorite", Volume: 3000, Time: 30_000},
			{Do: treatment.Irrigate, Canal: "D", Agent: "sodium-hypochlorite", Volume: 5000, Time: 60_000},
			{Do: treatment.Irrigate, Canal: "MB", Agent: "edta", Volume: 1000, Time: 60_000},
		},
		Events: []treatment.Event{
			{Action: 0, At: 60_000, Kind: treatment.Dammed, Value: 46},
			{Action: 2, At: 300_000, Kind: treatment.Ledge, Canal: "MB", Wall: "distal", Level: 2.1, Value: 0.14, Force: 3},
			{Action: 2, At: 300_000, Kind: treatment.WallWorn, Canal: "MB", Value: 0.25},
		},
	}
}

// compile makes a marker of rules that must have no fault.
func compile(t testing.TB, rules ...marking.Rule) *marking.Marker {
	t.Helper()
	m, faults := marking.Compile(rules)
	for _, f := range faults {
		t.Fatalf("rule %d %s %d:%d: %s", f.Rule, f.Field, f.Line, f.Column, f.Message)
	}
	return m
}

// one marks the molar by one rule.
func one(t testing.TB, rule marking.Rule) marking.RuleMark {
	t.Helper()
	if rule.ID == "" {
		rule.ID = "rule"
	}
	if rule.Points == 0 && !rule.Critical {
		rule.Points = 10
	}
	return compile(t, rule).Mark(molar()).Rules[0]
}

func at(op string, value float64) marking.Bound { return marking.Bound{Op: op, Value: value} }

// place is where a fault is, as "field line:column".
func place(f marking.Fault) string { return fmt.Sprintf("%s %d:%d", f.Field, f.Line, f.Column) }
