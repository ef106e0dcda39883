package attempt_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"tugback/internal/attempt"
)

// noted returns a record with two notes and its bytes.
func noted(t testing.TB, paper attempt.Paper) (attempt.Record, []byte) {
	t.Helper()
	run, err := attempt.Treat(paper, start(paper))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []attempt.Note{{Kind: attempt.NoteSectionShown}, {After: 1, Kind: attempt.NoteRewind, From: 3}} {
		if err := run.Note(n); err != nil {
			t.Fatal(err)
		}
	}
	record := run.Close()
	data, err := attempt.Encode(record)
	if err != nil {
		t.Fatal(err)
	}
	return record, data
}

// TestNotesInRecord: notes come back, verify, and any change of them is refused; a record without notes
// has the same digest.
func TestNotesInRecord(t *testing.T) {
	paper := paperOf(t, 1)
	record, data := noted(t, paper)
	if refusal := check(data, paper); refusal != nil {
		t.Fatalf("an honest record with notes was refused: %v", refusal)
	}
	plain, _ := recordOf(t, paper)
	if len(record.Notes) != 2 || record.Digest != plain.Digest || plain.NotesDigest != "" {
		t.Errorf("%d notes, digest %.12s…; without notes %.12s…, of notes %q", len(record.Notes), record.Digest, plain.Digest, plain.NotesDigest)
	}
	for name, spoil := range map[string]func([]byte) []byte{
		"rewind hidden":  swap(`"from":3`, `"from":2`),
		"section hidden": swap(`section-shown`, `section-hidden`),
		"moment changed": swap(`{"after":1`, `{"after":0`),
		"note left out":  swap(`{"after":0,"kind":"section-shown"},`, ``),
		"all notes struck": func(d []byte) []byte {
			at, end := bytes.Index(d, []byte(`"notes"`)), bytes.Index(d, []byte(`"notes_digest"`))
			return slices.Concat(d[:at], d[end:])
		},
	} {
		spoilt := spoil(slices.Clone(data))
		if bytes.Equal(spoilt, data) {
			t.Errorf("%s: nothing was spoilt", name)
		}
		if refusal := check(spoilt, paper); refusal == nil || refusal.Class != attempt.DigestDiffers {
			t.Errorf("%s: got %v, want a differing digest", name, refusal)
		}
	}
}

// TestNoteBounds: what no session makes is refused, at the run and in a record.
func TestNoteBounds(t *testing.T) {
	paper := paperOf(t, 1)
	record, _ := noted(t, paper)
	for _, c := range []struct {
		note attempt.Note
		say  string
	}{
		{attempt.Note{Kind: "cheat"}, "unknown kind"},
		{attempt.Note{Kind: attempt.NoteHint, After: -1}, "after -1 actions"},
		{attempt.Note{Kind: attempt.NoteHint, From: 2}, "goes back from 2"},
		{attempt.Note{Kind: attempt.NoteRewind}, "goes back from 0"},
		{attempt.Note{Kind: attempt.NoteRewind, After: 4, From: 2}, "from 2 to 4"},
		{attempt.Note{Kind: attempt.NoteDrill, Detail: strings.Repeat("x", 41)}, "at most 40"},
		{attempt.Note{Kind: attempt.NoteDrill, Detail: "<b>"}, "small letters"},
	} {
		if err := attempt.Begin(paper).Note(c.note); err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%+v: got %v, want %q", c.note, err, c.say)
		}
		forged := record
		forged.Notes = []attempt.Note{c.note}
		if refusal := attempt.Verify(forged, paper); refusal == nil || refusal.Class != attempt.OutOfBounds {
			t.Errorf("%+v in a record: got %v, want out of bounds", c.note, refusal)
		}
	}
}
