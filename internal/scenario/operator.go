package scenario

import (
	"fmt"

	"gopkg.in/yaml.v3"

	"tugback/internal/treatment"
)

// Operator is a scripted operator: the hand, the habits and the omissions with which package trial
// treats any tooth. It knows nothing of a tooth; the same few numbers hold for all of them. An Operator
// is made by LoadOperator, LoadOperatorFS or ParseOperator.
type Operator struct {
	Name, Title string
	Digest      string // of its content; layout and comments do not change it

	LengthScatter float64 // mm, standard deviation of a stop as it is set
	ForceScatter  float64 // standard deviation of ln(push as given / push meant), and of the turn
	AccessScatter float64 // mm, standard deviation of each wall and of the depth of the cavity
	FilmScatter   float64 // rad, standard deviation of a bend read on a film
	SizeScatter   float64 // sizes, standard deviation of the apical size aimed at

	Push    float64 // N along the canal
	Strokes int     // most strokes with one instrument before it is looked at
	Patient float64 // chance that work with an instrument goes on until it is loose
	Insists int     // how often an instrument that stops short is pushed again
	Harder  float64 // by what the push grows each time

	Searches int     // how often the cavity is widened for a canal that is not found
	Readings int     // readings of a length that are averaged
	By       string  // locator or film
	Short    float64 // mm the working length ends short of the reading

	With     string // family of instruments that shape
	Motion   string // of hand instruments
	Taper    int    // hundredths of a mm per mm
	Enlarge  int    // sizes above the first that binds
	Least    int    // smallest final size, ISO
	LessBent int    // sizes fewer where the film shows a bend of 20 deg or more
	StepBack int    // sizes beyond the final one, each a millimetre shorter

	Rinse     float64 // ml of each rinse
	Flow      float64 // ml/min
	NeedleOff float64 // mm the needle's tip stays short of the working length
	Agitation string

	ConeTries int
	Technique string
	Accessory int
	Barrier   float64 // mm

	Skips map[string]float64 // chance that a step is left out, by the words of SkippedSteps
}

// Skip returns the chance that a step is left out.
func (o Operator) Skip(step string) float64 { return o.Skips[step] }

// Habit documents one key of an operator file.
type Habit struct {
	Key      string
	Unit     string // of a quantity; "" for a word or a plain number
	Words    []string
	Low      float64 // in Unit
	High     float64
	Whole    bool
	Text     string
	stored   string
	quantity func(*Operator) *float64
	number   func(*Operator) *int
	word     func(*Operator) *string
}

// Habits returns every habit of an operator in the order of the printed reference. Checked by
// TestOperators.
func Habits() []Habit {
	return append(handHabits(), workHabits()...)
}

func measured(key, unit, stored string, low, high float64, text string, at func(*Operator) *float64) Habit {
	return Habit{Key: key, Unit: unit, stored: stored, Low: low, High: high, Text: text, quantity: at}
}

func counted(key string, low, high float64, text string, at func(*Operator) *int) Habit {
	return Habit{Key: key, Low: low, High: high, Whole: true, Text: text, number: at}
}

func chosen(key, text string, at func(*Operator) *string, words ...string) Habit {
	return Habit{Key: key, Words: words, Text: text, word: at}
}

func handHabits() []Habit {
	return []Habit{
		measured("length-scatter", "mm", "mm", 0, 3, "scatter of a stop as it is set, standard deviation", func(o *Operator) *float64 { return &o.LengthScatter }),
		measured("force-scatter", "%", "share", 0, 100, "scatter of the push and of the turn, standard deviation of the logarithm", func(o *Operator) *float64 { return &o.ForceScatter }),
		measured("access-scatter", "mm", "mm", 0, 3, "scatter of the cavity's walls and depth, standard deviation", func(o *Operator) *float64 { return &o.AccessScatter }),
		measured("film-scatter", "deg", "rad", 0, 30, "scatter of a bend read on a film, standard deviation", func(o *Operator) *float64 { return &o.FilmScatter }),
		measured("size-scatter", "", "", 0, 3, "scatter of the apical size aimed at, standard deviation in sizes", func(o *Operator) *float64 { return &o.SizeScatter }),
		measured("push", "N", "N", 0.1, 20, "push along the canal", func(o *Operator) *float64 { return &o.Push }),
		counted("strokes", 1, 200, "most strokes with one instrument before it is looked at", func(o *Operator) *int { return &o.Strokes }),
		measured("patient", "%", "share", 0, 100, "chance that an instrument is worked until it is loose", func(o *Operator) *float64 { return &o.Patient }),
		counted("insists", 0, 6, "how often an instrument that stops short is pushed again", func(o *Operator) *int { return &o.Insists }),
		measured("harder", "%", "share", 0, 200, "by what the push grows each time", func(o *Operator) *float64 { return &o.Harder }),
		counted("searches", 0, 6, "how often the cavity is widened for a canal that is not found", func(o *Operator) *int { return &o.Searches }),
		counted("readings", 1, 5, "readings of a length that are averaged", func(o *Operator) *int { return &o.Readings }),
		chosen("length-by", "how the length is read", func(o *Operator) *string { return &o.By }, "locator", "film"),
		measured("short", "mm", "mm", 0, 3, "how far the working length ends short of the reading", func(o *Operator) *float64 { return &o.Short }),
	}
}

func workHabits() []Habit {
	return []Habit{
		chosen("shape-with", "family of instruments that shape", func(o *Operator) *string { return &o.With }, "hand-steel", "hand-flex", "hand-niti", "rotary", "rotary-annealed", "rotary-heat"),
		chosen("motion", "motion of hand instruments that shape", func(o *Operator) *string { return &o.Motion }, "watch-winding", "quarter-turn-pull", "reaming", "balanced-force", "push-pull"),
		{Key: "taper", Unit: "%", Low: 2, High: 6, Text: "taper of the instruments that shape", number: func(o *Operator) *int { return &o.Taper }},
		counted("enlarge", 0, 8, "sizes above the first that binds at the working length", func(o *Operator) *int { return &o.Enlarge }),
		counted("least-size", 15, 60, "smallest final size, ISO", func(o *Operator) *int { return &o.Least }),
		counted("less-bent", 0, 4, "sizes fewer where the film shows a bend of 20 deg or more", func(o *Operator) *int { return &o.LessBent }),
		counted("step-back", 0, 8, "sizes beyond the final one, each a millimetre shorter than the one before", func(o *Operator) *int { return &o.StepBack }),
		measured("rinse", "ml", "ml", 0.1, 10, "volume of a rinse", func(o *Operator) *float64 { return &o.Rinse }),
		measured("flow", "ml/min", "ml/min", 0.5, 30, "flow of a rinse", func(o *Operator) *float64 { return &o.Flow }),
		measured("needle-short", "mm", "mm", 0, 10, "how far the needle's tip stays short of the working length", func(o *Operator) *float64 { return &o.NeedleOff }),
		chosen("agitation", "agitation of the last rinse", func(o *Operator) *string { return &o.Agitation }, "none", "manual", "sonic", "ultrasonic"),
		counted("cone-tries", 1, 8, "how many cones are tried at most", func(o *Operator) *int { return &o.ConeTries }),
		chosen("fill-with", "filling technique", func(o *Operator) *string { return &o.Technique }, "cold-lateral", "single-cone", "warm-vertical"),
		counted("accessory", 0, 20, "accessory cones of cold lateral compaction", func(o *Operator) *int { return &o.Accessory }),
		measured("barrier", "mm", "mm", 0, 6, "thickness of the orifice barrier", func(o *Operator) *float64 { return &o.Barrier }),
	}
}

// SkippedStep documents a step that an operator may leave out.
type SkippedStep struct{ Key, Text string }

// SkippedSteps returns the steps whose chance of being left out an operator states.
func SkippedSteps() []SkippedStep {
	return []SkippedStep{
		{"dam", "the dam before the chamber is opened"},
		{"leak-test", "the test of the dam for leaks"},
		{"roof", "lifting the rest of the roof on the way out"},
		{"flare", "opening the coronal part before the length is read"},
		{"pre-curve", "pre-curving a steel file for a bend seen on the film"},
		{"glide-path", "a loose size 15 before larger instruments"},
		{"recapitulation", "the small file to length after each instrument"},
		{"rinse", "the rinse after each instrument"},
		{"loose-needle", "drawing the needle back until it is loose"},
		{"wipe", "wiping an instrument after use"},
		{"length-again", "reading the length again after the glide path"},
		{"gauging", "gauging the apex before the cone is chosen"},
		{"last-rinse", "EDTA and the last hypochlorite"},
		{"drying", "drying until the last point is dry"},
		{"report", "telling and recording a mishap"},
		{"review", "planning the review"},
	}
}

// LoadOperator reads an operator from a file. The error is a Faults. Checked by TestOperators.
func LoadOperator(name string) (Operator, error) {
	file, faults := openFile(name)
	if faults != nil {
		return Operator{}, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Operator{}, faults
	}
	return readOperator(src)
}

// ParseOperator reads an operator from a text; name stands for the file in faults. The error is a
// Faults. Checked by TestOperators and FuzzParseOperator.
func ParseOperator(name string, text []byte) (Operator, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Operator{}, faults
	}
	return readOperator(src)
}

func readOperator(src *source) (Operator, error) {
	root, faults := src.parse()
	if root == nil {
		return Operator{}, faults.err()
	}
	o := Operator{Skips: map[string]float64{}}
	r := &reader{src: src, faults: faults}
	keys := []key{
		{"format", true, r.format},
		{"operator", true, func(n *yaml.Node) { o.Name, _ = r.slug(n, "operator") }},
		{"title", false, func(n *yaml.Node) { o.Title, _ = r.text(n, "title") }},
	}
	for _, h := range Habits() {
		keys = append(keys, key{h.Key, true, func(n *yaml.Node) { r.habit(n, h, &o) }})
	}
	keys = append(keys, key{"skips", false, func(n *yaml.Node) { r.skips(n, &o) }})
	r.group(root, "an operator", keys)
	if err := r.faults.err(); err != nil {
		return Operator{}, err
	}
	if _, err := treatment.Lookup(fmt.Sprintf("%s-25.%02d", o.With, o.Taper)); err != nil {
		return Operator{}, wholeFile(src.name, "instrument", "shape-with %s has no taper of %d %%", o.With, o.Taper)
	}
	o.Digest = contentDigest(canonical(root))
	return o, nil
}

// habit reads one habit as its row of the table says.
func (r *reader) habit(node *yaml.Node, h Habit, o *Operator) {
	switch {
	case h.word != nil:
		*h.word(o), _ = r.word(node, h.Key, h.Words)
	case h.Whole:
		*h.number(o), _ = r.whole(node, h.Key, int(h.Low), int(h.High))
	case h.number != nil:
		value, _ := r.quantity(node, h.Key, limits{h.Unit, h.Low, h.High})
		*h.number(o) = int(value)
	default:
		value, ok := r.quantity(node, h.Key, limits{h.Unit, h.Low, h.High})
		if ok {
			*h.quantity(o) = convert(value, h.Unit, h.stored)
		}
	}
}

// skips reads the chances of steps left out.
func (r *reader) skips(node *yaml.Node, o *Operator) {
	var keys []key
	for _, s := range SkippedSteps() {
		keys = append(keys, key{s.Key, false, func(n *yaml.Node) {
			if value, ok := r.quantity(n, s.Key, limits{"%", 0, 100}); ok {
				o.Skips[s.Key] = convert(value, "%", "share")
			}
		}})
	}
	r.group(node, "skips", keys)
}
