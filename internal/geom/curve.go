package geom

import (
	"math"

	"tugback/internal/detmath"
)

// Piece is a stretch of a curve whose curvature (1/mm, counter-clockwise positive) runs linearly from
// Start to End over Length mm: a straight (0,0), an arc (k,k) or a clothoid blend.
type Piece struct{ Length, Start, End float64 }

// Straight returns a straight piece of the given length ≥ 0, mm.
func Straight(length float64) Piece {
	if !(length >= 0) {
		panic("geom: Straight with a negative length")
	}
	return Piece{Length: length}
}

// Arc returns a circular piece of the given radius > 0, mm, that turns by angle, rad, signed:
// positive counter-clockwise. Its length is radius·|angle|.
func Arc(radius, angle float64) Piece {
	if !(radius > 0) || math.IsNaN(angle) {
		panic("geom: Arc with a radius not positive or an angle not a number")
	}
	k := math.Copysign(1/radius, angle)
	return Piece{Length: float64(radius * math.Abs(angle)), Start: k, End: k}
}

// Curve is a plane curve given by its start and its pieces. Heading, rad, is that at Origin; the
// heading is continuous over the joints, the curvature need not be.
type Curve struct {
	Origin  Point
	Heading float64
	Pieces  []Piece
}

// Station is a place on a curve: arc length from its start, position, heading and curvature there.
type Station struct {
	S         float64 // mm, from 0 to the curve's length
	Point     Point   // mm
	Heading   float64 // rad, 0 is down, counter-clockwise positive, not folded at ±π
	Curvature float64 // 1/mm, counter-clockwise positive
}

// Length returns the arc length of the curve, mm.
func (c Curve) Length() float64 {
	sum := 0.0
	for _, piece := range c.Pieces {
		sum += piece.Length
	}
	return sum
}

// At returns the station at arc length s, mm; s is clamped to [0, Length]. At a joint the curvature
// is that of the piece that begins there.
//
// Straights and arcs are exact to rounding. Blends are integrated by Gauss-Legendre quadrature of
// eight points on panels that turn by at most 1 rad, with an error below 1e-13 of their length.
// Checked by TestClothoid and TestArcStations.
func (c Curve) At(s float64) Station {
	if math.IsNaN(s) {
		panic("geom: At of a place that is not a number")
	}
	w := c.start()
	for w.next() && s >= w.begin.S+w.piece.Length {
		w.advance()
	}
	return w.at(s)
}

// Sample returns the stations at 0, step, 2·step, … and always the end of the curve, which replaces
// a last station closer to it than a millionth of the step. step must be positive.
func (c Curve) Sample(step float64) []Station {
	if !(step > 0) {
		panic("geom: Sample with a step not positive")
	}
	length := c.Length()
	count := int(math.Ceil(length/step - 1e-6))
	stations := make([]Station, 0, count+1)
	w := c.start()
	w.next()
	for i := 0; i < count; i++ {
		s := float64(float64(i) * step)
		for s >= w.begin.S+w.piece.Length && w.index+1 < len(c.Pieces) {
			w.advance()
			w.next()
		}
		stations = append(stations, w.at(s))
	}
	return append(stations, c.At(length))
}

// walk goes over the pieces of a curve; begin is the station at the start of piece.
type walk struct {
	curve Curve
	index int
	piece Piece
	begin Station
}

func (c Curve) start() walk {
	return walk{curve: c, begin: Station{Point: c.Origin, Heading: c.Heading}}
}

// next takes up the piece at index; false if it is the last one or there is none.
func (w *walk) next() bool {
	if w.index < len(w.curve.Pieces) {
		w.piece = w.curve.Pieces[w.index]
	}
	return w.index+1 < len(w.curve.Pieces)
}

// advance moves to the end of the present piece.
func (w *walk) advance() {
	w.begin = w.piece.follow(w.begin, w.piece.Length)
	w.index++
}

// at returns the station at arc length s, clamped to the ends of the present piece.
func (w *walk) at(s float64) Station {
	u := math.Max(0, math.Min(s-w.begin.S, w.piece.Length))
	station := w.piece.follow(w.begin, u)
	if u > 0 && u < w.piece.Length {
		station.S = s // not moved by rounding
	}
	return station
}

// follow returns the station u mm into a piece that begins at b.
func (p Piece) follow(b Station, u float64) Station {
	rate := 0.0
	if p.Length > 0 {
		rate = (p.End - p.Start) / p.Length
	}
	k := p.Start + float64(rate*u)
	next := Station{S: b.S + u, Curvature: k}
	next.Heading = b.Heading + float64(0.5*(p.Start+k)*u)
	if rate == 0 {
		next.Point = b.Point.Add(arcChord(b.Heading, k, u))
	} else {
		next.Point = b.Point.Add(p.blendChord(b.Heading, rate, u))
	}
	return next
}

// arcChord returns the vector over u mm of an arc that begins at a heading.
//
//	chord = u · sin(h)/h, h = k·u/2, in the direction heading + h
func arcChord(heading, k, u float64) Point {
	half := float64(0.5 * k * u)
	return Direction(heading + half).Scale(float64(u * sinc(half)))
}

// sinc returns sin(x)/x, relative error below 1e-15.
func sinc(x float64) float64 {
	if math.Abs(x) > 0.05 {
		return detmath.Sin(x) / x
	}
	z := float64(x * x)
	r := 1 - z/72
	r = 1 - float64(z*r)/42
	r = 1 - float64(z*r)/20
	return 1 - float64(z*r)/6
}

// Nodes and weights of the eight-point Gauss-Legendre rule on [-1, 1], the positive half.
// Source: Abramowitz and Stegun 1964, Handbook of Mathematical Functions, table 25.4.
var (
	gaussNode   = [4]float64{0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363}
	gaussWeight = [4]float64{0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763}
)

// blendChord returns the vector over the first u mm of a clothoid piece that begins at a heading.
func (p Piece) blendChord(heading, rate, u float64) Point {
	swing := math.Max(math.Abs(p.Start), math.Abs(p.Start+float64(rate*u))) * u
	panels := int(swing) + 1
	half := 0.5 * u / float64(panels)
	sum := Point{}
	for i := 0; i < panels; i++ {
		middle := float64(half * float64(2*i+1))
		for j, node := range gaussNode {
			offset := float64(half * node)
			before := Direction(heading + p.swing(rate, middle-offset))
			after := Direction(heading + p.swing(rate, middle+offset))
			sum = sum.Add(before.Add(after).Scale(gaussWeight[j]))
		}
	}
	return sum.Scale(half)
}

// swing returns the change of heading over the first u mm of a piece.
func (p Piece) swing(rate, u float64) float64 {
	return float64(u * (p.Start + float64(0.5*rate*u)))
}

// Integrate returns the stations of a curve whose curvature, 1/mm, is given at equal steps, mm: one
// station for each value, the first at origin with the given heading. The heading is integrated by
// the trapezoid rule and each step is taken as an exact arc of the mean curvature, so a curve of
// constant curvature is exact; else the error of a position is of the order of length·step²·κ″/12.
// step must be positive. Checked by TestIntegrate.
func Integrate(origin Point, heading, step float64, curvature []float64) []Station {
	if !(step > 0) {
		panic("geom: Integrate with a step not positive")
	}
	stations := make([]Station, len(curvature))
	for i, k := range curvature {
		if i > 0 {
			mean := 0.5 * (curvature[i-1] + k)
			origin = origin.Add(arcChord(heading, mean, step))
			heading += float64(mean * step)
		}
		stations[i] = Station{float64(float64(i) * step), origin, heading, k}
	}
	return stations
}

// Offset returns the points at distance d[i], mm, to the left of station i (negative: right), left
// being the side of positive headings. It panics unless there is one distance for each station.
func Offset(stations []Station, d []float64) []Point {
	if len(d) != len(stations) {
		panic("geom: Offset without one distance for each station")
	}
	points := make([]Point, len(d))
	for i, station := range stations {
		points[i] = station.Point.Add(Direction(station.Heading).Left().Scale(d[i]))
	}
	return points
}
