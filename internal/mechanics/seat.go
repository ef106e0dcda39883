package mechanics

import "math"

// seated is where a push has taken the file and why it went no farther.
type seated struct {
	depth    float64
	load     axialLoad
	halt     Halt
	obstacle obstacle
	narrow   float64 // mm, the deepest that openings allow
	push     float64 // N that gets through
}

// Halt says why a tip went no further.
type Halt int

// The reasons for a halt: the stop reached its reference; wall friction used up the push; the tip's point
// met a face (step, ledge, sharp bend); the opening ahead is narrower than the tip; debris or a fragment;
// the free length buckled; the motor's limit; the file broke.
const (
	HaltStop Halt = iota
	HaltTight
	HaltFace
	HaltNarrow
	HaltPacked
	HaltBuckled
	HaltTorque
	HaltBroken
)

// search is the bracket of a seat: the deepest accepted and the shallowest refused depth.
type search struct {
	low, high   float64
	accepted    bool
	lowLoad     axialLoad
	highLoad    axialLoad
	trials      int
	startNarrow float64
}

// seat pushes the file on from depth until it stops, at most trials accepted or refused depths. Trial
// depths come from the last resistance and its growth with depth; a refused one is halved towards the
// accepted one, and where none is accepted the file is seated at depth itself. The accepted contact is
// left in w.now.
func (w *Worker) seat(j *job, depth float64, trials int) seated {
	depth = math.Min(depth, j.limit)
	s := search{low: depth, high: math.Inf(1), startNarrow: w.narrowLimit(j, depth)}
	target := w.first(j, depth, s.startNarrow)
	for {
		s.trials++
		w.solveAt(j, target)
		load := w.resist(j, &w.trial, target, false)
		if target > depth && load.resistance > math.Min(j.hand.Push, load.buckles) {
			w.refuse(&s, target, load)
		} else {
			w.learn(&s, target, load)
			w.accept()
			s.low, s.lowLoad, s.accepted = target, load, true
		}
		next, done := w.next(j, &s, depth, trials)
		if done {
			break
		}
		target = next
	}
	w.resample(j, s.low)
	return w.verdict(j, &s)
}

// first returns the first depth to try.
func (w *Worker) first(j *job, depth, narrow float64) float64 {
	advance := leapLength
	if w.trail.warm {
		advance = w.trail.advance
	}
	target := math.Min(w.look(j, depth, depth+advance), narrow)
	if target < depth+nearAdvance && target < math.Min(narrow, j.limit) {
		return depth
	}
	return target
}

// refuse notes a depth that the push does not reach.
func (w *Worker) refuse(s *search, target float64, load axialLoad) {
	s.high, s.highLoad = target, load
	w.trail.trust = math.Max(0.2, 0.5*w.trail.trust)
	if s.accepted {
		w.trail.rate = (load.resistance - s.lowLoad.resistance) / (target - s.low)
	}
}

// learn updates the growth of resistance with depth from a depth that the push reaches.
func (w *Worker) learn(s *search, target float64, load axialLoad) {
	switch {
	case s.accepted && target > s.low+1e-9:
		w.trail.rate = (load.resistance - s.lowLoad.resistance) / (target - s.low)
	case !s.accepted && s.high < math.Inf(1):
		w.trail.rate = (s.highLoad.resistance - load.resistance) / (s.high - target)
	}
}

// next returns the next depth to try, or that the search is over.
func (w *Worker) next(j *job, s *search, depth float64, trials int) (float64, bool) {
	if !s.accepted {
		return depth, false
	}
	narrow := s.startNarrow
	if s.low >= j.limit-1e-9 || s.low >= narrow-1e-9 || s.trials >= trials {
		return 0, true
	}
	if w.face(j, &w.now, s.low, j.spare(s.lowLoad)).met {
		return 0, true
	}
	push := math.Min(j.hand.Push, s.lowLoad.buckles)
	if s.lowLoad.resistance >= j.tight*push {
		return 0, true
	}
	if s.high < math.Inf(1) {
		width := s.high - s.low
		if width <= nearAdvance {
			return 0, true
		}
		share := (float64(j.aim*push) - s.lowLoad.resistance) / math.Max(s.highLoad.resistance-s.lowLoad.resistance, 1e-9)
		return s.low + float64(width*math.Max(0.2, math.Min(0.8, share))), false
	}
	advance := leapLength
	if w.trail.rate > 0 {
		advance = (float64(j.aim*push) - s.lowLoad.resistance) / w.trail.rate
	}
	target := w.look(j, s.low, s.low+math.Max(advance, nearAdvance))
	target = math.Min(target, narrow)
	return target, target <= s.low+1e-6
}

// verdict says why the file stands where it does.
func (w *Worker) verdict(j *job, s *search) seated {
	out := seated{depth: s.low, load: s.lowLoad, narrow: s.startNarrow}
	out.obstacle = w.face(j, &w.now, s.low, j.spare(s.lowLoad))
	out.push = math.Min(j.hand.Push, s.lowLoad.buckles)
	limiting := s.lowLoad
	if s.high < math.Inf(1) {
		limiting = s.highLoad
	}
	if out.load.tightSide < 0 { // it stands free: what holds it is what it would meet farther on
		out.load.tight, out.load.tightSide, out.load.contact = limiting.tight, limiting.tightSide, limiting.contact
	}
	switch {
	case s.low >= j.limit-1e-9:
		out.halt = HaltStop
		out.obstacle.met = false
	case out.obstacle.met:
		out.halt = HaltFace
		out.push = math.Min(j.hand.Push, s.lowLoad.tipBuckles)
	case s.low >= s.startNarrow-1e-9:
		out.halt = HaltNarrow
		out.push = math.Min(j.hand.Push, s.lowLoad.tipBuckles)
	case limiting.packed > 0.5*limiting.resistance:
		out.halt = HaltPacked
	case limiting.buckles < j.hand.Push:
		out.halt = HaltBuckled
	default:
		out.halt = HaltTight
	}
	if out.push < j.hand.Push && out.halt == HaltNarrow {
		out.halt = HaltBuckled
	}
	return out
}
