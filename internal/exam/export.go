package exam

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
)

// Export is a finished sitting as it is handed in.
type Export struct {
	Schema    string           `json:"schema"`
	Engine    string           `json:"engine"`
	Paper     string           `json:"paper"`
	Candidate string           `json:"candidate"`
	Attempt   string           `json:"attempt"`
	Packet    string           `json:"packet"` // digest
	Key       string           `json:"key"`    // of the session, hex
	Log       []Event          `json:"log"`
	Records   []attempt.Record `json:"records"` // one for each case
	Answers   []Answer         `json:"answers"` // the last ones, in the packet's order
	Signature string           `json:"signature"`
}

// Answer is the last answer to a question.
type Answer struct {
	Item     string        `json:"item"`
	Response quiz.Response `json:"response"`
}

// close makes the export of a submitted sitting.
func (s *Sitting) close() error {
	e := Export{Schema: ExportSchema, Engine: s.packet.Engine, Paper: s.packet.Paper, Candidate: s.packet.Candidate,
		Attempt: s.attempt, Packet: s.digest, Key: public(s.key), Log: s.log, Records: []attempt.Record{}, Answers: []Answer{}}
	for _, run := range s.runs {
		e.Records = append(e.Records, run.Close())
	}
	for _, shown := range s.packet.Items {
		if r, answered := s.answers[shown.Item.ID]; answered {
			e.Answers = append(e.Answers, Answer{shown.Item.ID, r})
		}
	}
	text, err := e.encode(s.key)
	s.export = text
	return err
}

// encode signs an export and returns it as canonical JSON.
func (e Export) encode(key ed25519.PrivateKey) ([]byte, error) {
	e.Signature = ""
	var err error
	if e.Signature, err = sign(e, key); err != nil {
		return nil, err
	}
	return canonical(e)
}

// Digest returns the SHA-256 of an export's bytes in hex: what a receipt names.
func Digest(export []byte) string {
	sum := sha256.Sum256(export)
	return hex.EncodeToString(sum[:])
}

// signatureMark is what stands before the signature in canonical JSON: the last key of the document.
const signatureMark = `,"signature":"`

// signed returns an export's bytes as they were signed, and its signature and key, without decoding it.
func signed(data []byte) (text, signature []byte, key ed25519.PublicKey) {
	end := bytes.LastIndex(data, []byte(signatureMark))
	if end < 0 {
		return nil, nil, nil
	}
	begin := end + len(signatureMark)
	length := bytes.IndexByte(data[begin:], '"')
	if length != 2*ed25519.SignatureSize || begin+length+2 != len(data) {
		return nil, nil, nil
	}
	signature, err := hex.DecodeString(string(data[begin : begin+length]))
	if err != nil {
		return nil, nil, nil
	}
	var head struct {
		Key string `json:"key"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, nil, nil
	}
	key, err = hex.DecodeString(head.Key)
	if err != nil || len(key) != ed25519.PublicKeySize {
		return nil, nil, nil
	}
	return append(append([]byte(nil), data[:begin]...), '"', '}'), signature, key
}

// Decode reads an export: its form, its bounds, its signature, the chain of its log. It runs nothing, so
// a decoded export is not a verified one. The error is a *Refusal. Checked by TestMutations, TestClasses
// and FuzzDecode.
func Decode(data []byte) (Export, error) {
	if refused := glance(data); refused != nil {
		return Export{}, refused
	}
	text, signature, key := signed(data)
	if key == nil {
		return Export{}, refuse(BadSignature, "no signature of a session's key stands at its end")
	}
	if !ed25519.Verify(key, text, signature) {
		return Export{}, refuse(BadSignature, "the signature does not belong to the content: it was changed after it was handed in")
	}
	var e Export
	if err := strict(data, ExportSchema, &e); err != nil {
		return Export{}, refuse(Malformed, "%v", err)
	}
	if again, err := canonical(e); err != nil || !bytes.Equal(again, data) {
		return Export{}, refuse(Malformed, "it is not the one form in which a sitting is written")
	}
	if refused := e.bounds(); refused != nil {
		return Export{}, refused
	}
	if refused := e.chain(); refused != nil {
		return Export{}, refused
	}
	return e, nil
}

// glance refuses cheaply what cannot be an export.
func glance(data []byte) *Refusal {
	if len(data) > mostBytes {
		return refuse(TooLarge, "%d bytes, a sitting has at most %d", len(data), mostBytes)
	}
	var head struct {
		Schema string `json:"schema"`
	}
	err := json.Unmarshal(data, &head)
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax) && int(syntax.Offset) >= len(data) && len(data) > 0 && data[0] == '{':
		return refuse(Incomplete, "the file ends in the middle, after %d bytes", len(data))
	case errors.Is(err, io.ErrUnexpectedEOF), len(data) == 0, errors.As(err, &syntax) && data[0] != '{':
		return refuse(NotSitting, "it is not JSON")
	case err != nil:
		return refuse(Malformed, "%v", err)
	case head.Schema != ExportSchema:
		return refuse(NotSitting, "its schema is %.40q; expected %q", head.Schema, ExportSchema)
	}
	return nil
}

// bounds refuses what is beyond what a sitting can leave.
func (e *Export) bounds() *Refusal {
	switch {
	case e.Log == nil || e.Records == nil || e.Answers == nil:
		return refuse(Malformed, "null stands where a sitting has a list")
	case len(e.Log) == 0:
		return refuse(Incomplete, "its log is empty")
	case len(e.Log) > mostEvents:
		return refuse(OutOfBounds, "its log has %d lines, at most %d", len(e.Log), mostEvents)
	case len(e.Attempt) == 0 || len(e.Attempt) > 64 || len(e.Candidate) > 64 || len(e.Paper) > 64:
		return refuse(OutOfBounds, "an id is empty or longer than 64 characters")
	}
	for i, line := range e.Log {
		if line.Index != i {
			return refuseAt(BrokenChain, i, "line %d calls itself line %d: a line was dropped, repeated or moved", i+1, line.Index+1)
		}
		if err := line.shape(); err != nil {
			return refuseAt(UnknownEvent, i, "line %d: %v", i+1, err)
		}
	}
	return nil
}

// chain refuses a log whose lines do not follow from one another.
func (e *Export) chain() *Refusal {
	hash := first(e.Packet, e.Attempt, e.Key)
	for i, line := range e.Log {
		next, err := link(hash, line)
		if err != nil || next != line.Hash {
			return refuseAt(BrokenChain, i, "line %d does not follow from those before it: got %.12s…, want %.12s…", i+1, line.Hash, next)
		}
		hash = next
		last := i == len(e.Log)-1
		if (i == 0) != (line.Kind == KindStart) {
			return refuseAt(BrokenChain, i, "line %d: a line of kind %s does not stand here", i+1, line.Kind)
		}
		if line.Kind == KindSubmit && !last {
			return refuseAt(AfterSubmit, i+1, "line %d comes after the sitting was submitted", i+2)
		}
		if last && line.Kind != KindSubmit {
			return refuse(Incomplete, "the log ends with line %d, before the sitting was submitted", i+1)
		}
	}
	return nil
}

// Receipt says that a sitting was received.
type Receipt struct {
	Schema    string `json:"schema"`
	Paper     string `json:"paper"`
	Candidate string `json:"candidate"`
	Attempt   string `json:"attempt"`
	Digest    string `json:"digest"`     // of the export
	ReceivedS int64  `json:"received_s"` // s since 1970 by the clock of who signs
	Key       string `json:"key"`
	Signature string `json:"signature"`
}

// Sign returns the receipt of an export, signed by the key of whom it was handed to.
func Sign(export []byte, receivedS int64, key ed25519.PrivateKey) (Receipt, error) {
	e, err := Decode(export)
	if err != nil {
		return Receipt{}, err
	}
	r := Receipt{Schema: ReceiptSchema, Paper: e.Paper, Candidate: e.Candidate, Attempt: e.Attempt, Digest: Digest(export), ReceivedS: receivedS, Key: public(key)}
	r.Signature, err = sign(r, key)
	return r, err
}

// Check returns nil when the receipt is for these bytes and signed by the key (hex).
func (r Receipt) Check(export []byte, key string) error {
	bare := r
	bare.Signature = ""
	if r.Key != key {
		return fmt.Errorf("the receipt is signed by another key")
	}
	if r.Digest != Digest(export) {
		return errors.New("the receipt is for another sitting")
	}
	return check(bare, key, r.Signature)
}
