package exam

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// EventKind says what a line of a log is about.
type EventKind string

// The kinds of line. A log begins with KindStart; after KindSubmit nothing follows.
const (
	KindStart  EventKind = "start"
	KindResume EventKind = "resume" // the sitting goes on after the program ended
	KindAction EventKind = "action"
	KindAnswer EventKind = "answer"
	KindRest   EventKind = "rest" // a rest begins
	KindBack   EventKind = "back" // and ends
	KindClock  EventKind = "clock"
	KindSubmit EventKind = "submit"
)

// Event is one line of a log.
type Event struct {
	Index    int               `json:"i"`
	Wall     int64             `json:"wall"` // ms since 1970 by the machine's clock
	Mono     int64             `json:"mono"` // ms by a clock that is never set
	Kind     EventKind         `json:"kind"`
	Case     int               `json:"case,omitempty"` // of an action, from 0
	Action   *treatment.Action `json:"action,omitempty"`
	Item     string            `json:"item,omitempty"` // of an answer
	Response *quiz.Response    `json:"response,omitempty"`
	Note     string            `json:"note,omitempty"` // of the clock
	Hash     string            `json:"hash"`           // of the chain up to here
}

// mostEvents bounds a log.
const mostEvents = 20000

// digestOf returns the SHA-256 of the canonical form of v in hex.
func digestOf(v any) (string, error) {
	text, err := canonical(v)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// first returns the hash before the first line:
//
//	h₀ = SHA-256("tugback-exam-1" ‖ packet digest ‖ engine ‖ attempt ‖ session key)
//
// each part after the first behind a zero byte.
func first(packet, attempt, key string) string {
	sum := sha256.Sum256([]byte("tugback-exam-1\x00" + packet + "\x00" + treatment.Engine + "\x00" + attempt + "\x00" + key))
	return hex.EncodeToString(sum[:])
}

// link returns the hash after a line:
//
//	hᵢ = SHA-256(0x01 ‖ hᵢ₋₁ ‖ RFC 8785 form of the line without its hash)
func link(before string, e Event) (string, error) {
	e.Hash = ""
	text, err := canonical(e)
	if err != nil {
		return "", err
	}
	bytes, err := hex.DecodeString(before)
	if err != nil {
		return "", errors.New("the hash of the line before is not hexadecimal")
	}
	sum := sha256.Sum256(append(append([]byte{1}, bytes...), text...))
	return hex.EncodeToString(sum[:]), nil
}

// shape returns what a line has too much or too little for its kind, or nil.
func (e Event) shape() error {
	action, answer, clock := e.Kind == KindAction, e.Kind == KindAnswer, e.Kind == KindClock
	switch e.Kind {
	case KindStart, KindResume, KindAction, KindAnswer, KindRest, KindBack, KindClock, KindSubmit:
	default:
		return fmt.Errorf("unknown kind of line %.40q", string(e.Kind))
	}
	if (e.Action != nil) != action || (e.Response != nil) != answer || (e.Item != "") != answer || (e.Note != "") != clock || e.Case != 0 && !action {
		return fmt.Errorf("a line of kind %s has a part too many or too few", e.Kind)
	}
	if e.Action != nil {
		return e.Action.Check()
	}
	return nil
}

// clockSlack is by how much wall and monotonic time may part between two lines, ms; allowed is what a
// line may come after the limit, since the clock is read before an action is done and again after it.
const (
	clockSlack = 2000
	allowed    = 5000
)

// unevenly says how the clock ran unevenly between two lines, or "". After a resume the monotonic clock
// begins anew and says nothing.
func unevenly(before, e Event) string {
	wall, mono := e.Wall-before.Wall, e.Mono-before.Mono
	switch {
	case wall < 0:
		return fmt.Sprintf("the clock was set back by %d s", -wall/1000)
	case e.Kind == KindResume:
		return ""
	case mono < 0:
		return "the monotonic clock ran back"
	case wall-mono > clockSlack:
		return fmt.Sprintf("the clock jumped ahead, or the machine slept, by %d s", (wall-mono)/1000)
	case mono-wall > clockSlack:
		return fmt.Sprintf("the clock was set back, or ran slow, by %d s", (mono-wall)/1000)
	}
	return ""
}

// meter adds up the time that a sitting has used, in ms, from its lines alone, so that a sitting under
// way, a resumed one and its verification count alike. Between two lines the larger of wall and
// monotonic time counts; a rest does not as far as rest is left.
type meter struct {
	used, rest int64 // rest left
	resting    bool
	last       Event
	begun      bool
	notes      []string
}

// between returns the time since the last line.
func (m *meter) between(wall, mono int64, resumed bool) int64 {
	if !m.begun {
		return 0
	}
	passed := max(wall-m.last.Wall, 0)
	if !resumed {
		passed = max(passed, mono-m.last.Mono)
	}
	return passed
}

// take counts a line.
func (m *meter) take(e Event) {
	passed := m.between(e.Wall, e.Mono, e.Kind == KindResume)
	if m.begun {
		if text := unevenly(m.last, e); text != "" {
			m.notes = append(m.notes, fmt.Sprintf("line %d: %s", e.Index+1, text))
		}
	}
	if e.Kind == KindResume {
		m.notes = append(m.notes, fmt.Sprintf("line %d: resumed after %d s", e.Index+1, max(e.Wall-m.last.Wall, 0)/1000))
	}
	if m.resting {
		free := min(passed, m.rest)
		m.rest, passed = m.rest-free, passed-free
	}
	m.used += passed
	if e.Kind == KindRest || e.Kind == KindBack {
		m.resting = e.Kind == KindRest
	}
	m.last, m.begun = e, true
}

// usedAt returns the time used if a line were written now.
func (m *meter) usedAt(wall, mono int64) int64 {
	passed := m.between(wall, mono, false)
	if m.resting {
		passed -= min(passed, m.rest)
	}
	return m.used + passed
}

// encodeLine returns a line as canonical JSON.
func encodeLine(e Event) ([]byte, error) { return canonical(e) }

// decodeLine reads a line.
func decodeLine(line []byte) (Event, error) {
	var e Event
	if err := json.Unmarshal(line, &e); err != nil {
		return Event{}, err
	}
	return e, e.shape()
}
