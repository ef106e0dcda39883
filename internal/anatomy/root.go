package anatomy

import (
	"math"

	"tugback/internal/geom"
)

// growRoots sets the outside of every root: distances from each canal, outline, apex, furcation.
func (g *grower) growRoots() {
	if g.furcated {
		a, b := g.crossing(g.lead(0)), g.crossing(g.lead(1))
		g.tooth.Furcation.X = 0.5 * (a.Point.X + b.Point.X)
	}
	for i := range g.tooth.Canals {
		if g.tooth.Canals[i].Joins < 0 {
			g.growSurface(i)
		}
	}
	for i := range g.tooth.Canals {
		if canal := &g.tooth.Canals[i]; canal.Joins >= 0 {
			g.growSurface(i)
			other := &g.tooth.Canals[canal.Joins]
			for side := range canal.Surface {
				blendWall(canal.Surface[side], other.Surface[side], canal.Step, int(math.RoundToEven(canal.JoinS/canal.Step)))
			}
		}
	}
	for i, plan := range g.roots {
		g.tooth.Roots = append(g.tooth.Roots, g.growRoot(i, plan))
	}
}

// lead returns the leading canal of a root.
func (g *grower) lead(root int) *Canal {
	return &g.tooth.Canals[g.canals[g.roots[root].canals[0]].first]
}

// crossing returns the station at which a canal passes the height of the furcation, never nearer than
// 4 mm to the foramen.
func (g *grower) crossing(c *Canal) geom.Station {
	last := len(c.Axis) - 1 - int(4/c.Step)
	for j := range c.Axis {
		if j >= last || c.Axis[j].Point.Y <= g.tooth.Furcation.Y {
			return c.Axis[j]
		}
	}
	return c.Axis[0]
}

// growSurface sets the four distances of one canal to the outside of its root.
func (g *grower) growSurface(i int) {
	canal := &g.tooth.Canals[i]
	layout := g.roots[canal.Root].layout
	for plane := range 2 {
		minus, plus := 2*plane, 2*plane+1
		if layout.furcal == minus || layout.furcal == plus {
			furcal, outer := g.furcalDentine(i, plane)
			canal.Surface[layout.furcal], canal.Surface[minus+plus-layout.furcal] = furcal, outer
		} else {
			canal.Surface[minus], canal.Surface[plus] = g.taperedRoot(i, plane)
		}
		for side := minus; side <= plus; side++ {
			beside := layout.furcal != minus && layout.furcal != plus
			for j, wall := range canal.Wall[side] {
				least := g.least
				if beside {
					least = sideDentine(least, canal.Length-float64(float64(j)*canal.Step))
				}
				canal.Surface[side][j] = math.Max(canal.Surface[side][j], wall+least)
			}
		}
	}
}

// sideDentine returns the least dentine beside a canal on a side that faces no other root, at a level:
// about 1 mm from the middle third on, less towards the apex (from memory, low certainty; the two canals
// of one root would else run into its narrowing sides).
func sideDentine(least, level float64) float64 {
	return math.Max(least, math.Min(1, least+float64(0.16*level)))
}

// furcalDentine returns the distances to the furcal and to the outer side of a root that parts from
// another in this plane. Furcal dentine falls from the trunk to the drawn minimum 3–4 mm below the
// furcation and stays near it to the apical third; the outer side is thicker by the ratios of Lim &
// Stock 1987.
func (g *grower) furcalDentine(i, plane int) (furcal, outer []float64) {
	plan, canal := g.canals[i], &g.tooth.Canals[i]
	axis := canal.Axis
	if plane == 1 {
		axis = canal.Proximal
	}
	side := g.roots[plan.root].layout.furcal
	least := g.draw(plan.name, "dentine_furcal")
	at := g.crossing(canal)
	below := canal.Length - at.S
	deepest := at.S + math.Min(g.draw(plan.name, "danger_level"), 0.5*below)
	even := g.even[i][side]
	crossing := int(math.RoundToEven(at.S / canal.Step))
	trunk := math.Max(1.15*least, g.trunk(plane, axis[crossing].Point.X, side)-even[crossing])
	arch := math.Max(trunk-0.4, 1.03*least)
	inner := []knot{
		{0, trunk + float64(0.4*at.S)}, {at.S, trunk}, {at.S + math.Min(1.3, 0.16*below), math.Min(arch, 1.38*least)},
		{float64(0.5*at.S) + float64(0.5*deepest), math.Min(arch, 1.16*least)}, {deepest, least},
		{canal.Length - 2.5, 0.35 + float64(0.72*least)}, {canal.Length - 1, 0.3 + float64(0.45*least)}, {canal.Length, g.least + 0.08},
	}
	edge := float64(0.5*g.tooth.Crown.Cervix[plane]) - math.Abs(axis[0].Point.X)
	away := []knot{{0, math.Max(edge-even[0], 0.9)}}
	for _, k := range inner[4:] {
		away = append(away, knot{k.at, k.value * g.outerRatio(canal.Length-k.at)})
	}
	n := len(canal.Axis)
	furcal, outer = newMonotone(inner).sample(n, canal.Step), newMonotone(away).sample(n, canal.Step)
	for j := range n {
		furcal[j] += even[j]
		outer[j] += even[j]
	}
	return furcal, outer
}

// trunk returns how far the furcation lies from a canal at its height.
func (g *grower) trunk(plane int, place float64, side int) float64 {
	middle := g.tooth.Furcation.X
	if plane == 1 {
		middle = 0.4
	}
	if side%2 == 0 {
		return place - middle
	}
	return middle - place
}

// outerRatio returns outer over furcal dentine at a level.
func (g *grower) outerRatio(level float64) float64 {
	five, eight := norm(g.kind, "", "outer_ratio_5").Mean, norm(g.kind, "", "outer_ratio_8").Mean
	share := math.Max(-1, math.Min(1, (level-5)/3))
	return five + float64(share*(eight-five))
}

// rootTaper is the half-width of an undivided root by share of its length from the junction on.
func rootTaper() []knot {
	return []knot{{0, 1}, {0.2, 0.93}, {0.4, 0.81}, {0.6, 0.68}, {0.75, 0.57}, {0.85, 0.49}}
}

// taperedRoot returns the distances to both sides of a root that tapers evenly round the middle of its
// canals.
func (g *grower) taperedRoot(i, plane int) (minus, plus []float64) {
	canal := &g.tooth.Canals[i]
	half := 0.5 * g.rootWidth(canal.Root, plane)
	depth := math.Max(0, -g.tooth.Chamber.Floor)
	total := canal.Length + depth
	var knots []knot
	for _, k := range rootTaper() {
		if at := float64(k.at*total) - depth; at < canal.Length-1.8 {
			knots = append(knots, knot{at, half * k.value})
		}
	}
	n := len(canal.Axis)
	rim := func(j int) float64 { return math.Max(canal.Wall[2*plane][j], canal.Wall[2*plane+1][j]) }
	near := max(0, n-1-int(1/canal.Step))
	knots = append(knots,
		knot{canal.Length - 1, math.Max(rim(near)+0.6, 0.4*half)},
		knot{canal.Length, math.Max(rim(n-1)+g.least+0.08, 0.3*half)})
	minus = newMonotone(knots).sample(n, canal.Step)
	plus = append([]float64(nil), minus...)
	for j := range n {
		offset := g.offCentre(i, plane, j)
		minus[j] += offset
		plus[j] -= offset
	}
	return minus, plus
}

// rootWidth returns the width of a root where it begins.
func (g *grower) rootWidth(root, plane int) float64 {
	name := g.roots[root].layout.name
	if own, ok := findNorm(g.kind, name, [2]string{"root_md", "root_bl"}[plane]); ok {
		return own.Mean
	}
	return g.tooth.Crown.Cervix[plane]
}

// offCentre returns how far a canal runs towards the plus side of the middle of its root's canals.
func (g *grower) offCentre(i, plane, j int) float64 {
	own := &g.tooth.Canals[i]
	share := float64(j) / float64(len(own.Axis)-1)
	sum, count := 0.0, 0.0
	for _, k := range g.roots[own.Root].canals {
		sum += sideways(&g.tooth.Canals[k], plane, share)
		count++
	}
	return sideways(own, plane, share) - sum/count
}

// sideways returns x or z of a canal at a share of its length.
func sideways(c *Canal, plane int, share float64) float64 {
	axis := c.Axis
	if plane == 1 {
		axis = c.Proximal
	}
	return axis[int(math.RoundToEven(share*float64(len(axis)-1)))].Point.X
}

// growRoot outlines a root round its leading canal, wide enough for all its canals.
func (g *grower) growRoot(index int, plan rootPlan) Root {
	lead := g.lead(index)
	end := lead.Axis[len(lead.Axis)-1]
	root := Root{
		Name: plan.layout.name, Config: plan.config, Canals: plan.canals,
		Apex:  lead.Foramen.apexFrom(end.Point, end.Heading),
		ApexZ: lead.Proximal[len(lead.Proximal)-1].Point.X,
	}
	switch lead.Foramen.Side {
	case buccal:
		root.ApexZ += float64(apexAcross * lead.Foramen.Offset)
	case lingual:
		root.ApexZ -= float64(apexAcross * lead.Foramen.Offset)
	}
	root.Outline = g.outline(index, root.Apex)
	return root
}

// outline runs down the mesial side, round the apex and up the distal side. The foramen lies on it
// unless it opens on a side that is not seen, or another canal ends beside it.
func (g *grower) outline(index int, apex geom.Point) []geom.Point {
	lead := g.lead(index)
	last := len(lead.Axis) - 1
	end := lead.Axis[last]
	across := geom.Direction(end.Heading).Left()
	rim := [2]geom.Point{
		end.Point.Sub(across.Scale(lead.Wall[mesial][last] + 0.03)),
		end.Point.Add(across.Scale(lead.Wall[distal][last] + 0.03)),
	}
	opening := lead.Foramen.Side
	neighbour := g.neighbour(index)
	if neighbour != nil {
		opening = lingual
	}
	var sides [2][]geom.Point
	for side := mesial; side <= distal; side++ {
		path := g.rootSide(index, side)
		switch {
		case neighbour != nil && neighbour.endsTowards(lead, side):
			path = overNeighbour(path, neighbour, apex, side)
		case opening == -1:
			path = append(capTo(path, end.Heading, rim[side], side), apex)
		case opening == side:
			path = pastForamen(path, end.Heading, rim[side], apex, side)
		default:
			path = capTo(path, end.Heading, apex, side)
		}
		sides[side] = path
	}
	round := sides[mesial]
	for j := len(sides[distal]) - 2; j >= 0; j-- {
		round = append(round, sides[distal][j])
	}
	return round
}

// neighbour returns the first further canal of a root that has a foramen of its own, or nil.
func (g *grower) neighbour(index int) *Canal {
	for _, k := range g.roots[index].canals {
		if g.canals[k].joins < 0 && g.canals[k].first != k {
			return &g.tooth.Canals[k]
		}
	}
	return nil
}

// clearlyApart, mm, is how far two canals of a root end from each other to give it a broad tip.
const clearlyApart = 0.5

// endsTowards reports whether a canal ends clearly on a side of the leading one.
func (c *Canal) endsTowards(lead *Canal, side int) bool {
	end, own := lead.Axis[len(lead.Axis)-1], c.Axis[len(c.Axis)-1]
	apart := own.Point.Sub(end.Point).Dot(geom.Direction(end.Heading).Left())
	return apart*float64(2*side-1) > clearlyApart
}

// overNeighbour rounds a side off to the tip over a neighbouring canal, and on to the apex.
func overNeighbour(side []geom.Point, c *Canal, apex geom.Point, wall int) []geom.Point {
	end := c.Axis[len(c.Axis)-1]
	tip := c.Foramen.apexFrom(end.Point, end.Heading)
	across := geom.Direction(end.Heading).Left().Scale(float64(2*wall - 1))
	tip = tip.Add(apex.Sub(tip).Scale(0.2))
	side = capTo(side, end.Heading, tip, wall)
	reach := 0.4 * apex.Sub(tip).Norm()
	return bezier(side, tip.Sub(across.Scale(reach)), apex.Add(across.Scale(reach)), apex)
}

// capLength, mm, is how far from the foramen the side of a root begins to round towards its apex.
const capLength = 1.2

// rootSide returns the mesial or distal side of a root from junction or furcation to where the apex
// begins to round.
func (g *grower) rootSide(index, side int) []geom.Point {
	lead := g.lead(index)
	layout := g.roots[index].layout
	width := g.silhouette(index, side)
	sign := float64(2*side - 1)
	point := func(j int) geom.Point {
		s := lead.Axis[j]
		return s.Point.Add(geom.Direction(s.Heading).Left().Scale(sign * width[j]))
	}
	start := geom.Point{X: float64(sign * 0.5 * g.tooth.Crown.Cervix[0])}
	from := g.below(lead, -1.2)
	if math.Abs(point(from).X-start.X) > 0.3 { // a bulging root needs a longer way out of the neck
		from = g.below(lead, -3.2)
	}
	out := geom.Point{Y: 0.4 * point(from).Y}
	switch {
	case layout.furcal == side:
		start = g.tooth.Furcation
		from = g.below(lead, g.tooth.Furcation.Y-1.5)
		out = geom.Point{X: 0.62 * (point(from).X - start.X)}
	case g.furcated && layout.furcal != 1-side: // a root behind the others, out of the trunk
		start = geom.Point{X: lead.Axis[0].Point.X + float64(sign*width[0]), Y: g.tooth.Furcation.Y + 1}
		from = g.below(lead, g.tooth.Furcation.Y-0.5)
		start.X = point(from).X
	}
	first := point(from)
	up := geom.Direction(lead.Axis[from].Heading).Scale(-0.42 * first.Sub(start).Norm())
	path := bezier([]geom.Point{start}, start.Add(out), first.Add(up), first)
	last := len(lead.Axis) - 1 - int(math.RoundToEven(capLength/lead.Step))
	for j := from + 2; j < last; j += 2 {
		path = append(path, point(j))
	}
	return soften(append(path, point(last)))
}

// soften rounds a path by repeated averaging of neighbours, its ends and their directions kept: a root
// is smoother than its canal. Points 0.2 mm apart are spread over about 0.5 mm, which moves a side of
// radius R by 0.12/R mm.
func soften(path []geom.Point) []geom.Point {
	for range 12 {
		before := path[1]
		for j := 2; j+2 < len(path); j++ {
			own := path[j]
			path[j] = before.Add(path[j+1]).Scale(0.25).Add(own.Scale(0.5))
			before = own
		}
	}
	return path
}

// below returns the first station of a canal under a height, leaving room for the apex.
func (g *grower) below(c *Canal, y float64) int {
	last := len(c.Axis) - 1 - int(math.RoundToEven(3/c.Step))
	for j := range c.Axis {
		if j >= last || c.Axis[j].Point.Y <= y {
			return j
		}
	}
	return last
}

// silhouette returns the distances from the leading canal of a root to the side of its shadow: beyond
// the surface of all its canals, and on the furcal side without the concavity, which a film does not
// show.
func (g *grower) silhouette(index, side int) []float64 {
	lead := g.lead(index)
	width := append([]float64(nil), lead.Surface[side]...)
	n := len(width)
	for _, k := range g.roots[index].canals {
		other := &g.tooth.Canals[k]
		if other == lead {
			continue
		}
		for j := range width {
			far := int(math.RoundToEven(float64(j) * float64(len(other.Axis)-1) / float64(n-1)))
			apart := other.Axis[far].Point.Sub(lead.Axis[j].Point).Dot(geom.Direction(lead.Axis[j].Heading).Left())
			if side == mesial {
				apart = -apart
			}
			width[j] = math.Max(width[j], other.Surface[side][far]+apart)
		}
	}
	if g.roots[index].layout.furcal != side {
		return width
	}
	hollow := g.draw(lead.Name, "furcal_concavity")
	at := g.crossing(lead).S
	for j := range width {
		s := lead.Axis[j].S
		share := smooth((s-at)/3.5) * smooth((lead.Length-1.5-s)/3.5)
		room := math.Abs(lead.Axis[j].Point.X-g.tooth.Furcation.X) - width[j] - archGap
		width[j] += math.Max(0, math.Min(room, hollow*share*(lead.Surface[side][j]-lead.Wall[side][j])))
	}
	return width
}

// archGap, mm, is kept free between a root and the middle of the furcation in the shadow.
const archGap = 0.25

// capTo rounds a side off to a place at the apex, which it reaches square to the canal.
func capTo(side []geom.Point, heading float64, to geom.Point, wall int) []geom.Point {
	from := side[len(side)-1]
	ahead := geom.Direction(heading)
	across := ahead.Left().Scale(float64(2*wall - 1))
	depth := math.Max(0.1, to.Sub(from).Dot(ahead))
	width := math.Max(0.05, from.Sub(to).Dot(across))
	along := from.Sub(side[len(side)-2]).Unit()
	if along.Dot(ahead) < 0.5 {
		along = ahead
	}
	return bezier(side, from.Add(along.Scale(0.5*depth)), to.Add(across.Scale(0.6*width)), to)
}

// slopeLength, mm, is how far above the rounding of the apex the side slopes on which a foramen opens: with
// less it would fall to the foramen in a shoulder and leave the apex as a spur.
const slopeLength = 1.8

// pastForamen rounds the side on which a foramen opens: in one slope past its outer rim to the apex.
func pastForamen(side []geom.Point, heading float64, rim, apex geom.Point, wall int) []geom.Point {
	for foot := side[len(side)-1]; len(side) > 3 && side[len(side)-1].Sub(foot).Norm() < slopeLength; {
		side = side[:len(side)-1]
	}
	from := side[len(side)-1]
	ahead := geom.Direction(heading)
	across := ahead.Left().Scale(float64(2*wall - 1))
	along, slope := from.Sub(side[len(side)-2]).Unit(), apex.Sub(from).Unit()
	first, second := rim.Sub(from).Norm(), apex.Sub(rim).Norm()
	side = bezier(side, from.Add(along.Scale(0.45*first)), rim.Sub(slope.Scale(0.4*first)), rim)
	return bezier(side, rim.Add(slope.Scale(0.5*second)), apex.Add(across.Scale(0.5*second)), apex)
}
