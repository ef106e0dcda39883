package quiz

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"tugback/internal/anatomy"
)

// Finding is something that is wrong with an item, and where in it.
type Finding struct {
	Item    string
	Field   string // key of the item as written in a file: stem, options, answer …; "" for the item as a whole
	Index   int    // which option, pair or mistake, from 0; −1 where that does not apply
	Rule    string
	Message string
}

// String returns the finding in one line.
func (f Finding) String() string {
	return fmt.Sprintf("%s: %s [%s]", f.Item, f.Message, f.Rule)
}

// examiner collects the findings of one item.
type examiner struct {
	item     Item
	findings []Finding
}

// find notes a finding.
func (e *examiner) find(field string, index int, rule, format string, args ...any) {
	e.findings = append(e.findings, Finding{e.item.ID, field, index, rule, fmt.Sprintf(format, args...)})
}

// Check returns what makes an item unfit to be asked: parts that are missing or do not belong to its kind,
// a key that is not one, a key that its formula, fact or engine run does not give. Style is judged by Lint.
// A measure item is checked after Resolve. Checked by TestCheck.
func Check(item Item) []Finding {
	e := &examiner{item: item}
	e.words()
	switch item.Kind {
	case Single, Several, Predict:
		e.choice()
	case Ordering:
		e.count("options", len(item.Options), 3, 8)
		e.texts("options", item.Options)
	case Matching:
		e.matching()
	case Numeric, Measure:
		e.number()
	case Place:
		e.place()
	default:
		e.find("kind", -1, "kind", "unknown kind %q", string(item.Kind))
	}
	e.basis()
	return e.findings
}

// words checks the parts that every item has.
func (e *examiner) words() {
	i := e.item
	for _, w := range []struct {
		field, value string
		allowed      []string
	}{{"step", i.Step, Steps()}, {"level", i.Level, Levels()}, {"difficulty", i.Difficulty, Difficulties()}} {
		if !slices.Contains(w.allowed, w.value) {
			e.find(w.field, -1, "word", "%s is %q; allowed: %s", w.field, w.value, strings.Join(w.allowed, ", "))
		}
	}
	for _, w := range []struct{ field, value string }{{"id", i.ID}, {"stem", i.Stem}, {"why", i.Why}, {"source", i.Source}} {
		if strings.TrimSpace(w.value) == "" {
			e.find(w.field, -1, "missing", "the item lacks %s", w.field)
		}
	}
	if i.Source != "" && !NamedSource(i.Source) {
		e.find("source", -1, "source", "source %q names neither author and year, a standard or body, nor %q", i.Source, CommonPractice)
	}
}

var (
	authorYear = regexp.MustCompile(`\b(1[89]|20)\d\d\b`)
	body       = regexp.MustCompile(`\b(ISO \d+|AAE|ESE|ADA)\b`)
)

// named are the sources that are neither a paper nor a standard.
var named = []string{CommonPractice, "geometry", "arithmetic", "beam theory", "engine", "gauge table", "Hagen–Poiseuille", "Bayes"}

// NamedSource reports whether a source can be looked up or says plainly that there is none: an author and
// year, a standard or a body, geometry and the like, or common practice.
func NamedSource(source string) bool {
	if authorYear.MatchString(source) || body.MatchString(source) {
		return true
	}
	for _, word := range named {
		if strings.Contains(source, word) {
			return true
		}
	}
	for _, f := range Facts() {
		if strings.Contains(source, f.Source) {
			return true
		}
	}
	return false
}

// count checks how many parts a list has.
func (e *examiner) count(field string, n, low, high int) {
	if n < low || n > high {
		e.find(field, -1, "range", "%d %s, allowed %d to %d", n, field, low, high)
	}
}

// texts checks that every option has its text and its feedback.
func (e *examiner) texts(field string, options []Option) {
	for n, o := range options {
		if strings.TrimSpace(o.Text) == "" {
			e.find(field, n, "missing", "option %d has no text", n+1)
		}
		if strings.TrimSpace(o.Feedback) == "" {
			e.find(field, n, "missing", "option %d has no feedback", n+1)
		}
	}
}

// choice checks an item that is answered by choosing.
func (e *examiner) choice() {
	i := e.item
	e.count("options", len(i.Options), 3, 8)
	e.texts("options", i.Options)
	switch right := len(i.RightOptions()); {
	case i.Kind != Several && right != 1:
		e.find("options", -1, "key", "%d options are right, expected one", right)
	case i.Kind == Several && (right == 0 || right == len(i.Options)):
		e.find("options", -1, "key", "%d of %d options are right; some must be and some not", right, len(i.Options))
	}
	if i.Kind != Predict {
		return
	}
	for n, o := range i.Options {
		if !slices.Contains(Outcomes(), o.Outcome) {
			e.find("options", n, "outcome", "option %d has the outcome %q, which no action has", n+1, o.Outcome)
		}
	}
	if err := CheckTrial(i); err != nil {
		e.find("then", -1, "engine", "%v", err)
	}
}

// matching checks pairs.
func (e *examiner) matching() {
	i := e.item
	e.count("pairs", len(i.Pairs), 3, 8)
	for n, p := range i.Pairs {
		if p.Left == "" || p.Right == "" || p.Feedback == "" {
			e.find("pairs", n, "missing", "pair %d lacks left, right or feedback", n+1)
		}
		for m := range n {
			if i.Pairs[m].Left == p.Left {
				e.find("pairs", n, "duplicate", "left side %q stands twice", p.Left)
			}
		}
	}
	e.texts("spare", i.Spare)
	for n, o := range i.Spare {
		if slices.ContainsFunc(i.Pairs, func(p Pair) bool { return p.Right == o.Text }) {
			e.find("spare", n, "key", "spare right side %q belongs to a pair", o.Text)
		}
	}
}

// number checks an item answered with a number.
func (e *examiner) number() {
	i := e.item
	if math.IsNaN(i.Answer) || math.IsInf(i.Answer, 0) {
		e.find("answer", -1, "key", "the answer is not a number")
	}
	if !(i.Tolerance > 0) {
		e.find("tolerance", -1, "range", "tolerance is %g, expected more than 0", i.Tolerance)
	}
	if i.Other == "" {
		e.find("other", -1, "missing", "feedback on other answers is missing")
	}
	for n, m := range i.Mistakes {
		if m.Feedback == "" {
			e.find("mistakes", n, "missing", "mistake %d has no feedback", n+1)
		}
		if m.Target == "" && math.Abs(m.Value-i.Answer) <= 2*i.Tolerance {
			e.find("mistakes", n, "key", "mistake %s is too near the right answer %s", Show(m.Value, i.Unit, 3), Show(i.Answer, i.Unit, 3))
		}
	}
	if i.Kind != Measure {
		return
	}
	r, err := Resolve(i)
	if err != nil {
		e.find("measure", -1, "engine", "%v", err)
	} else if math.Abs(r.Answer-i.Answer) > i.Tolerance || r.Unit != i.Unit {
		e.find("measure", -1, "engine", "the answer is %s, the tooth gives %s", Show(i.Answer, i.Unit, 3), Show(r.Answer, r.Unit, 3))
	}
}

// place checks an item answered on the picture.
func (e *examiner) place() {
	i := e.item
	if !(i.Tolerance > 0) {
		e.find("tolerance", -1, "range", "tolerance is %g mm, expected more than 0", i.Tolerance)
	}
	if i.Other == "" {
		e.find("other", -1, "missing", "feedback on other answers is missing")
	}
	if !slices.Contains(Landmarks(), i.Target) {
		e.find("place", -1, "word", "unknown place %q; allowed: %s", i.Target, strings.Join(Landmarks(), ", "))
		return
	}
	tooth, canal, err := i.Subject.Grow()
	if err != nil {
		e.find("tooth", -1, "engine", "%v", err)
		return
	}
	target, found := Landmark(tooth, canal, i.Target)
	if !found {
		e.find("place", -1, "engine", "this tooth has no %s", i.Target)
		return
	}
	for n, m := range i.Mistakes {
		e.landmark(tooth, canal, n, m, func() bool {
			p, _ := Landmark(tooth, canal, m.Target)
			return p.Sub(target).Norm() <= i.Tolerance
		})
	}
}

// landmark checks a place that is taken for another one.
func (e *examiner) landmark(tooth *anatomy.Tooth, canal, n int, m Mistake, near func() bool) {
	_, found := Landmark(tooth, canal, m.Target)
	switch {
	case !found:
		e.find("mistakes", n, "engine", "this tooth has no %q", m.Target)
	case m.Feedback == "":
		e.find("mistakes", n, "missing", "mistake %d has no feedback", n+1)
	case near():
		e.find("mistakes", n, "key", "%s lies within the tolerance of %s", m.Target, e.item.Target)
	}
}

// basis checks that what the key is said to follow from gives it.
func (e *examiner) basis() {
	i := e.item
	for n, id := range i.Facts {
		f, found := FactByID(id)
		if !found {
			e.find("facts", n, "fact", "there is no fact %q", id)
		} else if !strings.Contains(i.Source, strings.TrimSuffix(f.Source, " (author from memory)")) && i.Source != f.Source && len(i.Facts) == 1 {
			e.find("source", -1, "fact", "the source is %q, that of fact %s is %q", i.Source, id, f.Source)
		}
	}
	if i.Formula != nil {
		e.formula()
		return
	}
	if i.Kind == Numeric && i.Made == nil {
		for _, id := range i.Facts {
			if f, found := FactByID(id); found && f.Value != 0 && (math.Abs(f.Value-i.Answer) <= i.Tolerance || math.Abs(f.High-i.Answer) <= i.Tolerance) {
				return
			}
		}
		e.find("answer", -1, "basis", "the number follows neither from a formula nor from a fact that states it")
	}
}

// formula checks the key against the formula.
func (e *examiner) formula() {
	i := e.item
	value, err := i.Formula.Compute()
	if err != nil {
		e.find("formula", -1, "formula", "%v", err)
		return
	}
	if i.Kind == Numeric {
		if math.Abs(value-i.Answer) > i.Tolerance {
			e.find("answer", -1, "formula", "the answer is %g, %s gives %.4g", i.Answer, i.Formula.Name, value)
		}
		return
	}
	for _, o := range i.Options {
		if o.Right && !states(o.Text, value) {
			e.find("options", -1, "formula", "the right option %q does not state %.4g, which %s gives", o.Text, value, i.Formula.Name)
		}
	}
}

var numberInText = regexp.MustCompile(`-?\d+(\.\d+)?`)

// states reports whether a text states a value, to the decimals it is written with.
func states(text string, value float64) bool {
	for _, digits := range numberInText.FindAllString(text, -1) {
		_, after, _ := strings.Cut(digits, ".")
		if Show(value, "", len(after)) == digits {
			return true
		}
	}
	return false
}
