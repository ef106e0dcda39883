package mechanics_test

import (
	"math"
	"testing"

	"tugback/internal/mechanics"
)

// water is 1 % NaOCl near 22 °C: 0.99 mPa·s, 1.04 g/cm³ (from memory, high certainty).
func water() mechanics.Liquid { return mechanics.Liquid{Viscosity: 0.99e-9, Density: 1040} }

// P1, P2, P3, P4. Expected: Hagen–Poiseuille, derived; the band 400–550 kPa is that of ten specialists.
func TestNeedleLoss(t *testing.T) {
	for _, c := range []struct{ flow, bore, want float64 }{
		{0.26, 0.159, 410e3}, {0.26, 0.260, 57.4e3}, {0.27, 0.260, 59.6e3}, {0.19, 0.210, 98.5e3}, {0.09, 0.159, 142e3},
	} {
		if got := water().Loss(1000*c.flow, 25, c.bore); math.Abs(got/c.want-1) > 0.005 {
			t.Errorf("%g ml/s through %g mm: %.1f kPa, want %.1f", c.flow, c.bore, got/1000, c.want/1000)
		}
	}
	if ratio := water().Loss(260, 25, 0.159) / water().Loss(260, 25, 0.260); math.Abs(ratio-7.15) > 0.04 {
		t.Errorf("30 to 25 gauge %.3f, want 7.15", ratio)
	}
	if re := mechanics.Reynolds(260, 0.159, 0.99/1.04); math.Abs(re/2187-1) > 0.01 {
		t.Errorf("Reynolds %.0f, want 2187", re)
	}
	if got := water().FlowAt(410e3, 25, 0.159, 1000); math.Abs(got-260) > 2 {
		t.Errorf("410 kPa drive %.1f mm³/s, want 260", got)
	}
	if got := water().Loss(600, 25, 0.159); got <= 1e6*mechanics.PressureDrop(600, 0.99e-9, 25, 0.159) {
		t.Errorf("turbulent loss %.0f Pa does not exceed the laminar one", got) // friction factor of Blasius
	}
}

// The ring's loss goes with the inverse cube of its width (lubrication theory) and with the flow.
func TestReturn(t *testing.T) {
	ring := func(h float64) float64 { return water().Return(50, 0.3, []float64{h, h, h}, 0.1) }
	if got := ring(0.01) / ring(0.02); math.Abs(got-8*0.32/0.31) > 1e-9 {
		t.Errorf("half the ring: %.3f times the loss", got)
	}
	if a, b := water().Return(50, 0.3, []float64{0.05}, 0.1), water().Return(100, 0.3, []float64{0.05}, 0.1); math.Abs(b/a-2) > 1e-9 {
		t.Errorf("double flow: %.3f", b/a)
	}
}

// G13. Bending stiffness a root loses when its canal widens, as tubes. Expected: derived, (d2⁴ − d1⁴)/(D⁴ − d1⁴).
func TestTubeLoss(t *testing.T) {
	inertia := mechanics.Section{Shape: mechanics.Circle}.Inertia
	for _, c := range []struct{ outer, before, after, want float64 }{{4, 0.5, 1, 0.37}, {2.5, 0.5, 1, 2.40}, {2, 0.4, 0.9, 3.95}, {3, 0.6, 1.4, 4.59}} {
		got := 100 * (inertia(c.after) - inertia(c.before)) / (inertia(c.outer) - inertia(c.before))
		if math.Abs(got-c.want) > 0.01 {
			t.Errorf("%+v: %.3f %%", c, got)
		}
	}
}
