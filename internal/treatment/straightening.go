package treatment

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// straightening returns the loss of Schneider's angle of the middle line in the clinical plane, rad,
// straighter positive: line 1 lies through the coronal part down to where the untouched canal leaves it,
// line 2 from there to the end of the preparation. Both lines are drawn on the same stations before and
// after, so that a step in a wall does not move the place where the canal is said to leave: on a film that
// place is judged by eye. Line 1 is turned by the slope of the middle's shift (least squares), the end of
// line 2 is a mean over a millimetre, over half of it where less than two of the bend were reached. 0 before anything has reached the bend. Source of the construction:
// Schneider 1971, Oral Surg 32:271. Checked by TestStraighteningSign.
func (s *State) straightening(k int) float64 {
	before := s.Canals[k].middle(s.Case.Tooth.Canals[k].Axis, false)
	return s.straightened(k, before, geom.Bends(before)[0])
}

// straightened returns the straightening, given the middle line as grown and its first bend.
func (s *State) straightened(k int, before []geom.Point, bend geom.Bend) float64 {
	c, axis := &s.Canals[k], s.Case.Tooth.Canals[k].Axis
	after := c.middle(axis, true)
	h := c.Space.Step
	end := min(c.station(c.Deepest), c.Space.Foramen) - c.Space.Orifice
	leave := min(max(bend.Begin, 3), len(axis)-1)
	mean := max(1, min(int(math.RoundToEven(1/h)), (end-leave)/2))
	if bend.Angle == 0 || end <= leave+1 {
		return 0
	}
	sign := math.Copysign(1, s.bend(k))
	tilt := float64(-sign * c.drift(leave))
	was := middleOf(before[end-mean : end+1]).Sub(before[leave])
	now := middleOf(after[end-mean : end+1]).Sub(after[leave])
	turned := detmath.Atan2(was.Cross(now), was.Dot(now)) // counter-clockwise, towards distal
	return -float64(sign*turned) - float64(tilt)
}

// drift returns the slope (rad, distally positive) of the middle's shift in the clinical plane over the
// canal from its orifice to a station of the axis, by least squares.
func (c *CanalState) drift(leave int) float64 {
	n := float64(leave + 1)
	along, cross := 0.0, 0.0
	for i := range leave + 1 {
		x := float64(float64(2*i-leave) * c.Space.Step / 2) // from the middle
		cross += float64(x * c.shift(0, c.Space.Orifice+i))
		along += float64(x * x)
	}
	if n < 4 || along == 0 {
		return 0
	}
	return cross / along
}

// middleOf returns the mean of points.
func middleOf(points []geom.Point) geom.Point {
	sum := geom.Point{}
	for _, p := range points {
		sum = sum.Add(p)
	}
	return sum.Scale(1 / float64(len(points)))
}
