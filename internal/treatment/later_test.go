package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// Cutting the cusp moves the reference point: the length in the mouth is what it was, the same file reads it
// shorter by the cut, and a stop left where it was sends the file deeper by the cut. Expected: derived.
func TestCuspCutMovesReference(t *testing.T) {
	s := carved(t, 30, 0.06, 1)
	s.Case.Settings.LocatorError = 0
	end := s.Canals[0].Foramen()
	cut := treatment.Action{Do: treatment.Prepare, Choice: "cusp-cut", Depth: 1500}
	reach := func(s treatment.State, stop float64) float64 {
		after := run(t, s, treatment.Action{Do: treatment.Work, Canal: "MB", Item: "hand-steel-10.02", Motion: "watch-winding", Stop: int(1000 * stop), Push: 500, Strokes: 1})
		return after.Canals[0].Deepest
	}
	lower := run(t, s, cut)
	near(t, "the same place", reach(lower, end-4.5), reach(s, end-3), 0.02)
	near(t, "too deep by the cut", reach(lower, end-3)-reach(s, end-3), 1.5, 0.02)
	set := treatment.Action{Do: treatment.SetLength, Canal: "MB", Stop: int(1000 * (end - 2))}
	near(t, "error of the length", metric(t, run(t, lower, set), "length_error_mm")-metric(t, run(t, s, set), "length_error_mm"), 1.5, 1e-6)
	_, events := runEvents(t, lower, set)
	near(t, "as it was said", events[0].Value, end-2, 0.002)
	if refusal(s, treatment.Action{Do: treatment.Prepare, Choice: "cusp-cut"}) != "no-cut" {
		t.Error("a cut of no height was not refused")
	}
}

// sealed returns a filled case with a barrier and a restoration.
func sealed(t *testing.T, seal, restore treatment.Action) treatment.State {
	t.Helper()
	s := carved(t, 30, 0.06, 1.6)
	for i := range s.Canals[0].Flora {
		s.Canals[0].Flora[i] = 0.02
	}
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	return run(t, s,
		treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 8}, seal, restore)
}

// What comes down from the mouth until the recall: nothing under a tight barrier and a crown placed in two
// weeks; more without a restoration, through a thin barrier, over an unclean floor and beside a post that
// leaves 2 mm. Orders: protocol facts 4.6 [40b], [45], [45b], leakage conventions.
func TestCrownLeak(t *testing.T) {
	tight := treatment.Action{Do: treatment.Seal, Length: 3000, Tested: 1, Count: 1}
	thin, unclean := tight, tight
	thin.Length, unclean.Tested = 1000, 0
	soon := treatment.Action{Do: treatment.Restore, Choice: "crown", Days: 14}
	late, none, post := soon, soon, soon
	late.Days, none.Choice, post.Depth = 180, "none", 2000
	flora := func(seal, restore treatment.Action) (before, after float64) {
		s := sealed(t, seal, restore)
		return metric(t, s, "flora_left_share"), metric(t, run(t, s, treatment.Action{Do: treatment.Recall, Days: 365}), "flora_left_share")
	}
	before, best := flora(tight, soon)
	near(t, "tight and soon", best, before, 1e-9)
	for name, pair := range map[string][2]treatment.Action{"thin": {thin, late}, "unclean": {unclean, late}, "none": {tight, none}, "post": {tight, post}} {
		if _, after := flora(pair[0], pair[1]); after <= best {
			t.Errorf("%s: %.3f of the bacteria, tight and soon %.3f", name, after, best)
		}
	}
	if s := sealed(t, tight, soon); s.Bond != "bonded" {
		t.Errorf("a clean, isolated chamber: bond %q", s.Bond)
	}
}

// A perforation wants a decision: told is enough, since a student refers; leaving it is not; a repair closes
// it for the locator; referring ends the treatment here.
func TestPerforationDecided(t *testing.T) {
	s := carved(t, 30, 0.06, 1)
	s.Access.Through, s.Access.Sideways = false, false
	told := treatment.Action{Do: treatment.Report, Choice: "perforation"}
	refer, leave, repair := told, told, told
	refer.Agent, leave.Agent, repair.Agent = "refer", "leave", "repair"
	if refusal(s, repair) != "no-perforation" {
		t.Error("no hole, and the repair was not refused")
	}
	s.Canals[0].Perforation = &treatment.Perforation{S: s.Canals[0].Foramen() - 3, Wall: 1, Kind: "strip"}
	decided := func(s treatment.State) bool {
		v, _ := treatment.MeasureOutcome(s).Value("perforation_decided", "")
		return v == 1
	}
	for _, c := range []struct {
		name string
		s    treatment.State
		want bool
	}{{"silent", s, false}, {"told", run(t, s, told), true}, {"referred", run(t, s, refer), true}, {"left", run(t, s, leave), false}, {"repaired", run(t, s, repair), true}} {
		if decided(c.s) != c.want {
			t.Errorf("%s: decided %t", c.name, !c.want)
		}
	}
	if refusal(run(t, s, refer), rinse(s)) != "referred" {
		t.Error("the treatment went on after it was referred")
	}
	read := treatment.Action{Do: treatment.Measure, Canal: "MB", Choice: "locator", Item: "hand-steel-20.02"}
	wet := run(t, s, rinse(s))
	hole, closed := run(t, wet, read).Canals[0].Reading, run(t, wet, repair, read).Canals[0].Reading
	if closed <= hole+1 {
		t.Errorf("the locator reads %.1f mm with the hole, %.1f mm after its repair", hole, closed)
	}
}
