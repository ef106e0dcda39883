package treatment_test

import (
	"reflect"
	"testing"

	"tugback/internal/treatment"
)

// Every assumption of the procedure acts: changed by half, the figure it stands behind moves, and every field of
// Assumptions is changed. Directions are those written beside each field: more of it, more bacteria, more void, more
// irrigant outside; a wet gap that yields more leaves less void, and so does a thicker coat of sealer; from a
// smaller volume on irrigant outside is an accident (here a hundredth); each fault takes more of a repair's seal.
func TestAssumptionsMatter(t *testing.T) {
	with := func(s treatment.State, change func(*treatment.Parameters)) treatment.State {
		c := *s.Case
		if change != nil {
			change(&c.Settings.Around)
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
	left := reflect.TypeFor[treatment.Assumptions]().NumField()
	for _, c := range []struct {
		name   string
		state  treatment.State
		more   func(*treatment.Parameters)
		figure func(treatment.State) float64
	}{
		{"dressing left", oval, func(p *treatment.Parameters) { p.Assumed.DressingLeft *= 1.5 },
			void(treatment.Action{Do: treatment.Dress, Canal: "MB", Agent: "calcium-hydroxide", Days: 7})},
		{"sealer's coat", oval, func(p *treatment.Parameters) { p.SealerCoat /= 2 }, func(s treatment.State) float64 {
			return metric(t, run(t, s, fit(s)[0], treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "epoxy-resin", Motion: "cone"}), "fill_void_share")
		}},
		{"accident's volume", pierced(t, true, 0, 0), func(p *treatment.Parameters) { p.Accident /= 100 },
			func(s treatment.State) float64 { return float64(len(run(t, s, rinse(s)).Mishaps)) }},
		{"tests together", carved(t, 30, 0.06, 1), func(p *treatment.Parameters) { p.TestsTogether *= 1.5 }, bothWrong(t)},
		{"wet gap", wet, func(p *treatment.Parameters) { p.Assumed.WetGap /= 2 }, void()},
		{"hole's seep", pierced(t, true, 0, 0), func(p *treatment.Parameters) { p.Assumed.HoleSeep *= 1.5 }, seep},
		{"repair's faults", pierced(t, true, 0, 0), func(p *treatment.Parameters) { p.Assumed.RepairFault *= 1.5 }, plug(quiet)},
		{"blood", pierced(t, false, 6, 0.5), func(p *treatment.Parameters) { p.Assumed.RepairBlood *= 1.5 }, plug()},
		{"crack", cracked, func(p *treatment.Parameters) { p.Assumed.CrackRate *= 1.5 },
			func(s treatment.State) float64 {
				return figure(t, run(t, s, treatment.Action{Do: treatment.Recall, Days: 12}), "crack_share")
			}},
		{"open filling", clean, func(p *treatment.Parameters) { p.Assumed.OpenLeak *= 1.5 }, flora(seal(500, 1, "none")...)},
		{"bare barrier", clean, func(p *treatment.Parameters) { p.Assumed.BareLeak *= 1.5 }, flora(seal(3000, 1, "none")...)},
		{"spoiled bond", clean, func(p *treatment.Parameters) { p.Assumed.SpoiledBond *= 1.5 }, flora(seal(3000, 0, "direct")...)},
		{"thin temporary", clean, func(p *treatment.Parameters) { p.Assumed.TemporaryGap *= 1.5 },
			flora(treatment.Action{Do: treatment.Temporise, Depth: 2000}, treatment.Action{Do: treatment.Return, Days: 5})},
		{"empty canal", lesion, func(p *treatment.Parameters) { p.Assumed.Regrowth *= 1.5 },
			flora(treatment.Action{Do: treatment.Temporise, Depth: 4000}, treatment.Action{Do: treatment.Return, Days: 5})},
	} {
		changed := treatment.DefaultParameters()
		if c.more(&changed); changed.Assumed != treatment.DefaultParameters().Assumed {
			left--
		}
		was, now := c.figure(with(c.state, nil)), c.figure(with(c.state, c.more))
		if !(now > was+1e-6) {
			t.Errorf("%s: %.6f, with more of it %.6f", c.name, was, now)
		}
	}
	if left != 0 {
		t.Errorf("%d assumptions are not changed here", left)
	}
}

// bothWrong returns the share of seeds with which cold and heat both say of a living pulp that it is dead.
func bothWrong(t *testing.T) func(treatment.State) float64 {
	return func(s treatment.State) (share float64) {
		s.Access.Opened = false
		for seed := range uint64(400) {
			c := *s.Case
			c.Seed, c.Vital, s.Case = seed, true, &c
			_, events := runEvents(t, s, treatment.Action{Do: treatment.Test, Choice: "cold"}, treatment.Action{Do: treatment.Test, Choice: "heat"})
			if events[0].Detail == "none" && events[1].Detail == "none" {
				share += 1.0 / 400
			}
		}
		return share
	}
}
