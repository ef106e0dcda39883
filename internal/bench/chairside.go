package bench

import (
	"slices"

	"tugback/internal/treatment"
)

// nameable returns the places of the canals that can be named: in practice all, in an examination those that
// were found, since how many a tooth has is for the candidate to find out.
func (r *treating) nameable() []int {
	var out []int
	for i, c := range r.now().Canals {
		if c.Found || !r.perceived {
			out = append(out, i)
		}
	}
	return out
}

// nameOf is how a canal is called where it is told of: one that was not found yet has no name in an examination.
func (r *treating) nameOf(name string) string {
	if name != "" && r.canalNamed(name) < 0 {
		return say("exam.thetooth")
	}
	return canalName(name)
}

// inHandName names the canal in hand.
func (r *treating) inHandName() string {
	if !slices.Contains(r.nameable(), r.canal) {
		return say("exam.nocanal")
	}
	return canalName(r.states[0].Canals[r.canal].Name)
}

// chairside returns an action as somebody can ask for it who does not know the tooth, or why it cannot be asked
// for. Practice takes any action as it is. In an examination the floor is probed, not a canal looked for by
// its name: what is found is the canal asked for if it lies open, else the first that does; where none does, the
// search takes its time and tells the same whether one is hidden there or none is. Nothing else can be done in a
// canal that was not found. Checked by TestExamNamesNoHiddenCanal.
func (r *treating) chairside(a treatment.Action) (fit treatment.Action, why string) {
	switch {
	case !r.perceived || r.far() != nil: // then the server says
	case a.Do == treatment.Find:
		a.Canal = r.probed(a)
	case needsCanal(a.Do) && r.canalNamed(a.Canal) < 0:
		return a, say("exam.notfound")
	case a.Canal != "" && r.canalNamed(a.Canal) < 0:
		a.Canal = ""
	}
	return a, ""
}

// probed returns the canal that a search of the floor comes upon.
func (r *treating) probed(a treatment.Action) string {
	now := r.states[len(r.states)-1]
	asked := slices.IndexFunc(now.Canals, func(c treatment.CanalState) bool { return c.Name == a.Canal })
	order := []int{}
	if asked >= 0 {
		order = append(order, asked)
	}
	for i := range now.Canals {
		order = append(order, i)
	}
	order = slices.DeleteFunc(order, func(i int) bool { return now.Canals[i].Found })
	for _, i := range order {
		a.Canal = now.Canals[i].Name
		_, events, err := treatment.Step(now, a)
		if err == nil && slices.ContainsFunc(events, func(e treatment.Event) bool { return e.Kind == treatment.Located }) {
			return a.Canal
		}
	}
	if len(order) > 0 {
		return now.Canals[order[0]].Name
	}
	for _, c := range now.Canals {
		if c.Fill.Technique == "" {
			return c.Name
		}
	}
	return now.Canals[0].Name
}

// searched tells what a search of the floor found in an examination; ok is false for other events.
func (r *treating) searched(e treatment.Event) (text string, ok bool) {
	if !r.perceived || e.Kind != treatment.Located && e.Kind != treatment.NotFound {
		return "", false
	}
	i := slices.IndexFunc(r.states[0].Canals, func(c treatment.CanalState) bool { return c.Name == e.Canal })
	before := r.states[min(e.Action, len(r.states)-1)]
	if e.Kind == treatment.NotFound || before.Canals[i].Found {
		return say("exam.nofurther"), true
	}
	return "", false
}

// turnToFound takes in hand what a search has found; before is how many canals could be named until then.
func (r *treating) turnToFound(a treatment.Action, before int) {
	list := r.nameable()
	switch {
	case !r.perceived || a.Do != treatment.Find || len(list) == before:
	case r.far() != nil: // in the order in which they were found
		r.canal = list[len(list)-1]
	default:
		r.canal = r.canalNamed(a.Canal)
	}
}

// filmed reports whether what a film measures of a canal may be told in words: where canals are not found yet, of
// one of them alone, so that their number is not told.
func (r *treating) filmed(e treatment.Event) bool {
	return r.canalNamed(e.Canal) >= 0 || e.Canal == r.states[0].Canals[0].Name
}

// actionSays says an action as a line of the record holds it.
func (r *treating) actionSays(a treatment.Action) string {
	if r.perceived {
		return examAction(a)
	}
	return actionText(a)
}

// examAction says an action of an examination as a line of the record holds it: a search names no canal.
func examAction(a treatment.Action) string {
	if a.Do == treatment.Find {
		a.Canal = say("exam.acanal")
	}
	return actionText(a)
}
