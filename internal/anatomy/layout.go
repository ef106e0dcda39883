package anatomy

import "slices"

// form is the shape of a crown in the clinical plane.
type form int

const (
	incisor form = iota
	canine
	premolar
	molar
)

// cuspPlace is a cusp by shares: of half the crown's mesiodistal and buccolingual width, and of its height.
type cuspPlace struct {
	name         string
	x, z, height float64
}

// rootLayout is a root and the names of its canals when it has one, two or three; the first of a set
// is the one that a joining canal joins.
type rootLayout struct {
	name string
	sets [][]string
	// furcal is the wall side that faces the furcation, −1 for a root without one.
	furcal int
}

// layout is what all teeth of a kind have in common.
type layout struct {
	kind     Kind
	upper    bool
	form     form
	cusps    []cuspPlace
	roots    []rootLayout
	split    []rootLayout // the roots when the one root of an upper premolar is divided
	furcated bool         // roots part in the clinical plane
}

// The wall sides of a canal.
const (
	mesial = iota
	distal
	buccal
	lingual
)

func single(sets ...[]string) []rootLayout {
	return []rootLayout{{"root", append([][]string{{"canal"}}, sets...), -1}}
}

func upperMolar() []rootLayout {
	return []rootLayout{
		{"MB", [][]string{{"MB"}, {"MB", "MB2"}}, distal},
		{"DB", [][]string{{"DB"}}, mesial},
		{"P", [][]string{{"P"}}, buccal},
	}
}

func lowerMolar() []rootLayout {
	return []rootLayout{
		{"M", [][]string{{"M"}, {"MB", "ML"}}, distal},
		{"D", [][]string{{"D"}, {"DB", "DL"}}, mesial},
	}
}

func dividedPremolar() []rootLayout {
	return []rootLayout{
		{"B", [][]string{{"B"}, {"MB", "DB"}}, -1},
		{"P", [][]string{{"P"}}, -1},
	}
}

func layouts() []layout {
	edge := []cuspPlace{{"edge", 0, -0.15, 1}}
	tip := []cuspPlace{{"cusp", -0.06, -0.15, 1}}
	upperTwo := []cuspPlace{{"B", -0.05, -0.48, 1}, {"P", -0.05, 0.48, 0.93}}
	lowerTwo := []cuspPlace{{"B", -0.05, -0.3, 1}, {"L", -0.05, 0.55, 0.78}}
	upperFour := []cuspPlace{{"MB", -0.5, -0.52, 1}, {"DB", 0.44, -0.5, 0.95}, {"MP", -0.4, 0.5, 0.97}, {"DP", 0.5, 0.5, 0.88}}
	lowerFour := []cuspPlace{{"MB", -0.53, -0.5, 1}, {"ML", -0.53, 0.5, 0.99}, {"DB", 0.46, -0.5, 0.96}, {"DL", 0.46, 0.5, 0.95}}
	buccalLingual, buccalPalatal := []string{"B", "L"}, []string{"B", "P"}
	threePalatal, threeLingual := []string{"MB", "DB", "P"}, []string{"MB", "DB", "L"}
	return []layout{
		{"upper-central-incisor", true, incisor, edge, single(), nil, false},
		{"upper-lateral-incisor", true, incisor, edge, single(), nil, false},
		{"upper-canine", true, canine, tip, single(), nil, false},
		{"upper-first-premolar", true, premolar, upperTwo, single(buccalPalatal, threePalatal), dividedPremolar(), false},
		{"upper-second-premolar", true, premolar, upperTwo, single(buccalPalatal, threePalatal), dividedPremolar(), false},
		{"upper-first-molar", true, molar, upperFour, upperMolar(), nil, true},
		{"upper-second-molar", true, molar, upperFour, upperMolar(), nil, true},
		{"lower-central-incisor", false, incisor, edge, single(buccalLingual), nil, false},
		{"lower-lateral-incisor", false, incisor, edge, single(buccalLingual), nil, false},
		{"lower-canine", false, canine, tip, single(buccalLingual), nil, false},
		{"lower-first-premolar", false, premolar, lowerTwo, single(buccalLingual, threeLingual), nil, false},
		{"lower-second-premolar", false, premolar, lowerTwo, single(buccalLingual, threeLingual), nil, false},
		{"lower-first-molar", false, molar, lowerFour, lowerMolar(), nil, true},
		{"lower-second-molar", false, molar, lowerFour, lowerMolar(), nil, true},
	}
}

// layoutOf returns the layout of a kind, false for an unknown one.
func layoutOf(kind Kind) (layout, bool) {
	for _, l := range layouts() {
		if l.kind == kind {
			return l, true
		}
	}
	return layout{}, false
}

// cuspOf returns the index of the reference cusp of a canal: the cusp over it.
func (l layout) cuspOf(canal string) int {
	over := canal
	switch canal {
	case "M", "MB2":
		over = "MB"
	case "D":
		over = "DB"
	case "P":
		if l.form == molar {
			over = "MP"
		}
	}
	for i, cusp := range l.cusps {
		if cusp.name == over {
			return i
		}
	}
	return 0
}

// Kinds returns the fourteen tooth types of the norms in order, upper then lower, front to back.
func Kinds() []Kind {
	var kinds []Kind
	for _, l := range layouts() {
		kinds = append(kinds, l.kind)
	}
	return kinds
}

// CanalNames returns the names a kind's canals may have, in order of orifice; nil for an unknown kind.
// "canal" and the names of two or three canals of one root exclude each other, as do "M" and "MB", "D"
// and "DB" of a lower molar.
func CanalNames(kind Kind) []string {
	l, ok := layoutOf(kind)
	if !ok {
		return nil
	}
	var names []string
	for _, root := range l.roots {
		for _, set := range root.sets {
			for _, name := range set {
				if !slices.Contains(names, name) {
					names = append(names, name)
				}
			}
		}
	}
	return names
}
