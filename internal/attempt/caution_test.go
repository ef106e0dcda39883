package attempt_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tugback/assets"
	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// Each caution belongs to a kind of event or action there is, or to a stage; emergencies of the protocol
// facts 7 have one; no text names a dose.
func TestCautions(t *testing.T) {
	words := map[string]string{}
	if err := json.Unmarshal(assets.Cautions, &words); err != nil {
		t.Fatal(err)
	}
	var kinds, stages []string
	for _, d := range treatment.EventKinds() {
		kinds = append(kinds, "event."+string(d.Kind))
	}
	for _, k := range treatment.Kinds() {
		kinds, stages = append(kinds, "action."+string(k)), append(stages, k.Stage(), "all")
	}
	for key, text := range words {
		parts := strings.SplitN(key, ".", 3)
		switch parts[0] {
		case "event", "action":
			if !slices.Contains(kinds, parts[0]+"."+parts[1]) {
				t.Errorf("%s is about nothing there is", key)
			}
		case "limit", "cited":
			if !slices.Contains(stages, parts[1]) {
				t.Errorf("%s is about no stage", key)
			}
		default:
			t.Errorf("%s has no kind", key)
		}
		if strings.Contains(text, "mg") {
			t.Errorf("%s names a dose", key)
		}
	}
	for _, kind := range []treatment.EventKind{treatment.IrrigantOut, treatment.Splashed, treatment.Swallowed, treatment.Perforated,
		treatment.FloorHole, treatment.Broke, treatment.Overfilled, treatment.Numbed, treatment.Leaked, treatment.CameBack, treatment.NoDam,
		treatment.NeedleBound, treatment.ThroughHole, treatment.CrownHole, treatment.SealerOut, treatment.SyringeSwapped, treatment.DamLeaks} {
		if attempt.CautionOf(treatment.Event{Kind: kind}) == "" {
			t.Errorf("%s has no caution", kind)
		}
	}
	if attempt.CautionBefore(treatment.Action{Do: treatment.Irrigate, Agent: "chlorhexidine"}) == "" ||
		attempt.CautionBefore(treatment.Action{Do: treatment.Irrigate, Agent: "water"}) != "" {
		t.Error("cautions before a rinse do not follow the irrigant")
	}
	if got := attempt.Limits([]string{"rinse", "rinse"}); len(got) != 3 {
		t.Errorf("%d limits, want 3", len(got))
	}
}

// P28, P29, P31, P32: figures stand as cited text, exactly. Sources: protocol facts [39h], [39j], [41],
// [35], [34], [63], [42], [45], [45b].
func TestCitedFigures(t *testing.T) {
	all := strings.Join(append(attempt.Cited([]string{"isolate", "open", "shape", "fit", "fill", "seal", "review"}), attempt.Limits([]string{"dress"})...), " ")
	for _, figure := range []string{"5 %", "20 %", "63 %", "259.6", "168.4", "91.4", "44.1", "67.6", "18.1", "87 %", "61 %", "81 against 49",
		"70.8 ± 1.44", "86.5 ± 0.88", "85.5 ± 0.98", "90.3", "88.8", "0.81 (0.79–0.84)", "3.5 mm", "under 2 mm", "less than 4 mm"} {
		if !strings.Contains(all, figure) {
			t.Errorf("no cited figure %q", figure)
		}
	}
	for _, word := range []string{"will heal", "this tooth has", "your tooth"} {
		for _, text := range attempt.Cited([]string{"isolate", "open", "shape", "fit", "fill", "seal", "review"}) {
			if strings.Contains(text, word) {
				t.Errorf("%q is a prediction", text)
			}
		}
	}
}

// TestEmergencies: each says when, in a clinician's words, and what to do, and none stands twice.
func TestEmergencies(t *testing.T) {
	list := attempt.Emergencies()
	if len(list) < 15 {
		t.Fatalf("%d emergencies", len(list))
	}
	seen := map[string]bool{}
	for _, e := range list {
		if e.When == "" || strings.Contains(e.When, "detail") || len(e.Text) < 30 || seen[e.Text] {
			t.Errorf("%q: %q", e.When, e.Text)
		}
		seen[e.Text] = true
	}
}
