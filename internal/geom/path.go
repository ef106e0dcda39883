package geom

import "math"

// Area returns the area inside a closed polygon, mm², positive if its points run counter-clockwise
// (shoelace formula). The last point joins the first; fewer than three points give 0.
func Area(polygon []Point) float64 {
	if len(polygon) < 3 {
		return 0
	}
	sum := 0.0
	base := polygon[0]
	for i := 2; i < len(polygon); i++ {
		sum += polygon[i-1].Sub(base).Cross(polygon[i].Sub(base))
	}
	return float64(0.5 * sum)
}

// PathLength returns the length of an open path, mm.
func PathLength(path []Point) float64 {
	sum := 0.0
	for i := 1; i < len(path); i++ {
		sum += path[i].Sub(path[i-1]).Norm()
	}
	return sum
}

// Contains reports whether p lies inside a closed polygon, by the even-odd rule. Points on the
// boundary belong to one side or the other so that polygons with a common edge share no point.
func Contains(polygon []Point, p Point) bool {
	inside := false
	for i, b := range polygon {
		a := polygon[(i+len(polygon)-1)%len(polygon)]
		if (a.Y > p.Y) == (b.Y > p.Y) {
			continue
		}
		// The edge is to the right of p if p lies on its left going up, on its right going down.
		side := b.Sub(a).Cross(p.Sub(a))
		if b.Y > a.Y && side > 0 || b.Y < a.Y && side < 0 {
			inside = !inside
		}
	}
	return inside
}

// Distance returns the distance, mm, from p to an open path and the foot, the nearest point of the
// path (the first of several). It panics if the path is empty.
func Distance(p Point, path []Point) (distance float64, foot Point) {
	if len(path) == 0 {
		panic("geom: Distance to an empty path")
	}
	foot = path[0]
	best := foot.Sub(p).Dot(foot.Sub(p))
	for i := 1; i < len(path); i++ {
		near := nearestOnSegment(p, path[i-1], path[i])
		if d := near.Sub(p).Dot(near.Sub(p)); d < best {
			best, foot = d, near
		}
	}
	return foot.Sub(p).Norm(), foot
}

func nearestOnSegment(p, a, b Point) Point {
	along := b.Sub(a)
	square := along.Dot(along)
	if square == 0 {
		return a
	}
	t := p.Sub(a).Dot(along) / square
	switch {
	case t <= 0:
		return a
	case t >= 1:
		return b
	}
	return lerp(a, b, t)
}

// Intersect returns the point where the segments ab and cd cross or touch, and whether they do.
// Parallel segments, also those that overlap, give false.
func Intersect(a, b, c, d Point) (Point, bool) {
	ab, cd, ac := b.Sub(a), d.Sub(c), c.Sub(a)
	denominator := ab.Cross(cd)
	if denominator == 0 {
		return Point{}, false
	}
	t := ac.Cross(cd) / denominator
	u := ac.Cross(ab) / denominator
	if !(t >= 0 && t <= 1 && u >= 0 && u <= 1) {
		return Point{}, false
	}
	return lerp(a, b, t), true
}

// Circumradius returns the radius, mm, of the circle through three points, +Inf if they lie on a line.
//
//	R = abc / (4·area)
//
// Checked by TestCircumcircle.
func Circumradius(a, b, c Point) float64 {
	_, radius := Circumcircle3(a, b, c)
	return radius
}

// Circumcircle3 returns the centre and radius, mm, of the circle through three points. Points on a
// line (or two that coincide) have none: the radius is +Inf and the centre the point b.
//
// The centre is found relative to b, so the relative error is about 1e-16·R/sagitta.
// Checked by TestCircumcircle.
func Circumcircle3(a, b, c Point) (centre Point, radius float64) {
	u, v := a.Sub(b), c.Sub(b)
	cross := u.Cross(v)
	if math.Abs(cross) <= 1e-15*u.Norm()*v.Norm() {
		return b, math.Inf(1)
	}
	uu, vv := u.Dot(u), v.Dot(v)
	offset := Point{
		(float64(uu*v.Y) - float64(vv*u.Y)) / (2 * cross),
		(float64(vv*u.X) - float64(uu*v.X)) / (2 * cross),
	}
	return b.Add(offset), offset.Norm()
}

// Resample returns the points of an open path at arc lengths 0, step, 2·step, … and always its end,
// which replaces a last point closer to it than a millionth of the step. step must be positive.
func Resample(path []Point, step float64) []Point {
	if !(step > 0) {
		panic("geom: Resample with a step not positive")
	}
	if len(path) < 2 {
		return append([]Point(nil), path...)
	}
	count := int(math.Ceil(PathLength(path)/step - 1e-6))
	points := make([]Point, 0, count+1)
	begin, i := 0.0, 1
	length := path[1].Sub(path[0]).Norm()
	for n := 0; n < count; n++ {
		s := float64(float64(n) * step)
		for s > begin+length && i+1 < len(path) {
			begin += length
			i++
			length = path[i].Sub(path[i-1]).Norm()
		}
		points = append(points, between(path[i-1], path[i], s-begin, length))
	}
	return append(points, path[len(path)-1])
}

// between returns the point u mm from a on the segment ab of the given length.
func between(a, b Point, u, length float64) Point {
	if length == 0 {
		return a
	}
	return lerp(a, b, u/length)
}

// Simplify returns an open path with the points left out that lie within tolerance, mm, of the path
// that remains. Both ends stay. Source: Douglas and Peucker 1973, Cartographica 10:112.
func Simplify(path []Point, tolerance float64) []Point {
	if len(path) < 3 {
		return append([]Point(nil), path...)
	}
	keep := make([]bool, len(path))
	keep[0], keep[len(path)-1] = true, true
	open := [][2]int{{0, len(path) - 1}}
	for len(open) > 0 {
		span := open[len(open)-1]
		open = open[:len(open)-1]
		if far, distance := farthest(path, span); distance > tolerance {
			keep[far] = true
			open = append(open, [2]int{span[0], far}, [2]int{far, span[1]})
		}
	}
	var points []Point
	for i, p := range path {
		if keep[i] {
			points = append(points, p)
		}
	}
	return points
}

// farthest returns the point of a span that is farthest from the segment between its ends.
func farthest(path []Point, span [2]int) (index int, distance float64) {
	a, b := path[span[0]], path[span[1]]
	for i := span[0] + 1; i < span[1]; i++ {
		if d := nearestOnSegment(path[i], a, b).Sub(path[i]).Norm(); d > distance {
			index, distance = i, d
		}
	}
	return index, distance
}

// ClipHalfPlane keeps the part of a polygon on the side of a line towards which normal points. The
// line runs through the point given; normal need not have length 1. A polygon that is not convex
// may come back with coinciding edges on the line; its area is right.
//
// Source: Sutherland and Hodgman 1974, Communications of the ACM 17:32. Checked by TestClipHalfPlane.
func ClipHalfPlane(polygon []Point, through, normal Point) []Point {
	var kept []Point
	for i, b := range polygon {
		a := polygon[(i+len(polygon)-1)%len(polygon)]
		heightA, heightB := a.Sub(through).Dot(normal), b.Sub(through).Dot(normal)
		if (heightA < 0) != (heightB < 0) {
			kept = append(kept, lerp(a, b, heightA/(heightA-heightB)))
		}
		if heightB >= 0 {
			kept = append(kept, b)
		}
	}
	return kept
}
