package picture

import (
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// engraving is the line work of one tooth: computed once from the tooth as grown, then clipped by
// whatever is cut away from it.
type engraving struct {
	dentine, enamel, shadow []stroke
	bone                    []tick
	ligament                []tick
}

// tick is one short curved stroke of bone or ligament with its strength 0 … 1.
type tick struct {
	points   [3]geom.Point // quadratic curve
	strength float64
	rank     int
}

// engrave computes the line work of a tooth.
func engrave(s section) engraving {
	chance := detmath.NewStream(s.tooth.Seed, "engraving")
	field := newField([][]geom.Point{s.body}, s.grownPulp())
	tubules := newTracer(field, 0.55*spacing, 0.42)
	e := engraving{dentine: tubules.hatch(s.body, spacing)}
	e.dentine = append(e.dentine, tubules.infill(s)...)
	e.shadow = tubules.shadows(s.body)
	for i := range e.dentine {
		e.dentine[i] = e.dentine[i].halo(0.03 + 0.06*chance.Float64() + 0.1*(1-e.dentine[i].shade)).thinned()
	}
	prisms := newTracer(newField([][]geom.Point{s.crown}, [][]geom.Point{s.tooth.Crown.Dentine}), 0.1, 0.2)
	for _, whole := range prisms.hatch(s.crown, 0.17) {
		e.enamel = append(e.enamel, whole.borders(&chance)...)
	}
	roots := s.rootOutlines()
	e.bone = bone(s, roots, &chance)
	e.ligament = ligament(s, roots, &chance)
	return e
}

// grownPulp returns the pulp's outlines as grown: chamber and canals that are cut.
func (s section) grownPulp() [][]geom.Point {
	out := [][]geom.Point{s.tooth.Chamber.Outline}
	for _, l := range s.canals {
		if !l.behind {
			out = append(out, l.open(l.first))
		}
	}
	return out
}

// mostHalo, mm, is how far from the pulp's wall a line may begin.
const mostHalo = 0.32

// halo leaves the pulp's end of a line away, up to a potential, but not more than mostHalo.
func (s stroke) halo(u float64) stroke {
	n := len(s.points)
	for n > 4 && s.u[n-1] < u && float64(len(s.points)-n)*traceStep < mostHalo {
		n--
	}
	s.points, s.u = s.points[:n], s.u[:n]
	return s
}

// infill traces lines upwards from the pulp's wall where those from the surface left gaps, as in the
// fork of the roots, where lines spread inwards.
func (t *tracer) infill(s section) []stroke {
	var out []stroke
	for _, wall := range s.grownPulp() {
		for i, p := range geom.Resample(append(append([]geom.Point{}, wall...), wall[0]), spacing) {
			p, ok := t.leave(p)
			if !ok || !t.free(p, 0.9*spacing) {
				continue
			}
			points, u := t.follow(p, 1)
			if len(points) < 5 || slices.Max(u) < flat {
				continue
			}
			t.take(points)
			end := points[len(points)-1]
			out = append(out, reversed(stroke{points: points, u: u, rank: i % 3, shade: t.shade(end), kind: between}))
		}
	}
	return out
}

// leave moves a point on the pulp's wall to the first place in dentine.
func (t *tracer) leave(p geom.Point) (geom.Point, bool) {
	for range 6 {
		_, up, ok := t.field.at(p)
		if !ok {
			return p, false
		}
		p = p.Add(up.Scale(0.05))
		if t.field.kindAt(p) == between {
			return p.Add(up.Scale(0.03)), true
		}
	}
	return p, false
}

func reversed(s stroke) stroke {
	n := len(s.points)
	for i := range n / 2 {
		s.points[i], s.points[n-1-i] = s.points[n-1-i], s.points[i]
		s.u[i], s.u[n-1-i] = s.u[n-1-i], s.u[i]
	}
	return s
}

// shadows traces short lines half way between the hatch on the side away from the light.
func (t *tracer) shadows(border []geom.Point) []stroke {
	fine := newTracer(t.field, 0.03, t.bend)
	seeds := geom.Resample(append(append([]geom.Point{}, border...), border[0]), spacing/2)
	var out []stroke
	for i := 1; i < len(seeds); i += 2 {
		p, ok := t.enter(seeds, i)
		if !ok {
			continue
		}
		shade := t.shade(p)
		depth := 0.55 * (shade - 0.62) / 0.38
		if depth <= 0.04 {
			continue
		}
		points, u := fine.follow(p, -1)
		n := 0
		for n < len(u) && u[n] > 1-depth {
			n++
		}
		if n >= 4 {
			out = append(out, stroke{points: points[:n], u: u[:n], rank: 2, shade: shade, kind: outside}.thinned())
		}
	}
	return out
}

// borders cuts an enamel line down to its two ends: the middle of enamel stays open.
func (s stroke) borders(chance *detmath.Stream) []stroke {
	outer, inner := 0.80-0.16*chance.Float64()-0.14*s.shade, 0.16+0.16*chance.Float64()
	var a, b stroke
	for i, u := range s.u {
		switch {
		case u > outer:
			a.points, a.u = append(a.points, s.points[i]), append(a.u, u)
		case u < inner:
			b.points, b.u = append(b.points, s.points[i]), append(b.u, u)
		}
	}
	a.rank, a.shade, a.kind = s.rank, s.shade, outside
	b.rank, b.shade, b.kind = s.rank, s.shade, inside
	var out []stroke
	for _, part := range []stroke{a, reversed(b)} {
		if len(part.points) > 2 {
			out = append(out, part)
		}
	}
	return out
}

// pen gives the width of a line at a point, mm of the sheet.
func (s stroke) pen(i int) float64 {
	n := len(s.points)
	taper := math.Min(1, 0.35+0.65*float64(n-1-i)/4) // towards the pulp the line runs out
	if s.kind != between {
		along := float64(i) / float64(n-1)
		return (0.07 + 0.13*(1-along)*(0.5+s.shade)) * taper
	}
	swell := s.u[i] * math.Sqrt(s.u[i])
	return (0.085 + (0.07+0.16*s.shade)*swell) * taper
}

// ink returns lines up to a rank as one path of closed shapes, in the tooth's mm; bolder multiplies
// their width.
func ink(strokes []stroke, rank int, scale, bolder float64) Path {
	var p Path
	for _, s := range strokes {
		if s.rank <= rank {
			p.Append(polygon(ribbon(s.points, func(i int) float64 { return bolder * s.pen(i) / scale })))
		}
	}
	return p
}

// contour returns the lines of a root that lies behind: seen from outside, so only the roundness of
// its sides is hatched.
func contour(s section, root int) []stroke {
	outline := s.tooth.Roots[root].Outline
	var inner [][]geom.Point
	for _, l := range s.canals {
		if l.canal.Root == root {
			inner = append(inner, l.outline(l.first))
		}
	}
	var out []stroke
	for _, whole := range newTracer(newField([][]geom.Point{outline}, inner), 0.1, 0.25).hatch(outline, 1.15*spacing) {
		n := 0
		for n < len(whole.u) && whole.u[n] > 0.86-0.5*whole.shade {
			n++
		}
		if n > 3 {
			out = append(out, stroke{points: whole.points[:n], u: whole.u[:n], rank: whole.rank, shade: whole.shade, kind: outside}.thinned())
		}
	}
	return out
}
