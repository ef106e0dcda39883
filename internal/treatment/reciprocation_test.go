package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// TestReciprocationByDefault is F10 as a student meets it: the same file in the same bend, no speed said, uses least of
// its life in a stroke at 150/30, more at 270/30 and 360/30, most in rotation (acemap 268994237; times to fracture).
func TestReciprocationByDefault(t *testing.T) {
	used := func(motion string, forward, back int) float64 {
		b := block(60, 5, 1)
		b.Width, b.Taper = 0.5, 0.03
		s := treatment.StartBlock(b, treatment.DefaultSettings(), 1)
		a := file(s, "reciprocating-25.06", motion, 0.5, 1.5, 5)
		a.Canal, a.Forward, a.Back = treatment.BlockCanal, 10*forward, 10*back
		s = run(t, s, a)
		return s.Tools[0].LifeUsed()
	}
	best, far, farther, rotation := used("reciprocation", 150, 30), used("reciprocation", 270, 30), used("reciprocation", 360, 30), used("rotation", 0, 0)
	if !(0 < best && best < far && best < farther && far < rotation && farther < rotation) {
		t.Errorf("life used: 150/30 %.4f, 270/30 %.4f, 360/30 %.4f, rotation %.4f", best, far, farther, rotation)
	}
}
