// Package fused is the control of TestNoFusedProducts: the lines marked "fused" must be found on
// the targets named there, and no other.
package fused

import "math"

// Sum may be rounded once or twice.
func Sum(a, b, c float64) float64 {
	return a*b + c // fused: arm64 amd64
}

// Difference may be rounded once or twice.
func Difference(a, b, c, d float64) float64 {
	a -= b * c // fused: arm64
	return a - float64(c*d)
}

// Wrapped is rounded twice.
func Wrapped(a, b, c float64) float64 {
	return float64(a*b) + c
}

// Asked is rounded once, everywhere.
func Asked(a, b, c float64) float64 {
	return math.FMA(a, b, c)
}
