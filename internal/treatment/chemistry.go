package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// bodyTemp is the temperature to which liquid in a canal goes, °C: from memory.
const bodyTemp = 35.0

// warmTime is the time constant with which liquid in a canal comes to body temperature, s: it is there
// within minutes (from memory, medium certainty).
const warmTime = 60.0

// meanTemp returns the mean temperature over a contact of a time (s) of liquid put in at a temperature.
func meanTemp(start, time float64) float64 {
	if time <= 0 {
		return start
	}
	share := float64(warmTime/time) * (1 - detmath.Exp(-time/warmTime))
	return bodyTemp + float64((start-bodyTemp)*share)
}

// tempGain returns how much faster NaOCl acts at a temperature (°C) than at 22 °C: 2.5 times at 45 °C, so
// that it stays below the gain of agitation (order of Stojicic 2010, J Endod) and the best combination
// is about fifty times the worst (same). 1 % at 45 °C then comes to a little under half of 5.25 % at
// 20 °C, less than Sirtes 2005 found (from memory).
func tempGain(celsius float64) float64 {
	return detmath.Pow(2.5, (celsius-22)/23)
}

// agitation is the gain over a still soak: agitation matters more than temperature (Stojicic 2010), and
// ultrasonic beats the syringe (several trials); sizes tuned, no source.
func agitation(word string) float64 {
	switch word {
	case "manual":
		return 2
	case "sonic":
		return 2.2
	case "ultrasonic":
		return 3.4
	}
	return 1
}

// Dissolved returns the share of a small piece of tissue that NaOCl of a concentration (%) dissolves in
// a time (s) at a held temperature (°C), still or agitated: 1 − exp(−k·c·t), close to linear in the
// concentration while little is gone. Checked by TestDissolution and TestDissolutionInTreatment (P11, P12).
func Dissolved(percent, time, celsius float64, agitated string) float64 {
	dose := float64(float64(percent*time) * float64(tempGain(celsius)*agitation(agitated)))
	return 1 - undissolved(dose)
}

// undissolved returns the share of tissue that a dose of NaOCl (%·s, warmth and agitation counted) leaves.
func undissolved(dose float64) float64 { return detmath.Exp(-float64(tissueRate * dose)) }

// ChlorineLeft returns the share of free chlorine left in NaOCl that was mixed with 17 % EDTA, given
// EDTA's share of the volume: exp(−2.12·f/(1−f)), fitted to 88 % lost at 1:1 (0.06 against 0.50 %:
// Zehnder 2005, J Endod 31:817); at 10 % it gives 21 % lost (8–31 % measured: Clarkson 2011). Checked by
// TestMixing (P13).
func ChlorineLeft(share float64) float64 {
	if share >= 1 {
		return 0
	}
	return detmath.Exp(-float64(2.12*share) / (1 - share))
}

// Meeting says what 2 % chlorhexidine and NaOCl of a concentration (%) do when they meet: "precipitate"
// from 0.19 %, "colour" from 0.023 %, "" below (Basrani 2007, J Endod 33:966). Checked by TestMixing (P14).
func Meeting(percent float64) string {
	switch {
	case percent >= 0.19:
		return "precipitate"
	case percent >= 0.023:
		return "colour"
	}
	return ""
}

// etchRate is the rate at which NaOCl dissolves what EDTA bared, per %·s (tuned: a minute of 5 % all of it).
const etchRate = 0.02

// EtchedBy returns the degree, 0 to 1, to which NaOCl (%·s of dose) erodes a wall that EDTA acted on for a
// time (s): none up to a minute, strong at ten (Calt & Serper 2002, J Endod 28:17, each followed by 5 %
// NaOCl), and none without the NaOCl, since EDTA alone limits itself (from memory, high certainty).
// Checked by TestErosion (P15).
func EtchedBy(chelated, dose float64) float64 {
	depth := math.Min(1, math.Max(0, (chelated-erosionOnset)/(erosionFull-erosionOnset)))
	return float64(depth * (1 - detmath.Exp(-float64(etchRate*dose))))
}

// RecessKept returns the share of packed shavings in fins and isthmuses that a rinse leaves: a syringe
// takes 46 % with 5.5 ml (45.7 and 43.7 % in two trials), ultrasound of a minute another half of the
// rest (66.8 and 94.1 % in all in the same trials), sonic next to nothing more (36.4 %). Checked by
// TestRecess (P18).
func RecessKept(volume, time float64, agitated string) float64 {
	keep := detmath.Exp(-float64(0.11 * volume))
	rate := 0.0
	switch agitated {
	case "ultrasonic":
		rate = 0.0131
	case "manual":
		rate = 0.004
	case "sonic":
		rate = 0.001
	}
	return float64(keep * detmath.Exp(-float64(rate*math.Min(time, 180))))
}

// SurvivorsUnder returns the share of bacteria left after calcium hydroxide of a time (d): a tenth after
// seven days, all but all after ten minutes (Sjögren 1991, Int Endod J 24:119: direction; the rate is
// tuned). A reduction, never sterile. Checked by TestDressing (P16).
func SurvivorsUnder(days float64) float64 {
	return math.Max(0.001, detmath.Exp(-float64(0.35*days)))
}

// mix lets what is rinsed in meet what stands in the canal, station by station, and renews it as far as
// the liquid reaches.
func (t *turn) mix(c *CanalState, r rinse) {
	filled := 0.0
	if c.Wet > 0 {
		filled = math.Min(1, c.Wet/math.Max(0.01, c.volume()))
	}
	m := meeting{agent: agentIndex(r.agent), spentAt: -1}
	keep := detmath.Exp(-float64(0.02*float64(r.volume*1000)) / math.Max(1, c.volume()))
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		var old [agents]float64
		for k := range agents {
			old[k] = float64(c.Care.Standing[k][i] * filled)
		}
		front := c.access(i, r)
		if front >= 1 || front > 0 && most(old) >= 1 { // beyond the rinse only what really stands there counts
			m.meet(c, i, r, front, old)
		}
		for k := range agents {
			left := float64(old[k] * (1 - float64(front*(1-keep))))
			if k == m.agent {
				left = math.Max(left, float64(r.percent*front))
			}
			c.Care.Standing[k][i] = left
		}
	}
	t.tellMeeting(c, m)
}

// most returns the largest of the concentrations.
func most(v [agents]float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}

// meeting is what two liquids did to each other.
type meeting struct {
	agent    int
	detail   string  // what precipitated
	rest     float64 // % of the first that was still there
	at       int
	coloured bool
	spent    float64 // largest share of chlorine spent where the liquid is renewed
	spentAt  int
}

// meet works out one station: front is the share of the new liquid that comes there.
func (m *meeting) meet(c *CanalState, i int, r rinse, front float64, old [agents]float64) {
	fresh := float64(r.percent * front)
	note := func(rest, cover float64, detail string) {
		c.Care.Deposit[i] = math.Max(c.Care.Deposit[i], cover)
		c.Precipitate = true
		if rest > m.rest {
			m.rest, m.detail, m.at = rest, detail, i
		}
	}
	bleach := func(percent float64) {
		switch Meeting(percent) {
		case "precipitate":
			note(percent, 1, "chlorhexidine with sodium-hypochlorite")
		case "colour":
			m.coloured = true
		}
	}
	switch m.agent {
	case chlorhexidine:
		bleach(old[naocl])
		if old[edta] > 0.5 {
			note(old[edta], 0.5, "chlorhexidine with edta")
		}
		if old[chloride] > 0.1 {
			note(old[chloride], 0.3, "chlorhexidine with saline")
		}
	case naocl:
		if old[chlorhexidine] > 0.05 {
			bleach(fresh)
		}
		share := float64(old[edta]/17) * c.Wet / (c.Wet + float64(r.volume*1000))
		if front < 1 {
			share = float64(old[edta] / 17 * (1 - front))
		}
		spent := 1 - ChlorineLeft(math.Min(0.95, share))
		if front >= 1 && spent > m.spent {
			m.spent, m.spentAt = spent, i
		}
	case edta:
		if old[chlorhexidine] > 0.05 {
			note(old[chlorhexidine], 0.5, "chlorhexidine with edta")
		}
	case chloride:
		if old[chlorhexidine] > 0.05 {
			note(old[chlorhexidine], 0.3, "chlorhexidine with saline")
		}
	}
}

func (t *turn) tellMeeting(c *CanalState, m meeting) {
	level := func(i int) float64 { return float64(float64(c.Space.Foramen-i) * c.Space.Step) }
	switch {
	case m.detail != "":
		t.happen(Event{Kind: Precipitated, Value: m.rest, Unit: "%", Level: level(m.at), Detail: m.detail})
	case m.coloured:
		t.happen(Event{Kind: Coloured})
	}
	if m.spent > 0.05 {
		t.happen(Event{Kind: ChlorineLost, Value: m.spent, Level: level(m.spentAt)})
	}
}

// chlorineAt returns the free chlorine acting at a station, %: the rinse's own, less what EDTA still
// standing there spends.
func (c *CanalState) chlorineAt(i int, r rinse) float64 {
	left := c.Care.Standing[edta][i] / 17
	return float64(r.percent * ChlorineLeft(math.Min(0.95, left)))
}

// soak lets the agent work where it was renewed, and at a tenth of the rate at most a millimetre beyond.
func (t *turn) soak(c *CanalState, r rinse) {
	eroded := 0.0
	warm := tempGain(meanTemp(r.celsius, r.time))
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		rate := c.access(i, r)
		dose := float64(float64(rate*c.acting(i, r)) * r.gain)
		switch r.agent {
		case "sodium-hypochlorite":
			hit := float64(float64(c.chlorineAt(i, r)*dose) * warm)
			c.Tissue[i] = float64(c.Tissue[i] * undissolved(hit))
			c.Flora[i] = float64(c.Flora[i] * detmath.Exp(-float64(floraRate*hit)))
			etched := EtchedBy(c.Care.Chelated[i], hit)
			if etched > c.Erosion[i] {
				c.Erosion[i] = etched
				eroded = math.Max(eroded, etched)
			}
			c.Care.Chelated[i] = float64(c.Care.Chelated[i] * detmath.Exp(-float64(etchRate*hit))) // what EDTA bared is dissolved
		case "edta":
			c.Smear[i] = float64(c.Smear[i] * detmath.Exp(-float64(smearRate*dose)))
			c.Care.Chelated[i] += float64(rate * r.time)
		case "chlorhexidine":
			c.Flora[i] = float64(c.Flora[i] * detmath.Exp(-float64(0.008*dose)))
		}
		kept := RecessKept(float64(rate*r.volume), float64(rate*r.time), r.agitated)
		c.Care.Recess[i] = float64(c.Care.Recess[i] * kept)
	}
	if eroded > 0.05 {
		t.happen(Event{Kind: Eroded, Value: eroded})
	}
}

// acting returns the seconds that count at a station: all of the rinse, and of the soak the less the
// more tissue spends the standing chlorine (Moorer & Wesselink 1982: renewal is decisive, from memory).
func (c *CanalState) acting(i int, r rinse) float64 {
	spend := 0.002 + float64(0.01*c.Tissue[i])
	return r.flowing + (1-detmath.Exp(-float64(spend*r.standing)))/spend
}

// access is the share of the full rate at a station.
func (c *CanalState) access(i int, r rinse) float64 {
	beyond := float64(float64(i)*c.Space.Step) - r.reach
	if beyond <= 0 {
		return 1
	}
	return math.Max(0, float64(0.1*(1-beyond)))
}
