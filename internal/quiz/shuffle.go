package quiz

import "tugback/internal/detmath"

// Shown is an item in the order in which a student sees it.
type Shown struct {
	Item  Item
	Order []int    // options by index, in the order shown
	Sides []string // matching: right sides in the order shown
}

// Present puts the parts of an item in an order drawn from the stream: options unless the item keeps
// theirs, parts of an ordering never in the right order, right sides of a matching. It draws the same
// number of times whatever comes out, so the same stream gives the same sitting. Checked by TestPresent.
func Present(item Item, stream *detmath.Stream) Shown {
	shown := Shown{Item: item, Order: make([]int, len(item.Options))}
	for i := range shown.Order {
		shown.Order[i] = i
	}
	order := permutation(len(item.Options), stream)
	if !item.Keep || item.Kind == Ordering {
		shown.Order = order
	}
	if item.Kind == Ordering && rising(order) && len(order) > 1 {
		order[0], order[1] = order[1], order[0]
	}
	sides := RightSides(item)
	for _, i := range permutation(len(sides), stream) {
		shown.Sides = append(shown.Sides, sides[i])
	}
	return shown
}

// permutation returns 0 … n−1 in a random order (Fisher and Yates).
func permutation(n int, stream *detmath.Stream) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	for i := n - 1; i > 0; i-- {
		j := stream.Intn(i + 1)
		order[i], order[j] = order[j], order[i]
	}
	return order
}

// rising reports whether an order is the written one.
func rising(order []int) bool {
	for i, v := range order {
		if v != i {
			return false
		}
	}
	return true
}
