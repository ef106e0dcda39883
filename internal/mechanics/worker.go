package mechanics

import "math"

// Worker holds the solver's scratch space, its tuning and its warm starts. The results of a fresh or
// Reset Worker depend on its arguments only; later calls may differ from a fresh Worker's within the
// solver's tolerance and in how far a stroke looks ahead.
type Worker struct {
	tuning  Tuning
	solvers [2]solver
	coarse  coarse // gives first guesses
	problem [2]problem
	columns struct{ stiff, yield, full, core, radius, weight []float64 }
	sets    [2][]float64
	gaps    [4][]float64
	axial   []float64 // compression in the file at a station, N
	strain  []float64 // amplitude that ages a station
	lives   []float64 // cycles that it survives
	open    []int

	now, trial [2]contact // accepted and tried contact of the two planes
	straight   [2]contact // that of the file without its permanent set (imposed)
	spent      int        // plane solves since the call began
	counts     Counts
	trail      trail
	press      [4]pressing
	held       [4][]float64 // what a load held sideways would cut of the section at a station, mm²
}

// trail is what a worker remembers from stroke to stroke to choose the next trial depth.
type trail struct {
	warm       bool
	space      *Space
	rod        *Rod
	depth      float64
	resistance float64
	rate       float64 // N/mm: how fast resistance grows with depth
	relief     float64 // N: how much a stroke's cutting lowers it
	advance    float64 // mm: what the next stroke tries
	trust      float64 // share of the predicted advance that is tried, 0 … 1
	imposed    int     // strokes since the imposed contact was solved
}

// NewWorker returns a worker with the engine's tuning.
func NewWorker() *Worker { return NewTunedWorker(DefaultTuning()) }

// NewTunedWorker returns a worker with another tuning, for tests and sensitivity studies.
func NewTunedWorker(tuning Tuning) *Worker { return &Worker{tuning: tuning} }

// Reset forgets warm starts, so that the next call depends on its arguments only.
// Checked by TestResetForgets.
func (w *Worker) Reset() {
	w.trail = trail{}
	for p := range w.now {
		w.now[p].n = 0
		w.trial[p].n = 0
		w.straight[p].n = 0
	}
}

// Counts is what a worker has done since it was made; Reset leaves it. It reaches no result.
type Counts struct {
	Strokes   int // made
	InStrokes int // contact solves of one plane that strokes took
	AllSolves int // the same of everything: strokes, insertions, gauging, cones, needles, lengths
}

// Counts returns what the worker has done. Checked by TestBudget.
func (w *Worker) Counts() Counts { return w.counts }

// Plus returns the sum of two counts.
func (c Counts) Plus(d Counts) Counts {
	return Counts{c.Strokes + d.Strokes, c.InStrokes + d.InStrokes, c.AllSolves + d.AllSolves}
}

// grow makes all columns at least n long.
func (w *Worker) grow(n int) {
	if len(w.axial) >= n {
		return
	}
	n += 32
	c := &w.columns
	for _, column := range []*[]float64{&c.stiff, &c.yield, &c.full, &c.core, &c.radius, &c.weight, &w.axial, &w.strain, &w.lives} {
		*column = make([]float64, n)
	}
	w.open = make([]int, n)
	for i := range w.sets {
		w.sets[i] = make([]float64, n)
	}
	for i := range w.gaps {
		w.gaps[i], w.held[i] = make([]float64, n), make([]float64, n)
	}
	for p := range w.now {
		for _, c := range []*contact{&w.now[p], &w.trial[p], &w.straight[p]} {
			c.n = 0
			c.y, c.curvature = make([]float64, n), make([]float64, n)
			c.force = [2][]float64{make([]float64, n), make([]float64, n)}
		}
	}
	w.trail = trail{}
}

// job is one call's input, unpacked.
type job struct {
	space    *Space
	rod      *Rod
	tool     *Tool
	hand     Hand
	friction float64 // along the axis, after turning
	setShare float64 // share of the permanent set that keeps its direction under this motion
	limit    float64 // mm: the stop, or the end of file or space
	tight    float64 // share of the push from which on the file counts as seated
	aim      float64 // share of the push that trial depths aim at
	stations int     // of the space
}

// job unpacks a call. It panics where rod and space differ in step or a value is not finite.
func (w *Worker) job(space *Space, rod *Rod, tool *Tool, hand Hand, depth float64) job {
	n := space.stations()
	if math.Abs(space.Step-rod.Step) > 1e-9*space.Step {
		panic("mechanics: rod and space have different steps")
	}
	sum := hand.Push + hand.Stop + hand.Friction + hand.Motion.Forward + hand.Motion.Back + hand.Motion.Swings + hand.Motion.Lift + hand.Motion.Press + depth
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		panic("mechanics: stroke with a value that is not finite")
	}
	if len(tool.Life) != len(rod.Radius) || len(tool.Set[0]) != len(rod.Radius) || len(tool.Set[1]) != len(rod.Radius) {
		panic("mechanics: tool of another rod")
	}
	w.grow(n)
	j := job{space: space, rod: rod, tool: tool, hand: hand, stations: n, tight: workTight, aim: workAim}
	j.friction = hand.Friction
	if j.friction <= 0 {
		j.friction = w.tuning.Friction
	}
	turned := hand.Motion.turned()
	around := turned * rod.core[min(len(rod.core)-1, int(3/rod.Step))] / w.tuning.TurnTravel
	j.friction *= math.Max(w.tuning.TurnLeast, 1/math.Sqrt(1+float64(around*around)))
	j.setShare = hand.Motion.keepsSet()
	j.limit = math.Min(hand.Stop, math.Min(rod.Blank.Length, float64(float64(n-1)*space.Step)))
	return j
}

// solveAt solves both planes with the tip at a depth into the trial contacts. It returns false, with
// empty contacts, when the file is not yet in the space.
func (w *Worker) solveAt(j *job, depth float64) {
	h := j.space.Step
	last := int(math.Floor(depth/h + 1e-9))
	n := min(last+1, j.stations)
	if depth < 0 || n < minStations {
		for p := range w.trial {
			w.trial[p].n = 0
		}
		return
	}
	f := math.Max(0, depth/h-float64(last))
	w.sample(j, last, n, f)
	c := &w.columns
	for plane := range w.trial {
		pr := &w.problem[plane]
		*pr = problem{
			n: n, step: h, stiff: c.stiff[:n], yield: c.yield[:n], full: c.full[:n], weight: c.weight[:n],
			plateau: j.rod.Blank.Alloy.PlateauSlope, final: j.rod.Blank.Alloy.FinalSlope,
			wall: w.tuning.WallStiffness, tiny: w.tuning.Regularisation,
			axis: j.space.Curvature[plane][:n], set: w.sets[plane][:n],
			gap: [2][]float64{w.gaps[2*plane][:n], w.gaps[2*plane+1][:n]},
		}
		w.guess(plane, n, h, pr)
		if n-w.now[plane].n >= coarseSteps {
			w.coarse.guess(pr, w.trial[plane].y)
		}
	}
	solvePlanes(&w.solvers, &w.problem, w.trial[0].y, w.trial[1].y)
	for plane := range w.trial {
		w.trial[plane].read(&w.problem[plane])
	}
	w.spent += len(w.trial)
	w.counts.AllSolves += len(w.trial)
}

// sample fills the columns for a rod whose tip lies the share f of a step beyond station last.
func (w *Worker) sample(j *job, last, n int, f float64) {
	r, c := j.rod, &w.columns
	top := len(r.Radius) - 1
	g := 1 - f
	share := j.setShare
	stiff, yield, full, core, radii, weight := c.stiff[:n], c.yield[:n], c.full[:n], c.core[:n], c.radius[:n], c.weight[:n]
	set0, set1, from0, from1 := w.sets[0][:n], w.sets[1][:n], j.tool.Set[0], j.tool.Set[1]
	for i := range n {
		k := min(last-i, top)
		l := min(k+1, top)
		stiff[i] = float64(g*r.Stiffness[k]) + float64(f*r.Stiffness[l])
		yield[i] = float64(g*r.YieldCurvature[k]) + float64(f*r.YieldCurvature[l])
		full[i] = float64(g*r.FullCurvature[k]) + float64(f*r.FullCurvature[l])
		core[i] = float64(g*r.core[k]) + float64(f*r.core[l])
		radii[i] = float64(g*r.Radius[k]) + float64(f*r.Radius[l])
		set0[i] = share * (float64(g*from0[k]) + float64(f*from0[l]))
		set1[i] = share * (float64(g*from1[k]) + float64(f*from1[l]))
		weight[i] = 1
	}
	soft := j.space.Soft[:n]
	for side := range w.gaps {
		gap, wall := w.gaps[side][:n], j.space.Wall[side][:n]
		for i, radius := range radii {
			gap[i] = wall[i] - radius
			if soft[i] {
				gap[i] = freeGap
			}
		}
	}
	c.weight[0] = 0.5
	c.weight[n-1] = 0.5 + f // the last cell reaches to the tip
}

// resample fills the columns for the accepted depth, which need not be the one solved last.
func (w *Worker) resample(j *job, depth float64) {
	if n := w.now[0].n; n > 0 {
		h := j.space.Step
		last := int(math.Floor(depth/h + 1e-9))
		w.sample(j, last, n, math.Max(0, depth/h-float64(last)))
	}
}

// guess fills the first guess of a plane: the accepted offset where there is one, carried on from its end
// as the straight (or set) file would go, kept within the walls.
func (w *Worker) guess(plane, n int, h float64, p *problem) {
	y, from := w.trial[plane].y, &w.now[plane]
	known := min(from.n, n)
	copy(y[:known], from.y[:known])
	for i := known; i < n; i++ {
		if i < 2 {
			y[i] = 0
			continue
		}
		next := float64(2*y[i-1]) - y[i-2] + float64(h*h*(p.set[i-1]-p.axis[i-1]))
		y[i] = math.Max(-math.Max(p.gap[0][i], 0), math.Min(math.Max(p.gap[1][i], 0), next))
		if known == 0 {
			y[i] = 0
		}
	}
}

// accept makes the trial contact the accepted one.
func (w *Worker) accept() { w.now, w.trial = w.trial, w.now }
