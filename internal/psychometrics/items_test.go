package psychometrics_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/psychometrics"
)

// TestItems holds item statistics against R psych, and upper-lower D against facts computed in R by the
// same definition.
func TestItems(t *testing.T) {
	ref := reference(t)
	d := map[string][]float64{
		"ten":   {.75, .75, .333333, .333333, .833333, .416667, 0, .75, .25, .583333},
		"lsat6": {.196624, .631458, .810877, .536990, .320347},
	}
	for name, m := range map[string]psychometrics.Matrix{"ten": ten(), "lsat6": lsat6()} {
		for i, item := range psychometrics.Items(m, ones(len(m[0]))) {
			near(t, name+" difficulty", item.Difficulty, ref[name+".difficulty"][i], 1e-9)
			near(t, name+" item-total", item.ItemTotal, ref[name+".item_total"][i], 1e-8)
			near(t, name+" item-rest", item.ItemRest, ref[name+".item_rest"][i], 1e-8)
			near(t, name+" alpha dropped", item.Dropped, ref[name+".alpha_dropped"][i], 1e-8)
			near(t, name+" upper-lower", item.UpperLower, d[name][i], 1e-6) // printed with 6 decimals
		}
	}
}

// TestItemsProperties: every figure stays in its range, and the order of the persons does not matter.
func TestItemsProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n, k := rapid.IntRange(2, 12).Draw(r, "n"), rapid.IntRange(2, 6).Draw(r, "k")
		m := make(psychometrics.Matrix, n)
		for p := range m {
			for range k {
				m[p] = append(m[p], float64(rapid.IntRange(0, 2).Draw(r, "x")))
			}
		}
		maximum := make([]float64, k)
		for i := range maximum {
			maximum[i] = 2
		}
		turned := make(psychometrics.Matrix, n)
		for p := range m {
			turned[n-1-p] = m[p]
		}
		again := psychometrics.Items(turned, maximum)
		for i, item := range psychometrics.Items(m, maximum) {
			if item.Difficulty < 0 || item.Difficulty > 1 || math.Abs(item.UpperLower) > 1+1e-9 || math.Abs(item.ItemRest) > 1+1e-9 {
				r.Fatalf("out of range: %+v", item)
			}
			if math.Abs(item.UpperLower-again[i].UpperLower) > 1e-9 {
				r.Fatalf("order matters: %g and %g", item.UpperLower, again[i].UpperLower)
			}
		}
	})
}

// TestOptions: a small item worked by hand. Six persons, rest totals 6 … 1; the strong chose the key a,
// the weak b, nobody c. Correlation of (1 1 1 0 0 0) with (6 … 1): covariance 0.75, deviations ½ and
// √(35/12), so 0.87831.
func TestOptions(t *testing.T) {
	choices := [][]string{{"a"}, {"a"}, {"a"}, {"b"}, {"b"}, nil}
	got := psychometrics.Options([]string{"a", "b", "c"}, map[string]bool{"a": true}, choices, []float64{6, 5, 4, 3, 2, 1})
	near(t, "share of the key", got[0].Share, 0.5, 1e-12)
	near(t, "r of the key", got[0].PointBis, 0.75/(0.5*math.Sqrt(35.0/12)), 1e-12)
	near(t, "mean of those who chose b", got[1].MeanTotal, 2.5, 1e-12)
	near(t, "upper less lower of the key", got[0].UpperLower, 2, 1e-12)
	if !got[2].Idle || got[0].Idle || got[1].Idle {
		t.Errorf("only c is idle: %+v", got)
	}
	if !math.IsNaN(got[2].MeanTotal) || !math.IsNaN(got[2].PointBis) {
		t.Errorf("nobody chose c, its figures are not defined: %+v", got[2])
	}
}

// TestCheck refuses what is no matrix.
func TestCheck(t *testing.T) {
	for name, m := range map[string]psychometrics.Matrix{
		"empty": {}, "no item": {{}}, "ragged": {{1, 2}, {1}}, "not finite": {{1, math.NaN()}},
	} {
		if m.Check() == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if err := ten().Check(); err != nil {
		t.Error(err)
	}
}

// TestNumber writes figures as people read them.
func TestNumber(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{{0.126, "0.13"}, {-0.001, "0.00"}, {-0.5, "-0.50"}, {math.NaN(), "–"}, {math.Inf(1), "–"}} {
		if got := psychometrics.Number(c.x, 2); got != c.want {
			t.Errorf("Number(%g): got %q, want %q", c.x, got, c.want)
		}
	}
}
