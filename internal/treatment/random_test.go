package treatment_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// treatments is how many runs are drawn: each takes some tens of milliseconds.
const treatments = 30

// drawAction draws an action whose fields are all within their limits, on canals and items there are.
func drawAction(t *rapid.T, kinds []treatment.Kind) treatment.Action {
	a := treatment.Action{Do: rapid.SampledFrom(kinds).Draw(t, "do")}
	for _, f := range treatment.Fields(a.Do) {
		if !f.Needed && rapid.Bool().Draw(t, f.Key+" left out") {
			continue
		}
		switch f.Form {
		case treatment.Word:
			*f.Str(&a) = rapid.SampledFrom(f.Words).Draw(t, f.Key)
		case treatment.Name:
			*f.Str(&a) = drawName(t, f.Key, a.Do)
		default:
			*f.Int(&a) = rapid.IntRange(f.Min, f.Max).Draw(t, f.Key)
		}
	}
	a.Strokes = min(a.Strokes, 3) // many strokes take long and show nothing more
	return a
}

func drawName(t *rapid.T, key string, kind treatment.Kind) string {
	items := []string{"hand-steel-10.02", "hand-steel-25.02", "rotary-heat-25.04", "opener-20.08"}
	switch {
	case key == "canal":
		return rapid.SampledFrom([]string{"MB", "ML", "D"}).Draw(t, key)
	case kind == treatment.Irrigate:
		items = []string{"needle-30-side", "needle-25-open", "needle-27-notched"}
	case kind == treatment.Fit:
		items = []string{"cone-25.04", "cone-40.02", "cone-30.06"}
	}
	return rapid.SampledFrom(items).Draw(t, key)
}

// Whatever is done in whatever order: nothing panics, no figure is NaN or outside the range its table
// states, shares stay shares, a refusal leaves the state as it was, and the same action twice from one
// state gives the same state.
func TestAnyTreatmentStaysSane(t *testing.T) {
	start := opened(t, molar(t, 3, 25, 8))
	kinds := treatment.Kinds()
	runs := 0
	rapid.Check(t, func(t *rapid.T) {
		if runs++; runs > treatments {
			return
		}
		s := start
		for range rapid.IntRange(1, 6).Draw(t, "actions") {
			a := drawAction(t, kinds)
			before := detmath.Digest(s)
			next, _, err := treatment.Step(s, a)
			if detmath.Digest(s) != before {
				t.Fatalf("%+v changed the state it was given", a)
			}
			if err != nil {
				continue
			}
			again, _, _ := treatment.Step(s, a)
			if detmath.Digest(again) != detmath.Digest(next) {
				t.Fatalf("%+v twice gives two states", a)
			}
			s = next
		}
		table := map[string]treatment.Definition{}
		for _, d := range treatment.MetricTable() {
			table[d.Name] = d
		}
		for _, m := range treatment.MeasureOutcome(s).Metrics {
			if d := table[m.Name]; math.IsNaN(m.Value) || m.Value < d.Low-1e-9 || m.Value > d.High+1e-9 {
				t.Fatalf("%s %s = %g, allowed %g to %g", m.Name, m.Canal, m.Value, d.Low, d.High)
			}
		}
	})
}
