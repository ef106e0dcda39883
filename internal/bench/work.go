package bench

import (
	"tugback/internal/treatment"
)

// Pace of the hand while work is held.
const (
	Burst     = 2   // strokes made at once
	BurstTime = 120 // ms between them
)

// calm is after how many strokes the picture changes while work is held with less motion: about once a second.
const calm = 16

// mostStrokes is how many strokes become one action at most, since every burst tries the whole action again.
const mostStrokes = 40

// holding is work under way: an action with growing strokes, tried on the state before it.
type holding struct {
	active  bool
	waited  int // ms since the last burst
	strokes int
	trial   *treatment.State
	events  []treatment.Event
	ended   bool // it broke or cannot go on: wait for the hand to let go
}

// Hold begins or ends holding the work. Only the treatment screen has work to hold, and only with an
// instrument in hand.
func (s *Session) Hold(down bool) {
	if s.screen != TreatmentScreen || s.run == nil {
		return
	}
	r := s.run
	if r.film.on {
		if down {
			r.act(s)
		}
		return
	}
	if !down {
		r.letGo(s)
		return
	}
	if r.hold.active {
		return
	}
	if r.kind != treatment.Work {
		if r.stage != stageOf(treatment.Work) {
			r.act(s)
			return
		}
		r.kind = treatment.Work
	}
	if why := r.objection(r.action(treatment.Work)); why != "" {
		s.refuse(why)
		return
	}
	s.notice, r.hint, r.stopped = "", "", ""
	r.hold = holding{active: true}
	r.strokes(s)
}

// Tick lets ms pass for the hand that is working. It is called once a frame; nothing else depends on
// the clock.
func (s *Session) Tick(ms int) {
	s.poll()
	s.tickExam()
	if s.run == nil || !s.run.hold.active || s.run.hold.ended {
		return
	}
	h := &s.run.hold
	h.waited += ms
	if h.waited < BurstTime {
		return
	}
	h.waited = 0
	if h.strokes >= mostStrokes {
		s.run.commit(s)
		h.active = true
	}
	s.run.strokes(s)
}

// Working reports whether the hand is at work.
func (s *Session) Working() bool { return s.run != nil && s.run.hold.active }

// strokes tries the held action with a few strokes more.
func (r *treating) strokes(s *Session) {
	h := &r.hold
	a := r.action(treatment.Work)
	a.Strokes = h.strokes + Burst
	if r.far() != nil { // the hand feels when it lets go
		h.strokes = a.Strokes
		s.changed()
		return
	}
	if r.memory == nil {
		r.memory = treatment.NewScratch()
	}
	state, events, err := r.memory.Step(r.states[len(r.states)-1], a)
	if err != nil {
		*h = holding{}
		s.refuse(plainRefusal(err))
		return
	}
	h.strokes, h.trial, h.events = a.Strokes, &state, events
	for _, e := range events {
		if e.Kind == treatment.Broke || e.Kind == treatment.Perforated {
			h.ended = true
			s.notice = r.told(e)
		}
	}
	r.felt(a, events)
	if !s.settings.ReducedMotion || a.Strokes == Burst || a.Strokes%calm == 0 || h.ended {
		s.changed()
	}
}

// letGo records what the hand did as one action.
func (r *treating) letGo(s *Session) {
	if !r.hold.active {
		return
	}
	r.commit(s)
}

func (r *treating) commit(s *Session) {
	a := r.action(treatment.Work)
	a.Strokes = r.hold.strokes
	r.hold = holding{}
	if a.Strokes > 0 {
		r.do(s, a)
	}
}
