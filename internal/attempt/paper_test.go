package attempt_test

import (
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// paperOf returns a shipped scenario with one tooth of a single canal, and three rules.
func paperOf(t testing.TB, seed uint64) attempt.Paper {
	t.Helper()
	marker, faults := marking.Compile([]marking.Rule{
		{ID: "dam", Stage: "isolate", Points: 4, Metric: "isolated_before_open", Full: marking.Bound{Op: "==", Value: 1}},
		{ID: "time", Points: 6, Credit: "ramp(minutes, 5, 30)", Evidence: "took {minutes}"},
		{ID: "floor", Critical: true, When: "floor_perforated == 1", Evidence: "floor cut {floor_cut_mm}"},
	})
	if len(faults) > 0 {
		t.Fatalf("%+v", faults)
	}
	return attempt.Paper{Case: specimen.Seeded(t, "lower-premolar", seed).Case, Marker: marker}
}

// start is the beginning of a treatment, quick to run: no instrument works in the canal.
func start(p attempt.Paper) []treatment.Action {
	return []treatment.Action{
		{Do: treatment.Judge, Choice: "treat", Agent: "moderate"},
		{Do: treatment.Isolate, Tooth: p.Case.Number, Tested: 1},
		{Do: treatment.Open, Depth: 6000, Mesial: 1500, Distal: 1500, Buccal: 2000, Lingual: 2000, Choice: "round"},
		{Do: treatment.Wait, Time: 60_000},
	}
}

// recordOf returns the record of start and its bytes.
func recordOf(t testing.TB, p attempt.Paper) (attempt.Record, []byte) {
	t.Helper()
	run, err := attempt.Treat(p, start(p))
	if err != nil {
		t.Fatal(err)
	}
	record := run.Close()
	data, err := attempt.Encode(record)
	if err != nil {
		t.Fatal(err)
	}
	return record, data
}
