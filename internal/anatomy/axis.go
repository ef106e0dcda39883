package anatomy

import (
	"math"

	"github.com/ojrac/opensimplex-go"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// bend is what is drawn of a canal's course in one plane: straight, main arc, straight, and where
// there is one a reverse arc and a last straight. Angles are signed as headings are.
type bend struct {
	angle, radius, tail          float64
	reverse, reverseRadius, last float64
	blend                        float64 // mm, clothoid at both ends of an arc
	field                        string  // "Canals[MB]", for messages
	held                         held    // what a spec fixes
}

// held marks the parts of a bend that a spec fixes.
type held struct{ angle, radius, tail, reverse bool }

// arc is the length of the part with a given shape: all but the coronal straight.
func (b bend) arc() float64 {
	return math.Abs(float64(b.radius*b.angle)) + b.tail + math.Abs(float64(b.reverseRadius*b.reverse)) + b.last
}

// pieces returns the bend as curvature over arc length for a canal of a length ≥ arc.
func (b bend) pieces(length float64) []geom.Piece {
	pieces := []geom.Piece{geom.Straight(math.Max(0, length-b.arc()))}
	pieces = append(pieces, b.turn(b.angle, b.radius)...)
	pieces = append(pieces, geom.Straight(b.tail))
	if b.reverse != 0 {
		pieces = append(pieces, b.turn(b.reverse, b.reverseRadius)...)
		pieces = append(pieces, geom.Straight(b.last))
	}
	return pieces
}

// turn returns an arc; where blends are wanted its ends are clothoids and its middle a little
// tighter, so that angle and length stay.
func (b bend) turn(angle, radius float64) []geom.Piece {
	length := math.Abs(float64(radius * angle))
	if length == 0 {
		return nil
	}
	ease := math.Min(b.blend, 0.25*length)
	if ease == 0 {
		return []geom.Piece{geom.Arc(radius, angle)}
	}
	k := angle / (length - ease)
	return []geom.Piece{{Length: ease, Start: 0, End: k}, {Length: length - float64(2*ease), Start: k, End: k}, {Length: ease, Start: k, End: 0}}
}

// coronalStraight, mm, is the least straight part left between orifice and main bend.
const coronalStraight = 0.5

// fit makes a drawn bend short enough for a canal: first the straight, then the reverse bend, then
// radius and angle give way, but nothing that a spec fixes; what does not fit then is refused.
func (b bend) fit(length float64) (bend, error) {
	room := length - coronalStraight
	if over := b.arc() - room; over > 0 && !b.held.tail {
		b.tail = math.Max(math.Min(b.tail, 0.3), b.tail-over)
	}
	if b.arc() > room && !b.held.reverse {
		b.reverse, b.last = 0, 0
	}
	if over := b.arc() - room; over > 0 && !b.held.radius && b.angle != 0 {
		b.radius = math.Max(leastRadius, b.radius-over/math.Abs(b.angle))
	}
	if over := b.arc() - room; over > 0 && !b.held.angle {
		b.angle = math.Copysign(math.Max(0, math.Abs(b.angle)-over/b.radius), b.angle)
	}
	if over := b.arc() - room; over > 1e-9 {
		return b, b.refuse(over)
	}
	return b, nil
}

// refuse names the fixed part that would have to give way, and how far.
func (b bend) refuse(over float64) error {
	angle := math.Abs(b.angle)
	const why = "longer does not fit into the canal"
	if most := b.radius - over/math.Max(angle, 1e-9); b.held.radius && most >= leastRadius {
		return bound{leastRadius, most, "mm"}.refuse(b.field+".Radius", b.radius, why)
	}
	if b.held.tail && b.tail >= over {
		return bound{0, b.tail - over, "mm"}.refuse(b.field+".ApicalStraight", b.tail, why)
	}
	if b.held.angle {
		return bound{0, math.Max(0, angle-over/b.radius), "rad"}.refuse(b.field+".Angle", angle, why)
	}
	return bound{0, 0, "rad"}.refuse(b.field+".SecondAngle", math.Abs(b.reverse), why)
}

// course is one plane of a canal.
type course struct {
	bend  bend
	noise []float64 // curvature added at each station
}

// axis returns the stations of a course from an origin: exact where there is no noise.
func (c course) axis(origin geom.Point, heading, length float64, n int) []geom.Station {
	curve := geom.Curve{Origin: origin, Heading: heading, Pieces: c.bend.pieces(length)}
	step := length / float64(n-1)
	stations := make([]geom.Station, n)
	if c.noise == nil {
		for i := range stations {
			stations[i] = curve.At(float64(float64(i) * step))
			stations[i].S = float64(float64(i) * step)
		}
		return stations
	}
	steer(stations, curve, step)
	lean := 0.0
	for i := range stations {
		if i > 0 {
			lean += float64(0.5 * step * (c.noise[i-1] + c.noise[i]))
		}
		stations[i].Heading += lean
		stations[i].Curvature += c.noise[i]
	}
	stations[0].Point = origin
	place(stations, step)
	return stations
}

// end returns the last station of a course, untilted.
func (c course) end(origin geom.Point, length float64, n int) geom.Station {
	if c.noise != nil {
		return c.axis(origin, 0, length, n)[n-1]
	}
	return geom.Curve{Origin: origin, Pieces: c.bend.pieces(length)}.At(length)
}

// steer sets arc length, heading and curvature of stations along a curve.
func steer(stations []geom.Station, curve geom.Curve, step float64) {
	heading, start, piece := curve.Heading, 0.0, 0
	for i := range stations {
		s := float64(float64(i) * step)
		for piece+1 < len(curve.Pieces) && s > start+curve.Pieces[piece].Length {
			p := curve.Pieces[piece]
			start += p.Length
			heading += float64(0.5 * p.Length * (p.Start + p.End))
			piece++
		}
		p := curve.Pieces[piece]
		u, k := s-start, p.Start
		if p.Length > 0 {
			k += float64((p.End - p.Start) * u / p.Length)
		}
		stations[i] = geom.Station{S: s, Heading: heading + float64(0.5*u*(p.Start+k)), Curvature: k}
	}
}

// place sets the points of stations from the first on by their headings, exact where the curvature is
// constant within a step.
func place(stations []geom.Station, step float64) {
	for i := 1; i < len(stations); i++ {
		before, after := stations[i-1].Heading, stations[i].Heading
		half := 0.5 * (after - before)
		chord := float64(step * (1 - float64(half*half)/6))
		direction := geom.Direction(0.5 * (before + after))
		stations[i].Point = stations[i-1].Point.Add(direction.Scale(chord))
	}
}

// stationsFor returns the number of stations of a length: steps of about 0.1 mm.
func stationsFor(length float64) int { return int(math.RoundToEven(length/0.1)) + 1 }

// angleFromSchneider returns the angle of the arc (radius mm, then a straight of tail mm) whose
// Schneider angle is given, rad; the inverse of
//
//	tan S = (R(1−cosθ) + t·sinθ) / (R·sinθ + t·cosθ)
//
// by 30 bisections of [S, 2S], the bounds of θ. Source: derived. Checked by TestMeanCurvature.
func angleFromSchneider(schneider, radius, tail float64) float64 {
	low, high := schneider, math.Min(2*schneider, 0.5*math.Pi)
	for i := 0; i < 30; i++ {
		middle := 0.5 * (low + high)
		sin, cos := detmath.Sincos(middle)
		across := float64(radius*(1-cos)) + float64(tail*sin)
		along := float64(radius*sin) + float64(tail*cos)
		if detmath.Atan2(across, along) < schneider {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// wander is a smooth irregularity along a canal.
type wander struct{ source opensimplex.Noise }

func newWander(stream detmath.Stream) wander {
	return wander{opensimplex.New(int64(stream.Uint64() >> 1))}
}

// at returns noise in about [−1, 1] for a place and a lane; lanes are independent. The library's last
// bits may differ between targets, so it is rounded to 1e-6.
func (w wander) at(place, lane float64) float64 {
	return detmath.Quantise(w.source.Eval2(place, lane), 1e-6)
}

// row returns noise at n stations: wave mm is the size of its features.
func (w wander) row(n int, step, wave, lane, amplitude float64) []float64 {
	if amplitude == 0 {
		return nil
	}
	row := make([]float64, n)
	for i := range row {
		row[i] = amplitude * w.at(float64(float64(i)*step)/wave, lane)
	}
	return row
}
