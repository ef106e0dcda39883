package exam

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Export is a finished sitting as it is handed in.
type Export struct {
	Schema    string   `json:"schema"`
	Engine    string   `json:"engine"`
	Paper     string   `json:"paper"`
	Candidate string   `json:"candidate"`
	Attempt   int      `json:"attempt"` // from 1
	Packet    string   `json:"packet"`  // digest
	Key       string   `json:"key"`     // public half of the candidate's, hex
	Log       []Event  `json:"log"`
	Cases     []Result `json:"cases"`   // in the packet's order
	Answers   []Answer `json:"answers"` // the last ones, in the packet's order
	Signature string   `json:"signature"`
}

// Result is what came of a case, to be compared with a re-run.
type Result struct {
	Name    string            `json:"name"`
	Seed    string            `json:"seed"` // decimal
	Outcome treatment.Outcome `json:"outcome"`
	Marks   marking.Marks     `json:"marks"`  // by the rules in the packet: none, unless marks may be seen
	Digest  string            `json:"digest"` // of the last checkpoint, the outcome and the marks
}

// Answer is the last answer to a question.
type Answer struct {
	Item     string        `json:"item"`
	Response quiz.Response `json:"response"`
}

// close makes the export of a submitted sitting.
func (s *Sitting) close() error {
	e := Export{Schema: ExportSchema, Engine: engine(), Paper: s.packet.Paper, Candidate: s.packet.Candidate,
		Attempt: s.attempt, Packet: s.digest, Key: PublicKey(s.key), Log: s.log, Cases: []Result{}, Answers: []Answer{}}
	for n, run := range s.runs {
		r := run.Close()
		e.Cases = append(e.Cases, Result{s.packet.Cases[n].Name, s.packet.Cases[n].Seed, r.Outcome, r.Marks, r.Digest})
	}
	e.Answers = lastAnswers(s.packet, s.answers)
	text, err := e.encode(s.key)
	s.export = text
	return err
}

// lastAnswers lists answers in the packet's order.
func lastAnswers(packet Packet, answers map[string]quiz.Response) []Answer {
	list := []Answer{}
	for _, shown := range packet.Items {
		if r, answered := answers[shown.Item.ID]; answered {
			list = append(list, Answer{shown.Item.ID, r})
		}
	}
	return list
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

// spokenSize is how many of 256 bits a spoken receipt holds: a second file with the same one is not found
// by trying, in the time of an examination.
const spokenSize = 60 / 5

// Spoken returns a receipt of an export that is short enough to be read aloud or written down: the first 60
// bits of its SHA-256, as three groups of four letters and digits without I, L, O and U. Checked by
// TestSpoken.
func Spoken(export []byte) string {
	return SpokenDigest(Digest(export))
}

// SpokenDigest returns what Spoken does of an export by its SHA-256 in hex, "" for a text that is none.
func SpokenDigest(digest string) string {
	sum, err := hex.DecodeString(digest)
	if err != nil || len(sum) != sha256.Size {
		return ""
	}
	text := base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").EncodeToString(sum)[:spokenSize]
	return text[:4] + "-" + text[4:8] + "-" + text[8:]
}

// signatureMark is what stands before the signature in canonical JSON: the last key of the document.
const signatureMark = `,"signature":"`

// signed returns an export's bytes as they were signed, its signature, and the key named in it, without
// decoding it; nil where there are none.
func signed(data []byte, keyHex string) (text, signature []byte, key ed25519.PublicKey) {
	end := bytes.LastIndex(data, []byte(signatureMark))
	if end < 0 {
		return nil, nil, nil
	}
	begin := end + len(signatureMark)
	length := bytes.IndexByte(data[begin:], '"')
	if length != 2*ed25519.SignatureSize || begin+length+2 != len(data) {
		return nil, nil, nil
	}
	written := string(data[begin : begin+length])
	signature, err := hex.DecodeString(written)
	if err != nil || hex.EncodeToString(signature) != written { // capital letters would be a second form
		return nil, nil, nil
	}
	key, err = hex.DecodeString(keyHex)
	if err != nil || len(key) != ed25519.PublicKeySize {
		return nil, nil, nil
	}
	return append(bytes.Clone(data[:begin]), '"', '}'), signature, key
}

// Decode reads an export: its form, engine, signature, bounds, and the chain of its log. It needs no paper
// and runs nothing, so a decoded export is not a verified one. The error is a *Refusal. Checked by
// TestRefusalFiles, TestMutations and FuzzVerify.
func Decode(data []byte) (Export, error) {
	h, refused := glance(data, ExportSchema)
	switch {
	case refused != nil:
		return Export{}, refused
	case *h.Engine != engine():
		return Export{}, refuse(OtherEngine, "made by engine %.40q, this is engine %q: re-running would prove nothing", *h.Engine, engine())
	}
	text, signature, key := signed(data, h.Key)
	switch {
	case key == nil:
		return Export{}, refuse(CandidateSignature, "no signature of a candidate's key stands at its end")
	case !ed25519.Verify(key, text, signature):
		return Export{}, refuse(CandidateSignature, "the signature does not belong to the content: it was changed after it was signed")
	}
	var e Export
	if refused := exact(data, &e); refused != nil {
		return Export{}, refused
	}
	for _, look := range []func() *Refusal{e.bounds, e.gaps, e.chain} {
		if refused := look(); refused != nil {
			return Export{}, refused
		}
	}
	return e, nil
}

// bounds refuses what is beyond what a sitting can hold.
func (e *Export) bounds() *Refusal {
	switch {
	case e.Log == nil || e.Cases == nil || e.Answers == nil:
		return refuse(OutOfBounds, "null stands where a sitting has a list")
	case len(e.Log) > mostLines || len(e.Cases) > mostCases || len(e.Answers) > mostItems:
		return refuse(OutOfBounds, "%d lines, %d cases, %d answers; at most %d, %d, %d", len(e.Log), len(e.Cases), len(e.Answers), mostLines, mostCases, mostItems)
	case e.Attempt < 1 || e.Attempt > 1000:
		return refuse(OutOfBounds, "it is attempt %d", e.Attempt)
	case !attempt.IsDigest(e.Packet) || !attempt.IsDigest(e.Key):
		return refuse(OutOfBounds, "the packet or the key is not 64 hexadecimal digits")
	}
	for _, id := range []string{e.Paper, e.Candidate} {
		if err := CheckID(id); err != nil {
			return refuse(OutOfBounds, "%v", err)
		}
	}
	for i, line := range e.Log {
		if err := line.shape(); err != nil {
			return refuseAt(OutOfBounds, i, "line %d: %v", i+1, err)
		}
	}
	return nil
}

// gaps refuses a log whose lines are not all there.
func (e *Export) gaps() *Refusal {
	for i, line := range e.Log {
		if line.Index != i {
			return refuseAt(LogGap, i, "line %d of the log calls itself line %d: one was dropped, repeated or moved", i+1, line.Index+1)
		}
		last := i == len(e.Log)-1
		switch {
		case (i == 0) != (line.Kind == KindStart):
			return refuseAt(LogGap, i, "line %d of the log: a line of kind %s does not stand here", i+1, line.Kind)
		case line.Kind == KindSubmit && !last:
			return refuseAt(AfterSubmit, i+1, "line %d of the log comes after the sitting was submitted", i+2)
		case last && line.Kind != KindSubmit:
			return refuse(NotSubmitted, "the log ends with line %d, before the sitting was submitted", i+1)
		}
	}
	if len(e.Log) == 0 {
		return refuse(NotSubmitted, "the log is empty")
	}
	return nil
}

// chain refuses a log whose lines do not follow from one another.
func (e *Export) chain() *Refusal {
	start := e.Log[0]
	if start.Packet != e.Packet || start.Attempt != e.Attempt {
		began, says := attempt.Part(start.Packet, e.Packet)
		return refuseAt(ChainBroken, 0, "the log began as attempt %d of packet %s, the sitting says %d of %s", start.Attempt, began, e.Attempt, says)
	}
	hash := first(e.Packet, e.Attempt)
	for i, line := range e.Log {
		next, err := link(hash, line)
		if err != nil || next != line.Hash {
			got, want := attempt.Part(line.Hash, next)
			return refuseAt(ChainBroken, i, "line %d of the log does not follow from those before it: got %s, want %s", i+1, got, want)
		}
		hash = next
	}
	return nil
}

// Follows refuses an export that is not what a server kept of the sitting while it was sat: lines as Log
// got them. The server may have fewer lines, when the last could not be sent. Checked by TestFollows.
func (e Export) Follows(lines [][]byte) *Refusal {
	for i, kept := range lines {
		if i >= len(e.Log) {
			return refuseAt(ServerLog, i, "the server has %d lines, the sitting %d", len(lines), len(e.Log))
		}
		own, err := EncodeLine(e.Log[i])
		if err != nil || !bytes.Equal(own, kept) {
			return refuseAt(ServerLog, i, "line %d is not the one that reached the server while it was sat", i+1)
		}
	}
	return nil
}

// record returns a case of an export as a record, to be carried out again.
func (e *Export) record(one int, c attempt.Paper) attempt.Record {
	r := e.Cases[one]
	out := attempt.Record{Engine: e.Engine, Scenario: attempt.Source{Name: c.Case.Scenario, Digest: c.Case.Digest}, Seed: c.Case.Seed,
		Actions: []treatment.Action{}, Checkpoints: []attempt.Checkpoint{}, Outcome: r.Outcome, Marks: r.Marks, Digest: r.Digest}
	for _, line := range e.Log {
		if line.Kind == KindAction && line.Case == one {
			out.Checkpoints = append(out.Checkpoints, attempt.Checkpoint{Action: len(out.Actions), Elapsed: line.Elapsed, Digest: line.State})
			out.Actions = append(out.Actions, *line.Action)
		}
	}
	return out
}
