package treatment

import (
	"math"
	"strconv"

	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// needleLength is the bore's length of an irrigation needle, mm.
const needleLength = 25.0

// rinse is one irrigation: what goes in, how deep, how far it is renewed.
type rinse struct {
	agent    string
	agitated string
	percent  float64
	celsius  float64 // as it leaves the syringe
	volume   float64 // ml
	flow     float64 // ml/s
	tip      float64 // mm, where the needle's tip is
	bound    bool
	moving   bool
	reach    float64 // mm, length down to which the liquid is renewed
	flowing  float64 // s of flow
	standing float64 // s of soak
	time     float64 // s of contact, both
	gain     float64 // of agitation
}

func (t *turn) irrigate() error {
	item, err := t.instrument("needle")
	if err != nil {
		return err
	}
	c, n := t.canal(), item.needle()
	if i := c.Space.Orifice; math.Min(c.width(0, i), c.width(1, i)) < n.outer {
		return refuse("needle-too-thick", "irrigate: %s is %.2f mm thick and does not enter the orifice of %s; take a finer one or open the canal", item.ID, n.outer, c.Name)
	}
	t.unsafe()
	t.packRecess(c)
	r := t.rinseOf(c, n)
	j := c.jetOf(r, n)
	t.push(c, &r, n)
	j.Flow = r.flow
	t.reach(c, &r, j)
	t.mix(c, r)
	t.spend(int(float64(r.time * 1000)))
	c.wash(r)
	t.soak(c, r)
	t.happen(Event{Kind: Rinsed, Value: r.reach, Unit: "mm", Level: c.Level(r.reach), Detail: r.agent})
	t.pressure(c, r, j)
	t.throughHole(c, r, j)
	c.Liquid, c.Strength, c.Since, c.Dressing = r.agent, r.percent, 0, ""
	if r.agent == "sodium-hypochlorite" {
		t.Pulp = math.Max(0, t.Pulp-0.15)
	}
	return nil
}

// rinseOf reads the action and finds where the needle comes to stand: at its stop, or where it binds.
func (t *turn) rinseOf(c *CanalState, n needleSize) rinse {
	a := t.action
	r := rinse{agent: a.Agent, agitated: a.Choice, percent: float64(a.Percent) / 10, volume: float64(a.Volume) / 1000,
		flow: float64(a.Flow) / 1000, gain: agitation(a.Choice), moving: a.Tested != 0,
		celsius: float64(a.Heat) / 10, tip: float64(a.Stop) / 1000}
	if a.Heat == 0 {
		r.celsius = t.Case.Settings.Around.RoomTemp
	}
	bind := c.binding(n.outer)
	held := math.Min(t.bends(c, n), bind)
	switch {
	case r.tip <= held+0.3 && r.tip < bind:
	case held > bind-1.5 || c.ring(held, n.outer) < 0.02:
		r.tip, r.bound = held, true
	default: // held by the curve, the needle leans on the walls but liquid still passes it
		r.tip = held
		t.happen(Event{Kind: NeedleHeld, Item: t.action.Item, Value: held, Unit: "mm", Level: c.Level(held)})
	}
	return r
}

// ring returns half of what a needle of a diameter leaves free of the narrower width at a length, mm.
func (c *CanalState) ring(length, diameter float64) float64 {
	i := min(c.station(length), c.Space.Foramen)
	return (math.Min(c.width(0, i), c.width(1, i)) - diameter) / 2
}

// bends returns the length at which a steel needle stops because it can't follow the canal's curve
// without force; a needle is a steel tube.
func (t *turn) bends(c *CanalState, n needleSize) float64 {
	rod := t.memory.rod(rodKey{item: t.action.Item, step: c.Space.Step}, func() mechanics.Blank {
		return mechanics.Blank{Tip: n.outer, Spans: []mechanics.Span{{}}, WorkingPart: needleLength, Shaft: n.outer, Length: needleLength + 2,
			TipAngle: tipHalfAngle, Edge: 0, Section: mechanics.Section{Shape: mechanics.Circle}, Alloy: tubeSteel(n)}
	})
	tool := mechanics.NewTool(rod)
	stop := math.Min(float64(t.action.Stop)/1000, c.Foramen())
	s := t.memory.slide(c, rod, &tool, mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Sliding},
		Push: needlePush, Stop: stop, Friction: friction(c)}, math.Min(c.Orifice(), stop))
	if s.Depth < stop-0.05 {
		return s.Depth
	}
	return c.Foramen() + 1
}

// needlePush is what a hand gives a needle before it feels that it is stuck, N (common practice, no source).
const needlePush = 1.0

// tubeSteel is steel made softer by the hole in the tube: 1 − (bore/outer)⁴ of a solid wire's stiffness.
func tubeSteel(n needleSize) mechanics.Alloy {
	a := mechanics.Steel()
	r := n.inner / n.outer
	left := 1 - float64(float64(r*r)*float64(r*r))
	a.Modulus, a.Shear = float64(a.Modulus*left), float64(a.Shear*left)
	return a
}

// push limits the flow to what the thumb keeps up behind the needle.
func (t *turn) push(c *CanalState, r *rinse, n needleSize) {
	limit := t.Case.Settings.Around.SyringePush
	wanted := float64(r.flow * 1000)
	if loss := rinsing().Loss(wanted, needleLength, n.inner); loss > limit {
		r.flow = rinsing().FlowAt(limit, needleLength, n.inner, wanted) / 1000
		t.happen(Event{Kind: FlowLimited, Item: t.action.Item, Value: float64(r.flow * 60), Unit: "ml/min"})
	}
	c.Care.Syringe = math.Max(c.Care.Syringe, rinsing().Loss(float64(r.flow*1000), needleLength, n.inner))
	r.flowing, r.standing = r.volume/r.flow, float64(t.action.Time)/1000
	r.time = r.flowing + r.standing
}

// reach finds how far the liquid is renewed, and whether air keeps it out of the end.
func (t *turn) reach(c *CanalState, r *rinse, j Jet) {
	r.reach = r.tip
	if !r.bound {
		r.reach = math.Min(r.tip+j.Reach(), c.Foramen())
	}
	end := c.Foramen()
	if c.Length > 0 {
		end = c.Length
	}
	if r.tip >= end-0.5 || r.agitated == "manual" || r.agitated == "ultrasonic" {
		c.Care.AirLock = 0 // a needle taken to the end, a pumped cone or ultrasound moves the air (from memory)
	} else if c.Care.AirLock == 0 && c.Wet < 0.05 && c.Tissue[c.Space.Foramen] < 0.5 {
		if s := t.drawIn("air"); s.Float64() < j.LockChance(t.Case.Settings.Around.AirLock) {
			c.Care.AirLock = math.Min(r.reach, r.tip+0.3)
			t.happen(Event{Kind: AirLocked, Value: c.Care.AirLock, Unit: "mm", Level: c.Level(c.Care.AirLock)})
		}
	}
	if c.Care.AirLock > 0 {
		r.reach = math.Min(r.reach, math.Max(c.Care.AirLock, c.Orifice()))
	}
}

// packRecess packs shavings of the instruments used since the last rinse into the fins of oval
// sections, the more the flatter the section (direction of published isthmus debris; size tuned).
func (t *turn) packRecess(c *CanalState) {
	if c.Since == 0 {
		return
	}
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		wide, narrow := math.Max(c.width(0, i), c.width(1, i)), math.Min(c.width(0, i), c.width(1, i))
		flat := 1 - narrow/math.Max(wide, 1e-6)
		c.Care.Recess[i] = math.Min(1, c.Care.Recess[i]+float64(float64(0.15*float64(c.Since))*flat))
	}
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

// wash takes debris away as far as the liquid is renewed and leaves the canal wet.
func (c *CanalState) wash(r rinse) {
	exchanges := r.volume * 1000 / math.Max(1, c.volume())
	keep := detmath.Exp(-float64(0.02 * float64(exchanges*r.gain)))
	for i := c.Space.Orifice; i <= c.station(r.reach); i++ {
		c.Debris[i] = float64(c.Debris[i] * keep)
	}
	c.repack()
	c.Wet = c.volume()
	if c.Care.AirLock > 0 {
		c.Wet -= c.beyond(c.Care.AirLock)
	}
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

// pressure finds whether irrigant goes past the foramen: the pressure at the foramen against the
// tissue's. A wedged needle lets no liquid back, so all that moves goes out. What nobody feels is told
// apart from an accident by its volume.
func (t *turn) pressure(c *CanalState, r rinse, j Jet) {
	set := t.Case.Settings
	back := set.Around.BackPressure
	if t.Case.Lesion {
		back = float64(0.5 * back) // resorbed bone yields more: accidents are commoner there (direction); size assumed
	}
	s := detmath.NewStream(t.Case.Seed, "tissue "+strconv.Itoa(t.index(c.Name)))
	tissue := s.LogNormal(1, 0.5) // of this apex, the same at each rinse
	foramen := math.Max(c.width(0, c.Space.Foramen), c.width(1, c.Space.Foramen))
	var out float64
	if r.bound {
		t.happen(Event{Kind: NeedleBound, Value: r.tip, Unit: "mm", Level: c.Level(r.tip)})
		out = math.Min(r.flow, math.Max(0, set.Around.SyringePush-back)/resistance(foramen, tissue))
	} else {
		p := j.Pressure()
		if r.moving {
			p = float64(0.7 * p) // a moving needle lowers the mean pressure (CFD of moving needles: direction; size assumed)
		}
		c.Care.Pressure = math.Max(c.Care.Pressure, p)
		if p > back+set.ExtrusionLimit {
			t.happen(Event{Kind: PressureHigh, Value: p / 1000, Unit: "kPa", Level: c.Level(r.tip)})
		}
		if p > back && (back > 0 || t.seeps(c)) {
			out = float64(j.Escape(foramen, back, tissue) * p / j.Pressure())
		}
	}
	t.letOut(c, r, math.Min(float64(0.5*r.volume), float64(out*r.flowing)))
}

// seepLeast is the volume below which nothing is told, ml.
const seepLeast = 0.001

// letOut books irrigant that left the canal, ml.
func (t *turn) letOut(c *CanalState, r rinse, out float64) {
	if out < seepLeast {
		return
	}
	c.Escaped += out
	e := Event{Kind: IrrigantSeeped, Value: out, Unit: "ml", Level: c.Level(r.tip), Detail: r.agent}
	if out >= t.Case.Settings.Around.Accident {
		e.Kind = IrrigantOut
		c.Care.Accident = true
		t.mishap("irrigant-accident")
	} else {
		c.Care.Seeped += out
	}
	t.happen(e)
}

// seeps says whether a canal loses irrigant where nothing holds against it, as into a gel: drawn once for a
// canal from the published shares by the width of its prepared end. Checked by TestSeepInTreatment (P9).
func (t *turn) seeps(c *CanalState) bool {
	end := c.Foramen()
	if c.Length > 0 {
		end = math.Min(end, c.Length)
	}
	i := c.station(end)
	s := detmath.NewStream(t.Case.Seed, "seep "+strconv.Itoa(t.index(c.Name)))
	return s.Normal(0, 1) < SeepScore(math.Sqrt(float64(c.width(0, i)*c.width(1, i))))
}
