package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// Every assumption of the procedure acts: changed by half, the figure it stands behind moves. Directions are those
// written beside each field: more of it, more bacteria, more void, more irrigant outside; a wet gap that yields more
// leaves less void; each fault takes more of a repair's seal.
func TestAssumptionsMatter(t *testing.T) {
	with := func(s treatment.State, change func(*treatment.Assumptions)) treatment.State {
		c := *s.Case
		if change != nil {
			change(&c.Settings.Around.Assumed)
		}
		s.Case = &c
		return s
	}
	fit := func(s treatment.State) []treatment.Action {
		return []treatment.Action{{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: short(s, 0.5)},
			{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: short(s, 1.5), Count: 8}}
	}
	void := func(before ...treatment.Action) func(treatment.State) float64 {
		return func(s treatment.State) float64 {
			return metric(t, run(t, s, append(before, fit(s)...)...), "fill_void_share")
		}
	}
	oval := carved(t, 30, 0.06, 1.6)
	wet := oval
	wet.Canals = append([]treatment.CanalState(nil), oval.Canals...)
	wet.Canals[0].Wet = 6
	seep := func(s treatment.State) float64 { return run(t, s, rinse(s)).Canals[0].Escaped }
	plug := func(before ...treatment.Action) func(treatment.State) float64 {
		return func(s treatment.State) float64 { return -run(t, s, append(before, repair)...).Holes.Plug }
	}
	flora := func(actions ...treatment.Action) func(treatment.State) float64 {
		return func(s treatment.State) float64 { return metric(t, run(t, s, actions...), "flora_left_share") }
	}
	recall := treatment.Action{Do: treatment.Recall, Days: 365}
	seal := func(length, cleaned int, choice string) []treatment.Action {
		return append(fit(oval), treatment.Action{Do: treatment.Seal, Length: length, Tested: cleaned, Count: 1},
			treatment.Action{Do: treatment.Restore, Choice: choice, Days: 14}, recall)
	}
	cracked := finished(t, treatment.Findings{Crack: true}, treatment.Action{Do: treatment.Restore, Choice: "cuspal-cover", Days: 14})
	clean := with(oval, nil)
	clean.Canals = append([]treatment.CanalState(nil), oval.Canals...)
	clean.Canals[0].Flora = make([]float64, len(oval.Canals[0].Flora))
	lesion := with(clean, nil)
	lesion.Canals = append([]treatment.CanalState(nil), clean.Canals...)
	lesion.Case.Lesion = true
	lesion.Canals[0].Flora = make([]float64, len(oval.Canals[0].Flora))
	for i := range lesion.Canals[0].Flora {
		lesion.Canals[0].Flora[i] = 0.1
	}
	for _, c := range []struct {
		name   string
		state  treatment.State
		more   func(*treatment.Assumptions)
		figure func(treatment.State) float64
	}{
		{"dressing left", oval, func(a *treatment.Assumptions) { a.DressingLeft *= 1.5 },
			void(treatment.Action{Do: treatment.Dress, Canal: "MB", Agent: "calcium-hydroxide", Days: 7})},
		{"wet gap", wet, func(a *treatment.Assumptions) { a.WetGap /= 2 }, void()},
		{"hole's seep", pierced(t, true, 0, 0), func(a *treatment.Assumptions) { a.HoleSeep *= 1.5 }, seep},
		{"repair's faults", pierced(t, true, 0, 0), func(a *treatment.Assumptions) { a.RepairFault *= 1.5 }, plug(quiet)},
		{"blood", pierced(t, false, 6, 0.5), func(a *treatment.Assumptions) { a.RepairBlood *= 1.5 }, plug()},
		{"crack", cracked, func(a *treatment.Assumptions) { a.CrackRate *= 1.5 },
			func(s treatment.State) float64 {
				return figure(t, run(t, s, treatment.Action{Do: treatment.Recall, Days: 12}), "crack_share")
			}},
		{"open filling", clean, func(a *treatment.Assumptions) { a.OpenLeak *= 1.5 }, flora(seal(500, 1, "none")...)},
		{"bare barrier", clean, func(a *treatment.Assumptions) { a.BareLeak *= 1.5 }, flora(seal(3000, 1, "none")...)},
		{"spoiled bond", clean, func(a *treatment.Assumptions) { a.SpoiledBond *= 1.5 }, flora(seal(3000, 0, "direct")...)},
		{"thin temporary", clean, func(a *treatment.Assumptions) { a.TemporaryGap *= 1.5 },
			flora(treatment.Action{Do: treatment.Temporise, Depth: 2000}, treatment.Action{Do: treatment.Return, Days: 5})},
		{"empty canal", lesion, func(a *treatment.Assumptions) { a.Regrowth *= 1.5 },
			flora(treatment.Action{Do: treatment.Temporise, Depth: 4000}, treatment.Action{Do: treatment.Return, Days: 5})},
	} {
		was, now := c.figure(with(c.state, nil)), c.figure(with(c.state, c.more))
		if !(now > was+1e-6) {
			t.Errorf("%s: %.6f, with more of it %.6f", c.name, was, now)
		}
	}
}
