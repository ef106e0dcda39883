package quiz

import (
	"fmt"
	"math"
	"slices"

	"tugback/internal/geom"
)

// Response is what a student answered. Which field counts depends on the kind of the item.
type Response struct {
	Chosen []string   `json:"chosen,omitempty"` // ids of options; of ordering all of them, in the order given
	Joined []Joined   `json:"joined,omitempty"` // matching
	Value  float64    `json:"value,omitempty"`  // numeric and measure, in the item's unit
	Point  geom.Point `json:"point,omitzero"`   // place, mm in the clinical plane
}

// Joined is a left side, by the id of its pair, and the text of the right side it was joined to.
type Joined struct {
	Pair  string `json:"pair"`
	Right string `json:"right"`
}

// Result is a marked response.
type Result struct {
	Credit float64 `json:"credit"` // 0 … 1
	Right  bool    `json:"right"`  // full credit
	Lines  []Line  `json:"lines"`  // feedback, in the written order of the options
	Why    string  `json:"why"`
	Key    string  `json:"key"`
	Source string  `json:"source"`
}

// Line is the feedback on one option, pair or mistake.
type Line struct {
	ID     string `json:"id,omitempty"`
	Text   string `json:"text,omitempty"`
	Chosen bool   `json:"chosen"`
	Right  bool   `json:"right"` // what was done with it is right
	Why    string `json:"why"`
}

// Mark marks a response. It is an error when the response does not fit the item: an option that is not
// there or stands twice, a number that is not finite, a part left out. Credit is from 0 to 1:
//
//	single, predict     1 for the key, else 0
//	several             share of the right options chosen; 0 when more are chosen than are right
//	ordering            2·c − 1 with c the share of pairs of options in right order, not below 0
//	matching            share of left sides joined rightly
//	numeric             1 within the tolerance, else 0
//	measure, place      1 within the tolerance, ½ within twice the tolerance, else 0
//
// The rule for several right answers is Ripkey's (Ripkey, Case and Swanson 1996, Academic Medicine 71:S40,
// from memory): it rewards partial knowledge and pays nothing for ticking everything. That for ordering is
// Kendall's tau, so that a random order earns nothing on average. The half credit near a place is the
// house's choice. Checked by TestMark and TestMarkProperties.
func Mark(item Item, r Response) (Result, error) {
	result := Result{Why: item.Why, Key: item.Key(), Source: item.Source}
	var err error
	switch item.Kind {
	case Single, Several, Predict:
		err = markChosen(item, r, &result)
	case Ordering:
		err = markOrder(item, r, &result)
	case Matching:
		err = markMatching(item, r, &result)
	case Numeric, Measure:
		err = markNumber(item, r, &result)
	case Place:
		err = markPlace(item, r, &result)
	default:
		err = fmt.Errorf("unknown kind of item %q", string(item.Kind))
	}
	if err != nil {
		return Result{}, fmt.Errorf("%s: %w", item.ID, err)
	}
	result.Right = result.Credit >= 1
	return result, nil
}

// markChosen marks a response to a choice.
func markChosen(item Item, r Response, result *Result) error {
	if err := known(item.Options, r.Chosen); err != nil {
		return err
	}
	if item.Kind != Several && len(r.Chosen) != 1 {
		return fmt.Errorf("%d options chosen, expected one", len(r.Chosen))
	}
	keys, hits := 0, 0
	for _, o := range item.Options {
		chosen := slices.Contains(r.Chosen, o.ID)
		if o.Right {
			keys++
			if chosen {
				hits++
			}
		}
		result.Lines = append(result.Lines, Line{ID: o.ID, Text: o.Text, Chosen: chosen, Right: chosen == o.Right, Why: o.Feedback})
	}
	if keys > 0 && len(r.Chosen) <= keys {
		result.Credit = float64(hits) / float64(keys)
	}
	return nil
}

// markOrder marks an order.
func markOrder(item Item, r Response, result *Result) error {
	if err := known(item.Options, r.Chosen); err != nil {
		return err
	}
	n := len(item.Options)
	if len(r.Chosen) != n {
		return fmt.Errorf("%d of %d parts are put in order", len(r.Chosen), n)
	}
	place := make([]int, n)
	for i, o := range item.Options {
		place[i] = slices.Index(r.Chosen, o.ID)
		result.Lines = append(result.Lines, Line{ID: o.ID, Text: o.Text, Chosen: true, Right: place[i] == i, Why: o.Feedback})
	}
	balance := 0
	for i := range n {
		for j := i + 1; j < n; j++ {
			if place[i] < place[j] {
				balance++
			} else {
				balance--
			}
		}
	}
	if pairs := n * (n - 1) / 2; pairs > 0 {
		result.Credit = max(0, float64(balance)/float64(pairs))
	}
	return nil
}

// markMatching marks what was joined.
func markMatching(item Item, r Response, result *Result) error {
	sides := RightSides(item)
	joined := map[string]string{}
	for _, j := range r.Joined {
		if !slices.ContainsFunc(item.Pairs, func(p Pair) bool { return p.ID == j.Pair }) {
			return fmt.Errorf("there is no left side %q", j.Pair)
		}
		if _, twice := joined[j.Pair]; twice {
			return fmt.Errorf("left side %q is joined twice", j.Pair)
		}
		if !slices.Contains(sides, j.Right) {
			return fmt.Errorf("there is no right side %q", j.Right)
		}
		joined[j.Pair] = j.Right
	}
	hits := 0
	for _, p := range item.Pairs {
		right, chosen := joined[p.ID]
		if right == p.Right {
			hits++
		}
		result.Lines = append(result.Lines, Line{ID: p.ID, Text: p.Left, Chosen: chosen, Right: right == p.Right, Why: p.Feedback})
	}
	for _, o := range item.Spare {
		used := false
		for _, p := range item.Pairs {
			used = used || joined[p.ID] == o.Text
		}
		result.Lines = append(result.Lines, Line{ID: o.ID, Text: o.Text, Chosen: used, Right: !used, Why: o.Feedback})
	}
	if len(item.Pairs) > 0 {
		result.Credit = float64(hits) / float64(len(item.Pairs))
	}
	return nil
}

// RightSides returns the right sides of a matching item, each once, in written order, spare ones last.
func RightSides(item Item) []string {
	var sides []string
	for _, p := range item.Pairs {
		if !slices.Contains(sides, p.Right) {
			sides = append(sides, p.Right)
		}
	}
	for _, o := range item.Spare {
		if !slices.Contains(sides, o.Text) {
			sides = append(sides, o.Text)
		}
	}
	return sides
}

// markNumber marks a number.
func markNumber(item Item, r Response, result *Result) error {
	if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) {
		return fmt.Errorf("the number is not finite")
	}
	off := math.Abs(r.Value - item.Answer)
	result.Credit = near(off, item.Tolerance, item.Kind == Measure)
	line := Line{Chosen: true, Right: result.Credit >= 1, Text: Show(r.Value, item.Unit, decimalsOf(item.Tolerance)), Why: item.Other}
	if line.Right {
		line.Why = item.Why
	} else if m := nearest(item.Mistakes, r.Value, item.Tolerance); m != nil {
		line.Why = m.Feedback
	}
	result.Lines = []Line{line}
	return nil
}

// near returns the credit for a distance from the right answer.
func near(off, tolerance float64, half bool) float64 {
	const rounding = 1e-9 // a value written with few decimals, at the very edge, is inside
	switch {
	case off <= tolerance+rounding:
		return 1
	case half && off <= 2*tolerance+rounding:
		return 0.5
	}
	return 0
}

// nearest returns the known mistake that a value is, or nil.
func nearest(mistakes []Mistake, value, tolerance float64) *Mistake {
	var best *Mistake
	for i, m := range mistakes {
		off := math.Abs(value - m.Value)
		if m.Target == "" && near(off, tolerance, false) == 1 && (best == nil || off < math.Abs(value-best.Value)) {
			best = &mistakes[i]
		}
	}
	return best
}

// markPlace marks a place on the picture of a tooth.
func markPlace(item Item, r Response, result *Result) error {
	if math.IsNaN(r.Point.X+r.Point.Y) || math.IsInf(r.Point.X+r.Point.Y, 0) {
		return fmt.Errorf("the place is not finite")
	}
	tooth, canal, err := item.Subject.Grow()
	if err != nil {
		return err
	}
	target, found := Landmark(tooth, canal, item.Target)
	if !found {
		return fmt.Errorf("this tooth has no %s", item.Target)
	}
	off := r.Point.Sub(target).Norm()
	result.Credit = near(off, item.Tolerance, true)
	line := Line{Chosen: true, Right: result.Credit >= 1, Text: fmt.Sprintf("%.1f mm away", off), Why: item.Other}
	if line.Right {
		line.Why = item.Why
	} else {
		best := off
		for _, m := range item.Mistakes {
			if p, found := Landmark(tooth, canal, m.Target); found {
				if d := r.Point.Sub(p).Norm(); d <= 2*item.Tolerance && d < best {
					best, line.Why = d, m.Feedback
				}
			}
		}
	}
	result.Lines = []Line{line}
	return nil
}

// known checks that chosen ids are there and stand once.
func known(options []Option, chosen []string) error {
	for i, id := range chosen {
		if !slices.ContainsFunc(options, func(o Option) bool { return o.ID == id }) {
			return fmt.Errorf("there is no option %q", id)
		}
		if slices.Contains(chosen[:i], id) {
			return fmt.Errorf("option %q is chosen twice", id)
		}
	}
	return nil
}
