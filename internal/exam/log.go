package exam

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Kind says what a line of a log is about.
type Kind string

// The kinds of line. A log begins with KindStart; after KindSubmit nothing follows.
const (
	KindStart  Kind = "start"
	KindResume Kind = "resume" // the sitting goes on after the program ended
	KindAction Kind = "action"
	KindAnswer Kind = "answer"
	KindRest   Kind = "rest" // a rest begins
	KindBack   Kind = "back" // and ends
	KindLook   Kind = "look" // something that the paper allows was looked at
	KindClock  Kind = "clock"
	KindSubmit Kind = "submit"
)

func kinds() []Kind {
	return []Kind{KindStart, KindResume, KindAction, KindAnswer, KindRest, KindBack, KindLook, KindClock, KindSubmit}
}

// Event is one line of a log.
type Event struct {
	Index   int               `json:"i"`
	Wall    int64             `json:"wall"` // ms since 1970 by the machine's clock
	Mono    int64             `json:"mono"` // ms by a clock that is never set
	Kind    Kind              `json:"kind"`
	Packet  string            `json:"packet,omitempty"`  // start: digest
	Attempt int               `json:"attempt,omitempty"` // start: from 1
	Case    int               `json:"case,omitempty"`    // action, look: from 0
	Action  *treatment.Action `json:"action,omitempty"`
	Elapsed int               `json:"elapsed_ms,omitempty"` // action: on the treatment's clock, after it
	State   string            `json:"state,omitempty"`      // action: digest of the run after it
	Item    string            `json:"item,omitempty"`       // answer
	Answer  *quiz.Response    `json:"answer,omitempty"`
	Note    string            `json:"note,omitempty"` // clock, look
	Hash    string            `json:"hash"`           // of the chain up to here
}

// Bounds of a log.
const (
	mostLines = 20000
	mostNote  = 200
	mostText  = 64 << 10 // of a line, bytes
)

// first returns the hash before the first line:
//
//	h₀ = SHA-256("tugback-exam-1" ‖ packet digest ‖ engine ‖ attempt)
//
// each part after the first behind a zero byte.
func first(packet string, attempt int) string {
	return Digest([]byte("tugback-exam-1\x00" + packet + "\x00" + engine() + "\x00" + strconv.Itoa(attempt)))
}

// link returns the hash after a line, in hex:
//
//	hᵢ = SHA-256(0x01 ‖ hᵢ₋₁ ‖ RFC 8785 form of the line with an empty hash)
//
// The byte before keeps a link from being taken for the digest of a document. Checked by TestChain.
func link(before string, e Event) (string, error) {
	e.Hash = ""
	text, err := canonical(e)
	if err != nil {
		return "", err
	}
	last, err := hex.DecodeString(before)
	if err != nil {
		return "", errors.New("the hash of the line before is not hexadecimal")
	}
	sum := sha256.Sum256(slices.Concat([]byte{1}, last, text))
	return hex.EncodeToString(sum[:]), nil
}

// shape returns what a line has too much or too little for its kind, or nil.
func (e Event) shape() error {
	if !slices.Contains(kinds(), e.Kind) {
		return fmt.Errorf("unknown kind of line %.40q", string(e.Kind))
	}
	parts := []struct{ there, wanted bool }{
		{e.Packet != "", e.Kind == KindStart}, {e.Attempt != 0, e.Kind == KindStart},
		{e.Action != nil, e.Kind == KindAction}, {e.State != "", e.Kind == KindAction},
		{e.Item != "", e.Kind == KindAnswer}, {e.Answer != nil, e.Kind == KindAnswer},
		{e.Note != "", e.Kind == KindClock || e.Kind == KindLook},
	}
	for _, p := range parts {
		if p.there != p.wanted {
			return fmt.Errorf("a line of kind %s has a part too many or too few", e.Kind)
		}
	}
	inCase := e.Kind == KindAction || e.Kind == KindLook
	switch {
	case e.Case != 0 && !inCase || e.Elapsed != 0 && e.Kind != KindAction:
		return fmt.Errorf("a line of kind %s has a part too many", e.Kind)
	case e.Case < 0 || e.Case >= mostCases || e.Attempt < 0 || e.Elapsed < 0 || len(e.Note) > mostNote || len(e.Item) > mostNote:
		return errors.New("a number or text is out of bounds")
	case e.Wall < 0 || e.Wall > largestExact || e.Mono < -largestExact || e.Mono > largestExact:
		return errors.New("a time is out of bounds")
	case !attempt.IsDigest(e.Hash) || e.State != "" && !attempt.IsDigest(e.State) || e.Packet != "" && !attempt.IsDigest(e.Packet):
		return errors.New("a digest is not 64 hexadecimal digits")
	}
	if e.Action != nil {
		return e.Action.Check()
	}
	return nil
}

// EncodeLine returns a line as canonical JSON without a line end.
func EncodeLine(e Event) ([]byte, error) { return canonical(e) }

// DecodeLine reads a line that EncodeLine wrote. Checked by FuzzDecodeLine and FuzzResume.
func DecodeLine(line []byte) (Event, error) {
	if len(line) > mostText {
		return Event{}, fmt.Errorf("%d bytes, a line has at most %d", len(line), mostText)
	}
	var e Event
	if _, err := attempt.Strict(line, &e); err != nil {
		return Event{}, errors.New(plain(err))
	}
	if again, err := canonical(e); err != nil || !bytes.Equal(again, line) {
		return Event{}, errors.New("it is not written as a line of a log is")
	}
	return e, e.shape()
}
