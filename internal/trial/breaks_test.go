package trial_test

import (
	"math"
	"testing"

	"tugback/internal/trial"
)

// breaks holds a cohort's broken instruments against M6 and M8. Published are 1 to 5 % of teeth over all kinds
// (Spili 2005: 3.3; Di Fiore 2006: 1.9; Eskibağlar 2023: 3.64; steel by hand 2 to 6, Iqbal 2006) and the order
// anterior 0.28, premolar 1.56, molar 2.74 % (Di Fiore 2006). The band is for the mean of the three kinds and
// widened by two standard errors of that mean, from the published shares (derived): in cohorts of thirty and
// twenty no lower end is left, and none broken is not against it. Of the order, molars break most and fronts
// not more than premolars, each within two standard errors. What 200 of each broke stands in DEVELOPERS 6.
func breaks(t *testing.T, anterior, premolar, molar trial.Result) {
	t.Helper()
	published := [3]float64{0.0028, 0.0156, 0.0274}
	mean, spread := 0.0, [3]float64{}
	variance := 0.0
	for k, r := range []trial.Result{anterior, premolar, molar} {
		mean += r.FractureRate / 3
		v := published[k] * (1 - published[k]) / float64(r.Tally.Cases)
		spread[k] = 2 * math.Sqrt(v)
		variance += v / 9
	}
	t.Logf("broken: anterior %.3f, premolar %.3f, molar %.3f of teeth, mean %.3f", anterior.FractureRate, premolar.FractureRate, molar.FractureRate, mean)
	if wide := 2 * math.Sqrt(variance); mean < 0.01-wide || mean > 0.05+wide {
		t.Errorf("broken in %.3f of teeth, want 0.01 to 0.05 (M6), either way %.3f", mean, wide)
	}
	if anterior.FractureRate > premolar.FractureRate+spread[1] || premolar.FractureRate > molar.FractureRate+spread[2] {
		t.Errorf("order of broken: anterior %.3f, premolar %.3f, molar %.3f (M8)", anterior.FractureRate, premolar.FractureRate, molar.FractureRate)
	}
}
