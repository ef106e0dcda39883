package psychometrics_test

import (
	"math"
	"testing"

	"tugback/internal/psychometrics"
)

// TestAngoff: four judges, five items; sums by hand, deviation and error by R.
func TestAngoff(t *testing.T) {
	ratings := psychometrics.Matrix{{.6, .7, .5, .8, .4}, {.65, .75, .45, .85, .5}, {.55, .7, .6, .9, .45}, {.7, .8, .5, .75, .4}}
	got, err := psychometrics.Angoff(ratings, ones(5))
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{3.0, 3.2, 3.2, 3.15} {
		near(t, "judge", got.Sums[j], want, 1e-12)
	}
	near(t, "cut", got.Cut, 3.1375, 1e-12)
	near(t, "SD", got.SD, 0.0946485, 1e-7)
	near(t, "SE", got.SE, 0.0473242, 1e-7)
	for name, bad := range map[string]psychometrics.Matrix{"above 1": {{1.2, .5}}, "too few": {{.5}}, "none": {}} {
		if _, err := psychometrics.Angoff(bad, ones(2)); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// TestHofstee: twenty scores, box 50–65 and 5–30 %; F(53) = 25 % is on the line, worked by hand. Boxes that
// the curve passes by are told and resolved by the nearest corner.
func TestHofstee(t *testing.T) {
	scores := []float64{42, 45, 48, 50, 52, 53, 55, 56, 57, 58, 60, 61, 62, 63, 65, 66, 68, 70, 74, 80}
	for _, c := range []struct {
		name      string
		judge     psychometrics.HofsteeJudge
		cut, fail float64
		met       bool
	}{
		{"met at a score", psychometrics.HofsteeJudge{CutLow: 50, CutHigh: 65, FailLow: .05, FailHigh: .30}, 53, .25, true},
		// Above 55 up to 56 seven of twenty fail, 0.35; the line 0.38 − 0.18·(k−55)/5 has 0.35 at 55.8333.
		{"met between scores", psychometrics.HofsteeJudge{CutLow: 55, CutHigh: 60, FailLow: .20, FailHigh: .38}, 55.0 + 5.0/6, .35, true},
		{"too many fail", psychometrics.HofsteeJudge{CutLow: 70, CutHigh: 80, FailLow: .05, FailHigh: .30}, 70, .85, false},
		{"too few fail", psychometrics.HofsteeJudge{CutLow: 30, CutHigh: 40, FailLow: .05, FailHigh: .30}, 40, 0, false},
	} {
		got, err := psychometrics.Hofstee(scores, []psychometrics.HofsteeJudge{c.judge})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+": cut", got.Cut, c.cut, 1e-9)
		near(t, c.name+": failing", got.Fail, c.fail, 1e-9)
		if got.Met != c.met {
			t.Errorf("%s: met %v, %s", c.name, got.Met, got.Story)
		}
	}
	if _, err := psychometrics.Hofstee(scores, []psychometrics.HofsteeJudge{{CutLow: 60, CutHigh: 50, FailLow: 0, FailHigh: .3}}); err == nil {
		t.Error("a box upside down is accepted")
	}
}

// TestBorderline holds borderline regression against R lm.
func TestBorderline(t *testing.T) {
	ref := reference(t)["borderline"]
	grades := []float64{1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 5, 5}
	got, err := psychometrics.Borderline(grades, []float64{38, 45, 48, 55, 52, 60, 66, 63, 72, 78, 85, 90}, 2)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range []float64{got.Intercept, got.Slope, got.Cut, got.R2, got.RMSE, got.SE} {
		near(t, "borderline", x, ref[i], 1e-7*math.Abs(ref[i]))
	}
	near(t, "borderline group mean", got.GroupMean, 51.66667, 1e-5)
	near(t, "borderline group median", got.GroupMedian, 52, 1e-12)
	if _, err := psychometrics.Borderline([]float64{2, 2, 2}, []float64{1, 2, 3}, 2); err == nil {
		t.Error("grades that do not differ are accepted")
	}
}

// TestOutliers: median 10, MAD 1, so 20 has z = 6.745 (by hand); with most values alike nothing is called.
func TestOutliers(t *testing.T) {
	got := psychometrics.Outliers([]float64{9, 10, 11, 9, 10, 11, 20})
	if len(got) != 1 || got[0].Index != 6 {
		t.Fatalf("outliers: %+v", got)
	}
	near(t, "z", got[0].Z, 6.745, 1e-12)
	if got := psychometrics.Outliers([]float64{1, 1, 1, 9}); got != nil {
		t.Errorf("no spread, no outliers: %+v", got)
	}
}
