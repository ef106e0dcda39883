package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// Between two visits: a tight temporary keeps bacteria out for the week it is good for and less from then on, half of
// one leaks more, none at all most; the dressing works meanwhile. Sources: protocol facts 4.6 [42] 3.5 mm, [42c] a
// week for premixed paste; limit case: nothing leaks under a tight one in three days.
func TestBetweenVisits(t *testing.T) {
	s := carved(t, 30, 0.06, 1)
	for i := range s.Canals[0].Flora {
		s.Canals[0].Flora[i] = 0.05
	}
	flora := func(depth, days int, dressing string) float64 {
		actions := []treatment.Action{{Do: treatment.Dress, Canal: "MB", Agent: dressing}}
		if depth > 0 {
			actions = append(actions, treatment.Action{Do: treatment.Temporise, Depth: depth})
		}
		return metric(t, run(t, s, append(actions, treatment.Action{Do: treatment.Return, Days: days})...), "flora_left_share")
	}
	near(t, "tight, three days", flora(4000, 3, "none"), 0.05, 1e-9)
	week, month, half, none := flora(4000, 7, "none"), flora(4000, 30, "none"), flora(1750, 7, "none"), flora(0, 7, "none")
	if !(week < month && week < half && half < none) {
		t.Errorf("bacteria: a week under a tight one %.3f, a month %.3f, a week under half of one %.3f, open %.3f", week, month, half, none)
	}
	if dressed := flora(4000, 7, "calcium-hydroxide"); dressed >= week {
		t.Errorf("dressed %.3f, left empty %.3f", dressed, week)
	}
}

// At the second visit the tooth is opened again: dam, numbness and temporary are gone, and what is done without a new
// dam is counted; a dressing that was not rinsed out keeps the sealer off the wall.
func TestSecondVisit(t *testing.T) {
	s := carved(t, 30, 0.06, 1.6)
	s = run(t, s, treatment.Action{Do: treatment.Dress, Canal: "MB", Agent: "calcium-hydroxide"}, treatment.Action{Do: treatment.Temporise, Depth: 4000},
		treatment.Action{Do: treatment.Return, Days: 7})
	if s.Isolated != 0 || s.Temporary != 0 || s.Exam.Numb {
		t.Errorf("dam on %d, %.1f mm of temporary, numb %t after the patient came back", s.Isolated, s.Temporary, s.Exam.Numb)
	}
	dam := treatment.Action{Do: treatment.Isolate, Tooth: 46, Tested: 1}
	before := figure(t, s, "bare_actions")
	near(t, "with a new dam", figure(t, run(t, s, dam, rinse(s)), "bare_actions")-before, 0, 0)
	near(t, "without", figure(t, run(t, s, rinse(s)), "bare_actions")-before, 1, 0)
	stop := short(s, 0.5)
	fill := []treatment.Action{{Do: treatment.Dry, Canal: "MB", Stop: stop, Count: 20}, {Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 8}}
	clean, dirty := metric(t, run(t, s, append([]treatment.Action{rinse(s)}, fill...)...), "fill_void_share"), metric(t, run(t, s, fill...), "fill_void_share")
	if dirty <= clean {
		t.Errorf("void: dressing left %.4f, rinsed out %.4f", dirty, clean)
	}
}
