package trial_test

import (
	"math"
	"testing"

	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// TestTurnScatters: the turn of a hand scatters as its push does, about what its motion asks for and as much back as
// forward, more in an unsteady hand than in a steady one; a motor's file is not turned by hand (derived).
func TestTurnScatters(t *testing.T) {
	s := specimen.Scenario(t, "lower-premolar")
	spread := func(name string) float64 {
		o := operator(t, name)
		var sum, square, n float64
		for k := range 4 {
			seed := trial.CaseSeed(3, k)
			c, err := s.Case(seed)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range trial.Treat(c, o, seed).Actions {
				if a.Do != treatment.Work || a.Motion == "brushing" {
					continue
				}
				forward, back := treatment.Turns(a.Motion)
				if forward == 0 || a.Motion == "rotation" {
					if a.Forward != 0 || a.Back != 0 {
						t.Errorf("%s turns %s by %d and %d", name, a.Motion, a.Forward, a.Back)
					}
					continue
				}
				share := float64(a.Forward) / float64(forward)
				if math.Abs(float64(a.Back)-share*float64(back)) > 1+float64(back)/float64(forward) {
					t.Errorf("%s: %s forward %d, back %d", name, a.Motion, a.Forward, a.Back)
				}
				sum, square, n = sum+math.Log(share), square+math.Log(share)*math.Log(share), n+1
			}
		}
		mean := sum / n
		sd := math.Sqrt(square/n - mean*mean)
		if math.Abs(mean) > 4*sd/math.Sqrt(n) || math.Abs(sd-o.ForceScatter) > 0.3*o.ForceScatter {
			t.Errorf("%s: turns scatter by %.3f about %.3f in %.0f actions, want %.2f about 0", name, sd, mean, n, o.ForceScatter)
		}
		return sd
	}
	if novice, careful := spread("novice"), spread("careful"); novice < 1.5*careful {
		t.Errorf("turns scatter by %.3f in a novice's hand, %.3f in a careful one", novice, careful)
	}
}
