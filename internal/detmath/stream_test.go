package detmath_test

import (
	"hash/fnv"
	"math"
	"testing"

	"tugback/internal/detmath"
)

// First outputs of SplitMix64 for the seed 1234567, as published with the reference C program of
// Vigna (splitmix64.c, 2015) and repeated in many test suites.
func TestStreamPublished(t *testing.T) {
	want := []uint64{
		6457827717110365317, 3203168211198807973, 9817491932198370423,
		4593380528125082431, 16408922859458223821,
	}
	s := detmath.Stream{State: 1234567}
	for i, w := range want {
		if got := s.Uint64(); got != w {
			t.Errorf("draw %d = %d, want %d", i, got, w)
		}
	}
}

// The start state is mix(seed ^ mix(FNV-1a(purpose))); mix is seen through a stream, whose draw is
// mix(state + increment), and FNV-1a comes from the standard library.
func TestNewStream(t *testing.T) {
	const increment = 0x9E3779B97F4A7C15
	mix := func(z uint64) uint64 {
		s := detmath.Stream{State: z - increment}
		return s.Uint64()
	}
	for _, purpose := range []string{"", "tooth", "noise: clinical plane"} {
		hash := fnv.New64a()
		hash.Write([]byte(purpose))
		want := mix(77 ^ mix(hash.Sum64()))
		if got := detmath.NewStream(77, purpose).State; got != want {
			t.Errorf("NewStream(77, %q).State = %d, want %d", purpose, got, want)
		}
	}
	seen := map[uint64]bool{}
	for seed := uint64(0); seed < 100; seed++ {
		for _, purpose := range []string{"a", "b", "ab", "ba"} {
			stream := detmath.NewStream(seed, purpose)
			first := stream.Uint64()
			if seen[first] {
				t.Errorf("stream %q of seed %d begins like another", purpose, seed)
			}
			seen[first] = true
		}
	}
}

func TestStreamForksByCopy(t *testing.T) {
	s := detmath.NewStream(1, "fork")
	fork := s
	for i := 0; i < 3; i++ {
		if a, b := s.Uint64(), fork.Uint64(); a != b {
			t.Fatalf("draw %d of the copy = %d, want %d", i, b, a)
		}
	}
}

// moments returns mean and standard deviation of n draws.
func moments(n int, draw func() float64) (mean, sd float64) {
	sum, square := 0.0, 0.0
	for i := 0; i < n; i++ {
		x := draw()
		sum += x
		square += x * x
	}
	mean = sum / float64(n)
	return mean, math.Sqrt(square/float64(n) - mean*mean)
}

// Mean and standard deviation of each distribution against its closed form. With 40 000 draws the
// standard error of a mean is sd/200; allowed are 4 of them, and twice that for the sd.
func TestDistributions(t *testing.T) {
	const n = 40000
	s := detmath.NewStream(5, "distributions")
	halfNormal := math.Sqrt(2 / math.Pi) // mean of a normal cut at its mean, in sd
	cases := []struct {
		name     string
		draw     func() float64
		mean, sd float64
	}{
		{"Float64", s.Float64, 0.5, math.Sqrt(1.0 / 12)},
		{"Range(-1,3)", func() float64 { return s.Range(-1, 3) }, 1, 4 * math.Sqrt(1.0/12)},
		{"Intn(7)", func() float64 { return float64(s.Intn(7)) }, 3, 2},
		{"Normal(10,2)", func() float64 { return s.Normal(10, 2) }, 10, 2},
		{"Truncated(0,1,0,9)", func() float64 { return s.Truncated(0, 1, 0, 9) }, halfNormal, math.Sqrt(1 - 2/math.Pi)},
		{"LogNormal(3,0.25)", func() float64 { return s.LogNormal(3, 0.25) }, 3 * math.Exp(0.03125), 3 * math.Exp(0.03125) * math.Sqrt(math.Expm1(0.0625))},
		{"Weibull(2,1.5)", func() float64 { return s.Weibull(2, 1.5) }, 2 * math.Gamma(5.0/3), 2 * math.Sqrt(math.Gamma(7.0/3)-math.Pow(math.Gamma(5.0/3), 2))},
	}
	for _, c := range cases {
		mean, sd := moments(n, c.draw)
		if math.Abs(mean-c.mean) > 4*c.sd/200 {
			t.Errorf("%s: mean %v, want %v", c.name, mean, c.mean)
		}
		if math.Abs(sd-c.sd) > 8*c.sd/200 {
			t.Errorf("%s: sd %v, want %v", c.name, sd, c.sd)
		}
	}
}

func TestPick(t *testing.T) {
	s := detmath.NewStream(9, "pick")
	weights := []float64{0, 1, 3, 0, 6, 0}
	count := make([]int, len(weights))
	const n = 20000
	for i := 0; i < n; i++ {
		count[s.Pick(weights)]++
	}
	for i, weight := range weights {
		// Four standard errors of a binomial share are at most 0.014.
		if share := float64(count[i]) / n; math.Abs(share-weight/10) > 0.014 || weight == 0 && count[i] > 0 {
			t.Errorf("index %d drawn in a share of %v, want %v", i, share, weight/10)
		}
	}
}

func TestTruncatedStaysInside(t *testing.T) {
	s := detmath.NewStream(3, "limits")
	for i := 0; i < 1000; i++ {
		// The mean is ten sd outside, so the clamp is needed.
		if x := s.Truncated(20, 1, -1, 10); x < -1 || x > 10 {
			t.Fatalf("Truncated gave %v, want within [-1, 10]", x)
		}
	}
	if x := s.Truncated(4, 0, 1, 3); x != 3 {
		t.Errorf("Truncated without spread = %v, want the limit 3", x)
	}
}

func TestStreamRefusals(t *testing.T) {
	s := detmath.Stream{}
	refused := map[string]func(){
		"Range":       func() { s.Range(2, 1) },
		"Intn":        func() { s.Intn(0) },
		"Normal":      func() { s.Normal(0, -1) },
		"Truncated":   func() { s.Truncated(0, 1, 2, 1) },
		"Weibull":     func() { s.Weibull(0, 1) },
		"Pick zero":   func() { s.Pick([]float64{0, 0}) },
		"Pick minus":  func() { s.Pick([]float64{1, -1}) },
		"Pick NaN":    func() { s.Pick([]float64{math.NaN()}) },
		"Pick Inf":    func() { s.Pick([]float64{math.Inf(1)}) },
		"Pick nought": func() { s.Pick(nil) },
	}
	for name, call := range refused {
		mustPanic(t, name, call)
	}
}
