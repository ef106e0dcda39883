package detmath

import "math"

// ln 2 in two parts: the first has 32 trailing zero bits, so that a small integer times it is exact
// (FDLIBM e_exp.c, e_log.c).
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
	log2E   = 1.44269504088896338700e+00

	expOverflow  = 7.09782712893383973096e+02 // above it e^x exceeds the largest float64
	expUnderflow = -7.45133219101941108420e+02
)

// Exp returns e^x, error below 1 ulp for normal results.
//
//	x = k·ln2 + r, |r| ≤ ln2/2;  e^r = 1 + r + r·c/(2−c), c = r − r²·P(r²)
//
// Source: FDLIBM e_exp.c (Remes polynomial P, error below 2^-59). Checked by TestElementary.
func Exp(x float64) float64 {
	return expSum(x, 0)
}

// expSum returns e^(x+tail) for a tail of less than about one ulp of x.
func expSum(x, tail float64) float64 {
	if !(x >= expUnderflow && x <= expOverflow) {
		return expBeyond(x)
	}
	k := math.RoundToEven(x * log2E)
	high := x - float64(k*ln2High)
	low := float64(k*ln2Low) - tail
	return scale(expReduced(high, low), int(k))
}

// expBeyond returns e^x where it is no normal number.
func expBeyond(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > 0:
		return math.Inf(1)
	}
	return 0
}

// expReduced returns e^(high−low) for |high| ≤ ln2/2.
func expReduced(high, low float64) float64 {
	const (
		p1 = 1.66666666666666657415e-01
		p2 = -2.77777777770155933842e-03
		p3 = 6.61375632143793436117e-05
		p4 = -1.65339022054652515390e-06
		p5 = 4.13813679705723846039e-08
	)
	r := high - low
	t := r * r
	p := p4 + float64(t*p5)
	p = p3 + float64(t*p)
	p = p2 + float64(t*p)
	p = p1 + float64(t*p)
	c := r - float64(t*p)
	return 1 - ((low - float64(r*c)/(2-c)) - high)
}

// scale returns x·2^k, for x near 1; normal results are made without the cost of math.Ldexp.
func scale(x float64, k int) float64 {
	if k > -1022 && k < 1023 {
		return float64(x * math.Float64frombits(uint64(1023+k)<<52))
	}
	return math.Ldexp(x, k)
}

// Log returns the natural logarithm of x, error below 1 ulp. Log(0) is −Inf, and a negative x
// gives NaN.
//
//	x = 2^k·(1+f), √½ ≤ 1+f < √2;  s = f/(2+f);  ln(1+f) = f − f²/2 + s·(f²/2 + R(s²))
//
// Source: FDLIBM e_log.c (error of R below 2^-58.45). Checked by TestElementary.
func Log(x float64) float64 {
	const (
		l1 = 6.666666666666735130e-01
		l2 = 3.999999999940941908e-01
		l3 = 2.857142874366239149e-01
		l4 = 2.222219843214978396e-01
		l5 = 1.818357216161805012e-01
		l6 = 1.531383769920937332e-01
		l7 = 1.479819860511658591e-01
	)
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	}
	m, k := mantissa(x)
	f := m - 1
	s := f / (2 + f)
	s2 := s * s
	s4 := s2 * s2
	odd := l5 + float64(s4*l7)
	odd = l3 + float64(s4*odd)
	odd = l1 + float64(s4*odd)
	even := l4 + float64(s4*l6)
	even = l2 + float64(s4*even)
	r := float64(s2*odd) + float64(s4*even)
	half := float64(0.5 * f * f)
	return float64(k*ln2High) - ((half - (float64(s*(half+r)) + float64(k*ln2Low))) - f)
}

// mantissa splits a positive finite x into m·2^k with √½ ≤ m < √2.
func mantissa(x float64) (m, k float64) {
	const rootHalf = 0.70710678118654752440
	m, exponent := frexp(x)
	if m < rootHalf {
		m *= 2
		exponent--
	}
	return m, float64(exponent)
}

// frexp is math.Frexp of a positive finite x, for normal numbers without its cost.
func frexp(x float64) (m float64, exponent int) {
	const mantissaBits, half = 52, 1022 << 52
	bits := math.Float64bits(x)
	if bits>>mantissaBits == 0 {
		return math.Frexp(x)
	}
	return math.Float64frombits(bits&(1<<mantissaBits-1) | half), int(bits>>mantissaBits) - 1022
}

// Pow returns x^y, error below 1 ulp for normal results. x < 0 has a value only for an integer y,
// and gives NaN otherwise; Pow(x, 0) and Pow(1, y) are 1 for every x and y; Pow(0, y) is 0, 1 or
// +Inf for positive, zero or negative y.
//
// The logarithm is carried in two floats (about 75 bits), multiplied by y and given to Exp.
// Checked by TestPow.
func Pow(x, y float64) float64 {
	switch {
	case y == 0 || x == 1:
		return 1
	case math.IsNaN(x) || math.IsNaN(y):
		return math.NaN()
	case math.IsInf(y, 0):
		return powInfinite(math.Abs(x), y > 0)
	case x < 0 && y != math.Trunc(y):
		return math.NaN()
	}
	result := powPositive(math.Abs(x), y)
	if x < 0 && math.Abs(math.Mod(y, 2)) == 1 {
		return -result
	}
	return result
}

func powInfinite(x float64, positive bool) float64 {
	switch {
	case x == 1:
		return 1
	case (x > 1) == positive:
		return math.Inf(1)
	}
	return 0
}

func powPositive(x, y float64) float64 {
	if x == 0 || math.IsInf(x, 1) {
		if (x == 0) == (y > 0) {
			return 0
		}
		return math.Inf(1)
	}
	high, low := logPair(x)
	product := float64(high * y)
	if math.Abs(product) > 800 || math.Abs(y) > 1e290 {
		return expSum(product, 0)
	}
	p, e := twoProduct(high, y)
	sum, rest := quickTwoSum(p, e+float64(low*y))
	return expSum(sum, rest)
}

// logPair returns ln x as an unevaluated sum with a relative error near 2^-66.
//
//	ln m = 2s + (2/3)s³ + s·R(s²), s = (m−1)/(m+1)
//
// The first two terms and k·ln2 are carried in two floats, the small rest R in one.
func logPair(x float64) (high, low float64) {
	const (
		twoThirdsHigh = 2.0 / 3.0
		twoThirdsLow  = 3.700743415417188e-17
	)
	m, k := mantissa(x)
	denominator, denominatorLow := twoSum(m, 1)
	f := m - 1
	s := f / denominator
	p, e := twoProduct(s, denominator)
	sLow := ((f - p) - e - float64(s*denominatorLow)) / denominator

	z, zLow := twoProduct(s, s)
	zLow += float64(2 * s * sLow)
	c, cLow := twoProduct(s, z)
	cLow += float64(s*zLow) + float64(sLow*z)
	t, tLow := twoProduct(c, twoThirdsHigh)
	tLow += float64(c*twoThirdsLow) + float64(cLow*twoThirdsHigh)

	tail := tLow + float64(2*sLow) + float64(s*logRest(z))
	high, low = twoSum(float64(2*s), t)
	low += tail
	high, low = quickTwoSum(high, low)
	kHigh, kLow := float64(k*ln2High), float64(k*ln2Low)
	sum, rest := twoSum(kHigh, high)
	sum2, rest2 := twoSum(sum, kLow)
	return quickTwoSum(sum2, rest2+rest+low+float64(k*ln2Rest))
}

// ln2Rest is ln 2 − ln2High − ln2Low.
const ln2Rest = 1.1612227229362532e-26

// logRest returns the series 2z²/5 + 2z³/7 + … up to the term of z¹¹, for 0 ≤ z < 0.03; the first
// term left out is below 2^-60 of the sum.
func logRest(z float64) float64 {
	r := 2.0 / 23
	for n := 21; n >= 5; n -= 2 {
		r = 2/float64(n) + float64(z*r)
	}
	return float64(r * z * z)
}

// Tanh returns the hyperbolic tangent of x, error below 2 ulp.
//
//	|x| < 0.625: x + x³·P(x²)/Q(x²);  else 1 − 2/(e^2x + 1)
//
// Source: Cephes tanh.c. Checked by TestElementary.
func Tanh(x float64) float64 {
	const (
		p0 = -9.64399179425052238628e-1
		p1 = -9.92877231001918586564e1
		p2 = -1.61468768441708447952e3
		q0 = 1.12811678491632931402e2
		q1 = 2.23548839060100448583e3
		q2 = 4.84406305325125486048e3
	)
	z := math.Abs(x)
	switch {
	case z > 22: // 1 − tanh 22 is below half an ulp of 1
		return math.Copysign(1, x)
	case z >= 0.625:
		return math.Copysign(1-2/(Exp(2*z)+1), x)
	case x == 0 || math.IsNaN(x):
		return x
	}
	s := float64(x * x)
	p := p1 + float64(p0*s)
	p = p2 + float64(p*s)
	q := q0 + s
	q = q1 + float64(q*s)
	q = q2 + float64(q*s)
	return x + float64(x*s*p)/q
}
