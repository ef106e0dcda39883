package attempt

import (
	"fmt"
	"slices"
	"strings"

	"tugback/internal/detmath"
)

// Note is something of a session that is not an action and changes no state: a hint, a look at the
// section, a return to an earlier moment. Running the actions again can't give it, so a note is what the
// session said of itself: it stands outside the record's digest, under a seal of its own that ties it to
// that digest, and within bounds. The seal shows a change; that no notes were struck together with their
// seal only a signature can show.
type Note struct {
	After  int    `json:"after"`            // actions done when it was made, from 0
	Kind   string `json:"kind"`             // one of NoteKinds
	From   int    `json:"from,omitempty"`   // of a return: actions there were before it
	Detail string `json:"detail,omitempty"` // of a drill or lesson: its name; of a measure: canal and 0.01 mm, "mb-2135"
}

// The kinds of note.
const (
	NoteSectionShown  = "section-shown"
	NoteSectionHidden = "section-hidden"
	NoteLiveOn        = "live-film-shown"
	NoteLiveOff       = "live-film-hidden"
	NoteHint          = "hint"
	NoteGuideOn       = "guidance-on"
	NoteGuideOff      = "guidance-off"
	NoteRewind        = "rewind" // wound back to a checkpoint
	NoteAgain         = "again"  // begun again from a moment of the debrief
	NoteDrill         = "drill"  // the first actions were done for the student
	NoteRuler         = "ruler"  // a length on a film was measured and written down, not corrected
)

// NoteKinds returns all kinds of note.
func NoteKinds() []string {
	return []string{NoteSectionShown, NoteSectionHidden, NoteLiveOn, NoteLiveOff, NoteHint, NoteGuideOn, NoteGuideOff, NoteRewind, NoteAgain, NoteDrill, NoteRuler}
}

// Bounds of notes.
const (
	maxNotes  = 2000
	maxDetail = 40
)

// Check returns what is wrong with a note, or nil.
func (n Note) Check() error {
	switch {
	case !slices.Contains(NoteKinds(), n.Kind):
		return fmt.Errorf("unknown kind of note %.40q", n.Kind)
	case n.After < 0 || n.After > maxActions:
		return fmt.Errorf("it was made after %d actions, a run has at most %d", n.After, maxActions)
	case n.From < 0 || n.From > maxActions:
		return fmt.Errorf("it goes back from %d actions, a run has at most %d", n.From, maxActions)
	case (n.Kind == NoteRewind) != (n.From > 0) && n.Kind != NoteAgain:
		return fmt.Errorf("a note %q goes back from %d actions", n.Kind, n.From)
	case n.From > 0 && n.After > n.From:
		return fmt.Errorf("it goes back from %d to %d actions", n.From, n.After)
	case len(n.Detail) > maxDetail || strings.Trim(n.Detail, "abcdefghijklmnopqrstuvwxyz0123456789-") != "":
		return fmt.Errorf("detail %.50q; a name of at most %d small letters, figures and hyphens is allowed", n.Detail, maxDetail)
	}
	return nil
}

// Note adds a note to a run that is not closed; one that Check refuses, or one too many, is an error.
func (r *Run) Note(n Note) error {
	if err := n.Check(); err != nil {
		return err
	}
	switch {
	case r.closed:
		return errClosed
	case len(r.notes) >= maxNotes:
		return fmt.Errorf("a run has at most %d notes", maxNotes)
	}
	r.notes = append(r.notes, n)
	return nil
}

// Notes returns the notes made so far.
func (r *Run) Notes() []Note { return slices.Clone(r.notes) }

// noteBounds returns what in the notes of a record is beyond what a run can leave, or "".
func (r *Record) noteBounds() string {
	if len(r.Notes) > maxNotes {
		return fmt.Sprintf("%d notes, a run has at most %d", len(r.Notes), maxNotes)
	}
	if r.NotesDigest != "" && !IsDigest(r.NotesDigest) {
		return "the digest of the notes is not 64 hexadecimal digits"
	}
	for i, n := range r.Notes {
		if err := n.Check(); err != nil {
			return fmt.Sprintf("note %d: %v", i+1, err)
		}
	}
	return ""
}

// sealNotes returns the digest that ties notes to the record they belong to, "" without notes. It stands
// beside the record's own digest, which is that of the actions and what they led to and so is the same
// whether a hint was asked for or not.
func (r *Record) sealNotes() string {
	if len(r.Notes) == 0 {
		return ""
	}
	return detmath.Digest(struct {
		Record string
		Notes  []Note
	}{r.Digest, r.Notes})
}
