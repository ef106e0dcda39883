package psychometrics

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Reliability is how far the totals of a matrix can be trusted.
type Reliability struct {
	Persons, Items int
	Alpha          float64 // Cronbach's; of items scored 0 or 1 it is KR-20
	Low, High      float64 // 95 % confidence interval of Alpha
	Mean           float64 // of the totals
	SD, SampleSD   float64 // of the totals, with 1/n and 1/(n−1)
	SEM, SampleSEM float64 // standard error of measurement, SD·√(1 − Alpha), by either SD
}

// Alpha returns Cronbach's alpha of a matrix with its standard error of measurement.
//
//	α = k/(k−1) · (1 − Σ s²ᵢ / s²ₓ)
//
// with variances 1/n throughout (the choice cancels). It is NaN for fewer than two items or two persons,
// and when the totals do not vary. The interval is Feldt's: 1 − (1−α)·F at 97.5 % and 2.5 % with n−1 and
// (n−1)(k−1) degrees of freedom. Sources: Cronbach 1951, Psychometrika 16:297; Feldt 1965, Psychometrika
// 30:357 (both from memory). Checked by TestAlpha against R psych.
func Alpha(m Matrix) Reliability {
	k, n := len(m[0]), len(m)
	totals := m.Totals()
	variance, sample := spread(totals)
	r := Reliability{Persons: n, Items: k, Mean: mean(totals), SD: math.Sqrt(variance), SampleSD: math.Sqrt(sample)}
	r.Alpha, r.Low, r.High = math.NaN(), math.NaN(), math.NaN()
	if k > 1 && n > 1 && variance > 0 {
		parts := 0.0
		for i := range k {
			v, _ := spread(m.Column(i))
			parts += v
		}
		r.Alpha = float64(k) / float64(k-1) * (1 - parts/variance)
		df1, df2 := float64(n-1), float64((n-1)*(k-1))
		r.Low = 1 - (1-r.Alpha)*quantileF(0.975, df1, df2)
		r.High = 1 - (1-r.Alpha)*quantileF(0.025, df1, df2)
	}
	r.SEM, r.SampleSEM = r.SD*math.Sqrt(1-r.Alpha), r.SampleSD*math.Sqrt(1-r.Alpha)
	return r
}

// quantileF returns the quantile of the F distribution.
func quantileF(p, df1, df2 float64) float64 {
	x := mathext.InvRegIncBeta(df1/2, df2/2, p)
	return df2 * x / (df1 * (1 - x))
}

// KR20 returns the Kuder-Richardson formula 20 of items scored 0 or 1, the variance of the totals with 1/n
// like those of the items; it equals Alpha. Textbooks that mix 1/n and 1/(n−1) print a larger value.
// It is NaN when a score is neither 0 nor 1. Checked by TestAlpha.
func KR20(m Matrix) float64 {
	for _, row := range m {
		for _, x := range row {
			if x != 0 && x != 1 {
				return math.NaN()
			}
		}
	}
	return Alpha(m).Alpha
}

// KR21 returns the Kuder-Richardson formula 21, which takes all items for equally hard and so is at most
// KR-20: k/(k−1)·(1 − M(k−M)/(k·s²)). Checked by TestAlpha.
func KR21(m Matrix) float64 {
	k := float64(len(m[0]))
	totals := m.Totals()
	variance, _ := spread(totals)
	if k < 2 || variance == 0 {
		return math.NaN()
	}
	M := mean(totals)
	return k / (k - 1) * (1 - M*(k-M)/(k*variance))
}

// SpearmanBrown returns the reliability of a test made n times as long: nr/(1+(n−1)r).
func SpearmanBrown(r, n float64) float64 { return n * r / (1 + (n-1)*r) }

// Livingston returns the consistency of pass and fail at a cut, k² = (r s² + (M−C)²)/(s² + (M−C)²), with
// the standard deviation 1/n. Source: Livingston 1972, Journal of Educational Measurement 9:13 (from
// memory). Checked by TestAlpha.
func Livingston(r Reliability, cut float64) float64 {
	far := (r.Mean - cut) * (r.Mean - cut)
	return (r.Alpha*r.SD*r.SD + far) / (r.SD*r.SD + far)
}

// NearCut is who stands so near to the pass mark that a second exam might decide otherwise.
type NearCut struct {
	Within   []int   // persons within one standard error of measurement of the cut
	Within95 []int   // persons within 1.96 of them
	Wrong    float64 // expected number of persons on the wrong side
}

// Near returns who stands near a cut. Wrong is the sum over persons of Φ(−|score − cut|/SEM): errors of
// measurement taken as normal and alike for all, the observed score for the true one. A SEM that is zero
// or not defined gives nobody. Checked by TestNear.
func Near(scores []float64, cut, sem float64) NearCut {
	var near NearCut
	if math.IsNaN(sem) || sem <= 0 {
		return near
	}
	for p, x := range scores {
		z := math.Abs(x-cut) / sem
		near.Wrong += distuv.UnitNormal.CDF(-z)
		if z <= 1 {
			near.Within = append(near.Within, p)
		}
		if z <= 1.96 {
			near.Within95 = append(near.Within95, p)
		}
	}
	return near
}
