package mechanics

import "math"

// coarse betters a first guess: a problem with every fourth station takes a quarter of the work a step, and
// its contact spreads along the wall in a quarter of the steps. It reaches a result only as a first guess
// does, within the solver's tolerance.
type coarse struct {
	solver  solver
	problem problem
	y       []float64
}

// grow makes the columns at least n long.
func (c *coarse) grow(n int) {
	if len(c.y) >= n {
		return
	}
	p := &c.problem
	for _, column := range []*[]float64{&c.y, &p.axis, &p.set, &p.stiff, &p.yield, &p.full, &p.gap[0], &p.gap[1], &p.weight} {
		*column = make([]float64, n+8)
	}
}

// guess betters the first guess y of a problem without load or clamp. Stations are counted from the tip, where
// most happens. Checked by TestCoarseGuess.
func (c *coarse) guess(p *problem, y []float64) {
	n := (p.n-1)/coarseSteps + 1
	if n < minStations {
		return
	}
	c.grow(n)
	q := &c.problem
	q.n, q.step, q.plateau, q.final, q.wall, q.tiny = n, coarseSteps*p.step, p.plateau, p.final, p.wall, p.tiny
	top := p.n - 1 - coarseSteps*(n-1)
	for k := range n {
		i := top + coarseSteps*k
		c.y[k], q.axis[k], q.set[k], q.stiff[k], q.yield[k], q.full[k] = y[i], p.axis[i], p.set[i], p.stiff[i], p.yield[i], p.full[i]
		q.gap[0][k], q.gap[1][k], q.weight[k] = p.gap[0][i], p.gap[1][i], 1
	}
	q.weight[0], q.weight[n-1] = 0.5, 0.5
	c.solver.begin(q, c.y)
	c.solver.enough = math.Max(c.solver.enough, coarseForce)
	c.solver.finish(q, c.y)
	refine(c.y[:n], y[:p.n], top)
}

// refine lays a line through coarse offsets v, the first of them at station top, by Hermite's cubics with the
// slopes of the stations on either side, and carries it on straight above the first.
func refine(v, y []float64, top int) {
	last := len(v) - 1
	slope := (v[1] - v[0]) / coarseSteps
	for i := range top {
		y[i] = v[0] + float64(float64(i-top)*slope)
	}
	for k := range last {
		a, b := v[k], v[k+1]
		before, after := b-a, b-a // slopes at either end, a coarse step
		if k > 0 {
			before = float64(0.5 * (b - v[k-1]))
		}
		if k+1 < last {
			after = float64(0.5 * (v[k+2] - a))
		}
		for m := range coarseSteps {
			t, u := float64(m)/coarseSteps, float64(coarseSteps-m)/coarseSteps
			bow := float64(u*(before-(b-a))) - float64(t*(after-(b-a)))
			y[top+coarseSteps*k+m] = a + float64(t*(b-a)) + float64(t*u*bow)
		}
	}
	y[len(y)-1] = v[last]
}
