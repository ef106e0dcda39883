// Package attempt holds one student's run and its record.
//
// The main idea: a Run does actions one by one on a Paper (a case and the rules it is marked by) and
// keeps after each a checkpoint, a digest chained over everything so far. Close gives the Record: the
// actions with what they led to. Verify runs a record's actions again and compares; a score counts
// because the actions give it, not because the record says so. Decode refuses whatever is not
// byte for byte what Encode writes, so no change of a record goes unseen.
//
// The package also says events and actions as sentences for people, from the texts in package assets.
// It reads and writes no file. Begin reading at Begin, then Verify in verify.go.
package attempt

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Bounds of a run: many times what the longest treatment takes (four canals with care: two hundred actions in 2 h).
// The time bounds the strokes, which are what carrying a run out again costs: 12 h of them are some 20 s.
const (
	maxActions = 5000
	maxElapsed = 12 * 3600 * 1000 // ms on the treatment's clock, at which no further action begins
)

// Paper is what a run is done on: a case, which knows its scenario and seed, and the rules. Of a drill it may
// also say what is done for the student and what for: a record that does not begin so is refused.
type Paper struct {
	Case   *treatment.Case
	Marker *marking.Marker
	Done   []treatment.Action // the first actions of every run; Begin does not do them
	Goal   string             // of a drill, "" none
}

// Run is a treatment under way.
type Run struct {
	paper       Paper
	memory      *treatment.Scratch
	state       treatment.State
	actions     []treatment.Action
	events      []treatment.Event
	checkpoints []Checkpoint
	notes       []Note
	digester    detmath.Digester
	link        string // digest of everything so far
	closed      bool
}

// errClosed is returned by Do after Close.
var errClosed = errors.New("the run is closed")

// ActionError says which action of a run could not be done, and why.
type ActionError struct {
	Action int // index, from 0
	Err    error
}

// Error returns the reason, led by the number of the action counted from 1.
func (e *ActionError) Error() string { return fmt.Sprintf("action %d: %v", e.Action+1, e.Err) }

// Unwrap returns the engine's own error.
func (e *ActionError) Unwrap() error { return e.Err }

// Begin starts a run on a paper. It panics if the paper lacks its case or its marker.
func Begin(p Paper) *Run {
	if p.Case == nil || p.Marker == nil {
		panic("attempt: Begin of a paper without case or marker")
	}
	r := &Run{paper: p, memory: treatment.NewScratch(), state: treatment.Start(p.Case)}
	r.link = r.digester.Digest(struct {
		Engine, Scenario, Content string
		Seed                      uint64
		State                     treatment.State
	}{treatment.Engine, p.Case.Scenario, p.Case.Digest, p.Case.Seed, r.state})
	return r
}

// Do does one action and returns what happened. When the action is refused the error is an
// *ActionError and the run stands as it was. Checked by TestRun.
func (r *Run) Do(a treatment.Action) ([]treatment.Event, error) {
	index := len(r.actions)
	switch {
	case r.closed:
		return nil, &ActionError{index, errClosed}
	case index >= maxActions:
		return nil, &ActionError{index, fmt.Errorf("a run has at most %d actions", maxActions)}
	case r.state.Elapsed >= maxElapsed:
		return nil, &ActionError{index, fmt.Errorf("a run takes at most %d h on the treatment's clock", maxElapsed/3600/1000)}
	}
	state, events, err := r.memory.Step(r.state, a)
	if err != nil {
		return nil, &ActionError{index, err}
	}
	r.state = state
	r.actions = append(r.actions, a)
	r.events = append(r.events, events...)
	r.link = r.digester.Digest(struct {
		Before string
		Action treatment.Action
		Events []treatment.Event
		State  treatment.State
	}{r.link, a, events, state})
	r.checkpoints = append(r.checkpoints, Checkpoint{Action: index, Elapsed: state.Elapsed, Digest: r.link})
	return slices.Clone(events), nil
}

// Treat does a list of actions. On a refused action it returns the run as far as it came and an
// *ActionError.
func Treat(p Paper, actions []treatment.Action) (*Run, error) {
	r := Begin(p)
	for _, a := range actions {
		if _, err := r.Do(a); err != nil {
			return r, err
		}
	}
	return r, nil
}

// State returns the state now; what it points to must not be changed.
func (r *Run) State() treatment.State { return r.state }

// Actions returns the actions done so far.
func (r *Run) Actions() []treatment.Action { return slices.Clone(r.actions) }

// Last returns the checkpoint of the last action, and false before the first.
func (r *Run) Last() (Checkpoint, bool) {
	if len(r.checkpoints) == 0 {
		return Checkpoint{}, false
	}
	return r.checkpoints[len(r.checkpoints)-1], true
}

// Events returns what happened so far.
func (r *Run) Events() []treatment.Event { return slices.Clone(r.events) }

// Outcome returns the figures of the state now. It panics if one is not finite, which is a fault of
// the engine.
func (r *Run) Outcome() treatment.Outcome {
	outcome := r.memory.MeasureOutcome(r.state)
	for i := range outcome.Metrics {
		m := &outcome.Metrics[i]
		if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
			panic("attempt: the metric " + m.Name + " is not finite")
		}
		if m.Value == 0 {
			m.Value = 0 // the sign of a zero would be lost in a record
		}
	}
	return outcome
}

// Marks returns what the run would be given if it ended now.
func (r *Run) Marks() marking.Marks { return r.marked(r.Outcome()) }

// marked returns what an outcome of the run is given.
func (r *Run) marked(outcome treatment.Outcome) marking.Marks {
	return r.paper.Marker.Mark(marking.Facts{Outcome: outcome, Actions: r.actions, Events: r.events})
}

// Close ends the run and returns its record; called again, it returns the same one.
func (r *Run) Close() Record {
	r.closed = true
	outcome := r.Outcome()
	record := Record{
		Format:      format,
		Engine:      treatment.Engine,
		Scenario:    Source{Name: r.paper.Case.Scenario, Digest: r.paper.Case.Digest},
		Seed:        r.paper.Case.Seed,
		Actions:     append([]treatment.Action{}, r.actions...),
		Checkpoints: append([]Checkpoint{}, r.checkpoints...),
		Outcome:     outcome,
		Marks:       r.marked(outcome),
		Notes:       slices.Clone(r.notes),
	}
	record.Digest = detmath.Digest(struct {
		Before  string
		Outcome treatment.Outcome
		Marks   marking.Marks
	}{r.link, record.Outcome, record.Marks})
	record.NotesDigest = record.sealNotes()
	return record
}

// Compare returns the fields in which two states differ, at most limit of them, with the canals named.
// It is for tests and for finding where two engines part. Checked by TestCompare.
func Compare(got, want treatment.State, limit int) []detmath.Difference {
	differences := detmath.Diff(got, want, limit)
	for i := range differences {
		differences[i].Path = named(differences[i].Path, "Canals", len(want.Canals), func(k int) string { return want.Canals[k].Name })
	}
	return differences
}
