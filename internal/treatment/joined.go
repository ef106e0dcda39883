package treatment

import "math"

// joinReach is how far above the place where two canals join a filling or a cone may end and still serve a canal
// whose common end is filled from the other one, mm: as at the foramen, 0 to 1 mm short. Common practice, no source.
const joinReach = 1.0

// junction is where a canal joins another: the other canal, and the place in each, mm from the reference point.
type junction struct {
	other           int
	here, fromOther float64
}

// junctionOf returns where canal k shares its end with another, and whether it does.
func (s *State) junctionOf(k int) (junction, bool) {
	own := &s.Case.Tooth.Canals[k]
	for o := range s.Canals {
		other := &s.Case.Tooth.Canals[o]
		switch {
		case o == k:
		case own.Joins == o:
			return junction{o, s.Canals[k].Orifice() + own.JoinS, s.Canals[o].Foramen() - (own.Length - own.JoinS)}, true
		case other.Joins == k:
			return junction{o, s.Canals[k].Foramen() - (other.Length - other.JoinS), s.Canals[o].Orifice() + other.JoinS}, true
		}
	}
	return junction{}, false
}

// servedBy returns the canal whose filling lies in the end common to it and canal k, when what ends in k at a
// length reaches the place where they join, and how far above that place it ends, mm; nil where none does.
func (s *State) servedBy(k int, tip float64) (*CanalState, float64) {
	j, joins := s.junctionOf(k)
	if !joins {
		return nil, 0
	}
	other, off := &s.Canals[j.other], j.here-tip
	if other.Fill.Technique == "" || other.Fill.Tip <= j.fromOther || off < 0 || off > joinReach {
		return nil, 0
	}
	return other, off
}

// fillShort returns how far short of the foramen the filling of a canal ends, mm, beyond negative; the whole
// length when it is not filled. Canals that join take one cone to the end: where the other one's filling lies in
// the common end and this one's reaches the place where they join, the end of the other counts.
// Checked by TestJoinedFillings.
func (s *State) fillShort(k int) float64 {
	c := &s.Canals[k]
	if c.Fill.Technique == "" {
		return c.Foramen() - c.Orifice()
	}
	if other, _ := s.servedBy(k, c.Fill.Tip); other != nil {
		c = other
	}
	return c.Foramen() - c.Fill.Tip
}

// FilmShort returns how far short of the root's tip the filling of a canal ends on a film, mm, beyond negative: the
// difference of their images from the reference cusp, magnification taken off; to the orifice when it is not filled.
// Where canals join, the end of the one that fills the common end counts, as in the metric fill_short_mm.
// Checked by TestFilmShort.
func (s *State) FilmShort(k int, b Beam) float64 {
	c := &s.Canals[k]
	tip := c.Orifice()
	if c.Fill.Technique != "" {
		tip = c.Fill.Tip
	}
	if other, _ := s.servedBy(k, tip); other != nil {
		tip = c.Foramen() - (other.Foramen() - other.Fill.Tip)
	}
	return (s.ToothImage(k, b) - s.FileImage(k, b, tip)) / b.Magnification()
}

// filmHole is the width of a hole in a filling from which films show it, mm (Huybrechts 2009, Int Endod J 42:675, from
// memory, medium certainty: all kinds of film show voids of 0.3 mm and more).
const filmHole = 0.3

// FilmVoid returns the void's share of the worst millimetre of a filling, counting those millimetres whose void makes a
// round hole wide enough for a film; 0 where none does or without a filling. A film shows a hole by its width and by
// how much of the filling it takes out of the beam's way. Checked by TestFilmVoid.
func (c *CanalState) FilmVoid() float64 {
	if c.Fill.Technique == "" {
		return 0
	}
	last := min(c.station(c.Fill.Tip), c.Space.Foramen)
	n := max(1, int(math.RoundToEven(1/c.Space.Step)))
	worst := 0.0
	for i := c.Space.Orifice; i+n-1 <= last; i++ {
		void, whole := 0.0, 0.0
		for k := i; k < i+n; k++ {
			void += float64(c.area(k) * (1 - c.Fill.Solid[k] - c.Fill.Paste[k]))
			whole += c.area(k)
		}
		if float64(4/math.Pi*void) >= float64(float64(n)*filmHole*filmHole) {
			worst = math.Max(worst, void/whole)
		}
	}
	return worst
}

// coneShort returns how far short of its length the master cone ends, mm, beyond negative; 0 without cone or
// length. Where the common end of joining canals is filled, the place where they join is its length.
func (s *State) coneShort(k int) float64 {
	c := &s.Canals[k]
	if c.Cone.Item == "" || c.Length <= 0 {
		return 0
	}
	if other, off := s.servedBy(k, c.Cone.Tip); other != nil {
		return off
	}
	return c.Length - c.Cone.Tip
}

// shareEnd gives what an action in a canal did to an end common to it and another to the other one as well: walls
// where they are wider, tissue and bacteria where less is left, and a hole. Every action in a canal goes through it,
// so that it makes no difference what cut. Checked by TestSharedHole, TestFreedInSharedEnd, TestRinsedSharedEnd.
func (t *turn) shareEnd() {
	from := t.index(t.action.Canal)
	if from < 0 || !needsCanal(t.action.Do) {
		return
	}
	for to := range t.Canals {
		a, b := &t.Case.Tooth.Canals[from], &t.Case.Tooth.Canals[to]
		common := 0.0
		switch {
		case to == from:
			continue
		case a.Joins == to:
			common = a.Length - a.JoinS
		case b.Joins == from:
			common = b.Length - b.JoinS
		default:
			continue
		}
		t.Canals[to] = t.Canals[to].clone()
		copyEnd(&t.Canals[from], &t.Canals[to], common)
	}
}

func copyEnd(from, to *CanalState, common float64) {
	n := int(common / to.Space.Step)
	for k := range n {
		i := to.Space.Foramen - k
		j := from.station(from.Foramen() - float64(float64(k)*to.Space.Step))
		for side := range 4 {
			to.Space.Wall[side][i] = math.Max(to.Space.Wall[side][i], from.Space.Wall[side][j])
		}
		to.Tissue[i], to.Flora[i] = math.Min(to.Tissue[i], from.Tissue[j]), math.Min(to.Flora[i], from.Flora[j])
	}
	if hole := from.Perforation; hole != nil && from.Level(hole.S) < common && to.Perforation == nil {
		to.Perforation = &Perforation{S: to.Foramen() - from.Level(hole.S), Wall: hole.Wall, Kind: hole.Kind}
	}
}
