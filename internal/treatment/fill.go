package treatment

import (
	"math"

	"tugback/internal/detmath"
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
	c.Dressing, c.DressDays = t.action.Agent, t.action.Days
	if c.Dressing == "calcium-hydroxide" {
		keep := detmath.Exp(-float64(0.35 * float64(c.DressDays)))
		for i := range c.Flora {
			c.Flora[i] = float64(c.Flora[i] * keep)
		}
	}
	t.spend(60_000)
	t.happen(Event{Kind: Dressed, Value: float64(c.DressDays), Unit: "d", Detail: c.Dressing})
	return nil
}

func (t *turn) temporise() error {
	t.Temporary = float64(t.action.Depth) / 1000
	t.spend(60_000)
	t.happen(Event{Kind: Temporised, Value: t.Temporary, Unit: "mm"})
	return nil
}

// coneTolerance is the diameter tolerance of a cone of an ISO size, mm: 0.05 up to size 25, 0.07 above
// (ISO 6877, from memory, medium certainty).
func coneTolerance(size int) float64 {
	if size <= 25 {
		return 0.05
	}
	return 0.07
}

// fit tries a cone: its own diameter is drawn within the tolerance, its tip is trimmed, it is slid in
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
	tolerance := coneTolerance(item.Size)
	off := t.Piece.Truncated(0, tolerance/2, -tolerance, tolerance)
	blank.Length = stop + heldAbove
	blank.WorkingPart = math.Min(blank.WorkingPart, blank.Length)
	tip := Trimmed(math.Max(0.05, blank.Tip+off), taper, trim)
	rod := mechanics.NewRod(rounded(blank, tip, taper), c.Space.Step)
	tool := mechanics.NewTool(rod)
	t.worker.Reset()
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: push, Stop: stop, Friction: friction(c)}
	reach := t.worker.Slide(&c.Space, rod, &tool, hand, c.Orifice())
	grip := t.worker.Grip(&c.Space, rod, &tool, reach.Depth, hand.Friction)
	c.Cone = MasterCone{Item: item.ID, Tip: reach.Depth, Grip: grip, Trim: trim, Diameter: tip, Taper: taper}
	t.spend(45_000)
	t.tellCone(c, stop)
	return nil
}

// rounded gives a cone its soft, rounded end: it reaches its own diameter half a millimetre behind the
// tip (common practice, no source), so that it wedges on its flank and not on a file's hard point.
func rounded(blank mechanics.Blank, tip, taper float64) mechanics.Blank {
	const round = 0.5
	blank.Tip = float64(0.6 * tip)
	blank.Spans = []mechanics.Span{{From: 0, Taper: taper + float64(0.4*tip)/round}, {From: round, Taper: taper}}
	blank.Shaft = math.Max(blank.Shaft, tip)
	return blank
}

// leastGrip is the pull at which a cone is said to grip, N: small, since a cone buckles at about a tenth of a
// newton and so can't be wedged harder; heldAbove how far above the reference point
// the tweezers hold it, mm, which is what it can buckle over. Common practice, no source.
const (
	leastGrip = 0.02
	heldAbove = 1.0
)

func (t *turn) tellCone(c *CanalState, stop float64) {
	off := c.Cone.Tip - stop
	e := Event{Kind: ConeFits, Item: c.Cone.Item, Value: c.Cone.Grip, Unit: "N", Level: c.Level(c.Cone.Tip)}
	switch {
	case off < -0.25:
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, off, "mm", "short"
	case c.Cone.Tip > c.Foramen():
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, c.Cone.Tip-stop, "mm", "long"
	case c.Cone.Grip < leastGrip:
		e.Kind, e.Value, e.Unit, e.Detail = ConeOff, off, "mm", "loose"
	}
	t.happen(e)
}

// fill fills the canal from the cone's tip to the orifice: share of core, sealer and void by station.
func (t *turn) fill() error {
	c := t.canal()
	if c.Cone.Item == "" {
		return refuse("no-cone", "fill: no cone was fitted in %s", c.Name)
	}
	n := len(c.Space.Packed)
	f := Filling{Technique: t.action.Choice, Sealer: t.action.Agent, Tip: c.Cone.Tip,
		Solid: make([]float64, n), Paste: make([]float64, n)}
	spreader := float64(t.action.Stop) / 1000
	for i := c.Space.Orifice; i <= min(c.station(f.Tip), c.Space.Foramen); i++ {
		core := c.coreShare(i, spreader, t.action)
		f.Solid[i] = core
		f.Paste[i] = float64((1 - core) * pasteShare(c, i, core, t.action))
	}
	if past := f.Tip - c.Foramen(); past > 0 {
		area := float64(float64(math.Pi/4) * float64(c.Cone.Diameter*c.Cone.Diameter))
		f.Beyond = float64(past * area)
		t.mishap("overfill")
	}
	c.Fill = f
	t.spend(240_000)
	t.happen(Event{Kind: Filled, Value: c.voidShare(), Level: c.Level(f.Tip), Detail: f.Technique})
	if f.Beyond > 0 {
		t.happen(Event{Kind: Overfilled, Value: f.Tip - c.Foramen(), Unit: "mm", Level: c.Level(f.Tip)})
	}
	return nil
}

// coreShare is the share of a station's section the core fills: the cone against the canal's ellipse
// (area share, protocol facts 4.2), and what accessory cones or warm softening add to it. Lateral
// compaction fills the gap to about two thirds of its area down to where the spreader reaches; warm
// vertical nearly all. Order and bands from Ho 2016 and Keleş 2014 (core 68–91 %).
func (c *CanalState) coreShare(i int, spreader float64, a Action) float64 {
	s := float64(float64(i) * c.Space.Step)
	d := c.Cone.Diameter + float64(c.Cone.Taper*(c.Cone.Tip-s))
	cone := math.Min(1, float64(float64(math.Pi/4)*float64(d*d))/c.area(i))
	gap := 1 - cone
	switch a.Choice {
	case "cold-lateral":
		if s > spreader {
			return cone
		}
		wanted := math.Max(1, (spreader-c.Orifice())/2) // about one accessory cone for 2 mm of spreader reach
		supply := math.Min(1, float64(a.Count)/wanted)
		return cone + float64(float64(gap*0.65)*supply)
	case "warm-vertical":
		return cone + float64(gap*0.9)
	}
	return cone
}

// pasteShare is the share of the space beside the core that sealer fills: less in wide gaps, on smear,
// in a wet canal (epoxy and zinc oxide) and in one dried to the bone (calcium silicate wants moisture).
// Bands from Keleş 2014 (void 0.6–4.3 %) and Al-Jadaa 2018 (up to 14 %); sizes tuned.
func pasteShare(c *CanalState, i int, core float64, a Action) float64 {
	share := 0.92 - float64(0.1*c.Smear[i]) - float64(0.3*c.Tissue[i])
	if a.Agent != "calcium-silicate" && c.Wet > 0.05 {
		share -= 0.25
	}
	gap := 1 - core
	if a.Choice == "single-cone" {
		gap = float64(1.5 * gap)
	}
	return math.Max(0, share-float64(0.1*gap))
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
