package mechanics

import "math"

// Shape is the outline of a file's cross-section, inscribed in a circle.
type Shape int

// The shapes. A Rhombus has the ratio of its short to its long diagonal, a Core the ratio of flute depth
// to diameter: its properties are those of the round core, lower bounds.
const (
	Circle Shape = iota
	Square
	Triangle
	Rhombus
	Core
)

// Section is a cross-section; d in its methods is the diameter (mm) of the circle it is inscribed in.
// Ratio is used by Rhombus (0 < Ratio ≤ 1) and Core (0 ≤ Ratio < 0.5) only.
type Section struct {
	Shape Shape
	Ratio float64
}

// Coefficients of sections inscribed in a circle of diameter 1 (facts: derived, standard formulas).
const (
	squareTorsion  = 0.0351443 // 0.140577·(1/√2)⁴, Roark
	triangleSide   = 0.8660254037844386
	trianglePlasto = 2.3431457505076194 // plastic / elastic modulus of a triangle, 4(2−√2)
)

// Area returns the area of the section, mm²; d mm, ≥ 0. Exact. Checked by TestSections (S1, S3).
func (s Section) Area(d float64) float64 {
	switch s.Shape {
	case Square:
		return d * d / 2
	case Triangle:
		return math.Sqrt(3) / 4 * triangleSide * triangleSide * d * d
	case Rhombus:
		return s.Ratio * d * d / 2
	case Core:
		c := s.core(d)
		return math.Pi / 4 * c * c
	default:
		return math.Pi / 4 * d * d
	}
}

// Inertia returns the second moment of area about the weak axis, mm⁴; d mm, ≥ 0.
//
//	circle πd⁴/64 · square d⁴/48 · triangle √3s⁴/96, s = √3d/2 · rhombus p³d⁴/48 · core π(d−2h)⁴/64
//
// Exact (core: lower bound). Checked by TestSections (S1, S2).
func (s Section) Inertia(d float64) float64 {
	d4 := d * d * d * d
	switch s.Shape {
	case Square:
		return d4 / 48
	case Triangle:
		return math.Sqrt(3) / 96 * (triangleSide * triangleSide * triangleSide * triangleSide) * d4
	case Rhombus:
		return s.Ratio * s.Ratio * s.Ratio * d4 / 48
	case Core:
		c := s.core(d)
		return math.Pi / 64 * (c * c * c * c)
	default:
		return math.Pi / 64 * d4
	}
}

// Torsion returns the torsion constant J, mm⁴; d mm, ≥ 0.
//
//	circle πd⁴/32 · square 0.140577 a⁴, a = d/√2 · triangle √3s⁴/80 · core π(d−2h)⁴/32
//	rhombus A⁴/(c·Ip), Ip = (p + p³)d⁴/48, c = 42.681 − 6.681(1−p)²
//
// Exact but for the rhombus, whose c joins the square (exact) to the thin section (c = 36, J = p³d⁴/12):
// within 3 % of a solved Poisson problem for p ≥ 0.2. Sources: Roark (square, triangle; from memory),
// Saint-Venant's A⁴/Ip form. Checked by TestSections (S1) and TestRhombusTorsion.
func (s Section) Torsion(d float64) float64 {
	d4 := d * d * d * d
	switch s.Shape {
	case Square:
		return squareTorsion * d4
	case Triangle:
		return math.Sqrt(3) / 80 * (triangleSide * triangleSide * triangleSide * triangleSide) * d4
	case Rhombus:
		p, q := s.Ratio, 1-s.Ratio
		a := p / 2
		polar := (p + float64(p*p*p)) / 48
		c := 42.681 - float64(6.681*(q*q))
		return a * a * a * a / (c * polar) * d4
	case Core:
		c := s.core(d)
		return math.Pi / 32 * (c * c * c * c)
	default:
		return math.Pi / 32 * d4
	}
}

// Modulus returns the smallest elastic section modulus, mm³: first yield in the worst direction.
//
//	circle πd³/32 · square d³/24 (over the corner) · triangle 0.0202975 d³ · rhombus p²d³/24 · core π(d−2h)³/32
//
// Exact (core: lower bound). Checked by TestSections (S1).
func (s Section) Modulus(d float64) float64 {
	d3 := d * d * d
	switch s.Shape {
	case Square:
		return d3 / 24
	case Triangle:
		return s.Inertia(d) / (d / 2)
	case Rhombus:
		return s.Ratio * s.Ratio * d3 / 24
	case Core:
		c := s.core(d)
		return math.Pi / 32 * (c * c * c)
	default:
		return math.Pi / 32 * d3
	}
}

// Plastic returns the fully plastic section modulus that goes with Modulus, mm³: moment at full yield or
// full plateau over the yield stress.
//
//	circle d³/6 · square d³/12 (over the corner) · triangle 2.343 Z · rhombus p²d³/12 · core (d−2h)³/6
//
// Checked by TestSections (shape factors 1.698, 2, 2.343 from handbooks).
func (s Section) Plastic(d float64) float64 {
	switch s.Shape {
	case Square, Rhombus:
		return 2 * s.Modulus(d)
	case Triangle:
		return trianglePlasto * s.Modulus(d)
	case Core:
		c := s.core(d)
		return c * c * c / 6
	default:
		return d * d * d / 6
	}
}

// PlasticTorsion returns the fully plastic torsion modulus, mm³: torque at full yield over the shear
// yield stress (sand-heap analogy: ⅔ area × inscribed radius for these polygons).
//
//	circle πd³/12 · square a³/3 · triangle s³/12 · rhombus p²d³/(6√(1+p²)) · core π(d−2h)³/12
//
// Checked by TestSections (square 0.11785 d³).
func (s Section) PlasticTorsion(d float64) float64 {
	d3 := d * d * d
	switch s.Shape {
	case Square:
		return d3 / (6 * math.Sqrt2)
	case Triangle:
		return triangleSide * triangleSide * triangleSide / 12 * d3
	case Rhombus:
		p := s.Ratio
		return p * p / (6 * math.Sqrt(1+float64(p*p))) * d3
	case Core:
		c := s.core(d)
		return math.Pi / 12 * (c * c * c)
	default:
		return math.Pi / 12 * d3
	}
}

// ChipSpace returns the share of the circumscribed circle that the section leaves free for shavings,
// 0 … 1. Checked by TestSections (S4: square 36 %, triangle 59 %).
func (s Section) ChipSpace() float64 {
	return 1 - s.Area(1)/(math.Pi/4)
}

// core returns the diameter of the round core, mm.
func (s Section) core(d float64) float64 { return d - float64(2*s.Ratio*d) }
