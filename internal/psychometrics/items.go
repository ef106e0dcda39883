package psychometrics

import (
	"cmp"
	"math"
	"slices"
)

// Item is what is said about one column of a matrix.
type Item struct {
	N          int
	Mean, SD   float64 // SD with 1/n
	Difficulty float64 // mean share of the maximum, 0 … 1: high is easy
	ItemTotal  float64 // correlation with the total, the item in it
	ItemRest   float64 // correlation with the total less the item
	UpperLower float64 // mean share of the maximum in the upper group less that in the lower one
	Dropped    float64 // alpha of the other items
}

// UpperShare is the share of the persons in the upper and in the lower group: Kelley 1939 (from memory).
const UpperShare = 0.27

// Items returns the statistics of each item. maximum holds the most an item gives, > 0.
//
//	difficulty     mean / maximum
//	item-rest r    Pearson(item, total − item)
//	upper-lower D  mean share in the best 27 % less that in the worst 27 %
//
// The groups hold round(0.27 n) persons, at least one; persons tied at the border of a group share what
// room is left in it, each with the same weight, so that the order of the persons does not matter. Items
// panics when the lengths differ. Data and formulas: Wuensch's ten students, LSAT section 6 (Bock and
// Lieberman 1970). Checked by TestItems and TestItemsProperties.
func Items(m Matrix, maximum []float64) []Item {
	if len(m) == 0 || len(maximum) != len(m[0]) {
		panic("psychometrics: one maximum for each item is needed")
	}
	totals := m.Totals()
	upper, lower := groups(totals)
	items := make([]Item, len(maximum))
	for i := range items {
		scores := m.Column(i)
		rest := make([]float64, len(scores))
		for p, x := range scores {
			rest[p] = totals[p] - x
		}
		variance, _ := spread(scores)
		items[i] = Item{
			N: len(scores), Mean: mean(scores), SD: math.Sqrt(variance), Difficulty: mean(scores) / maximum[i],
			ItemTotal: Correlation(scores, totals), ItemRest: Correlation(scores, rest),
			UpperLower: (weighted(scores, upper) - weighted(scores, lower)) / maximum[i], Dropped: math.NaN(),
		}
		if len(maximum) > 2 {
			items[i].Dropped = Alpha(m.Without(i)).Alpha
		}
	}
	return items
}

// groups returns the weight of each person in the upper and in the lower group; each sums to the size of
// the group.
func groups(totals []float64) (upper, lower []float64) {
	size := max(1, math.Floor(float64(UpperShare*float64(len(totals)))+0.5))
	negated := make([]float64, len(totals))
	for i, x := range totals {
		negated[i] = -x
	}
	return best(totals, size), best(negated, size)
}

// best gives the persons with the highest values weight 1 until the room is used, those tied for the last
// of it equal parts.
func best(values []float64, room float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[b], values[a]) })
	weights := make([]float64, len(values))
	for from := 0; from < len(order) && room > 0; {
		to := from
		for to < len(order) && values[order[to]] > values[order[from]]-1e-9 {
			to++
		}
		share := min(1, room/float64(to-from))
		for _, p := range order[from:to] {
			weights[p] = share
		}
		room -= share * float64(to-from)
		from = to
	}
	return weights
}

// weighted returns the weighted mean.
func weighted(x, weights []float64) float64 {
	sum, all := 0.0, 0.0
	for i, w := range weights {
		sum += w * x[i]
		all += w
	}
	return sum / all
}

// mean returns the mean, NaN of nothing.
func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// Option is what is said about one answer that could be chosen.
type Option struct {
	ID         string
	Key        bool
	Chosen     int     // persons
	Share      float64 // of all persons
	MeanTotal  float64 // of those who chose it, NaN when nobody did
	PointBis   float64 // correlation of choosing it with the total less the item's own score
	UpperLower float64 // persons of the upper group less those of the lower group, with shared ties
	Idle       bool    // a distractor that fewer than 5 % choose
}

// IdleShare is the share of choosers below which a distractor is said to do nothing: BMC Medical Education
// 2024, 24:445.
const IdleShare = 0.05

// Options returns how the answers of one item were used: choices holds what each person chose (several or
// none are allowed), rest each person's total without the item. The key should draw the strong, each
// distractor the weak. Options panics when the lengths differ. Checked by TestOptions.
func Options(ids []string, keys map[string]bool, choices [][]string, rest []float64) []Option {
	if len(choices) != len(rest) {
		panic("psychometrics: one list of choices for each total is needed")
	}
	upper, lower := groups(rest)
	options := make([]Option, len(ids))
	for o, id := range ids {
		one := Option{ID: id, Key: keys[id]}
		chose := make([]float64, len(rest))
		sum := 0.0
		for p, choice := range choices {
			if slices.Contains(choice, id) {
				one.Chosen++
				chose[p] = 1
				sum += rest[p]
				one.UpperLower += upper[p] - lower[p]
			}
		}
		one.Share = float64(one.Chosen) / float64(len(rest))
		one.MeanTotal = sum / float64(one.Chosen) // nobody: NaN
		one.PointBis = Correlation(chose, rest)
		one.Idle = !one.Key && one.Share < IdleShare
		options[o] = one
	}
	return options
}
