package treatment

import (
	"math"

	"tugback/internal/mechanics"
)

// Feel is what the hand learned from the last instrument that worked in a canal.
type Feel struct {
	Item    string
	Depth   float64 // mm from the reference point, of the tip
	Why     string  // why it went no further: stop, tight, step, narrow, debris, buckled, torque, broken
	At      float64 // mm from the foramen, of the place that stopped it
	Wall    string  // wall that it met there, "" none in particular
	Strokes int     // made in the last action
	Now     float64 // N, resistance to the last stroke
	Before  float64 // N, to the stroke before it, to the first where there was one only
	Push    float64 // N, of the hand
	Loose   bool    // at its stop with less resistance than LooseShare of the push
	Tug     float64 // N, pull that draws it out
	Snap    float64 // mm it went deeper in the last stroke
}

// feel notes what the last strokes of a job told the hand, and tells it where there is something to
// compare: resistance now against the stroke before, looseness, tug.
func (t *turn) feel(j *job) {
	c, s := j.canal, j.last
	f := Feel{Item: j.item.ID, Depth: s.Depth, Why: haltWord(s.Halt), At: c.Level(s.HaltAt), Strokes: j.done,
		Now: s.Resistance, Before: j.earlier.Resistance, Push: j.hand.Push, Loose: j.loose(t.Case.Settings),
		Snap: math.Max(0, s.Depth-j.earlier.Depth)}
	if s.Halt == mechanics.HaltFace || s.Halt == mechanics.HaltTight {
		f.Wall = wallName(s.HaltSide)
	}
	if s.Broke == "" {
		f.Tug = t.worker.Grip(&c.Space, j.rod, &j.tool.Tool, s.Depth, j.hand.Friction)
	}
	c.Feel = f
	change := f.Change()
	if change == "" || s.Broke != "" {
		return
	}
	t.happen(Event{Kind: Felt, Item: f.Item, Value: f.Now, Unit: "N", Level: c.Level(s.Depth), Force: f.Before, Detail: change})
	if f.Tug >= tugLeast {
		t.happen(Event{Kind: Tugged, Item: f.Item, Value: f.Tug, Unit: "N", Level: c.Level(s.Depth)})
	}
}

// changedShare is the share of the push by which a stroke is called easier or harder. Common practice, no source.
const changedShare = 0.05

// Change says how the last stroke went against the one before it: "easing", "tightening" or "same", "" where there
// was one only.
func (f Feel) Change() string {
	share := float64(changedShare * f.Push)
	switch {
	case f.Strokes < 2:
		return ""
	case f.Now < f.Before-share:
		return "easing"
	case f.Now > f.Before+share:
		return "tightening"
	}
	return "same"
}

// tugLeast is the pull below which a hand feels no tug, N. Common practice, no source.
const tugLeast = 0.2

// LifeUsed returns the largest share of this piece's own fatigue life that any of its places has used.
func (t *ToolState) LifeUsed() float64 {
	most := 0.0
	for _, life := range t.Tool.Life {
		most = math.Max(most, life)
	}
	return most / math.Max(t.Tool.Endurance, 1e-9)
}
