package quiz

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of the linter. Chosen; the literature on item writing gives the faults but no figures.
const (
	lengthRatio  = 1.4  // key over the longest wrong option
	lengthExcess = 15   // and this many characters longer
	longestShare = 0.40 // of the bank's keys may be the longest option
	placeShare   = 0.50 // of the kept keys may stand in one place
	placeLeast   = 8    // kept items below which places are not judged
	nearStems    = 0.75 // share of words in common
)

// Rule is a rule of the linter.
type Rule struct{ Name, Text string }

// LintRules returns the rules of the linter with what each means.
func LintRules() []Rule {
	return []Rule{
		{"length-cue", "the right option is much longer than the others, which gives it away"},
		{"catch-all", "an option says all, none or both of the above"},
		{"negative-stem", "the question turns on a negative word that is not in capitals"},
		{"overlap", "two options state ranges that overlap"},
		{"same-option", "two options say the same"},
		{"absolute", "words such as always or never stand in wrong options only"},
		{"same-feedback", "two options have the same feedback"},
		{"dose", "the item speaks of the amount of a drug"},
		{"near-duplicate", "two items of the bank ask nearly the same"},
		{"duplicate", "two items of the bank have the same id"},
		{"key-position", "kept options: the keys of the bank stand too often in one place"},
		{"longest-key", "the keys of the bank are too often the longest option"},
	}
}

var (
	catchAll   = regexp.MustCompile(`(?i)\b(all|none|both|any|neither) (of )?(the |these |those )?(above|options|answers|mentioned)\b|^(all|none|both) of (them|these)\b`)
	negative   = regexp.MustCompile(`\b(not|except|least|never|false|incorrect|unsuitable)\b`)
	asks       = regexp.MustCompile(`(?i)\b(which|what)\b`)
	rangeText  = regexp.MustCompile(`(\d+(?:\.\d+)?)\s*(?:–|-|to)\s*(\d+(?:\.\d+)?)`)
	absolutes  = regexp.MustCompile(`(?i)\b(always|never|completely|impossible|every|entirely)\b`)
	doseOfDrug = regexp.MustCompile(`(?i)\b(mg|mg/kg|milligrams?|dosage|daily dose)\b`)
)

// Lint returns what of an item's style gives the answer away or misleads, but for what the item excuses.
// Checked by TestLint.
func Lint(item Item) []Finding {
	e := &examiner{item: item}
	if item.Chosen() {
		e.lengthCue()
		e.options()
		e.negative()
		e.absolutes()
	}
	all := item.Stem + " " + item.Why + " " + item.Other
	for _, o := range item.Options {
		all += " " + o.Text + " " + o.Feedback
	}
	if word := doseOfDrug.FindString(all); word != "" {
		e.find("stem", -1, "dose", "%q: items give no advice on doses", word)
	}
	return slices.DeleteFunc(e.findings, func(f Finding) bool {
		return slices.ContainsFunc(item.Excuses, func(x Excuse) bool { return x.Rule == f.Rule && x.Why != "" })
	})
}

// lengthCue compares the key's length with those of the wrong options.
func (e *examiner) lengthCue() {
	key, longest, at := keyLength(e.item)
	if e.item.Kind != Several && float64(key) > lengthRatio*float64(longest) && key > longest+lengthExcess {
		e.find("options", at, "length-cue", "the right option has %d characters, the longest wrong one %d", key, longest)
	}
}

// keyLength returns the length of the right option, that of the longest wrong one, and which is right.
func keyLength(item Item) (key, longest, at int) {
	for n, o := range item.Options {
		if size := utf8.RuneCountInString(o.Text); o.Right {
			key, at = size, n
		} else {
			longest = max(longest, size)
		}
	}
	return key, longest, at
}

// options looks at the options one by one and two by two.
func (e *examiner) options() {
	for n, o := range e.item.Options {
		if catchAll.MatchString(o.Text) {
			e.find("options", n, "catch-all", "%q: say what is meant instead", o.Text)
		}
		for m := range n {
			other := e.item.Options[m]
			if plain(other.Text) == plain(o.Text) {
				e.find("options", n, "same-option", "%q says the same as option %d", o.Text, m+1)
			}
			if plain(other.Feedback) == plain(o.Feedback) {
				e.find("options", n, "same-feedback", "the feedback is that of option %d", m+1)
			}
			if rangesOverlap(other.Text, o.Text) {
				e.find("options", n, "overlap", "%q overlaps with %q", o.Text, other.Text)
			}
		}
	}
}

// rangesOverlap reports whether two texts state ranges that share more than an end.
func rangesOverlap(a, b string) bool {
	first, second := rangeText.FindStringSubmatch(a), rangeText.FindStringSubmatch(b)
	if first == nil || second == nil || plain(rangeText.ReplaceAllString(a, "")) != plain(rangeText.ReplaceAllString(b, "")) {
		return false
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic("quiz: digits are no number: " + s)
		}
		return v
	}
	return max(number(first[1]), number(second[1])) < min(number(first[2]), number(second[2]))
}

// negative looks for a negative word in the question itself.
func (e *examiner) negative() {
	sentences := strings.FieldsFunc(e.item.Stem, func(r rune) bool { return r == '.' || r == '?' || r == '!' })
	for _, s := range sentences {
		if asks.MatchString(s) && negative.MatchString(s) {
			e.find("stem", -1, "negative-stem", "%q: ask for what is right, or write the word in capitals", negative.FindString(s))
		}
	}
}

// absolutes looks for strong words that only wrong options have.
func (e *examiner) absolutes() {
	wrong, right := 0, false
	for _, o := range e.item.Options {
		if absolutes.MatchString(o.Text) {
			if o.Right {
				right = true
			} else {
				wrong++
			}
		}
	}
	if wrong >= 2 && !right {
		e.find("options", -1, "absolute", "%d wrong options and no right one have a word such as always or never", wrong)
	}
}

// plain is a text without case, blanks and signs.
func plain(text string) string {
	return strings.Map(func(r rune) rune { // a full stop counts inside a number only
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '.' || r == '-' {
			return unicode.ToLower(r)
		}
		return -1
	}, strings.TrimRight(text, ". "))
}

// LintBank returns what is wrong with a bank of items as a whole: ids and questions that stand twice, keys
// that give themselves away by place or length. Checked by TestLintBank.
func LintBank(items []Item) []Finding {
	var findings []Finding
	words := make([]map[string]bool, len(items))
	for n, item := range items {
		words[n] = wordsOf(item)
		for m := range n {
			switch {
			case items[m].ID == item.ID:
				findings = append(findings, Finding{item.ID, "id", -1, "duplicate", "the id stands twice"})
			case alike(words[m], words[n]) >= nearStems:
				findings = append(findings, Finding{item.ID, "stem", -1, "near-duplicate", "asks nearly the same as " + items[m].ID})
			}
		}
	}
	return append(findings, keyCues(items)...)
}

// wordsOf returns the words of a question and its key, which tell it from others.
func wordsOf(item Item) map[string]bool {
	words := map[string]bool{}
	for _, w := range strings.FieldsFunc(strings.ToLower(item.Stem+" "+item.Key()), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '.'
	}) {
		words[w] = true
	}
	return words
}

// alike returns the share of words that two sets have in common (Jaccard).
func alike(a, b map[string]bool) float64 {
	common := 0
	for w := range a {
		if b[w] {
			common++
		}
	}
	if all := len(a) + len(b) - common; all > 0 {
		return float64(common) / float64(all)
	}
	return 0
}

// keyCues looks at place and length of the keys over the bank.
func keyCues(items []Item) []Finding {
	var findings []Finding
	singles, longest, kept := 0, 0, 0
	places := map[int]int{}
	for _, item := range items {
		if item.Kind != Single && item.Kind != Predict {
			continue
		}
		key, wrong, at := keyLength(item)
		singles++
		if key > wrong {
			longest++
		}
		if item.Keep {
			kept++
			places[at]++
		}
	}
	if singles >= placeLeast && float64(longest) > longestShare*float64(singles) {
		findings = append(findings, Finding{"bank", "", -1, "longest-key",
			fmt.Sprintf("the right option is the longest in %d of %d items", longest, singles)})
	}
	for at := range 8 {
		if kept >= placeLeast && float64(places[at]) > placeShare*float64(kept) {
			findings = append(findings, Finding{"bank", "", -1, "key-position",
				fmt.Sprintf("the right option stands in place %d in %d of %d items with kept order", at+1, places[at], kept)})
		}
	}
	return findings
}
