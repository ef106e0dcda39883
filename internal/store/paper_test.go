package store_test

import (
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// recordOf returns the bytes of a short run of a shipped scenario.
func recordOf(t testing.TB, seed uint64) []byte {
	t.Helper()
	s, err := scenario.LoadFS(scenarios.Files, "lower-premolar.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := s.Case(seed)
	if err != nil {
		t.Fatal(err)
	}
	marker, faults := marking.Compile([]marking.Rule{
		{ID: "dam", Points: 4, Metric: "isolated_before_open", Full: marking.Bound{Op: "==", Value: 1}},
	})
	if len(faults) > 0 {
		t.Fatalf("%+v", faults)
	}
	run, err := attempt.Treat(attempt.Paper{Case: c, Marker: marker}, []treatment.Action{
		{Do: treatment.Judge, Choice: "treat", Agent: "moderate"},
		{Do: treatment.Isolate, Tooth: c.Number, Tested: 1},
		{Do: treatment.Wait, Time: 60_000},
	})
	if err != nil {
		t.Fatal(err)
	}
	data, err := attempt.Encode(run.Close())
	if err != nil {
		t.Fatal(err)
	}
	return data
}
