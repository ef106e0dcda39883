package scenario_test

import (
	"testing"

	"tugback/internal/scenario"
	"tugback/scenarios"
)

// TestLengthBand is D3 (anatomy facts 6): a filling that ends 0 to 2 mm short of the foramen earns full marks
// for its length, exactly, and less on either side, in every shipped rule set. Source: Ng 2008, Liang 2012.
func TestLengthBand(t *testing.T) {
	sets := ruleSets(t)
	whole, err := scenario.LoadFS(scenarios.Files, "upper-central-incisor.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sets["whole-procedure"] = whole
	for name, s := range sets {
		share := func(short float64) float64 {
			f := goodRun("canal")
			set(&f, "fill_short_mm", short)
			for _, r := range s.Marker().Mark(f).Rules {
				if r.ID == "fill-length" {
					return r.Points / r.Available
				}
			}
			t.Fatalf("%s has no rule fill-length", name)
			return 0
		}
		for _, short := range []float64{0, 0.5, 1, 2} {
			if got := share(short); got != 1 {
				t.Errorf("%s: %g mm short earns %.4f of the points", name, short, got)
			}
		}
		for _, short := range []float64{-0.01, 2.01, -3, 5} {
			if got := share(short); got >= 1 {
				t.Errorf("%s: %g mm short earns all points", name, short)
			}
		}
	}
}
