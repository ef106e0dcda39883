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

// dryFiling files a dry canal with flutes nobody wipes.
func dryFiling(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	var actions []treatment.Action
	for _, id := range []string{"hand-h-15.02", "hand-h-20.02", "hand-h-25.02"} {
		a := file(s, id, "circumferential", 2, 4, 300)
		a.Press = 5000
		actions = append(actions, a, a)
	}
	return tale{s, actions}
}

// fragments try what a specialist and one without skill can do with a broken piece: pass it, remove it,
// leave it.
func fragments() []tale {
	skilled, clumsy := withPiece(2, 0.3), withPiece(1, 0.3)
	clumsy.Case.Settings.RemovalSkill = 0
	return []tale{
		{skilled, []treatment.Action{piece("bypass", "hand-steel-08.02"), piece("remove", "")}},
		{clumsy, []treatment.Action{piece("remove", ""), piece("leave", "")}},
	}
}

// irrigantAccidents wedges a needle in a straight canal, then floods it from an open end near the foramen.
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

// meetingLiquids lets chlorhexidine meet the traces of NaOCl that water left, and follows a long soak of EDTA
// with NaOCl.
func meetingLiquids(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	in := to(s)
	with := func(agent string, percent, volume, time int, short float64) treatment.Action {
		return in(treatment.Action{Do: treatment.Irrigate, Agent: agent, Percent: percent, Volume: volume, Flow: 33, Time: time, Item: "needle-30-side"}, short)
	}
	return tale{s, append(sequence(s, 25, "balanced-force", 2, 30),
		with("sodium-hypochlorite", 30, 1000, 0, 6), with("water", 0, 1000, 0, 3), with("chlorhexidine", 20, 1000, 0, 6),
		with("water", 0, 5000, 0, 3), with("edta", 170, 1000, 600_000, 3), with("sodium-hypochlorite", 50, 20000, 600_000, 1))}
}

// lockedAir files a straight canal through the foramen and dissolves the pulp there, then fills it again and
// again from afar after drying it.
func lockedAir(t *testing.T) tale {
	s := opened(t, molar(t, 3, 0, 0))
	in := to(s)
	var actions []treatment.Action
	for _, id := range []string{"hand-steel-15.02", "hand-steel-20.02", "hand-steel-25.02", "hand-steel-30.02", "hand-steel-35.02", "hand-steel-40.02"} {
		actions = append(actions, file(s, id, "quarter-turn-pull", -0.5, 4, 40), treatment.Action{Do: treatment.Wipe, Item: id})
	}
	actions = append(actions, in(treatment.Action{Do: treatment.Irrigate, Agent: "sodium-hypochlorite", Percent: 50, Volume: 10000,
		Flow: 67, Time: 600_000, Item: "needle-30-side"}, 0.3))
	for range 6 {
		actions = append(actions, in(treatment.Action{Do: treatment.Dry, Count: 10}, 0), rinse(s))
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

// examined tests, writes down a diagnosis, makes ready and gives an injection; the bur leans until it is
// through the side; after a thin temporary the patient comes back late.
func examined(t *testing.T) tale {
	open := treatment.Action{Do: treatment.Open, Depth: 7500, Mesial: 3000, Distal: 3000, Buccal: 3000, Lingual: 3000, Choice: "round", Tested: 1}
	wide, leaning, through := open, open, open
	wide.Depth, wide.Mesial, wide.Distal = 2000, 4200, 4200
	leaning.Angle = 100
	through.Angle = 300
	return tale{treatment.Start(molar(t, 3, 20, 10)), []treatment.Action{
		{Do: treatment.Test, Choice: "cold"},
		{Do: treatment.Diagnose, Choice: treatment.PulpTerms()[0], Agent: treatment.ApicalTerms()[0]},
		{Do: treatment.Prepare, Choice: "consent"}, {Do: treatment.Prepare, Choice: "files-in"},
		{Do: treatment.Anaesthetise, Choice: "block", Tested: 1},
		{Do: treatment.Isolate, Tooth: 46},
		wide, open, leaning, through,
		{Do: treatment.Temporise, Depth: 1000},
		{Do: treatment.Return, Days: 30},
	}}
}

// careless works long without dam, eyewear and labels.
func careless(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	s.Isolated, s.LeakTest = 0, false
	var actions []treatment.Action
	for range 200 {
		actions = append(actions, rinse(s), treatment.Action{Do: treatment.Measure, Canal: "MB", Choice: "touch", Item: "hand-steel-10.02"})
	}
	return tale{s, actions}
}
