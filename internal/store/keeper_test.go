package store_test

import (
	"fmt"
	"testing"

	"tugback/internal/specimen"
	"tugback/internal/store"
)

// TestKeeper holds that everything given is kept when Close returns, the newest run under way last, and
// that what can't be kept is told.
func TestKeeper(t *testing.T) {
	s, _ := open(t)
	var told []error
	k := store.NewKeeper(s, func(err error) { told = append(told, err) })
	for i := range 100 {
		k.SaveCurrent(fmt.Appendf(nil, "run %d", i))
	}
	k.Keep(specimen.Record(t, 1))
	k.Keep([]byte("no record"))
	k.SaveCurrent([]byte("the next run"))
	k.Close()
	if got, err := s.Current(t.Context()); string(got) != "the next run" || err != nil {
		t.Errorf("the run under way is %q, error %v", got, err)
	}
	if list, err := s.List(t.Context()); len(list) != 1 || err != nil {
		t.Errorf("got %d records and error %v, want 1", len(list), err)
	}
	if len(told) != 1 {
		t.Errorf("told %v, want one refusal", told)
	}
}
