// Package quiz holds questions about root canal treatment: items and how a response to one is marked,
// items made by the engine from a tooth and a seed, a linter for items, a student's practice with spaced
// repetition, and the exchange of items as QTI 3.0 packages.
//
// The main idea: an Item is plain data. What is right in it follows from the engine (a formula, a grown
// tooth, a treatment that is run), from a row of facts.csv, or from a named source, and the tests hold
// that. Marking, shuffling and generating are pure functions; chance comes from a detmath.Stream and time
// from the caller.
//
// Units: an item's number carries its own unit as a person writes it (mm, deg, %, ml/min …); places are in
// mm in the tooth's clinical plane (x distal, y crownwards, 0 at the cemento-enamel junction).
//
// The package reads no YAML (package scenario does), draws nothing, keeps no file and looks at no clock.
// Nothing here advises on doses or predicts healing. Begin reading at Item, then Mark in mark.go, Generators
// in generators.go and Practice in practice.go.
package quiz

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// Kind says how an item is answered.
type Kind string

// The kinds of item.
const (
	Single   Kind = "single"   // one best answer
	Several  Kind = "several"  // any number of right answers
	Ordering Kind = "ordering" // put in order
	Matching Kind = "matching" // join left and right
	Numeric  Kind = "numeric"  // a number with its unit
	Place    Kind = "place"    // mark a place on the picture of a tooth
	Measure  Kind = "measure"  // measure something on the picture of a tooth
	Predict  Kind = "predict"  // say what the next action will do; then it is done
)

// Kinds returns all kinds of item.
func Kinds() []Kind {
	return []Kind{Single, Several, Ordering, Matching, Numeric, Place, Measure, Predict}
}

// Steps returns the steps of the procedure that items belong to: the stages of a treatment in their order,
// and mishaps last.
func Steps() []string {
	var steps []string
	for _, k := range treatment.Kinds() {
		if stage := k.Stage(); !slices.Contains(steps, stage) {
			steps = append(steps, stage)
		}
	}
	return append(steps, "mishap")
}

// Levels returns the levels of thinking, lowest first: the first four of the revised taxonomy of
// educational objectives (Anderson and Krathwohl 2001, from memory).
func Levels() []string { return []string{"recall", "understand", "apply", "analyse"} }

// Difficulties returns the words for how hard an item is, easiest first. They are the author's estimate.
func Difficulties() []string { return []string{"easy", "moderate", "hard"} }

// CommonPractice is the source of what is done everywhere and was never measured.
const CommonPractice = "common practice"

// Item is one question. Which fields a kind uses stands at each field; the others are empty.
type Item struct {
	ID         string `json:"id"`
	Kind       Kind   `json:"kind"`
	Step       string `json:"step"` // one of Steps
	Level      string `json:"level"`
	Difficulty string `json:"difficulty"`
	// Tags are free words; those that are the name of an event bring the item back after such an event.
	Tags []string `json:"tags,omitempty"`
	Stem string   `json:"stem"`
	// Options of single, several and predict in written order, of ordering in the right order.
	Options []Option `json:"options,omitempty"`
	// Keep leaves the options in written order: numbers rising, for instance.
	Keep  bool     `json:"keep,omitempty"`
	Pairs []Pair   `json:"pairs,omitempty"` // matching
	Spare []Option `json:"spare,omitempty"` // matching: right sides that belong to nothing
	// Answer is the number of numeric, in Unit; of measure it is computed from the tooth by Resolve.
	Answer    float64   `json:"answer,omitempty"`
	Unit      string    `json:"unit,omitempty"`
	Tolerance float64   `json:"tolerance,omitempty"` // numeric and measure in Unit, place in mm
	Mistakes  []Mistake `json:"mistakes,omitempty"`  // numeric, measure, place: wrong answers that are known
	Other     string    `json:"other,omitempty"`     // numeric, measure, place: feedback on any other answer
	Subject   *Subject  `json:"subject,omitempty"`   // place, measure: the tooth on the picture
	Target    string    `json:"target,omitempty"`    // place: one of Landmarks; measure: one of Readings
	At        float64   `json:"at,omitempty"`        // measure: level, mm from the foramen, where the reading has one
	Trial     *Trial    `json:"trial,omitempty"`     // predict
	// Why is the reason for the right answer, shown with the result.
	Why    string `json:"why"`
	Source string `json:"source"`
	// Facts are rows of facts.csv from which the key follows; Formula is a computation it follows from.
	Facts   []string `json:"facts,omitempty"`
	Formula *Call    `json:"formula,omitempty"`
	Excuses []Excuse `json:"excuses,omitempty"`
	Made    *Made    `json:"made,omitempty"` // of a generated item
}

// Option is an answer that can be chosen.
type Option struct {
	ID       string `json:"id"` // a, b, c … in written order
	Text     string `json:"text"`
	Right    bool   `json:"right,omitempty"`
	Feedback string `json:"feedback"`
	// Outcome is what of a predict item's action the option stands for: the name of an event, or
	// "refused".
	Outcome string `json:"outcome,omitempty"`
}

// Pair is a left side and the right side that belongs to it.
type Pair struct {
	ID       string `json:"id"`
	Left     string `json:"left"`
	Right    string `json:"right"`
	Feedback string `json:"feedback"`
}

// Mistake is a wrong answer that is known, with the feedback it gets: a value in the item's unit, or a
// landmark taken for the one asked for.
type Mistake struct {
	Value    float64 `json:"value,omitempty"`
	Target   string  `json:"target,omitempty"`
	Feedback string  `json:"feedback"`
}

// Excuse is a rule of the linter that an item breaks on purpose, and why.
type Excuse struct {
	Rule string `json:"rule"`
	Why  string `json:"why"`
}

// Made says how an item was generated, and the figures its answer was computed from.
type Made struct {
	Generator string  `json:"generator"`
	Scenario  string  `json:"scenario,omitempty"`
	Seed      uint64  `json:"seed"`
	Given     []Given `json:"given"`
	Value     float64 `json:"value"` // the key before rounding, where it is a number
	Unit      string  `json:"unit,omitempty"`
}

// Given is a figure that the stem of a generated item states, as it is stated.
type Given struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

// Subject is a tooth for a picture item: of a kind, grown from a seed with all else drawn from the norms,
// and the canal in question.
type Subject struct {
	Kind  anatomy.Kind `json:"kind"`
	Seed  uint64       `json:"seed"`
	Canal string       `json:"canal"`
}

// Chosen reports whether the item is answered by choosing among options.
func (i Item) Chosen() bool { return i.Kind == Single || i.Kind == Several || i.Kind == Predict }

// RightOptions returns the ids of the right options in written order.
func (i Item) RightOptions() []string {
	var ids []string
	for _, o := range i.Options {
		if o.Right {
			ids = append(ids, o.ID)
		}
	}
	return ids
}

// Key returns the right answer in words.
func (i Item) Key() string {
	switch i.Kind {
	case Single, Several, Predict:
		var texts []string
		for _, o := range i.Options {
			if o.Right {
				texts = append(texts, o.Text)
			}
		}
		return strings.Join(texts, "; ")
	case Ordering:
		var texts []string
		for _, o := range i.Options {
			texts = append(texts, o.Text)
		}
		return strings.Join(texts, " – ")
	case Matching:
		var texts []string
		for _, p := range i.Pairs {
			texts = append(texts, p.Left+": "+p.Right)
		}
		return strings.Join(texts, "; ")
	case Place:
		return strings.ReplaceAll(i.Target, "-", " ")
	case Numeric, Measure:
		return Show(i.Answer, i.Unit, decimalsOf(i.Tolerance))
	}
	return ""
}

// OptionID returns the id of the n-th option, from 0: a … z, then o27 and so on.
func OptionID(n int) string {
	if n < 26 {
		return string(rune('a' + n))
	}
	return "o" + strconv.Itoa(n+1)
}

// Show writes a value with its unit for people, with a number of decimals; deg becomes a degree sign.
// It never writes "-0".
func Show(value float64, unit string, decimals int) string {
	text := strconv.FormatFloat(round(value, decimals), 'f', decimals, 64)
	switch unit {
	case "":
		return text
	case "deg":
		return text + "°"
	}
	return text + " " + unit
}

// round rounds to a number of decimals, halves away from zero, and never to -0.
func round(value float64, decimals int) float64 {
	scale := 1.0
	for range decimals {
		scale *= 10
	}
	return math.Copysign(math.Floor(float64(math.Abs(value)*scale)+0.5+1e-9), value)/scale + 0
}

// decimalsOf returns with how many decimals an answer is shown whose tolerance is given.
func decimalsOf(tolerance float64) int {
	for d := range 4 {
		if step := 1 / float64([]int{1, 10, 100, 1000}[d]); step <= tolerance+1e-12 {
			return d
		}
	}
	return 3
}
