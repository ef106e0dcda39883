package detmath_test

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"testing"

	"tugback/internal/detmath"
)

// rows reads a reference table of numbers in text form.
func rows(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open("../../testdata/reference/detmath/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func parse(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// ulps returns the error of got in units in the last place of the exact value.
func ulps(t *testing.T, got float64, exact string) float64 {
	t.Helper()
	want, _, err := big.ParseFloat(exact, 10, 200, big.ToNearestEven)
	if err != nil {
		t.Fatal(err)
	}
	nearest, _ := want.Float64()
	_, exponent := math.Frexp(nearest)
	ulp := new(big.Float).SetMantExp(big.NewFloat(1), exponent-53)
	off := new(big.Float).SetPrec(200).Sub(new(big.Float).SetFloat64(got), want)
	ratio, _ := off.Quo(off, ulp).Float64()
	return math.Abs(ratio)
}

// Every function is compared with values of 40 digits made by decimal arithmetic
// (testdata/reference/detmath/elementary.py) over the domain its comment states. The allowed error is
// the stated one.
func TestElementary(t *testing.T) {
	one := func(f func(float64) float64) func(x, y float64) float64 {
		return func(x, _ float64) float64 { return f(x) }
	}
	functions := map[string]struct {
		call    func(x, y float64) float64
		allowed float64 // ulp
	}{
		"Exp":   {one(detmath.Exp), 1},
		"Log":   {one(detmath.Log), 1},
		"Sin":   {one(detmath.Sin), 1},
		"Cos":   {one(detmath.Cos), 1},
		"Tan":   {one(detmath.Tan), 2},
		"Atan":  {one(detmath.Atan), 1},
		"Asin":  {one(detmath.Asin), 2},
		"Acos":  {one(detmath.Acos), 2},
		"Tanh":  {one(detmath.Tanh), 2},
		"Atan2": {func(x, y float64) float64 { return detmath.Atan2(x, y) }, 2},
		"Pow":   {detmath.Pow, 1},
		"Hypot": {detmath.Hypot, 2},
	}
	worst := map[string]float64{}
	for _, row := range rows(t, "elementary.csv") {
		name, x, y := row[0], parse(t, row[1]), parse(t, row[2])
		got := functions[name].call(x, y)
		off := ulps(t, got, row[3])
		worst[name] = math.Max(worst[name], off)
		if !(off < functions[name].allowed) {
			t.Errorf("%s(%v, %v) = %v, off by %.2f ulp, want %s", name, x, y, got, off, row[3])
		}
	}
	if len(worst) != len(functions) {
		t.Errorf("table covers %d functions, want %d", len(worst), len(functions))
	}
	t.Logf("largest errors in ulp: %.3v", worst)
}

func TestSincosAgreesWithSinAndCos(t *testing.T) {
	for _, x := range []float64{0, 0.3, -0.3, 0.785, 0.786, 2, -2, 4, 6, 1e4, 99999, 123456789} {
		sin, cos := detmath.Sincos(x)
		if sin != detmath.Sin(x) || cos != detmath.Cos(x) {
			t.Errorf("Sincos(%v) = %v, %v, want %v, %v", x, sin, cos, detmath.Sin(x), detmath.Cos(x))
		}
		// sin²+cos² = 1; both are within 1 ulp, so the sum is within 4 ulp.
		if off := math.Abs(sin*sin + cos*cos - 1); off > 1e-15 {
			t.Errorf("sin²+cos² of %v is off 1 by %v", x, off)
		}
	}
}

// Beyond the domain the absolute error may grow to |x|·4e-17 rad; the value is that of
// the C library by Python's math.sin(1e9).
func TestSinBeyondDomain(t *testing.T) {
	const want = 0.5458434494486996
	if got := detmath.Sin(1e9); math.Abs(got-want) > 1e9*4e-17 {
		t.Errorf("Sin(1e9) = %v, want %v", got, want)
	}
}

// Special values follow IEEE 754-2019, 9.2.1, as far as the comments state them.
func TestSpecialValues(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	cases := []struct {
		name      string
		got, want float64
	}{
		{"Exp(0)", detmath.Exp(0), 1},
		{"Exp(-Inf)", detmath.Exp(-inf), 0},
		{"Exp(Inf)", detmath.Exp(inf), inf},
		{"Exp(710)", detmath.Exp(710), inf},
		{"Exp(-746)", detmath.Exp(-746), 0},
		{"Exp(NaN)", detmath.Exp(nan), nan},
		{"Log(1)", detmath.Log(1), 0},
		{"Log(0)", detmath.Log(0), -inf},
		{"Log(-1)", detmath.Log(-1), nan},
		{"Log(Inf)", detmath.Log(inf), inf},
		{"Sin(Inf)", detmath.Sin(inf), nan},
		{"Cos(NaN)", detmath.Cos(nan), nan},
		{"Sin(NaN)", detmath.Sin(nan), nan},
		{"Cos(0)", detmath.Cos(0), 1},
		{"Atan(Inf)", detmath.Atan(inf), math.Pi / 2},
		{"Atan(-Inf)", detmath.Atan(-inf), -math.Pi / 2},
		{"Atan(NaN)", detmath.Atan(nan), nan},
		{"Asin(1)", detmath.Asin(1), math.Pi / 2},
		{"Asin(1.1)", detmath.Asin(1.1), nan},
		{"Acos(-1)", detmath.Acos(-1), math.Pi},
		{"Acos(1)", detmath.Acos(1), 0},
		{"Acos(-2)", detmath.Acos(-2), nan},
		{"Tanh(Inf)", detmath.Tanh(inf), 1},
		{"Tanh(-Inf)", detmath.Tanh(-inf), -1},
		{"Tanh(NaN)", detmath.Tanh(nan), nan},
	}
	for _, c := range cases {
		if !same(c.got, c.want) {
			t.Errorf("%s = %v, want %v", c.name, c.got, c.want)
		}
	}
}

// same holds for equal values (also infinities) and for two NaN.
func same(got, want float64) bool {
	return got == want || math.IsNaN(got) && math.IsNaN(want)
}

func TestAtan2(t *testing.T) {
	inf, zero := math.Inf(1), math.Copysign(0, -1)
	cases := []struct{ y, x, want float64 }{ // IEEE 754-2019, 9.2.1
		{0, 0, 0}, {0, 1, 0}, {0, -1, math.Pi}, {zero, -1, -math.Pi}, {0, zero, math.Pi},
		{1, 0, math.Pi / 2}, {-1, 0, -math.Pi / 2}, {1, 1, math.Pi / 4}, {1, -1, 3 * math.Pi / 4},
		{inf, inf, math.Pi / 4}, {inf, -inf, 3 * math.Pi / 4}, {-inf, 1, -math.Pi / 2},
		{1, inf, 0}, {1, -inf, math.Pi}, {math.NaN(), 1, math.NaN()},
	}
	for _, c := range cases {
		if got := detmath.Atan2(c.y, c.x); !same(got, c.want) {
			t.Errorf("Atan2(%v, %v) = %v, want %v", c.y, c.x, got, c.want)
		}
	}
}

func TestPow(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	cases := []struct{ x, y, want float64 }{
		// Exact powers (derived).
		{2, 10, 1024}, {-2, 3, -8}, {-2, 2, 4}, {10, -2, 0.01}, {4, 0.5, 2}, {3, 20, 3486784401},
		// Special values, IEEE 754-2019, 9.2.1.
		{0, 2, 0}, {0, -1, inf}, {0, 0, 1}, {nan, 0, 1}, {1, nan, 1}, {nan, 2, nan}, {-2, 0.5, nan},
		{2, inf, inf}, {2, -inf, 0}, {0.5, inf, 0}, {0.5, -inf, inf}, {-1, inf, 1},
		{inf, 2, inf}, {inf, -2, 0}, {2, 1e6, inf}, {2, -1e6, 0}, {0.5, 1e300, 0},
	}
	for _, c := range cases {
		if got := detmath.Pow(c.x, c.y); !same(got, c.want) {
			t.Errorf("Pow(%v, %v) = %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

func TestHypot(t *testing.T) {
	cases := []struct{ x, y, want float64 }{ // Pythagorean triples (derived), scaled; infinities
		{3, 4, 5}, {-5, 12, 13}, {0, 0, 0}, {0, -2, 2},
		{3 * 0x1p800, 4 * 0x1p800, 5 * 0x1p800}, {3 * 0x1p-800, 4 * 0x1p-800, 5 * 0x1p-800},
		{math.Inf(-1), math.NaN(), math.Inf(1)}, {math.NaN(), 1, math.NaN()},
	}
	for _, c := range cases {
		if got := detmath.Hypot(c.x, c.y); !same(got, c.want) {
			t.Errorf("Hypot(%v, %v) = %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

// References: SciPy's ndtri (testdata/reference/detmath/quantile.py); both promise about 1e-15, near
// p = ½ the last bit of p itself shifts the result, so 2e-15 of the value or 1e-16 absolute.
func TestNormalQuantile(t *testing.T) {
	for _, row := range rows(t, "quantile.csv") {
		p, want := parse(t, row[0]), parse(t, row[1])
		got := detmath.NormalQuantile(p)
		if off := math.Abs(got - want); !(off <= 2e-15*math.Abs(want)+1e-16) {
			t.Errorf("NormalQuantile(%v) = %v, want %v", p, got, want)
		}
	}
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		if got := detmath.NormalQuantile(p); !math.IsNaN(got) {
			t.Errorf("NormalQuantile(%v) = %v, want NaN", p, got)
		}
	}
	if detmath.NormalQuantile(0) != math.Inf(-1) || detmath.NormalQuantile(1) != math.Inf(1) {
		t.Error("NormalQuantile of 0 and 1 is not infinite")
	}
}

func TestQuantise(t *testing.T) {
	cases := []struct{ x, step, want float64 }{ // derived
		{1.3, 0.5, 1.5}, {1.2, 0.5, 1}, {-1.3, 0.5, -1.5}, {0.25, 0.5, 0}, {0.75, 0.5, 1}, {1.25, 0.5, 1},
		{0.1234567, 1e-6, 123457 * 1e-6},
	}
	for _, c := range cases {
		if got := detmath.Quantise(c.x, c.step); got != c.want {
			t.Errorf("Quantise(%v, %v) = %v, want %v", c.x, c.step, got, c.want)
		}
	}
	for _, step := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		mustPanic(t, "Quantise", func() { detmath.Quantise(1, step) })
	}
}

func mustPanic(t *testing.T, name string, call func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Errorf("%s did not panic", name)
		}
	}()
	call()
}
