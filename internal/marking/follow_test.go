package marking_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/marking"
)

// TestDeductions holds what is taken away on the made-up molar (transportation 0.25, 0.1, 0.04 mm): by a
// condition, by a band in each canal, behind a gate, and never below zero in all. Points by hand.
func TestDeductions(t *testing.T) {
	band := marking.Rule{ID: "d", Deduct: 6, Canal: "each", Metric: "transport_max_mm", Full: at("<=", 0.1), None: at(">=", 0.3)}
	gated := band
	gated.When = "patent == 1"
	worst := band
	worst.Canal = "worst"
	cases := []struct {
		name   string
		rule   marking.Rule
		points float64
	}{
		{"happened", marking.Rule{ID: "d", Deduct: 6, When: `happened("ledge")`}, -6},
		{"did not happen", marking.Rule{ID: "d", Deduct: 6, When: `happened("perforated")`}, 0},
		{"each canal: 6·(1−1/4)/3", band, -1.5},
		{"worst canal: 6·(1−1/4)", worst, -4.5},
		{"gate shut in MB", gated, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := compile(t, marking.Rule{ID: "a", Points: 10, When: "minutes > 0"}, c.rule).Mark(molar())
			if got.Rules[1].Points != c.points || got.Rules[1].Available != 0 || got.Total != 10+c.points || got.Available != 10 {
				t.Errorf("got %v points of a total of %v of %v, want %v of %v of 10", got.Rules[1].Points, got.Total, got.Available, c.points, 10+c.points)
			}
		})
	}
	low := compile(t, marking.Rule{ID: "a", Points: 2, When: "minutes > 0"}, marking.Rule{ID: "d", Deduct: 6, When: "minutes > 0"}).Mark(molar())
	if low.Total != 0 {
		t.Errorf("total %v, want 0: nothing is taken below", low.Total)
	}
}

// TestOrder holds the share of steps in their order: isolate 1, open 2, work 3, irrigate 4 on the molar.
func TestOrder(t *testing.T) {
	for _, c := range []struct {
		order    []string
		points   float64
		evidence string
	}{
		{[]string{"isolate", "open", "work"}, 10, "isolate as step 1, open as step 2, work as step 3"},
		{[]string{"open", "isolate", "work", "seal"}, 5, "open as step 2, isolate as step 1, work as step 3, seal never"},
		{[]string{"irrigate sodium-hypochlorite", "irrigate edta"}, 10, "irrigate sodium-hypochlorite as step 4, irrigate edta as step 6"},
	} {
		if got := one(t, marking.Rule{Order: c.order}); got.Points != c.points || got.Evidence != c.evidence {
			t.Errorf("%v: got %v points, %q; want %v, %q", c.order, got.Points, got.Evidence, c.points, c.evidence)
		}
	}
}

// TestFollowThrough holds that a rule that follows from a lost one is judged on what was left, or left out
// of the marks, in the canal concerned only; an earlier rule that was earned excuses nothing.
func TestFollowThrough(t *testing.T) {
	first := marking.Rule{ID: "ledge", Points: 10, Canal: "each", Metric: "ledge_depth_mm", Full: at("<=", 0.05)}
	later := marking.Rule{ID: "patent", Points: 9, Canal: "each", Metric: "patent", Full: at("==", 1), Follows: "ledge"}
	got := compile(t, first, later).Mark(molar()).Rules[1]
	if got.Points != 6 || got.Available != 6 || got.Parts[0].Available != 0 || got.Parts[1].Points != 3 {
		t.Errorf("left out in MB: got %v of %v, parts %+v; want 6 of 6", got.Points, got.Available, got.Parts)
	}
	if !strings.Contains(got.Parts[0].Evidence, "not counted, since ledge has lost its points") {
		t.Errorf("evidence %q does not say why MB is left out", got.Parts[0].Evidence)
	}
	later.Instead = "ledge_depth_mm > 0.1 ? 0.5 : 0"
	got = compile(t, first, later).Mark(molar()).Rules[1]
	if got.Points != 7.5 || got.Available != 9 || !strings.Contains(got.Parts[0].Evidence, "judged on what ledge left") {
		t.Errorf("judged again in MB: got %v of %v, %q; want 7.5 of 9", got.Points, got.Available, got.Parts[0].Evidence)
	}
	later.Instead, first.Full = "", at("<=", 1)
	if got = compile(t, first, later).Mark(molar()).Rules[1]; got.Points != 6 || got.Available != 9 {
		t.Errorf("nothing to excuse: got %v of %v, want 6 of 9", got.Points, got.Available)
	}
	whole := marking.Rule{ID: "all", Points: 4, When: `all_of("patent")`, Follows: "ledge"}
	first.Full = at("<", 0.0001)
	first.Canal = "worst"
	marks := compile(t, first, whole).Mark(molar())
	if r := marks.Rules[1]; !r.Excused && r.Available != 4 {
		t.Errorf("a rule of the tooth: got %+v", r)
	}
}

// TestDeductedPoints holds over random bands that a deduction takes between nothing and all it may, and
// that the parts of the canals add up to it.
func TestDeductedPoints(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		full := rapid.Float64Range(0, 0.2).Draw(rt, "full")
		none := full + rapid.Float64Range(0.01, 0.3).Draw(rt, "width")
		deduct := rapid.Float64Range(0.1, 20).Draw(rt, "deduct")
		r := compile(t, marking.Rule{ID: "d", Deduct: deduct, Canal: "each", Metric: "transport_max_mm", Full: at("<=", full), None: at(">=", none)}).Mark(molar()).Rules[0]
		sum := 0.0
		for _, p := range r.Parts {
			sum += p.Points
		}
		if r.Points > 0 || r.Points < -deduct-1e-6 || sum-r.Points > 1e-6 || r.Points-sum > 1e-6 {
			rt.Fatalf("points %v of a deduction of %v, parts %v", r.Points, deduct, sum)
		}
	})
}
