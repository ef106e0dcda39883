package picture

import (
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// behindBy, mm, is how much further lingual an apex lies than the nearest one before its root counts
// as lying behind the clinical section.
const behindBy = 1.5

// section is the clinical section through a tooth: what is cut, what lies behind it.
type section struct {
	tooth  *anatomy.Tooth
	body   []geom.Point // closed: dentine of the crown and of the roots that are cut
	crown  []geom.Point // closed: crown with enamel
	cut    []int        // roots, mesial to distal
	behind []int
	canals []lumen
	chosen int // canal that is cut for its own sake, −1 none
}

// lumen is one canal in the clinical plane with its walls as grown and as they are now.
type lumen struct {
	index      int
	canal      *anatomy.Canal
	behind     bool // its root is not cut, or another canal of the root lies in front of it
	rootBehind bool
	axis       []geom.Station
	above      float64         // mm from the reference point to the orifice, as lengths are counted
	way        way             // how it goes on from the end of the axis
	into       float64         // mm, how far its mouth reaches into the chamber
	first, now [2][]geom.Point // mesial and distal wall, station by station
}

// walls gives the wall distances of a canal, one per station of its axis.
type walls func(canal int) (first, now [2][]float64)

// grownWalls are the walls of an untreated tooth in a plane, 0 clinical, 1 proximal.
func grownWalls(t *anatomy.Tooth, plane int) walls {
	return func(canal int) (first, now [2][]float64) {
		w := [2][]float64{t.Canals[canal].Wall[2*plane], t.Canals[canal].Wall[2*plane+1]}
		return w, w
	}
}

// newSection lays the section out. The canal numbered prefer, if there is one, is cut rather than
// another one of its root that would hide it.
func newSection(t *anatomy.Tooth, w walls, prefer int) section {
	s := section{tooth: t, chosen: prefer}
	nearest := math.Inf(1)
	for _, r := range t.Roots {
		nearest = math.Min(nearest, r.ApexZ)
	}
	for i, r := range t.Roots {
		if r.ApexZ-nearest > behindBy {
			s.behind = append(s.behind, i)
			continue
		}
		s.cut = append(s.cut, i)
	}
	slices.SortFunc(s.cut, func(a, b int) int { return compare(middleX(t.Roots[a].Outline), middleX(t.Roots[b].Outline)) })
	s.crown = t.Crown.Outline
	for _, i := range s.cut {
		s.body = append(s.body, t.Roots[i].Outline...)
	}
	back := slices.Clone(t.Crown.Dentine)
	slices.Reverse(back)
	s.body = append(s.body, back...)
	for i, canal := range t.Canals {
		s.canals = append(s.canals, newLumen(t, i, w, slices.Contains(s.behind, canal.Root)))
	}
	for i := range s.canals {
		s.canals[i].way = s.canals[i].wayOut(s.outlineOf(s.canals[i].canal.Root))
	}
	s.hideOverlaid(prefer)
	return s
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func middleX(points []geom.Point) float64 {
	b := line(points...).bounds()
	return (b.Left + b.Right) / 2
}

// newLumen lays one canal's walls down, to the place where it joins another one.
func newLumen(t *anatomy.Tooth, index int, w walls, behind bool) lumen {
	canal := &t.Canals[index]
	n := len(canal.Axis)
	if canal.Joins >= 0 {
		n = min(n, max(2, int(math.RoundToEven(canal.JoinS/canal.Step))+1))
	}
	l := lumen{index: index, canal: canal, behind: behind, rootBehind: behind, into: intoChamber, axis: canal.Axis[:n]}
	orifice := canal.Axis[0]
	l.above = (t.Crown.Cusps[canal.Cusp].Point.Y - orifice.Point.Y) / detmath.Cos(orifice.Heading)
	first, now := w(index)
	for side := range 2 {
		l.first[side] = wallPoints(l.axis, first[side], side)
		l.now[side] = wallPoints(l.axis, now[side], side)
	}
	return l
}

// wallPoints returns the points of a wall; side 0 lies to the mesial of the axis, 1 to the distal.
func wallPoints(axis []geom.Station, distance []float64, side int) []geom.Point {
	out := make([]geom.Point, len(axis))
	for i, at := range axis {
		across := geom.Direction(at.Heading).Left()
		d := distance[i]
		if side == 0 {
			d = -d
		}
		out[i] = at.Point.Add(across.Scale(d))
	}
	return out
}

// hideOverlaid marks canals that share a root with a canal in front of them and overlap it; the
// preferred one stays in front.
func (s *section) hideOverlaid(prefer int) {
	for i := range s.canals {
		for j := range s.canals {
			a, b := &s.canals[i], &s.canals[j]
			if i == j || a.behind || b.behind || a.canal.Root != b.canal.Root {
				continue
			}
			if i == prefer || j != prefer && (a.depth() < b.depth() || a.depth() == b.depth() && i <= j) {
				continue
			}
			if overlaid(*a, *b) {
				a.behind = true
			}
		}
	}
}

// depth is how far lingual a canal runs, mm.
func (l lumen) depth() float64 {
	sum := 0.0
	for _, at := range l.canal.Proximal {
		sum += at.Point.X
	}
	return sum / float64(max(1, len(l.canal.Proximal)))
}

// overlaid reports whether two canals cover each other in the clinical plane.
func overlaid(a, b lumen) bool {
	hidden := 0
	outline := b.outline(b.now)
	for _, at := range a.axis {
		if d, _ := geom.Distance(at.Point, outline); d < 0.3 || geom.Contains(outline, at.Point) {
			hidden++
		}
	}
	return hidden*4 > len(a.axis)
}

// outline returns a closed outline from two walls.
func (l lumen) outline(walls [2][]geom.Point) []geom.Point {
	back := slices.Clone(walls[1])
	slices.Reverse(back)
	return append(slices.Clone(walls[0]), back...)
}

// intoChamber, mm, is how far the drawn canal reaches into the chamber, so that no seam shows.
const intoChamber = 0.22

// outlineOf returns the closed outline within which a root's canals end: the cut tooth, or the root alone
// where it lies behind.
func (s section) outlineOf(root int) []geom.Point {
	if slices.Contains(s.behind, root) {
		return s.tooth.Roots[root].Outline
	}
	return s.body
}

// leastCut, mm, is the thinnest cut that is drawn: a tenth of a pixel at 4000 px.
const leastCut = 0.001

// removed returns what was cut from one wall as closed pieces, mesial or distal.
func (l lumen) removed(side int) [][]geom.Point {
	var pieces [][]geom.Point
	begin := -1
	for i := range l.axis {
		cut := l.now[side][i].Sub(l.first[side][i]).Norm() > leastCut
		if cut && begin < 0 {
			begin = max(0, i-1)
		}
		if begin >= 0 && (!cut || i == len(l.axis)-1) {
			inner := slices.Clone(l.first[side][begin : i+1])
			slices.Reverse(inner)
			pieces = append(pieces, append(slices.Clone(l.now[side][begin:i+1]), inner...))
			begin = -1
		}
	}
	return pieces
}

// level returns the axis point so many mm from the foramen.
func (l lumen) level(mm float64) geom.Station {
	n := len(l.canal.Axis)
	i := n - 1 - int(math.RoundToEven(mm/l.canal.Step))
	return l.canal.Axis[min(max(i, 0), n-1)]
}

// pulp returns the closed outlines of the chamber and of the canals that are cut, as they are now.
func (s section) pulp() [][]geom.Point {
	out := [][]geom.Point{s.tooth.Chamber.Outline}
	for _, l := range s.canals {
		if !l.behind {
			out = append(out, l.open(l.now))
		}
	}
	return out
}

// box returns the bounds of the whole tooth.
func (s section) box() Box {
	b := line(s.crown...).bounds()
	for _, r := range s.tooth.Roots {
		for _, p := range r.Outline {
			b = b.with(p)
		}
	}
	return b
}
