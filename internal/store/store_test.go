package store_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/attempt"
	"tugback/internal/specimen"
	"tugback/internal/store"
	"tugback/internal/treatment"
)

// open opens practice in a new folder whose name holds what a file's address would trip over.
func open(t *testing.T) (*store.Store, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a folder #1 with 100 %", "practice.db")
	return reopen(t, path), path
}

func reopen(t *testing.T, path string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// TestRecords holds that records come back byte for byte, after the file was closed too, that a list
// shows what is in them, and that nothing but a record is kept.
func TestRecords(t *testing.T) {
	s, path := open(t)
	first, second := specimen.Record(t, 1), specimen.Record(t, math.MaxUint64)
	for i, data := range [][]byte{first, second, first} {
		want, wantAdded := int64(i%2+1), i < 2
		if id, added, err := s.Add(t.Context(), data); id != want || added != wantAdded || err != nil {
			t.Fatalf("record %d: got number %d, added %v, error %v; want %d, %v", i, id, added, err, want, wantAdded)
		}
	}
	var refusal *attempt.Refusal
	if _, _, err := s.Add(t.Context(), append(first[:len(first):len(first)], '\n')); !errors.As(err, &refusal) {
		t.Errorf("a record with one byte more: got error %v, want a refusal", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = reopen(t, path)
	list, err := s.List(t.Context())
	if err != nil || len(list) != 2 {
		t.Fatalf("got %d records and error %v, want 2", len(list), err)
	}
	if age := time.Since(list[1].Saved); age < 0 || age > time.Minute {
		t.Errorf("saved %v ago, want just now", age)
	}
	decoded, err := attempt.Decode(second)
	if err != nil {
		t.Fatal(err)
	}
	want := store.Entry{ID: 2, Saved: list[1].Saved, Scenario: decoded.Scenario.Name, Content: decoded.Scenario.Digest, Engine: treatment.Engine,
		Seed: math.MaxUint64, Actions: 3, Elapsed: decoded.Checkpoints[2].Elapsed, Total: decoded.Marks.Total, Available: decoded.Marks.Available, Digest: decoded.Digest}
	if diff := cmp.Diff(list[1], want); diff != "" {
		t.Errorf("list and record differ: %s", diff)
	}
	if data, err := s.Record(t.Context(), 2); err != nil || !bytes.Equal(data, second) {
		t.Errorf("record 2 came back with %d of %d bytes and error %v", len(data), len(second), err)
	}
	if _, err := s.Record(t.Context(), 3); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("record 3: got error %v, want fs.ErrNotExist", err)
	}
}

// TestCurrent holds that the run under way is replaced as a whole, cleared, and bounded.
func TestCurrent(t *testing.T) {
	s, path := open(t)
	largest := bytes.Repeat([]byte("x"), store.CurrentLimit)
	for _, text := range [][]byte{nil, []byte(`{"a":1}`), largest, []byte("\x00 not looked into"), nil} {
		if err := s.SaveCurrent(t.Context(), text); err != nil {
			t.Fatal(err)
		}
		if got, err := reopen(t, path).Current(t.Context()); err != nil || !bytes.Equal(got, text) {
			t.Errorf("kept %d bytes, got %d and error %v", len(text), len(got), err)
		}
	}
	if err := s.SaveCurrent(t.Context(), append(largest, 'x')); err == nil {
		t.Error("a run of more bytes than the limit is kept")
	}
}

// TestOpenRefuses holds that a file that is none of ours, or of a newer program, is left as it was.
func TestOpenRefuses(t *testing.T) {
	newer := filepath.Join(t.TempDir(), "practice.db")
	reopen(t, newer).Close()
	db, err := sql.Open("sqlite", newer)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`); err != nil {
		t.Fatal(err)
	}
	db.Close()
	text := filepath.Join(t.TempDir(), "text.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("no database\n", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct{ name, path, want string }{
		{"newer program", newer, "newer program (tables 99, this one knows 3)"},
		{"a text", text, "not a database"},
		{"a folder", t.TempDir(), "is a directory"},
		{"inside a file", filepath.Join(text, "practice.db"), "not a directory"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			before, _ := os.ReadFile(tt.path)
			s, err := store.Open(t.Context(), tt.path)
			if err == nil {
				s.Close()
				t.Fatal("it opens")
			}
			if runtime.GOOS != "windows" && !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), tt.path) {
				t.Errorf("got %q, want the file and %q in it", err, tt.want)
			}
			if after, _ := os.ReadFile(tt.path); !bytes.Equal(before, after) {
				t.Error("the file was changed")
			}
		})
	}
}

// TestOpenTogether holds that several programs may make the same file at the same moment.
func TestOpenTogether(t *testing.T) {
	path := filepath.Join(t.TempDir(), "practice.db")
	var group sync.WaitGroup
	for range 2 {
		group.Go(func() {
			s, err := store.Open(context.Background(), path)
			if err != nil {
				t.Error(err)
				return
			}
			s.Close()
		})
	}
	group.Wait()
}

// TestOwnerOnly holds that nobody else on the computer may read the practice.
func TestOwnerOnly(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("rights are not shown as bits here")
	}
	s, path := open(t)
	if err := s.SaveCurrent(t.Context(), []byte("x")); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(path + "*")
	if err != nil || len(files) < 2 {
		t.Fatalf("got %v and error %v, want the file and its log", files, err)
	}
	for _, name := range append(files, filepath.Dir(path)) {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: mode %v, error %v", filepath.Base(name), info.Mode(), err)
		}
	}
}

// TestDefaultPath holds where practice is kept.
func TestDefaultPath(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("TUGBACK_DATA", folder)
	if got, err := store.DefaultPath(); got != filepath.Join(folder, "practice.db") || err != nil {
		t.Errorf("got %s and error %v, want the folder of TUGBACK_DATA", got, err)
	}
	t.Setenv("TUGBACK_DATA", "")
	t.Setenv("HOME", folder)
	t.Setenv("XDG_CONFIG_HOME", "")
	if got, err := store.DefaultPath(); runtime.GOOS == "linux" && got != filepath.Join(folder, ".config", "tugback", "practice.db") {
		t.Errorf("got %s and error %v, want the user's configuration", got, err)
	}
}
