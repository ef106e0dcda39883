package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6f, want %g ± %g", what, got, want, tolerance)
	}
}

// G1, G2, G3, G4, G5, G6, G7. Expected: derived, exact geometry of a parallel beam (protocol facts 2.2).
func TestProjection(t *testing.T) {
	rad := math.Pi / 180
	near(t, "G1", treatment.Beam{Source: 406.4, Object: 20}.Magnification(), 1.0518, 1e-4)
	near(t, "G2", treatment.Beam{Source: 203.2, Object: 20}.Magnification(), 1.1092, 1e-4)
	for _, c := range []struct{ a, g, want float64 }{
		{30, 0, 0.8660}, {30, 15, 1}, {30, 30, 1.1547}, {40, 10, 0.8794}, {40, 30, 1.1372}, // G3, G4
		{30, 20, 1.0480}, {30, 10, 0.9542}, {30, 25, 1.0992}, {30, 5, 0.9098},
	} {
		b := treatment.Beam{Receptor: c.a * rad, Vertical: c.g * rad, Source: 1e9}
		near(t, "ratio", b.Ratio(), c.want, 1e-4)
		_, top := b.Project(0, 10, 0)
		_, low := b.Project(0, -10, 0)
		near(t, "projected length", (top-low)/20, c.want, 1e-4)
	}
	for g := -40.0; g <= 40; g += 10 {
		near(t, "G5", treatment.Beam{Vertical: g * rad, Source: 400}.Ratio(), 1, 1e-9)
	}
	for phi, want := range map[float64]float64{20: 1.092, 30: 1.732} { // G6: lingual goes with the tube
		b := treatment.Beam{Shift: phi * rad, Source: 1e9}
		lingual, _ := b.Project(0, 0, 1.5)
		buccal, _ := b.Project(0, 0, -1.5)
		near(t, "G6", lingual-buccal, want, 1e-3)
	}
	near(t, "G7", treatment.FileRatio(20, 23.1, 21), 22, 1e-9)
}

// P19, P22: 87–100 % within 0.5 mm in good conditions, 44–72 % with the old type; a foramen over 0.6 mm
// lowers that; blood reads short. Sources: protocol facts [21], [22b], [22c], [29], [30].
func TestLocator(t *testing.T) {
	s := detmath.NewStream(7, "locator")
	within := func(l treatment.Locating) float64 {
		n := 0
		for range 4000 {
			early, sd := l.Spread()
			if math.Abs(s.Normal(-early, sd)) <= 0.5 {
				n++
			}
		}
		return float64(n) / 4000
	}
	good := treatment.Locating{Foramen: 0.3, File: 0.15, Narrow: 0.25, Error: 0.25}
	old, wide, wider, blood, thin := good, good, good, good, good
	old.Error, wide.Foramen, wider.Foramen, blood.Blood, thin.File = 0.6, 0.7, 1, true, 0.06
	if got := within(good); got < 0.87 || got > 1 {
		t.Errorf("good conditions: %.3f within 0.5 mm", got)
	}
	if got := within(old); got < 0.44 || got > 0.72 {
		t.Errorf("old type: %.3f within 0.5 mm", got)
	}
	for name, l := range map[string]treatment.Locating{"wide": wide, "blood": blood, "thin file": thin} {
		if within(l) >= within(good) {
			t.Errorf("%s: no worse than good conditions", name)
		}
	}
	if within(wider) >= within(wide) {
		t.Error("a foramen of 1 mm reads no worse than one of 0.7 mm")
	}
}

// A floor perforation reads as the apex, at the orifice. Source: protocol facts 2.3.
func TestPerforationReadsAsApex(t *testing.T) {
	s := opened(t, molar(t, 3, 20, 10))
	s.Access.Through = true
	_, events := runEvents(t, s, rinse(s), treatment.Action{Do: treatment.Measure, Canal: "MB", Choice: "locator", Item: "hand-steel-10.02"})
	for _, e := range events {
		if e.Kind == treatment.Reading && e.Value > s.Canals[0].Orifice()+2 {
			t.Errorf("reads %.1f mm past a floor perforation at %.1f mm", e.Value, s.Canals[0].Orifice())
		}
	}
}
