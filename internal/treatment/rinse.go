package treatment

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// rinse is one irrigation: what goes in, how deep, how far it is renewed.
type rinse struct {
	agent   string
	percent float64
	volume  float64 // ml
	flow    float64 // ml/s
	tip     float64 // mm, where the needle's tip is
	bound   bool
	reach   float64 // mm, length down to which the liquid is renewed
	time    float64 // s of contact: rinse and soak
	gain    float64 // of agitation
}

func (t *turn) irrigate() error {
	item, err := t.instrument("needle")
	if err != nil {
		return err
	}
	c := t.canal()
	bore, side := item.needle()
	a := t.action
	r := rinse{agent: a.Agent, percent: float64(a.Percent) / 10, volume: float64(a.Volume) / 1000,
		flow: float64(a.Flow) / 1000, gain: agitation(a.Choice)}
	r.time = r.volume/r.flow + float64(a.Time)/1000
	bind := c.binding(bore.outer)
	r.tip = float64(a.Stop) / 1000
	if r.tip >= bind {
		r.tip, r.bound = bind, true
	}
	r.reach = math.Min(r.tip+c.exchange(r, bore, side), c.Foramen())
	t.mix(c, r)
	t.spend(int(float64(r.time * 1000)))
	c.wash(r)
	t.soak(c, r)
	t.happen(Event{Kind: Rinsed, Value: r.reach, Unit: "mm", Level: c.Level(r.reach), Detail: r.agent})
	t.pressure(c, r, bore, side)
	c.Liquid, c.Strength, c.Since = r.agent, r.percent, 0
	if a.Agent == "sodium-hypochlorite" {
		t.Pulp = math.Max(0, t.Pulp-0.15)
	}
	return nil
}

// agitation is the gain over a still soak: order from Stojicic 2010 (agitation matters more than
// temperature) and debris trials (ultrasonic above syringe); sizes tuned, no source.
func agitation(word string) float64 {
	switch word {
	case "manual":
		return 1.5
	case "sonic":
		return 1.8
	case "ultrasonic":
		return 2.5
	}
	return 1
}

// binding returns the length at which a needle of a diameter wedges: the first station below the
// orifice whose narrower width is below it.
func (c *CanalState) binding(diameter float64) float64 {
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		if math.Min(c.width(0, i), c.width(1, i)) < diameter {
			return float64(float64(i-1) * c.Space.Step)
		}
	}
	return c.Foramen()
}

// exchange returns how far beyond the tip the liquid is renewed, mm: about 1–1.5 mm for a side vent and
// 2–2.5 mm for an open end in a wide canal at 0.26 ml/s (Boutsioukis 2010, J Endod 36:1664 and 36:875),
// less where the gap is under 0.1 mm, the canal narrow or the flow low. The scaling is an assumption
// fitted to those rows; P5 checks it.
func (c *CanalState) exchange(r rinse, b bore, side bool) float64 {
	if r.bound {
		return 0
	}
	base := 2.4
	if side {
		base = 1.3
	}
	i := c.station(r.tip)
	gap := (math.Min(c.width(0, i), c.width(1, i)) - b.outer) / 2
	ahead := c.station(r.tip + 1)
	narrow := math.Min(c.width(0, ahead), c.width(1, ahead))
	factor := math.Min(1, gap/0.1)
	factor = float64(factor * math.Min(1, narrow/0.3))
	factor = float64(factor * math.Min(1, r.flow/0.05))
	return float64(base * math.Max(0, factor))
}

// wash takes debris away as far as the liquid is renewed and leaves the canal wet.
func (c *CanalState) wash(r rinse) {
	exchanges := r.volume * 1000 / math.Max(1, c.volume())
	keep := detmath.Exp(-float64(0.02 * float64(exchanges*r.gain)))
	for i := c.Space.Orifice; i <= c.station(r.reach); i++ {
		c.Debris[i] = float64(c.Debris[i] * keep)
	}
	c.repack()
	c.Wet = c.volume()
	if r.agent == "sodium-hypochlorite" {
		c.Rinsed += r.volume
	}
}

// volume returns the canal's volume, mm³.
func (c *CanalState) volume() float64 {
	sum := 0.0
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		sum += float64(c.area(i) * c.Space.Step)
	}
	return sum
}

// soak lets the agent work where it was renewed, and at a tenth of the rate a millimetre beyond.
func (t *turn) soak(c *CanalState, r rinse) {
	eroded := 0.0
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		rate := c.access(i, r)
		dose := float64(float64(rate*r.time) * r.gain)
		switch r.agent {
		case "sodium-hypochlorite":
			chlorine := math.Max(0, r.percent-c.Chlorine)
			c.Tissue[i] = float64(c.Tissue[i] * detmath.Exp(-float64(tissueRate*float64(chlorine*dose))))
			c.Flora[i] = float64(c.Flora[i] * detmath.Exp(-float64(floraRate*float64(chlorine*dose))))
			eroded = math.Max(eroded, c.Erosion[i])
		case "edta":
			c.Smear[i] = float64(c.Smear[i] * detmath.Exp(-float64(smearRate*dose)))
			c.Erosion[i] = math.Min(1, c.Erosion[i]+math.Max(0, r.time-erosionOnset)/(erosionFull-erosionOnset))
		case "chlorhexidine":
			c.Flora[i] = float64(c.Flora[i] * detmath.Exp(-float64(0.008*dose)))
		}
	}
	if eroded > 0.05 {
		t.happen(Event{Kind: Eroded, Value: eroded})
	}
}

// access is the share of the full rate at a station.
func (c *CanalState) access(i int, r rinse) float64 {
	beyond := float64(float64(i)*c.Space.Step) - r.reach
	if beyond <= 0 {
		return 1
	}
	return math.Max(0, float64(0.1*(1-beyond)))
}

// mix finds what two irrigants do to each other: NaOCl and chlorhexidine precipitate from 0.19 % NaOCl
// on (Basrani 2007, J Endod 33:966), chlorhexidine and EDTA give a salt, EDTA spends the chlorine of
// NaOCl (1:1 mixture 0.06 % left of 0.5 %: Zehnder 2005). What stood in the canal is diluted by the
// new volume.
func (t *turn) mix(c *CanalState, r rinse) {
	rest := 0.0
	if c.Wet > 0 {
		rest = float64(c.Strength * c.Wet / (c.Wet + c.volume()))
	}
	c.Chlorine = 0
	pair := func(a, b string) bool {
		return (c.Liquid == a && r.agent == b) || (c.Liquid == b && r.agent == a)
	}
	switch {
	case pair("sodium-hypochlorite", "chlorhexidine") && rest >= 0.19:
		c.Precipitate = true
		t.happen(Event{Kind: Precipitated, Value: rest, Unit: "%", Detail: "chlorhexidine with sodium-hypochlorite"})
	case pair("chlorhexidine", "edta") && rest > 0:
		c.Precipitate = true
		t.happen(Event{Kind: Precipitated, Value: rest, Unit: "%", Detail: "chlorhexidine with edta"})
	case c.Liquid == "edta" && r.agent == "sodium-hypochlorite" && rest > 1:
		// the first of the new liquid is spent; a continued flow replaces it
		spent := math.Min(0.88, float64(0.88*c.Wet)/float64(r.volume*1000))
		c.Chlorine = float64(spent * r.percent)
		if spent > 0.05 {
			t.happen(Event{Kind: ChlorineLost, Value: spent})
		}
	}
}

// pressure finds whether irrigant goes past the foramen: the pressure beyond the tip against the
// tissue's back-pressure and the convention for extrusion. A wedged needle lets no liquid back.
func (t *turn) pressure(c *CanalState, r rinse, b bore, side bool) {
	apical := c.apicalPressure(r, b, side)
	limit := backPressure + t.Case.Settings.ExtrusionLimit
	wide := c.Passed > 0.2 || math.Max(c.width(0, c.Space.Foramen), c.width(1, c.Space.Foramen)) > 0.6
	if wide {
		limit = float64(0.5 * limit)
	}
	if r.bound {
		t.happen(Event{Kind: NeedleBound, Value: r.tip, Unit: "mm", Level: c.Level(r.tip)})
	}
	if apical <= limit {
		return
	}
	share := math.Min(0.8, float64(0.05*(apical/limit-1)))
	if r.bound {
		share = math.Max(share, 0.3)
	}
	out := float64(share * r.volume)
	if out < 0.005 {
		return
	}
	c.Escaped += out
	t.mishap("irrigant-accident")
	t.happen(Event{Kind: IrrigantOut, Value: out, Unit: "ml", Level: c.Level(r.tip), Detail: r.agent})
}

// apicalPressure estimates the pressure at the foramen, Pa. Free needle: the stagnation pressure of the
// jet, an open end much more than a side vent, falling with distance (direction of Boutsioukis 2010);
// bound needle: what the syringe gives less the loss in the needle, taken as a tenth of that loss.
func (c *CanalState) apicalPressure(r rinse, b bore, side bool) float64 {
	if r.bound {
		return float64(0.1e6 * mechanics.PressureDrop(r.flow*1000, viscosity, needleLength, b.inner))
	}
	area := float64(float64(math.Pi/4) * float64(b.inner*b.inner)) // mm²
	v := r.flow / area                                             // ml/s per mm² = m/s
	jet := float64(0.5*density) * float64(v*v)
	if side {
		jet = float64(0.2 * jet)
	}
	distance := c.Level(r.tip)
	return float64(jet * detmath.Exp(-distance/0.8))
}
