package mechanics

import "math"

// problem is one plane's contact problem: n stations a step apart, the last at the tip end. All columns
// have length n. Where clamp is set, the last station is built in (y = 0, y′ = 0) instead of free.
type problem struct {
	n              int
	step           float64
	axis, set      []float64    // curvature of the canal axis and of the relaxed file, 1/mm
	stiff          []float64    // N·mm²
	yield, full    []float64    // knees of the moment law, 1/mm
	plateau, final float64      // slopes beyond the knees, shares of stiff
	gap            [2][]float64 // wall minus radius on the minus and plus side, mm; negative: squeezed
	weight         []float64    // share of a step that a station stands for
	load           []float64    // N per station, nil: none
	wall, tiny     float64      // N/mm²
	clamp          bool
}

// contact is a solved plane: offset and curvature of the file, and the reaction of each wall (N, ≥ 0).
type contact struct {
	n         int
	y         []float64
	curvature []float64
	force     [2][]float64
}

// row is what a station of a problem enters the balance with: one line of the processor's cache, so that
// the balance, which is most of the solver's work, reads one column instead of eight.
type row struct {
	axis, set, stiff, yield float64
	minus, plus             float64 // gaps, mm
	hold, press             float64 // N/mm: of the regularisation and of a wall pressed on
}

// reaction returns the force (N) on a station at the offset v (mm) and its stiffness (N/mm).
func (r *row) reaction(v float64) (force, stiff float64) {
	stiff = r.hold
	force = float64(stiff * v)
	if d := v - r.plus; d > 0 {
		force += float64(r.press * d)
		stiff += r.press
	}
	if d := -v - r.minus; d > 0 {
		force -= float64(r.press * d)
		stiff += r.press
	}
	return force, stiff
}

// solver holds the scratch columns of the Newton iteration.
type solver struct {
	rows                     []row
	grad, dir, spring, trial []float64
	tangent                  []float64 // one longer at either end, zero there
	inverse, low1, low2      []float64
	worst, enough            float64 // N: largest unbalanced force, and the one at which the solve ends
	energy                   float64 // at the last accepted place, where known
	known                    bool
	iterations               int // of the last solve
}

// grow makes the columns at least n long.
func (s *solver) grow(n int) {
	if len(s.grad) >= n {
		return
	}
	n += 32
	for _, c := range []*[]float64{&s.grad, &s.dir, &s.spring, &s.trial, &s.inverse, &s.low1, &s.low2} {
		*c = make([]float64, n)
	}
	s.tangent, s.rows = make([]float64, n+2), make([]row, n)
}

// load fills the rows of a problem and returns the unbalanced force (N) at which its solve ends:
// forceTolerance and what rounding leaves of the offsets in the stiffest station's balance.
func (s *solver) load(p *problem) float64 {
	s.grow(p.n)
	n, h := p.n, p.step
	k, tiny := p.wall*h, p.tiny*h
	rows, axis, set, stiff, yield := s.rows[:n], p.axis[:n], p.set[:n], p.stiff[:n], p.yield[:n]
	minus, plus, weight := p.gap[0][:n], p.gap[1][:n], p.weight[:n]
	stiffest := 0.0
	for i := range rows {
		w, e := weight[i], stiff[i]
		rows[i] = row{axis[i], set[i], e, yield[i], minus[i], plus[i], w * tiny, w * k}
		if e > stiffest {
			stiffest = e
		}
	}
	return forceTolerance + float64(roundingShare*stiffest/(h*h*h))
}

// solve finds the offset y (read as the first guess) that minimises
//
//	E[y] = h Σ Φ(κᵢ + (yᵢ₋₁ − 2yᵢ + yᵢ₊₁)/h² − κ_set) + h Σ wᵢ(½k[yᵢ − g₊]₊² + ½k[−yᵢ − g₋]₊² + ½εyᵢ²) − Σ fᵢyᵢ
//
// by a semi-smooth Newton method: the moment Φ′ and the wall reaction are piecewise linear, so each step
// solves a pentadiagonal system (LDLᵀ, O(n)) and the last one is exact. E is strictly convex; a step that
// overshoots is shortened (step). It stops when no station is out of balance by more than load says. The
// discretisation is of second order in h. Checked by TestFoundationBeam, TestQuadraticProgramme, TestGridConvergence, TestGradient.
func (s *solver) solve(p *problem, y []float64) {
	s.begin(p, y)
	s.finish(p, y)
}

// solvePlanes solves the problems of the two planes, which have equally many stations, as solve does each.
// Their systems are solved side by side while both have steps to make.
func solvePlanes(s *[2]solver, p *[2]problem, y0, y1 []float64) {
	s[0].begin(&p[0], y0)
	s[1].begin(&p[1], y1)
	for s[0].unbalanced() && s[1].unbalanced() {
		pentadiagonals(&s[0], &s[1], p[0].n)
		s[0].step(&p[0], y0)
		s[1].step(&p[1], y1)
	}
	s[0].finish(&p[0], y0)
	s[1].finish(&p[1], y1)
}

// begin balances the first guess.
func (s *solver) begin(p *problem, y []float64) {
	s.enough = s.load(p)
	s.worst, _ = s.balance(p, y)
	s.iterations, s.known = 0, false
}

// unbalanced says whether the solve has a step to make.
func (s *solver) unbalanced() bool { return s.worst > s.enough && s.iterations < maxIterations }

// finish makes the steps that are left.
func (s *solver) finish(p *problem, y []float64) {
	for s.unbalanced() {
		s.direct(p)
		s.step(p, y)
	}
}

// direct solves Hessian · dir = −gradient.
func (s *solver) direct(p *problem) {
	n := p.n
	if p.clamp {
		n--
		s.dir[n] = 0
	}
	pentadiagonal(s.tangent[:p.n+2], s.spring[:n], s.grad[:n], s.dir[:n], s.inverse[:n], s.low1[:n], s.low2[:n])
}

// step makes one Newton step from y along the direction found for it. The whole step is taken unless it
// overshoots; then the slope along it, which rises steadily, is bracketed until it has fallen to half or
// changed sign gently, without more energy.
func (s *solver) step(p *problem, y []float64) {
	s.iterations++
	descent := s.along(p.n)
	y, trial, dir := y[:p.n], s.trial[:p.n], s.dir[:p.n]
	length := 1.0
	low, lowSlope, high, highSlope := 0.0, descent, 0.0, 0.0
	known, energy := false, 0.0
	for range maxBacktracks {
		for i, d := range dir {
			trial[i] = y[i] + float64(length*d)
		}
		var slope float64
		s.worst, slope = s.balance(p, trial)
		if known = false; s.worst <= s.enough || high == 0 && slope <= 0 {
			break
		}
		if math.Abs(slope) <= -0.5*descent {
			if slope <= 0 {
				break
			}
			if !s.known {
				s.energy, s.known = s.energyAt(p, y), true
			}
			if energy, known = s.energyAt(p, trial), true; energy <= s.energy {
				break
			}
		}
		if slope > 0 {
			high, highSlope = length, slope
		} else {
			low, lowSlope = length, slope
		}
		share := lowSlope / (lowSlope - highSlope)
		length = low + float64((high-low)*math.Max(0.1, math.Min(0.9, share)))
	}
	copy(y, trial)
	s.energy, s.known = energy, known
}

// along returns the slope of the energy along the last direction at the last evaluated place.
func (s *solver) along(n int) float64 {
	sum := 0.0
	grad := s.grad[:n]
	for i, d := range s.dir[:n] {
		sum += float64(grad[i] * d)
	}
	return sum
}

// balance leaves gradient and tangents of the energy at y, and returns the largest unbalanced force and the
// slope of the energy along the last direction. The second difference of the moments, 1/h of their share in
// the gradient, is complete one station behind the moment.
func (s *solver) balance(p *problem, y []float64) (worst, slope float64) {
	n, h := p.n, p.step
	last := n - 1
	square, cube, inverse := 1/(h*h), 1/(h*h*h), 1/h
	y, rows, dir, full := y[:n], s.rows[:n], s.dir[:n], p.full[:n]
	grad, spring, tangent := s.grad[:n], s.spring[:n], s.tangent[1:n+1]
	above, here := math.Copysign(0, -1), 0.0 // moments of the two stations before; −0 adds nothing
	v, middle, most := y[0], y[1], uint64(0) // the bits of a size grow with it, and NaN is above all
	for i, next := range y[2:] {
		r := &rows[i+1]
		q := r.axis + float64((v-float64(2*middle)+next)*square) - r.set
		m, t := r.stiff*q, r.stiff
		if a := math.Abs(q); a > r.yield {
			m, t = p.yielded(a, t, r.yield, full[i+1])
			m = math.Copysign(m, q)
		}
		tangent[i+1] = t * cube
		second := float64(-2*here) + above + m
		above, here = here, m
		force, stiff := rows[i].reaction(v)
		v, middle = middle, next
		g := float64(second*inverse) + force
		grad[i], spring[i] = g, stiff
		slope += float64(g * dir[i])
		if a := math.Float64bits(g) &^ (1 << 63); a > most {
			most = a
		}
	}
	worst = math.Float64frombits(most)
	tangent[0], tangent[last] = 0, 0
	s.tangent[0], s.tangent[n+1] = 0, 0
	end := 0.0
	if p.clamp {
		var t float64
		end, t, _ = p.ending(y)
		tangent[last] = 2 * t * cube
	}
	grad[last-1], grad[last] = float64(-2*here)+above+end, float64(-2*end)+here
	for i := last - 1; i < n; i++ {
		force, stiff := rows[i].reaction(y[i])
		g := float64(grad[i]*inverse) + force
		grad[i], spring[i] = g, stiff
		slope += float64(g * dir[i])
		if a := math.Abs(g); a > worst || a != a {
			worst = a
		}
	}
	if p.load == nil && !p.clamp {
		return worst, slope
	}
	return s.burden(p)
}

// burden takes what is loaded and built in out of the gradient, and returns what balance does.
func (s *solver) burden(p *problem) (worst, slope float64) {
	grad := s.grad[:p.n]
	for i, f := range p.load {
		grad[i] -= f
	}
	if p.clamp {
		grad[p.n-1] = 0 // built in: held by whatever force it takes
	}
	for _, g := range grad {
		worst = max(worst, math.Abs(g))
	}
	return worst, s.along(p.n)
}

// ending returns moment, tangent and energy density of a last station that is built in.
func (p *problem) ending(y []float64) (moment, tangent, energy float64) {
	last := p.n - 1
	square := 1 / (p.step * p.step)
	q := p.axis[last] + float64(2*(y[last-1]-y[last])*square) - p.set[last]
	if math.Abs(q) > p.yield[last] {
		return p.beyond(q, p.stiff[last], p.yield[last], p.full[last])
	}
	return p.stiff[last] * q, p.stiff[last], float64(0.5 * p.stiff[last] * (q * q))
}

// energyAt returns the energy at y.
func (s *solver) energyAt(p *problem, y []float64) float64 {
	n, h := p.n, p.step
	energy, square := 0.0, 1/(h*h)
	y, rows := y[:n], s.rows[:n]
	for i := 1; i < n-1; i++ {
		r := &rows[i]
		q := r.axis + float64((y[i-1]-float64(2*y[i])+y[i+1])*square) - r.set
		if math.Abs(q) <= r.yield {
			energy += float64(0.5 * (float64(r.stiff*q) * q))
			continue
		}
		_, _, w := p.beyond(q, r.stiff, r.yield, p.full[i])
		energy += w
	}
	energy = float64(energy * h)
	if p.clamp {
		_, _, w := p.ending(y)
		energy += float64(0.5 * float64(h*w))
	}
	for i, v := range y {
		r := &rows[i]
		energy += float64(0.5 * (float64(r.hold*v) * v))
		if d := v - r.plus; d > 0 {
			energy += float64(0.5 * (float64(r.press*d) * d))
		}
		if d := -v - r.minus; d > 0 {
			energy += float64(0.5 * (float64(r.press*d) * d))
		}
		if p.load != nil {
			energy -= float64(p.load[i] * v)
		}
	}
	return energy
}

// yielded returns moment and tangent past the first knee, for the size a of an elastic curvature.
func (p *problem) yielded(a, stiff, yield, full float64) (moment, tangent float64) {
	tangent = stiff * p.plateau
	moment = float64(stiff * yield)
	if a <= full {
		return moment + float64(tangent*(a-yield)), tangent
	}
	moment += float64(tangent * (full - yield))
	tangent = stiff * p.final
	return moment + float64(tangent*(a-full)), tangent
}

// beyond returns moment, tangent and energy density for an elastic curvature q past the first knee.
func (p *problem) beyond(q, stiff, yield, full float64) (moment, tangent, energy float64) {
	a := math.Abs(q)
	knee := float64(stiff * yield)
	b := math.Min(a, full)
	m, tangent := p.yielded(b, stiff, yield, full)
	energy = float64(0.5*(knee*yield)) + float64(0.5*((knee+m)*(b-yield)))
	if a > full {
		top, last := p.yielded(a, stiff, yield, full)
		energy += float64(0.5 * ((m + top) * (a - full)))
		m, tangent = top, last
	}
	return math.Copysign(m, q), tangent, energy
}

// pentadiagonal factors the matrix with diagonal t₋₁ + 4t₀ + t₊₁ + spring, first off-diagonal
// −2(t₀ + t₊₁) and second off-diagonal t₊₁ (tangent is shifted by one: t₀ of row i is tangent[i+1]) as
// LDLᵀ and solves for −grad. The matrix is positive definite, so no pivoting is needed.
func pentadiagonal(tangent, spring, grad, dir, inverse, low1, low2 []float64) {
	n := len(spring)
	tangent = tangent[:n+2]
	grad, dir, inverse, low1, low2 = grad[:n], dir[:n], inverse[:n], low1[:n], low2[:n]
	var b1, l1, l2a, l2b, z1, z2 float64 // of the rows one and two above
	above, t := tangent[0], tangent[1]
	for i := range n {
		next := tangent[i+2]
		b := float64(-2*(t+next)) - float64(l1*t)
		d := above + float64(4*t) + next + spring[i] - float64(l1*b1) - float64(l2b*above)
		z := -grad[i] - float64(l1*z1) - float64(l2b*z2)
		inv := 1 / d
		l1, b1 = b*inv, b
		l2b, l2a = l2a, next*inv
		z2, z1 = z1, z
		above, t = t, next
		dir[i], inverse[i], low1[i], low2[i] = z, inv, l1, l2a
	}
	var x1, x2 float64
	for i := n - 1; i >= 0; i-- {
		x := float64(dir[i]*inverse[i]) - float64(low1[i]*x1) - float64(low2[i]*x2)
		dir[i] = x
		x2, x1 = x1, x
	}
}

// pentadiagonals does what pentadiagonal does for two systems of one size side by side: a row waits for the
// division in the row above it, and while one system waits the other is worked.
func pentadiagonals(p, q *solver, n int) {
	pt, ps, pg := p.tangent[:n+2], p.spring[:n], p.grad[:n]
	qt, qs, qg := q.tangent[:n+2], q.spring[:n], q.grad[:n]
	pd, pi, pl, pm := p.dir[:n], p.inverse[:n], p.low1[:n], p.low2[:n]
	qd, qi, ql, qm := q.dir[:n], q.inverse[:n], q.low1[:n], q.low2[:n]
	var pb, pl1, pl2a, pl2b, pz1, pz2 float64
	var qb, ql1, ql2a, ql2b, qz1, qz2 float64
	for i := range n {
		above, t, next := pt[i], pt[i+1], pt[i+2]
		b := float64(-2*(t+next)) - float64(pl1*t)
		d := above + float64(4*t) + next + ps[i] - float64(pl1*pb) - float64(pl2b*above)
		z := -pg[i] - float64(pl1*pz1) - float64(pl2b*pz2)
		inv := 1 / d
		pl1, pb = b*inv, b
		pl2b, pl2a = pl2a, next*inv
		pz2, pz1 = pz1, z
		pd[i], pi[i], pl[i], pm[i] = z, inv, pl1, pl2a
		above, t, next = qt[i], qt[i+1], qt[i+2]
		b = float64(-2*(t+next)) - float64(ql1*t)
		d = above + float64(4*t) + next + qs[i] - float64(ql1*qb) - float64(ql2b*above)
		z = -qg[i] - float64(ql1*qz1) - float64(ql2b*qz2)
		inv = 1 / d
		ql1, qb = b*inv, b
		ql2b, ql2a = ql2a, next*inv
		qz2, qz1 = qz1, z
		qd[i], qi[i], ql[i], qm[i] = z, inv, ql1, ql2a
	}
	var px1, px2, qx1, qx2 float64
	for i := n - 1; i >= 0; i-- {
		px := float64(pd[i]*pi[i]) - float64(pl[i]*px1) - float64(pm[i]*px2)
		qx := float64(qd[i]*qi[i]) - float64(ql[i]*qx1) - float64(qm[i]*qx2)
		pd[i], qd[i] = px, qx
		px2, px1, qx2, qx1 = px1, px, qx1, qx
	}
}

// read leaves curvature and wall reactions of the solved offset in c.
func (c *contact) read(p *problem) {
	n := p.n
	square, k := 1/(p.step*p.step), p.wall*p.step
	c.n = n
	y, axis, set, weight := c.y[:n], p.axis[:n], p.set[:n], p.weight[:n]
	minus, plus := p.gap[0][:n], p.gap[1][:n]
	curvature, left, right := c.curvature[:n], c.force[0][:n], c.force[1][:n]
	for i, v := range y {
		w := k * weight[i]
		left[i], right[i], curvature[i] = 0, 0, set[i]
		if d := -v - minus[i]; d > 0 {
			left[i] = w * d
		}
		if d := v - plus[i]; d > 0 {
			right[i] = w * d
		}
		if i > 0 && i < n-1 {
			curvature[i] = axis[i] + float64((y[i-1]-float64(2*v)+y[i+1])*square)
		}
	}
}
