package quiz

import (
	"slices"
	"time"

	"github.com/open-spaced-repetition/go-fsrs/v4"
)

// Calibration compares what a student said to know with what was right.
type Calibration struct {
	Bins []Bin `json:"bins"` // those with answers, by rising confidence
	// Answers is how many answers all bins hold.
	Answers int `json:"answers"`
	// Over is mean confidence less mean credit, −1 … 1: positive for too sure, negative for too modest.
	Over float64 `json:"over"`
	// Brier is the mean square of confidence less rightness: 0 perfect, 0.25 the score of always 50 %.
	Brier float64 `json:"brier"`
}

// Bin holds the answers of one span of confidence, for the calibration plot.
type Bin struct {
	Low        int     `json:"low"`  // per cent, included
	High       int     `json:"high"` // per cent, excluded but for 100
	Answers    int     `json:"answers"`
	Confidence float64 `json:"confidence"` // mean, 0 … 1
	Credit     float64 `json:"credit"`     // mean, 0 … 1
}

// Calibrate returns the calibration of a practice in five spans of 20 %. Partial credit counts as a
// partly right answer. Source: Brier 1950 (score; from memory). Checked by TestCalibrate.
func (p Practice) Calibrate() Calibration {
	bins := make([]Bin, 5)
	c := Calibration{Answers: len(p.Answers)}
	for i := range bins {
		bins[i].Low, bins[i].High = 20*i, 20*i+20
	}
	for _, a := range p.Answers {
		b := &bins[min(4, a.Confidence/20)]
		said := float64(a.Confidence) / 100
		b.Answers++
		b.Confidence += said
		b.Credit += a.Credit
		c.Over += said - a.Credit
		c.Brier += (said - a.Credit) * (said - a.Credit)
	}
	for i := range bins {
		if n := float64(bins[i].Answers); n > 0 {
			bins[i].Confidence /= n
			bins[i].Credit /= n
		}
	}
	if n := float64(c.Answers); n > 0 {
		c.Over /= n
		c.Brier /= n
	}
	c.Bins = slices.DeleteFunc(bins, func(b Bin) bool { return b.Answers == 0 })
	return c
}

// Mastery is how a student stands in one step of the procedure.
type Mastery struct {
	Step    string  `json:"step"`
	Items   int     `json:"items"`   // that there are
	Met     int     `json:"met"`     // answered at least once
	Recall  float64 `json:"recall"`  // mean chance of recall now of the items met, 0 … 1
	Credit  float64 `json:"credit"`  // mean credit of the last answers, one for each item met
	Mastery float64 `json:"mastery"` // Met/Items × Recall × Credit, 0 … 1
}

// Entry is something that can be practised: a written item or a generator.
type Entry struct{ ID, Step string }

// Entries returns what can be practised: the items of a bank, and if wished the generators.
func Entries(bank []Item, generators bool) []Entry {
	var entries []Entry
	for _, item := range bank {
		entries = append(entries, Entry{CardID(item), item.Step})
	}
	if generators {
		for _, g := range Generators() {
			entries = append(entries, Entry{g.Name, g.Step})
		}
	}
	return entries
}

// Masteries returns the mastery of every step of what can be practised, in the order of Steps. The chance of
// recall is that of FSRS; that mastery is the product of coverage, recall and credit is the house's rule.
// Checked by TestMasteries.
func (p Practice) Masteries(entries []Entry, now time.Time) []Mastery {
	credit := map[string]float64{}
	for _, a := range p.Answers {
		credit[a.Item] = a.Credit
	}
	cards := map[string]Card{}
	for _, c := range p.Cards {
		cards[c.Item] = c
	}
	var all []Mastery
	for _, step := range Steps() {
		m := Mastery{Step: step}
		for _, e := range entries {
			if e.Step != step {
				continue
			}
			m.Items++
			last, answered := credit[e.ID]
			if !answered {
				continue
			}
			m.Met++
			m.Credit += last
			m.Recall += recall(cards[e.ID], now)
		}
		if m.Items == 0 {
			continue
		}
		if m.Met > 0 {
			m.Credit /= float64(m.Met)
			m.Recall /= float64(m.Met)
		}
		m.Mastery = float64(m.Met) / float64(m.Items) * m.Recall * m.Credit
		all = append(all, m)
	}
	return all
}

// recall returns the chance that an item is recalled now; 0 for one never answered.
func recall(c Card, now time.Time) float64 {
	if c.FSRS.State == fsrs.New {
		return 0
	}
	if now.Before(c.FSRS.LastReview) {
		now = c.FSRS.LastReview
	}
	r, err := scheduler().Retrievability(c.FSRS, now)
	if err != nil {
		return 0
	}
	return r
}
