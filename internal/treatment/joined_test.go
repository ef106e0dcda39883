package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// TestJoinedFillings holds how far short a joining canal counts as filled (derived): by the other one's end where
// that fills the common part and its own filling reaches the junction within a millimetre; by its own end where
// it stays farther away or nothing lies in the common part. The order of filling does not matter.
func TestJoinedFillings(t *testing.T) {
	grown, err := anatomy.Grow(anatomy.Spec{Kind: "lower-second-molar", Canals: []anatomy.CanalSpec{{Name: "MB"}, {Name: "ML", Joins: "MB"}, {Name: "D"}}}, 3)
	if err != nil {
		t.Fatal(err)
	}
	s := treatment.Start(&treatment.Case{Number: 47, Tooth: grown, Settings: treatment.DefaultSettings()})
	main, side := &s.Canals[0], &s.Canals[1]
	sharp := grown.Canals[1].Length - grown.Canals[1].JoinS // length of the common end
	fill := func(tip float64) treatment.Filling { return treatment.Filling{Technique: "single-cone", Tip: tip} }
	solid := func(c *treatment.CanalState) {
		n := len(c.Space.Packed)
		c.Fill.Solid, c.Fill.Paste = make([]float64, n), make([]float64, n)
	}
	for _, c := range []struct {
		name       string
		main, side float64 // short of the foramen by their own ends, mm; NaN not filled
		want       float64
	}{
		{"at the junction", 0.8, sharp + 0.1, 0.8},
		{"a millimetre above it", 0.8, sharp + 0.95, 0.8},
		{"farther above", 0.8, sharp + 1.5, sharp + 1.5},
		{"through to the end", 0.8, 0.6, 0.6},
		{"the other one too short as well", sharp + 2, sharp + 0.1, sharp + 0.1},
		{"the other one not filled", math.NaN(), sharp + 0.1, sharp + 0.1},
	} {
		main.Fill, side.Fill = treatment.Filling{}, fill(side.Foramen()-c.side)
		if !math.IsNaN(c.main) {
			main.Fill = fill(main.Foramen() - c.main)
		}
		solid(main)
		solid(side)
		got, _ := treatment.MeasureOutcome(s).Value("fill_short_mm", "ML")
		if math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %.3f mm short, want %.3f", c.name, got, c.want)
		}
	}
}
