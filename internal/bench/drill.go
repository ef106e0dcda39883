package bench

import (
	"slices"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// isDrill reports whether the case's instructor made a drill of it.
func (c *shelved) isDrill() bool {
	_, drill := c.scenario.Drill()
	return drill
}

// beginAs lays a case on the bench as it begins: from nothing, or, when its instructor made a drill of it,
// with the drill's steps done. Checked by TestDrills and TestAuthoredDrill.
func (s *Session) beginAs(index int, notes []attempt.Note) {
	var done []treatment.Action
	d, drill := s.cases[index].scenario.Drill()
	if drill {
		done = d.Steps
		name := s.cases[index].scenario.Name()
		notes = append(notes, attempt.Note{Kind: attempt.NoteDrill, Detail: name[:min(len(name), detailLimit)]})
	}
	s.start(index, done, notes)
	if drill {
		kind, _, _ := strings.Cut(d.Before, " ")
		s.run.handOver(treatment.Kind(kind))
		s.speak(s.run.goal())
	}
}

// handOver lays the first forms out, so that what the steps before were set to is for the student to find,
// and opens an act when there is one of the kind.
func (r *treating) handOver(at treatment.Kind) {
	forms := firstForms(r.paper.Case)
	forms[treatment.Wipe] = r.forms[treatment.Wipe]
	r.forms = forms
	if i := stageOf(at); i >= 0 {
		r.stage, r.kind = i, at
	}
}

// detailLimit is the most letters that the detail of a note holds.
const detailLimit = 40

// goal returns what a drill is for, "" for a whole treatment.
func (r *treating) goal() string {
	if r.lesson != nil {
		return r.lessonText()
	}
	return r.aim
}

// beginDrill lays a drill of the shelf on the bench.
func (s *Session) beginDrill(name string) {
	if i := slices.IndexFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == name }); i >= 0 {
		s.chosen = i
		s.begin(false)
	}
}

// drillBlocks offer the drills of the shelf.
func (s *Session) drillBlocks() []Block {
	var list []Control
	for _, c := range s.cases {
		if c.isDrill() {
			list = append(list, Control{ID: "drill:" + c.scenario.Name(), Kind: Button, Label: c.scenario.Title(), Detail: c.bestText("")})
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []Block{{Kind: Subhead, Text: say("drill.title"), Note: say("drill.note")}, controls(list...), {Kind: Gap}}
}

// bestText tells the best result of a case, or what stands for none.
func (c *shelved) bestText(none string) string {
	if c.best < 0 {
		return none
	}
	return say("shelf.best", "share", figure(100*c.best, 0))
}
