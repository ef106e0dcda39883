package mechanics

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// benchCanal is a contact problem of a NiTi file in a bent canal with n stations over 15 mm, as at a depth
// (mm of the tip) a little short of the end or at it, so that one is the other's warm start.
func benchCanal(n int, short float64) *problem {
	step := 15 / float64(n-1)
	p := uniform(n, step, 0)
	p.load, p.plateau, p.final = nil, 0.03, 0.4
	for i := range n {
		s := float64(i) * step
		x := math.Max(0, 15-short-s)
		d := 0.25 + 0.04*x
		p.stiff[i] = 44000 * d * d * d * d / 48
		p.yield[i], p.full[i] = 0.0109*2/(d/2), 0.06/(d/2)
		if s > 8 && s < 13 {
			p.axis[i] = 1.0 / 7
		}
		half := 0.12 + 0.019*(15-s)
		radius := math.Min(d/2, 0.01+0.77*x)
		p.gap[0][i], p.gap[1][i] = half-radius, half-radius
	}
	return p
}

// warmSolve returns the time of a warm solve and of a bare factor-and-solve pass at n stations, and the mean
// number of iterations.
func warmSolve(n, rounds int) (solve, pass time.Duration, iterations float64) {
	problems := [2]*problem{benchCanal(n, 0.15), benchCanal(n, 0)}
	var s solver
	y := make([]float64, n)
	s.solve(problems[0], y)
	count := 0
	begin := time.Now()
	for k := range rounds {
		s.solve(problems[(k+1)%2], y)
		count += s.iterations
	}
	solve = time.Since(begin) / time.Duration(rounds)
	begin = time.Now()
	for range rounds {
		pentadiagonal(s.tangent[:n+2], s.spring[:n], s.grad[:n], s.dir[:n], s.inverse[:n], s.low1[:n], s.low2[:n])
	}
	return solve, time.Since(begin) / time.Duration(rounds), float64(count) / float64(rounds)
}

// BenchmarkWarmSolve reports a warm contact solve at 150 stations in bare pentadiagonal factor-and-solve
// passes (bar: at most 8), with the iterations it took.
func BenchmarkWarmSolve(b *testing.B) {
	solve, pass, iterations := warmSolve(150, max(b.N, 2000))
	b.ReportMetric(float64(solve)/float64(pass), "passes")
	b.ReportMetric(float64(solve.Nanoseconds()), "ns/solve")
	b.ReportMetric(iterations, "iterations")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkGrowth reports how a warm solve's cost per station and Newton step grows from 75 to 600 stations
// (bar: linear), the best of five rounds each, and how many steps it takes.
func BenchmarkGrowth(b *testing.B) {
	var per, steps [4]float64
	for k, n := range [4]int{75, 150, 300, 600} {
		per[k] = math.Inf(1)
		for range 5 {
			solve, _, iterations := warmSolve(n, 200)
			per[k] = math.Min(per[k], float64(solve.Nanoseconds())/float64(n)/iterations)
			steps[k] = iterations
		}
	}
	b.ReportMetric(steps[0], "steps-75")
	b.ReportMetric(steps[3], "steps-600")
	b.ReportMetric(per[0], "ns/station-75")
	b.ReportMetric(per[1], "ns/station-150")
	b.ReportMetric(per[2], "ns/station-300")
	b.ReportMetric(per[3], "ns/station-600")
	b.ReportMetric(per[3]/per[0], "growth")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkGeneralSolvers reports how many times longer the fastest of three general minimisers (gonum's
// BFGS, L-BFGS and conjugate gradients, given energy and gradient) takes for the same problem from the same
// warm start (bar: at least 500); beside it Newton's method with our own Hessian as a dense matrix, which is
// this solver but for the pentadiagonal factor. Each stops at 1e-5 N or when it can do no better, and counts
// only if it has found the minimum to 1e-6.
func BenchmarkGeneralSolvers(b *testing.B) {
	const n = 150
	solve, _, _ := warmSolve(n, 2000)
	var s solver
	start := make([]float64, n)
	s.solve(benchCanal(n, 0.15), start)
	best, p := math.Inf(1), benchCanal(n, 0)
	exact := append([]float64(nil), start...)
	s.solve(p, exact)
	lowest, _ := s.evaluate(p, exact)
	for name, method := range map[string]optimize.Method{"BFGS": &optimize.BFGS{}, "L-BFGS": &optimize.LBFGS{}, "CG": &optimize.CG{}, "Newton": &optimize.Newton{}} {
		task := generalTask(p, &s)
		begin := time.Now()
		result, err := optimize.Minimize(task, start, &optimize.Settings{GradientThreshold: 1e-5, MajorIterations: 20000}, method)
		took := time.Since(begin)
		b.ReportMetric(float64(took.Microseconds())/1000, name+"-ms")
		found := result != nil && math.Abs(result.F-lowest) <= 1e-6*math.Abs(lowest)
		switch {
		case found && name == "Newton":
			b.ReportMetric(float64(took)/float64(solve), "times-dense-Newton")
		case found:
			best = math.Min(best, float64(took))
		default:
			b.Logf("%s does not reach the minimum: %v, %v against %v", name, err, result.F, lowest)
		}
	}
	b.ReportMetric(best/float64(solve), "times-faster")
	b.ReportMetric(0, "ns/op")
}

// generalTask states the problem for a general minimiser.
func generalTask(p *problem, s *solver) optimize.Problem {
	return optimize.Problem{
		Func: func(y []float64) float64 {
			e, _ := s.evaluate(p, y)
			return e
		},
		Grad: func(grad, y []float64) {
			s.evaluate(p, y)
			copy(grad, s.grad[:p.n])
		},
		Hess: func(hess *mat.SymDense, y []float64) {
			s.evaluate(p, y)
			hess.Zero()
			for i := range p.n {
				t, next := s.tangent[i+1], s.tangent[i+2]
				hess.SetSym(i, i, s.tangent[i]+4*t+next+s.spring[i])
				if i+1 < p.n {
					hess.SetSym(i, i+1, -2*(t+next))
				}
				if i+2 < p.n {
					hess.SetSym(i, i+2, next)
				}
			}
		},
	}
}

// benchStrokes makes a canal of about 210 stations and returns a function that makes one more stroke in it.
func benchStrokes() func() Stroke {
	const n = 212
	s := &Space{Step: 0.1, Orifice: 60, Foramen: 200, Packed: make([]float64, n), Soft: make([]bool, n)}
	for p := range s.Curvature {
		s.Curvature[p] = make([]float64, n)
	}
	for side := range s.Wall {
		s.Wall[side], s.Surface[side] = make([]float64, n), make([]float64, n)
	}
	for i := range n {
		s.Soft[i] = i > 200
		if i > 120 && i < 185 {
			s.Curvature[0][i], s.Curvature[1][i] = 0.1, 0.03
		}
		for side := range s.Wall {
			s.Wall[side][i] = 0.1 + 0.016*float64(max(0, 200-i))/10
			if i < 60 {
				s.Wall[side][i] = 1.2
			}
			s.Surface[side][i] = s.Wall[side][i] + 1
		}
	}
	rod := NewRod(Blank{
		Tip: 0.25, Spans: []Span{{0, 0.02}}, WorkingPart: 16, Shaft: 1.1, Length: 25, TipAngle: 0.65, TipCuts: 1, Edge: 1,
		Helix: 0.78, Section: Section{Shape: Square}, Alloy: Steel(),
	}, 0.1)
	tool, w := NewTool(rod), NewWorker()
	hand := Hand{Motion: Motion{Kind: WatchWinding, Forward: 1.5, Back: 1.5}, Push: 2, Stop: 19.5}
	depth := 0.0
	return func() Stroke {
		tool.Clog = 0
		out := w.Stroke(s, rod, &tool, hand, depth)
		depth = out.Depth
		return out
	}
}

// BenchmarkStroke reports the cost of a stroke at about 210 stations (bar: 0.15 ms, at most 3 solves).
func BenchmarkStroke(b *testing.B) {
	var spent, strokes int
	for b.Loop() {
		b.StopTimer()
		stroke := benchStrokes()
		b.StartTimer()
		for range 30 {
			spent += stroke().Solves
			strokes++
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(strokes), "ns/stroke")
	b.ReportMetric(float64(spent)/float64(strokes), "solves/stroke")
}

// TestBudget: an action of thirty strokes with one file from outside the tooth on spends at most three plane
// solves a stroke on average, and a warm stroke allocates nothing.
func TestBudget(t *testing.T) {
	stroke, spent := benchStrokes(), 0
	for range 30 {
		spent += stroke().Solves
	}
	if spent > 90 {
		t.Errorf("%d solves for 30 strokes", spent)
	}
	if n := testing.AllocsPerRun(50, func() { stroke() }); n != 0 {
		t.Errorf("%g allocations a stroke", n)
	}
}
