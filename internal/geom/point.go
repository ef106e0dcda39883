// Package geom holds plane curves by arc length and the measures of canal curvature.
//
// A Curve is a start, a heading and pieces whose curvature is constant or runs linearly; it is
// sampled to Stations or integrated from a list of curvatures. Paths, polygons and walls are plain
// slices of Points. The trade's measures (Schneider, Weine, Pruett, Estrela, canal access angle)
// are constructed on a path of points, as they are drawn on a picture, and know nothing of the
// curve behind it.
//
// Units: mm, rad, 1/mm. The plane has x to the right and y up; counter-clockwise is positive.
// Heading 0 points down, from crown to apex, and headings grow counter-clockwise, towards +x.
//
// The package knows no tooth and no rule. Functions panic on arguments that no caller may give
// (too few points, NaN, a step that is not positive); nothing keeps state. Begin reading at
// curve.go for shapes and reading.go for the measures.
package geom

import (
	"math"

	"tugback/internal/detmath"
)

// Point is a place, or a vector, in the plane, mm; x to the right, y up.
type Point struct{ X, Y float64 }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p − q, the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale returns k·p.
func (p Point) Scale(k float64) Point { return Point{float64(k * p.X), float64(k * p.Y)} }

// Dot returns the scalar product p·q, mm².
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross returns the third component of p×q, mm²: positive if q lies counter-clockwise of p.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Norm returns the length of p, mm.
func (p Point) Norm() float64 { return math.Sqrt(float64(p.X*p.X) + float64(p.Y*p.Y)) }

// Unit returns the vector of length 1 in the direction of p. The null vector is returned as it is.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return p
	}
	return Point{p.X / n, p.Y / n}
}

// Left returns p rotated a quarter turn counter-clockwise.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Direction returns the unit vector of a heading. Heading 0 points down, (0,-1), from crown to apex;
// positive headings turn counter-clockwise, towards +x: (sin h, -cos h).
func Direction(heading float64) Point {
	sin, cos := detmath.Sincos(heading)
	return Point{sin, -cos}
}

// turn returns the angle from a to b, counter-clockwise positive, in (−π, π].
func turn(a, b Point) float64 { return detmath.Atan2(a.Cross(b), a.Dot(b)) }

// lerp returns the point a share t of the way from a to b.
func lerp(a, b Point, t float64) Point { return a.Add(b.Sub(a).Scale(t)) }

func finite(p Point) bool {
	return math.Abs(p.X) <= math.MaxFloat64 && math.Abs(p.Y) <= math.MaxFloat64
}
