package mechanics

import (
	"math"
	"testing"
)

// TestRefine: Hermite's cubics with slopes of central differences are exact for a parabola but beside its ends,
// where the slope is one-sided (derived), and the stations above the first lie on a straight line.
func TestRefine(t *testing.T) {
	const n, top = 8, 3
	at := func(i int) float64 { x := float64(i-top) / coarseSteps; return 0.1 + 0.3*x - 0.02*x*x }
	v, y := make([]float64, n), make([]float64, top+coarseSteps*(n-1)+1)
	for k := range v {
		v[k] = at(top + coarseSteps*k)
	}
	refine(v, y, top)
	for i := top + coarseSteps; i <= top+coarseSteps*(n-2); i++ {
		if math.Abs(y[i]-at(i)) > 1e-15 {
			t.Errorf("station %d at %.17g, want %.17g", i, y[i], at(i))
		}
	}
	if bend := y[0] - 2*y[1] + y[2]; math.Abs(bend) > 1e-15 || y[len(y)-1] != v[n-1] {
		t.Errorf("bent by %g above the first, ends at %g, want %g", bend, y[len(y)-1], v[n-1])
	}
}

// TestCoarseGuess: whatever the guess, a solve ends at the same place (its energy is strictly convex), 1e-9 mm
// being what 1e-9 N out of balance move; from the bettered one it takes a quarter fewer steps in a
// wide canal. Of any number of
// stations, and of too few for a coarse problem.
func TestCoarseGuess(t *testing.T) {
	var c coarse
	const play = 0.2 // mm: in a wide canal contact has far to spread
	cold, warm := 0, 0
	for _, n := range []int{4, 12, 13, 14, 15, 16, 100, 150} {
		for _, short := range []float64{0, 0.15} {
			p := benchCanal(n, short)
			for i := range n {
				p.gap[0][i], p.gap[1][i] = p.gap[0][i]+play, p.gap[1][i]+play
			}
			y, from := make([]float64, n), make([]float64, n)
			var s solver
			s.solve(p, y)
			cold += s.iterations
			c.guess(p, from)
			s.solve(p, from)
			warm += s.iterations
			for i := range y {
				if math.Abs(y[i]-from[i]) > 1e-9 {
					t.Fatalf("%d stations: %.12g mm at %d, %.12g from a coarse guess", n, y[i], i, from[i])
				}
			}
		}
	}
	if 4*warm > 3*cold {
		t.Errorf("%d steps from a coarse guess, %d from none, want a quarter less", warm, cold)
	}
}
