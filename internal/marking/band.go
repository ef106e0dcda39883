package marking

import (
	"math"
	"slices"
	"strconv"
)

// Bound is a comparison of a metric with a value in the metric's unit. The zero Bound is unset.
type Bound struct {
	Op    string // "<", "<=", ">=", ">" or "=="
	Value float64
}

// equalWithin is how near a metric must come to the value of a "==" bound: metrics that are compared
// so are counts, flags and ISO sizes, which are whole numbers.
const equalWithin = 1e-9

// Operators returns the comparisons a Bound may use.
func Operators() []string { return []string{"<", "<=", ">=", ">", "=="} }

func (b Bound) set() bool { return b.Op != "" }

// holds reports whether x meets the bound; NaN never does.
func (b Bound) holds(x float64) bool {
	switch b.Op {
	case "<":
		return x < b.Value
	case "<=":
		return x <= b.Value
	case ">":
		return x > b.Value
	case ">=":
		return x >= b.Value
	case "==":
		return math.Abs(x-b.Value) <= equalWithin
	}
	return false
}

// direction is −1 for a bound that small values meet, +1 for one that large values meet, else 0.
func (b Bound) direction() int {
	switch b.Op {
	case "<", "<=":
		return -1
	case ">", ">=":
		return +1
	}
	return 0
}

// reachable reports whether a value in [low, high] can meet the bound.
func (b Bound) reachable(low, high float64) bool {
	switch b.direction() {
	case -1:
		return b.holds(low)
	case +1:
		return b.holds(high)
	}
	return b.Value >= low && b.Value <= high
}

func (b Bound) text(unit string) string {
	if unit == shareUnit {
		return b.Op + " " + bare(100*b.Value) + " %"
	}
	return b.Op + " " + withUnit(bare(b.Value), unit)
}

// fault returns what is wrong with a bound by itself, or "".
func (b Bound) fault() string {
	if !slices.Contains(Operators(), b.Op) {
		return "unknown comparison " + strconv.Quote(b.Op) + ", allowed: < <= >= > =="
	}
	if math.IsNaN(b.Value) || math.IsInf(b.Value, 0) {
		return "the bound is not a number"
	}
	return ""
}

// Ramp returns the share of the points a value earns in a band:
//
//	1 where full holds, 0 where none holds, (none − x)/(none − full) between
//
// With none unset it is all or nothing. A NaN earns 0. The result lies in [0, 1] and never falls as x
// moves from none towards full. Checked by TestRamp and TestRampIsMonotone.
func Ramp(full, none Bound, x float64) float64 {
	if full.holds(x) {
		return 1
	}
	if !none.set() || none.holds(x) {
		return 0
	}
	return share((none.Value - x) / (none.Value - full.Value))
}

// share cuts a number to [0, 1]; NaN, for instance of 0/0, gives 0.
func share(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return math.Max(0, math.Min(1, x))
}
