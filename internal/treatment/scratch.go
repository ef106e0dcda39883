package treatment

import (
	"slices"

	"tugback/internal/geom"
	"tugback/internal/mechanics"
)

// Scratch is working memory for those who do many actions one after another: it spares each action the
// making of a solver and the measuring again of what an action cannot change. It never changes a result:
// actions done with one Scratch, with several or with Step alone give the same bits, whatever was done with
// it before. Not to be used by two at once. Checked by TestScratchChangesNothing.
type Scratch struct {
	worker, scout *mechanics.Worker
	bends         []grownBend
}

// NewScratch returns working memory that was not used yet.
func NewScratch() *Scratch {
	return &Scratch{worker: mechanics.NewWorker(), scout: mechanics.NewWorker()}
}

// Step does one action as the function Step does.
func (m *Scratch) Step(s State, a Action) (State, []Event, error) {
	m.worker.Reset()
	return m.step(s, a)
}

// Counts returns how many strokes were made and contact problems solved with this memory.
func (m *Scratch) Counts() mechanics.Counts { return m.worker.Counts().Plus(m.scout.Counts()) }

// grownBend is the first bend of a canal's middle line as grown, with what it was measured on.
type grownBend struct {
	axis  *geom.Station
	walls [2][]float64
	bend  geom.Bend
}

// mostBends is how many bends are kept: those of a tooth or two.
const mostBends = 8

// straightening returns State.straightening, with the bend of the canal as grown measured once.
func (m *Scratch) straightening(s *State, k int) float64 {
	c, axis := &s.Canals[k], s.Case.Tooth.Canals[k].Axis
	before := c.middle(axis, false)
	for _, b := range m.bends {
		if b.axis == &axis[0] && slices.Equal(b.walls[0], c.First[0]) && slices.Equal(b.walls[1], c.First[1]) {
			return s.straightened(k, before, b.bend)
		}
	}
	if len(m.bends) == mostBends {
		m.bends = m.bends[:0]
	}
	bend := geom.Bends(before)[0]
	m.bends = append(m.bends, grownBend{&axis[0], [2][]float64{slices.Clone(c.First[0]), slices.Clone(c.First[1])}, bend})
	return s.straightened(k, before, bend)
}
