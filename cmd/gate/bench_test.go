package main

import "testing"

// TestReadFigures holds that every figure stands under the whole name of its benchmark, sub-benchmarks and hyphens
// with it, whatever number of processors follows, and that of repeated runs the best counts.
func TestReadFigures(t *testing.T) {
	got := readFigures("goos: linux\n" +
		"BenchmarkGrow/lower-first-molar-2 \t 1000\t 600000 ns/op\nBenchmarkGrow/upper-first-molar-16 \t 900\t 700000 ns/op\n" +
		"BenchmarkGrow/lower-first-molar-2 \t 1000\t 500000 ns/op\n" +
		"BenchmarkTreatment/careful\t 1\t 100 passes/stroke\t 340 ms/sitting\n" +
		"BenchmarkGeneralSolvers-2 \t 1\t 800 times-faster\nBenchmarkGeneralSolvers-2 \t 1\t 900 times-faster\nPASS\n")
	want := map[string]float64{"Grow/lower-first-molar ns/op": 500000, "Grow/upper-first-molar ns/op": 700000,
		"Treatment/careful passes/stroke": 100, "Treatment/careful ms/sitting": 340, "GeneralSolvers times-faster": 900}
	if len(got) != len(want) {
		t.Errorf("figures %v, want %v", got, want)
	}
	for name, v := range want {
		if got[name] != v {
			t.Errorf("%s is %g, want %g", name, got[name], v)
		}
	}
}
