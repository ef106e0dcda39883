package attempt_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// wrongStage is a shipped plan that goes wrong in one stage only, and a figure of a later one that shows it.
type wrongStage struct {
	tooth, good, bad, stage string
	later                   string // the stage the figure belongs to
	metric, canal           string
	more                    bool   // the figure is larger for it
	source                  string // of the direction
}

// wrongStages holds one or more for every stage of the procedure.
func wrongStages() []wrongStage {
	const incisor, premolar, molar = "upper-central-incisor", "upper-first-premolar", "lower-first-molar"
	return []wrongStage{
		{premolar, "careful", "not-examined", "judge", "restore", "crack_share", "", true, "cracks deepen under load, common practice"},
		{premolar, "careful", "not-examined", "judge", "review", "flora_left_share", "B", true, "the same"},
		{incisor, "careful", "unsafe", "isolate", "rinse", "flora_left_share", "canal", true, "leaking dam, protocol facts 1.1 step 7"},
		{incisor, "careful", "roof-left", "open", "shape", "untouched_share", "canal", true, "protocol facts 5.4"},
		{incisor, "careful", "roof-left", "open", "fill", "fill_short_mm", "canal", true, "protocol facts 5.4"},
		{molar, "careful", "roof-left", "open", "shape", "transport_max_mm", "MB", true, "protocol facts 5.4"},
		{molar, "careful", "canal-missed", "find", "fill", "fill_void_share", "ML", true, "protocol facts 1.1 step 9"},
		{molar, "careful", "canal-missed", "find", "rinse", "flora_left_share", "ML", true, "the same"},
		{incisor, "careful", "too-long", "measure", "shape", "past_foramen_mm", "canal", true, "protocol facts 1.1 step 12"},
		{incisor, "careful", "under-shaped", "shape", "rinse", "flora_apical_share", "canal", true, "protocol facts 3.3, size and exchange"},
		{incisor, "careful", "under-shaped", "shape", "fill", "fill_short_mm", "canal", true, "derived, the cone stands back"},
		{incisor, "careful", "wrong-order", "rinse", "fill", "fill_void_share", "canal", true, "protocol facts 3.4 [18]"},
		{incisor, "careful", "wet", "dry", "fill", "fill_void_share", "canal", true, "protocol facts 1.1 step 19"},
		{incisor, "careful", "wet", "dry", "review", "recall_decided_right", "", false, "Ray & Trope 1995"},
		{incisor, "two-visits", "thin-cover", "dress", "review", "flora_left_share", "canal", true, "protocol facts 4.6 [42], [43]"},
		{incisor, "careful", "wrong-cone", "fit", "fill", "void_apical_share", "canal", true, "protocol facts 4.1"},
		{incisor, "careful", "wrong-cone", "fit", "review", "recall_decided_right", "", false, "Ray & Trope 1995"},
		{incisor, "careful", "single-cone", "fill", "review", "recall_decided_right", "", false, "Ray & Trope 1995"},
		{incisor, "careful", "no-seal", "seal", "review", "flora_left_share", "canal", true, "protocol facts 4.6 [40b]"},
		{incisor, "careful", "no-seal", "seal", "review", "recall_decided_right", "", false, "Ray & Trope 1995"},
		{incisor, "careful", "not-restored", "restore", "review", "flora_left_share", "canal", true, "protocol facts 4.6 [40b]"},
		{incisor, "careful", "not-reviewed", "review", "review", "recall_decided_right", "", false, "the last stage: nobody looks"},
	}
}

// For every stage a shipped plan differs from the careful one in that stage only; it loses marks there, and a
// figure of a later stage gets worse.
func TestOneStageWrongShowsLater(t *testing.T) {
	runs := map[string]attempt.Record{}
	get := func(tooth, plan string) attempt.Record {
		key := tooth + "." + plan
		if _, done := runs[key]; !done {
			runs[key] = treatPlan(t, tooth, plan)
		}
		return runs[key]
	}
	order := stagesInOrder()
	covered := map[string]bool{}
	for _, c := range wrongStages() {
		good, bad := get(c.tooth, c.good), get(c.tooth, c.bad)
		covered[c.stage] = true
		if diff := cmp.Diff(elsewhere(good, c.stage), elsewhere(bad, c.stage)); diff != "" {
			t.Errorf("%s.%s differs from %s outside %s:\n%s", c.tooth, c.bad, c.good, c.stage, diff)
		}
		earnsMore(t, c.stage, good, bad)
		if from, to := slices.Index(order, c.stage), slices.Index(order, c.later); from < 0 || to < from || to == from && c.stage != order[len(order)-1] {
			t.Errorf("%s.%s: %s is not later than %s", c.tooth, c.bad, c.later, c.stage)
		}
		a, found := good.Outcome.Value(c.metric, c.canal)
		b, there := bad.Outcome.Value(c.metric, c.canal)
		if !found || !there {
			t.Fatalf("no metric %s of %q", c.metric, c.canal)
		}
		if (c.more && b <= a) || (!c.more && b >= a) {
			t.Errorf("%s.%s: %s is %.4f, %s %.4f (%s)", c.tooth, c.bad, c.metric, b, c.good, a, c.source)
		}
	}
	for _, stage := range order {
		if !covered[stage] {
			t.Errorf("no shipped plan goes wrong in %s only", stage)
		}
	}
}

// stagesInOrder lists the stages as the procedure runs.
func stagesInOrder() []string {
	return []string{"judge", "isolate", "open", "find", "measure", "shape", "rinse", "dry", "dress", "fit", "fill", "seal", "restore", "review"}
}

// elsewhere lists what a plan does outside a stage. Films belong to the step they follow, so they count with the
// judging only; a stop is told against the working length written down for the canal, since a wrong length is
// carried along by all that follows; a missed canal can't be treated.
func elsewhere(r attempt.Record, stage string) []string {
	length := map[string]int{}
	for _, a := range r.Actions {
		if a.Do == treatment.SetLength {
			length[a.Canal] = a.Stop
		}
	}
	var out []string
	for _, a := range r.Actions {
		if a.Do.Stage() == stage || a.Do == treatment.Radiograph {
			continue
		}
		if stage == "find" && a.Canal == missedCanal {
			continue
		}
		if stage == "measure" && a.Stop > 0 && a.Do != treatment.Irrigate && a.Do != treatment.Dry && a.Stop > length[a.Canal]-500 {
			a.Stop -= length[a.Canal]
		}
		out = append(out, attempt.Say(a))
	}
	return out
}

// missedCanal is the canal that the plan without it does not find.
const missedCanal = "ML"
