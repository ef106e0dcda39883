package detmath

import (
	"math"
	"math/bits"
)

// Stream is a random stream held by value in the state; copying it forks it.
//
// The generator is SplitMix64: the state grows by a fixed odd number at each draw and a mixing
// function of it is the draw, so a stream has a period of 2^64. The zero Stream is ready for use.
//
// Source: Steele, Lea and Flood 2014, Fast splittable pseudorandom number generators, OOPSLA.
// Checked by TestStreamPublished.
type Stream struct{ State uint64 }

// goldenGamma is the increment of SplitMix64: 2^64 divided by the golden ratio, made odd.
const goldenGamma = 0x9E3779B97F4A7C15

// mix is the output function of SplitMix64 (Stafford's variant 13).
func mix(z uint64) uint64 {
	z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9
	z = (z ^ (z >> 27)) * 0x94D049BB133111EB
	return z ^ (z >> 31)
}

// NewStream returns the stream of one purpose under a seed: its state is the seed mixed with the
// 64-bit FNV-1a hash of the purpose (Fowler, Noll and Vo; RFC 9923). Streams of different purposes
// are independent, so a new draw for one shifts nothing in another. Checked by TestNewStream.
func NewStream(seed uint64, purpose string) Stream {
	hash := uint64(14695981039346656037)
	for i := 0; i < len(purpose); i++ {
		hash = (hash ^ uint64(purpose[i])) * 1099511628211
	}
	return Stream{State: mix(seed ^ mix(hash))}
}

// Uint64 returns 64 random bits.
func (s *Stream) Uint64() uint64 {
	s.State += goldenGamma
	return mix(s.State)
}

// Float64 returns a number evenly spread over [0, 1), a multiple of 2^-53.
func (s *Stream) Float64() float64 {
	return float64(float64(s.Uint64()>>11) * 0x1p-53)
}

// open returns a number evenly spread over (0, 1), an odd multiple of 2^-53: it is never 0 or 1.
func (s *Stream) open() float64 {
	return float64((float64(s.Uint64()>>12) + 0.5) * 0x1p-52)
}

// Range returns a number evenly spread over [low, high], low included. It panics if high < low.
func (s *Stream) Range(low, high float64) float64 {
	if !(low <= high) {
		panic("detmath: Range with high below low")
	}
	return low + float64((high-low)*s.Float64())
}

// Intn returns an integer evenly spread over [0, n); the bias, n/2^64, is far below what any number
// of treatments could show. It panics if n < 1.
func (s *Stream) Intn(n int) int {
	if n < 1 {
		panic("detmath: Intn of less than 1")
	}
	high, _ := bits.Mul64(s.Uint64(), uint64(n))
	return int(high)
}

// Normal returns a normal variable of the given mean and standard deviation sd ≥ 0, by the inverse
// of the distribution function: one draw, at most 8.2 sd from the mean. It panics if sd is negative.
func (s *Stream) Normal(mean, sd float64) float64 {
	if !(sd >= 0) {
		panic("detmath: Normal with a negative sd")
	}
	return mean + float64(sd*NormalQuantile(s.open()))
}

// truncatedDraws bounds the redraws of Truncated: for limits that hold half of the distribution
// the chance of needing the clamp is 2^-32.
const truncatedDraws = 32

// Truncated returns a normal variable kept within [low, high]: it is redrawn at most 32 times while
// outside and then clamped. It panics if high < low or sd is negative.
func (s *Stream) Truncated(mean, sd, low, high float64) float64 {
	if !(low <= high) {
		panic("detmath: Truncated with high below low")
	}
	value := s.Normal(mean, sd)
	for i := 1; i < truncatedDraws && (value < low || value > high); i++ {
		value = s.Normal(mean, sd)
	}
	return math.Max(low, math.Min(high, value))
}

// LogNormal returns a log-normal variable of the given median > 0; sigma ≥ 0 is the standard
// deviation of its natural logarithm. It panics if sigma is negative.
func (s *Stream) LogNormal(median, sigma float64) float64 {
	return float64(median * Exp(s.Normal(0, sigma)))
}

// Weibull returns a Weibull variable of the given scale and shape, both > 0:
//
//	scale · (−ln(1−u))^(1/shape))
//
// It panics if scale or shape is not positive.
func (s *Stream) Weibull(scale, shape float64) float64 {
	if !(scale > 0) || !(shape > 0) {
		panic("detmath: Weibull with a scale or shape not positive")
	}
	return float64(scale * Pow(-Log(1-s.open()), 1/shape))
}

// Pick returns an index drawn in proportion to the weights. It panics if a weight is negative or
// not finite, or if none is positive.
func (s *Stream) Pick(weights []float64) int {
	sum, last := 0.0, -1
	for i, weight := range weights {
		if !(weight >= 0) || math.IsInf(weight, 1) {
			panic("detmath: Pick with a negative or infinite weight")
		}
		if weight > 0 {
			last = i
		}
		sum += weight
	}
	if last < 0 {
		panic("detmath: Pick without a positive weight")
	}
	rest := float64(s.Float64() * sum)
	for i, weight := range weights {
		if rest < weight {
			return i
		}
		rest -= weight
	}
	return last
}
