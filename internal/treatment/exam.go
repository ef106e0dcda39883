package treatment

import (
	"fmt"
	"math"
	"slices"

	"tugback/internal/detmath"
)

// Examination is what was tested before the case was judged.
type Examination struct {
	Tests    []string // kinds of test done on the tooth
	Controls []string // kinds of test done on another tooth
	Pulp     string   // diagnosis written down
	Apical   string
	Numb     bool // anaesthetised, and it works
	Tried    int  // injections given
	Felt     bool // a vital pulp was opened while it felt
	Prepared []string
}

// clone copies the slices.
func (e Examination) clone() Examination {
	e.Tests, e.Controls, e.Prepared = slices.Clone(e.Tests), slices.Clone(e.Controls), slices.Clone(e.Prepared)
	return e
}

// PulpAnswer draws whether a pulp answers a test, given whether it is vital and the test's sensitivity and
// specificity for a pulp that is not: common and own are standard normal draws, together the
// correlation of the tests' errors on one tooth. Checked by TestPulpTests.
func PulpAnswer(vital bool, right [2]float64, together, common, own float64) bool {
	z := float64(math.Sqrt(together)*common) + float64(math.Sqrt(1-together)*own)
	if vital {
		return z < detmath.NormalQuantile(right[1])
	}
	return z >= detmath.NormalQuantile(right[0])
}

// examine does one test on one tooth. The same test on the same tooth gives the same answer.
func (t *turn) examine() error {
	if t.Access.Opened {
		return refuse("test-late", "test: the tooth is already open")
	}
	what, number := t.action.Choice, t.action.Tooth
	if number == 0 {
		number = t.Case.Number
	}
	t.spend(30_000)
	own := number == t.Case.Number
	if own {
		t.Exam.Tests = add(t.Exam.Tests, what)
	} else {
		t.Exam.Controls = add(t.Exam.Controls, what)
	}
	t.happen(Event{Kind: TestDone, Item: what, Value: float64(number), Detail: t.answer(what, number, own)})
	return nil
}

func add(list []string, word string) []string {
	if slices.Contains(list, word) {
		return list
	}
	return append(list, word)
}

// answer returns what a test shows, in a word.
func (t *turn) answer(what string, number int, own bool) string {
	f := t.Case.Findings
	has := func(found bool, word string) string {
		if own && found {
			return word
		}
		return "nothing"
	}
	around := t.Case.Settings.Around
	switch what {
	case "percussion":
		return has(f.Tender || f.Swollen, "tender")
	case "palpation":
		return has(f.Swollen, "tender")
	case "probing":
		return has(f.Pocket >= 5, "deep")
	case "light":
		return has(f.Crack, "crack")
	case "bite":
		return has(f.Crack || f.Tender, "tender")
	case "cold":
		return t.pulpWord(what, around.ColdRight, number, own)
	case "heat":
		return t.pulpWord(what, around.HeatRight, number, own)
	}
	return t.pulpWord(what, around.ElectricRight, number, own)
}

// pulpWord is the answer of a pulp test: none, brief or lingering.
func (t *turn) pulpWord(what string, right [2]float64, number int, own bool) string {
	common := detmath.NewStream(t.Case.Seed, fmt.Sprintf("tests of %d", number))
	single := detmath.NewStream(t.Case.Seed, fmt.Sprintf("test %s of %d", what, number))
	vital := !own || t.Case.Vital
	if !PulpAnswer(vital, right, t.Case.Settings.Around.TestsTogether, common.Normal(0, 1), single.Normal(0, 1)) {
		return "none"
	}
	pulp, _ := t.Case.Diagnosis()
	if own && what != "electric" && pulp == "symptomatic-irreversible-pulpitis" {
		return "lingering"
	}
	return "brief"
}

// diagnose writes the two terms down.
func (t *turn) diagnose() error {
	if t.Access.Opened {
		return refuse("diagnose-late", "diagnose: the diagnosis comes before the tooth is opened")
	}
	t.Exam.Pulp, t.Exam.Apical = t.action.Choice, t.action.Agent
	t.spend(60_000)
	t.happen(Event{Kind: Diagnosed, Item: t.Exam.Pulp, Detail: t.Exam.Apical})
	return nil
}

// diagnosisShare is the share of the two terms that is right.
func (s *State) diagnosisShare() float64 {
	pulp, apical := s.Case.Diagnosis()
	return float64(0.5 * (truth(s.Exam.Pulp == pulp) + truth(s.Exam.Apical == apical)))
}

// testsCompared counts the pulp tests done on the tooth that were also done on a control tooth.
func (s *State) testsCompared() int {
	n := 0
	for _, w := range []string{"cold", "heat", "electric"} {
		if slices.Contains(s.Exam.Tests, w) && slices.Contains(s.Exam.Controls, w) {
			n++
		}
	}
	return n
}
