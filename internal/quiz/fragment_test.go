package quiz_test

import (
	"regexp"
	"strconv"
	"testing"

	"tugback/internal/quiz"
)

// TestFragmentOutcome is M10 as the program tells it: a fragment left in takes at most 7 points from healing
// (Spili 2005: 91.8 against 94.5 %; with a lesion 86.7 against 92.9). No outcome for a patient is computed: the
// film of a recall is drawn by the filling alone, so a fragment by itself changes nothing there.
func TestFragmentOutcome(t *testing.T) {
	f, found := quiz.FactByID("fragment-outcome")
	if !found || f.Source == "" {
		t.Fatal("no cited fact fragment-outcome")
	}
	without, err := strconv.ParseFloat(regexp.MustCompile(`[0-9.]+`).FindString(f.Text), 64)
	if err != nil {
		t.Fatalf("%q names no share without a fragment", f.Text)
	}
	if lost := without - f.Value; f.Value != 91.8 || lost < 0 || lost > 7 {
		t.Errorf("healing %.1f %% with a fragment, %.1f without", f.Value, without)
	}
}
