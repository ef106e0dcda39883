// Package portable is the control of TestEngineIsDeterministic: the lines marked "fault" must be
// found, and no other.
package portable

import (
	"maps"
	"math"
	"slices"
)

var table = []float64{1, 2}

var count int

func init() { // fault
	count = 1 // fault
}

// Elementary uses functions of math.
func Elementary(x float64) float64 {
	y := math.Sqrt(math.Abs(x)) + math.Exp(x) // fault
	f := math.Sin                             // fault
	return f(y) + math.Pi
}

// Orders ranges over maps.
func Orders(m map[int]float64) (sum float64) {
	for _, v := range m { // fault
		sum += v
	}
	for k := range maps.Keys(m) { // fault
		sum += m[k]
	}
	for _, k := range slices.Sorted(maps.Keys(m)) {
		sum += m[k]
	}
	//conventions:sorted the count of keys does not depend on their order
	for range m {
		sum++
	}
	//conventions:sorted
	for range m { // fault
		sum++
	}
	return sum
}

// Changes changes what it should not.
func Changes(in chan int) {
	table[0] = 3 // fault
	table := slices.Clone(table)
	table[0] = 3
	count++                 // fault
	go func() { in <- 1 }() // fault
	select {                // fault
	case <-in:
	default:
	}
}
