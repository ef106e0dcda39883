package treatment

import (
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// Start returns the untouched state of a case.
func Start(c *Case) State {
	s := State{Case: c, Pulp: 1}
	s.Access.Roof = 1
	for i := range c.Tooth.Canals {
		s.Canals = append(s.Canals, startCanal(c.Tooth, i))
	}
	return s
}

// startCanal lays a canal's space out: the straight continuation of its axis up to the level of its
// reference cusp, the canal, and a stretch outside the foramen.
func startCanal(t *anatomy.Tooth, index int) CanalState {
	canal := &t.Canals[index]
	above := accessStations(t, canal)
	inside := len(canal.Axis)
	beyond := int(math.RoundToEven(outside / canal.Step))
	n := above + inside + beyond
	space := mechanics.Space{Step: canal.Step, Orifice: above, Foramen: above + inside - 1,
		Packed: make([]float64, n), Soft: make([]bool, n)}
	for p := range 2 {
		space.Curvature[p] = make([]float64, n)
	}
	for i := range inside {
		space.Curvature[0][above+i] = canal.Axis[i].Curvature
		space.Curvature[1][above+i] = canal.Proximal[i].Curvature
	}
	for side := range 4 {
		space.Wall[side] = slices.Concat(make([]float64, above), canal.Wall[side], repeat(outsideWall, beyond))
		space.Surface[side] = slices.Concat(repeat(t.Crown.Table[side/2]/2, above), canal.Surface[side], repeat(2*outsideWall, beyond))
	}
	for i := above + inside; i < n; i++ {
		space.Soft[i] = true
	}
	state := CanalState{Name: canal.Name, Space: space, Debris: make([]float64, n),
		Tissue: repeat(1, n), Smear: make([]float64, n), Flora: repeat(1, n), Erosion: make([]float64, n), Patent: true, Care: newCare(n)}
	for side := range 4 {
		state.First[side] = slices.Clone(space.Wall[side])
	}
	return state
}

// accessStations counts the stations between the level of the reference cusp and the orifice.
func accessStations(t *anatomy.Tooth, canal *anatomy.Canal) int {
	orifice := canal.Axis[0]
	height := t.Crown.Cusps[canal.Cusp].Point.Y - orifice.Point.Y
	return max(1, int(math.RoundToEven(height/detmath.Cos(orifice.Heading)/canal.Step)))
}

func repeat(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// Foramen returns the length from the reference point to the foramen, mm.
func (c *CanalState) Foramen() float64 { return float64(float64(c.Space.Foramen) * c.Space.Step) }

// Orifice returns the length from the reference point to the orifice, mm.
func (c *CanalState) Orifice() float64 { return float64(float64(c.Space.Orifice) * c.Space.Step) }

// Level returns the distance from the foramen of a length from the reference point, mm, crownwards
// positive.
func (c *CanalState) Level(length float64) float64 { return c.Foramen() - length }

// station returns the index of the station nearest to a length, kept inside the space.
func (c *CanalState) station(length float64) int {
	i := int(math.RoundToEven(length / c.Space.Step))
	return min(max(i, 0), len(c.Space.Packed)-1)
}

// Target returns the ideal working length of a canal: from the reference point to the constriction, mm.
func (s *State) Target(canal int) float64 {
	return s.Canals[canal].Foramen() - s.Case.Tooth.Canals[canal].Constriction.Level
}

// clone copies a canal deeply.
func (c *CanalState) clone() CanalState {
	d := *c
	d.Space.Packed = slices.Clone(c.Space.Packed)
	for side := range 4 {
		d.Space.Wall[side] = slices.Clone(c.Space.Wall[side])
		d.First[side] = slices.Clone(c.First[side])
	}
	d.Debris, d.Tissue, d.Smear = slices.Clone(c.Debris), slices.Clone(c.Tissue), slices.Clone(c.Smear)
	d.Flora, d.Erosion = slices.Clone(c.Flora), slices.Clone(c.Erosion)
	d.Fill.Solid, d.Fill.Paste = slices.Clone(c.Fill.Solid), slices.Clone(c.Fill.Paste)
	d.Care = c.Care.clone()
	if c.Fragment != nil {
		f := *c.Fragment
		d.Fragment = &f
	}
	if c.Perforation != nil {
		p := *c.Perforation
		d.Perforation = &p
	}
	return d
}
