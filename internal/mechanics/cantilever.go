package mechanics

import "math"

// Bending is the outcome of a bench test of a gripped rod.
type Bending struct {
	Load       float64 // N across the rod at the loaded place
	Deflection float64 // mm there
	Slope      float64 // rad there
	Moment     float64 // N·mm at the grip
	Residual   float64 // rad of slope that stay after unloading
}

// Cantilever returns how a rod gripped grip mm behind its tip bends under a load (N) across it, applied
// free mm behind the tip (on either side of the grip), in the same discretisation and moment law as the
// file in the canal. Slopes are small-slope sums of curvature along the rod, so Slope is exact as an angle
// for a given curvature while the lever arm is that of the straight rod: deflection is 0.7 % too large at
// PL²/EI = 0.25. It panics when the two places are closer than three steps.
// Checked by TestCantilever (S5, S10) and TestElastica.
func Cantilever(rod *Rod, grip, free, load float64) Bending {
	n := int(math.RoundToEven(math.Abs(grip-free)/rod.Step)) + 1
	if n < minStations {
		panic("mechanics: cantilever shorter than three steps")
	}
	p := problem{
		n: n, step: rod.Step, clamp: true,
		plateau: rod.Blank.Alloy.PlateauSlope, final: rod.Blank.Alloy.FinalSlope,
		axis: make([]float64, n), set: make([]float64, n), stiff: make([]float64, n), yield: make([]float64, n),
		full: make([]float64, n), weight: make([]float64, n), load: make([]float64, n),
		gap: [2][]float64{make([]float64, n), make([]float64, n)},
	}
	for i := range n {
		x := free + float64((grip-free)*float64(i)/float64(n-1))
		p.stiff[i], p.yield[i], p.full[i] = rod.at(rod.Stiffness, x), rod.at(rod.YieldCurvature, x), rod.at(rod.FullCurvature, x)
		p.gap[0][i], p.gap[1][i] = freeGap, freeGap
	}
	p.load[0] = load
	var s solver
	y := make([]float64, n)
	s.solve(&p, y)
	out := Bending{Load: load, Deflection: y[0], Slope: (y[0] - y[1]) / rod.Step, Moment: load * math.Abs(grip-free)}
	for i := 1; i < n; i++ {
		q := 2 * (y[n-2] - y[n-1]) / (rod.Step * rod.Step)
		share := 0.5
		if i < n-1 {
			q, share = (y[i-1]-float64(2*y[i])+y[i+1])/(rod.Step*rod.Step), 1
		}
		out.Residual += float64(share * rod.Step * rod.Blank.Alloy.keeps(q, p.yield[i], p.full[i]))
	}
	return out
}

// BendTest loads a gripped rod as Cantilever does until the loaded place has turned by an angle (rad,
// > 0): the standard stiffness test grips 3 mm of the tip and turns the rest by 45°. The load is found by
// bisection to 1e-6 of itself. Checked by TestBendTest (S7, D9).
func BendTest(rod *Rod, grip, free, angle float64) Bending {
	low, high := 0.0, 1e-3
	for range 60 {
		if Cantilever(rod, grip, free, high).Slope >= angle {
			break
		}
		low, high = high, 2*high
	}
	for range 40 {
		middle := float64(0.5 * (low + high))
		if Cantilever(rod, grip, free, middle).Slope < angle {
			low = middle
		} else {
			high = middle
		}
		if high-low < 1e-6*high {
			break
		}
	}
	return Cantilever(rod, grip, free, high)
}
