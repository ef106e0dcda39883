package treatment

import (
	"math"
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
	rods          map[rodKey]*mechanics.Rod
	scouted       []scouted
	slid          []slid
}

// NewScratch returns working memory that was not used yet.
func NewScratch() *Scratch {
	return &Scratch{worker: mechanics.NewWorker(), scout: mechanics.NewWorker(), rods: map[rodKey]*mechanics.Rod{}}
}

// Step does one action as the function Step does.
func (m *Scratch) Step(s State, a Action) (State, []Event, error) {
	m.worker.Reset()
	return m.step(s, a)
}

// Counts is how many strokes were made and contact problems solved.
type Counts = mechanics.Counts

// Counts returns what was done with this memory.
func (m *Scratch) Counts() Counts { return m.worker.Counts().Plus(m.scout.Counts()) }

// rodKey is what a rod is made of: an entry of the catalogue, how much wider this piece is, mm, at how many °C,
// and the step of the canal, mm.
type rodKey struct {
	item              string
	off, warmth, step float64
}

// mostRods is how many rods are kept: the files of a treatment.
const mostRods = 64

// rod returns a rod of a blank, the one made before where there is one.
func (m *Scratch) rod(key rodKey, blank func() mechanics.Blank) *mechanics.Rod {
	if r := m.rods[key]; r != nil {
		return r
	}
	if len(m.rods) == mostRods {
		clear(m.rods)
	}
	r := mechanics.NewRod(blank(), key.step)
	m.rods[key] = r
	return r
}

// scouted is the detour of the scout in a canal as first found, and where it lay.
type scouted struct {
	curvature     *float64 // of the canal's first station, which tells canals apart
	walls         [4][]float64
	depth, detour float64
	lying         mechanics.Lying
}

// mostScouted is how many of them are kept: a few depths in each canal of a tooth.
const mostScouted = 16

// shortening returns CanalState.shortening, with the scout laid but once in the canal as it was.
func (m *Scratch) shortening(c *CanalState, length float64) float64 {
	item, err := Lookup(scoutSize)
	if err != nil {
		panic("treatment: no scout file")
	}
	depth := math.Min(length, c.Foramen())
	rod := m.rod(rodKey{item: scoutSize, step: c.Space.Step}, item.Blank)
	tool := mechanics.NewTool(rod)
	before := m.detour(c, rod, &tool, depth)
	return before - m.scout.Detour(&c.Space, rod, &tool, depth)
}

// detour returns the scout's detour in the canal as first found and leaves the scout lying there.
func (m *Scratch) detour(c *CanalState, rod *mechanics.Rod, tool *mechanics.Tool, depth float64) float64 {
	m.scout.Reset()
	for i := range m.scouted {
		s := &m.scouted[i]
		if s.curvature == &c.Space.Curvature[0][0] && s.depth == depth && sameWalls(s.walls, c.First) {
			m.scout.Lay(s.lying)
			return s.detour
		}
	}
	if len(m.scouted) == mostScouted {
		m.scouted = m.scouted[:0]
	}
	first := c.Space
	first.Wall = c.First
	detour := m.scout.Detour(&first, rod, tool, depth)
	m.scouted = append(m.scouted, scouted{&c.Space.Curvature[0][0], copied(c.First), depth, detour, m.scout.Lying()})
	return detour
}

// slid is a rod slid into a canal, and where it came to.
type slid struct {
	curvature *float64 // of the canal's first station, which tells canals apart
	walls     [4][]float64
	packed    []float64
	set       [2][]float64
	rod       *mechanics.Rod
	hand      mechanics.Hand
	from      float64
	reach     mechanics.Stroke
}

// mostSlid is how many slides are kept: a length is read twice and a canal rinsed several times in a row.
const mostSlid = 8

// slide slides a rod of this memory into a canal as Worker.Slide does after a Reset; one slid the same way into
// the same walls comes to the same place.
func (m *Scratch) slide(c *CanalState, rod *mechanics.Rod, tool *mechanics.Tool, hand mechanics.Hand, from float64) mechanics.Stroke {
	curvature := &c.Space.Curvature[0][0]
	for i := range m.slid {
		s := &m.slid[i]
		if s.curvature == curvature && s.rod == rod && s.hand == hand && s.from == from && sameWalls(s.walls, c.Space.Wall) &&
			slices.Equal(s.packed, c.Space.Packed) && slices.Equal(s.set[0], tool.Set[0]) && slices.Equal(s.set[1], tool.Set[1]) {
			return s.reach
		}
	}
	if len(m.slid) == mostSlid {
		m.slid = append(m.slid[:0], m.slid[1:]...)
	}
	m.worker.Reset()
	reach := m.worker.Slide(&c.Space, rod, tool, hand, from)
	m.slid = append(m.slid, slid{curvature, copied(c.Space.Wall), slices.Clone(c.Space.Packed),
		[2][]float64{slices.Clone(tool.Set[0]), slices.Clone(tool.Set[1])}, rod, hand, from, reach})
	return reach
}

// sameWalls says whether the walls are equal, bit for bit but for the sign of a zero.
func sameWalls(a, b [4][]float64) bool {
	for side := range a {
		if !slices.Equal(a[side], b[side]) {
			return false
		}
	}
	return true
}

// copied returns walls that share nothing with others.
func copied(walls [4][]float64) [4][]float64 {
	for side := range walls {
		walls[side] = slices.Clone(walls[side])
	}
	return walls
}

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
