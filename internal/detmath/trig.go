package detmath

import "math"

// SinCosDomain is the largest |x|, rad, for which the stated error of Sin, Cos, Sincos and Tan holds.
const SinCosDomain = 1e5

// reduce returns the quadrant of x and the rest high+low with |high| ≤ π/4.
//
// Cody-Waite reduction with π/2 in three parts of 33 bits and a tail, so that quadrant times part is
// exact up to a quadrant of 2^20. Beyond SinCosDomain x is first folded by the float nearest to 2π,
// which costs an absolute error of about |x|·4e-17 rad.
// Source: FDLIBM e_rem_pio2.c.
func reduce(x float64) (quadrant int, high, low float64) {
	const (
		twoOverPi = 6.36619772367581382433e-01
		part1     = 1.57079632673412561417e+00
		part2     = 6.07710050630396597660e-11
		part3     = 2.02226624871116645580e-21
		tail3     = 8.47842766036889956997e-32
	)
	if math.Abs(x) <= math.Pi/4 {
		return 0, x, 0
	}
	if math.Abs(x) > SinCosDomain {
		x = math.Mod(x, 2*math.Pi)
	}
	n := math.RoundToEven(x * twoOverPi)
	r := x - float64(n*part1)
	r, e := twoSum(r, -float64(n*part2))
	r, e2 := twoSum(r, -float64(n*part3))
	high, low = quickTwoSum(r, e+e2-float64(n*tail3))
	return int(n) & 3, high, low
}

// kernelSin returns sin(x+tail) for |x| ≤ π/4. Source: FDLIBM k_sin.c, error below 2^-58.
func kernelSin(x, tail float64) float64 {
	const (
		s1 = -1.66666666666666324348e-01
		s2 = 8.33333333332248946124e-03
		s3 = -1.98412698298579493134e-04
		s4 = 2.75573137070700676789e-06
		s5 = -2.50507602534068634195e-08
		s6 = 1.58969099521155010221e-10
	)
	z := x * x
	v := z * x
	r := s5 + float64(z*s6)
	r = s4 + float64(z*r)
	r = s3 + float64(z*r)
	r = s2 + float64(z*r)
	return x - ((float64(z*(float64(0.5*tail)-float64(v*r))) - tail) - float64(v*s1))
}

// kernelCos returns cos(x+tail) for |x| ≤ π/4. Source: FDLIBM k_cos.c, error below 2^-58.
func kernelCos(x, tail float64) float64 {
	const (
		c1 = 4.16666666666666019037e-02
		c2 = -1.38888888888741095749e-03
		c3 = 2.48015872894767294178e-05
		c4 = -2.75573143513906633035e-07
		c5 = 2.08757232129817482790e-09
		c6 = -1.13596475577881948265e-11
	)
	z := x * x
	r := c5 + float64(z*c6)
	r = c4 + float64(z*r)
	r = c3 + float64(z*r)
	r = c2 + float64(z*r)
	r = float64(z * (c1 + float64(z*r)))
	half := float64(0.5 * z)
	w := 1 - half
	return w + (((1 - w) - half) + (float64(z*r) - float64(x*tail)))
}

// Sincos returns the sine and cosine of x (rad), each with an error below 1 ulp for
// |x| ≤ SinCosDomain; beyond it the absolute error is about |x|·4e-17. An infinite x gives NaN.
// Checked by TestElementary.
func Sincos(x float64) (sin, cos float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return math.NaN(), math.NaN()
	}
	quadrant, high, low := reduce(x)
	s, c := kernelSin(high, low), kernelCos(high, low)
	switch quadrant {
	case 0:
		return s, c
	case 1:
		return c, -s
	case 2:
		return -s, -c
	}
	return -c, s
}

// Sin returns the sine of x (rad); error and domain are those of Sincos.
func Sin(x float64) float64 {
	if math.Abs(x) <= math.Pi/4 {
		return kernelSin(x, 0)
	}
	sin, _ := Sincos(x)
	return sin
}

// Cos returns the cosine of x (rad); error and domain are those of Sincos.
func Cos(x float64) float64 {
	_, cos := Sincos(x)
	return cos
}

// Tan returns the tangent of x (rad), error below 2 ulp for |x| ≤ SinCosDomain, as the quotient of
// Sincos. Checked by TestElementary.
func Tan(x float64) float64 {
	sin, cos := Sincos(x)
	return sin / cos
}

// arcPart is a stretch of Atan: for |x| below Limit, atan x = atan Centre + atan((x−c)/(1+cx)).
type arcPart struct{ limit, centre, high, low float64 }

// arcParts holds the reduction points ½, 1 and 3/2 of FDLIBM s_atan.c; each angle is high+low.
var arcParts = [3]arcPart{
	{11.0 / 16, 0.5, 4.63647609000806093515e-01, 2.26987774529616870924e-17},
	{19.0 / 16, 1, 7.85398163397448278999e-01, 3.06161699786838301793e-17},
	{39.0 / 16, 1.5, 9.82793723247329054082e-01, 1.39033110312309984516e-17},
}

// π and π/2 as a float and the rest.
const (
	piLow   = 1.2246467991473531772e-16
	halfPi  = math.Pi / 2
	halfLow = piLow / 2
)

// Atan returns the arc tangent of x in [−π/2, π/2], error below 1 ulp.
//
// Source: FDLIBM s_atan.c. Checked by TestElementary.
func Atan(x float64) float64 {
	z := math.Abs(x)
	switch {
	case math.IsNaN(x):
		return x
	case z < 7.0/16:
		return x - float64(x*atanSeries(x))
	}
	for _, part := range arcParts {
		if z < part.limit {
			t := (z - part.centre) / (1 + float64(part.centre*z))
			angle := part.high - ((float64(t*atanSeries(t)) - part.low) - t)
			return math.Copysign(angle, x)
		}
	}
	t := -1 / z
	angle := halfPi - ((float64(t*atanSeries(t)) - halfLow) - t)
	return math.Copysign(angle, x)
}

// atanSeries returns 1 − atan(x)/x for |x| ≤ 7/16.
func atanSeries(x float64) float64 {
	const (
		t0  = 3.33333333333329318027e-01
		t1  = -1.99999999998764832476e-01
		t2  = 1.42857142725034663711e-01
		t3  = -1.11111104054623557880e-01
		t4  = 9.09088713343650656196e-02
		t5  = -7.69187620504482999495e-02
		t6  = 6.66107313738753120669e-02
		t7  = -5.83357013379057348645e-02
		t8  = 4.97687799461593236017e-02
		t9  = -3.65315727442169155270e-02
		t10 = 1.62858201153657823623e-02
	)
	z := x * x
	w := z * z
	even := t8 + float64(w*t10)
	even = t6 + float64(w*even)
	even = t4 + float64(w*even)
	even = t2 + float64(w*even)
	even = float64(z * (t0 + float64(w*even)))
	odd := t7 + float64(w*t9)
	odd = t5 + float64(w*odd)
	odd = t3 + float64(w*odd)
	odd = float64(w * (t1 + float64(w*odd)))
	return even + odd
}

// Atan2 returns the angle of the point (x, y) from the x axis, in [−π, π], error below 2 ulp.
// Atan2(0, 0) is 0 and Atan2(0, x<0) is π, with the sign of y. Checked by TestAtan2.
func Atan2(y, x float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsNaN(y):
		return math.NaN()
	case y == 0 && (x > 0 || x == 0 && math.Copysign(1, x) > 0):
		return y
	case y == 0:
		return math.Copysign(math.Pi, y)
	case x == 0:
		return math.Copysign(halfPi, y)
	case math.IsInf(x, 0) && math.IsInf(y, 0):
		x, y = math.Copysign(1, x), math.Copysign(1, y)
	}
	angle := Atan(math.Abs(y / x))
	if x < 0 {
		angle = math.Pi - (angle - piLow)
	}
	return math.Copysign(angle, y)
}

// Asin returns the arc sine of x in [−π/2, π/2], error below 2 ulp, as atan(x/√((1−x)(1+x))).
// |x| > 1 gives NaN. Checked by TestElementary.
func Asin(x float64) float64 {
	if math.Abs(x) > 1 {
		return math.NaN()
	}
	return Atan2(x, math.Sqrt((1-x)*(1+x)))
}

// Acos returns the arc cosine of x in [0, π], error below 2 ulp, as the angle of the point
// (x, √((1−x)(1+x))). |x| > 1 gives NaN. Checked by TestElementary.
func Acos(x float64) float64 {
	if math.Abs(x) > 1 {
		return math.NaN()
	}
	return Atan2(math.Sqrt((1-x)*(1+x)), x)
}
