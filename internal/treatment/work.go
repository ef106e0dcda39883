package treatment

import (
	"math"

	"tugback/internal/mechanics"
)

// job is one instrument at work in one canal during one action.
type job struct {
	canal   *CanalState
	item    Instrument
	rod     *mechanics.Rod
	tool    *ToolState
	hand    mechanics.Hand
	before  [4][]float64 // walls when the action began
	last    mechanics.Stroke
	earlier mechanics.Stroke // the stroke before the last
	done    int              // strokes made
	gouge   [4]float64
	at      [4]float64
	packed  float64  // largest share of debris met
	bound   float64  // largest torque / strength met
	out     float64  // mm³ pushed past the foramen
	screw   float64  // N, largest pull of turning flutes
	first   shapeNow // of the canal when the action began
	holed   bool     // a wall was cut through
}

// work places an instrument and makes strokes with it. Each stroke is solved, cuts the walls, ages the
// instrument and moves shavings; what is worth telling is told once, at the end.
func (t *turn) work() error {
	item, err := t.instrument()
	if err != nil {
		return err
	}
	if err := t.suits(item); err != nil {
		return err
	}
	j := t.place(item)
	c := j.canal
	for range t.action.Strokes {
		t.stroke(j)
		if j.last.Broke != "" || (t.action.Choice == "loose" && j.loose(t.Case.Settings)) {
			break
		}
	}
	t.spend(j.done*strokeMs(item) + 5_000)
	c.Since++
	c.Care.Slipped = 0
	t.Pulp = math.Max(0, t.Pulp-0.1)
	t.settle(j)
	t.tellMotion(j)
	t.tellDepth(j)
	t.feel(j)
	t.tellDamage(j)
	t.tellTool(j)
	return nil
}

// suits refuses what cannot be done with an instrument at all; poor choices are allowed and have
// consequences.
func (t *turn) suits(item Instrument) error {
	motor := t.action.Motion == "rotation" || t.action.Motion == "reciprocation" || t.action.Motion == "pecking"
	switch {
	case !item.Shapes():
		return refuse("wrong-item", "work: %s is a %s and does not shape a canal", item.ID, item.Name)
	case motor && !item.Powered:
		return refuse("no-motor", "work: %s is a hand instrument and is not driven by a motor", item.ID)
	case !motor && item.Powered && t.action.Motion != "brushing":
		return refuse("no-handle", "work: %s is driven by a motor, not by %s", item.ID, t.action.Motion)
	}
	return nil
}

// place puts the instrument in and lets it slide to where it meets resistance.
func (t *turn) place(item Instrument) *job {
	c := t.canal()
	key := rodKey{item: item.ID, warmth: t.Case.Settings.Temperature, step: c.Space.Step}
	made := func() mechanics.Blank {
		blank := item.Blank()
		blank.Alloy = blank.Alloy.At(key.warmth)
		if key.off != 0 {
			blank.Tip += key.off
			blank.Shaft = math.Max(blank.Shaft, blank.Tip)
		}
		return blank
	}
	rod := t.memory.rod(key, made)
	tool := t.pieceOf(item, rod)
	if key.off = tool.Off; key.off != 0 {
		rod = t.memory.rod(key, made)
	}
	tool.Tool = tool.Tool.Clone()
	if tool.In != c.Name {
		tool.In = c.Name
		tool.Canals++
	}
	stop := float64(t.action.Stop) / 1000
	j := &job{canal: c, item: item, rod: rod, tool: tool, hand: mechanics.Hand{
		Motion: motionOf(t.action, furcalSide(t.Case.Tooth, t.index(c.Name))),
		Push:   float64(t.action.Push) / 1000, Stop: stop + t.memory.shortening(c, stop),
		Friction: friction(c), TorqueLimit: float64(t.action.Torque) / 1000,
	}}
	for side := range 4 {
		j.before[side] = append([]float64(nil), c.Space.Wall[side]...)
	}
	j.first = t.shapeOf(c)
	t.worker.Reset()
	slide := j.hand
	slide.Motion = mechanics.Motion{Kind: mechanics.Sliding}
	slide.Push = math.Min(slide.Push, probePush)
	from := math.Min(c.Orifice(), j.hand.Stop)
	j.last = t.worker.Slide(&c.Space, rod, &tool.Tool, slide, from)
	if j.last.Depth <= from && j.last.Resistance > slide.Push { // the cavity itself does not let it in so far
		t.worker.Reset()
		j.last = t.worker.Slide(&c.Space, rod, &tool.Tool, slide, 0)
	}
	return j
}

// friction of steel or NiTi on dentine: lower when wet. Common practice, no source; zero lets the
// mechanics take its own default for a dry wall.
func friction(c *CanalState) float64 {
	if c.Wet > 0 {
		return 0.2
	}
	return 0
}

// stroke makes one stroke and moves the shavings it made.
func (t *turn) stroke(j *job) {
	c := j.canal
	j.earlier = j.last
	j.last = t.worker.Stroke(&c.Space, j.rod, &j.tool.Tool, j.hand, j.last.Depth)
	if j.done == 0 {
		j.earlier = j.last
	}
	j.done++
	if j.last.Gouge > 0 && j.last.HaltSide >= 0 {
		j.gouge[j.last.HaltSide] += j.last.Gouge
		j.at[j.last.HaltSide] = j.last.HaltAt
	}
	j.tool.Peak = math.Max(j.tool.Peak, j.last.Strain)
	j.bound = math.Max(j.bound, j.last.TorqueShare)
	j.tool.Torque = math.Max(j.tool.Torque, j.last.TorqueShare)
	c.Deepest = math.Max(c.Deepest, j.last.Depth)
	j.screw = math.Max(j.screw, j.last.ScrewIn)
	if past := j.last.Depth - c.Foramen(); past > 0 {
		c.Passed = math.Max(c.Passed, past)
	}
	j.moveDebris(t.action.Motion)
	if j.last.Broke != "" {
		t.leaveFragment(j)
	}
	if j.last.Through && c.Perforation == nil {
		t.pierce(j)
	}
}

func (j *job) loose(s Settings) bool {
	return j.last.Halt == mechanics.HaltStop && j.last.Resistance < float64(s.LooseShare*j.hand.Push)
}

func (t *turn) leaveFragment(j *job) {
	c := j.canal
	j.tool.Broken = true
	c.Fragment = &Fragment{Item: j.item.ID, Tip: j.last.Depth, Length: j.last.BrokeAt}
	c.repack()
	t.mishap("broken-file")
}

func (t *turn) pierce(j *job) {
	c := j.canal
	j.holed = true
	c.Perforation = &Perforation{S: j.last.ThroughAt, Wall: j.last.ThroughSide, Kind: c.holeKind(j.last.ThroughAt)}
	t.pierced()
}

// holeKind says what a hole at a length is called: apical in the last two millimetres, else a strip.
func (c *CanalState) holeKind(at float64) string {
	if c.Level(at) < 2 {
		return "apical"
	}
	return "strip"
}

// settle updates what follows from the walls cut in this action: smear and tissue where they were
// touched, and the largest instrument that came to the working length.
func (t *turn) settle(j *job) {
	c := j.canal
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		touched := 0.0
		for side := range 4 {
			if c.Space.Wall[side][i] > j.before[side][i] {
				touched += 0.25
			}
		}
		c.Tissue[i] = float64(c.Tissue[i] * (1 - float64(0.5*touched)))
		c.Smear[i] = math.Max(c.Smear[i], touched)
	}
	if c.Length > 0 && j.last.Depth >= c.Length-0.25 && j.item.Size > c.Last && j.item.Family != "enlarger" {
		c.Last = j.item.Size
	}
}

// tellDepth says how far the instrument came and why it stopped there.
func (t *turn) tellDepth(j *job) {
	c, s := j.canal, j.last
	e := Event{Kind: Reached, Item: j.item.ID, Value: s.Depth, Unit: "mm", Level: c.Level(s.Depth), Force: j.hand.Push}
	if s.Halt != mechanics.HaltStop {
		e.Kind, e.Detail = Halted, haltWord(s.Halt)
		if s.Halt == mechanics.HaltFace || s.Halt == mechanics.HaltTight {
			e.Level, e.Wall = c.Level(s.HaltAt), wallName(s.HaltSide)
		}
	}
	t.happen(e)
	if j.loose(t.Case.Settings) {
		t.happen(Event{Kind: Loose, Item: j.item.ID, Value: s.Resistance / j.hand.Push, Level: c.Level(s.Depth)})
	}
}

// haltWord says in a word why an instrument stopped.
func haltWord(h mechanics.Halt) string {
	switch h {
	case mechanics.HaltStop:
		return "stop"
	case mechanics.HaltTight:
		return "tight"
	case mechanics.HaltFace:
		return "step"
	case mechanics.HaltNarrow:
		return "narrow"
	case mechanics.HaltPacked:
		return "debris"
	case mechanics.HaltBuckled:
		return "buckled"
	case mechanics.HaltTorque:
		return "torque"
	case mechanics.HaltBroken:
		return "broken"
	}
	panic("treatment: unknown halt")
}

// tellDamage says what the action did to the walls and past the foramen.
func (t *turn) tellDamage(j *job) {
	c, set := j.canal, t.Case.Settings
	for side := range 4 {
		depth := c.stepNear(c.Space.Wall, side, j.at[side])
		if j.gouge[side] > 0 && depth >= set.LedgeStep && depth > c.stepNear(j.before, side, j.at[side])+1e-3 {
			t.happen(Event{Kind: Ledge, Item: j.item.ID, Wall: wallName(side), Level: c.Level(j.at[side]),
				Value: depth, Unit: "mm", Force: j.hand.Push})
			t.mishap("blockage")
		}
	}
	t.tellWear(j)
	t.tellShape(j)
	t.tellThin(c, j.before)
	if j.holed {
		p := c.Perforation
		t.happen(Event{Kind: Perforated, Item: j.item.ID, Wall: wallName(p.Wall), Level: c.Level(p.S), Value: p.S, Unit: "mm", Detail: p.Kind, Force: j.hand.Push})
	}
	if past := j.last.Depth - c.Foramen(); past > 0.05 {
		t.happen(Event{Kind: PastForamen, Item: j.item.ID, Value: past, Unit: "mm", Level: -past})
	}
	if j.out > 0.001 {
		c.Extruded += j.out
		t.happen(Event{Kind: DebrisOut, Item: j.item.ID, Value: j.out, Unit: "mm³"})
	}
	if j.packed > 0.6 {
		t.happen(Event{Kind: Packed, Item: j.item.ID, Value: j.packed, Level: c.Level(j.last.Depth)})
	}
}

func (t *turn) tellWear(j *job) {
	c := j.canal
	now, was := c.transport(c.Space.Wall, 0, 10), c.transport(j.before, 0, 10)
	if now.size >= t.Case.Settings.WornLimit && now.size > was.size+0.02 {
		t.happen(Event{Kind: WallWorn, Item: j.item.ID, Wall: wallName(now.side), Level: now.level,
			Value: now.size, Unit: "mm", Force: j.hand.Push})
	}
}

// tellTool says what the action did to the instrument.
func (t *turn) tellTool(j *job) {
	s := j.last
	if s.Broke != "" {
		t.happen(Event{Kind: Broke, Item: j.item.ID, Value: s.BrokeAt, Unit: "mm", Level: j.canal.Level(s.Depth), Detail: s.Broke, Force: j.hand.Push})
		return
	}
	if s.Life >= t.Case.Settings.RiskShare {
		t.happen(Event{Kind: Strained, Item: j.item.ID, Value: s.Life, Level: j.canal.Level(s.Depth - s.StrainAt)})
	}
	if j.bound >= t.Case.Settings.RiskShare {
		t.happen(Event{Kind: Bound, Item: j.item.ID, Value: j.bound, Level: j.canal.Level(s.HaltAt)})
	}
	if j.tool.Tool.Unwound > radians(5) {
		t.happen(Event{Kind: Unwound, Item: j.item.ID, Value: degrees(j.tool.Tool.Unwound), Unit: "deg"})
	}
}
