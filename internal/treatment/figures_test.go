package treatment_test

import (
	"errors"
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/mechanics"
	"tugback/internal/treatment"
)

// refusal returns the rule that an action breaks, "" when it is allowed.
func refusal(s treatment.State, a treatment.Action) string {
	_, _, err := treatment.Step(s, a)
	var r *treatment.Refusal
	if errors.As(err, &r) {
		return r.Rule
	}
	return ""
}

// P9 in the treatment: a rinse against no back-pressure, as into a gel, comes out of 36 % of the canals
// prepared to size 35 and of 60 % of those to size 50; against 30 mmHg it comes out of none (P8). Source:
// Mitchell 2011, J Endod; ± 15 points for 150 canals and another needle.
func TestSeepInTreatment(t *testing.T) {
	share := func(size, back float64) float64 {
		s := carved(t, size, 0.06, 1)
		n, out := 150, 0
		for seed := range n {
			c := *s.Case
			c.Seed, c.Settings.Around.BackPressure = uint64(seed), back
			own := s
			own.Case = &c
			flush := rinse(own)
			flush.Item, flush.Volume, flush.Flow, flush.Stop = "needle-30-open", 5000, 100, int(1000*(s.Canals[0].Foramen()-1))
			if after := run(t, own, flush); after.Canals[0].Escaped > 0 {
				out++
			}
		}
		return float64(out) / float64(n)
	}
	small, large := share(35, 0), share(50, 0)
	near(t, "size 35", small, 0.36, 0.15)
	near(t, "size 50", large, 0.60, 0.15)
	if large <= small {
		t.Errorf("size 50 loses irrigant in %.2f of canals, size 35 in %.2f", large, small)
	}
}

// P24. A spreader that ends 1 mm or less short of the length fills the end better than one further off: the
// order that leaked less, a leakage convention. Source: Allison 1981, protocol facts [37].
func TestSpreaderDepth(t *testing.T) {
	last := -1.0
	for _, short := range []float64{1, 3, 6} {
		s := carved(t, 30, 0.06, 1.6)
		end := s.Canals[0].Foramen() - 0.5
		s = run(t, s,
			treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: int(1000 * end)},
			treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: int(1000 * (end - short)), Count: 8})
		void := metric(t, s, "void_apical_share")
		if void < last {
			t.Errorf("spreader %g mm short: apical void %.4f, nearer %.4f", short, void, last)
		}
		last = void
	}
	if last <= 0 {
		t.Error("a spreader 6 mm short leaves no void near the end")
	}
}

// P26. Core, sealer and void make up the whole: at every station (derived).
func TestFillSharesAddUp(t *testing.T) {
	s := carved(t, 30, 0.06, 1.6)
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	s = run(t, s,
		treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 8})
	for i, solid := range s.Canals[0].Fill.Solid {
		if paste := s.Canals[0].Fill.Paste[i]; solid < 0 || paste < 0 || solid+paste > 1+1e-9 {
			t.Fatalf("station %d: core %.4f and sealer %.4f leave a void below none", i, solid, paste)
		}
	}
}

// P30. The nearer the curve to the crown, the sooner a tapered file tires in it; a sharper radius and a larger
// angle shorten its life. Orders of protocol facts [39o] (60°, 3 mm radius) and [39p] (Pruett 1997); that
// speed does not count is mechanics' TestSpeed.
func TestCurvePlaceTires(t *testing.T) {
	life := func(apical, radius, angle float64) float64 {
		spec := anatomy.Spec{Kind: "upper-central-incisor", Noise: fixed(0), Length: fixed(23), Canals: []anatomy.CanalSpec{{Name: "canal",
			Angle: fixed(angle * math.Pi / 180), Radius: fixed(radius), Towards: "distal", ApicalStraight: fixed(apical)}}}
		grown, err := anatomy.Grow(spec, 3)
		if err != nil {
			t.Fatal(err)
		}
		c := &treatment.Case{Scenario: "test", Seed: 3, Number: 11, Tooth: grown, Settings: treatment.DefaultSettings()}
		s := run(t, treatment.Start(c),
			treatment.Action{Do: treatment.Open, Depth: 9000, Mesial: 1400, Distal: 1400, Buccal: 1200, Lingual: 1800, Choice: "round", Tested: 1},
			treatment.Action{Do: treatment.Find, Canal: "canal"})
		canal := &s.Canals[0]
		for i := canal.Space.Orifice; i <= canal.Space.Foramen; i++ {
			for side := range 4 {
				canal.Space.Wall[side][i] = 0.16 + 0.03*float64(canal.Space.Foramen-i)*canal.Space.Step
			}
		}
		s = run(t, s, treatment.Action{Do: treatment.Work, Canal: "canal", Item: "rotary-heat-25.06", Motion: "rotation",
			Stop: int(1000 * (canal.Foramen() - 0.5)), Push: 1000, Strokes: 1, Speed: 300, Torque: 20000})
		return mechanics.HeatTreated().Cycles(s.Tools[0].Peak)
	}
	for _, c := range []struct {
		name          string
		longer, worse [3]float64
	}{
		{"curve in the middle", [3]float64{1, 5, 40}, [3]float64{5, 5, 40}},
		{"radius", [3]float64{2, 8, 30}, [3]float64{2, 4, 30}},
		{"angle", [3]float64{2, 5, 15}, [3]float64{2, 5, 40}},
	} {
		a, b := life(c.longer[0], c.longer[1], c.longer[2]), life(c.worse[0], c.worse[1], c.worse[2])
		if b >= a {
			t.Errorf("%s: %.0f turns, should be below %.0f", c.name, b, a)
		}
	}
}

// Bad orders and impossible actions: a needle thicker than the orifice and a cone longer than the tooth are
// refused with the reason; a wet canal may be filled, as a real operator could, and the voids show it.
func TestBadOrders(t *testing.T) {
	s := carved(t, 30, 0.06, 1.6)
	narrow := carved(t, 10, 0.005, 1)
	thick := rinse(narrow)
	thick.Item = "needle-25-open"
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	for rule, got := range map[string]string{
		"needle-too-thick": refusal(narrow, thick),
		"cone-too-long":    refusal(s, treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: 39000}),
		"no-cone":          refusal(s, treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "epoxy-resin"}),
		"not-filled":       refusal(s, treatment.Action{Do: treatment.Seal, Length: 2000}),
		"not-sealed":       refusal(s, treatment.Action{Do: treatment.Restore, Choice: "direct"}),
	} {
		if got != rule {
			t.Errorf("refused by %q, want %q", got, rule)
		}
	}
	wet := run(t, s, rinse(s))
	_, dryVoid := fillWith(t, s, "cone-30.02", "cold-lateral")
	wet = run(t, wet, treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 8})
	if void := metric(t, wet, "fill_void_share"); void <= dryVoid {
		t.Errorf("filled wet: void %.4f, dry %.4f", void, dryVoid)
	}
}
