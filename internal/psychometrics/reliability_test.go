package psychometrics_test

import (
	"math"
	"testing"

	"tugback/internal/psychometrics"
)

// TestAlpha holds reliability against R psych, and the figures of the worked data: totals' deviation, SEM,
// KR-21, Livingston at 6, and the factor of length that gives 0.80 (17.44 items).
func TestAlpha(t *testing.T) {
	ref := reference(t)
	for name, m := range map[string]psychometrics.Matrix{"ten": ten(), "lsat6": lsat6()} {
		r := psychometrics.Alpha(m)
		near(t, name+" alpha", r.Alpha, ref[name+".alpha"][0], 1e-9)
		near(t, name+" KR-20", psychometrics.KR20(m), ref[name+".alpha"][0], 1e-9)
		near(t, name+" low", r.Low, ref[name+".feldt"][0], 1e-8)
		near(t, name+" high", r.High, ref[name+".feldt"][1], 1e-8)
	}
	a, b := psychometrics.Alpha(ten()), psychometrics.Alpha(lsat6())
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"mean", a.Mean, 6.6}, {"variance", a.SD * a.SD, 5.84}, {"sample variance", a.SampleSD * a.SampleSD, 6.488889},
		{"SEM", a.SEM, 1.331666}, {"sample SEM", a.SampleSEM, 1.403699},
		{"KR-21", psychometrics.KR21(ten()), 0.684171}, {"KR-21 lsat", psychometrics.KR21(lsat6()), 0.196441},
		{"lsat SD", b.SD, 1.034524}, {"lsat sample SD", b.SampleSD, 1.035041}, {"lsat SEM", b.SEM, 0.868632},
		{"doubled", psychometrics.SpearmanBrown(a.Alpha, 2), 0.820996},
		{"for 0.80", psychometrics.SpearmanBrown(a.Alpha, 1.744), 0.80},
		{"Livingston", psychometrics.Livingston(a, 6), 0.713979},
	} {
		near(t, c.what, c.got, c.want, 3e-5) // printed with 6 decimals, 17.44 items with 2
	}
	for name, m := range map[string]psychometrics.Matrix{"one item": {{1}, {0}}, "one person": {{1, 0}}, "all alike": {{1, 0}, {1, 0}}} {
		if r := psychometrics.Alpha(m); !math.IsNaN(r.Alpha) || !math.IsNaN(r.Low) {
			t.Errorf("%s: alpha %g, expected none", name, r.Alpha)
		}
	}
	if !math.IsNaN(psychometrics.KR20(psychometrics.Matrix{{0.5, 1}, {0, 1}})) {
		t.Error("KR-20 of items that are not 0 or 1 is not defined")
	}
}

// TestNear: at the cut itself half are expected on the wrong side; one SEM away Φ(−1) = 0.158655 (tables).
func TestNear(t *testing.T) {
	near4 := psychometrics.Near([]float64{60, 65, 69, 80}, 60, 5)
	near(t, "wrong", near4.Wrong, 0.5+0.1586553+0.0359303+0.0000317, 1e-6)
	if len(near4.Within) != 2 || len(near4.Within95) != 3 {
		t.Errorf("within one SEM %v, within 1.96 %v", near4.Within, near4.Within95)
	}
	if got := psychometrics.Near([]float64{60}, 60, math.NaN()); got.Wrong != 0 || got.Within != nil {
		t.Errorf("without a SEM nobody is near: %+v", got)
	}
}
