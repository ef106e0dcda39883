package cli

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// canalFlag is a bare canal on the command line.
type canalFlag struct{ treatment.Block }

// canalWord is one word a canal may be described by.
type canalWord struct {
	names []string // the first is the one messages propose
	unit  string
	set   func(*canalParts, float64)
}

// canalParts is a canal as far as it was read.
type canalParts struct {
	block                     treatment.Block
	schneider                 float64 // rad, 0 none
	coronal                   float64 // mm, 0 not given
	hasArc, hasLength, hasEnd bool
}

func canalWords() []canalWord {
	return []canalWord{
		{[]string{"arc", "pruett"}, "rad", func(p *canalParts, v float64) { p.block.Angle, p.hasArc = v, true }},
		{[]string{"schneider", "schneider angle"}, "rad", func(p *canalParts, v float64) { p.schneider, p.hasEnd = v, true }},
		{[]string{"radius"}, "mm", func(p *canalParts, v float64) { p.block.Radius = v }},
		{[]string{"length"}, "mm", func(p *canalParts, v float64) { p.block.Length, p.hasLength = v, true }},
		{[]string{"coronal straight", "coronal", "straight"}, "mm", func(p *canalParts, v float64) { p.coronal = v }},
		{[]string{"apical straight", "apical", "tail"}, "mm", func(p *canalParts, v float64) { p.block.Tail = v }},
		{[]string{"width", "natural width", "diameter"}, "mm", func(p *canalParts, v float64) { p.block.Width = v }},
		{[]string{"taper"}, "", func(p *canalParts, v float64) { p.block.Taper = v }},
		{[]string{"second arc", "second curve", "second"}, "rad", func(p *canalParts, v float64) { p.block.SecondAngle = v }},
		{[]string{"second radius"}, "mm", func(p *canalParts, v float64) { p.block.SecondRadius = v }},
		{[]string{"between"}, "mm", func(p *canalParts, v float64) { p.block.Between = v }},
		{[]string{"wall"}, "mm", func(p *canalParts, v float64) { p.block.Wall = v }},
	}
}

// UnmarshalText reads a canal: words with quantities, parted by commas.
func (f *canalFlag) UnmarshalText(text []byte) error {
	p := canalParts{block: treatment.DefaultBlock()}
	seen := map[string]bool{}
	for _, part := range listed(text) {
		if err := p.read(part, seen); err != nil {
			return err
		}
	}
	return p.finish(&f.Block)
}

// listed parts what commas or semicolons part.
func listed(text []byte) []string {
	var parts []string
	for _, part := range strings.FieldsFunc(string(text), func(r rune) bool { return r == ',' || r == ';' }) {
		if part = strings.TrimSpace(part); part != "" {
			parts = append(parts, part)
		}
	}
	return parts
}

// joined finds a second word behind a quantity, where the comma between them was left out.
var joined = regexp.MustCompile(`[0-9.][^a-zA-Z]*(?:deg|rad|mm|cm|um|µm|°|%)?\s+([a-z][a-z -]*[a-z])\s+[-+.0-9]`)

// quantity reads a word's quantity: an angle in degrees is the one proposed, a taper may stand in per cent.
func (w canalWord) quantity(text string) (float64, error) {
	if found := joined.FindStringSubmatch(text); found != nil {
		return 0, fmt.Errorf("%q runs on; a comma goes before %q", text, found[1])
	}
	if number, percent := strings.CutSuffix(text, "%"); percent && w.unit == "" {
		v, err := scenario.Quantity(strings.TrimSpace(number), "")
		return v / 100, err
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil && w.unit == "rad" {
		return 0, fmt.Errorf("%s without a unit; write for example %s deg", text, text)
	}
	return scenario.Quantity(text, w.unit)
}

// read reads one word with its quantity.
func (p *canalParts) read(part string, seen map[string]bool) error {
	at := strings.IndexAny(part, "0123456789.+-")
	if at < 0 {
		return fmt.Errorf("%q has no number; written like \"arc 40 deg, radius 6 mm\", a straight canal \"arc 0 deg\"", part)
	}
	name := strings.ToLower(strings.Join(strings.FieldsFunc(part[:at], func(r rune) bool { return r == ' ' || r == '-' || r == '=' || r == ':' }), " "))
	var names []string
	for _, w := range canalWords() {
		if slices.Contains(w.names, name) {
			if seen[w.names[0]] {
				return fmt.Errorf("%s stands twice", w.names[0])
			}
			seen[w.names[0]] = true
			v, err := w.quantity(strings.TrimSpace(part[at:]))
			if err != nil {
				return fmt.Errorf("%s: %w", w.names[0], err)
			}
			w.set(p, v)
			return nil
		}
		names = append(names, w.names[0])
	}
	if name == "angle" || name == "curve" || name == "curvature" {
		return fmt.Errorf("%q may be two angles: write arc for that of the bend itself (Pruett), schneider for Schneider's", name)
	}
	return fmt.Errorf("a canal has no %q; %sit has: %s", name, likely(name, names), strings.Join(names, ", "))
}

// likely says which word was probably meant.
func likely(word string, names []string) string {
	if found := marking.Likely(word, names); found != "" {
		return "did you mean " + found + "? "
	}
	return ""
}

// finish works the canal out and checks it.
func (p *canalParts) finish(to *treatment.Block) error {
	b := &p.block
	switch {
	case p.hasArc && p.hasEnd:
		return fmt.Errorf("both arc and schneider are given; the bend is one of them, the other follows from it")
	case !p.hasArc && !p.hasEnd:
		return fmt.Errorf("a canal needs its bend, as one of: arc 40 deg, schneider 20 deg (arc 0 deg is straight)")
	case p.hasEnd && (p.schneider < 0 || p.schneider > math.Pi/3):
		return fmt.Errorf("schneider is %.4g deg, allowed 0 to 60 deg", p.schneider*180/math.Pi)
	case p.hasEnd:
		b.Angle = treatment.FromSchneider(p.schneider, b.Radius, b.Tail)
	}
	if p.coronal > 0 {
		whole := p.coronal + b.Radius*b.Angle + b.Tail
		if b.SecondAngle > 0 {
			whole += b.SecondRadius*b.SecondAngle + b.Between
		}
		if p.hasLength && math.Abs(whole-b.Length) > 0.01 {
			return fmt.Errorf("length is %.4g mm, but the straights and bends add up to %.4g mm; give one or the other", b.Length, whole)
		}
		b.Length = whole
	}
	if err := b.Check(); err != nil {
		return err
	}
	*to = *b
	return nil
}

// fileFlag is the list of files on the command line.
type fileFlag struct{ items []treatment.Instrument }

// alloyWords are the families a file's words stand for; of the words, which follow the family, messages propose the first.
var alloyWords = [][]string{
	{"hand-steel", "steel", "ss", "stainless", "stainless steel", "k", "k file"}, {"hand-flex", "flex", "flexible", "flexible steel"},
	{"hand-h", "h", "h file"}, {"reamer", "reamer"}, {"hand-niti", "niti", "nickel titanium"},
	{"rotary", "rotary", "niti rotary", "rotary niti"}, {"rotary-annealed", "annealed"}, {"rotary-heat", "heat-treated", "heat treated"},
	{"reciprocating", "reciprocating"}, {"opener", "opener"},
}

// UnmarshalText reads files: sizes with taper and alloy, parted by commas, or names of the catalogue.
func (f *fileFlag) UnmarshalText(text []byte) error {
	f.items = nil
	for _, part := range listed(text) {
		item, err := readFile(part)
		if err != nil {
			return err
		}
		f.items = append(f.items, item)
	}
	if len(f.items) == 0 {
		return fmt.Errorf("no file; written like \"15/.02 steel, 20/.02 niti\"")
	}
	if len(f.items) > 40 {
		return fmt.Errorf("%d files, allowed 40", len(f.items))
	}
	return nil
}

// readFile reads "25/.06 niti", or the catalogue's "rotary-25.06".
func readFile(part string) (treatment.Instrument, error) {
	if item, err := treatment.Lookup(part); err == nil {
		if !item.Shapes() {
			return item, fmt.Errorf("%s is a %s and does not shape a canal", item.ID, item.Name)
		}
		return item, nil
	}
	figures, word := part, ""
	if found := leading.FindString(part); found != "" {
		figures, word = found, strings.TrimSpace(part[len(found):])
	}
	size, taper, _ := strings.Cut(figures, "/")
	taper, percent := strings.CutSuffix(taper, "%")
	s, errSize := strconv.Atoi(size)
	t, errTaper := strconv.ParseFloat(strings.TrimSpace(taper), 64)
	if percent {
		t /= 100
	}
	if errSize != nil || errTaper != nil || !(t >= 0 && t < 1) || math.Abs(100*t-math.Round(100*t)) > 1e-6 {
		return treatment.Instrument{}, fmt.Errorf("%q is no file; written like 25/.02 steel: ISO size, taper in mm/mm, alloy", part)
	}
	word = strings.ToLower(word)
	if word == "" {
		word = "steel"
	}
	var words []string
	for _, w := range alloyWords {
		if slices.Contains(w[1:], word) || slices.Contains(w[1:], strings.ReplaceAll(word, "-", " ")) {
			id := fmt.Sprintf("%s-%02d.%02.0f", w[0], s, 100*t)
			item, err := treatment.Lookup(id)
			if err != nil {
				return item, fmt.Errorf("%q: %w%s", part, err, tapersOf(w[0], s))
			}
			return item, nil
		}
		words = append(words, w[1])
	}
	return treatment.Instrument{}, fmt.Errorf("%q: no kind of file %q; %sthere are: %s", part, word, likely(word, words), strings.Join(words, ", "))
}

// leading finds size and taper.
var leading = regexp.MustCompile(`^[^\s/]+/[0-9.]+(\s*%)?`)

// tapersOf says which tapers a family has in a size, where it has the size.
func tapersOf(family string, size int) string {
	var tapers []string
	for _, i := range treatment.Catalogue() {
		if i.Family == family && i.Size == size && i.Length == 0 {
			tapers = append(tapers, fmt.Sprintf(".%02d", i.Taper))
		}
	}
	if len(tapers) == 0 {
		return ""
	}
	return fmt.Sprintf("; size %d has the tapers %s", size, strings.Join(tapers, ", "))
}

// lengthFlag is a length in mm; a bare number is not taken for one.
type lengthFlag float64

// UnmarshalText reads a length.
func (f *lengthFlag) UnmarshalText(text []byte) error {
	v, err := scenario.Quantity(strings.TrimSpace(string(text)), "mm")
	*f = lengthFlag(v)
	return err
}

// turnFlag is an angle in rad.
type turnFlag float64

// UnmarshalText reads an angle.
func (f *turnFlag) UnmarshalText(text []byte) error {
	v, err := canalWord{unit: "rad"}.quantity(strings.TrimSpace(string(text)))
	*f = turnFlag(v)
	return err
}

// tenths returns the angle in tenths of a degree, 0 where none is given.
func (f *turnFlag) tenths() int {
	if f == nil {
		return 0
	}
	return int(math.Round(1800 * float64(*f) / math.Pi))
}

// sound says whether a stroke can turn so far.
func (f *turnFlag) sound() bool { return f.tenths() >= 10 && f.tenths() <= 3600 }

// pushFlag is a force in N that is more than nothing.
type pushFlag float64

// UnmarshalText reads a force.
func (f *pushFlag) UnmarshalText(text []byte) error {
	v, err := scenario.Quantity(strings.TrimSpace(string(text)), "N")
	if err == nil && (v < 0.01 || v > 30) {
		err = fmt.Errorf("%g N, allowed 0.01 to 30 N", v)
	}
	*f = pushFlag(v)
	return err
}

// forceFlag is a force in N.
type forceFlag float64

// UnmarshalText reads a force.
func (f *forceFlag) UnmarshalText(text []byte) error {
	v, err := scenario.Quantity(strings.TrimSpace(string(text)), "N")
	*f = forceFlag(v)
	return err
}
