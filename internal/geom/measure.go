package geom

import (
	"math"

	"tugback/internal/detmath"
)

// Schneider returns the Schneider angle of an axis (orifice first, foramen last), rad, in [0, π]:
// between the line along the coronal canal and the line from the point where the canal first leaves
// it to the foramen.
//
//	straight, arc of angle θ, straight t:  θ/2 ≤ S < θ, with S = θ/2 for t = 0
//
// A drawn canal (straight, one arc, straight) is read exactly, to about 1e-9 rad. Otherwise the
// coronal line and the place of leaving come from a least-squares fit of straight, tangent arc and
// straight to the headings; wander of a few hundredths of a millimetre moves the result by a few
// degrees at most. In an S-shaped canal the first bend counts. Schneider panics if the axis has no
// length or a coordinate that is not finite.
//
// Source: Schneider 1971, Oral Surgery 32:271. Checked by TestWorkedExamples, TestMeasureProperties
// and TestNoisyCanals.
func Schneider(axis []Point) float64 {
	first := read(axis)[0]
	chord := axis[len(axis)-1].Sub(first.leave)
	if chord == (Point{}) {
		return 0
	}
	return math.Abs(turn(first.coronal, chord))
}

// Weine returns the Weine angle of an axis (orifice first, foramen last), rad, in [0, π]: between the
// line through the coronal part and the line through the apical part, where they cross. For straight,
// arc and straight it is the angle of the arc; in an S-shaped canal the net turn. Precision and
// refusals are those of Schneider.
//
// Source: Weine, Endodontic Therapy (definition from memory). Checked by TestWorkedExamples.
func Weine(axis []Point) float64 {
	readings := read(axis)
	return math.Abs(turn(readings[0].coronal, readings[len(readings)-1].apical))
}

// Bend is one bend of a canal by the tangent-circle construction: a line along the part before it, a
// line along the part after it, and the circle that touches both where the canal leaves them.
type Bend struct {
	Angle     float64 // rad ≥ 0, between the perpendiculars at both ends
	Radius    float64 // mm, +Inf for a straight canal
	ArcLength float64 // mm, Radius·Angle; 0 for a straight canal
	Begin     int     // point of the axis nearest to the coronal end of the arc
	End       int     // point of the axis nearest to its apical end
}

// Bends returns the bends of an axis (orifice first, foramen last) from the orifice on, at least one.
// A new bend is counted where the canal turns back by more than 10°. Precision and refusals are those
// of Schneider. Checked by TestBendsOfBayonet.
func Bends(axis []Point) []Bend {
	readings := read(axis)
	bends := make([]Bend, len(readings))
	for i, r := range readings {
		angle := math.Abs(r.angle)
		bends[i] = Bend{angle, r.arc / angle, r.arc, r.begin, r.end}
		if angle == 0 {
			bends[i].Radius = math.Inf(1)
		}
	}
	return bends
}

// Pruett returns the bend of an axis (orifice first, foramen last) by angle and radius; of several
// bends the one of greatest angle. Precision and refusals are those of Schneider.
//
// Source: Pruett, Clement and Carnes 1997, Journal of Endodontics 23:77. Checked by TestPruettTubes.
func Pruett(axis []Point) Bend {
	bends := Bends(axis)
	largest := bends[0]
	for _, bend := range bends[1:] {
		if bend.Angle > largest.Angle {
			largest = bend
		}
	}
	return largest
}

// estrelaSegment, mm, is the length of the two segments of the Estrela construction.
const estrelaSegment = 6

// EstrelaRadius returns the radius, mm, by the Estrela construction: two segments of 6 mm with both
// ends on the canal, the apical one ending at the foramen and the other following on it coronally;
// the perpendiculars at their middles meet at the centre, which is that of the circle through the
// three ends. A canal of less than 12 mm is halved instead. A straight canal gives +Inf.
//
// The radius is taken to the canal, so points on a circle give its radius R; measured to the middle
// of a segment of length c it would be √(R²−c²/4). The axis needs some length, else EstrelaRadius
// panics.
//
// Source: Estrela et al. 2008, Brazilian Dental Journal 19:114 (segments of 6 mm from memory).
// Checked by TestEstrelaRadius.
func EstrelaRadius(axis []Point) float64 {
	if !(PathLength(axis) > 0) {
		panic("geom: axis without length")
	}
	back := reversed(axis)
	foramen := back[0]
	middle, rest, long := chordAlong(back, estrelaSegment)
	if long {
		var coronal Point
		if coronal, _, long = chordAlong(rest, estrelaSegment); long {
			return Circumradius(foramen, middle, coronal)
		}
	}
	return Circumradius(foramen, pointAt(axis, 0.5*PathLength(axis)), axis[0])
}

// chordAlong returns the first point of a path at a distance from its start, and the path from there
// on; false if the path does not get as far.
func chordAlong(path []Point, distance float64) (end Point, rest []Point, ok bool) {
	start := path[0]
	for i := 1; i < len(path); i++ {
		if path[i].Sub(start).Norm() < distance {
			continue
		}
		end = onSegmentAt(start, path[i-1], path[i], distance)
		return end, append([]Point{end}, path[i:]...), true
	}
	return Point{}, nil, false
}

// onSegmentAt returns the point of segment ab at a distance from start, a being nearer and b not.
func onSegmentAt(start, a, b Point, distance float64) Point {
	along, from := b.Sub(a), a.Sub(start)
	square, half := along.Dot(along), along.Dot(from)
	rest := float64(distance*distance) - from.Dot(from)
	t := (math.Sqrt(float64(half*half)+float64(square*rest)) - half) / square
	return lerp(a, b, math.Max(0, math.Min(1, t)))
}

// Access is the canal access angle with its two lengths.
type Access struct {
	Angle float64 // rad ≥ 0, at the orifice, between coronal axis and chord to the foramen
	X     float64 // mm, distance of the place where the curve begins from the chord
	Y     float64 // mm, from the orifice along the chord to the foot of X
}

// CanalAccess returns the canal access angle of an axis (orifice A first, foramen C last); the curve
// begins where Schneider's reading finds that the canal leaves the coronal line.
//
//	tan Angle = X / Y
//
// Precision and refusals are those of Schneider.
//
// Source: Günday, Sazak and Garip 2005, Journal of Endodontics 31:796 (formula from memory).
// Checked by TestWorkedExamples.
func CanalAccess(axis []Point) Access {
	first := read(axis)[0]
	chord := axis[len(axis)-1].Sub(axis[0]).Unit()
	begin := first.leave.Sub(axis[0])
	x, y := math.Abs(chord.Cross(begin)), chord.Dot(begin)
	return Access{detmath.Atan2(x, y), x, y}
}

// angleSlack, rad, keeps an angle meant to be on a class limit from falling past it by rounding.
const angleSlack = 1e-9

const degree = math.Pi / 180

// SchneiderClass returns "easy", "moderate" or "difficult" for a Schneider angle ≥ 0, rad.
//
// Published classes are easy ≤ 5°, moderate 10–20°, difficult 25–70°. Between and beyond them nothing
// is defined; the rule chosen is that an angle which has left an easier class belongs to the next
// one: more than 5° is moderate, more than 20° difficult. Source: Schneider 1971, Oral Surgery
// 32:271. Checked by TestClasses.
func SchneiderClass(angle float64) string {
	switch {
	case angle <= 5*degree+angleSlack:
		return "easy"
	case angle <= 20*degree+angleSlack:
		return "moderate"
	}
	return "difficult"
}

// EstrelaClass returns "severe", "moderate" or "mild" for a radius of curvature, mm: severe up to
// 4 mm, moderate up to 8 mm, mild above and for +Inf. Source: Estrela et al. 2008, Brazilian Dental
// Journal 19:114 (from memory). Checked by TestClasses.
func EstrelaClass(radius float64) string {
	switch {
	case radius <= 4:
		return "severe"
	case radius <= 8:
		return "moderate"
	}
	return "mild"
}

// FormClass returns the difficulty of a canal by the case-difficulty form of 2022, "low", "moderate"
// or "high", for an angle ≥ 0, rad, and whether the canal is S-shaped: low below 10°, moderate from
// 10° to 30°, high above and for every S shape. Source: facts of the form as published (high row from
// memory). Checked by TestClasses.
func FormClass(angle float64, sShaped bool) string {
	switch {
	case sShaped || angle > 30*degree+angleSlack:
		return "high"
	case angle >= 10*degree-angleSlack:
		return "moderate"
	}
	return "low"
}

// StraighteningLoss returns the length, mm, by which a path along an arc of the given radius, mm, and
// angle, rad ≥ 0, and a straight tail, mm, exceeds the chord over both: the most that straightening
// alone can take from a working length.
//
//	Δ = R·θ + t − √( (R(1−cosθ) + t·sinθ)² + (R·sinθ + t·cosθ)² )
//
// Exact up to rounding. Source: derived. Checked by TestWorkedExamples.
func StraighteningLoss(radius, angle, tail float64) float64 {
	sin, cos := detmath.Sincos(angle)
	chord := Point{
		float64(radius*(1-cos)) + float64(tail*sin),
		float64(radius*sin) + float64(tail*cos),
	}
	return float64(radius*angle) + tail - chord.Norm()
}
