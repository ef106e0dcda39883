package quiz

import (
	"slices"
	"time"

	"tugback/internal/detmath"
)

// Wish says what a sitting is to hold.
type Wish struct {
	Count   int    // items at most
	DueOnly bool   // only what is due
	Seed    uint64 // of choice, order and generated items
	Now     time.Time
	// Ground gives generated items a tooth; without one (a nil Tooth) only written items are asked.
	Ground Ground
}

// Sit chooses the items of a short sitting: first what is due, longest overdue first, then, unless only
// due items are wished, items not met yet, drawn at random. Cards of generators become fresh
// items. Checked by TestSit.
func Sit(p Practice, bank []Item, wish Wish) []Shown {
	stream := detmath.NewStream(wish.Seed, "quiz sitting")
	written := map[string]Item{}
	var ids []string
	for _, item := range bank {
		written[item.ID] = item
		ids = append(ids, item.ID)
	}
	if wish.Ground.Tooth != nil {
		for _, g := range Generators() {
			ids = append(ids, g.Name)
		}
	}
	chosen := slices.DeleteFunc(p.Due(wish.Now), func(id string) bool { return !slices.Contains(ids, id) })
	if !wish.DueOnly {
		fresh := p.New(ids)
		for _, i := range permutation(len(fresh), &stream) {
			if id := fresh[i]; !slices.Contains(chosen, id) {
				chosen = append(chosen, id)
			}
		}
	}
	if wish.Count > 0 && len(chosen) > wish.Count {
		chosen = chosen[:wish.Count]
	}
	var shown []Shown
	for n, id := range chosen {
		item, found := written[id]
		if !found {
			g, _ := GeneratorNamed(id)
			item = g.Make(wish.Ground, wish.Seed+uint64(n)) //nolint:gosec // an index
		}
		order := detmath.NewStream(wish.Seed, "quiz order "+item.ID)
		shown = append(shown, Present(item, &order))
	}
	return shown
}
