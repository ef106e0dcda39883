package quiz

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/open-spaced-repetition/go-fsrs/v4"

	"tugback/internal/treatment"
)

// Practice is what a student has practised: the state of every item met and the answers given. It is
// plain data for a store to keep; nothing in it is read but by the functions here.
type Practice struct {
	Format  int      `json:"format"` // 1
	Cards   []Card   `json:"cards"`  // in order of id
	Answers []Answer `json:"answers"`
}

// PracticeFormat is the version of what Practice looks like as JSON.
const PracticeFormat = 1

// Card is the schedule of one item; of a generated item, that of its generator, since each time another
// item is made of it.
type Card struct {
	Item string    `json:"item"`
	Step string    `json:"step"`
	FSRS fsrs.Card `json:"fsrs"`
}

// Answer is one answer given.
type Answer struct {
	Item       string    `json:"item"`
	Step       string    `json:"step"`
	At         time.Time `json:"at"`
	Confidence int       `json:"confidence"` // per cent, said before the result was shown
	Credit     float64   `json:"credit"`     // 0 … 1
	Rating     int       `json:"rating"`     // 1 again … 4 easy
}

// NewPractice returns the practice of a student who has answered nothing.
func NewPractice() Practice { return Practice{Format: PracticeFormat} }

// CardID returns the id under which an item is scheduled.
func CardID(item Item) string {
	if item.Made != nil {
		return item.Made.Generator
	}
	return item.ID
}

// Confidences returns the degrees of confidence that are asked for, in per cent.
func Confidences() []int { return []int{25, 50, 75, 95} }

// Rate turns credit and confidence into the rating of the scheduler: again below half credit, hard for
// partial credit or a right answer with less than 50 % confidence, easy for a right answer with 90 %
// confidence or more, else good. The rule is the house's: a lucky guess comes back sooner than what was
// known. Checked by TestRate.
func Rate(credit float64, confidence int) fsrs.Rating {
	switch {
	case credit < 0.5:
		return fsrs.Again
	case credit < 1 || confidence < 50:
		return fsrs.Hard
	case confidence >= 90:
		return fsrs.Easy
	}
	return fsrs.Good
}

// scheduler returns FSRS with its default parameters: retention 0.9, no fuzz, short-term steps on.
func scheduler() *fsrs.FSRS {
	parameters := fsrs.DefaultParam()
	parameters.EnableFuzz = false
	return fsrs.NewFSRS(parameters)
}

// Record notes an answer and schedules the item anew; the practice given is not changed. now is the time
// of the answer. Confidence must lie in 0 … 100, credit in 0 … 1, and now not before the item's last
// answer. Checked by TestRecord against the published vectors of FSRS-6.
func (p Practice) Record(item Item, credit float64, confidence int, now time.Time) (Practice, error) {
	if confidence < 0 || confidence > 100 || !(credit >= 0 && credit <= 1) {
		return p, fmt.Errorf("record %s: confidence %d %% and credit %g, allowed 0 to 100 and 0 to 1", item.ID, confidence, credit)
	}
	p = p.clone()
	card := p.card(CardID(item), item.Step, now)
	if now.Before(card.FSRS.LastReview) {
		return p, fmt.Errorf("record %s: the answer is dated before the last one", item.ID)
	}
	rating := Rate(credit, confidence)
	next, err := scheduler().Next(card.FSRS, now, rating)
	if err != nil {
		return p, fmt.Errorf("schedule %s: %w", item.ID, err)
	}
	card.FSRS = next.Card
	p.Answers = append(p.Answers, Answer{card.Item, item.Step, now, confidence, credit, int(rating)})
	return p, nil
}

// clone copies a practice.
func (p Practice) clone() Practice {
	p.Cards, p.Answers = slices.Clone(p.Cards), slices.Clone(p.Answers)
	p.Format = PracticeFormat
	return p
}

// card returns the card of an id, a new one if there is none.
func (p *Practice) card(id, step string, now time.Time) *Card {
	at, found := slices.BinarySearchFunc(p.Cards, id, func(c Card, id string) int { return strings.Compare(c.Item, id) })
	if !found {
		p.Cards = slices.Insert(p.Cards, at, Card{id, step, fsrs.NewCard(now)})
	}
	return &p.Cards[at]
}

// Check returns what is wrong with a practice that was read from a file: a foreign format, cards out of
// order or twice, figures out of range.
func (p Practice) Check() error {
	if p.Format != PracticeFormat {
		return fmt.Errorf("practice of format %d; this program reads format %d", p.Format, PracticeFormat)
	}
	for i, c := range p.Cards {
		if c.Item == "" || i > 0 && p.Cards[i-1].Item >= c.Item {
			return fmt.Errorf("card %d (%q) is out of order", i+1, c.Item)
		}
		if bad(c.FSRS.Stability) || bad(c.FSRS.Difficulty) || c.FSRS.State < fsrs.New || c.FSRS.State > fsrs.Relearning {
			return fmt.Errorf("card %q has impossible figures", c.Item)
		}
	}
	for i, a := range p.Answers {
		if a.Confidence < 0 || a.Confidence > 100 || !(a.Credit >= 0 && a.Credit <= 1) {
			return fmt.Errorf("answer %d has impossible figures", i+1)
		}
	}
	return nil
}

func bad(x float64) bool { return x < 0 || math.IsNaN(x) || math.IsInf(x, 0) }

// Due returns the ids that are due at a time: those met before whose day has come, longest overdue first.
// Checked by TestDue.
func (p Practice) Due(now time.Time) []string {
	due := slices.DeleteFunc(slices.Clone(p.Cards), func(c Card) bool { return c.FSRS.Due.After(now) })
	slices.SortStableFunc(due, func(a, b Card) int { return a.FSRS.Due.Compare(b.FSRS.Due) })
	ids := make([]string, len(due))
	for i, c := range due {
		ids[i] = c.Item
	}
	return ids
}

// New returns the ids of a list that were never met, in the order of the list.
func (p Practice) New(ids []string) []string {
	return slices.DeleteFunc(slices.Clone(ids), func(id string) bool {
		_, found := slices.BinarySearchFunc(p.Cards, id, func(c Card, id string) int { return strings.Compare(c.Item, id) })
		return found
	})
}

// bring makes an item due, unless it is already, and returns its id.
func (p *Practice) bring(item Item, now time.Time) string {
	card := p.card(CardID(item), item.Step, now)
	if card.FSRS.Due.After(now) {
		card.FSRS.Due = now
	}
	return card.Item
}

// BringBack makes the items due that belong to what went wrong in a treatment: those tagged with the name
// of a fault that happened. Items not met before become due as new ones. It returns the ids brought back.
// Checked by TestBringBack.
func (p Practice) BringBack(bank []Item, events []treatment.Event, now time.Time) (Practice, []string) {
	faults := map[string]bool{}
	for _, definition := range treatment.EventKinds() {
		faults[string(definition.Kind)] = definition.Fault
	}
	happened := map[string]bool{}
	for _, e := range events {
		if faults[string(e.Kind)] {
			happened[string(e.Kind)] = true
		}
	}
	p = p.clone()
	var back []string
	for _, item := range bank {
		if !slices.ContainsFunc(item.Tags, func(tag string) bool { return happened[tag] }) {
			continue
		}
		back = append(back, p.bring(item, now))
	}
	return p, back
}
