package mechanics

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// uniform is a problem of n free stations of one stiffness without yield and without walls.
func uniform(n int, step, stiff float64) *problem {
	column := func(v float64) []float64 {
		c := make([]float64, n)
		for i := range c {
			c[i] = v
		}
		return c
	}
	p := &problem{
		n: n, step: step, plateau: 1, final: 1, wall: 400, tiny: 1e-3,
		axis: column(0), set: column(0), stiff: column(stiff), yield: column(freeGap), full: column(freeGap),
		gap: [2][]float64{column(freeGap), column(freeGap)}, weight: column(1), load: column(0),
	}
	p.weight[0], p.weight[n-1] = 0.5, 0.5
	return p
}

func solved(p *problem) []float64 {
	var s solver
	y := make([]float64, p.n)
	s.solve(p, y)
	return y
}

// squeeze lets both walls press from the start: an elastic foundation of stiffness 2k + ε.
func squeeze(p *problem) {
	for i := range p.n {
		p.gap[0][i], p.gap[1][i] = -0.5, -0.5
	}
}

// TestFoundationBeam compares with closed forms of a long beam on an elastic foundation K = 2k + ε,
// β = (K/4EI)^¼ (Hetényi 1946, from memory; Timoshenko): under a point load y = Pβ/2K; in a channel bent to
// curvature κ the end, which bears no moment, springs out by y = −2·EIκ·β²/K. Discretisation error is
// (βh)²/6 of the value: 0.1 % here at h = 0.05.
func TestFoundationBeam(t *testing.T) {
	const stiff, h, n = 20.0, 0.05, 601
	foundation := 2*400 + 1e-3
	beta := math.Pow(foundation/(4*stiff), 0.25)
	loaded := uniform(n, h, stiff)
	squeeze(loaded)
	loaded.load[n/2] = 1
	if got, want := solved(loaded)[n/2], beta/(2*foundation); math.Abs(got-want) > 0.004*want {
		t.Errorf("deflection under a load %.6g mm, want %.6g", got, want)
	}
	bent := uniform(n, h, stiff)
	squeeze(bent)
	for i := range bent.axis {
		bent.axis[i] = 0.1
	}
	y := solved(bent)
	if got, want := y[0], -2*stiff*0.1*beta*beta/foundation; math.Abs(got-want) > 0.01*math.Abs(want) {
		t.Errorf("end of a beam in a bent channel at %.6g mm, want %.6g", got, want)
	}
	if math.Abs(y[n/2]) > 1e-6 {
		t.Errorf("middle of a beam in a bent channel at %g mm, want 0", y[n/2])
	}
	perturbed := *loaded
	perturbed.wall *= 1.2
	if got, want := solved(&perturbed)[n/2], beta/(2*foundation); math.Abs(got-want) < 0.05*want {
		t.Errorf("a wall 20 %% stiffer is not noticed: %g against %g mm", got, want)
	}
}

// TestQuadraticProgramme compares with an independent solution of three linear-elastic contact problems by
// a general solver (testdata/reference/mechanics/contact.py). Offsets agree to 1e-6 mm and forces to
// 1e-4 N: the reference's dual is conditioned to about 1e7, the solver stops at about 1e-9 N.
func TestQuadraticProgramme(t *testing.T) {
	rows := table(t, "contact.csv")
	for start := 0; start < len(rows); {
		end := start
		for end < len(rows) && rows[end][0] == rows[start][0] {
			end++
		}
		p := uniform(end-start, 0.1, 1)
		var y, minus, plus []float64
		for i, row := range rows[start:end] {
			p.axis[i], p.stiff[i] = number(t, row[2]), number(t, row[3])
			p.gap[0][i], p.gap[1][i] = number(t, row[4]), number(t, row[5])
			y, minus, plus = append(y, number(t, row[6])), append(minus, number(t, row[7])), append(plus, number(t, row[8]))
		}
		c := contact{y: solved(p), curvature: make([]float64, p.n), force: [2][]float64{make([]float64, p.n), make([]float64, p.n)}}
		c.read(p)
		for i := range p.n {
			if math.Abs(c.y[i]-y[i]) > 1e-6 || math.Abs(c.force[0][i]-minus[i]) > 1e-4 || math.Abs(c.force[1][i]-plus[i]) > 1e-4 {
				t.Errorf("%s, station %d: y %.9f mm, forces %.6f and %.6f N, want %.9f, %.6f, %.6f",
					rows[start][0], i, c.y[i], c.force[0][i], c.force[1][i], y[i], minus[i], plus[i])
				break
			}
		}
		start = end
	}
}

func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../testdata/reference/mechanics/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// smoothCanal is one smooth contact problem at any step: a bend and walls without corners.
func smoothCanal(step float64) *problem {
	n := int(math.Round(14/step)) + 1
	p := uniform(n, step, 0)
	for i := range n {
		s := float64(i) * step
		d := 0.25 + 0.02*(14-s)
		p.stiff[i] = 75000 * d * d * d * d / 48
		bend := math.Sin(math.Pi * s / 14)
		p.axis[i] = 0.15 * bend * bend
		half := 0.13 + 0.012*(14-s)
		p.gap[0][i], p.gap[1][i] = half-d/2, half-d/2
	}
	return p
}

// TestGridConvergence halves the step: the offset at the same places changes four times less each time
// (second order; 3 to 5.5 allowed, since the ends of contacts fall between stations).
func TestGridConvergence(t *testing.T) {
	var last []float64
	var changes []float64
	for _, step := range []float64{0.2, 0.1, 0.05, 0.025} {
		y := solved(smoothCanal(step))
		every := int(math.Round(0.2 / step))
		var coarse []float64
		for i := 0; i < len(y); i += every {
			coarse = append(coarse, y[i])
		}
		if last != nil {
			sum := 0.0
			for i := range coarse {
				d := coarse[i] - last[i]
				sum += d * d
			}
			changes = append(changes, math.Sqrt(sum/float64(len(coarse))))
		}
		last = coarse
	}
	for i := 1; i < len(changes); i++ {
		if r := changes[i-1] / changes[i]; r < 3 || r > 5.5 {
			t.Errorf("halving the step divides the change by %.2f, want about 4 (changes %g mm)", r, changes)
		}
	}
}

// TestGradient compares the gradient with central differences of the energy, past both knees of the moment
// law and with both walls pressing. Differences of 1e-6 mm: relative error about 1e-6.
func TestGradient(t *testing.T) {
	p := smoothCanal(0.2)
	p.plateau, p.final = 0.03, 0.4
	y := make([]float64, p.n)
	for i := range y {
		p.yield[i], p.full[i] = 0.05, 0.4
		y[i] = 0.05 * math.Sin(float64(i)*0.9)
	}
	var s solver
	s.grow(p.n)
	s.evaluate(p, y)
	grad := append([]float64(nil), s.grad[:p.n]...)
	for i := range y {
		const d = 1e-6
		y[i] += d
		up, _ := s.evaluate(p, y)
		y[i] -= 2 * d
		down, _ := s.evaluate(p, y)
		y[i] += d
		if got := (up - down) / (2 * d); math.Abs(got-grad[i]) > 1e-4*(1+math.Abs(got)) {
			t.Errorf("station %d: gradient %g N, by differences %g", i, grad[i], got)
		}
	}
}

// TestMinimum holds that the solution of the full law, found from rest and from a wild guess, is one: E is
// strictly convex.
func TestMinimum(t *testing.T) {
	p := smoothCanal(0.1)
	p.plateau, p.final = 0.03, 0.4
	for i := range p.n {
		p.yield[i], p.full[i] = 0.05, 0.3
	}
	var s solver
	rest, wild := make([]float64, p.n), make([]float64, p.n)
	for i := range wild {
		wild[i] = 3 * math.Sin(float64(i))
	}
	s.solve(p, rest)
	s.solve(p, wild)
	if s.iterations >= maxIterations {
		t.Errorf("no convergence from a wild guess in %d iterations", s.iterations)
	}
	for i := range rest {
		if math.Abs(rest[i]-wild[i]) > 1e-6 {
			t.Fatalf("station %d: %.9f mm from rest, %.9f from a wild guess", i, rest[i], wild[i])
		}
	}
}

// straightJob is a job of a uniform rod in a wide straight space, for tests of the axial sum.
func straightJob(w *Worker, n int) job {
	s := &Space{Step: 0.1, Packed: make([]float64, n), Soft: make([]bool, n)}
	for p := range s.Curvature {
		s.Curvature[p] = make([]float64, n)
	}
	for side := range s.Wall {
		s.Wall[side], s.Surface[side] = make([]float64, n), make([]float64, n)
		for i := range n {
			s.Wall[side][i], s.Surface[side][i] = 1, 2
		}
	}
	rod := NewRod(Blank{
		Tip: 0.3, Spans: []Span{{}}, WorkingPart: 16, Shaft: 0.3, Length: 25, TipAngle: 0.65,
		Section: Section{Shape: Circle}, Alloy: Steel(),
	}, 0.1)
	tool := NewTool(rod)
	return w.job(s, rod, &tool, Hand{Push: 1, Stop: 20}, 0)
}

// TestCapstan: a file that carries a load at its tip round a bend of θ needs e^(μθ) of it at the other end
// (Euler–Eytelwein), whatever the radius, and in both planes together with √(κ₁²+κ₂²). 1e-6.
func TestCapstan(t *testing.T) {
	w := NewWorker()
	j := straightJob(w, 151)
	for i := range j.space.Packed {
		j.space.Packed[i] = 10
	}
	w.solveAt(&j, 15)
	for _, k := range [][2]float64{{0.2, 0}, {0, 0.05}, {0.12, 0.16}} {
		for i := range 151 {
			w.trial[0].curvature[i], w.trial[1].curvature[i] = k[0], k[1]
		}
		got := w.resist(&j, &w.trial, 15, false)
		angle := math.Hypot(k[0], k[1]) * 15.1
		if want := got.packed * math.Exp(j.friction*angle); math.Abs(got.resistance-want) > 1e-6*want {
			t.Errorf("curvature %v: %.6f N at the handle, want %.6f", k, got.resistance, want)
		}
	}
}

// TestEuler: a uniform pinned rod buckles at π²EI/L²; one whose diameter tapers evenly from a to b at
// π²E√(I_a·I_b)/L² (Dinnik, from memory; exact for I ~ x⁴). 0.1 %.
func TestEuler(t *testing.T) {
	plain := Blank{
		Tip: 0.3, Spans: []Span{{}}, WorkingPart: 25, Shaft: 0.3, Length: 25, TipAngle: 0.65,
		Section: Section{Shape: Circle}, Alloy: Steel(),
	}
	tapered := plain
	tapered.Shaft, tapered.Spans = 2, []Span{{0, 0.02}}
	inertia := func(d float64) float64 { return math.Pi / 64 * d * d * d * d }
	for _, c := range []struct {
		blank    Blank
		from, to float64
		inertia  float64
	}{
		{plain, 0, 10, inertia(0.3)},
		{plain, 5, 20, inertia(0.3)},
		{tapered, 0, 16, math.Sqrt(inertia(0.3) * inertia(0.62))},
	} {
		got := NewRod(c.blank, 0.1).euler(c.from, c.to)
		want := math.Pi * math.Pi * 193000 * c.inertia / ((c.to - c.from) * (c.to - c.from))
		if math.Abs(got-want) > 1e-3*want {
			t.Errorf("rod of tip %g: buckles at %.4f N, want %.4f", c.blank.Tip, got, want)
		}
	}
}

// TestArchard: away from the limit of half the interference, the volume a stroke cuts is k·ΣF·s/H with the
// forces of its own contact (definition), and a coefficient 20 % larger is noticed.
func TestArchard(t *testing.T) {
	for _, factor := range []float64{1, 1.2} {
		tuning := DefaultTuning()
		tuning.Wear *= factor
		w := NewTunedWorker(tuning)
		j := straightJob(w, 201)
		for side := range j.space.Wall {
			for i := range j.space.Wall[side] {
				j.space.Wall[side][i] = 0.1495
			}
		}
		blank := j.rod.Blank
		blank.Section, blank.Edge, blank.TipCuts = Section{Shape: Square}, 1, 1
		rod := NewRod(blank, 0.1)
		tool := NewTool(rod)
		hand := Hand{Motion: Motion{Kind: Reaming, Forward: 0.02}, Stop: 18}
		out := w.Stroke(j.space, rod, &tool, hand, 18)
		force := 0.0
		for p := range w.now {
			for i := range w.now[p].n {
				if x := 18 - float64(i)*0.1; x <= 16 && x > rod.coneEnd {
					force += w.now[p].force[0][i] + w.now[p].force[1][i]
				}
			}
		}
		want := DefaultTuning().Wear * force * 0.02 * 0.15 / 840
		got := math.Abs(out.Removed-want) < 0.02*want
		if got != (factor == 1) {
			t.Errorf("coefficient × %g: removed %g mm³, k·F·s/H %g", factor, out.Removed, want)
		}
	}
}

// evaluate returns the energy at y and the largest unbalanced force, and leaves gradient and tangents.
func (s *solver) evaluate(p *problem, y []float64) (energy, worst float64) {
	s.load(p)
	worst, _ = s.balance(p, y)
	return s.energyAt(p, y), worst
}
