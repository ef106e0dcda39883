package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// TestGougeEnds: a tip that is held against a face digs a pocket hardly deeper than itself is thick, since it sweeps
// no more than that round where it lies, and a hard push digs it no deeper than a firm one (derived; without that
// bound 12 N dig 0.98 mm with a size 25).
func TestGougeEnds(t *testing.T) {
	dug := func(push float64) float64 {
		s := treatment.StartBlock(block(40, 6, 0), treatment.DefaultSettings(), 1)
		deepest := 0.0
		for _, id := range []string{"hand-steel-15.02", "hand-steel-20.02", "hand-steel-25.02"} {
			for range 8 {
				a := file(s, id, "quarter-turn-pull", 0.5, push, 5)
				a.Canal = treatment.BlockCanal
				var events []treatment.Event
				s, events = runEvents(t, s, a, treatment.Action{Do: treatment.Wipe, Item: id})
				for _, e := range events {
					if e.Kind == treatment.Ledge {
						deepest = max(deepest, e.Value)
					}
				}
			}
		}
		return deepest
	}
	firm, hard := dug(3), dug(12)
	t.Logf("ledge of %.2f mm at 3 N, %.2f mm at 12 N", firm, hard)
	if firm < 0.1 || hard > 0.25*1.6 || hard > 1.5*firm {
		t.Errorf("ledge of %.2f mm at 3 N, %.2f mm at 12 N", firm, hard)
	}
}
