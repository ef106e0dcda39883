package trial

import (
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// TakeOver treats a case from where some steps have led, as Treat does from the bare tooth: the steps are done
// first, as far as the engine takes them, and then the operator goes on with what was not done yet. It knows
// of the steps what a person who did them would know. The actions and events returned begin with theirs.
// Checked by TestTakeOver.
func TakeOver(c *treatment.Case, done []treatment.Action, o scenario.Operator, seed uint64) Treated {
	h := &hand{
		Operator: o, state: treatment.Start(c),
		stream: detmath.NewStream(seed, "hand"), habit: detmath.NewStream(seed, "habit"), wrist: detmath.NewStream(seed, "wrist"),
		catalogue: map[string]treatment.Instrument{}, memory: treatment.NewScratch(),
	}
	for _, i := range treatment.Catalogue() {
		if len(c.Tray) == 0 || slices.Contains(c.Tray, i.ID) {
			h.catalogue[i.ID] = i
		}
	}
	h.seen = look(c, h)
	h.prepare(done)
	if h.coronal() {
		for i := range c.Tooth.Canals {
			h.canal(i)
		}
		h.finish()
	}
	return Treated{State: h.state, Actions: h.actions, Events: h.events, Refused: h.refused, Counts: h.memory.Counts()}
}

// given is a step that was done before the operator took over, and what happened.
type given struct {
	action treatment.Action
	events []treatment.Event
}

// prepare does the steps before the operator takes over, up to one that is refused, and then has mishaps told
// that nobody told yet.
func (h *hand) prepare(done []treatment.Action) {
	for _, a := range done {
		state, events, err := h.memory.Step(h.state, a)
		if err != nil {
			h.refused++
			break
		}
		h.state = state
		h.actions = append(h.actions, a)
		h.events = append(h.events, events...)
		h.given = append(h.given, given{a, events})
		h.note(events)
		if a.Do == treatment.Report {
			h.told = append(h.told, a.Choice)
		}
	}
	h.report(h.events)
}

// was reports whether a kind of step was done before the operator took over.
func (h *hand) was(kind treatment.Kind) bool {
	return slices.ContainsFunc(h.given, func(g given) bool { return g.action.Do == kind })
}

// stage is how far a canal has come.
type stage int

// The stages, each named by what comes next.
const (
	toScout stage = iota
	toMeasure
	toGlide
	toShape
	toRinse
	toDry
	toFit
	isFilled
)

// Sizes of files from which a stage is over: the glide path has a loose 15, and what goes to the working length
// beyond it shapes.
const (
	glideSize = 15
	shapeSize = 20
)

// nearTrial is how short of the length on the film a canal still counts as scouted, mm.
const nearTrial = 1.0

// recall takes in what the steps before the operator took over tell of the canal, and where it stands. trial is
// the length down to which it is scouted.
func (w *way) recall(trial float64) {
	for _, g := range w.given {
		if g.action.Do == treatment.Bend {
			w.bent = append(w.bent, g.action.Item)
		}
		if g.action.Canal != w.name {
			continue
		}
		next := toScout
		switch g.action.Do { //nolint:exhaustive // the others bring a canal no further
		case treatment.Work:
			next = w.recallWork(g, trial)
		case treatment.SetLength:
			w.length, next = w.state.Canals[w.index].Length, toGlide
		case treatment.Gauge:
			if w.final >= shapeSize {
				next = toRinse
			}
		case treatment.Irrigate:
			if w.stage >= toRinse && g.action.Agent == "edta" {
				next = toDry
			}
		case treatment.Dry, treatment.Fit:
			next = toFit
		case treatment.Fill:
			next = isFilled
		}
		w.stage = max(w.stage, next)
	}
}

// recallWork takes in what an instrument did.
func (w *way) recallWork(g given, trial float64) stage {
	e := find(g.events, treatment.Reached, treatment.Halted)
	if e == nil {
		return toScout
	}
	w.reached = e.Value
	w.opened(g.action.Item)
	size := w.catalogue[g.action.Item].Size
	atLength := w.length > 0 && e.Kind == treatment.Reached && math.Abs(e.Value-w.length) <= sameStop
	switch {
	case atLength:
		w.final = max(w.final, size)
		if size >= glideSize {
			return toShape
		}
	case w.length == 0 && e.Value >= trial-nearTrial:
		return toMeasure
	}
	return toScout
}
