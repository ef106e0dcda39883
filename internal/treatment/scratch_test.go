package treatment_test

import (
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// TestScratchChangesNothing holds that actions done with one and the same working memory, in two treatments
// by turns, give the states that Step gives alone.
func TestScratchChangesNothing(t *testing.T) {
	memory := treatment.NewScratch()
	draw := detmath.NewStream(1, "scratch")
	var alone, shared [2]treatment.State
	for k := range alone {
		alone[k] = opened(t, molar(t, uint64(k+1), 35, 6))
		shared[k] = alone[k]
	}
	for n := range 24 {
		k := n % 2
		a := randomAction(&draw, alone[k])
		next, _, one := treatment.Step(alone[k], a)
		got, _, other := memory.Step(shared[k], a)
		if (one == nil) != (other == nil) {
			t.Fatalf("%s: %v alone, %v with memory", a.Do, one, other)
		}
		alone[k], shared[k] = next, got
		if detmath.Digest(next) != detmath.Digest(got) {
			t.Fatalf("treatment %d after action %d, %s %s: another state with memory", k, n, a.Do, a.Item)
		}
	}
}
