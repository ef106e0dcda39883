package treatment_test

import (
	"slices"
	"testing"

	"tugback/internal/treatment"
)

// to returns a function that turns an action to the MB canal and a stop short of its foramen, mm.
func to(s treatment.State) func(a treatment.Action, short float64) treatment.Action {
	return func(a treatment.Action, short float64) treatment.Action {
		a.Canal, a.Stop = "MB", int(1000*(s.Canals[0].Foramen()-short))
		return a
	}
}

// wideAngles turns a balanced force too far forward and too little back.
func wideAngles(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	a := file(s, "hand-flex-15.02", "balanced-force", 1, 2, 10)
	a.Forward, a.Back = 2700, 600
	return tale{s, []treatment.Action{a}}
}

// tornApex files a sharp bend with stiff steel at and past the foramen.
func tornApex(t *testing.T) tale {
	s := opened(t, molar(t, 3, 40, 5))
	var actions []treatment.Action
	for _, id := range []string{"hand-steel-10.02", "hand-steel-15.02", "hand-steel-20.02", "hand-steel-25.02", "hand-steel-30.02"} {
		actions = append(actions, file(s, id, "push-pull", -0.5, 6, 150), rinse(s), treatment.Action{Do: treatment.Wipe, Item: id})
	}
	return tale{s, actions}
}

// broken wears a file out in a bend and tries at its piece what an operator of a skill can do.
func broken(t *testing.T, skill float64, tries ...treatment.Action) tale {
	worn := wornOut(t)
	c := *worn.state.Case
	c.Settings.RemovalSkill = skill
	worn.state.Case = &c
	for _, try := range tries {
		try.Do, try.Canal = treatment.Retrieve, "MB"
		worn.actions = append(worn.actions, try)
	}
	return worn
}

// irrigantAccidents wedges a needle at the end of a straight canal, then floods it from an open end.
func irrigantAccidents(t *testing.T) tale {
	s := opened(t, molar(t, 3, 0, 0))
	in := to(s)
	needle := func(id string, flow int, short float64) treatment.Action {
		return in(treatment.Action{Do: treatment.Irrigate, Agent: "sodium-hypochlorite", Percent: 30, Volume: 2000, Flow: flow, Item: id}, short)
	}
	actions := []treatment.Action{needle("needle-27-open", 67, 0.2)}
	actions = append(actions, sequence(s, 40, "quarter-turn-pull", 2, 25)...)
	for _, flow := range []int{40, 80, 120, 160, 250} {
		actions = append(actions, needle("needle-30-open", flow, 1))
	}
	return tale{s, actions}
}

// meetingLiquids dries a canal and rinses it from afar, which locks air in; lets chlorhexidine meet the
// traces of NaOCl that water left; and follows a long soak of EDTA with NaOCl.
func meetingLiquids(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	in := to(s)
	with := func(agent string, percent, volume, time int, short float64) treatment.Action {
		return in(treatment.Action{Do: treatment.Irrigate, Agent: agent, Percent: percent, Volume: volume, Flow: 33, Time: time, Item: "needle-30-side"}, short)
	}
	actions := sequence(s, 30, "balanced-force", 2, 30)
	actions = append(actions,
		with("sodium-hypochlorite", 30, 1000, 0, 6), with("water", 0, 1000, 0, 3), with("chlorhexidine", 20, 1000, 0, 6),
		with("water", 0, 5000, 0, 3), with("edta", 170, 1000, 600_000, 3), with("sodium-hypochlorite", 50, 5000, 60_000, 3))
	for range 6 {
		actions = append(actions, in(treatment.Action{Do: treatment.Dry, Count: 10}, 0), with("sodium-hypochlorite", 30, 1000, 0, 6))
	}
	return tale{s, actions}
}

// fillings compact hard with the sealer needle at the foramen, and heat for too long.
func fillings(t *testing.T) []tale {
	s := opened(t, molar(t, 3, 20, 10))
	in := to(s)
	shaped := append(sequence(s, 25, "balanced-force", 2, 30), in(treatment.Action{Do: treatment.Fit, Item: "cone-25.02"}, 1))
	loaded := in(treatment.Action{Do: treatment.Fill, Choice: "cold-lateral", Agent: "epoxy-resin", Motion: "needle",
		Depth: int(1000 * s.Canals[0].Foramen()), Press: 30_000, Count: 6}, 2)
	heated := treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "warm-vertical", Agent: "epoxy-resin", Heat: 3000, Time: 20_000}
	return []tale{{s, append(slices.Clone(shaped), loaded)}, {s, append(shaped, heated)}}
}
