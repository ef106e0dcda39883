package quiz

import (
	"slices"
	"time"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Link is an item that goes with a case. It comes back when what After names went wrong: a rule that lost
// half its points or more or whose critical error happened, or an event that happened. Without After any
// rule of the item's step that lost so much brings it back, and any critical error an item on mishaps.
type Link struct{ Item, After string }

// lostFrom is the share of its points below which a rule counts as a wrong decision: as in marking, common
// practice, no source.
const lostFrom = 0.5

// wrong says whether a rule was a wrong decision.
func wrong(m marking.RuleMark) bool {
	return m.Happened || !m.Excused && m.Available > 0 && m.Points < lostFrom*m.Available || m.Available == 0 && m.Points < 0
}

// due says whether a link's item comes back.
func (l Link) due(step string, marks marking.Marks, events []treatment.Event) bool {
	if l.After != "" && slices.ContainsFunc(events, func(e treatment.Event) bool { return string(e.Kind) == l.After }) {
		return true
	}
	return slices.ContainsFunc(marks.Rules, func(m marking.RuleMark) bool {
		switch {
		case !wrong(m):
			return false
		case l.After != "":
			return m.ID == l.After
		}
		return m.Stage == step || m.Happened && step == "mishap"
	})
}

// BringLinked makes the items due that a case links to what was decided wrongly in its treatment, as
// BringBack does for faults. It returns the ids brought back. Links to items that the bank lacks are left
// out. Checked by TestBringLinked.
func (p Practice) BringLinked(bank []Item, links []Link, marks marking.Marks, events []treatment.Event, now time.Time) (Practice, []string) {
	p = p.clone()
	var back []string
	for _, item := range bank {
		linked := func(l Link) bool { return l.Item == item.ID && l.due(item.Step, marks, events) }
		if !slices.ContainsFunc(links, linked) {
			continue
		}
		back = append(back, p.bring(item, now))
	}
	return p, back
}
