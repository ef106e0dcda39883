// Package anatomy grows teeth and canals from norms, parameters and a seed, and measures them.
//
// The norms are the published sizes of norms.csv, each with its source and standing. A Spec fixes what
// a scenario wants; everything else is drawn from the norms, one named random stream per purpose, so
// that a new draw in one place shifts nothing in another. A canal is curvature over arc length in two
// planes that share the arc length (clinical: x and y; proximal: z and y), its walls and the outside
// of its root are distances from that axis on the four sides. A tooth is crown, pulp chamber, roots
// and one to four canals.
//
// Units: mm and rad. y points crownwards with 0 at the cemento-enamel junction, in both jaws; x
// distal, z lingual. Arc length runs from orifice to foramen; "level" is mm from the foramen.
//
// Departures from a real tooth: each plane is a plane curve of the full arc length, so y differs a
// little between them; a root's outside is smooth but for its furcal concavity; accessory canals,
// isthmuses, and canals that divide below a common stem are not carved. A canal that begins as one
// and divides (Vertucci III, V, VII) is two with neighbouring orifices; one that joins follows the
// other canal from the junction on (II, III); types VI and VII near each other half way without
// joining. Begin reading at Grow.
package anatomy

import "tugback/internal/geom"

// Kind names a tooth type: "upper-central-incisor" … "lower-second-molar" (no third molars).
type Kind string

// Range is a value a scenario may fix: unset (drawn from norms), fixed (Low = High) or drawn between.
type Range struct {
	Set       bool
	Low, High float64
}

// Spec is what a scenario says of a tooth; zero fields are drawn from the norms by the seed.
type Spec struct {
	Kind                     Kind
	Age                      Range       // years, 12–90
	Length                   Range       // mm, reference cusp to radiographic apex of the longest root
	Canals                   []CanalSpec // roots without a canal here get number and joining by the published shares
	Noise                    Range       // share of the norm irregularity, 0 smooth … 2; default 1
	Crown                    Range       // mm, crown height
	ChamberHeight, RoofDepth Range       // mm; roof depth from the reference cusp
}

// CanalSpec fixes what a scenario wants of one canal.
type CanalSpec struct {
	Name                          string // one of CanalNames: "MB", "D", "canal" …
	Length                        Range  // mm, orifice to foramen
	Angle, Radius                 Range  // rad, mm: main bend in the clinical plane (Pruett)
	Towards                       string // "mesial" | "distal" ("" drawn)
	ApicalStraight                Range  // mm of straight canal after the main bend
	SecondAngle, SecondRadius     Range  // reverse curvature, apical to the main bend
	ProximalAngle, ProximalRadius Range  // the hidden bend
	ProximalTowards               string // "buccal" | "lingual"
	OrificeTilt                   Range  // rad, clinical heading at the orifice, positive distal
	Constriction                  string // "single" | "tapering" | "multiple" | "parallel"
	Narrow, Wide                  Range  // mm, constriction diameters
	ConstrictionLevel             Range  // mm from the foramen
	ForamenOffset                 Range  // mm from the anatomical apex
	Taper                         Range  // mm per mm of the unshaped canal's coronal two thirds
	Calcified                     []Narrowing
	Joins                         string // name of the canal of the same root that it joins
	JoinLevel                     Range  // mm from the foramen of the common part
}

// Narrowing is a calcified stretch.
type Narrowing struct {
	Level  float64 // centre, mm from the foramen
	Length float64 // mm
	Share  float64 // diameter left / diameter, 0.1–1
}

// Tooth is a grown tooth. Coordinates: x distal, y crownwards (0 at the cemento-enamel junction), z lingual; mm.
type Tooth struct {
	Kind      Kind
	Seed      uint64
	Upper     bool
	Age       float64 // years
	Length    float64 // longest, reference cusp to radiographic apex
	Crown     Crown
	Chamber   Chamber
	Furcated  bool       // its roots part in the clinical plane
	Furcation geom.Point // clinical plane, when Furcated
	Roots     []Root
	Canals    []Canal
}

// Crown is the part above the cemento-enamel junction.
type Crown struct {
	Height  float64
	Cusps   []Cusp       // the first is the highest: what Length is measured from
	Fossa   float64      // y of the pit or lingual surface point where access starts
	Cervix  [2]float64   // mesiodistal, buccolingual width at the junction
	Table   [2]float64   // greatest widths
	Outline []geom.Point // clinical plane, from the mesial junction over the cusps to the distal junction
	Dentine []geom.Point // dentine under the enamel, same ends
}

// Cusp is a cusp tip or the middle of an incisal edge: what a stop is set against.
type Cusp struct {
	Name  string
	Point geom.Point
	Z     float64
}

// Chamber is the pulp chamber.
type Chamber struct {
	Roof, Floor float64    // y
	Wall        [4]float64 // at mid height, distance of the mesial, distal, buccal, lingual wall from the tooth axis (x = 0, z = 0)
	Horns       []Cusp
	Outline     []geom.Point // clinical section of the chamber with horns, closed; canals open at its floor
	Plan        Plan
}

// Plan is the floor of the chamber (or the cervical section of a single canal) from above, x and z as x and y.
type Plan struct {
	Outline  []geom.Point    // of the chamber at floor level
	Tooth    []geom.Point    // outside of the tooth at the same level
	Lines    [][2]geom.Point // developmental lines
	Orifices []geom.Point    // per canal
}

// Root is one root in the clinical plane.
type Root struct {
	Name    string
	Config  string // Vertucci's type "I" … "VIII" as drawn or asked for; a divided upper premolar has the type of the whole tooth on both roots
	Canals  []int
	Apex    geom.Point // radiographic apex
	ApexZ   float64
	Outline []geom.Point // from the mesial side at the junction (or furcation) round the apex to the distal side
}

// Canal is one canal from its orifice to its foramen.
type Canal struct {
	Name         string
	Root         int
	Length       float64        // arc length, orifice to foramen
	Step         float64        // Length / (stations − 1), close to 0.1 mm
	Axis         []geom.Station // clinical plane
	Proximal     []geom.Station // proximal plane: Point.X is z
	Wall         [4][]float64   // mesial, distal, buccal, lingual: axis to canal wall
	Surface      [4][]float64   // axis to the outside of the root, inside the furcal concavity
	Cusp         int            // its reference cusp
	Constriction Constriction
	Foramen      Foramen
	Joins        int     // canal it joins, or −1
	JoinS        float64 // its own arc length where it joins; beyond it axis and walls are the other canal's
}

// Constriction is the minor diameter.
type Constriction struct {
	Type         string  // one of "single", "tapering", "multiple", "parallel"
	Level        float64 // mm from the foramen
	Narrow, Wide float64 // mm
}

// Foramen is the major diameter.
type Foramen struct {
	Diameter float64 // mm
	Offset   float64 // from the radiographic apex, mm
	Side     int     // wall side towards which it opens, −1 at the tip
}
