package anatomy

import (
	"math"
	"slices"

	"tugback/internal/geom"
)

// referenceAge, years, is the age for which lengths and widths of the pulp stand in the norms.
func (g *grower) referenceAge() float64 { return norm(g.kind, "", "age").Mean }

// growLevels settles roof and floor of the chamber and the height of the furcation.
func (g *grower) growLevels() error {
	chamber, height := &g.tooth.Chamber, g.tooth.Crown.Height
	roof, tall, thick := g.drawLevels()
	slope := norm(g.kind, "", "chamber_height_slope").Mean
	if g.form == molar && !g.spec.ChamberHeight.Set {
		tall = math.Max(0.4, tall+float64(slope*(g.age-g.referenceAge())))
	}
	roof = take(g.spec.RoofDepth, g.stream("roof fixed", ""), constant(roof))
	tall = take(g.spec.ChamberHeight, g.stream("chamber fixed", ""), constant(tall))
	if g.form != molar && !g.spec.ChamberHeight.Set {
		tall = math.Max(0.8, height-roof+g.draw("", "orifice_depth"))
	}
	chamber.Roof = height - roof
	chamber.Floor = chamber.Roof - tall
	if deepest := height - g.length + 6; chamber.Floor < deepest {
		return bound{2.5, height - deepest - tall, "mm"}.refuse("RoofDepth", roof, "the canals need some length below the floor")
	}
	if g.furcated {
		g.tooth.Furcation.Y = math.Max(chamber.Floor-thick, height-g.length+5)
	}
	return nil
}

// drawLevels draws roof depth below the cusp, chamber height and floor thickness. In molars the three
// hang together so that the published spreads of their sums (cusp to floor, cusp and roof to
// furcation) come out too: their covariances follow from the six standard deviations.
func (g *grower) drawLevels() (roof, tall, thick float64) {
	if g.form != molar {
		return g.draw("", "roof_depth"), 0, 0
	}
	read := func(q string) (mean, variance float64) {
		n := norm(g.kind, "", q)
		return n.Mean, float64(n.SD * n.SD)
	}
	rMean, rr := read("roof_depth")
	hMean, hh := read("chamber_height")
	tMean, tt := read("floor_thickness")
	_, floor := read("cusp_floor")
	_, furcation := read("cusp_furcation")
	_, below := read("roof_furcation")
	rh := float64(0.5 * (floor - rr - hh))
	ht := float64(0.5 * (below - hh - tt))
	rt := float64(0.5*(furcation-floor-tt)) - ht
	a := math.Sqrt(rr)
	b, c := rh/a, rt/a
	d := math.Sqrt(hh - float64(b*b))
	e := (ht - float64(b*c)) / d
	f := math.Sqrt(math.Max(0, tt-float64(c*c)-float64(e*e)))
	least := g.tooth.Crown.Height - g.tooth.Crown.Fossa + 1.4
	s := g.stream("levels", "")
	for range 20 {
		u, v, w := s.Normal(0, 1), s.Normal(0, 1), s.Normal(0, 1)
		roof = rMean + float64(a*u)
		tall = hMean + float64(b*u) + float64(d*v)
		thick = tMean + float64(c*u) + float64(e*v) + float64(f*w)
		if roof >= least && tall >= 0.4 && thick >= 1.3 && roof+tall <= g.tooth.Crown.Height+2.2 {
			break
		}
	}
	return math.Max(roof, least), math.Max(tall, 0.4), math.Max(thick, 1.3)
}

// growChamber draws chamber, horns and floor plan; the canals are there already.
func (g *grower) growChamber() {
	chamber := &g.tooth.Chamber
	left, right := g.mouth()
	if g.form == molar {
		g.molarWalls(left, right)
		g.drawMolarChamber(left, right)
	} else {
		g.singleWalls()
		g.drawSingleChamber(left, right)
	}
	chamber.Plan = g.plan()
}

// mouth returns the x between which canals open at the floor.
func (g *grower) mouth() (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, c := range g.tooth.Canals {
		x := c.Axis[0].Point.X
		left, right = math.Min(left, x-c.Wall[mesial][0]), math.Max(right, x+c.Wall[distal][0])
	}
	return left, right
}

// molarWalls sets the chamber's half-widths: an even wall all round (Krasner & Rankow 2004), thicker
// with age, but never inside the canals' mouths.
func (g *grower) molarWalls(left, right float64) {
	crown, chamber := g.tooth.Crown, &g.tooth.Chamber
	aged := float64(0.5 * norm(g.kind, "", "pulp_width_slope").Mean * (g.age - g.referenceAge()))
	wall := g.draw("", "pulp_wall") - aged
	front, back := math.Inf(1), math.Inf(-1)
	for _, c := range g.tooth.Canals {
		z := c.Proximal[0].Point.X
		front, back = math.Min(front, z-c.Wall[buccal][0]), math.Max(back, z+c.Wall[lingual][0])
	}
	half := [2]float64{math.Max(1, float64(0.5*crown.Cervix[0])-wall), math.Max(1, float64(0.5*crown.Cervix[1])-wall)}
	chamber.Wall = [4]float64{
		math.Max(-left, math.Min(half[0], 0.15-left)), math.Max(right, math.Min(half[0], 0.15+right)),
		math.Max(half[1], -front), math.Max(half[1], back),
	}
}

// drawMolarChamber outlines the chamber: walls from the canals' mouths up to horns under the cusps, a
// roof that hangs down between them, a floor that rises a little in the middle.
func (g *grower) drawMolarChamber(left, right float64) {
	chamber := &g.tooth.Chamber
	tall := chamber.Roof - chamber.Floor
	horn := math.Min(g.draw("", "horn_height"), g.tooth.Crown.Fossa-chamber.Roof-0.3)
	wide := [2]float64{chamber.Wall[mesial], chamber.Wall[distal]}
	tips := [2]geom.Point{{X: -0.84 * wide[0], Y: chamber.Roof + horn}, {X: 0.82 * wide[1], Y: chamber.Roof + float64(0.9*horn)}}
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	low, middle := chamber.Floor, chamber.Floor+float64(0.5*tall)
	path := []geom.Point{at(left, low)}
	path = bezier(path, at(left, low+float64(0.2*tall)), at(-wide[0], middle-float64(0.2*tall)), at(-wide[0], middle))
	path = bezier(path, at(-wide[0], middle+float64(0.4*tall)), at(tips[0].X-0.12, tips[0].Y-float64(0.1*horn)), tips[0])
	path = bezier(path, at(tips[0].X+0.22, tips[0].Y-float64(0.35*horn)), at(-0.5*wide[0], chamber.Roof), at(0, chamber.Roof))
	path = bezier(path, at(0.5*wide[1], chamber.Roof), at(tips[1].X-0.22, tips[1].Y-float64(0.35*horn)), tips[1])
	path = bezier(path, at(tips[1].X+0.12, tips[1].Y-float64(0.1*horn)), at(wide[1], middle+float64(0.4*tall)), at(wide[1], middle))
	path = bezier(path, at(wide[1], middle-float64(0.2*tall)), at(right, low+float64(0.2*tall)), at(right, low))
	rise := math.Min(0.18, 0.12*tall)
	path = bezier(path, at(0.5*right, low+rise), at(0.5*left, low+rise), at(left, low))
	chamber.Outline = path[:len(path)-1]
	for _, cusp := range g.tooth.Crown.Cusps {
		tip := tips[1]
		if cusp.Point.X < 0 {
			tip = tips[0]
		}
		z := math.Copysign(0.8*chamber.Wall[buccal], cusp.Z)
		chamber.Horns = append(chamber.Horns, Cusp{cusp.Name, tip, z})
	}
}

// singleWalls sets the half-widths at mid height of a chamber that is one with its canals.
func (g *grower) singleWalls() {
	md, bl := g.pulpWidth()
	g.tooth.Chamber.Wall = [4]float64{0.5 * md, 0.5 * md, 0.5 * bl, 0.5 * bl}
}

// pulpWidth returns the widths of the pulp at the cervix, which shrink with age.
func (g *grower) pulpWidth() (md, bl float64) {
	aged := float64(norm(g.kind, "", "pulp_width_slope").Mean * (g.age - g.referenceAge()))
	md, bl = g.draw("", "pulp_md"), g.draw("", "pulp_bl")
	return math.Max(0.35, md+aged), math.Max(0.5, bl+aged)
}

// drawSingleChamber outlines the chamber of a tooth with one pulp: as wide as the canals at the floor,
// wider in the crown of an incisor, ending in a horn under each corner or cusp.
func (g *grower) drawSingleChamber(left, right float64) {
	chamber := &g.tooth.Chamber
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	low, tall := chamber.Floor, chamber.Roof-chamber.Floor
	half, middle := chamber.Wall[mesial], chamber.Floor+float64(0.5*tall)
	horn := g.draw("", "horn_height")
	path := []geom.Point{at(left, low)}
	if g.form == incisor {
		wide := 1.3 * half
		tip := float64(0.85 * wide)
		path = bezier(path, at(left, low+float64(0.3*tall)), at(-wide, middle), at(-wide, low+float64(0.78*tall)))
		path = bezier(path, at(-wide, low+float64(0.9*tall)), at(-tip-0.05, chamber.Roof+float64(0.6*horn)), at(-tip, chamber.Roof+horn))
		path = bezier(path, at(-tip+0.12, chamber.Roof+float64(0.4*horn)), at(-0.3*wide, chamber.Roof), at(0, chamber.Roof))
		path = bezier(path, at(0.3*wide, chamber.Roof), at(tip-0.12, chamber.Roof+float64(0.3*horn)), at(tip, chamber.Roof+float64(0.8*horn)))
		path = bezier(path, at(tip+0.05, chamber.Roof+float64(0.5*horn)), at(wide, low+float64(0.9*tall)), at(wide, low+float64(0.78*tall)))
		path = bezier(path, at(wide, middle), at(right, low+float64(0.3*tall)), at(right, low))
		chamber.Horns = []Cusp{{"mesial", at(-tip, chamber.Roof+horn), 0}, {"distal", at(tip, chamber.Roof+float64(0.8*horn)), 0}}
	} else {
		wide := 1.12 * half
		top := at(g.tooth.Crown.Cusps[0].Point.X, chamber.Roof)
		path = bezier(path, at(left, low+float64(0.3*tall)), at(-wide, low+float64(0.3*tall)), at(-wide, middle))
		path = bezier(path, at(-wide, low+float64(0.78*tall)), at(top.X-0.22, top.Y), top)
		path = bezier(path, at(top.X+0.22, top.Y), at(wide, low+float64(0.78*tall)), at(wide, middle))
		path = bezier(path, at(wide, low+float64(0.3*tall)), at(right, low+float64(0.3*tall)), at(right, low))
		for _, cusp := range g.tooth.Crown.Cusps {
			chamber.Horns = append(chamber.Horns, Cusp{cusp.Name, top, math.Copysign(0.7*chamber.Wall[buccal], cusp.Z)})
		}
	}
	chamber.Outline = path
}

// plan draws the floor from above: orifices at the angles of the floor, joined by developmental lines
// (Krasner & Rankow 2004).
func (g *grower) plan() Plan {
	t := g.tooth
	plan := Plan{Tooth: blobAround(0.5*t.Crown.Cervix[0], 0.5*t.Crown.Cervix[1])}
	centre := geom.Point{}
	for _, c := range t.Canals {
		o := geom.Point{X: c.Axis[0].Point.X, Y: c.Proximal[0].Point.X}
		plan.Orifices = append(plan.Orifices, o)
		centre = centre.Add(o.Scale(1 / float64(len(t.Canals))))
	}
	for _, o := range plan.Orifices {
		if o != centre {
			plan.Lines = append(plan.Lines, [2]geom.Point{centre, o})
		}
	}
	plan.Outline = g.floorOutline(centre)
	return plan
}

// blobAround returns a rounded outline of given half-widths.
func blobAround(a, b float64) []geom.Point {
	const corner = 0.76
	return blob([]geom.Point{{X: -a}, {X: -corner * a, Y: -corner * b}, {Y: -b}, {X: corner * a, Y: -corner * b},
		{X: a}, {X: corner * a, Y: corner * b}, {Y: b}, {X: -corner * a, Y: corner * b}})
}

// oneMouth is the distance of two corners of the floor below which they are those of one orifice, mm (chosen).
const oneMouth = 2.0

// floorOutline runs round the orifices in order of direction from their middle, a wall's breadth outside.
func (g *grower) floorOutline(centre geom.Point) []geom.Point {
	corners := g.floorCorners(centre)
	if len(corners) < 3 {
		half, long := g.tooth.Chamber.Wall[mesial], g.tooth.Chamber.Wall[buccal]
		for _, c := range g.tooth.Canals {
			z := math.Abs(c.Proximal[0].Point.X)
			long = math.Max(long, z+math.Max(c.Wall[buccal][0], c.Wall[lingual][0]))
		}
		return blobAround(half, long)
	}
	var through []geom.Point
	for i, corner := range corners {
		next := corners[(i+1)%len(corners)]
		middle, inwards := corner.Add(next).Scale(0.5), 0.08
		if next.Sub(corner).Norm() < oneMouth {
			inwards = -0.12 // round one wide orifice the floor bows out
		}
		through = append(through, corner, middle.Add(centre.Sub(middle).Scale(inwards)))
	}
	return blob(through)
}

// floorCorners returns the corners of the floor, counter-clockwise: the orifices pushed outwards. The
// floor of a lower molar has four, two before and two behind, also where a root has one wide orifice.
func (g *grower) floorCorners(centre geom.Point) []geom.Point {
	var corners []geom.Point
	for i, c := range g.tooth.Canals {
		o := geom.Point{X: c.Axis[0].Point.X, Y: c.Proximal[0].Point.X}
		out := o.Sub(centre)
		switch plan := g.canals[i]; {
		case g.form == molar && !g.upper:
			x := o.X + math.Copysign(0.3, o.X)
			if plan.alone || o.Y < 0 {
				corners = insertCorner(corners, geom.Point{X: x, Y: o.Y - c.Wall[buccal][0]}, centre)
			}
			if plan.alone || o.Y >= 0 {
				corners = insertCorner(corners, geom.Point{X: x, Y: o.Y + c.Wall[lingual][0]}, centre)
			}
		case out.Norm() >= 0.6 && plan.name != "MB2":
			corners = insertCorner(corners, o.Add(out.Unit().Scale(0.25+c.Wall[mesial][0])), centre)
		}
	}
	return corners
}

// insertCorner keeps corners in order of direction from a centre.
func insertCorner(corners []geom.Point, corner, centre geom.Point) []geom.Point {
	at := len(corners)
	for at > 0 && before(corner.Sub(centre), corners[at-1].Sub(centre)) {
		at--
	}
	return slices.Insert(corners, at, corner)
}

// before orders directions counter-clockwise from the negative x axis.
func before(a, b geom.Point) bool {
	upper := func(p geom.Point) bool { return p.Y < 0 || (p.Y == 0 && p.X < 0) }
	if upper(a) != upper(b) {
		return upper(a)
	}
	return a.Cross(b) > 0
}
