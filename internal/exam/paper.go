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
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/gowebpki/jcs"

	"tugback/internal/attempt"
	"tugback/internal/detmath"
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
// is never handed out.
type Paper struct {
	Schema     string      `json:"schema"`
	ID         string      `json:"id"`
	Title      string      `json:"title"`
	Cases      []Case      `json:"cases"`
	Items      []quiz.Item `json:"items"`       // with keys
	ItemPoints float64     `json:"item_points"` // points of one item
	Candidates []Candidate `json:"candidates"`
	Terms      Terms       `json:"terms"`
	Band       Band        `json:"band"`
	Secret     string      `json:"secret"`     // hex, 32 bytes
	Commitment string      `json:"commitment"` // SHA-256 of the secret, published beforehand
	PublicKey  string      `json:"public_key"` // hex, ed25519
	Signature  string      `json:"signature"`  // over the canonical form with an empty signature
}

// Case is one case of a paper.
type Case struct {
	Name   string         `json:"name"`
	Title  string         `json:"title"`
	Digest string         `json:"digest"` // of the whole scenario
	Text   string         `json:"text"`   // stripped scenario: what running it needs
	Rules  []marking.Rule `json:"rules,omitempty"`
	Pass   float64        `json:"pass,omitempty"` // share
}

// Candidate is a pseudonymous id with what is their own.
type Candidate struct {
	ID         string    `json:"id"`
	Seeds      []string  `json:"seeds"`    // decimal, one for each case
	Draws      []int     `json:"draws"`    // how often each seed was drawn anew to lie in the band
	Expected   []float64 `json:"expected"` // share of the marks that the trial run earned
	TimeFactor float64   `json:"time_factor"`
	RestS      int       `json:"rest_s"` // rest breaks in all
}

// Band is the span of expected marks in which every drawn tooth lies, as shares.
type Band struct {
	Operator string  `json:"operator"` // "" when no trial was run
	Centre   float64 `json:"centre"`   // mean over the cases is taken case by case when 0
	Width    float64 `json:"width"`    // either side
	MaxDraws int     `json:"max_draws"`
}

// Terms are the conditions under which a paper is sat.
type Terms struct {
	FromS      int64 `json:"from_s"`  // Unix seconds; 0 open
	UntilS     int64 `json:"until_s"` // 0 open
	LimitS     int   `json:"limit_s"` // 0 none
	Attempts   int   `json:"attempts"`
	ShowMarks  bool  `json:"show_marks"`
	ShowEvents bool  `json:"show_events"`
}

// Packet is what one candidate receives.
type Packet struct {
	Schema     string      `json:"schema"`
	Paper      string      `json:"paper"`
	Title      string      `json:"title"`
	Candidate  string      `json:"candidate"`
	Cases      []Case      `json:"cases"` // rules only when marks are shown
	Seeds      []string    `json:"seeds"`
	Items      []ShownItem `json:"items"`
	Terms      Terms       `json:"terms"`
	LimitS     int         `json:"limit_s"` // with the candidate's own extra time
	RestS      int         `json:"rest_s"`
	Commitment string      `json:"commitment"`
	PublicKey  string      `json:"public_key"`
	Signature  string      `json:"signature"`
}

// ShownItem is a quiz item without its key. Options are named o1, o2 … in the order shown.
type ShownItem struct {
	Item  quiz.Item `json:"item"`
	Sides []string  `json:"sides,omitempty"` // right sides of a matching in the order shown
}

// Trial is a trial run at sealing: the share of the marks expected on a tooth, 0 to 1.
type Trial func(name string, paper attempt.Paper) float64

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
	n, err := parseSeed(seed)
	if err != nil {
		return attempt.Paper{}, err
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

// DrawSeed returns the seed of a candidate's case: the first eight bytes of
// HMAC-SHA256(secret, "case|" + candidate + "|" + case + "|" + draw).
func DrawSeed(secret []byte, candidate, name string, draw int) uint64 {
	mac := hmac.New(sha256.New, secret)
	_, _ = fmt.Fprintf(mac, "case|%s|%s|%d", candidate, name, draw)
	return binary.BigEndian.Uint64(mac.Sum(nil))
}

// Seal completes a paper: seeds for every candidate, drawn anew until the trial's expected marks lie in
// the band, commitment, public key and signature. A nil trial draws once. The secret has 32 bytes. It is
// an error when a candidate's tooth cannot be drawn within Band.MaxDraws. Checked by TestSitting.
func Seal(p Paper, secret []byte, key ed25519.PrivateKey, trial Trial) (Paper, error) {
	if len(secret) != 32 || len(key) != ed25519.PrivateKeySize {
		return Paper{}, errors.New("seal: a secret of 32 bytes and an ed25519 key are needed")
	}
	if len(p.Cases)+len(p.Items) == 0 || len(p.Candidates) == 0 {
		return Paper{}, errors.New("seal: a paper needs a case or an item, and a candidate")
	}
	sum := sha256.Sum256(secret)
	p.Schema, p.Secret, p.Commitment = PaperSchema, hex.EncodeToString(secret), hex.EncodeToString(sum[:])
	p.PublicKey = hex.EncodeToString(key.Public().(ed25519.PublicKey)) //nolint:forcetypeassert // by its type
	p.Candidates = slices.Clone(p.Candidates)
	for i := range p.Candidates {
		if err := p.draw(&p.Candidates[i], secret, trial); err != nil {
			return Paper{}, err
		}
	}
	p.Signature = ""
	text, err := canonical(p)
	if err != nil {
		return Paper{}, err
	}
	p.Signature = hex.EncodeToString(ed25519.Sign(key, text))
	return p, nil
}

// draw gives a candidate their teeth.
func (p *Paper) draw(c *Candidate, secret []byte, trial Trial) error {
	c.Seeds, c.Draws, c.Expected = nil, nil, nil
	for _, one := range p.Cases {
		found := false
		for n := range max(1, p.Band.MaxDraws) {
			seed := fmt.Sprint(DrawSeed(secret, c.ID, one.Name, n))
			paper, err := one.Grow(seed)
			if err != nil {
				continue
			}
			expected := 0.0
			if trial != nil {
				if expected = trial(one.Name, paper); expected < p.Band.Centre-p.Band.Width || expected > p.Band.Centre+p.Band.Width {
					continue
				}
			}
			c.Seeds, c.Draws, c.Expected = append(c.Seeds, seed), append(c.Draws, n), append(c.Expected, expected)
			found = true
			break
		}
		if !found {
			return fmt.Errorf("seal: candidate %s, case %s: no tooth within the band in %d draws; widen the band", c.ID, one.Name, max(1, p.Band.MaxDraws))
		}
	}
	return nil
}

// Packet returns a candidate's signed packet. Checked by TestPacketKeepsSecrets.
func (p Paper) Packet(candidate string, key ed25519.PrivateKey) (Packet, error) {
	i := slices.IndexFunc(p.Candidates, func(c Candidate) bool { return c.ID == candidate })
	if i < 0 {
		return Packet{}, fmt.Errorf("there is no candidate %q", candidate)
	}
	c := p.Candidates[i]
	packet := Packet{Schema: PacketSchema, Paper: p.ID, Title: p.Title, Candidate: c.ID, Seeds: c.Seeds, Terms: p.Terms,
		LimitS: int(float64(p.Terms.LimitS) * max(1, c.TimeFactor)), RestS: c.RestS, Commitment: p.Commitment, PublicKey: p.PublicKey}
	for _, one := range p.Cases {
		if !p.Terms.ShowMarks {
			one.Rules, one.Pass = nil, 0
		}
		packet.Cases = append(packet.Cases, one)
	}
	for _, item := range p.Items {
		packet.Items = append(packet.Items, p.shown(item, candidate))
	}
	text, err := canonical(packet)
	if err != nil {
		return Packet{}, err
	}
	packet.Signature = hex.EncodeToString(ed25519.Sign(key, text))
	return packet, nil
}

// order returns an item in the order in which a candidate sees it.
func (p Paper) order(item quiz.Item, candidate string) quiz.Shown {
	secret, _ := hex.DecodeString(p.Secret)
	stream := detmath.NewStream(DrawSeed(secret, candidate, "item|"+item.ID, 0), "exam order")
	return quiz.Present(item, &stream)
}

// shown returns an item without what gives its key away.
func (p Paper) shown(item quiz.Item, candidate string) ShownItem {
	order := p.order(item, candidate)
	out := ShownItem{Item: quiz.Item{ID: item.ID, Kind: item.Kind, Step: item.Step, Stem: item.Stem, Unit: item.Unit,
		Subject: item.Subject, Target: item.Target, At: item.At}, Sides: order.Sides}
	for n, i := range order.Order {
		out.Item.Options = append(out.Item.Options, quiz.Option{ID: shownID(n), Text: item.Options[i].Text})
	}
	for _, pair := range item.Pairs {
		out.Item.Pairs = append(out.Item.Pairs, quiz.Pair{ID: pair.ID, Left: pair.Left})
	}
	return out
}

func shownID(n int) string { return fmt.Sprintf("o%d", n+1) }

// Check returns whether a packet is signed by the key (hex); "" takes the key that it names itself.
func (k Packet) Check(key string) error {
	if key == "" {
		key = k.PublicKey
	}
	signature := k.Signature
	k.Signature = ""
	if k.Schema != PacketSchema || len(k.Seeds) != len(k.Cases) {
		return errors.New("this is no packet of this version")
	}
	return check(k, key, signature)
}

// Check returns whether a paper is signed by its key.
func (p Paper) Check() error {
	signature := p.Signature
	p.Signature = ""
	if p.Schema != PaperSchema {
		return errors.New("this is no paper of this version")
	}
	return check(p, p.PublicKey, signature)
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
