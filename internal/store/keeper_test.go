package store_test

import (
	"database/sql"
	"fmt"
	"testing"
	"time"

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

// TestKeeperTriesAgain holds that what cannot be kept is told once and kept when it can be, a record before
// the run that follows it, and that this is told too.
func TestKeeperTriesAgain(t *testing.T) {
	s, path := open(t)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rename := func(from, to string) {
		t.Helper()
		if _, err := db.ExecContext(t.Context(), "ALTER TABLE "+from+" RENAME TO "+to); err != nil {
			t.Fatal(err)
		}
	}
	told := make(chan error, 8)
	k := store.NewKeeper(s, func(err error) { told <- err })
	wait := func() error {
		t.Helper()
		select {
		case err := <-told:
			return err
		case <-time.After(10 * time.Second):
			t.Fatal("nothing is told")
			return nil
		}
	}
	rename("record", "away")
	k.SaveCurrent([]byte("the run"))
	k.Keep(specimen.Record(t, 1))
	k.SaveCurrent(nil)
	if err := wait(); err == nil {
		t.Error("a record that cannot be kept is told to be")
	}
	if got, err := s.Current(t.Context()); string(got) != "the run" && len(got) != 0 || err != nil {
		t.Errorf("the run under way is %q, error %v", got, err)
	}
	rename("away", "record")
	k.SaveCurrent([]byte("the next run"))
	if err := wait(); err != nil {
		t.Errorf("told %v, want that all is kept", err)
	}
	k.Close()
	if list, err := s.List(t.Context()); len(list) != 1 || err != nil {
		t.Errorf("got %d records and error %v, want 1", len(list), err)
	}
	if got, err := s.Current(t.Context()); string(got) != "the next run" || err != nil {
		t.Errorf("the run under way is %q, error %v", got, err)
	}
	if len(told) > 0 {
		t.Errorf("told once more: %v", <-told)
	}
}
