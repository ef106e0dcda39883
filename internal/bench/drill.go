package bench

import (
	"slices"
	"strings"

	"tugback/internal/treatment"
)

// drill is a treatment begun for the student, who takes it over at one step.
type drill struct {
	name    string
	of      string         // case
	at      treatment.Kind // the act that stands open
	prepare func(plan []treatment.Action) []treatment.Action
}

// drills are the short exercises, each from the instructor's plan of a case as far as the step.
func drills() []drill {
	before := func(what func(a treatment.Action) bool) func([]treatment.Action) []treatment.Action {
		return func(plan []treatment.Action) []treatment.Action {
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
// and pushed. That it cuts a ledge is the engine's doing; TestDrills looks that it still does.
func ledged(plan []treatment.Action) []treatment.Action {
	n := slices.IndexFunc(plan, func(a treatment.Action) bool { return a.Do == treatment.SetLength })
	if n < 0 {
		return nil
	}
	length := plan[n]
	return append(slices.Clone(plan[:n+1]), treatment.Action{Do: treatment.Work, Canal: length.Canal, Item: "hand-steel-35.02",
		Motion: "quarter-turn-pull", Stop: length.Stop, Push: 5000, Strokes: 40})
}

// drillNote marks a run as a drill in its notes.
const drillNote = "drill: "

// beginDrill lays a prepared treatment on the bench.
func (s *Session) beginDrill(name string) {
	for _, d := range drills() {
		index := slices.IndexFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == d.of })
		if d.name != name || index < 0 {
			continue
		}
		s.chosen = index
		s.start(index, d.prepare(s.cases[index].plan), []Note{{What: drillNote + name}})
		r := s.run
		forms := firstForms(r.paper.Case) // what the plan's stops were set to is for the student to find
		forms[treatment.Wipe] = r.forms[treatment.Wipe]
		r.forms = forms
		r.stage, r.kind = stageOf(d.at), d.at
		s.open(TreatmentScreen)
		s.speak(r.goal())
		s.save()
	}
}

// goal returns what a drill is for, "" for a whole treatment.
func (r *treating) goal() string {
	for _, n := range r.notes {
		if name, ok := strings.CutPrefix(n.What, drillNote); ok {
			return sayOr("drill."+name+".goal", "")
		}
	}
	return ""
}

// drillBlocks offer the drills on the shelf, those whose case is there.
func (s *Session) drillBlocks() []Block {
	var list []Control
	for _, d := range drills() {
		if slices.ContainsFunc(s.cases, func(c shelved) bool { return c.scenario.Name() == d.of && len(c.plan) > 0 }) {
			list = append(list, Control{ID: "drill:" + d.name, Kind: Button, Label: say("drill." + d.name)})
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []Block{{Kind: Subhead, Text: say("drill.title"), Note: say("drill.note")}, controls(list...), {Kind: Gap}}
}
