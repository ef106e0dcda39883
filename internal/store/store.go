// Package store keeps a student's practice: the records of finished runs and the run under way.
//
// The main idea: one Store with two homes. On a computer it is a database in a single file (embedded
// SQLite) which survives the loss of the process at any moment; in the browser's page it is the local
// server, which has such a file, or, for a page without a server, what the browser itself offers
// (a download for a record, its own memory for the run under way). Both have the same methods.
//
// The run under way is one text, replaced as a whole after every action; the store does not look into
// it. A record is kept only if attempt.Decode accepts it, byte for byte as it came. Everything read
// here was written on this computer by its own user: it is practice, not evidence in an exam.
//
// Methods wait for the disk or the server; a caller that must not wait, such as one that draws frames,
// calls them from a goroutine of its own. Begin reading at Open.
package store

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"time"

	"tugback/internal/attempt"
)

// CurrentLimit is the largest run under way that is kept, in bytes. A treatment of two hundred
// actions takes about 60 kB.
const CurrentLimit = 1 << 20

// RecordLimit is the largest record that is kept, in bytes; attempt.Decode has the same limit.
const RecordLimit = 8 << 20

// QuizLimit is the largest practice of the quiz that is kept, in bytes: some fifty thousand answers.
const QuizLimit = 8 << 20

// ComfortLimit is the largest text of settings that is kept, in bytes.
const ComfortLimit = 4 << 10

// textKind is a kind of text of which one is kept: JSON of a limited size, in bytes. The name is that of its
// table and of its address.
type textKind struct {
	name  string
	limit int
}

var (
	quizText    = textKind{"quiz", QuizLimit}
	comfortText = textKind{"comfort", ComfortLimit}
)

// check refuses what is no such text.
func (k textKind) check(data []byte) error {
	switch {
	case len(data) > k.limit:
		return fmt.Errorf("keep the %s: %d bytes, allowed %d", k.name, len(data), k.limit)
	case !json.Valid(data):
		return fmt.Errorf("keep the %s: the text is not JSON", k.name)
	}
	return nil
}

// errNoRecord is an fs.ErrNotExist.
var errNoRecord = fmt.Errorf("no record has this number: %w", fs.ErrNotExist)

// Entry is what a list of practice shows of a kept record.
type Entry struct {
	ID        int64     `json:"id"`    // number under which it is kept, from 1, in order of arrival
	Saved     time.Time `json:"saved"` // when it arrived, UTC, to the second
	Scenario  string    `json:"scenario"`
	Content   string    `json:"content"` // digest of the scenario's content
	Engine    string    `json:"engine"`
	Seed      uint64    `json:"seed,string"` // as text: JSON numbers are exact only to 2^53
	Actions   int       `json:"actions"`     // how many
	Elapsed   int       `json:"elapsed_ms"`  // treatment time at the last action
	Total     float64   `json:"total"`       // points
	Available float64   `json:"available"`   // points
	Failed    bool      `json:"failed"`      // a critical error happened
	Digest    string    `json:"digest"`      // the record's own
}

// describe returns what a list shows of a record, without number and date. The error is an
// *attempt.Refusal.
func describe(data []byte) (Entry, error) {
	record, err := attempt.Decode(data)
	if err != nil {
		return Entry{}, err
	}
	e := Entry{
		Scenario: record.Scenario.Name, Content: record.Scenario.Digest,
		Engine: record.Engine, Seed: record.Seed, Actions: len(record.Actions),
		Total: record.Marks.Total, Available: record.Marks.Available, Failed: record.Marks.Failed,
		Digest: record.Digest,
	}
	if n := len(record.Checkpoints); n > 0 {
		e.Elapsed = record.Checkpoints[n-1].Elapsed
	}
	return e, nil
}

// checkCurrent refuses a run under way that is too large to be kept.
func checkCurrent(data []byte) error {
	if len(data) > CurrentLimit {
		return fmt.Errorf("the run under way has %d bytes, at most %d are kept", len(data), CurrentLimit)
	}
	return nil
}
