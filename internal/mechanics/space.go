package mechanics

// Space is the room a file works in: access above the orifice, canal, and a little outside the foramen,
// all at one step. Index 0 is the level of the reference point on the crown, so arc length in the
// space is the length read at a file's stop.
type Space struct {
	Step             float64      // mm
	Curvature        [2][]float64 // of the axis per plane, 1/mm
	Wall             [4][]float64 // from the axis to the wall: minus, plus side of plane 0, then of plane 1; mm
	Surface          [4][]float64 // from the axis to the outside of the root or crown; a wall cut past it is through
	Packed           []float64    // MPa that debris or a fragment lying at the station sets against an advancing tip; 0 free
	Soft             []bool       // station with no hard wall (outside the foramen): neither contact nor wear
	Orifice, Foramen int          // station indices
}

// stations returns the number of stations; it panics when the columns differ in length.
func (s *Space) stations() int {
	n := len(s.Curvature[0])
	ok := len(s.Curvature[1]) == n && len(s.Packed) == n && len(s.Soft) == n
	for side := range s.Wall {
		ok = ok && len(s.Wall[side]) == n && len(s.Surface[side]) == n
	}
	if !ok || n < minStations || !(s.Step > 0) {
		panic("mechanics: space columns differ in length")
	}
	return n
}

// wallAt returns the distance of a wall at arc length at, interpolated; freeGap beyond the last station
// and where there is no hard wall.
func (s *Space) wallAt(side int, at float64) float64 {
	u := at / s.Step
	i := int(u)
	if at <= 0 {
		i, u = 0, 0
	}
	if i+1 >= len(s.Soft) || s.Soft[i] || s.Soft[i+1] {
		if i < len(s.Soft) && !s.Soft[i] && u == float64(i) {
			return s.Wall[side][i]
		}
		return freeGap
	}
	f := u - float64(i)
	return float64((1-f)*s.Wall[side][i]) + float64(f*s.Wall[side][i+1])
}

// opening returns the width of the canal in a plane at a station, mm; freeGap where there is no wall.
func (s *Space) opening(plane, i int) float64 {
	if s.Soft[i] {
		return freeGap
	}
	return s.Wall[2*plane][i] + s.Wall[2*plane+1][i]
}
