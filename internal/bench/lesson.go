package bench

import (
	"math"
	"slices"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// LessonCase is the case the guided first case is on.
const LessonCase = "upper-central-incisor"

// lessonName is the name of the guided first case in notes.
const lessonName = "first-case"

// teaching is one step of the guided first case: it teaches one thing, the rest is done for the student
// from the instructor's plan.
type teaching struct {
	name string
	does treatment.Kind // "" a measure on the film, or the end
	at   func(a treatment.Action) bool
	set  func(r *treating, a *treatment.Action)             // how the form stands at first
	slip func(r *treating, a treatment.Action) string       // what is amiss with the action, a text's key
	next func(r *treating) string                           // control to use, "" the main act
	done func(r *treating, events []treatment.Event) string // what is still missing, a text's key
}

// lesson is a guided first case under way.
type lesson struct {
	step int // index in teachings
	plan []treatment.Action
	from []int // index in plan of the action of each step; that of the one before where there is none
}

// happened reports whether an event of a kind is among some.
func happened(events []treatment.Event, k treatment.EventKind, detail string) bool {
	return slices.ContainsFunc(events, func(e treatment.Event) bool { return e.Kind == k && (detail == "" || e.Detail == detail) })
}

// teachings are the steps of the first case in their order.
func teachings() []teaching {
	is := func(k treatment.Kind) func(treatment.Action) bool {
		return func(a treatment.Action) bool { return a.Do == k }
	}
	flagged := func(key string, on func(a treatment.Action) bool) func(r *treating) string {
		return func(r *treating) string {
			if on(r.forms[r.kind]) {
				return ""
			}
			return "field:" + key
		}
	}
	tested := func(a treatment.Action) bool { return a.Tested != 0 }
	return []teaching{
		{name: "film", does: treatment.Radiograph, at: is(treatment.Radiograph)},
		{name: "ruler", next: rulerNext},
		{name: "isolate", does: treatment.Isolate, at: is(treatment.Isolate), next: flagged("tested", tested),
			set: func(_ *treating, a *treatment.Action) { a.Tested = 0 },
			slip: func(r *treating, a treatment.Action) string {
				switch {
				case a.Tooth != r.paper.Case.Number:
					return "isolate.tooth"
				case !tested(a):
					return "isolate.untested"
				}
				return ""
			}},
		{name: "open", does: treatment.Open, at: is(treatment.Open), next: flagged("deroofed", tested),
			set: func(_ *treating, a *treatment.Action) { a.Tested = 0 },
			slip: func(_ *treating, a treatment.Action) string {
				if !tested(a) {
					return "open.roof"
				}
				return ""
			}},
		{name: "find", does: treatment.Find, at: is(treatment.Find)},
		{name: "work", does: treatment.Work, at: is(treatment.Work), slip: sameTool, done: untilLoose},
		{name: "locator", does: treatment.Measure, at: func(a treatment.Action) bool { return a.Do == treatment.Measure && a.Choice == "locator" }, slip: byLocator},
		{name: "length", does: treatment.SetLength, at: is(treatment.SetLength), set: func(_ *treating, a *treatment.Action) { a.Stop = 20000 }, slip: lengthSlip, next: lengthNext},
		{name: "rinse", does: treatment.Irrigate, at: func(a treatment.Action) bool { return a.Do == treatment.Irrigate && a.Stop > lessonRinse }, slip: freeNeedle},
		{name: "gauge", does: treatment.Gauge, at: is(treatment.Gauge), slip: sameTool},
		{name: "dry", does: treatment.Dry, at: is(treatment.Dry)},
		{name: "fit", does: treatment.Fit, at: is(treatment.Fit), set: func(_ *treating, a *treatment.Action) { a.Item = "cone-40.04" }, slip: sameTool},
		{name: "fill", does: treatment.Fill, at: is(treatment.Fill)},
		{name: "look", next: func(*treating) string { return "finish" }},
	}
}

// rulerNext leads through a measure on the film.
func rulerNext(r *treating) string {
	switch {
	case !r.film.on:
		return "film:hang"
	case len(r.film.marks) < 2:
		return "film:mark"
	}
	return "film:write"
}

// sameTool says that another instrument was taken than the step is about, or another stop.
func sameTool(r *treating, a treatment.Action) string {
	switch want := r.laidOut(); {
	case a.Item != want.Item:
		return "tool"
	case abs(a.Stop-want.Stop) > lessonStop:
		return "stop"
	}
	return ""
}

func byLocator(_ *treating, a treatment.Action) string {
	if a.Choice != "locator" {
		return "locator.other"
	}
	return ""
}

// How far the student may be from what a step asks for; common practice, no source.
const (
	lessonReach  = 0.75  // mm: first working length short of the reading
	lessonBeyond = 0.05  // mm: beyond it; half of the last figure a reading is told with
	lessonStop   = 250   // µm: a stop from where it was laid out, half a step of its slider
	lessonRuler  = 1.5   // mm: a length on the film from the true image, about a finger's unsteadiness at both ends
	lessonFree   = 1.0   // mm: the needle stays off the working length
	lessonRinse  = 18500 // µm: the plan's first rinse as deep as this is the one that is taught
)

// lengthSlip compares a length with what the locator read.
func lengthSlip(r *treating, a treatment.Action) string {
	switch off := float64(a.Stop)/1000 - (r.now().Canals[r.canal].Reading - r.now().CuspCut); {
	case off > lessonBeyond:
		return "length.long"
	case off < -lessonReach:
		return "length.short"
	}
	return ""
}

func lengthNext(r *treating) string {
	if lengthSlip(r, r.forms[treatment.SetLength]) != "" {
		return "field:stop"
	}
	return ""
}

// freeNeedle says that a needle would go too deep.
func freeNeedle(r *treating, a treatment.Action) string {
	switch {
	case float64(a.Stop)/1000 > r.now().Canals[r.canal].Length-lessonFree:
		return "rinse.deep"
	case a.Agent != "sodium-hypochlorite":
		return "rinse.agent"
	}
	return ""
}

func untilLoose(_ *treating, events []treatment.Event) string {
	if happened(events, treatment.Loose, "") {
		return ""
	}
	return "work.tight"
}

// now is the step in hand.
func (l *lesson) now() teaching { return teachings()[l.step] }

// asked is the plan's own action for the step in hand.
func (l *lesson) asked() treatment.Action { return l.plan[min(l.from[l.step], len(l.plan)-1)] }

// newLesson lays the steps along a plan; nil where the plan lacks one.
func newLesson(plan []treatment.Action) *lesson {
	l := &lesson{plan: plan}
	at := -1
	for _, t := range teachings() {
		switch {
		case t.at == nil && t.name == "look":
			at = len(plan)
		case t.at != nil:
			next := slices.IndexFunc(plan[at+1:], t.at)
			if next < 0 {
				return nil
			}
			at += 1 + next
		}
		l.from = append(l.from, at)
	}
	return l
}

// lessonCase returns the case of the guided first case, −1 where it is not on the shelf.
func (s *Session) lessonCase() int {
	return slices.IndexFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == LessonCase && newLesson(c.plan()) != nil })
}

// beginLesson lays the guided first case on the bench.
func (s *Session) beginLesson() {
	index := s.lessonCase()
	if index < 0 {
		return
	}
	s.chosen = index
	s.start(index, nil, []attempt.Note{{Kind: attempt.NoteSectionShown}, {Kind: attempt.NoteDrill, Detail: lessonName}})
	s.run.lesson = newLesson(s.cases[index].plan())
	s.open(TreatmentScreen)
	s.run.prepare(s, 0)
	s.save()
}

// lessonBlocks offer the guided first case: first of all on a shelf where nothing was done yet, later as one
// of the exercises.
func (s *Session) lessonBlocks() []Block {
	if s.lessonCase() < 0 {
		return nil
	}
	kind := Button
	if s.run == nil && !slices.ContainsFunc(s.cases, func(c shelved) bool { return len(c.earlier) > 0 }) {
		kind = Primary
	}
	blocks := []Block{controls(Control{ID: "lesson:first", Kind: kind, Label: say("lesson.offer"), Detail: say("lesson.time")})}
	if kind == Primary {
		blocks = append(blocks, Block{Kind: Quiet, Text: say("lesson.why")}, Block{Kind: Gap})
	}
	return blocks
}

// prepare does for the student what lies between the last step and this one, and lays the forms out.
func (r *treating) prepare(s *Session, step int) {
	l := r.lesson
	from := 0
	if step > 0 {
		from = l.from[step-1] + 1
	}
	for _, a := range l.plan[min(from, len(l.plan)):max(from, l.from[step])] {
		if _, err := r.run.Do(a); err != nil {
			continue // what the student did otherwise may have made it needless
		}
		r.states = append(r.states, r.run.State())
	}
	l.step = step
	if t := l.now(); t.does != "" || t.name == "look" {
		r.unhang()
	}
	if r.layOut() {
		r.feel = feeling{}
	}
	s.focus = r.lessonControl(s)
	s.toTop()
	s.changed()
	s.speak(r.lessonText())
}

// laidOut is the plan's own action for the step in hand as its form stands at first.
func (r *treating) laidOut() treatment.Action {
	a := r.lesson.asked()
	if set := r.lesson.now().set; set != nil {
		set(r, &a)
	}
	return a
}

// layOut opens the act of the step in hand with its form, and reports whether it has one.
func (r *treating) layOut() bool {
	t := r.lesson.now()
	if t.does == "" {
		return false
	}
	r.remember(r.laidOut())
	r.stage, r.kind = stageOf(t.does), t.does
	return true
}

// lessonText is what the step in hand asks for.
func (r *treating) lessonText() string {
	l := r.lesson
	return say("lesson.step", "number", strconv.Itoa(l.step+1), "of", strconv.Itoa(len(teachings())), "text", say("lesson."+l.now().name))
}

// lessonControl is the control to use now.
func (r *treating) lessonControl(s *Session) string {
	t := r.lesson.now()
	onPlace := t.does == "" || r.kind == t.does
	switch {
	case r.film.on && t.name != "ruler" && t.name != "film":
		return "film:close"
	case !onPlace && r.stage != stageOf(t.does) && (s.compact || s.folded):
		return "stages"
	case !onPlace && r.stage != stageOf(t.does):
		return "stage:" + strconv.Itoa(stageOf(t.does))
	case !onPlace:
		return "kind:" + string(t.does)
	case t.next != nil:
		if id := t.next(r); id != "" {
			return id
		}
	}
	return "go"
}

// objection says kindly why an action is not for now, "" when it is what the step asks for or there is no
// lesson.
func (r *treating) objection(a treatment.Action) string {
	if r.lesson == nil {
		return ""
	}
	t := r.lesson.now()
	if t.does != a.Do {
		return say("lesson.later", "why", sayOr("lesson.later."+string(a.Do), say("lesson.later.other")), "now", say("lesson."+t.name))
	}
	if t.slip != nil {
		if key := t.slip(r, a); key != "" {
			return say("lesson.slip." + key)
		}
	}
	return ""
}

// taught goes on with the lesson after an action that was done.
func (r *treating) taught(s *Session, events []treatment.Event) {
	if r.lesson == nil {
		return
	}
	if done := r.lesson.now().done; done != nil {
		if key := done(r, events); key != "" {
			s.notice = say("lesson.slip." + key)
			s.speak(s.notice)
			return
		}
	}
	s.notice = say("lesson.well." + r.lesson.now().name)
	s.speak(s.notice)
	step := r.lesson.step + 1
	if r.lines && teachings()[step].name == "ruler" {
		step++ // a film cannot be looked at where there is only text
	}
	r.prepare(s, step)
}

// measuredWell goes on with the lesson after a measure was written down.
func (r *treating) measuredWell(s *Session, mm float64) {
	if r.lesson == nil || r.lesson.now().name != "ruler" {
		return
	}
	films := r.films()
	state := r.states[len(r.states)-1]
	if len(films) == 0 || math.Abs(mm-state.ToothImage(r.canal, films[r.film.at].scene.Film.Beam)) > lessonRuler {
		s.notice = say("lesson.slip.ruler")
		s.speak(s.notice)
		return
	}
	r.taught(s, nil)
}

// takeUpLesson goes on with a lesson at a step, counted from 1; 0 is none.
func (r *treating) takeUpLesson(s *Session, step int) {
	if step < 1 || step > len(teachings()) || !isLesson(r.notes) {
		return
	}
	l := newLesson(s.cases[r.index].plan())
	if l == nil {
		return
	}
	r.lesson, l.step = l, step-1
	r.layOut()
}

func isLesson(notes []attempt.Note) bool {
	return slices.ContainsFunc(notes, func(n attempt.Note) bool { return n.Kind == attempt.NoteDrill && n.Detail == lessonName })
}

// followLesson gives the keyboard to the control the lesson points to, once the one it pointed to before was
// pressed.
func (s *Session) followLesson(pressed string) {
	if s.screen != TreatmentScreen || s.run == nil || s.run.lesson == nil {
		return
	}
	s.changed()
	if id := s.run.lessonControl(s); id != pressed && s.focus == pressed {
		s.focus = id
	}
}

// point marks the control to use next on a page; where columns are folded and it lies in the other one,
// that which turns to it.
func (p *Page) point(id string, folded bool) {
	if there := slices.ContainsFunc(p.Controls(), func(c Control) bool { return c.ID == id }); !there && folded {
		id = "side"
	}
	for _, blocks := range [][]Block{p.Left, p.Act, p.Right, p.Tell, p.Foot} {
		for _, b := range blocks {
			for i := range b.Controls {
				b.Controls[i].Next = b.Controls[i].Next || b.Controls[i].ID == id
			}
		}
	}
}
