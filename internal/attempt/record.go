package attempt

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/gowebpki/jcs"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// MostBytes bounds a record, wherever one is read, sent or kept. A treatment of four canals with two hundred actions
// takes about 60 kB.
const MostBytes = 8 << 20

// Limits of a record.
const (
	format     = 1
	maxName    = 200
	hexDigits  = "0123456789abcdef"
	digestSize = 64
)

// Record is a finished run: what was done, and what came of it. The actions are the record; all else
// is there to be compared when they are run again.
type Record struct {
	Format      int                `json:"format"`
	Engine      string             `json:"engine"` // treatment.Engine
	Scenario    Source             `json:"scenario"`
	Seed        uint64             `json:"seed,string"` // as text: JSON numbers are exact only to 2^53
	Actions     []treatment.Action `json:"actions"`
	Checkpoints []Checkpoint       `json:"checkpoints"` // one for each action
	Outcome     treatment.Outcome  `json:"outcome"`
	Marks       marking.Marks      `json:"marks"`
	Notes       []Note             `json:"notes,omitempty"` // what is not an action: hints, rewinds
	Digest      string             `json:"digest"`          // of the last checkpoint, the outcome and the marks
	NotesDigest string             `json:"notes_digest,omitempty"`
}

// Source names the scenario of a run.
type Source struct {
	Name   string `json:"name"`
	Digest string `json:"digest"` // of its content, as in treatment.Case
}

// Checkpoint is the run after an action.
type Checkpoint struct {
	Action  int    `json:"action"`     // index of the action, from 0
	Elapsed int    `json:"elapsed_ms"` // since the beginning
	Digest  string `json:"digest"`     // SHA-256 over the checkpoint before, the action, its events and the state
}

// Encode returns a record as canonical JSON (RFC 8785): one line, keys sorted, no space, no line end.
// Equal records give equal bytes. Checked by TestRoundTrip.
func Encode(r Record) ([]byte, error) {
	canonical, err := Canonical(r)
	if err != nil {
		return nil, fmt.Errorf("encode record: %w", err)
	}
	return canonical, nil
}

// Decode reads a record. It accepts exactly the bytes that Encode writes, within bounds, of this
// engine; the error is a *Refusal. It runs nothing, so a decoded record is not yet a verified one.
// Checked by TestDecodeRefuses, TestEveryByteCounts and FuzzDecode.
func Decode(data []byte) (Record, error) {
	if refusal := plausible(data); refusal != nil {
		return Record{}, refusal
	}
	canonical, err := jcs.Transform(data)
	if err != nil {
		return Record{}, malformed(err)
	}
	if refusal := header(data); refusal != nil {
		return Record{}, refusal
	}
	if !bytes.Equal(canonical, data) {
		return Record{}, notCanonical(data, canonical)
	}
	var record Record
	if unknown, err := Strict(data, &record); err != nil {
		return Record{}, undecoded(unknown, err)
	}
	if again, err := Encode(record); err != nil || !bytes.Equal(again, data) {
		return Record{}, notCanonical(data, again)
	}
	if reason := record.bounds(); reason != "" {
		return Record{}, refuse(OutOfBounds, "%s", reason)
	}
	return record, nil
}

// plausible refuses at a glance what cannot be a record.
func plausible(data []byte) error {
	switch {
	case len(data) > MostBytes:
		return refuse(TooLarge, "%d bytes, a record has at most %d", len(data), MostBytes)
	case len(data) == 0:
		return refuse(NotRecord, "the file is empty")
	case data[0] != '{':
		return refuse(NotRecord, "it does not begin with { as a record does")
	}
	var syntax *json.SyntaxError
	if err := json.Unmarshal(data, &json.RawMessage{}); errors.As(err, &syntax) {
		return refuse(Malformed, "byte %d: %s", syntax.Offset, syntax.Error())
	}
	return nil
}

// malformed tells a doubled key from other things that canonical JSON does not allow.
func malformed(err error) error {
	if Doubled(err) {
		return refuse(DoubleKey, "%s", err)
	}
	return refuse(Malformed, "%s", err)
}

// header checks format and engine before anything else is looked at, since another engine may write
// other fields.
func header(data []byte) error {
	var h struct {
		Format *int    `json:"format"`
		Engine *string `json:"engine"`
	}
	if err := json.Unmarshal(data, &h); err != nil || h.Format == nil || h.Engine == nil {
		return refuse(NotRecord, "it states no format and engine")
	}
	if *h.Engine != treatment.Engine {
		return refuse(OtherEngine, "made by engine %.40q, this is engine %q: re-running would prove nothing", *h.Engine, treatment.Engine)
	}
	if *h.Format != format {
		return refuse(NotRecord, "its format is %d, this program reads %d", *h.Format, format)
	}
	return nil
}

// notCanonical says where data leaves the one form in which a record is written.
func notCanonical(data, canonical []byte) error {
	at, found, wanted := Departure(data, canonical)
	return refuse(NotCanonical, "byte %d: found %q where a record has %q: it was changed after it was written", at, found, wanted)
}

// undecoded says which field a record does not have or cannot hold.
func undecoded(unknown bool, err error) error {
	class := Malformed
	if unknown {
		class = UnknownField
	}
	return refuse(class, "%s", strings.TrimPrefix(err.Error(), "json: "))
}

// bounds returns what in a record is beyond what a run can leave, or "".
func (r *Record) bounds() string {
	switch {
	case r.Actions == nil || r.Checkpoints == nil || r.Outcome.Metrics == nil || r.Marks.Critical == nil || r.Marks.Rules == nil:
		return "null stands where a record has a list"
	case len(r.Actions) > maxActions:
		return fmt.Sprintf("%d actions, a run has at most %d", len(r.Actions), maxActions)
	case len(r.Checkpoints) != len(r.Actions):
		return fmt.Sprintf("%d checkpoints for %d actions", len(r.Checkpoints), len(r.Actions))
	case len(r.Scenario.Name) > maxName:
		return "the scenario's name is too long"
	case !IsDigest(r.Scenario.Digest):
		return "the scenario's digest is not 64 hexadecimal digits"
	case !IsDigest(r.Digest):
		return "the digest is not 64 hexadecimal digits"
	}
	for i, a := range r.Actions {
		if err := a.Check(); err != nil {
			return fmt.Sprintf("action %d: %v", i+1, err)
		}
		if c := r.Checkpoints[i]; c.Action != i || !IsDigest(c.Digest) {
			return fmt.Sprintf("action %d: its checkpoint is not its own", i+1)
		}
	}
	return r.noteBounds()
}

// IsDigest reports whether text is a SHA-256 in hex: 64 digits, letters small. Checked by TestDecodeRefuses.
func IsDigest(text string) bool {
	return len(text) == digestSize && strings.Trim(text, hexDigits) == ""
}
