package anatomy

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// grower is a tooth in growth.
type grower struct {
	layout
	spec   Spec
	seed   uint64
	age    float64
	noise  float64 // share of the norm irregularity
	length float64 // wanted, reference cusp to apex of the longest root
	roots  []rootPlan
	canals []canalPlan
	bends  []bend         // clinical bend per canal
	apexY  []float64      // wanted height of each root's radiographic apex
	least  float64        // least dentine
	even   [][4][]float64 // walls of each canal before irregularity
	axial  wander
	mural  wander
	tooth  *Tooth
}

// stream returns the random stream of one purpose for one canal or root.
func (g *grower) stream(purpose, name string) detmath.Stream {
	return detmath.NewStream(g.seed, "anatomy/"+string(g.kind)+"/"+purpose+"/"+name)
}

// draw returns a norm's draw from its own stream.
func (g *grower) draw(canal, quantity string) float64 {
	s := g.stream("norm "+quantity, canal)
	return norm(g.kind, canal, quantity).draw(&s)
}

// Grow grows a tooth; same spec and seed, same tooth on every target.
//
// Values a spec sets are kept; a spec that cannot be grown gives a *SpecError that names field, value
// and what is allowed, and no tooth. Every canal lies inside its root: Surface exceeds Wall by more
// than 0.3 mm at every station.
//
// Sources: norms.csv. Checked by TestEveryToothIsSound, TestSameSeedSameTooth, TestImpossibleSpecs and
// the tests of the norms.
func Grow(spec Spec, seed uint64) (*Tooth, error) {
	l, err := checkSpec(spec)
	if err != nil {
		return nil, err
	}
	g := &grower{layout: l, spec: spec, seed: seed, tooth: &Tooth{Kind: spec.Kind, Seed: seed, Upper: l.upper, Furcated: l.furcated}}
	if g.roots, g.canals, err = planTooth(l, spec, seed); err != nil {
		return nil, err
	}
	g.age = take(spec.Age, g.stream("age", ""), norm(l.kind, "", "age").draw)
	g.noise = take(spec.Noise, g.stream("noise", ""), constant(1))
	g.least = norm(l.kind, "", "dentine_least").Mean
	g.axial, g.mural = newWander(g.stream("axis wander", "")), newWander(g.stream("wall wander", ""))
	g.tooth.Age = g.age
	if err := g.growBody(); err != nil {
		return nil, err
	}
	if err := g.growCanals(); err != nil {
		return nil, err
	}
	g.growRoots()
	g.growChamber()
	return g.tooth, g.checkLength()
}

// growBody settles crown, chamber levels and lengths.
func (g *grower) growBody() error {
	root := norm(g.kind, "", "length").Mean - norm(g.kind, "", "crown_height").Mean
	if err := g.growCrown(root); err != nil {
		return err
	}
	if err := g.growLevels(); err != nil {
		return err
	}
	height := g.tooth.Crown.Height
	g.apexY = make([]float64, len(g.roots))
	nearest := math.Inf(1)
	for i, plan := range g.roots {
		if _, ok := findNorm(g.kind, plan.layout.name, "shorter"); ok {
			g.apexY[i] = g.draw(plan.layout.name, "shorter")
		}
		nearest = math.Min(nearest, g.apexY[i])
	}
	for i := range g.apexY {
		g.apexY[i] += height - g.length - nearest
	}
	return nil
}

// growCanals grows the canals, those that join others last.
func (g *grower) growCanals() error {
	count := len(g.canals)
	g.bends = make([]bend, count)
	g.tooth.Canals = make([]Canal, count)
	g.even = make([][4][]float64, count)
	for pass := range 3 { // leading canals, those beside them, those that join them
		for i, plan := range g.canals {
			var err error
			switch {
			case plan.joins >= 0 && pass == 2:
				err = g.growJoined(i)
			case plan.joins < 0 && plan.first == i && pass == 0, plan.joins < 0 && plan.first != i && pass == 1:
				err = g.growCanal(i)
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// growCanal grows one canal that joins none: foramen, axis in both planes, walls.
func (g *grower) growCanal(i int) error {
	plan := g.canals[i]
	canal := &g.tooth.Canals[i]
	*canal = Canal{Name: plan.name, Root: plan.root, Cusp: g.cuspOf(plan.name), Joins: -1}
	canal.Foramen = g.drawForamen(plan)
	g.bends[i] = g.clinicalBend(i)
	origin, originZ := g.orifice(i)
	if err := g.growClinical(i, origin); err != nil {
		return err
	}
	if err := g.growProximal(i, geom.Point{X: originZ, Y: origin.Y}); err != nil {
		return err
	}
	return g.growWalls(i)
}

// orifice returns the place where a canal begins.
func (g *grower) orifice(i int) (point geom.Point, z float64) {
	plan := g.canals[i]
	x, z := g.draw(plan.name, "orifice_x"), g.draw(plan.name, "orifice_z")
	if plan.close {
		half := norm(g.kind, plan.name, "orifice_close").Mean
		pair := g.roots[plan.root].canals
		a, b := g.canals[pair[0]].name, g.canals[pair[1]].name
		x = 0.5 * (norm(g.kind, a, "orifice_x").Mean + norm(g.kind, b, "orifice_x").Mean)
		z = float64(0.5*(norm(g.kind, a, "orifice_z").Mean+norm(g.kind, b, "orifice_z").Mean)) + math.Copysign(half, norm(g.kind, plan.name, "orifice_z").Mean)
	}
	return geom.Point{X: x, Y: g.tooth.Chamber.Floor}, z
}

// place of the radiographic apex relative to the foramen: shares of its distance along the canal and
// across it, when the foramen opens on a side.
const (
	apexAlong  = 0.92
	apexAcross = 0.392
)

// apexFrom returns the radiographic apex of a canal that ends at a foramen with a heading.
func (f Foramen) apexFrom(at geom.Point, heading float64) geom.Point {
	ahead := geom.Direction(heading)
	switch f.Side {
	case mesial:
		return at.Add(ahead.Scale(apexAlong * f.Offset)).Add(ahead.Left().Scale(apexAcross * f.Offset))
	case distal:
		return at.Add(ahead.Scale(apexAlong * f.Offset)).Sub(ahead.Left().Scale(apexAcross * f.Offset))
	case buccal, lingual:
		return at.Add(ahead.Scale(apexAlong * f.Offset))
	}
	return at.Add(ahead.Scale(f.Offset))
}

// largestTilt, rad, keeps a canal from leaving the floor too flat, whatever bend a spec asks for.
const largestTilt = 32 * degree

// growClinical solves length and orifice tilt so that the radiographic apex comes to lie where it is
// wanted, and sets the clinical axis. Each round rotates the canal about its orifice and makes its
// coronal straight longer or shorter; three rounds settle it below 0.01 mm.
func (g *grower) growClinical(i int, origin geom.Point) error {
	plan, canal := g.canals[i], &g.tooth.Canals[i]
	lower := g.apexY[plan.root]
	if plan.first != i {
		higher := g.stream("apex", plan.name)
		lower += higher.Range(0, 0.5)
	}
	length := 1.03 * (origin.Y - lower)
	if plan.spec.Length.Set {
		length = take(plan.spec.Length, g.stream("length", plan.name), constant(0))
	}
	for round := range 4 {
		if length < 4 {
			return bound{g.tooth.Crown.Height - origin.Y + 5, 36, "mm"}.refuse("Length", g.length, "the root needs some length")
		}
		fitted, err := g.bends[i].fit(length)
		switch {
		case err != nil && (round == 3 || plan.spec.Length.Set):
			return err
		case err != nil: // a curved canal is longer than the first guess
			length = fitted.arc() + coronalStraight
		}
		n := stationsFor(length)
		c := course{bend: fitted}
		if round > 1 {
			c.noise = g.axial.row(n, length/float64(n-1), 2.5, float64(5*i), g.axisNoise())
		}
		end := c.end(origin, length, n)
		tilt := g.tilt(i, origin, canal.Foramen.apexFrom(end.Point, end.Heading))
		if round == 3 {
			canal.Axis = c.axis(origin, tilt, length, n)
			canal.Length, canal.Step = length, length/float64(n-1)
			break
		}
		if !plan.spec.Length.Set {
			apex := turnAbout(canal.Foramen.apexFrom(end.Point, end.Heading), origin, tilt)
			length += (apex.Y - lower) / detmath.Cos(tilt)
		}
	}
	return nil
}

func (g *grower) axisNoise() float64 { return g.noise * norm(g.kind, "", "axis_noise").Mean }

// freeSwing, rad, is how far off the tooth's axis a single root may end without being tilted back.
const freeSwing = 6 * degree

// tilt returns the heading at the orifice: as the spec fixes it, or so that the apex comes under its
// wanted place, or as drawn for teeth with one root. apex is where the canal would end untilted.
func (g *grower) tilt(i int, origin, apex geom.Point) float64 {
	plan := g.canals[i]
	if plan.spec.OrificeTilt.Set {
		return take(plan.spec.OrificeTilt, g.stream("tilt", plan.name), constant(0))
	}
	if _, ok := findNorm(g.kind, plan.name, "apex_x"); !ok {
		from := apex.Sub(origin)
		swing := detmath.Atan2(from.X, -from.Y)
		over := math.Copysign(math.Max(0, math.Abs(swing)-freeSwing), swing)
		return g.draw(g.canals[plan.first].name, "tilt") - float64(0.6*over)
	}
	target := g.draw(plan.name, "apex_x")
	if plan.first != i {
		lead := g.canals[plan.first]
		s := g.stream("apex beside", plan.name)
		target = g.rootApexX(plan.root) + g.apexX(plan.name) - g.apexX(lead.name) + s.Normal(0, 0.12)
	}
	return tiltTo(target-origin.X, apex.Sub(origin))
}

// apexX returns where a canal ends on the average: straight below its orifice if nothing else is known.
func (g *grower) apexX(canal string) float64 {
	if own, ok := findNorm(g.kind, canal, "apex_x"); ok {
		return own.Mean
	}
	return norm(g.kind, canal, "orifice_x").Mean
}

// rootApexX returns where the leading canal of a root ends.
func (g *grower) rootApexX(root int) float64 {
	canal := &g.tooth.Canals[g.canals[g.roots[root].canals[0]].first]
	end := canal.Axis[len(canal.Axis)-1]
	return canal.Foramen.apexFrom(end.Point, end.Heading).X
}

// The tilt at the orifice takes back most of a bend's sideways swing; the rest carries the apex off,
// as roots lean the way they bend. tuned: by eye, for roots that stay apart.
const (
	leaning     = 0.35 // share that is left
	largestLean = 1.2  // mm, of the apex
)

// tiltTo returns the heading at the orifice for a canal that would end at an offset from the orifice
// if untilted, and is to come near a place across the tooth.
func tiltTo(across float64, from geom.Point) float64 {
	reach := from.Norm()
	share := math.Max(-0.9, math.Min(0.9, across/reach))
	swing := detmath.Atan2(from.X, -from.Y)
	left := math.Max(-largestLean/reach, math.Min(largestLean/reach, leaning*swing))
	turn := detmath.Asin(share) - swing + left
	return math.Max(-largestTilt, math.Min(largestTilt, turn))
}

// turnAbout rotates a point about another, counter-clockwise.
func turnAbout(p, centre geom.Point, angle float64) geom.Point {
	sin, cos := detmath.Sincos(angle)
	d := p.Sub(centre)
	return centre.Add(geom.Point{X: float64(d.X*cos) - float64(d.Y*sin), Y: float64(d.X*sin) + float64(d.Y*cos)})
}

// growProximal sets the hidden axis over the same arc length.
func (g *grower) growProximal(i int, origin geom.Point) error {
	plan, canal := g.canals[i], &g.tooth.Canals[i]
	fitted, err := g.proximalBend(i).fit(canal.Length)
	if err != nil {
		return err
	}
	n := len(canal.Axis)
	c := course{fitted, g.axial.row(n, canal.Step, 2.5, float64(5*i)+2.5, g.axisNoise())}
	target := g.draw(plan.name, "apex_z")
	if g.isCommon(plan.root) {
		target = 0.5 * g.sumOverRoot(plan.root, "apex_z")
	}
	tilt := tiltTo(target-origin.X, c.end(origin, canal.Length, n).Point.Sub(origin))
	canal.Proximal = c.axis(origin, tilt, canal.Length, n)
	if plan.meets {
		g.meet(i)
	}
	return nil
}

// isCommon reports whether another canal of a root joins its leading one, which then ends midway.
func (g *grower) isCommon(root int) bool {
	for _, i := range g.roots[root].canals {
		if g.canals[i].joins >= 0 {
			return true
		}
	}
	return false
}

func (g *grower) sumOverRoot(root int, quantity string) float64 {
	sum := 0.0
	for _, i := range g.roots[root].canals {
		sum += norm(g.kind, g.canals[i].name, quantity).Mean
	}
	return sum
}

// checkLength measures the tooth and refuses canal lengths that contradict a fixed tooth length.
func (g *grower) checkLength() error {
	t := g.tooth
	for _, root := range t.Roots {
		t.Length = math.Max(t.Length, t.Crown.Height-root.Apex.Y)
	}
	if g.spec.Length.Set && math.Abs(t.Length-g.length) > 0.3 {
		g.tooth = nil
		return bound{t.Length, t.Length, "mm"}.refuse("Length", g.length, "it follows from the canal lengths given")
	}
	return nil
}
