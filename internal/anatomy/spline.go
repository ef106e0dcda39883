package anatomy

import (
	"math"

	"tugback/internal/geom"
)

// knot is a value at a place along a canal.
type knot struct{ at, value float64 }

// monotone is an interpolant through knots that never overshoots: between two knots it stays between
// their values. Cubic Hermite pieces with limited slopes.
//
// Source: Fritsch & Butland 1984, SIAM J Sci Stat Comput 5:300. Checked by TestEveryToothIsSound.
type monotone struct {
	knots []knot
	slope []float64
}

// newMonotone returns the interpolant of knots with rising at; knots closer than 1e-6 are dropped.
func newMonotone(knots []knot) monotone {
	kept := knots[:1:1]
	for _, k := range knots[1:] {
		if k.at > kept[len(kept)-1].at+1e-6 {
			kept = append(kept, k)
		}
	}
	m := monotone{kept, make([]float64, len(kept))}
	for i := 1; i+1 < len(kept); i++ {
		before, after := secant(kept[i-1], kept[i]), secant(kept[i], kept[i+1])
		if before*after > 0 {
			m.slope[i] = 2 * float64(before*after) / (before + after)
		}
	}
	if last := len(kept) - 1; last > 0 {
		m.slope[0] = secant(kept[0], kept[1])
		m.slope[last] = secant(kept[last-1], kept[last])
	}
	return m
}

func secant(a, b knot) float64 { return (b.value - a.value) / (b.at - a.at) }

// value returns the interpolant, constant beyond its ends. from is where to begin to look for the
// piece; the piece found is returned for the next call.
func (m monotone) value(at float64, from int) (value float64, piece int) {
	last := len(m.knots) - 1
	if last == 0 || at <= m.knots[0].at {
		return m.knots[0].value, 0
	}
	if at >= m.knots[last].at {
		return m.knots[last].value, from
	}
	for from > 0 && at < m.knots[from].at {
		from--
	}
	for from+1 < last && at > m.knots[from+1].at {
		from++
	}
	a, b := m.knots[from], m.knots[from+1]
	h := b.at - a.at
	t := (at - a.at) / h
	rest := 1 - t
	start := float64((1+float64(2*t))*rest*rest*a.value) + float64(t*rest*rest*h*m.slope[from])
	end := float64(t*t*(3-float64(2*t))*b.value) - float64(t*t*rest*h*m.slope[from+1])
	return start + end, from
}

// sample returns the interpolant at equal steps from 0.
func (m monotone) sample(n int, step float64) []float64 {
	values := make([]float64, n)
	piece := 0
	for i := range values {
		values[i], piece = m.value(float64(float64(i)*step), piece)
	}
	return values
}

// smooth is the quintic step: 0 for t ≤ 0, 1 for t ≥ 1, with no jump in slope or curvature.
func smooth(t float64) float64 {
	t = math.Max(0, math.Min(1, t))
	return t * t * t * (10 - float64(t*(15-float64(6*t))))
}

// smoothSlope is the derivative of smooth.
func smoothSlope(t float64) float64 {
	if t <= 0 || t >= 1 {
		return 0
	}
	rest := 1 - t
	return 30 * t * t * rest * rest
}

// bezier appends a cubic Bézier curve from the last point of a path, without that point.
func bezier(path []geom.Point, b, c, d geom.Point) []geom.Point {
	a := path[len(path)-1]
	length := b.Sub(a).Norm() + c.Sub(b).Norm() + d.Sub(c).Norm()
	n := int(math.Max(4, math.Min(40, math.Ceil(length/0.12))))
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		p := a.Scale(u * u * u).Add(b.Scale(3 * t * u * u))
		path = append(path, p.Add(c.Scale(3*t*t*u)).Add(d.Scale(t*t*t)))
	}
	return path
}

// blob returns a closed smooth curve through points (Catmull–Rom), sampled.
func blob(through []geom.Point) []geom.Point {
	n := len(through)
	path := []geom.Point{through[0]}
	for i := range through {
		a, b := through[i], through[(i+1)%n]
		before, after := through[(i+n-1)%n], through[(i+2)%n]
		path = bezier(path, a.Add(b.Sub(before).Scale(1.0/6)), b.Sub(after.Sub(a).Scale(1.0/6)), b)
	}
	return path[:len(path)-1]
}
