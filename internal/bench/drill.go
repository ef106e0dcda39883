package bench

import (
	"slices"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// drill is a treatment begun for the student, who takes it over at one step.
type drill struct {
	name    string
	of      string         // case
	at      treatment.Kind // the act that stands open
	prepare func(p attempt.Paper, plan []treatment.Action) []treatment.Action
}

// drills are the short exercises, each from the instructor's plan of a case as far as the step.
func drills() []drill {
	before := func(what func(a treatment.Action) bool) func(attempt.Paper, []treatment.Action) []treatment.Action {
		return func(_ attempt.Paper, plan []treatment.Action) []treatment.Action {
			return plan[:max(0, slices.IndexFunc(plan, what))]
		}
	}
	return []drill{
		{"measure", "upper-lateral-incisor", treatment.Measure, before(func(a treatment.Action) bool { return a.Do == treatment.Measure })},
		{"ledge", "upper-lateral-incisor", treatment.Work, ledged},
		{"cone", "lower-premolar", treatment.Fit, before(func(a treatment.Action) bool { return a.Do == treatment.Fit })},
		{"needle", "lower-premolar", treatment.Irrigate, before(func(a treatment.Action) bool { return a.Do == treatment.Irrigate && a.Time > 0 })},
	}
}

// ledged returns a plan as far as its first working length, and then one file too many: stiff, straight
// and pushed, the first of some that cuts a ledge. Checked by TestDrills.
func ledged(p attempt.Paper, plan []treatment.Action) []treatment.Action {
	n := slices.IndexFunc(plan, func(a treatment.Action) bool { return a.Do == treatment.SetLength })
	if n < 0 {
		return nil
	}
	run, err := attempt.Treat(p, plan[:n+1])
	if err != nil {
		return nil
	}
	for _, item := range []string{"hand-steel-30.02", "hand-steel-35.02", "hand-steel-40.02"} {
		for _, motion := range []string{"watch-winding", "quarter-turn-pull", "push-pull"} {
			a := treatment.Action{Do: treatment.Work, Canal: plan[n].Canal, Item: item, Motion: motion, Stop: plan[n].Stop, Push: 3000, Strokes: mostStrokes}
			_, events, err := treatment.Step(run.State(), a)
			if err == nil && slices.ContainsFunc(events, func(e treatment.Event) bool { return e.Kind == treatment.Ledge }) {
				return append(slices.Clone(plan[:n+1]), a)
			}
		}
	}
	return nil
}

// beginDrill lays a prepared treatment on the bench.
func (s *Session) beginDrill(name string) {
	for _, d := range drills() {
		index := slices.IndexFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == d.of })
		if d.name != name || index < 0 {
			continue
		}
		s.chosen = index
		paper := attempt.Paper{Case: s.cases[index].preview, Marker: s.cases[index].scenario.Marker()}
		s.start(index, d.prepare(paper, s.cases[index].plan()), []attempt.Note{{Kind: attempt.NoteSectionShown}, {Kind: attempt.NoteDrill, Detail: name}})
		r := s.run
		r.handOver(d.at)
		s.open(TreatmentScreen)
		s.speak(r.goal())
		s.save()
	}
}

// goal returns what a drill is for, "" for a whole treatment.
func (r *treating) goal() string {
	if r.lesson != nil {
		return r.lessonText()
	}
	for _, n := range r.notes {
		switch {
		case n.Kind != attempt.NoteDrill:
		case r.aim != "":
			return r.aim
		default:
			return sayOr("drill."+n.Detail+".goal", "")
		}
	}
	return ""
}

// drillBlocks offer the drills on the shelf, those whose case is there.
func (s *Session) drillBlocks() []Block {
	var list []Control
	for _, d := range drills() {
		if slices.ContainsFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == d.of && c.planned }) {
			list = append(list, Control{ID: "drill:" + d.name, Kind: Button, Label: say("drill." + d.name)})
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []Block{{Kind: Subhead, Text: say("drill.title"), Note: say("drill.note")}, controls(list...), {Kind: Gap}}
}
