package picture

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// Inside is a canal at a moment, cut in the clinical plane, mm of the tooth: its space and what it holds.
type Inside struct {
	Space   Path           // open to the chamber and to the root's surface
	Lines   Path           // its walls
	First   []geom.Point   // closed outline as grown
	Walls   Path           // where the walls as grown were cut away
	Removed [][]geom.Point // closed pieces of dentine that were cut: along the wall as it is, back along that as grown
	Pulp    Path           // where pulp is left
	Chips   Path           // shavings, as flecks: the more, the denser they lie
}

// InsideOf returns what a canal of a treated tooth is and holds now. It panics where there is no such canal.
// The state is only read. Checked by TestInside.
func InsideOf(s *treatment.State, canal int) Inside {
	l := newLumen(s.Case.Tooth, canal, treatedWalls(*s, 0), false)
	l.way = l.wayOut(s.Case.Tooth.Roots[l.canal.Root].Outline)
	l.way.beyond, l.into = 0, 0 // nothing cuts it there
	walls := l.ended(l.begun(l.now), l.now)
	lines := line(walls[0]...)
	lines.Append(line(walls[1]...))
	in := Inside{Space: polygon(l.outline(walls)), Lines: lines, First: l.outline(l.first), Pulp: l.tissue(&s.Canals[canal]), Chips: l.chips(&s.Canals[canal])}
	for side := range 2 {
		in.Walls.Append(l.firstWall(side))
		in.Removed = append(in.Removed, l.removed(side)...)
	}
	return in
}

// Flecks of shavings (chosen): their area, mm², how long they are against how wide, and the share of a section filled
// below which none is drawn.
const (
	fleckArea  = 0.0035
	fleckShape = 2.2
	leastChips = 3e-4
)

// chips strews flecks over a canal. They cover its section by the square root of the share that shavings
// fill, so that the first ones are seen and packed ones lie close. Where they lie across is drawn from their
// number alone, so that they stay where they are while others come: multiples of irrational numbers (the golden
// ratio's 1/φ, and 1/ρ and 1/ρ² of the plastic number ρ) never fall into rows.
func (l lumen) chips(c *treatment.CanalState) Path {
	var p Path
	long := math.Sqrt(fleckArea * fleckShape)
	due := 0.0
	for i := range l.axis {
		share := c.Debris[c.Space.Orifice+i]
		if share < leastChips {
			continue
		}
		width := l.now[1][i].Sub(l.now[0][i]).Norm()
		due += math.Sqrt(share) * width * l.canal.Step / fleckArea
		for k := 0; due >= 1; k++ {
			due--
			n := float64(7*i + k)
			place, turn, slip := math.Mod(0.618034*n, 1), math.Mod(0.7548777*n, 1), math.Mod(0.5698403*n, 1)-0.5
			at := l.across(i, 1.7*(place-0.5)).Add(geom.Direction(l.axis[i].Heading).Scale(slip * l.canal.Step))
			p.Append(fleck(at, math.Pi*turn, long))
		}
	}
	return p
}

// fleck returns a small sliver about a place.
func fleck(at geom.Point, heading, long float64) Path {
	sin, cos := detmath.Sincos(heading)
	along, across := geom.Point{X: cos, Y: sin}.Scale(long/2), geom.Point{X: -sin, Y: cos}.Scale(long/2/fleckShape)
	return polygon([]geom.Point{at.Sub(along), at.Sub(across), at.Add(along).Add(across.Scale(0.4)), at.Add(across)})
}
