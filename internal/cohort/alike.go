package cohort

import (
	"cmp"
	"encoding/json"
	"slices"

	"tugback/internal/psychometrics"
	"tugback/internal/treatment"
)

// Pair is two sittings whose logs of one case are alike.
type Pair struct {
	First, Second string // candidates
	Case          string
	Likeness      float64 // 0 … 1
	Actions       int     // of the shorter log
}

// AlikeFrom is the likeness from which two logs are shown to the instructor. Candidates have different teeth,
// so honest logs share the order of the procedure but not its settings. The limit is the house's choice;
// likeness is a reason to look, never a proof.
const AlikeFrom = 0.85

// Likeness returns how alike two lists of actions are:
//
//	2·L/(m + n), L the length of their longest common subsequence of equal actions
//
// 1 for the same actions in the same order, 0 for none in common; two empty lists are not alike. An action is
// equal to another when all its settings are. Checked by TestLikeness.
func Likeness(a, b []treatment.Action) float64 { return likeness(words(a), words(b)) }

// words writes actions as comparable text.
func words(actions []treatment.Action) []string {
	texts := make([]string, len(actions))
	for i, action := range actions {
		text, err := json.Marshal(action)
		if err != nil {
			panic("cohort: an action is not JSON: " + err.Error())
		}
		texts[i] = string(text)
	}
	return texts
}

func likeness(a, b []string) float64 {
	if len(a)+len(b) == 0 {
		return 0
	}
	before, now := make([]int, len(b)+1), make([]int, len(b)+1)
	for _, x := range a {
		for j, y := range b {
			if x == y {
				now[j+1] = before[j] + 1
			} else {
				now[j+1] = max(before[j+1], now[j])
			}
		}
		before, now = now, before
	}
	return 2 * float64(before[len(b)]) / float64(len(a)+len(b))
}

// common returns the share that bounds likeness from above: actions both lists hold, whatever their order.
func common(a, b map[string]int, n int) float64 {
	shared := 0
	for word, k := range a {
		shared += min(k, b[word])
	}
	return 2 * float64(shared) / float64(max(1, n))
}

// alike compares the logs of each case pair by pair. Pairs whose actions without order already differ too
// much are not compared in order. It returns the pairs above the limit, the most alike first, and the median
// of that bound over all pairs, by which an instructor sees what is usual.
func (c Class) alike() (found []Pair, typical float64) {
	type log struct {
		candidate, part string
		words           []string
		counts          map[string]int
	}
	var logs []log
	for _, s := range c.Sittings {
		for _, one := range s.Cases {
			l := log{s.Candidate, one.ID, words(one.Actions), map[string]int{}}
			for _, word := range l.words {
				l.counts[word]++
			}
			logs = append(logs, l)
		}
	}
	var bounds []float64
	for i, a := range logs {
		for _, b := range logs[i+1:] {
			if a.part != b.part || len(a.words) == 0 || len(b.words) == 0 {
				continue
			}
			bound := common(a.counts, b.counts, len(a.words)+len(b.words))
			bounds = append(bounds, bound)
			if bound < AlikeFrom {
				continue
			}
			if like := likeness(a.words, b.words); like >= AlikeFrom {
				found = append(found, Pair{a.candidate, b.candidate, a.part, like, min(len(a.words), len(b.words))})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b Pair) int { return cmp.Compare(b.Likeness, a.Likeness) })
	return found, psychometrics.Median(bounds)
}
