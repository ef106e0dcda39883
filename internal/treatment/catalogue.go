package treatment

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tugback/internal/mechanics"
)

// Instrument is one catalogue entry: an instrument, a cone or a needle, by generic kind and size.
type Instrument struct {
	ID      string
	Family  string
	Name    string // as a colleague would say it
	Size    int    // ISO 3630-1 size, tip diameter in hundredths of a mm; needles: gauge
	Taper   int    // hundredths of a mm per mm
	Colour  string // ISO colour word, always shown with the size
	Powered bool
	Length  int // mm from tip to handle, where it is not the usual one of its family; else 0
}

// Sizes returns the 21 nominal sizes of ISO 3630-1 (from memory, high certainty; the steps 10–60 were
// read). Checked by TestSizes (D1).
func Sizes() []int {
	return []int{6, 8, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 70, 80, 90, 100, 110, 120, 130, 140}
}

// Colour returns the ISO colour word of a size: pink, grey and purple for 06 to 10, then white, yellow,
// red, blue, green, black over and over. Checked by TestSizes (D1).
func Colour(size int) string {
	i := slices.Index(Sizes(), size)
	if i < 0 {
		return ""
	}
	if i < 3 {
		return [3]string{"pink", "grey", "purple"}[i]
	}
	return [6]string{"white", "yellow", "red", "blue", "green", "black"}[(i-3)%6]
}

// EnlargerHead returns the head diameter (mm) of a flame-shaped orifice enlarger, number 1 to 6, as in
// ISO 3630-2: 0.50 mm and 0.20 mm a number (from memory, high certainty). Checked by TestEnlargerHead (D7).
func EnlargerHead(number int) float64 { return 0.5 + float64(0.2*float64(number-1)) }

// Trimmed returns the tip size of a file or cone after cutting length mm off its tip:
// D0 + taper·length, mm. Checked by TestTrimmed (D4).
func Trimmed(tip, taper, length float64) float64 { return tip + float64(taper*length) }

// family is a row of the catalogue: a kind of instrument in some sizes and tapers.
type family struct {
	id, name string
	sizes    []int
	tapers   []int
	powered  bool
	form     form
}

// form is what the sizes of a family share.
type form struct {
	section  mechanics.Section
	alloy    string
	edge     float64 // cutting efficiency of the flutes against a steel K-type file
	tipCuts  float64
	helixDeg float64
	shaft    float64 // mm; 0: goes on as the flutes end, as a hand file is ground from its blank
	working  float64 // mm
	length   float64 // mm
}

// handShaft is the thickest shaft of a hand file of greater taper, mm: common practice, no source. One of taper .02
// goes on as its flutes end, at D16 (ISO 3630-1), and so follows into a canal longer than they are.
const handShaft = 1.2

func sizesBetween(low, high int) []int {
	var out []int
	for _, s := range Sizes() {
		if s >= low && s <= high {
			out = append(out, s)
		}
	}
	return out
}

// families lists what is on offer. Sections are those of facts tables (square K-type blank, triangular
// reamer and flexible file, H-type with deep flutes); edges relative to K-type, helix angles and the shafts
// of driven files are common practice, no source.
func families() []family {
	k := form{mechanics.Section{Shape: mechanics.Square}, "steel", 1, 1, 45, 0, 16, 25}
	flex := form{mechanics.Section{Shape: mechanics.Triangle}, "steel", 1.1, 0.3, 40, 0, 16, 25}
	h := form{mechanics.Section{Shape: mechanics.Core, Ratio: 0.2}, "steel", 1.5, 0.8, 62, 0, 16, 25}
	reamer := form{mechanics.Section{Shape: mechanics.Triangle}, "steel", 0.8, 1, 25, 0, 16, 25}
	niti := form{mechanics.Section{Shape: mechanics.Triangle}, "niti", 0.7, 0.1, 35, 0, 16, 25}
	convex := mechanics.Section{Shape: mechanics.Core, Ratio: 0.16} // a convex triangle by its round core: bends like a triangle, twists harder
	rotary := form{convex, "niti", 1, 0.05, 35, 1.2, 16, 25}
	annealed := form{convex, "annealed", 1, 0.05, 35, 1.2, 16, 25}
	heat := form{convex, "heat-treated", 1, 0.05, 35, 1.2, 16, 25}
	recip := form{mechanics.Section{Shape: mechanics.Rhombus, Ratio: 0.6}, "heat-treated", 1.1, 0.05, 35, 1.2, 16, 25}
	opener := form{convex, "niti", 1.1, 0.05, 35, 0, 10, 19}
	fine := form{mechanics.Section{Shape: mechanics.Circle}, "cone", 0, 0, 0, 1.3, 28, 30}
	return []family{
		{"hand-steel", "steel K-type hand file", Sizes(), []int{2}, false, k},
		{"hand-flex", "flexible steel hand file", sizesBetween(15, 60), []int{2}, false, flex},
		{"hand-h", "steel H-type hand file", sizesBetween(8, 140), []int{2}, false, h},
		{"reamer", "steel reamer", sizesBetween(8, 140), []int{2}, false, reamer},
		{"hand-niti", "NiTi hand file", Sizes(), []int{2, 4, 6}, false, niti},
		{"hand-niti", "NiTi hand file of greater taper", []int{20}, []int{8, 10, 12}, false, niti},
		{"rotary", "NiTi rotary file", sizesBetween(10, 60), []int{2, 4, 6}, true, rotary},
		{"rotary-annealed", "annealed NiTi rotary file", sizesBetween(10, 60), []int{2, 4, 6}, true, annealed},
		{"rotary-heat", "heat-treated NiTi rotary file", sizesBetween(10, 60), []int{2, 4, 6}, true, heat},
		{"reciprocating", "heat-treated reciprocating file", []int{20, 25, 40, 50}, []int{5, 6, 7, 8}, true, recip},
		{"opener", "NiTi orifice enlarger", []int{20, 25, 30}, []int{8, 10, 12}, true, opener},
		{"cone", "gutta-percha cone", sizesBetween(15, 140), []int{2, 4, 6}, false, fine},
	}
}

// Catalogue lists every entry: instruments by family, size and taper, then enlargers and needles. The
// list is the caller's own.
func Catalogue() []Instrument { return slices.Clone(listed().entries) }

// catalogue is every entry in order, where each stands by its id, and the families. It is never changed.
type catalogue struct {
	entries  []Instrument
	index    map[string]int
	families []family
}

// listed returns the catalogue, which is worked out once: a treatment looks up thousands of entries.
var listed = sync.OnceValue(func() catalogue {
	c := catalogue{families: families(), index: map[string]int{}}
	c.entries = entries(c.families)
	for i, e := range c.entries {
		c.index[e.ID] = i
	}
	return c
})

// entries lists what the families, the enlargers and the needles come in.
func entries(families []family) []Instrument {
	var out []Instrument
	for _, f := range families {
		for _, taper := range f.tapers {
			for _, size := range f.sizes {
				out = append(out, f.entry(size, taper))
			}
		}
	}
	out = append(out, unusual(families)...)
	for n := 1; n <= 6; n++ {
		out = append(out, Instrument{ID: fmt.Sprintf("enlarger-%d", n), Family: "enlarger", Name: "flame-shaped enlarger", Size: n, Powered: true})
	}
	for _, g := range needleBores() {
		for _, vent := range []string{"open", "side", "notched"} {
			out = append(out, Instrument{ID: fmt.Sprintf("needle-%d-%s", g.gauge, vent), Family: "needle", Name: vent + "-vented needle", Size: g.gauge})
		}
	}
	return out
}

// shortest and longest are the lengths in which files are sold beside the usual 25 mm: 21, 25 and 31 mm in sizes 06
// to 80 (a textbook chapter; instruments 1). A long canine needs the longest.
const shortest, longest = 21, 31

// unusual lists the files of other lengths, of what shapes a canal to its end.
func unusual(families []family) []Instrument {
	var out []Instrument
	for _, f := range families {
		if !slices.Contains([]string{"hand-steel", "hand-flex", "hand-niti", "rotary", "rotary-heat"}, f.id) || f.tapers[0] > 6 {
			continue
		}
		for _, length := range []int{shortest, longest} {
			for _, taper := range f.tapers {
				for _, size := range f.sizes {
					if size > 80 || length == shortest && f.id != "hand-steel" {
						continue
					}
					i := f.entry(size, taper)
					i.ID, i.Name, i.Length = fmt.Sprintf("%s-%dmm", i.ID, length), fmt.Sprintf("%s of %d mm", i.Name, length), length
					out = append(out, i)
				}
			}
		}
	}
	return out
}

func (f family) entry(size, taper int) Instrument {
	return Instrument{
		ID: fmt.Sprintf("%s-%02d.%02d", f.id, size, taper), Family: f.id, Name: f.name,
		Size: size, Taper: taper, Colour: Colour(size), Powered: f.powered,
	}
}

// Lookup finds a catalogue entry by its id.
func Lookup(id string) (Instrument, error) {
	if i, found := listed().index[id]; found {
		return listed().entries[i], nil
	}
	return Instrument{}, fmt.Errorf("no %q in the catalogue%s", id, hint(id))
}

// hint says which sizes an id's family has, when the family is known.
func hint(id string) string {
	for _, f := range listed().families {
		if !strings.HasPrefix(id, f.id+"-") {
			continue
		}
		words := make([]string, len(f.sizes))
		for i, s := range f.sizes {
			words[i] = strconv.Itoa(s)
		}
		return fmt.Sprintf(": %s comes in sizes %s, written %s", f.id, strings.Join(words, " "), f.entry(f.sizes[0], f.tapers[0]).ID)
	}
	return ""
}

// Steel says whether the entry is a steel hand instrument, which can be pre-curved.
func (i Instrument) Steel() bool {
	return i.Family == "hand-steel" || i.Family == "hand-flex" || i.Family == "hand-h" || i.Family == "reamer"
}

// Shapes says whether the entry cuts a canal.
func (i Instrument) Shapes() bool { return i.Family != "cone" && i.Family != "needle" }

// Blank returns the entry's geometry and material for the mechanics; it panics for a needle.
func (i Instrument) Blank() mechanics.Blank {
	if i.Family == "enlarger" {
		return enlargerBlank(i.Size)
	}
	for _, f := range listed().families {
		if f.id == i.Family && slices.Contains(f.sizes, i.Size) && slices.Contains(f.tapers, i.Taper) {
			blank := f.form.blank(i.Size, i.Taper)
			if i.Length > 0 {
				blank.Length = float64(i.Length)
			}
			return blank
		}
	}
	panic("treatment: no blank for " + i.ID)
}

func (f form) blank(size, taper int) mechanics.Blank {
	tip := float64(size) / 100
	shaft := f.shaft
	if shaft == 0 {
		shaft = min(handShaft, tip+float64(float64(taper)/100*f.working))
	}
	return mechanics.Blank{
		Tip: tip, Spans: []mechanics.Span{{From: 0, Taper: float64(taper) / 100}},
		WorkingPart: f.working, Shaft: max(shaft, tip+float64(0.02*f.working)), Length: f.length,
		TipAngle: tipHalfAngle, TipCuts: f.tipCuts, Edge: f.edge, Helix: radians(f.helixDeg),
		Section: f.section, Alloy: alloyNamed(f.alloy),
	}
}

// enlargerBlank is a short head on a slender neck, at home only in the straight coronal part. The neck's
// half width is common practice, no source.
func enlargerBlank(number int) mechanics.Blank {
	head := EnlargerHead(number)
	return mechanics.Blank{
		Tip: float64(head * 0.4), Spans: []mechanics.Span{{From: 0, Taper: float64(head*0.6) / 1.5}, {From: 1.5, Taper: 0}},
		WorkingPart: 3.5, Shaft: head, Neck: float64(head * 0.5), Length: 32, TipAngle: tipHalfAngle, TipCuts: 0, Edge: 1.2,
		Helix: radians(30), Section: mechanics.Section{Shape: mechanics.Core, Ratio: 0.25}, Alloy: mechanics.Steel(),
	}
}

func alloyNamed(name string) mechanics.Alloy {
	switch name {
	case "steel":
		return mechanics.Steel()
	case "niti":
		return mechanics.NiTi()
	case "annealed":
		return mechanics.Annealed()
	case "heat-treated":
		return mechanics.HeatTreated()
	case "cone":
		return guttaPercha()
	}
	panic("treatment: no alloy " + name)
}

// guttaPercha returns a cone's material as a soft elastic-plastic solid: modulus 140 MPa as finite element
// studies take it, yield about 8 MPa (both from memory, low certainty). They decide when a cone buckles.
func guttaPercha() mechanics.Alloy {
	a := mechanics.Steel()
	a.Name, a.Modulus, a.Shear, a.Yield, a.ShearUltimate = "gutta-percha", 140, 47, 8, 8
	return a
}

// bore is a needle by gauge: outer and inner diameter, mm.
type bore struct {
	gauge        int
	outer, inner float64
}

// needleBores is the regular-wall hypodermic gauge table (nominal; read in a general reference table).
func needleBores() []bore {
	return []bore{
		{23, 0.6414, 0.337}, {25, 0.5144, 0.260}, {26, 0.4636, 0.260}, {27, 0.4128, 0.210},
		{28, 0.3620, 0.184}, {29, 0.3366, 0.184}, {30, 0.3112, 0.159}, {31, 0.2604, 0.133},
	}
}

// needleSize is a needle: its bore and its vent (open, side, notched).
type needleSize struct {
	bore
	vent string
}

// needle returns a needle's bore and vent.
func (i Instrument) needle() needleSize {
	for _, n := range needleBores() {
		if n.gauge == i.Size {
			return needleSize{n, i.ID[strings.LastIndex(i.ID, "-")+1:]}
		}
	}
	panic("treatment: not a needle: " + i.ID)
}
