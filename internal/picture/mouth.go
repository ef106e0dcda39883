package picture

import (
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// way is how a drawn canal goes on from the end of its axis.
type way struct {
	kind   opening
	ahead  geom.Point // unit vector to the surface; sideways: out of the root beside
	far    float64    // mm to the surface
	side   int        // sideways: the wall that has come to the surface
	lip    geom.Point // sideways: where the other wall ends, on the surface
	beyond float64    // mm, how far the drawing goes on past the surface, where a clip cuts it
}

// opening says how a canal opens.
type opening int

const (
	joining  opening = iota // into another canal
	straight                // straight on
	sideways                // through a wall
	round                   // towards the reader or away from him: it ends round
)

// Distances of a foramen, mm: an end of the axis so near the surface ahead opens there; a wall's end so near
// it beside opens there. pastSurface is how far a clipped drawing goes on.
const (
	nearAhead   = 0.4
	nearBeside  = 0.3
	pastSurface = 0.25
)

// wayOut returns how a canal goes on from the end of its axis in an outline: straight on where the surface is
// near, sideways where a wall has come to it, else it ends round; nowhere where it joins another canal.
func (l lumen) wayOut(outline []geom.Point) way {
	n := len(l.axis)
	end := l.axis[n-1]
	w := way{ahead: geom.Direction(end.Heading), beyond: pastSurface}
	if l.canal.Joins >= 0 {
		return w
	}
	for w.far = 0; w.far <= nearAhead; w.far += 0.02 {
		if !geom.Contains(outline, end.Point.Add(w.ahead.Scale(w.far+0.02))) {
			w.kind = straight
			return w
		}
	}
	w.kind, w.far = round, nearBeside
	width := l.first[1][n-1].Sub(l.first[0][n-1])
	for side := range 2 {
		wall := l.first[side][n-1]
		if d, _ := geom.Distance(wall, outline); d < w.far {
			w.kind, w.side, w.far = sideways, side, d
			_, w.lip = geom.Distance(wall.Add(geom.Direction(end.Heading).Scale(0.45*width.Norm())), outline)
			w.ahead = width.Unit().Scale(float64(2*side - 1))
		}
	}
	return w
}

// mouth returns what the two walls go on with, from the place they have come to.
func (l lumen) mouth(walls [2][]geom.Point) (more [2][]geom.Point) {
	w := l.way
	ends := [2]geom.Point{walls[0][len(walls[0])-1], walls[1][len(walls[1])-1]}
	across := ends[1].Sub(ends[0])
	down := geom.Direction(l.axis[len(l.axis)-1].Heading).Scale(across.Norm())
	switch w.kind {
	case straight:
		on := w.ahead.Scale(w.far + w.beyond)
		more = [2][]geom.Point{{ends[0].Add(on)}, {ends[1].Add(on)}}
	case round:
		middle := ends[0].Add(ends[1]).Scale(0.5)
		for _, turn := range []float64{0.25, 0.5, 0.75} {
			sin, cos := detmath.Sincos(math.Pi * turn)
			more[0] = append(more[0], middle.Sub(across.Scale(0.5*cos)).Add(down.Scale(0.35*sin)))
		}
	case sideways:
		deep := 1 - w.side
		lip := w.lip.Add(w.ahead.Scale(w.beyond))
		more[deep] = chords(ends[deep], []geom.Point{ends[deep].Add(down.Scale(0.45)), lip})
		more[w.side] = []geom.Point{ends[w.side].Add(w.ahead.Scale(w.far + w.beyond))}
	case joining: // nothing
	}
	return more
}

// open returns a canal's closed outline with its mouth in the chamber and its foramen opened to the root's
// surface.
func (l lumen) open(walls [2][]geom.Point) []geom.Point {
	return l.outline(l.ended(l.begun(walls), walls))
}

// begun lets walls reach into the chamber.
func (l lumen) begun(walls [2][]geom.Point) [2][]geom.Point {
	up := geom.Direction(l.axis[0].Heading).Scale(-l.into)
	return [2][]geom.Point{slices.Insert(slices.Clone(walls[0]), 0, walls[0][0].Add(up)), slices.Insert(slices.Clone(walls[1]), 0, walls[1][0].Add(up))}
}

// ended lets walls go on through the foramen of a canal with walls whole.
func (l lumen) ended(part, whole [2][]geom.Point) [2][]geom.Point {
	more := l.mouth(whole)
	return [2][]geom.Point{append(part[0], more[0]...), append(part[1], more[1]...)}
}
