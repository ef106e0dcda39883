// Package detmath holds the elementary functions, random streams and digests of the engine.
//
// It exists because the standard library's math gives different last bits on different targets
// (assembly for Exp on amd64, fused multiply-add on arm64 and GOAMD64=v3), and a recorded
// treatment must give the same digest everywhere. The functions here are plain Go, and every
// product that is added or subtracted is rounded first, float64(a*b) + c, which the language
// forbids to fuse. From math only exact or correctly rounded operations are used.
//
// The polynomials are those of two public algorithm collections: FDLIBM (Sun Microsystems 1993, as
// kept in FreeBSD msun) and Cephes (S. L. Moshier 1984-1995). Angles are radians. Stated errors are
// in units in the last place (ulp) of the result and are measured by TestElementary against
// 40-digit references kept in testdata/reference/detmath.
//
// Special values follow the usual rules: NaN gives NaN, and a result outside the number range
// becomes an infinity or zero. Nothing here keeps state or panics but where it says so.
//
// Begin reading at exp.go and trig.go for the functions, stream.go for chance, walk.go for digests.
package detmath

import "math"

// Quantise returns x rounded to the nearest multiple of step, a tie going to the even multiple.
// It is how noise and other computed inputs are cut to a grid before they enter the state, so that
// no last bit of a foreign library can matter.
//
// x and step share one unit; step must be positive and finite, else Quantise panics. The result is
// the float nearest to k·step for the chosen integer k. Checked by TestQuantise.
func Quantise(x, step float64) float64 {
	if !(step > 0) || math.IsInf(step, 1) {
		panic("detmath: Quantise step is not positive and finite")
	}
	return float64(math.RoundToEven(x/step) * step)
}

// Hypot returns √(x²+y²) without undue overflow or underflow, error below 2 ulp. An infinite
// argument gives +Inf. Checked by TestElementary and TestHypot.
func Hypot(x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	if math.IsInf(x, 1) || math.IsInf(y, 1) {
		return math.Inf(1)
	}
	large := math.Max(x, y)
	if large < 1e140 && large > 1e-140 {
		return math.Sqrt(float64(x*x) + float64(y*y))
	}
	if large == 0 || math.IsNaN(large) {
		return large
	}
	_, exponent := math.Frexp(large)
	x, y = math.Ldexp(x, -exponent), math.Ldexp(y, -exponent)
	return math.Ldexp(math.Sqrt(float64(x*x)+float64(y*y)), exponent)
}
