package geom

import "math"

// reading is a curved path as an eye with a ruler reads it: a line along the coronal part, a circle
// tangent to it and a line along the apical part. All measures of curvature are taken from readings.
//
// A path drawn from straights and one arc is read exactly (readExact). Any other path, a natural
// canal that wanders everywhere, is read by least squares (readFitted): its heading over arc length
// is fitted by a level, a ramp and a level, which is the heading of straight, tangent arc and
// straight. No picture tolerance is needed for where the canal leaves a line: it is where the ramp
// begins, and small wander averages out instead of moving it. Only a path that nowhere leaves its
// chord by a visible amount is read as straight at once.
type reading struct {
	coronal    Point   // unit vector of the coronal line, towards the apex
	apical     Point   // unit vector of the apical line, towards the apex
	leave      Point   // where the path leaves the coronal line
	angle      float64 // rad, from coronal to apical line, counter-clockwise positive
	arc        float64 // mm, arc length of the bend
	begin, end int     // points of the path nearest to both ends of the bend
}

// collinearTolerance, mm, is how far points of a drawn straight may lie off it: rounding only, since
// a curve that is not straight leaves the line by more within two points.
const collinearTolerance = 1e-9

// visibleTolerance, mm, is how far a canal may wander off its chord and still be seen as straight:
// the breadth of a fine line on a picture. A uniform curve of 14 mm stays within it up to 1.6°.
const visibleTolerance = 0.05

// circularTolerance, mm, is how far points of a drawn arc may lie off its circle.
const circularTolerance = 1e-7

// read returns the bends of a path, at least one. A path of fewer than two different points, or with
// a coordinate that is not finite, is a broken promise.
func read(axis []Point) []reading {
	for _, p := range axis {
		if !finite(p) {
			panic("geom: axis with a point that is not finite")
		}
	}
	if !(PathLength(axis) > 0) {
		panic("geom: axis without length")
	}
	if r, exact := readExact(axis); exact {
		return []reading{r}
	}
	if unbent(axis) {
		return []reading{straightReading(axis)}
	}
	return readFitted(axis)
}

// unbent reports whether a path that is not drawn exactly keeps within visibleTolerance of its chord.
func unbent(axis []Point) bool {
	chord := []Point{axis[0], axis[len(axis)-1]}
	for _, p := range axis {
		if distance, _ := Distance(p, chord); distance > visibleTolerance {
			return false
		}
	}
	return true
}

// straightReading reads a path as its chord; it leaves the line only at its end.
func straightReading(axis []Point) reading {
	last := len(axis) - 1
	along := axis[last].Sub(axis[0]).Unit()
	return reading{coronal: along, apical: along, leave: axis[last], begin: last, end: last}
}

// readExact reads a path that consists of a straight, an arc and a straight, of which one or both
// straights may be missing; false for any other path.
func readExact(axis []Point) (reading, bool) {
	last := len(axis) - 1
	i, first := straightRun(axis)
	if i == last {
		return straightReading(axis), true
	}
	j, final := straightRun(reversed(axis))
	j, final = last-j, last-final
	if final-first < 2 {
		return reading{}, false
	}
	centre, radius := Circumcircle3(axis[first], axis[(first+final)/2], axis[final])
	if math.IsInf(radius, 1) || !onCircle(axis[first:final+1], centre, radius) {
		return reading{}, false
	}
	sign := math.Copysign(1, axis[first+1].Sub(axis[first]).Cross(centre.Sub(axis[first])))
	coronal, leave := tangent(axis[0], axis[i], axis[first], centre, sign)
	apical, arrive := tangent(axis[j], axis[last], axis[final], centre, sign)
	if math.Abs(leave.Sub(centre).Norm()-radius) > circularTolerance ||
		math.Abs(arrive.Sub(centre).Norm()-radius) > circularTolerance {
		return reading{}, false
	}
	angle := turn(coronal, apical)
	if angle*sign < 0 {
		angle += float64(2 * math.Pi * sign)
	}
	arc := float64(radius * math.Abs(angle))
	return reading{coronal, apical, leave, angle, arc, max(first-1, 0), min(final+1, last)}, true
}

// tangent returns the direction of the straight from a to b and the foot on it of the circle's
// centre. Without a straight (a = b) it is the tangent of the circle at end.
func tangent(a, b, end, centre Point, sign float64) (direction, foot Point) {
	if a == b {
		return centre.Sub(end).Unit().Left().Scale(-sign), end
	}
	direction = b.Sub(a).Unit()
	return direction, a.Add(direction.Scale(centre.Sub(a).Dot(direction)))
}

// straightRun returns the last point of the drawn straight at the start of a path and the first
// point that is surely beyond it; both are 0 if there is no straight, that is fewer than four points
// on a line. The point between the two seems to lie on the line but may already belong to an arc.
func straightRun(axis []Point) (end, beyond int) {
	last := len(axis) - 1
	along := axis[1].Sub(axis[0]).Unit()
	reach := 1
	for reach < last {
		chord := axis[reach+1].Sub(axis[0])
		if math.Abs(along.Cross(chord)) > collinearTolerance {
			break
		}
		along = chord.Unit()
		reach++
	}
	switch {
	case reach == last:
		return last, last
	case reach < 3:
		return 0, 0
	}
	return reach - 1, reach + 1
}

func onCircle(points []Point, centre Point, radius float64) bool {
	for _, p := range points {
		if math.Abs(p.Sub(centre).Norm()-radius) > circularTolerance {
			return false
		}
	}
	return true
}

func reversed(path []Point) []Point {
	back := make([]Point, len(path))
	for i, p := range path {
		back[len(path)-1-i] = p
	}
	return back
}
