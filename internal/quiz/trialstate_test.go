package quiz_test

import (
	"reflect"
	"testing"

	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// TestTrialState holds for every predict item that the tooth before the action is one action younger than
// the tooth after it, and the same where the action is refused.
func TestTrialState(t *testing.T) {
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, item := range bank {
		if item.Trial == nil {
			continue
		}
		seen++
		before, err := item.Trial.State(false)
		if err != nil {
			t.Fatal(err)
		}
		after, err := item.Trial.State(true)
		if err != nil {
			t.Fatal(err)
		}
		_, _, refusal, err := item.Trial.Run()
		if err != nil {
			t.Fatal(err)
		}
		if same := reflect.DeepEqual(before, after); same != (refusal != "") {
			t.Errorf("%s: the tooth stays as it was: %v, refused: %q", item.ID, same, refusal)
		}
	}
	if seen == 0 {
		t.Error("no item has an action to predict")
	}
	broken := quiz.Trial{Kind: "no-such-tooth"}
	if _, err := broken.State(true); err == nil {
		t.Error("an unknown tooth grows")
	}
}
