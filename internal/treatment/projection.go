package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// Beam is how a film is taken: a parallel beam on a flat receptor, magnified as by a point source.
// Angles in rad, distances in mm.
type Beam struct {
	Receptor float64 // between the tooth's long axis and the receptor; 0 paralleling
	Vertical float64 // of the beam from the receptor's normal towards the tooth's normal
	Shift    float64 // of the tube from square in the horizontal plane, towards distal positive
	Source   float64 // from source to receptor
	Object   float64 // from tooth to receptor
}

// Paralleling returns the usual beam: receptor along the tooth, source 400 mm and tooth 20 mm from it
// (magnification 1.053, near the 5 % of the literature).
func Paralleling() Beam { return Beam{Source: 400, Object: 20} }

// bisectingAngle is the angle between tooth and receptor where the receptor leans against the palate
// or gum: 30 deg, a usual value (common practice, no source).
const bisectingAngle = 30.0

// Bisecting returns the beam square to the bisector of tooth and receptor.
func Bisecting() Beam {
	b := Paralleling()
	b.Receptor = radians(bisectingAngle)
	b.Vertical = float64(0.5 * b.Receptor)
	return b
}

// Magnification returns M = SID/(SID − OID). Exact. Checked by TestProjection (G1, G2).
func (b Beam) Magnification() float64 { return b.Source / (b.Source - b.Object) }

// Ratio returns image length / length of what lies along the tooth's axis, magnification left out:
//
//	I/L = cos(a − g) / cos g
//
// for the angle a between tooth and receptor and the beam's angle g. Exact for a parallel beam.
// Checked by TestProjection (G3–G5).
func (b Beam) Ratio() float64 {
	return detmath.Cos(b.Receptor-b.Vertical) / detmath.Cos(b.Vertical)
}

// Project returns where a point of the tooth (x distal, y crownwards, z lingual, mm) stands on the
// receptor, mm: u distal, v crownwards.
//
//	u = M·(x + z·tan φ)   v = M·(y·cos(a − g) + z·sin(a − g)) / cos g
//
// What lies lingually moves the way the tube moves. Exact for a parallel beam. Checked by
// TestProjection (G6).
func (b Beam) Project(x, y, z float64) (u, v float64) {
	sin, cos := detmath.Sincos(b.Receptor - b.Vertical)
	m := b.Magnification()
	u = float64(m * (x + float64(z*detmath.Tan(b.Shift))))
	v = float64(m*(float64(y*cos)+float64(z*sin))) / detmath.Cos(b.Vertical)
	return u, v
}

// FileRatio returns the tooth's length from a film with a file of known length in place:
//
//	L = file · image of the tooth / image of the file
//
// Magnification and foreshortening cancel as far as both lie alike. Checked by TestProjection (G7).
func FileRatio(file, toothImage, fileImage float64) float64 { return file * toothImage / fileImage }

// Place returns where a length from the reference point lies in the tooth, mm: on the canal's axis, above
// the orifice on its straight continuation, beyond the foramen on the continuation below.
func (s *State) Place(canal int, length float64) (x, y, z float64) {
	c, grown := &s.Canals[canal], &s.Case.Tooth.Canals[canal]
	at := (length - c.Orifice()) / c.Space.Step
	last := len(grown.Axis) - 1
	i := min(max(int(math.Floor(at)), 0), last)
	over := float64((at - float64(i)) * c.Space.Step)
	a, p := grown.Axis[i], grown.Proximal[i]
	sin, cos := detmath.Sincos(a.Heading)
	x = a.Point.X + float64(over*sin)
	y = a.Point.Y - float64(over*cos)
	z = p.Point.X + float64(over*detmath.Sin(p.Heading))
	return x, y, z
}

// imageOf returns the distance on the receptor from a canal's reference cusp to a point.
func (s *State) imageOf(canal int, b Beam, x, y, z float64) float64 {
	cusp := s.Case.Tooth.Crown.Cusps[s.Case.Tooth.Canals[canal].Cusp]
	u, v := b.Project(x, y, z)
	cu, cv := b.Project(cusp.Point.X, cusp.Point.Y, cusp.Z)
	return detmath.Hypot(u-cu, v-cv)
}

// ToothImage returns the distance on the film from a canal's reference cusp to the radiographic apex of
// its root, mm.
func (s *State) ToothImage(canal int, b Beam) float64 {
	root := &s.Case.Tooth.Roots[s.Case.Tooth.Canals[canal].Root]
	return s.imageOf(canal, b, root.Apex.X, root.Apex.Y, root.ApexZ)
}

// FileImage returns the distance on the film from a canal's reference cusp to a file's tip at a length
// from it, mm.
func (s *State) FileImage(canal int, b Beam, length float64) float64 {
	x, y, z := s.Place(canal, length)
	return s.imageOf(canal, b, x, y, z)
}

// BeamOf returns the beam an action takes its film with: its angles and how the receptor stands. Checked by
// TestFilmsOfARun of package bench.
func BeamOf(a Action) Beam {
	b := Paralleling()
	if a.Choice == "bisecting" {
		b = Bisecting()
	}
	b.Vertical += radians(float64(a.Tilt) / 10)
	b.Shift = radians(float64(a.Angle) / 10)
	return b
}

// Held is an instrument or cone standing in a canal for a film.
type Held struct {
	Canal int // index, meaningless without an item
	Item  string
	Depth float64 // mm, tip from the reference point
}

// hold notes what stands in the action's canal.
func (t *turn) hold(item string, depth float64) {
	t.Held = Held{Canal: t.index(t.action.Canal), Item: item, Depth: depth}
}

// release takes out what stands in a canal, but for a film or a note.
func (t *turn) release() {
	if k := t.action.Do; k != Radiograph && k != SetLength && k != Wait && k != Report {
		t.Held = Held{}
	}
}
