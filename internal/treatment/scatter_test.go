package treatment_test

import (
	"testing"
)

// TestLocatorScatter: what a person sees the pointer do is what the readings scatter by: the setting in good
// conditions, half as much again with a thin file in a wide canal (Locating.Spread, checked by TestLocator);
// an unknown file is refused.
func TestLocatorScatter(t *testing.T) {
	s := carved(t, 30, 0.04, 1)
	s.Canals[0].Wet = 0.01
	good := s.LocatorScatter(0, "hand-steel-25.02")
	if want := s.Case.Settings.LocatorError; good != want {
		t.Errorf("in good conditions the pointer swings by %v mm, want %v mm", good, want)
	}
	if thin := s.LocatorScatter(0, "hand-steel-06.02"); thin < good {
		t.Errorf("with a thin file the pointer swings by %v mm, with a fitting one by %v mm", thin, good)
	}
	defer func() {
		if recover() == nil {
			t.Error("an instrument that is not in the catalogue was taken")
		}
	}()
	s.LocatorScatter(0, "no-such-file")
}
