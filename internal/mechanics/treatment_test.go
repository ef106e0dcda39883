package mechanics_test

import (
	"math"
	"testing"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/mechanics"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// rerun is what carrying out a plan again costs.
type rerun struct {
	engine, record time.Duration // the actions alone, and with digests, outcome and marks
	counts         mechanics.Counts
}

// quickest takes the time of a call, where it is less than what was taken before.
func quickest(least *time.Duration, call func()) {
	begin := time.Now()
	call()
	*least = min(*least, time.Since(begin))
}

// measure carries a shipped plan out several times. Of every action the quickest time counts, so that other
// programs on the machine lengthen the sum little.
func measure(b *testing.B, name string, rounds int) rerun {
	b.Helper()
	plan := specimen.Plan(b, name)
	paper := specimen.Paper(b, plan.For)
	if plan.Seed != nil {
		paper = specimen.Seeded(b, plan.For, *plan.Seed)
	}
	bare, kept := make([]time.Duration, len(plan.Steps)), make([]time.Duration, len(plan.Steps)+1)
	for i := range kept {
		kept[i] = math.MaxInt64
	}
	copy(bare, kept)
	var out rerun
	for range rounds {
		memory, state, run := treatment.NewScratch(), treatment.Start(paper.Case), attempt.Begin(paper)
		for i, a := range plan.Steps {
			var err, refused error
			quickest(&bare[i], func() { state, _, err = memory.Step(state, a) })
			quickest(&kept[i], func() { _, refused = run.Do(a) })
			if err != nil || refused != nil {
				b.Fatalf("%s, action %d: %v, %v", name, i+1, err, refused)
			}
		}
		quickest(&kept[len(plan.Steps)], func() { run.Close() })
		out.counts = memory.Counts()
	}
	for _, d := range bare {
		out.engine += d
	}
	for _, d := range kept {
		out.record += d
	}
	return out
}

// BenchmarkTreatment reports what whole treatments of the lower first molar cost by the stroke: all that the
// shipped plans do (films, locator, needles, cones, gauging, filling) shared out over the strokes that files make
// with work actions; insertions, gauging and cones are no strokes. In ms, and in bare pentadiagonal passes at 150
// stations of the same run, which a busy machine lengthens alike. "record" adds a digest of the whole state
// after every action, outcome and marks.
func BenchmarkTreatment(b *testing.B) {
	for _, plan := range []string{"careful", "hurried"} {
		b.Run(plan, func(b *testing.B) {
			pass := time.Duration(math.MaxInt64)
			bare := mechanics.BarePass(150)
			for range 20_000 {
				quickest(&pass, bare)
			}
			got := measure(b, "lower-first-molar."+plan, max(b.N, 10))
			strokes := float64(got.counts.Strokes)
			b.ReportMetric(strokes, "strokes")
			b.ReportMetric(float64(got.counts.InStrokes)/strokes, "solves-in-strokes/stroke")
			b.ReportMetric(float64(got.counts.AllSolves)/strokes, "solves/stroke")
			b.ReportMetric(float64(got.engine)/strokes/float64(pass), "passes/stroke")
			b.ReportMetric(float64(got.record)/strokes/float64(pass), "record-passes/stroke")
			b.ReportMetric(float64(got.engine)/strokes/1e6, "ms/stroke")
			b.ReportMetric(float64(got.record)/strokes/1e6, "record-ms/stroke")
			b.ReportMetric(float64(got.record)/1e6, "ms/sitting")
			b.ReportMetric(float64(pass), "ns/pass")
			b.ReportMetric(0, "ns/op")
		})
	}
}
