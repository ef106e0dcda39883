package treatment

import (
	"math"
	"slices"

	"tugback/internal/mechanics"
)

// pointDrinks is what one paper point takes up, mm³ (common practice, no source; several points are
// needed for a canal of 5–10 mm³).
const pointDrinks = 4.0

// pointDraws is how far beyond its end a paper point draws liquid up, mm (common practice, no source).
const pointDraws = 0.5

// beyond returns the canal's volume from a length to the foramen, mm³.
func (c *CanalState) beyond(length float64) float64 {
	sum := 0.0
	for i := max(c.station(length), c.Space.Orifice); i < c.Space.Foramen; i++ {
		sum += float64(c.area(i) * c.Space.Step)
	}
	return sum
}

// dry puts paper points in, one after another; what the last one shows is told.
func (t *turn) dry() error {
	c, stop := t.canal(), float64(t.action.Stop)/1000
	if stop > c.Foramen()+pastEnd {
		return refuse("point-too-long", "dry: at %.1f mm the paper points would stand far outside the root; look at the film again", stop)
	}
	c.Wet = math.Max(c.beyond(stop+pointDraws), c.Wet-float64(pointDrinks*float64(t.action.Count)))
	t.spend(15_000 * t.action.Count)
	past := stop - c.Foramen()
	switch {
	case past > 0.05 || t.bleeds():
		t.happen(Event{Kind: PointBlood, Value: math.Max(0, past), Unit: "mm", Level: c.Level(stop)})
	case c.Wet > 0.05:
		t.happen(Event{Kind: PointWet, Value: c.Wet, Unit: "mm³"})
	default:
		t.happen(Event{Kind: PointDry, Value: stop, Unit: "mm", Level: c.Level(stop)})
	}
	return nil
}

// dress places a dressing and lets the days between visits pass. Calcium hydroxide kills survivors in
// a week and not in ten minutes (Sjögren 1991, Int Endod J 24:119): modelled as a rate per day.
func (t *turn) dress() error {
	c := t.canal()
	if c.Fill.Technique != "" {
		return refuse("filled", "dress: %s is already filled", c.Name)
	}
	c.Dressing, c.DressDays = t.action.Agent, 0
	if c.Dressing == "calcium-hydroxide" {
		c.rest(t.action.Days)
	}
	t.Days = max(t.Days, t.action.Days)
	t.spend(60_000)
	t.happen(Event{Kind: Dressed, Value: float64(t.action.Days), Unit: "d", Detail: c.Dressing})
	return nil
}

func (t *turn) temporise() error {
	t.Temporary = float64(t.action.Depth) / 1000
	t.Covered = t.Temporary
	t.spend(60_000)
	t.happen(Event{Kind: Temporised, Value: t.Temporary, Unit: "mm"})
	if !t.Case.Settings.Around.TemporaryTight(t.Temporary) {
		t.happen(Event{Kind: ThinCover, Value: t.Temporary, Unit: "mm", Detail: "temporary"})
	}
	return nil
}

// fit tries a cone: its own diameter is drawn as makes scatter, its tip is trimmed, it is slid in
// and drawn back a little.
func (t *turn) fit() error {
	item, err := t.instrument("cone")
	if err != nil {
		return err
	}
	c, stop := t.canal(), float64(t.action.Stop)/1000
	push := float64(t.action.Push) / 1000
	if push == 0 {
		push = 1
	}
	trim := float64(t.action.Length) / 1000
	blank := item.Blank()
	taper := blank.Spans[0].Taper
	if stop > c.Foramen()+pastEnd {
		return refuse("cone-too-long", "fit: held at %.1f mm the cone would stand far outside the root; look at the film again", stop)
	}
	made := t.coneMade(c, item, trim)
	blank.Length = math.Max(shortestBlank, stop+heldAbove)
	blank.WorkingPart = math.Min(blank.WorkingPart, blank.Length)
	tip := Trimmed(made, taper, trim)
	rod := mechanics.NewRod(rounded(blank, tip, taper), c.Space.Step)
	tool := mechanics.NewTool(rod)
	t.worker.Reset()
	free := math.Min(stop, t.taken())
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: push, Stop: free, Friction: friction(c), Sheathed: true}
	reach := t.worker.Slide(&c.Space, rod, &tool, hand, c.Orifice())
	grip := t.worker.Grip(&c.Space, rod, &tool, reach.Depth, hand.Friction)
	c.lay(MasterCone{Item: item.ID, Tip: reach.Depth, Grip: grip, Trim: trim, Made: made, Diameter: tip, Taper: taper})
	t.spend(45_000)
	t.hold(item.ID, reach.Depth)
	t.tellCone(c, stop)
	return nil
}

// coneMade returns the tip diameter, before any trimming, of the cone that is tried, mm: the one of this size that was
// tried in this canal before, unless another is asked for or that one was trimmed further; else one out of the box,
// drawn as makes scatter. Checked by TestConeIsKept.
func (t *turn) coneMade(c *CanalState, item Instrument, trim float64) float64 {
	i := slices.IndexFunc(c.Care.Tried, func(m MasterCone) bool { return m.Item == item.ID })
	if i >= 0 && trim >= c.Care.Tried[i].Trim && t.action.Tested == 0 {
		return c.Care.Tried[i].Made
	}
	around, s := t.Case.Settings.Around, t.drawIn("cone/"+item.ID)
	return ConeTip(item.Size, around.ConeBias, around.Cone, &s)
}

// lay notes the cone that was tried, in place of an earlier one of its size.
func (c *CanalState) lay(m MasterCone) {
	c.Cone = m
	c.Care.Tried = slices.DeleteFunc(c.Care.Tried, func(o MasterCone) bool { return o.Item == m.Item })
	c.Care.Tried = append(c.Care.Tried, m)
}

// taken returns the length to which a cone may go because another canal's filling already lies in the
// common end: joining canals take one cone to length. Far beyond the tooth where nothing lies there.
func (t *turn) taken() float64 {
	own := t.index(t.action.Canal)
	c, grown := &t.Canals[own], &t.Case.Tooth.Canals[own]
	for k := range t.Canals {
		if t.Canals[k].Fill.Technique == "" {
			continue
		}
		other := &t.Case.Tooth.Canals[k]
		switch {
		case grown.Joins == k:
			return c.Orifice() + grown.JoinS
		case other.Joins == own:
			return c.Foramen() - (other.Length - other.JoinS)
		}
	}
	return c.Foramen() + 10
}

// rounded gives a cone its soft, rounded end: it reaches its own diameter half a millimetre behind the
// tip (common practice, no source), so that it wedges on its flank and not on a file's hard point.
func rounded(blank mechanics.Blank, tip, taper float64) mechanics.Blank {
	round := math.Max(0.5, tip) // thick cones have longer ends
	blank.Tip = float64(0.6 * tip)
	blank.Spans = []mechanics.Span{{From: 0, Taper: taper + float64(0.4*tip)/round}, {From: round, Taper: taper}}
	blank.Shaft = math.Max(blank.Shaft, tip)
	return blank
}

// LeastGrip is the pull at which a cone is said to grip, N: cones whose tug-back hands called strong took 0.15 to
// 1.70 N to draw out, 1.24 in the mean (Jeon 2017, Restor Dent Endod 42:273, abstract); a light grip lies below. firmGrip
// parts what is told as light from firm (chosen). heldAbove is how far above the reference point the tweezers hold it,
// mm: from there to the orifice it can buckle, farther in the canal keeps it (common practice, no source). Checked by
// TestTugBack.
const (
	LeastGrip = 0.1
	firmGrip  = 0.5
	heldAbove = 1.0
	// shortestBlank is the least length of a rod that the mechanics take, mm.
	shortestBlank = 5.0
)

func (t *turn) tellCone(c *CanalState, stop float64) {
	off := c.Cone.Tip - stop
	e := Event{Kind: ConeFits, Item: c.Cone.Item, Value: c.Cone.Grip, Unit: "N", Level: c.Level(c.Cone.Tip), Detail: "light"}
	if c.Cone.Grip >= firmGrip {
		e.Detail = "firm"
	}
	switch {
	case off < -0.25:
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, off, "mm", "short"
	case c.Cone.Tip > c.Foramen() && off < 0.05:
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, off, "mm", "past"
	case c.Cone.Tip > c.Foramen():
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, c.Cone.Tip-stop, "mm", "long"
	case c.Cone.Grip < LeastGrip:
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, off, "mm", "loose"
	}
	t.happen(e)
}

// voidShare is the void's share of the volume from the filling's end to the orifice.
func (c *CanalState) voidShare() float64 {
	if c.Fill.Technique == "" {
		return 1
	}
	void, whole := 0.0, 0.0
	for i := c.Space.Orifice; i <= min(c.station(c.Fill.Tip), c.Space.Foramen); i++ {
		area := c.area(i)
		void += float64(area * (1 - c.Fill.Solid[i] - c.Fill.Paste[i]))
		whole += area
	}
	if whole == 0 {
		return 1
	}
	return void / whole
}
