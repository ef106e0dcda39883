package marking_test

import (
	"testing"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// TestIsDeed holds that an action goes by its kind, and by a word of it or the family of its instrument.
func TestIsDeed(t *testing.T) {
	a := treatment.Action{Do: treatment.Work, Item: "hand-steel-10.02", Motion: "reaming"}
	for text, want := range map[string]bool{"work": true, "work reaming": true, "work hand-steel": true, "work hand-steel-10.02": true,
		"work hand-flex": false, "find": false, "": false} {
		if got := marking.IsDeed(text, &a); got != want {
			t.Errorf("%q: got %v", text, got)
		}
	}
}
