package store_test

import (
	"errors"
	"testing"

	"tugback/internal/store"
)

// TestHold holds that of two programs on one file the one that took the run under way up last keeps it, and
// the other is told and changes nothing, not even by finishing.
func TestHold(t *testing.T) {
	first, path := open(t)
	second := reopen(t, path)
	if err := errors.Join(first.Hold(t.Context()), first.SaveCurrent(t.Context(), []byte("1"))); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(second.Hold(t.Context()), second.SaveCurrent(t.Context(), []byte("2"))); err != nil {
		t.Fatal(err)
	}
	for _, data := range []string{"3", ""} {
		if err := first.SaveCurrent(t.Context(), []byte(data)); !errors.Is(err, store.ErrElsewhere) {
			t.Errorf("the first keeps %q: error %v, want ErrElsewhere", data, err)
		}
	}
	if got, err := first.Current(t.Context()); string(got) != "2" || err != nil {
		t.Errorf("the run under way is %q, error %v", got, err)
	}
	if err := errors.Join(first.Hold(t.Context()), first.SaveCurrent(t.Context(), nil)); err != nil {
		t.Errorf("taken back: %v", err)
	}
}

// TestComfort holds that the settings of comfort are there again after the store was closed, and that what
// is too long is refused.
func TestComfort(t *testing.T) {
	s, path := open(t)
	k := store.NewKeeper(s, func(err error) { t.Error(err) })
	k.SaveComfort([]byte(`{"TextPercent":150}`))
	k.Close()
	if err := s.SaveComfort(t.Context(), make([]byte, store.ComfortLimit+1)); err == nil {
		t.Error("a text that is too long is kept")
	}
	s.Close()
	if got, err := reopen(t, path).Comfort(t.Context()); string(got) != `{"TextPercent":150}` || err != nil {
		t.Errorf("kept is %q, error %v", got, err)
	}
}
