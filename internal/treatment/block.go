package treatment

import (
	"errors"
	"fmt"
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// Block is a bare canal as laboratories cut it into resin or steel: a straight, an arc in the clinical
// plane towards distal, a straight, perhaps a second arc the other way and a straight to the foramen;
// round, widening evenly from the foramen, the coronal straight a funnel where it is farther than 14.9 mm
// from the foramen. DefaultBlock holds the defaults.
type Block struct {
	Length       float64 // mm, orifice to foramen along the axis
	Angle        float64 // rad, of the bend by Pruett (of the arc itself), 0 straight
	Radius       float64 // mm
	Tail         float64 // mm of straight canal after the last bend
	SecondAngle  float64 // rad, 0 none; turns back
	SecondRadius float64 // mm
	Between      float64 // mm of straight canal between the bends
	Width        float64 // mm, diameter at the foramen
	Taper        float64 // mm/mm
	Wall         float64 // mm from the canal to the outside, all round
	Entry        float64 // mm, diameter of the straight way in above the orifice
}

// BlockCanal is the name of a block's only canal; BlockEntry the length of the way in above its orifice,
// mm, from which a stop is read.
const (
	BlockCanal = "canal"
	BlockEntry = 6.0
	blockKind  = "block"
)

// DefaultBlock returns a straight block of 16 mm, as resin blocks are made, with a canal a little wider than a
// file of size 15 (from memory, medium certainty), 3 mm of material round it (no end is reached by filing).
func DefaultBlock() Block {
	return Block{Length: 16, Radius: 8, Between: 1, SecondRadius: 5, Width: 0.18, Taper: 0.03, Wall: 3, Entry: 3}
}

// FromSchneider returns the arc angle (rad) of a canal whose Schneider angle (rad) and radius and apical
// straight (mm) are given: θ with tan S = [R(1−cos θ) + t·sin θ]/[R·sin θ + t·cos θ]; 2·S for t = 0. By
// bisection to 1e-12. Source: derived (facts of the geometry). Checked by TestFromSchneider.
func FromSchneider(angle, radius, tail float64) float64 {
	low, high := angle, float64(2*angle)
	for range 60 {
		theta := float64(0.5 * (low + high))
		sin, cos := detmath.Sincos(theta)
		across := float64(radius*(1-cos)) + float64(tail*sin)
		along := float64(radius*sin) + float64(tail*cos)
		if detmath.Atan2(across, along) < angle {
			low = theta
		} else {
			high = theta
		}
	}
	return float64(0.5 * (low + high))
}

// bends returns the length of the bends with what lies between and behind them, mm.
func (b Block) bends() float64 {
	sum := float64(b.Radius*b.Angle) + b.Tail
	if b.SecondAngle > 0 {
		sum += float64(b.SecondRadius*b.SecondAngle) + b.Between
	}
	return sum
}

// Check returns every fault of a block at once, nil if it can be cut.
func (b Block) Check() error {
	var faults []error
	between := func(name string, v, low, high float64) {
		if !(v >= low && v <= high) {
			faults = append(faults, fmt.Errorf("%s is %.4g, allowed %g to %g", name, v, low, high))
		}
	}
	between("length (mm)", b.Length, 4, 34)
	between("angle (deg)", degrees(b.Angle), 0, 110)
	between("second angle (deg)", degrees(b.SecondAngle), 0, 90)
	between("radius (mm)", b.Radius, 1.5, 60)
	between("second radius (mm)", b.SecondRadius, 1.5, 60)
	between("apical straight (mm)", b.Tail, 0, 20)
	between("straight between the bends (mm)", b.Between, 0, 20)
	between("width at the foramen (mm)", b.Width, 0.06, 1.2)
	between("taper (mm/mm)", b.Taper, 0, 0.12)
	between("wall (mm)", b.Wall, 0.05, 20)
	between("way in (mm)", b.Entry, 0.3, 10)
	if b.bends() > b.Length-0.5 {
		faults = append(faults, fmt.Errorf("the bends with the straights between and behind them take %.2f mm, but the canal is %.2f mm long; at least 0.5 mm of coronal straight must be left", b.bends(), b.Length))
	}
	return errors.Join(faults...)
}

// pieces returns the axis as pieces.
func (b Block) pieces() []geom.Piece {
	out := []geom.Piece{geom.Straight(b.Length - b.bends())}
	if b.Angle > 0 {
		out = append(out, geom.Arc(b.Radius, b.Angle))
	}
	if b.SecondAngle > 0 {
		out = append(out, geom.Straight(b.Between), geom.Arc(b.SecondRadius, -b.SecondAngle))
	}
	return append(out, geom.Straight(b.Tail))
}

// StartBlock returns the state of a block ready for shaping: its canal found, nothing cut, no pulp. It
// panics if the block fails Check. Its files are nominal, as a paper's are meant to be: SizeScatter is 0. Checked by TestBlockSpace.
func StartBlock(b Block, settings Settings, seed uint64) State {
	if err := b.Check(); err != nil {
		panic("treatment: block: " + err.Error())
	}
	n := int(math.RoundToEven(b.Length/0.1)) + 1
	step := b.Length / float64(n-1)
	canal := anatomy.Canal{Name: BlockCanal, Length: b.Length, Step: step, Joins: -1,
		Axis:         sampled(b.pieces(), step, n),
		Proximal:     sampled([]geom.Piece{geom.Straight(b.Length)}, step, n),
		Constriction: anatomy.Constriction{Type: "parallel", Level: settings.LengthShort, Narrow: b.Width, Wide: b.Width},
		Foramen:      anatomy.Foramen{Diameter: b.Width, Side: -1}}
	for side := range 4 {
		canal.Wall[side], canal.Surface[side] = make([]float64, n), make([]float64, n)
		for i := range n {
			canal.Wall[side][i] = float64(0.5 * b.width(float64(float64(i)*step)))
			canal.Surface[side][i] = canal.Wall[side][i] + b.Wall
		}
	}
	crown := anatomy.Crown{Height: BlockEntry, Cusps: []anatomy.Cusp{{Name: "edge", Point: geom.Point{Y: BlockEntry}}},
		Table: [2]float64{12, 12}, Cervix: [2]float64{12, 12}}
	tooth := &anatomy.Tooth{Kind: blockKind, Seed: seed, Length: b.Length + BlockEntry, Crown: crown, Canals: []anatomy.Canal{canal}}
	settings.SizeScatter = 0
	s := Start(&Case{Scenario: "block", Seed: seed, Tooth: tooth, Settings: settings})
	s.Access.Opened, s.Access.Deroofed, s.Access.Roof, s.Pulp = true, true, 0, 0
	c := &s.Canals[0]
	c.Found = true
	for i := range c.Space.Orifice {
		for side := range 4 {
			c.Space.Wall[side][i] = b.Entry / 2
			c.First[side][i] = b.Entry / 2
		}
	}
	for i := range c.Tissue {
		c.Tissue[i], c.Flora[i] = 0, 0
	}
	return s
}

// fluted is how far from the foramen a canal is cut to measure, mm: what the flutes of a file that goes a millimetre
// past it still reach. funnel is the width of the straight canal above, mm: room for a shaft, as moulds have it
// (from memory).
const fluted, funnel = 14.9, 1.3

// width returns the canal's diameter s mm below its orifice, mm.
func (b Block) width(s float64) float64 {
	level := b.Length - s
	w := b.Width + float64(b.Taper*level)
	if level > fluted && s < b.Coronal() {
		w = math.Max(w, funnel)
	}
	return w
}

// sampled returns the n stations of a curve; pieces may end a rounding error before the last of them.
func sampled(pieces []geom.Piece, step float64, n int) []geom.Station {
	curve := geom.Curve{Pieces: pieces}
	out := make([]geom.Station, n)
	for i := range out {
		out[i] = curve.At(float64(float64(i) * step))
	}
	return out
}

// Coronal returns what of the canal is straight above the bend, mm.
func (b Block) Coronal() float64 { return b.Length - b.bends() }
