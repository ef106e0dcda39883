package treatment

import "math"

// shapeNow is what of a canal's shape an action may harm, so that only what got worse is told.
type shapeNow struct{ transport, zip, tear, moved, straight float64 }

// shapeOf measures a canal.
func (t *turn) shapeOf(c *CanalState) shapeNow {
	tear, _ := c.zip()
	return shapeNow{transport: c.transport(c.Space.Wall, 0, 3).size, zip: tear, tear: c.foramenTear(), moved: c.foramenMoved(),
		straight: t.memory.straightening(&t.State, t.index(c.Name))}
}

// worse says whether a figure has passed its limit and grown since the action began.
func worse(now, was, limit float64) bool { return now > limit && now > was+1e-3 }

// tellShape says what the action did to the course of the canal: transportation of the apical part, zip and
// elbow, foramen, straightening, each beyond the limit of the settings.
func (t *turn) tellShape(j *job) {
	c, set, was := j.canal, t.Case.Settings, j.first
	now := t.shapeOf(c)
	if worse(now.transport, was.transport, set.TransportLimit) {
		at := c.transport(c.Space.Wall, 0, 3)
		t.happen(Event{Kind: Transported, Item: j.item.ID, Wall: wallName(at.side), Level: at.level, Value: at.size, Unit: "mm", Force: j.hand.Push})
	}
	if worse(now.zip, was.zip, set.ZipWidth) {
		_, elbow := c.zip()
		t.happen(Event{Kind: Zipped, Item: j.item.ID, Level: elbow, Value: now.zip, Unit: "mm", Force: j.hand.Push})
	}
	if worse(now.tear, was.tear, set.ForamenLimit) {
		t.happen(Event{Kind: ForamenTorn, Item: j.item.ID, Value: now.tear, Unit: "mm", Detail: "torn", Force: j.hand.Push})
	}
	if worse(now.moved, was.moved, set.ForamenLimit) {
		t.happen(Event{Kind: ForamenTorn, Item: j.item.ID, Value: now.moved, Unit: "mm", Detail: "moved", Force: j.hand.Push})
	}
	if worse(now.straight, was.straight, set.StraightenLimit) {
		t.happen(Event{Kind: Straightened, Item: j.item.ID, Value: degrees(now.straight), Unit: "deg", Force: j.hand.Push})
	}
}

// tellThin says that a wall has become thinner than the limit of the settings.
func (t *turn) tellThin(c *CanalState, before [4][]float64) {
	limit := t.Case.Settings.StripThickness
	if now, was := c.thinnest(c.Space.Wall), c.thinnest(before); now.left < limit && now.left < was.left-1e-6 {
		t.happen(Event{Kind: StripRisk, Item: t.action.Item, Wall: wallName(now.side), Level: now.level, Value: now.left, Unit: "mm"})
	}
}

// Limits of the balanced force as published: clockwise at most 180°, counter-clockwise at least 120° (Roane
// 1985, J Endod 11:203). Checked by TestBalancedForceAngles (M2).
const (
	balancedForward = 180.0
	balancedBack    = 120.0
)

// tellMotion says that the angles of a balanced force lie outside the published ones, and that an
// instrument drew itself in.
func (t *turn) tellMotion(j *job) {
	m := j.hand.Motion
	forward, back := degrees(m.Forward), degrees(m.Back)
	if t.action.Motion == "balanced-force" && (forward > balancedForward+1e-6 || back < balancedBack-1e-6) {
		t.happen(Event{Kind: AnglesOutside, Item: j.item.ID, Value: math.RoundToEven(back), Unit: "deg"})
	}
	if j.item.Powered && j.screw > j.hand.Push {
		t.happen(Event{Kind: ScrewIn, Item: j.item.ID, Value: j.screw, Unit: "N", Level: j.canal.Level(j.last.Depth), Force: j.hand.Push})
	}
}
