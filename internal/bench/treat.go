package bench

import (
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// stage is one step of the procedure as the list on the left shows it, with what may be done in it.
type stage struct {
	name  string
	kinds []treatment.Kind
}

// stages are the steps in their usual order; shaping and rinsing are one, since they alternate.
func stages() []stage {
	return []stage{
		{"judge", []treatment.Kind{treatment.Judge, treatment.Radiograph, treatment.Test, treatment.Diagnose}},
		{"isolate", []treatment.Kind{treatment.Isolate, treatment.Prepare, treatment.Anaesthetise}},
		{"open", []treatment.Kind{treatment.Open}},
		{"find", []treatment.Kind{treatment.Find}},
		{"measure", []treatment.Kind{treatment.Measure, treatment.SetLength}},
		{"shape", []treatment.Kind{treatment.Work, treatment.Irrigate, treatment.Wipe, treatment.Bend, treatment.Retrieve, treatment.Gauge}},
		{"dry", []treatment.Kind{treatment.Dry, treatment.Dress, treatment.Temporise, treatment.Return}},
		{"fill", []treatment.Kind{treatment.Fit, treatment.Fill}},
		{"seal", []treatment.Kind{treatment.Seal, treatment.Restore}},
		{"review", []treatment.Kind{treatment.Review, treatment.Recall, treatment.Report, treatment.Wait}},
	}
}

// treating is the treatment on the bench.
type treating struct {
	index       int // case
	paper       attempt.Paper
	run         *attempt.Run
	states      []treatment.State // states[k] is the state after k actions
	stage       int
	kind        treatment.Kind
	canal       int
	forms       map[treatment.Kind]treatment.Action
	hold        holding
	feel        feeling
	section     bool
	hint        string
	stopped     string // why work that was repeated ended
	guided      bool   // advice after every act
	perceived   bool   // only what a person at the chair perceives is told
	words       bool   // told in words, so that no curve is drawn
	notes       []attempt.Note
	checkpoints []int
	film        filming
	live        bool       // a film of this moment stands in the middle
	zoom        float64    // how many times the plate is enlarged, 0 and 1 not
	lesson      *lesson    // the guided first case, else nil
	exam        *examining // the examination it is part of, nil in practice
	examCase    int
	lines       bool               // the face of text: films cannot be looked at, so their readings are told
	side        int                // what the right column shows where columns are folded
	aim         string             // what an authored drill is for
	memory      *treatment.Scratch // of the trials of work that is held
}

// begin starts the chosen case from nothing, with advice after every act when guided.
func (s *Session) begin(guided bool) {
	s.beginAs(s.chosen, []attempt.Note{{Kind: attempt.NoteSectionShown}})
	if guided {
		s.run.press(s, "guide", "")
	}
	s.open(TreatmentScreen)
	s.save()
}

// start lays a treatment on the bench and does the actions it begins with.
func (s *Session) start(index int, actions []treatment.Action, notes []attempt.Note) {
	s.startOn(s.cases[index].preview, index, actions, notes)
}

// startOn starts on a tooth of the case that was grown from a seed of its own.
func (s *Session) startOn(kase *treatment.Case, index int, actions []treatment.Action, notes []attempt.Note) {
	paper := attempt.Paper{Case: kase, Marker: s.cases[index].scenario.Marker()}
	r := &treating{index: index, paper: paper, section: true, notes: notes, lines: s.lines}
	r.forms = firstForms(kase)
	if d, drill := s.cases[index].scenario.Drill(); drill {
		r.aim = d.Goal
	}
	r.replay(actions)
	r.kind = stages()[0].kinds[0]
	r.settle()
	s.run, s.debrief = r, nil
}

// replay begins the run anew and does the actions, as far as they are allowed.
func (r *treating) replay(actions []treatment.Action) {
	r.run = attempt.Begin(r.paper)
	r.states = []treatment.State{r.run.State()}
	for _, a := range actions {
		if _, err := r.run.Do(a); err != nil {
			return
		}
		r.states = append(r.states, r.run.State())
	}
}

// settle takes up the thread after a replay: forms as last used, the stage of the last action, the canal
// worked in last.
func (r *treating) settle() {
	for _, a := range r.actions() {
		r.remember(a)
		if i := stageOf(a.Do); i >= 0 {
			r.stage, r.kind = i, a.Do
		}
		if i := r.canalNamed(a.Canal); i >= 0 {
			r.canal = i
		}
	}
	r.feel = feeling{}
}

func stageOf(k treatment.Kind) int {
	return slices.IndexFunc(stages(), func(s stage) bool { return slices.Contains(s.kinds, k) })
}

// canalNamed returns the place of a canal that can be named, −1 for none.
func (r *treating) canalNamed(name string) int {
	return slices.IndexFunc(r.now().Canals, func(c treatment.CanalState) bool { return c.Name == name && (c.Found || !r.perceived) })
}

// now returns the state as the student sees it: while the hand works, the state on trial.
func (r *treating) now() treatment.State {
	if r.hold.trial != nil {
		return *r.hold.trial
	}
	return r.states[len(r.states)-1]
}

// remember keeps an action as the form its kind begins with next time.
func (r *treating) remember(a treatment.Action) {
	if a.Do == treatment.Work {
		a.Strokes, a.Choice = 0, ""
	}
	a.Canal = ""
	r.forms[a.Do] = a
}

// do does an action, tells what happened and saves.
func (r *treating) do(s *Session, a treatment.Action) bool {
	why := r.objection(a)
	if why == "" {
		a, why = r.chairside(a)
	}
	if why != "" {
		s.refuse(why)
		return false
	}
	named := len(r.nameable())
	events, err := r.carryOut(a)
	if err != nil {
		s.refuse(plainRefusal(err))
		return false
	}
	r.advance()
	r.remember(a)
	s.notice, r.hint, r.stopped = "", "", ""
	for _, e := range events {
		text := r.told(e)
		s.speak(text)
		if faulty(e.Kind) && text != "" {
			s.notice = text
		}
	}
	r.turnToFound(a, named)
	r.felt(a, events)
	if r.guided {
		s.speak(r.advice())
	}
	r.taught(s, events)
	s.changed()
	s.save()
	return true
}

// advance takes the state up that an action left.
func (r *treating) advance() {
	if c := r.far(); c != nil {
		c.lay(r)
		return
	}
	r.states = append(r.states, r.run.State())
}

// carryOut does an action in the run, or in the sitting it belongs to, which keeps it before it counts.
func (r *treating) carryOut(a treatment.Action) ([]treatment.Event, error) {
	if r.exam != nil {
		return r.exam.do(r.examCase, a)
	}
	return r.run.Do(a)
}

// plainRefusal returns the reason of a refusal without the action's number and name.
func plainRefusal(err error) string {
	var refusal *treatment.Refusal
	if !errors.As(err, &refusal) {
		return err.Error()
	}
	text := refusal.Text
	if _, rest, found := strings.Cut(text, ": "); found {
		text = rest
	}
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// faulty reports whether a kind of event is a mishap.
func faulty(k treatment.EventKind) bool {
	for _, d := range treatment.EventKinds() {
		if d.Kind == k {
			return d.Fault
		}
	}
	return false
}

// saved is the run under way as the keeper gets it.
type saved struct {
	Format      int                `json:"format"`
	Engine      string             `json:"engine"`
	Scenario    string             `json:"scenario"`
	Digest      string             `json:"digest"`
	Seed        uint64             `json:"seed,string,omitempty"` // 0 that of the scenario
	Actions     []treatment.Action `json:"actions"`
	Checkpoints []int              `json:"checkpoints,omitempty"`
	Notes       []attempt.Note     `json:"notes,omitempty"`
	Lesson      int                `json:"lesson,omitempty"` // step of the guided first case, from 1; 0 none
}

// save hands the run under way to the keeper.
func (s *Session) save() {
	if s.keeper == nil || s.run == nil || s.run.exam != nil {
		return
	}
	c := s.run.paper.Case
	step := 0
	if l := s.run.lesson; l != nil {
		step = l.step + 1
	}
	data, err := json.Marshal(saved{1, treatment.Engine, c.Scenario, c.Digest, c.Seed, s.run.run.Actions(), s.run.checkpoints, s.run.notes, step})
	if err != nil {
		panic("bench: a run is not encoded: " + err.Error())
	}
	s.keeper.SaveCurrent(data)
}

// Elsewhere puts the treatment away, since another window or tab goes on with it, and says so; an examination
// stays on the bench. Checked by TestElsewhere.
func (s *Session) Elsewhere() {
	if s.exam != nil { // which is kept by itself
		s.exam.practice, s.debrief, s.current = nil, nil, nil
		return
	}
	s.run, s.debrief, s.current = nil, nil, nil
	s.open(ShelfScreen)
	s.refuse(say("treat.elsewhere"))
}

// resume goes back to the run under way: the one on the bench, or the one kept from before.
func (s *Session) resume() {
	if s.run == nil && !s.TakeUp(s.current) {
		return
	}
	s.open(TreatmentScreen)
	s.speak(say("treat.resumed", "count", strconv.Itoa(len(s.run.run.Actions()))))
}

// TakeUp lays a run on the bench as SaveCurrent got it and reports whether it is one of this program: one
// of another case or engine, or no run at all, is left alone. Actions that are refused end it where
// they stand. Checked by TestResume and FuzzTakeUp.
func (s *Session) TakeUp(data []byte) bool {
	var kept saved
	if len(data) == 0 || json.Unmarshal(data, &kept) != nil || kept.Engine != treatment.Engine || kept.Format != 1 {
		return false
	}
	for i, c := range s.cases {
		if c.scenario.Name() == kept.Scenario && c.preview.Digest == kept.Digest {
			kase := c.preview
			if kept.Seed != 0 && kept.Seed != kase.Seed {
				var err error
				if kase, err = c.scenario.Case(kept.Seed); err != nil {
					return false
				}
			}
			s.chosen = i
			s.startOn(kase, i, kept.Actions, slices.DeleteFunc(kept.Notes, func(n attempt.Note) bool { return n.Check() != nil }))
			s.run.takeUpLesson(s, kept.Lesson)
			s.run.checkpoints = slices.DeleteFunc(kept.Checkpoints, func(n int) bool { return n < 0 || n >= len(s.run.states) })
			return true
		}
	}
	return false
}

// press handles the controls of the treatment screen.
func (r *treating) press(s *Session, head, rest string) {
	if head == "stage" || head == "kind" {
		r.unhang()
	}
	if r.blocked(s, head) {
		return
	}
	switch head {
	case "film":
		r.pressFilm(s, rest)
	case "stage":
		n, _ := strconv.Atoi(rest) // the id was made here
		r.stage = min(max(n, 0), len(stages())-1)
		r.kind = stages()[r.stage].kinds[0]
		s.speak(say("stage." + stages()[r.stage].name))
	case "kind":
		r.kind = treatment.Kind(rest)
		s.speak(say("kind." + rest))
	case "canal":
		if i := r.canalNamed(rest); i >= 0 {
			r.canal = i
			r.feel = feeling{}
		}
	case "item":
		r.takeItem(rest)
	case "field":
		r.toggle(rest)
	case "go":
		r.act(s)
	case "repeat":
		r.repeat(s)
	case "section":
		r.section = !r.section
		r.note(onOff(r.section, attempt.NoteSectionShown, attempt.NoteSectionHidden))
		s.speak(r.plateSays())
		s.save()
	case "live":
		r.pressLive(s)
	case "closer":
		r.closer()
	case "hint":
		r.hint = r.advice()
		r.note(attempt.NoteHint)
		s.speak(r.hint)
		s.save()
	case "guide":
		r.guided = !r.guided
		r.note(onOff(r.guided, attempt.NoteGuideOn, attempt.NoteGuideOff))
		if r.guided {
			s.speak(r.advice())
		}
		s.save()
	case "side":
		r.side = 1 - r.side
	case "checkpoint":
		r.checkpoint(s)
	case "rewind":
		r.rewind(s)
	case "finish":
		s.finish()
	}
}

func onOff(state bool, on, off string) string {
	if state {
		return on
	}
	return off
}

func (r *treating) note(kind string) {
	r.notes = append(r.notes, attempt.Note{After: len(r.states) - 1, Kind: kind})
}

// act does what the form says.
func (r *treating) act(s *Session) {
	if r.kind == treatment.Work {
		s.Hold(true)
		s.Hold(false)
		return
	}
	a := r.action(r.kind)
	if r.do(s, a) && exposes(a) && (r.lesson == nil || r.lesson.now().name == "ruler") {
		r.hang(s, -1)
	}
}

// checkpoint marks the present moment as one to come back to.
func (r *treating) checkpoint(s *Session) {
	r.checkpoints = append(r.checkpoints, len(r.states)-1)
	s.speak(say("treat.checkpoint"))
	s.notice = say("treat.checkpoint")
	s.save()
}

// rewind goes back to the last checkpoint before the present moment. Practice only; it is noted.
func (r *treating) rewind(s *Session) {
	at := len(r.states) - 1
	for len(r.checkpoints) > 0 && r.checkpoints[len(r.checkpoints)-1] >= at {
		r.checkpoints = r.checkpoints[:len(r.checkpoints)-1]
	}
	if r.lesson != nil {
		s.refuse(say("lesson.nowind"))
		return
	}
	if len(r.checkpoints) == 0 {
		s.refuse(say("treat.nocheckpoint"))
		return
	}
	to := r.checkpoints[len(r.checkpoints)-1]
	r.backTo(to)
	r.notes = append(r.notes, attempt.Note{After: to, Kind: attempt.NoteRewind, From: at})
	s.notice = say("treat.rewound", "from", strconv.Itoa(at), "to", strconv.Itoa(to))
	s.speak(s.notice)
	s.save()
}

// backTo keeps only the first actions of the run.
func (r *treating) backTo(count int) {
	r.replay(r.run.Actions()[:count])
	r.settle()
}
