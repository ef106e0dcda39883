package mechanics

import "math"

// Stroke is what one stroke did. Places along the canal are arc lengths in the space, places on the file
// are mm behind its tip.
type Stroke struct {
	Depth       float64 // of the tip after the stroke, mm
	Halt        Halt
	HaltAt      float64    // arc length of the tightest contact or of the face, mm
	HaltSide    int        // wall of it, 0-3, −1 where nothing is touched
	Resistance  float64    // N along the axis needed to stay at Depth
	Torque      float64    // N·mm
	Removed     float64    // mm³ of dentine cut
	Cut         [4]float64 // deepest cut this stroke per wall, mm
	CutAt       [4]float64 // where, mm
	Gouge       float64    // mm that the tip itself dug at Depth (0 if none), on HaltSide
	Strain      float64    // largest fibre strain
	StrainAt    float64    // mm behind the tip
	ScrewIn     float64    // N with which turning flutes draw the file in
	TorqueShare float64    // largest torque / strength along the rod
	Life        float64    // largest Miner's sum after the stroke, in shares of this piece's own life
	Through     bool       // a wall was cut through its Surface
	ThroughAt   float64
	ThroughSide int
	Broke       string  // "" | "fatigue" | "torsion"
	BrokeAt     float64 // mm behind the tip
	Solves      int     // plane contact solves spent
}

// Stroke makes one stroke: seats the file at depth (mm), pushes on as far as push, walls and stop let it,
// cuts the walls (space.Wall) and ages the tool. A depth beyond the stop is taken as the stop. It panics
// when rod and space differ in step or an argument is not finite. Strokes that follow one another with the
// same space, rod and depth spend about one solve in each plane. Checked by the tests in stroke_test.go.
func (w *Worker) Stroke(space *Space, rod *Rod, tool *Tool, hand Hand, depth float64) Stroke {
	w.spent = 0
	j := w.job(space, rod, tool, hand, depth)
	t := &w.trail
	t.warm = t.warm && t.space == space && t.rod == rod && t.depth == depth
	trials := workTrials
	if !t.warm {
		trials, t.rate, t.relief, t.trust = insertTrials, 0, 0, 1
	}
	s := w.seat(&j, depth, trials)
	out := w.report(&j, &s)
	twist := w.twisting(&j, &s)
	out.Torque, out.TorqueShare = twist.torque, twist.share
	if m := hand.Motion; m.Forward > m.Back {
		out.ScrewIn = twist.pull * twist.turned
	}
	if twist.turned < 1 {
		out.Halt = HaltTorque
	}
	if twist.share >= 1 {
		out.Broke, out.BrokeAt, out.Halt = "torsion", twist.at, HaltBroken
	}
	cut := w.slide(&j, twist.turned)
	w.spread(&j, s.depth)
	w.wear(&j, s.depth, cut, &out)
	switch {
	case s.obstacle.met:
		w.gouge(&j, &s, cut, &out)
	case s.depth >= s.narrow-1e-9 && s.halt != HaltStop:
		w.drill(&j, &s, cut, &out)
	}
	w.setCurvature(&j, s.depth)
	if out.Broke == "" {
		w.tire(&j, s.depth, twist.turned, &out)
		if out.Broke != "" {
			out.Halt = HaltBroken
		}
	}
	w.remember(&j, &s)
	out.Solves = w.spent
	w.counts.Strokes++
	w.counts.InStrokes += w.spent
	return out
}

// report fills what the seat tells.
func (w *Worker) report(j *job, s *seated) Stroke {
	out := Stroke{
		Depth: s.depth, Halt: s.halt, Resistance: s.load.resistance,
		HaltAt: float64(s.load.tight) * j.space.Step, HaltSide: s.load.tightSide,
	}
	if s.load.tightSide < 0 {
		out.HaltAt = s.depth
	}
	if s.obstacle.met {
		out.HaltAt, out.HaltSide = s.depth, s.obstacle.side
	}
	if s.halt == HaltNarrow || s.halt == HaltPacked {
		out.HaltAt = s.depth
	}
	return out
}

// remember keeps what the next stroke's first trial is chosen from: how far the push, with the relief
// that cutting gives, should take the file.
func (w *Worker) remember(j *job, s *seated) {
	t := &w.trail
	if t.warm && t.rate > 0 {
		expected := t.resistance + float64(t.rate*(s.depth-t.depth))
		t.relief = math.Max(0, float64(0.5*t.relief)+float64(0.5*(expected-s.load.resistance)))
	}
	t.space, t.rod, t.depth, t.resistance, t.warm = j.space, j.rod, s.depth, s.load.resistance, true
	switch {
	case s.obstacle.met || s.halt == HaltPacked:
		t.advance = 0
	case t.rate > 0:
		t.trust = math.Min(1, 1.2*t.trust)
		t.advance = t.trust * (float64(0.95*s.push) - s.load.resistance + t.relief) / t.rate
	default:
		t.advance = j.space.Step
	}
}

// setCurvature lets a file that was bent past yield keep its share of the excess (return mapping: what
// lies beyond the knee, less the slope beyond it). NiTi keeps only what went past its plateau, and a third
// of that (from memory, low certainty).
func (w *Worker) setCurvature(j *job, depth float64) {
	alloy := &j.rod.Blank.Alloy
	if j.setShare == 0 {
		return
	}
	h := j.space.Step
	last := int(math.Floor(depth/h + 1e-9))
	if depth/h-float64(last) >= 0.5 {
		last++
	}
	for plane := range w.now {
		c := &w.now[plane]
		for i := 1; i < c.n-1; i++ {
			k := last - i
			if k >= len(j.tool.Set[plane]) {
				continue
			}
			j.tool.Set[plane][k] += alloy.keeps(c.curvature[i]-j.tool.Set[plane][k], w.columns.yield[i], w.columns.full[i])
		}
	}
}

// keeps returns the curvature that stays of an elastic curvature q (both 1/mm).
func (a Alloy) keeps(q, yield, full float64) float64 {
	stays := float64(a.SetSlope * math.Max(0, math.Abs(q)-yield) * (1 - a.PlateauSlope))
	if a.FullStrain > 0 {
		stays += math.Max(0, math.Abs(q)-full) / 3
	}
	return math.Copysign(stays, q)
}
