package quiz

import "tugback/internal/detmath"

// sine returns the sine of an angle in degrees.
func sine(deg float64) float64 { return detmath.Sin(deg * degree) }

// cosine returns the cosine of an angle in degrees.
func cosine(deg float64) float64 { return detmath.Cos(deg * degree) }
