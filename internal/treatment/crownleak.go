package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// crownLeak returns the share of the starting bacteria that comes back from the mouth within days: none
// under a restoration on a tight barrier; through a thin barrier or a spoiled bond until the restoration
// is there, all the time without one that the tooth holds, beside a post that leaves too little filling, and
// along a crack that was let deepen. Checked by TestCrownLeak, TestCrackIsFoundOrDeepens.
func (s *State) crownLeak(days float64) float64 {
	around := s.Case.Settings.Around
	lacks := math.Max(0, 1-s.Barrier/math.Max(0.1, around.BarrierLeast))
	if s.Bond == "spoiled" {
		lacks = math.Max(lacks, around.Assumed.SpoiledBond)
	}
	exposed := math.Min(days, float64(s.RestoreDays))
	if !s.covered() {
		exposed = days
	}
	load := float64(exposed * math.Max(around.Assumed.BareLeak, float64(lacks*around.Assumed.OpenLeak)))
	if s.RestoreDays > 0 && exposed < days && lacks == 0 && exposed <= 30 {
		load = 0 // a tight barrier keeps for the weeks until the restoration
	}
	if s.PostLeaves > 0 && !around.PostTight(s.PostLeaves) {
		load += float64(float64(days*around.Assumed.OpenLeak) * (1 - s.PostLeaves/around.PostLeast))
	}
	load += float64(float64(days*around.Assumed.OpenLeak) * s.crackOpen(days))
	load += float64(float64(days*s.holeRate()) * s.holeLeak())
	return 1 - detmath.Exp(-load)
}

// leakFromCrown lets what came down from the mouth since the last recall reach the canals; it returns the
// whole share up to now.
func (t *turn) leakFromCrown(days float64) float64 {
	whole, before := t.crownLeak(days), t.crownLeak(float64(t.RecallDays))
	t.RecallDays = max(t.RecallDays, int(days))
	if whole <= before {
		return whole
	}
	back := (whole - before) / (1 - before)
	for i := range t.Canals {
		t.Canals[i] = t.Canals[i].clone()
		c := &t.Canals[i]
		for k := range c.Flora {
			c.Flora[k] += float64(back * (1 - c.Flora[k]))
		}
	}
	t.happen(Event{Kind: CrownLeaked, Value: back})
	return whole
}

// bond says what a barrier's bond is worth: nothing tried, bonded, or spoiled by sealer that was not
// cleaned off or by saliva.
func (t *turn) bond() {
	if t.action.Count == 0 {
		t.Bond = ""
		return
	}
	t.Bond = "bonded"
	why := ""
	switch {
	case t.action.Tested == 0:
		why = "sealer"
	case t.Isolated != t.Case.Number:
		why = "saliva"
	default:
		return
	}
	t.Bond = "spoiled"
	t.happen(Event{Kind: BondSpoiled, Detail: why})
}
