package picture

import (
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// spacing, mm, of hatch lines along the outer surface: within the 0.14 to 0.18 mm of the look.
// Checked by TestHatchSpacing.
const spacing = 0.16

// stroke is one hatch line from the outer surface inwards, with the potential at each point.
type stroke struct {
	points []geom.Point
	u      []float64
	rank   int     // 0 drawn at every size, 1 at middle sizes, 2 only at full size
	shade  float64 // 0 lit … 1 in shade at its outer end
	kind   cell    // between: whole; inside, outside: short strokes that start there
}

// tracer follows field lines and keeps them apart.
type tracer struct {
	field *field
	apart float64 // mm, a line ends where it comes closer to an older one
	bend  float64 // rad, amplitude of the S
	taken map[[2]int][]geom.Point
}

func newTracer(f *field, apart, bend float64) *tracer {
	return &tracer{field: f, apart: apart, bend: bend, taken: map[[2]int][]geom.Point{}}
}

func (t *tracer) bin(p geom.Point) [2]int {
	return [2]int{int(math.Floor(p.X / t.apart)), int(math.Floor(p.Y / t.apart))}
}

// free reports whether no older line lies within reach of p.
func (t *tracer) free(p geom.Point, reach float64) bool {
	b := t.bin(p)
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			for _, q := range t.taken[[2]int{b[0] + dx, b[1] + dy}] {
				if q.Sub(p).Norm() < reach {
					return false
				}
			}
		}
	}
	return true
}

func (t *tracer) take(points []geom.Point) {
	for _, p := range points {
		b := t.bin(p)
		t.taken[b] = append(t.taken[b], p)
	}
}

// flat is the potential below which a line says nothing of where it runs: between two canals.
const flat = 0.08

// traceStep, mm, along a field line.
const traceStep = 0.05

// follow traces from p down the potential (way −1) or up it (way 1) until it leaves the dentine or
// comes too close to an older line.
func (t *tracer) follow(p geom.Point, way float64) (points []geom.Point, u []float64) {
	const most = 400
	for range most {
		v, up, ok := t.field.at(p)
		if k := t.field.kindAt(p); !ok || way < 0 && k == inside || way > 0 && k == outside {
			break
		}
		if len(points) > 0 && !t.free(p, t.apart) {
			break
		}
		points, u = append(points, p), append(u, v)
		p = p.Add(t.bent(up, v).Scale(way * traceStep))
	}
	return points, u
}

// bent turns a direction so that lines run in a gentle S, to the apex first and back near the surface.
// The turn vanishes where lines run along the tooth, so the pattern has no seam.
func (t *tracer) bent(up geom.Point, u float64) geom.Point {
	sin, cos := detmath.Sincos(t.bend * detmath.Sin(2*math.Pi*u) * up.X)
	return geom.Point{X: up.X*cos - up.Y*sin, Y: up.X*sin + up.Y*cos}
}

// order returns the indices 0 … n−1 so that every fourth comes first, then every second, then the
// rest, with the rank of each.
func order(n int) (index, rank []int) {
	for r, step := range [3][2]int{{0, 4}, {2, 4}, {1, 2}} {
		for i := step[0]; i < n; i += step[1] {
			index, rank = append(index, i), append(rank, r)
		}
	}
	return index, rank
}

// hatch traces lines from points spread evenly along a closed border inwards.
func (t *tracer) hatch(border []geom.Point, apart float64) []stroke {
	seeds := geom.Resample(append(append([]geom.Point{}, border...), border[0]), apart)
	var out []stroke
	index, rank := order(len(seeds) - 1)
	for k, i := range index {
		p, ok := t.enter(seeds, i)
		if !ok || !t.free(p, 0.5*t.apart) {
			continue
		}
		points, u := t.follow(p, -1)
		if len(points) < 4 || slices.Max(u) < flat {
			continue
		}
		t.take(points)
		out = append(out, stroke{points: points, u: u, rank: rank[k], shade: t.shade(p), kind: between})
	}
	return out
}

// enter moves a point of a closed border inwards, at right angles to it, to the first place inside.
func (t *tracer) enter(border []geom.Point, i int) (geom.Point, bool) {
	n := len(border)
	inwards := border[min(i+1, n-1)].Sub(border[max(i-1, 0)]).Unit().Left()
	if t.field.kindAt(border[i].Add(inwards.Scale(0.15))) != between {
		inwards = inwards.Scale(-1)
	}
	for depth := 0.05; depth < 0.2; depth += 0.03 {
		if p := border[i].Add(inwards.Scale(depth)); t.field.kindAt(p) == between {
			return p, true
		}
	}
	return border[i], false
}

// shade returns how much a surface point lies in shade: light falls from the left above.
func (t *tracer) shade(p geom.Point) float64 {
	_, up, ok := t.field.at(p)
	if !ok {
		return 0.5
	}
	return math.Max(0, math.Min(1, 0.5+0.42*up.X-0.22*up.Y))
}

// ribbon returns a line as a closed shape whose width, mm, is given at each point; its ends are points.
func ribbon(points []geom.Point, width func(i int) float64) []geom.Point {
	n := len(points)
	left, right := make([]geom.Point, 0, 2*n), make([]geom.Point, 0, n)
	for i, p := range points {
		along := points[min(i+1, n-1)].Sub(points[max(i-1, 0)]).Unit()
		half := along.Left().Scale(width(i) / 2)
		left, right = append(left, p.Add(half)), append(right, p.Sub(half))
	}
	for i := n - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return left
}

// thinned keeps every second point of a line, and its ends: what the eye can tell at 4000 px.
func (s stroke) thinned() stroke {
	out := s
	out.points, out.u = nil, nil
	for i := range s.points {
		if i%2 == 0 || i == len(s.points)-1 {
			out.points, out.u = append(out.points, s.points[i]), append(out.u, s.u[i])
		}
	}
	return out
}
