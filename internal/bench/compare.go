package bench

import (
	"errors"
	"math"
	"slices"

	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// beside says which other treatment of the same tooth stands beside the one that is looked at.
type beside int

const (
	alone beside = iota
	withPlan
	withEarlier
)

// pastRun is an earlier run of a case: its points, and where its record is.
type pastRun struct {
	id   int64  // under which the keeper has it, 0 none
	data []byte // nil until it is fetched
}

// awaited is a record that was asked for.
type awaited struct {
	index int // case
	at    int // in its runs
	comes <-chan []byte
	open  bool // it is to be looked at for itself
}

// otherRun returns what stands beside, nil when nothing does.
func (d *debriefing) otherRun() *debriefing {
	switch d.with {
	case withPlan:
		return d.other
	case withEarlier:
		return d.past
	default:
		return nil
	}
}

// choices are what can stand beside, in the order in which the control turns through them.
func (s *Session) choices() []beside {
	d := s.debrief
	out := []beside{alone}
	if s.cases[d.index].planned && !d.plan {
		out = append(out, withPlan)
	}
	if _, ok := s.before(d); ok && !d.plan {
		out = append(out, withEarlier)
	}
	return out
}

// before returns the place of the last run of the case before the one that is looked at.
func (s *Session) before(d *debriefing) (int, bool) {
	n := len(s.cases[d.index].runs) - 1
	switch {
	case d.at0 > 0:
		n = d.at0 - 1
	case d.given:
		n++
	}
	return n - 1, n >= 1
}

// turnBeside puts another treatment beside the one that is looked at.
func (s *Session) turnBeside(steps int) {
	d := s.debrief
	list := s.choices()
	i := max(0, slices.Index(list, d.with))
	d.with = list[((i+steps)%len(list)+len(list))%len(list)]
	switch d.with {
	case withPlan:
		d.makePlan(s)
	case withEarlier:
		at, _ := s.before(d)
		s.fetch(d.index, at, false)
	case alone:
	}
}

// makePlan carries the instructor's plan out on the same tooth.
func (d *debriefing) makePlan(s *Session) {
	if d.other != nil {
		return
	}
	r := &treating{index: d.index, paper: attempt.Paper{Case: d.states[0].Case, Marker: s.cases[d.index].scenario.Marker()}}
	r.replay(s.cases[d.index].plan())
	d.other = lookBack(r, r.run.Close())
	d.other.other, d.other.shown, d.other.plan = d, true, true
}

// fetch asks for an earlier record, or takes it where it is at hand.
func (s *Session) fetch(index, at int, open bool) {
	run := &s.cases[index].runs[at]
	s.waits = &awaited{index: index, at: at, open: open}
	switch {
	case run.data != nil:
		s.arrived(run.data)
	case s.record == nil || run.id == 0:
		s.waits = nil
		s.refuse(say("compare.gone"))
	default:
		s.waits.comes = s.record(run.id)
	}
}

// lookAtLast opens the debrief of the last run of the chosen case.
func (s *Session) lookAtLast() {
	if n := len(s.cases[s.chosen].runs); n > 0 {
		s.fetch(s.chosen, n-1, true)
	}
}

// poll takes a record that has come.
func (s *Session) poll() {
	if s.waits == nil || s.waits.comes == nil {
		return
	}
	select {
	case data := <-s.waits.comes:
		s.arrived(data)
		s.changed()
	default:
	}
}

// arrived puts an earlier record beside the one that is looked at, or opens it.
func (s *Session) arrived(data []byte) {
	w := s.waits
	s.waits = nil
	if w.open && s.screen != BriefingScreen {
		return // the student has gone elsewhere meanwhile
	}
	past, err := s.relive(w.index, data)
	if err != nil {
		if s.debrief != nil {
			s.debrief.with = alone
		}
		s.refuse(say("compare.broken", "why", err.Error()))
		return
	}
	s.cases[w.index].runs[w.at].data = data
	past.at0 = w.at + 1
	switch {
	case w.open:
		s.debrief = past
		s.open(DebriefScreen)
	case s.debrief == nil || s.debrief.index != w.index:
	case past.states[0].Case.Seed != s.debrief.states[0].Case.Seed:
		s.debrief.with = alone
		s.refuse(say("compare.other"))
	default:
		s.debrief.past = past
		s.speak(say("compare.earlier", "points", figure(past.record.Marks.Total, 1)))
	}
}

// errOtherCase says that a record is of another case.
var errOtherCase = errors.New("bench: a record of another case")

// relive carries a record out again, on its own tooth.
func (s *Session) relive(index int, data []byte) (*debriefing, error) {
	record, err := attempt.Decode(data)
	if err != nil {
		return nil, err
	}
	c := s.cases[index]
	if record.Scenario.Name != c.scenario.Name() {
		return nil, errOtherCase
	}
	if record.Engine != treatment.Engine {
		return nil, errors.New(say("compare.engine", "engine", record.Engine))
	}
	kase := c.preview
	if record.Seed != kase.Seed {
		if kase, err = c.scenario.Case(record.Seed); err != nil {
			return nil, err
		}
	}
	paper := attempt.Paper{Case: kase, Marker: c.scenario.Marker()}
	if refusal := attempt.Verify(record, paper); refusal != nil {
		return nil, refusal
	}
	r := &treating{index: index, paper: paper}
	r.replay(record.Actions)
	d := lookBack(r, record)
	d.notes = record.Notes
	return d, nil
}

// besideAt returns how many actions of the other run stand beside the moment looked at: those up to the end
// of the same step of the procedure, and at the end all.
func (d *debriefing) besideAt(other *debriefing) int {
	if d.at == len(d.states)-1 {
		return len(other.states) - 1
	}
	if d.at == 0 {
		return 0
	}
	step := stageOf(d.run.Actions()[d.at-1].Do)
	for i, a := range slices.Backward(other.run.Actions()) {
		if stageOf(a.Do) <= step {
			return i + 1
		}
	}
	return 0
}

// besideName says what stands beside.
func (d *debriefing) besideName() string {
	switch d.with {
	case withPlan:
		return say("compare.plan")
	case withEarlier:
		if d.past == nil {
			return say("compare.waiting")
		}
		return say("compare.earlier", "points", figure(d.past.record.Marks.Total, 1))
	default:
		return say("compare.alone")
	}
}

// compared adds to a mark's points what the other run earned for the same rule.
func (d *debriefing) compared(id, mine string) string {
	other := d.otherRun()
	if other == nil {
		return mine
	}
	for _, r := range other.record.Marks.Rules {
		if r.ID == id && r.Available > 0 {
			return say("compare.points", "mine", mine, "other", figure(r.Points, 1))
		}
	}
	return mine
}

// transportBeside is the mesiodistal transportation of both runs in one graph.
func (d *debriefing) transportBeside(other *debriefing) *Graph {
	g := d.transport()
	g.Lines = g.Lines[:1]
	g.Lines[0].Name = say("compare.yours")
	at := other.besideView(d)
	theirs := at.transport()
	line := theirs.Lines[0]
	line.Name, line.Dashed, line.Event = d.besideName(), true, false
	g.Lines = append(g.Lines, line)
	g.Top, g.Bottom = math.Max(g.Top, theirs.Top), math.Min(g.Bottom, theirs.Bottom)
	return g
}

// transportHead stands over the graph of transportation.
func (d *debriefing) transportHead() Block {
	b := Block{Kind: Subhead, Text: say("debrief.transport"), Note: say("debrief.transportnote")}
	if d.otherRun() != nil {
		b.Note = say("compare.transportnote")
	}
	return b
}

// transportGraph is the transportation of this run in both planes, or of both runs in one.
func (d *debriefing) transportGraph() *Graph {
	if other := d.otherRun(); other != nil {
		return d.transportBeside(other)
	}
	return d.transport()
}

// besideView is the other run at the moment that stands beside.
func (d *debriefing) besideView(mine *debriefing) *debriefing {
	view := *d
	view.at, view.canal, view.look = mine.besideAt(d), mine.canal, mine.look
	return &view
}

// Outline is a canal as it was grown and what was cut from it, mm of the tooth.
type Outline struct {
	First   []geom.Point   // closed
	Removed [][]geom.Point // closed pieces
}

// looks are the ways the plate shows a moment of a finished run.
const (
	lookNow    = iota
	lookBefore // the tooth before anything was done
	lookOver   // the walls as grown over those at the moment
	lookCount
)

// overlay returns the outlines of all canals as grown over a state.
func overlay(s *treatment.State) []Outline {
	var out []Outline
	for i := range s.Canals {
		in := picture.InsideOf(s, i)
		out = append(out, Outline{First: in.First, Removed: in.Removed})
	}
	return out
}
