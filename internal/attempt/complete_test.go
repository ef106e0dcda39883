package attempt_test

import "testing"

// The complete treatments in one visit and in two do something in every stage there is (a dressing and a temporary in
// two visits only), earn most of its points there, and no critical error.
func TestCompleteTreatments(t *testing.T) {
	for _, plan := range []string{"careful", "two-visits"} {
		r := treatPlan(t, "upper-central-incisor", plan)
		done := map[string]int{}
		for _, a := range r.Actions {
			done[a.Do.Stage()]++
		}
		for _, stage := range stagesInOrder() {
			if wanted := stage != "dress" || plan == "two-visits"; (done[stage] > 0) != wanted {
				t.Errorf("%s: %d actions of %s", plan, done[stage], stage)
			}
			earned, available := stagePoints(r, stage)
			if available <= 0 || earned < 0.7*available {
				t.Errorf("%s: %s earns %.2f of %.2f points", plan, stage, earned, available)
			}
		}
		if r.Marks.Failed || len(r.Outcome.Metrics) == 0 {
			t.Errorf("%s: failed %t, %d figures", plan, r.Marks.Failed, len(r.Outcome.Metrics))
		}
	}
}
