package anatomy

import (
	"math"

	"tugback/internal/detmath"
)

// clinicalBend draws the course of a canal in the clinical plane.
func (g *grower) clinicalBend(i int) bend {
	c := g.canals[i]
	b := g.mainBend(i)
	b.field, b.blend = "Canals["+c.name+"]", easing
	spec := c.spec
	if spec.Radius.Set || spec.Angle.Set {
		b.blend = 0
	}
	b.held = held{spec.Angle.Set, spec.Radius.Set, spec.ApicalStraight.Set, spec.SecondAngle.Set}
	sign := math.Copysign(1, b.angle)
	switch spec.Towards {
	case "mesial":
		sign = -1
	case "distal":
		sign = 1
	}
	angle := take(spec.Angle, g.stream("angle", c.name), constant(math.Abs(b.angle)))
	b.radius = take(spec.Radius, g.stream("radius fixed", c.name), constant(b.radius))
	b.tail = take(spec.ApicalStraight, g.stream("straight fixed", c.name), constant(b.tail))
	if spec.Angle.Set || spec.SecondAngle.Set {
		b.reverse, b.last = 0, 0
	}
	b.angle = sign * angle
	g.secondBend(&b, c, sign)
	return b
}

// easing, mm, is the length over which the curvature of a drawn bend rises and falls.
const easing = 0.6

func constant(v float64) func(*detmath.Stream) float64 {
	return func(*detmath.Stream) float64 { return v }
}

// secondBend sets the reverse bend that a spec asks for.
func (g *grower) secondBend(b *bend, c canalPlan, sign float64) {
	if !c.spec.SecondAngle.Set {
		return
	}
	second := take(c.spec.SecondAngle, g.stream("reverse fixed", c.name), constant(0))
	radius := norm(g.kind, c.name, "reverse_radius")
	b.reverse = -sign * second
	b.reverseRadius = take(c.spec.SecondRadius, g.stream("reverse radius", c.name), radius.draw)
	b.last = reverseStraight
	if !b.held.tail {
		b.tail = reverseStraight
	}
}

// reverseStraight, mm, lies between a main and a reverse bend, and after it.
const reverseStraight = 0.8

// mainBend draws a main bend by the norms: the leading canal of a root on its own, the others like it,
// since they run in one root.
func (g *grower) mainBend(i int) bend {
	c := g.canals[i]
	switch {
	case c.first != i:
		return g.besideBend(i, c.first)
	case c.root > 0 && !g.furcated: // the second root of a divided premolar
		return g.besideBend(i, g.canals[0].first)
	}
	schneider := 0.0
	straight := g.stream("straight", c.name)
	if straight.Float64() < norm(g.kind, c.name, "curved").Mean {
		angles := g.stream("schneider", c.name)
		schneider = norm(g.kind, c.name, "angle").draw(&angles)
	} else {
		schneider = straight.Range(0, 3*degree)
	}
	b := g.drawBend(schneider, norm(g.kind, c.name, "radius"), norm(g.kind, c.name, "apical_straight"), "clinical", c.name)
	direction := g.stream("direction", c.name)
	if direction.Float64() >= norm(g.kind, c.name, "distal").Mean {
		b.angle = -b.angle
	}
	bayonet := g.stream("reverse", c.name)
	if bayonet.Float64() < norm(g.kind, c.name, "reverse").Mean {
		angle := norm(g.kind, c.name, "reverse_angle").draw(&bayonet)
		b.reverse = math.Copysign(math.Min(angle, math.Abs(b.angle)), -b.angle)
		b.reverseRadius = norm(g.kind, c.name, "reverse_radius").draw(&bayonet)
		b.tail, b.last = reverseStraight, reverseStraight
	}
	return b
}

// capped is the share of a published extreme that is drawn at most: irregularity adds the rest.
const capped = 0.92

// drawBend returns the bend with a Schneider angle, radius and apical straight drawn within the
// published caps.
func (g *grower) drawBend(schneider float64, radius, straight Norm, plane, canal string) bend {
	radii, tails := g.stream(plane+" radius", canal), g.stream(plane+" straight", canal)
	median, sigma := radius.logNormal()
	low, high := radius.limits()
	b := bend{radius: math.Max(low, math.Min(high, radii.LogNormal(median, sigma))), tail: straight.draw(&tails)}
	for range 3 { // the cap on the radius depends on the angle, which depends on the radius
		b.angle = math.Min(angleFromSchneider(schneider, b.radius, b.tail), capped*norm(g.kind, canal, "angle_largest").Mean)
		switch {
		case b.angle > 35*degree:
			b.radius = math.Min(b.radius, capped*norm(g.kind, canal, "radius_above_35").Mean)
		case b.angle > 27*degree:
			b.radius = math.Min(b.radius, capped*norm(g.kind, canal, "radius_above_27").Mean)
		}
	}
	return b
}

// besideBend draws the bend of a further canal of a root: that of the leading one with small changes.
func (g *grower) besideBend(i, like int) bend {
	c := g.canals[i]
	lead := g.canals[like].name
	b := g.bends[like]
	s := g.stream("beside", c.name)
	ratio := norm(g.kind, c.name, "angle").Mean / norm(g.kind, lead, "angle").Mean
	turned := float64(math.Abs(b.angle)*ratio) + s.Normal(0, 2*degree)
	b.angle = math.Copysign(math.Max(0, math.Min(turned, capped*norm(g.kind, c.name, "angle_largest").Mean)), b.angle)
	b.radius = math.Max(leastRadius, b.radius*(1+s.Truncated(0, 0.06, -0.15, 0.15)))
	b.tail = math.Max(0.3, b.tail+s.Truncated(0, 0.25, -0.6, 0.6))
	if math.Abs(b.angle) > 27*degree {
		b.radius = math.Min(b.radius, capped*norm(g.kind, c.name, "radius_above_35").Mean)
	}
	return b
}

// proximalBend draws the hidden course of a canal; it does not depend on the clinical one (Cunningham
// & Senia 1992).
func (g *grower) proximalBend(i int) bend {
	c := g.canals[i]
	s := g.stream("proximal", c.name)
	schneider := s.Range(0, 3*degree)
	if s.Float64() < norm(g.kind, c.name, "proximal_curved").Mean {
		schneider = norm(g.kind, c.name, "proximal_angle").draw(&s)
	}
	b := g.drawBend(schneider, norm(g.kind, c.name, "proximal_radius"), norm(g.kind, c.name, "proximal_apical_straight"), "proximal", c.name)
	b.field, b.blend = "Canals["+c.name+"].Proximal", easing
	b.held = held{angle: c.spec.ProximalAngle.Set, radius: c.spec.ProximalRadius.Set}
	if b.held.angle || b.held.radius {
		b.blend = 0
	}
	sign := 1.0
	if s.Float64() >= norm(g.kind, c.name, "lingual").Mean {
		sign = -1
	}
	switch c.spec.ProximalTowards {
	case "buccal":
		sign = -1
	case "lingual":
		sign = 1
	}
	b.angle = sign * take(c.spec.ProximalAngle, g.stream("proximal angle", c.name), constant(b.angle))
	b.radius = take(c.spec.ProximalRadius, g.stream("proximal fixed", c.name), constant(b.radius))
	return b
}
