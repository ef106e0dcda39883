package bench

import (
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// beginAs lays a case on the bench as it begins: from nothing, or, when its instructor made a drill of it,
// with the drill's steps done. Checked by TestAuthoredDrill.
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
