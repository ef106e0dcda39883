package marking

import (
	"slices"
	"strings"

	"tugback/internal/treatment"
)

// Vocabulary is what rules may speak of.
type Vocabulary struct {
	Metrics []treatment.Definition
	Events  []treatment.EventDefinition
	Items   []treatment.Instrument
	Canals  []string // canals of the tooth; empty: any name is taken
}

// Standard returns the engine's own vocabulary, with the canals left open.
func Standard() Vocabulary {
	return Vocabulary{
		Metrics: treatment.MetricTable(),
		Events:  treatment.EventKinds(),
		Items:   treatment.Catalogue(),
	}
}

// metric returns the definition of a metric.
func (v *Vocabulary) metric(name string) (treatment.Definition, bool) {
	for _, d := range v.Metrics {
		if d.Name == name {
			return d, true
		}
	}
	return treatment.Definition{}, false
}

func (v *Vocabulary) metricNames(keep func(treatment.Definition) bool) []string {
	var names []string
	for _, d := range v.Metrics {
		if keep(d) {
			names = append(names, d.Name)
		}
	}
	return names
}

func anyMetric(treatment.Definition) bool     { return true }
func canalMetric(d treatment.Definition) bool { return d.PerCanal }

func (v *Vocabulary) eventNames() []string {
	names := make([]string, len(v.Events))
	for i, e := range v.Events {
		names[i] = string(e.Kind)
	}
	return names
}

func kindNames() []string {
	var names []string
	for _, k := range treatment.Kinds() {
		names = append(names, string(k))
	}
	return names
}

func agentNames() []string {
	for _, f := range treatment.Fields(treatment.Irrigate) {
		if f.Key == "irrigant" {
			return f.Words
		}
	}
	return nil
}

// stageNames returns the stages in the order of the procedure.
func stageNames() []string {
	var names []string
	for _, k := range treatment.Kinds() {
		if s := k.Stage(); !slices.Contains(names, s) {
			names = append(names, s)
		}
	}
	return names
}

// deed is an action as a rule names it: "irrigate", or "irrigate edta" with one word that must stand
// in one of the action's fields.
type deed struct {
	kind treatment.Kind
	word string
}

func readDeed(text string) deed {
	kind, word, _ := strings.Cut(text, " ")
	return deed{treatment.Kind(kind), strings.TrimSpace(word)}
}

// matches reports whether an action is the deed. An instrument may be named by its id or its family.
func (d deed) matches(a *treatment.Action) bool {
	if a.Do != d.kind {
		return false
	}
	return d.word == "" || slices.Contains([]string{a.Choice, a.Agent, a.Motion, a.Wall, a.Item}, d.word) ||
		strings.HasPrefix(a.Item, d.word+"-")
}

// deedFault returns what is wrong with the name of an action, or "".
func (v *Vocabulary) deedFault(text string) string {
	d := readDeed(text)
	fields := treatment.Fields(d.kind)
	if fields == nil {
		return unknown("action", string(d.kind), kindNames())
	}
	if d.word == "" {
		return ""
	}
	var words []string
	for _, f := range fields {
		words = append(words, f.Words...)
		if f.Form == treatment.Name && f.Key != "canal" {
			words = append(words, v.itemWords()...)
		}
	}
	if slices.Contains(words, d.word) {
		return ""
	}
	if len(words) == 0 {
		return "the action " + string(d.kind) + " has no words to choose from; write \"" + string(d.kind) + "\""
	}
	return unknown("word of the action "+string(d.kind), d.word, words)
}

func (v *Vocabulary) itemWords() []string {
	var words []string
	for _, i := range v.Items {
		if !slices.Contains(words, i.Family) {
			words = append(words, i.Family)
		}
		words = append(words, i.ID)
	}
	return words
}

// listed is how many allowed words a message spells out when none is near what was written.
const listed = 12

// unknown returns the message for a word that is not in a list.
func unknown(what, word string, allowed []string) string {
	message := "unknown " + what + " \"" + word + "\""
	if near := Likely(word, allowed); near != "" {
		return message + ", did you mean \"" + near + "\"?"
	}
	if len(allowed) > 0 && len(allowed) <= listed {
		return message + ", allowed: " + strings.Join(allowed, ", ")
	}
	return message
}

// Likely returns the word of a list that was probably meant: the one with the fewest letters added,
// dropped, changed or swapped with a neighbour, upper and lower case being one, if those are at most
// a third of the longer word (and at least one). The earlier word wins a tie; "" when none is near.
// Checked by TestLikely.
func Likely(word string, words []string) string {
	best, fewest := "", 0
	lower := []rune(strings.ToLower(word))
	for _, w := range words {
		candidate := []rune(strings.ToLower(w))
		longer := max(len(lower), len(candidate))
		if longer > 100 {
			continue
		}
		d := distance(lower, candidate)
		if d <= max(1, longer/3) && (best == "" || d < fewest) {
			best, fewest = w, d
		}
	}
	return best
}

// distance is the restricted Damerau–Levenshtein distance (optimal string alignment).
func distance(a, b []rune) int {
	var before, last []int
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before, last, row = last, row, make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			changed := last[j-1]
			if a[i-1] != b[j-1] {
				changed++
			}
			row[j] = min(last[j]+1, row[j-1]+1, changed)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return row[len(b)]
}

// DeedFault returns what is wrong with the name of an action, such as "irrigate edta", or "".
func DeedFault(text string) string {
	words := Standard()
	return words.deedFault(text)
}
