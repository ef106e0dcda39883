package trial_test

import (
	"os"
	"runtime"
	"strconv"
	"testing"

	"tugback/internal/specimen"
	"tugback/internal/trial"
)

// BenchmarkMolar reports what whole treatments of a lower first molar by the careful operator cost on one
// processor (bar: a thousand within three minutes on two, that is 360 ms a case), also by the stroke that a file
// makes in a work action, with all that is measured, rinsed and filled between the strokes.
func BenchmarkMolar(b *testing.B) {
	s, o := specimen.Scenario(b, "lower-first-molar"), operator(b, "careful")
	strokes, cases := 0, 0
	for b.Loop() {
		seed := trial.CaseSeed(1, cases)
		grown, err := s.Case(seed)
		if err != nil {
			b.Fatal(err)
		}
		strokes += trial.Treat(grown, o, seed).Counts.Strokes
		cases++
	}
	spent := b.Elapsed()
	b.ReportMetric(float64(spent.Microseconds())/1000/float64(cases), "ms/case")
	b.ReportMetric(float64(strokes)/float64(cases), "strokes/case")
	b.ReportMetric(spent.Seconds()*1000/float64(strokes), "ms/stroke")
}

// TestSolvesPerStroke holds that strokes take at most three contact solves on average, whoever makes them. What
// an insertion takes is not a stroke's, and is logged beside it.
func TestSolvesPerStroke(t *testing.T) {
	s := specimen.Scenario(t, "lower-first-molar")
	for _, name := range []string{"careful", "novice"} {
		grown, err := s.Case(trial.CaseSeed(1, 1))
		if err != nil {
			t.Fatal(err)
		}
		got := trial.Treat(grown, operator(t, name), trial.CaseSeed(1, 1)).Counts
		t.Logf("%s: %d strokes, %d solves in them, %d in all", name, got.Strokes, got.InStrokes, got.AllSolves)
		if got.Strokes == 0 || got.InStrokes > 3*got.Strokes {
			t.Errorf("%s: %d strokes took %d solves, want at most three a stroke", name, got.Strokes, got.InStrokes)
		}
	}
}

// TestMemoryFlat holds that a trial of ten times as many cases keeps no more memory: what is kept is counts. The
// cases are real but quick: an operator who leaves nearly everything out treats a front tooth. TUGBACK_CASES
// sets the larger number of cases. A quarter and a megabyte are left for what the collector has not taken (assumed).
func TestMemoryFlat(t *testing.T) {
	o := changed(t, "hurried", "strokes: 12", "strokes: 1", "searches: 1", "searches: 0", "insists: 3", "insists: 0",
		"enlarge: 3", "enlarge: 0", "step-back: 2", "step-back: 0", "dam: 5 %", "dam: 100 %", "flare: 70 %", "flare: 100 %")
	s := specimen.Scenario(t, "upper-central-incisor")
	kept := func(cases int) (size int, heap uint64) {
		p := trial.Plan{Scenario: s, Operator: o, Cases: cases, Seed: 1}
		var peak uint64
		p.Progress = func(done int) {
			if done%(cases/5) == 0 {
				var m runtime.MemStats
				runtime.GC()
				runtime.ReadMemStats(&m)
				peak = max(peak, m.HeapAlloc)
			}
		}
		return len(encode(t, run(t, p))), peak
	}
	most := 120
	if v, err := strconv.Atoi(os.Getenv("TUGBACK_CASES")); err == nil && v >= 100 {
		most = v
	}
	kept(5) // what is made once
	_, few := kept(most / 10)
	size, many := kept(most)
	t.Logf("live heap at most %.2f MB in %d cases, %.2f MB in %d; the result is %d bytes",
		float64(few)/1e6, most/10, float64(many)/1e6, most, size)
	if many > few+few/4+1<<20 {
		t.Errorf("%d cases keep %d bytes, %d keep %d", most, many, most/10, few)
	}
}
