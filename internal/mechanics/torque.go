package mechanics

import "math"

// torsion is how a stroke twists the file.
type torsion struct {
	torque float64 // N·mm at the handle
	share  float64 // largest torque / strength along the file
	at     float64 // mm behind the tip
	turned float64 // share of the motion's turning that was done (a motor stops at its limit)
	pull   float64 // N that the turning flutes draw the file in with
}

// twisting sums the torque that turning meets, from the tip upwards,
//
//	M ← M + N·r·CutFriction, at the tip (push left over)·D0/2·CutFriction/sin α
//
// and compares it with the strength of the section. A hand that turns a file by less than it takes to
// wind it up does not reach that torque: it rises elastically up to TwistYield of the strength, and from
// there to the strength over one further turn of the file (standard minimum angle 360°), which stays in
// Tool.Unwound; turned mostly backwards, steel bears only Alloy.Reverse of that turn. A motor stops at its
// limit. Flutes at the helix angle β that cut with the tangential force F pull the file in with
// ScrewShare·F·tan β. Checked by TestTorque, TestTipBinds, TestBackwards (F18), TestScrewIn.
func (w *Worker) twisting(j *job, s *seated) torsion {
	out := torsion{turned: 1}
	m := j.hand.Motion
	n := w.now[0].n
	if n == 0 || m.turned() == 0 {
		return out
	}
	r, h := j.rod, j.space.Step
	twist := w.tipTorque(j, s)
	for i := n - 1; i >= 0; i-- {
		force := 0.0
		for plane := range w.now {
			force += w.now[plane].force[0][i] + w.now[plane].force[1][i]
		}
		drawn := w.drawnIn(j, s.depth, i)
		twist += float64((force + drawn) * w.columns.radius[i] * w.tuning.CutFriction)
		x := math.Max(0, s.depth-float64(float64(i)*h))
		if x >= r.coneEnd && x <= r.Blank.WorkingPart {
			out.pull += float64(force * w.tuning.CutFriction * w.tuning.ScrewShare * r.pull / math.Max(r.turn, 0.1))
		}
		if share := twist / (r.at(r.TorsionStrength, x) * j.tool.Strength); share > out.share {
			out.share, out.at = share, x
		}
	}
	out.torque = twist
	if limit := j.hand.TorqueLimit; limit > 0 && twist > limit {
		out.turned = limit / twist
		out.share *= out.turned
		out.torque = limit
		return out
	}
	w.windUp(j, s.depth, &out)
	return out
}

// drawnIn returns the force on the walls at a station (N, all of them) that is added when the threads draw the file
// in while a hand turns it clockwise: it goes on by ScrewShare of what the threads would take it at that radius, r·φ/tan β, and where the
// canal is close round it from two sides its taper wedges in. What is loose is not drawn. The pull of the stroke
// takes it back; the deeper a flute has bitten all the way along, the more a turn too far locks it (taper lock).
// Checked by TestTaperLock.
func (w *Worker) drawnIn(j *job, depth float64, i int) float64 {
	turn := j.hand.Motion.drawing()
	x := depth - float64(float64(i)*j.space.Step)
	if turn == 0 || j.space.Soft[i] || x < j.rod.coneEnd || x > j.rod.Blank.WorkingPart-j.rod.Step || j.rod.pull == 0 {
		return 0
	}
	wedge := float64(w.tuning.ScrewShare * w.columns.radius[i] * turn * j.rod.turn / j.rod.pull * j.rod.at(j.rod.slope, x))
	sum := 0.0
	for plane := range 2 {
		spare := float64((w.gaps[2*plane][i] + w.gaps[2*plane+1][i]) / 2)
		sum += float64(2 * (math.Max(0, wedge-spare) - math.Max(0, -spare)))
	}
	return float64(w.tuning.WallStiffness * w.columns.weight[i] * j.space.Step * sum)
}

// tipTorque returns the torque of a stopped tip that carries what is left of the push, N·mm.
func (w *Worker) tipTorque(j *job, s *seated) float64 {
	if s.halt == HaltStop || s.halt == HaltTight {
		return 0
	}
	left := math.Max(0, s.push-s.load.resistance+s.load.packed)
	sine := j.rod.tipSlope / math.Sqrt(1+float64(j.rod.tipSlope*j.rod.tipSlope))
	return left * j.rod.Blank.Tip / 2 * w.tuning.CutFriction / sine
}

// windUp limits the torque to what the hand's turn can wind up in the file between the place of the
// largest share and the handle, and notes what stays.
func (w *Worker) windUp(j *job, depth float64, t *torsion) {
	r, m := j.rod, j.hand.Motion
	if t.share <= 0 {
		return
	}
	give := r.at(r.windup, r.Blank.Length) - r.at(r.windup, t.at) // rad per N·mm
	strength := t.torque / t.share
	turn := math.Max(m.Forward, m.Back)
	knee := float64(w.tuning.TwistYield * strength)
	limit := fullTurn
	if m.Back > m.Forward+1e-9 && r.Blank.Alloy.Reverse > 0 {
		limit *= r.Blank.Alloy.Reverse
	}
	reached := turn / math.Max(give, 1e-12)
	if reached > knee { // past it the file unwinds
		beyond := turn - float64(knee*give) + j.tool.Unwound
		reached = knee + float64((strength-knee)*math.Min(1, beyond/limit))
	}
	reached = math.Min(reached, t.torque)
	if reached > knee && math.Abs(m.Forward-m.Back) > 1e-9 {
		plastic := float64(limit * (reached - knee) / (strength - knee))
		j.tool.Unwound = math.Max(j.tool.Unwound, plastic)
	}
	t.share, t.torque = reached/strength, reached
}
