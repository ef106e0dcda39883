package bench

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/picture"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Seat is a place at a class server that steps a sitting. Its methods wait for the server.
type Seat interface {
	// Status tells the attempts begun and handed in.
	Status() (handin.Status, error)
	// Step does one thing in an attempt, from 1. After an error it may be asked again: nothing is done twice.
	Step(attempt int, step handin.Step) (handin.Seen, error)
}

// sitting is an examination being sat: on this machine, or stepped by a class server.
type sitting interface {
	do(one int, a treatment.Action) ([]treatment.Event, error)
	count(one int) int // actions done in a case
	done(one int) []treatment.Action
	marks(one int) (total, available float64)
	Look(one int, what string) error
	Answer(item string, r quiz.Response) error
	Answers() map[string]quiz.Response
	Rest() error
	Back() error
	RestLeft() (int64, bool)
	Left() (int64, bool)
	Submitted() bool
	// Submit ends the sitting; the export is nil where the server keeps it.
	Submit() (export []byte, err error)
}

// nearSitting is one that is sat on this machine.
type nearSitting struct{ *exam.Sitting }

func (s nearSitting) do(one int, a treatment.Action) ([]treatment.Event, error) { return s.Do(one, a) }

func (s nearSitting) count(one int) int { return len(s.Run(one).Actions()) }

func (s nearSitting) done(one int) []treatment.Action { return s.Run(one).Actions() }

func (s nearSitting) marks(one int) (total, available float64) {
	m := s.Run(one).Marks()
	return m.Total, m.Available
}

// farSitting is one that a class server steps: no tooth of it is on this machine.
type farSitting struct {
	seat    Seat
	attempt int
	clock   exam.Clock
	seen    handin.Seen
	at      int64 // ms, when it was seen
	answers map[string]quiz.Response
	cases   []*farCase
	receipt handin.Receipt
	hint    string
}

// farCase is a case as far as it is known at the chair.
type farCase struct {
	chair  Chair
	told   map[treatment.Event]ChairEvent
	events []treatment.Event
	plate  treatment.State // of a tooth of the kind, not of this one: what the plate shows from outside
	tray   *treatment.Case
}

// standIn is the seed of the teeth that are drawn in place of those that stay on the server.
const standIn = 1

// beginFar begins an attempt at a class server, or comes back to it.
func beginFar(seat Seat, packet exam.Packet, attempt int, clock exam.Clock) (*farSitting, error) {
	f := &farSitting{seat: seat, attempt: attempt, clock: clock, answers: map[string]quiz.Response{}}
	for i := range max(1, len(packet.Cases)) {
		if i < len(packet.Cases) {
			f.cases = append(f.cases, &farCase{told: map[treatment.Event]ChairEvent{}})
		}
		if err := f.ask(handin.Step{Do: handin.StepBegin, Case: i}); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// ask asks one thing of the server and takes over what can be seen then. When the sitting went on elsewhere
// meanwhile, the error says so, and what is seen is brought up to date.
func (f *farSitting) ask(step handin.Step) error {
	step.Acts, step.View = f.seen.Acts, true
	if step.Case < len(f.cases) {
		step.From = len(f.cases[step.Case].chair.Actions)
	}
	seen, err := f.seat.Step(f.attempt, step)
	var refused *handin.Error
	if errors.As(err, &refused) && refused.Status == 409 && step.Do != handin.StepBegin {
		if err := f.ask(handin.Step{Do: handin.StepBegin, Case: step.Case}); err != nil {
			return err
		}
		return errors.New(say("exam.wenton"))
	}
	if err != nil {
		return err
	}
	f.seen = seen
	_, f.at = f.clock()
	if len(seen.Receipt) > 0 {
		if err := json.Unmarshal(seen.Receipt, &f.receipt); err != nil {
			return fmt.Errorf("receipt: %w", err)
		}
	}
	if err := f.take(seen.View, step.Case); err != nil {
		return err
	}
	if seen.Refused {
		return errors.New(strings.Join(seen.Said, " "))
	}
	return nil
}

// View is what Seen.View holds for the bench.
type View struct {
	Chair   *Chair                   `json:"chair,omitempty"`
	Answers map[string]quiz.Response `json:"answers,omitempty"`
	Film    *Shot                    `json:"film,omitempty"`
}

// take takes over what a case shows now.
func (f *farSitting) take(text json.RawMessage, one int) error {
	if len(text) == 0 {
		return nil
	}
	var view View
	if err := json.Unmarshal(text, &view); err != nil {
		return fmt.Errorf("the class server's view: %w", err)
	}
	maps.Copy(f.answers, view.Answers)
	if view.Chair == nil || one >= len(f.cases) {
		return nil
	}
	return f.cases[one].take(*view.Chair)
}

// take joins what is told now to what was told before.
func (c *farCase) take(now Chair) error {
	if n := len(now.Actions); now.From != len(c.chair.Actions) || len(now.Elapsed) != n || len(now.CuspCut) != n || len(now.Films) == 0 {
		return errors.New("the class server's view does not go on from the one before; reload the page")
	}
	now.Actions = slices.Concat(c.chair.Actions, now.Actions)
	now.Elapsed = slices.Concat(c.chair.Elapsed, now.Elapsed)
	now.CuspCut = slices.Concat(c.chair.CuspCut, now.CuspCut)
	for _, t := range now.Told {
		c.told[t.Event] = t
		c.events = append(c.events, t.Event)
	}
	now.Told = nil
	c.chair, now.From = now, 0
	if c.tray != nil {
		return nil
	}
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: anatomy.Kind(now.Kind)}, standIn)
	if err != nil {
		return fmt.Errorf("the class server's view: %w", err)
	}
	c.tray = &treatment.Case{Scenario: "far", Number: now.Number, Tooth: tooth, Tray: now.Tray, Settings: treatment.DefaultSettings()}
	c.plate = treatment.Start(c.tray)
	return nil
}

func (f *farSitting) do(one int, a treatment.Action) ([]treatment.Event, error) {
	before := len(f.cases[one].events)
	if a.Do == treatment.Find {
		a.Canal = ""
	}
	if err := f.ask(handin.Step{Do: handin.StepAction, Case: one, Action: &a}); err != nil {
		return nil, err
	}
	return f.cases[one].events[before:], nil
}

func (f *farSitting) count(one int) int { return len(f.cases[one].chair.Actions) }

func (f *farSitting) done(one int) []treatment.Action { return f.cases[one].chair.Actions }

func (f *farSitting) marks(one int) (total, available float64) {
	if m := f.cases[one].chair.Marks; m != nil {
		return m.Total, m.Available
	}
	return 0, 0
}

// Look notes the look; a hint is what the server says then.
func (f *farSitting) Look(one int, what string) error {
	if what != exam.SeeHints {
		return errors.New(say("exam.notfar"))
	}
	err := f.ask(handin.Step{Do: handin.StepLine, Case: one, Line: "hint"})
	f.hint = strings.Join(f.seen.Said, " ")
	return err
}

func (f *farSitting) Answer(item string, r quiz.Response) error {
	err := f.ask(handin.Step{Do: handin.StepAnswer, Item: item, Answer: &r})
	if err == nil {
		f.answers[item] = r
	}
	return err
}

func (f *farSitting) Answers() map[string]quiz.Response { return f.answers }

func (f *farSitting) Rest() error { return f.ask(handin.Step{Do: handin.StepRest}) }

func (f *farSitting) Back() error { return f.ask(handin.Step{Do: handin.StepBack}) }

// passed returns the ms since the server was heard.
func (f *farSitting) passed() int64 {
	_, now := f.clock()
	return now - f.at
}

func (f *farSitting) RestLeft() (int64, bool) {
	left := int64(f.seen.RestS) * 1000
	if f.seen.Resting {
		left = max(0, left-f.passed())
	}
	return left, f.seen.Resting
}

func (f *farSitting) Left() (int64, bool) {
	left := int64(f.seen.LeftS) * 1000
	if left < 0 {
		return left, false
	}
	gone := f.passed()
	if f.seen.Resting {
		gone = max(0, gone-int64(f.seen.RestS)*1000)
	}
	return max(0, left-gone), true
}

func (f *farSitting) Submitted() bool { return f.seen.Submitted }

func (f *farSitting) Submit() ([]byte, error) {
	if f.seen.Submitted && f.receipt.Digest != "" {
		return nil, nil
	}
	return nil, f.ask(handin.Step{Do: handin.StepSubmit})
}

// film develops a film at the server.
func (f *farSitting) film(one, at int) (picture.Radiogram, error) {
	seen, err := f.seat.Step(f.attempt, handin.Step{Do: handin.StepFilm, Case: one, Film: at})
	if err != nil {
		return picture.Radiogram{}, err
	}
	var view View
	if err := json.Unmarshal(seen.View, &view); err != nil || view.Film == nil {
		return picture.Radiogram{}, errors.Join(errors.New("the class server sent no film"), err)
	}
	return view.Film.radiogram()
}

// films returns the films of a case as scenes, without the one that came with the patient.
func (f *farSitting) films(one int) []exposure {
	var out []exposure
	for i, film := range f.cases[one].chair.Films {
		key := "film:far:" + strconv.Itoa(f.attempt) + ":" + strconv.Itoa(one) + ":" + strconv.Itoa(i)
		out = append(out, exposure{action: film.Action, tilt: film.Tilt, shift: film.Shift,
			scene: &FilmScene{Key: key, Upper: f.cases[one].tray.Tooth.Upper, far: &farFilm{frame: film.Frame, expose: func() (picture.Radiogram, error) { return f.film(one, i) }}}})
	}
	return out
}

// farFilm is a film that is developed elsewhere.
type farFilm struct {
	frame  [4]float64
	expose func() (picture.Radiogram, error)
}

// states returns what is known of the case after every action, as states of a tooth that is not there: what is
// not known at the chair is empty.
func (c *farCase) states() []treatment.State {
	h := &c.chair
	now := treatment.State{Case: c.tray, Films: len(h.Films) - 1, Isolated: h.Isolated, Sealed: h.Sealed}
	now.Access.Opened = h.Opened
	for _, known := range []struct {
		is   bool
		into *string
	}{{h.Judged, &now.Judged}, {h.Restored, &now.Restoration}} {
		if known.is {
			*known.into = "done"
		}
	}
	if h.Reviewed {
		now.ReviewDays = 1
	}
	for _, one := range h.Canals {
		canal := treatment.CanalState{Name: one.Name, Found: true, Reading: one.Reading, Length: one.Length, Gauged: one.Gauged, Last: one.Last}
		canal.Cone.Item, canal.Cone.Tip, canal.Cone.Grip, canal.Fill.Technique = one.Cone, one.ConeTip, one.Grip, one.Filled
		if f := h.Feel; f != nil && f.Canal == one.Name {
			canal.Feel = treatment.Feel{Item: f.Item, Strokes: f.Stroke.Count, Now: f.Stroke.Now, Before: f.Stroke.Before, Push: 1}
		}
		now.Canals = append(now.Canals, canal)
	}
	if len(now.Canals) == 0 {
		now.Canals = []treatment.CanalState{{}} // that which is to be found
	}
	for _, t := range h.Tools {
		now.Tools = append(now.Tools, treatment.ToolState{Item: t.Item, Broken: !t.Whole})
	}
	out := []treatment.State{now}
	for i := range h.Actions {
		now.Done, now.Elapsed, now.CuspCut = i+1, h.Elapsed[i], h.CuspCut[i]
		out = append(out, now)
	}
	return out
}

// lay lays what is known on the bench.
func (c *farCase) lay(r *treating) {
	name := ""
	if r.states != nil {
		name = r.states[0].Canals[r.canal].Name
	}
	r.states, r.canal = c.states(), 0
	if i := r.canalNamed(name); i >= 0 {
		r.canal = i
	}
	f := c.chair.Feel
	if f == nil {
		r.feel = feeling{}
		return
	}
	r.feel = feeling{known: true, item: f.Item, canal: max(0, r.canalNamed(f.Canal)), depth: f.Depth, stop: f.Stop, halt: f.Halt, loose: f.Loose, first: f.First, now: f.Now,
		says: f.Says, felt: f.Word}
}

// far returns the case as a class server shows it, nil where the tooth is on this machine.
func (r *treating) far() *farCase {
	if r.exam == nil {
		return nil
	}
	if f, ok := r.exam.sitting.(*farSitting); ok {
		return f.cases[r.examCase]
	}
	return nil
}

// actions returns what was done.
func (r *treating) actions() []treatment.Action {
	if c := r.far(); c != nil {
		return c.chair.Actions
	}
	return r.run.Actions()
}

// events returns what happened, as far as it is known here.
func (r *treating) events() []treatment.Event {
	if c := r.far(); c != nil {
		return c.events
	}
	return r.run.Events()
}
