// Package exam holds examinations: the paper an instructor keeps, the packet a candidate receives, the
// sitting with its chained log, the export, and its verification.
//
// The main idea: what a candidate did is the evidence. A Sitting keeps every action and answer in a
// log whose lines are chained by SHA-256 and signs the export with a key of its own; Verify carries
// every action out again on the tooth the paper gives that candidate and marks it anew, so that neither
// marks nor outcomes in an export are ever believed.
//
// What a packet reveals: a machine that grows the tooth knows the tooth, so a candidate who reads the
// packet with a program of their own can compute what is hidden. Rules, keys of the quiz, the protocol
// and the comments of the scenario are not in it. What verification cannot show: who sat there, what
// stood on a second screen, or whether a program chose the actions. Times come from the candidate's
// machine; they are noted, and no mark depends on them.
//
// The package reads no file, no clock and no source of chance: they are handed in. Begin reading at
// Seal, then Start in sitting.go and Verify in verify.go.
package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"github.com/gowebpki/jcs"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
)

// Names of the documents, each with the version of its form.
const (
	PaperSchema   = "tugback-paper-1"
	PacketSchema  = "tugback-packet-1"
	ExportSchema  = "tugback-sitting-1"
	ReceiptSchema = "tugback-receipt-1"
)

// Paper is an examination as the instructor keeps it. It holds the secret and the keys of the quiz and
// is never handed out. Seal makes it.
type Paper struct {
	Schema     string      `json:"schema"`
	Engine     string      `json:"engine"`
	ID         string      `json:"id"`
	Title      string      `json:"title"`
	Cases      []Case      `json:"cases"`
	Items      []Item      `json:"items"`
	Candidates []Candidate `json:"candidates"`
	Terms      Terms       `json:"terms"`
	Trial      TrialNote   `json:"trial"`
	Secret     string      `json:"secret"`     // hex, 32 bytes; told after the examination
	Commitment string      `json:"commitment"` // SHA-256 of the secret, told before it
	PublicKey  string      `json:"public_key"` // hex, ed25519
	Signature  string      `json:"signature"`  // over the canonical form with an empty signature
}

// Case is one case of a paper.
type Case struct {
	Name   string         `json:"name"`
	Title  string         `json:"title"`
	Digest string         `json:"digest"`          // of the whole scenario
	Text   string         `json:"text"`            // scenario without what is not needed to run it
	Rules  []marking.Rule `json:"rules,omitempty"` // in a packet only when marks are shown
	Pass   float64        `json:"pass,omitempty"`  // share of the marks
	Seed   string         `json:"seed,omitempty"`  // in a packet: decimal
}

// Item is a question with its key and what it is worth.
type Item struct {
	Item   quiz.Item `json:"item"`
	Points float64   `json:"points"`
}

// Candidate is a pseudonymous id with what is their own. Names stay in the roster.
type Candidate struct {
	ID         string    `json:"id"`
	Seeds      []string  `json:"seeds"`    // decimal, one for each case
	Draws      []int     `json:"draws"`    // which draw each seed is, from 0
	Expected   []float64 `json:"expected"` // share of the marks that the trial earned on each tooth
	TimeFactor float64   `json:"time_factor"`
	RestS      int       `json:"rest_s"` // rest breaks in all
}

// Terms are the conditions under which a paper is sat.
type Terms struct {
	FromS     int64 `json:"from_s"`  // s since 1970; 0 open
	UntilS    int64 `json:"until_s"` // 0 open
	LimitS    int   `json:"limit_s"` // before extra time; 0 none
	Attempts  int   `json:"attempts"`
	ShowMarks bool  `json:"show_marks"` // rules are in the packet
}

// TrialNote is how the teeth were made alike: every tooth's expected marks lie within Width of the
// Centre of its case.
type TrialNote struct {
	Operator string    `json:"operator"` // "" when no trial was run
	Hands    int       `json:"hands"`    // treatments of each tooth
	Width    float64   `json:"width"`    // share of the marks, either side
	MaxDraws int       `json:"max_draws"`
	Centres  []float64 `json:"centres"` // of each case
	Error    []float64 `json:"error"`   // of each case: standard error of one tooth's expected marks
	Spread   []Spread  `json:"spread"`  // of each case: expected marks of the first draws, and as sealed
}

// Spread is the least and the most of expected marks, as shares, before and after drawing anew.
type Spread struct {
	FirstLow  float64 `json:"first_low"`
	FirstHigh float64 `json:"first_high"`
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
	Redrawn   int     `json:"redrawn"` // candidates whose first tooth lay outside
}

// canonical returns v as RFC 8785 JSON.
func canonical(v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("canonical JSON: %w", err)
	}
	out, err := jcs.Transform(text)
	if err != nil {
		return nil, fmt.Errorf("canonical JSON: %w", err)
	}
	return out, nil
}

// CaseOf returns a scenario as a case of a paper.
func CaseOf(s scenario.Scenario) (Case, error) {
	text, err := s.Stripped()
	if err != nil {
		return Case{}, err
	}
	return Case{Name: s.Name(), Title: s.Title(), Digest: s.Digest(), Text: string(text), Rules: s.Rules(), Pass: s.PassMark()}, nil
}

// Grow grows the case from a decimal seed, with its rules compiled; a case without rules marks nothing.
func (c Case) Grow(seed string) (attempt.Paper, error) {
	n, err := strconv.ParseUint(seed, 10, 64)
	if err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s: %.40q is no seed", c.Name, seed)
	}
	s, err := scenario.Parse(c.Name+".yaml", []byte(c.Text))
	if err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s: %w", c.Name, err)
	}
	grown, err := s.Case(n)
	if err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s, seed %s: %w", c.Name, seed, err)
	}
	grown.Digest = c.Digest
	marker, faults := marking.Compile(c.Rules)
	if len(faults) > 0 {
		return attempt.Paper{}, fmt.Errorf("case %s: rule %d: %s", c.Name, faults[0].Rule+1, faults[0].Message)
	}
	return attempt.Paper{Case: grown, Marker: marker}, nil
}

// Encode returns a paper as canonical JSON.
func (p Paper) Encode() ([]byte, error) { return canonical(p) }

// DecodePaper reads a paper and checks its signature, which proves that it is as it was sealed, not by
// whom. Checked by TestPaperFiles and FuzzDecodePaper.
func DecodePaper(data []byte) (Paper, error) {
	var p Paper
	if err := strict(data, PaperSchema, &p); err != nil {
		return Paper{}, fmt.Errorf("paper: %w", err)
	}
	bare := p
	bare.Signature = ""
	if err := check(bare, p.PublicKey, p.Signature); err != nil {
		return Paper{}, fmt.Errorf("paper: %w", err)
	}
	for _, c := range p.Candidates {
		if len(c.Seeds) != len(p.Cases) {
			return Paper{}, fmt.Errorf("paper: candidate %s has %d seeds for %d cases", c.ID, len(c.Seeds), len(p.Cases))
		}
	}
	return p, nil
}

// check verifies a signature in hex over the canonical form of v.
func check(v any, key, signature string) error {
	public, err := hex.DecodeString(key)
	if err != nil || len(public) != ed25519.PublicKeySize {
		return errors.New("the public key is not 64 hexadecimal digits")
	}
	sig, err := hex.DecodeString(signature)
	if err != nil {
		return errors.New("the signature is not hexadecimal")
	}
	text, err := canonical(v)
	if err != nil {
		return err
	}
	if !ed25519.Verify(public, text, sig) {
		return errors.New("the signature does not belong to the content and the key")
	}
	return nil
}

// sign returns the signature, in hex, over the canonical form of v.
func sign(v any, key ed25519.PrivateKey) (string, error) {
	text, err := canonical(v)
	if err != nil {
		return "", err
	}
	return hex.EncodeToString(ed25519.Sign(key, text)), nil
}

// public returns the public half of a key in hex.
func public(key ed25519.PrivateKey) string {
	return hex.EncodeToString(key.Public().(ed25519.PublicKey)) //nolint:forcetypeassert // by its type
}
