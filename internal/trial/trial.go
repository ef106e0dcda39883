// Package trial treats cases in number by scripted operators, and counts what came of them.
//
// The main idea: an operator (scenario.Operator: the hand, the habits, the omissions, the same for
// every tooth) chooses one action after another from what a person could know: the film, the outside
// of the tooth, readings, and the events of its own actions. Treat does one whole treatment. Run does
// many, each from a seed of its own, and keeps only whole-number counts and histograms (Tally), which
// add up the same in any order, so that the result does not depend on the number of processors, two
// shards merged are one run, and memory does not grow with the number of cases.
//
// Nothing here decides what an instrument does to a tooth or what a rule gives: treatment and marking
// do. An operator's hand draws from a stream of its own, so that a new habit shifts nothing in the
// engine. Lengths are in mm, angles in rad, as in the engine. Begin reading at Treat, then run.go.
package trial

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// Treated is one whole treatment.
type Treated struct {
	State   treatment.State
	Actions []treatment.Action
	Events  []treatment.Event
	Refused int // actions the engine refused: the operator tried what could not be done
	Counts  treatment.Counts
}

// Treat treats a case as an operator does. The same case, operator and seed give the same treatment on
// every target. Checked by TestTreat and TestOperatorSeesNoLabels.
func Treat(c *treatment.Case, o scenario.Operator, seed uint64) Treated {
	return TakeOver(c, nil, o, seed)
}

// hand is an operator at work.
type hand struct {
	scenario.Operator
	state  treatment.State
	memory *treatment.Scratch
	seen   sight

	catalogue map[string]treatment.Instrument // what is on offer
	stream    detmath.Stream                  // scatter of the hand
	wrist     detmath.Stream                  // scatter of its turning
	habit     detmath.Stream                  // what is left out
	actions   []treatment.Action
	events    []treatment.Event
	told      []string // mishaps reported
	given     []given  // what was done before the operator took over
	refused   int
}

// maxActions ends a treatment that leads nowhere: several times what the longest takes.
const maxActions = 1500

// do does an action, its numbers kept within what the engine takes, and returns what happened. A
// refused action is counted and gives nothing.
func (h *hand) do(a treatment.Action) []treatment.Event {
	if len(h.actions) >= maxActions {
		h.refused++
		return nil
	}
	for _, f := range treatment.Fields(a.Do) {
		if f.Form == treatment.Number {
			at := f.Int(&a)
			if *at != 0 || f.Needed {
				*at = min(max(*at, f.Min), f.Max)
			}
		}
	}
	state, events, err := h.memory.Step(h.state, a)
	if err != nil {
		h.refused++
		return nil
	}
	h.state = state
	h.actions = append(h.actions, a)
	h.events = append(h.events, events...)
	h.report(events)
	return events
}

// skips draws whether a step is left out.
func (h *hand) skips(step string) bool { return h.habit.Float64() < h.Skip(step) }

// length returns a length as the hand sets it, in µm.
func (h *hand) length(mm float64) int { return micron(mm + h.stream.Normal(0, h.LengthScatter)) }

// micron returns a length in µm, to a twentieth of a millimetre: finer is neither set nor written down.
func micron(mm float64) int { return 50 * int(math.RoundToEven(mm*20)) }

// push returns a push as the hand gives it, in mN, to a twentieth of a newton.
func (h *hand) push(newton float64) int {
	return 50 * int(math.RoundToEven(20*h.stream.LogNormal(newton, h.ForceScatter)))
}

// turns returns how far the hand turns forward and back in a motion, in tenths of a degree: as unsteady as its push.
func (h *hand) turns(motion string) (forward, back int) {
	f, b := treatment.Turns(motion)
	share := h.wrist.LogNormal(1, h.ForceScatter)
	return int(math.RoundToEven(share * float64(f))), int(math.RoundToEven(share * float64(b)))
}

// find returns the first event of some kind, or nil.
func find(events []treatment.Event, kinds ...treatment.EventKind) *treatment.Event {
	for i := range events {
		for _, k := range kinds {
			if events[i].Kind == k {
				return &events[i]
			}
		}
	}
	return nil
}
