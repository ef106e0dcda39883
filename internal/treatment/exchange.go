package treatment

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// Jet is a free needle in a canal: what its flow does beyond the tip.
type Jet struct {
	Outer, Bore float64   // mm
	Vent        string    // open, side or notched
	Flow        float64   // ml/s
	Short       float64   // mm from the tip to the foramen
	Narrow      float64   // mm, narrower width 1 mm beyond the tip
	Gaps        []float64 // mm, mean width of the ring beside the needle, from the tip crownwards
	Step        float64   // mm between the gaps
}

// rinsing is 1 % NaOCl near 22 °C.
func rinsing() mechanics.Liquid { return mechanics.Liquid{Viscosity: viscosity, Density: density} }

// ventShare is the share of the jet that goes straight on: open end, a notched one weaker, a side vent
// weakest (order of Boutsioukis 2010, J Endod 36:875; sizes tuned, no source). P6 checks the order.
func ventShare(vent string) float64 {
	switch vent {
	case "open":
		return 1
	case "notched":
		return 0.5
	}
	return 0.2
}

// Pressure returns the pressure at the foramen, Pa: what drives the liquid back along the needle, and
// what is left there of the jet, which dies away over 0.8 mm (tuned: falls gradually with distance,
// Boutsioukis 2010). It grows faster than the flow, since the jet goes with its square. Published only
// as order and shape. Checked by TestApicalPressure (P6).
func (j Jet) Pressure() float64 {
	flow := float64(j.Flow * 1000)
	jet := float64(ventShare(j.Vent) * rinsing().Stagnation(flow, j.Bore))
	return rinsing().Return(flow, j.Outer, j.Gaps, j.Step) + float64(jet*detmath.Exp(-j.Short/0.8))
}

// Reach returns how far beyond the tip the liquid is renewed, mm: about 1.3 mm for a side vent, 2.4 mm
// for an open end, 1.8 mm for a notched one in a canal of size 45 taper .06 at 0.26 ml/s (Boutsioukis
// 2010, J Endod 36:1664 and 36:875), less where the ring is under 0.1 mm, the canal narrower than
// 0.3 mm or the flow below 0.05 ml/s (an assumption fitted to those rows). Checked by TestExchange (P5).
func (j Jet) Reach() float64 {
	base := 1.3
	switch j.Vent {
	case "open":
		base = 2.4
	case "notched":
		base = 1.8
	}
	factor := math.Min(1, float64(j.Narrow/0.3)) * math.Min(1, j.Flow/0.05)
	if len(j.Gaps) > 0 {
		factor *= math.Min(1, math.Max(0, j.Gaps[0]/0.1))
	}
	return float64(base * math.Max(0, factor))
}

// LockChance returns the chance that filling a dry canal leaves air at its end, given the share over a
// balanced set of conditions: smaller with an open end, a needle nearer the end, a wider apex and more
// flow (the four trends of Boutsioukis 2014, Int Endod J; sizes tuned to keep the balanced share).
// Checked by TestAirLock (P10).
func (j Jet) LockChance(share float64) float64 {
	if share <= 0 {
		return 0
	}
	score := detmath.Log(share / math.Max(1e-9, 1-share))
	if j.Vent == "open" {
		score -= 0.5
	} else {
		score += 0.5
	}
	score += float64(0.35 * (j.Short - 2))
	score -= float64(4 * (j.Narrow - 0.4))
	score -= float64(3 * (j.Flow - 0.15))
	return 1 / (1 + detmath.Exp(-score))
}

// escapeResistance is what tissue and a foramen of 0.3 mm set against liquid, Pa·s/ml. Tuned: a free
// rinse that just exceeds the back-pressure loses hundredths of a millilitre (silent), a wedged needle
// some tenths (an accident). No source.
const escapeResistance = 2e7

// Escape returns the flow (ml/s) past a foramen of a diameter (mm) against a back-pressure (Pa):
//
//	Q = (p − p_back) / (R_return + R_escape), R_escape ∝ 1/diameter²
//
// 0 where the pressure stays below. tissue scales the escape resistance, 1 the usual one. Checked by
// TestEscape (P8).
func (j Jet) Escape(foramen, back, tissue float64) float64 {
	over := j.Pressure() - back
	if over <= 0 || j.Flow <= 0 {
		return 0
	}
	returns := rinsing().Return(float64(j.Flow*1000), j.Outer, j.Gaps, j.Step) / j.Flow
	return math.Min(j.Flow, over/(returns+resistance(foramen, tissue)))
}

func resistance(foramen, tissue float64) float64 {
	d := math.Max(0.05, foramen) / 0.3
	return float64(escapeResistance*tissue) / float64(d*d)
}

// SeepScore returns the probit of the share of canals that lose irrigant through an apex of a diameter
// (mm) into a gel without back-pressure: 36 % at size 35, 60 % at size 50 (Mitchell 2011, J Endod),
// joined by a line in the logarithm of the diameter. Checked by TestSeep (P9).
func SeepScore(diameter float64) float64 {
	return 0.2533 + float64(1.714*detmath.Log(math.Max(0.05, diameter)/0.5))
}

// jetOf builds the jet of a needle standing in a canal.
func (c *CanalState) jetOf(r rinse, n needleSize) Jet {
	j := Jet{Outer: n.outer, Bore: n.inner, Vent: n.vent, Flow: r.flow, Short: c.Level(r.tip), Step: c.Space.Step}
	ahead := min(c.station(r.tip+1), c.Space.Foramen)
	j.Narrow = math.Min(c.width(0, ahead), c.width(1, ahead))
	for i := min(c.station(r.tip), c.Space.Foramen); i >= c.Space.Orifice; i-- {
		mean := math.Sqrt(float64(c.width(0, i) * c.width(1, i)))
		j.Gaps = append(j.Gaps, math.Max(0, (mean-n.outer)/2))
	}
	return j
}
