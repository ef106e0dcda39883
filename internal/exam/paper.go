package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
)

// Paper is an examination as the instructor keeps it. It holds the secret and the keys of the quiz and
// is never handed out. Seal makes it.
type Paper struct {
	Schema     string      `json:"schema"`
	Engine     string      `json:"engine"`
	ID         string      `json:"id"`
	Title      string      `json:"title"`
	Cases      []Case      `json:"cases"`
	Items      []Item      `json:"items"` // the pool
	Blueprint  Blueprint   `json:"blueprint"`
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
	Digest string         `json:"digest"`         // of the whole scenario
	Text   string         `json:"text,omitempty"` // scenario without what is not needed to run it
	Rules  []marking.Rule `json:"rules,omitempty"`
	Pass   float64        `json:"pass,omitempty"` // share of the marks
	Seed   string         `json:"seed,omitempty"` // in a packet: decimal
}

// Item is a question with its key and what it is worth.
type Item struct {
	Item   quiz.Item `json:"item"`
	Points float64   `json:"points"`
}

// Candidate is a pseudonymous id with what is their own. Names stay in the roster.
type Candidate struct {
	ID         string   `json:"id"`
	Cases      []Given  `json:"cases"`       // set by Seal
	Items      []string `json:"items"`       // ids in the order in which they are asked; set by Seal
	PublicKey  string   `json:"public_key"`  // hex, of the key that signs this candidate's exports; set by Seal
	TimeFactor float64  `json:"time_factor"` // 1 without extra time
	RestS      int      `json:"rest_s"`      // rest breaks in all
}

// Given is a tooth that a candidate was given.
type Given struct {
	Case     int     `json:"case"`     // place among the paper's cases
	Seed     string  `json:"seed"`     // decimal
	Draw     int     `json:"draw"`     // which draw the seed is, from 0
	Expected float64 `json:"expected"` // share of the marks that the trial earned on this tooth
}

// Terms are the conditions under which a paper is sat.
type Terms struct {
	FromS    int64    `json:"from_s"`  // s since 1970; 0 open
	UntilS   int64    `json:"until_s"` // 0 open
	LimitS   int      `json:"limit_s"` // before extra time; 0 none
	Attempts int      `json:"attempts"`
	See      []string `json:"see"` // some of Sights
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

// CaseOf returns a scenario as a case of a paper. Of a drill the steps that it does for the candidate go along:
// a sitting begins with them, as its first actions. Checked by TestDrillAsCase.
func CaseOf(s scenario.Scenario) (Case, error) {
	text, err := s.Stripped()
	if err != nil {
		return Case{}, err
	}
	return Case{Name: s.Name(), Title: s.Title(), Digest: s.Digest(), Text: string(text), Rules: s.Rules(), Pass: s.PassMark()}, nil
}

// Scenario returns the case as a scenario to be shown: its texts, tray and findings, without rules.
func (c Case) Scenario() (scenario.Scenario, error) {
	s, err := scenario.Parse(c.Name+".yaml", []byte(c.Text))
	if err != nil {
		return s, fmt.Errorf("case %s: %w", c.Name, err)
	}
	return s, nil
}

// Grow grows the case from its own seed, with its rules compiled; a case without rules marks nothing. For
// many seeds, compile once.
func (c Case) Grow() (attempt.Paper, error) {
	m, err := c.compile()
	if err != nil {
		return attempt.Paper{}, err
	}
	return m.grow(c.Seed)
}

// mould is a case that is read and whose rules are compiled. It is never changed.
type mould struct {
	of     Case
	from   scenario.Scenario
	marker *marking.Marker
}

func (c Case) compile() (mould, error) {
	s, err := c.Scenario()
	if err != nil {
		return mould{}, err
	}
	marker, faults := marking.Compile(c.Rules)
	if len(faults) > 0 {
		return mould{}, fmt.Errorf("case %s: rule %d: %s", c.Name, faults[0].Rule+1, faults[0].Message)
	}
	return mould{c, s, marker}, nil
}

func (m mould) grow(seed string) (attempt.Paper, error) {
	n, err := strconv.ParseUint(seed, 10, 64)
	if err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s: %.40q is no seed", m.of.Name, seed)
	}
	grown, err := m.from.Case(n)
	if err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s, seed %s: %w", m.of.Name, seed, err)
	}
	grown.Digest = m.of.Digest
	paper := attempt.Paper{Case: grown, Marker: m.marker}
	drill, is := m.from.Drill()
	if !is {
		return paper, nil
	}
	paper.Done, paper.Goal = drill.Steps, drill.Goal
	if _, err := attempt.Treat(paper, paper.Done); err != nil {
		return attempt.Paper{}, fmt.Errorf("case %s, seed %s: what the drill begins with is refused: %w", m.of.Name, seed, err)
	}
	return paper, nil
}

// Encode returns a paper as canonical JSON.
func (p Paper) Encode() ([]byte, error) { return canonical(p) }

// DecodePaper reads a paper and checks its signature, which proves that it is as it was sealed, not by
// whom. The error is a *Refusal. Checked by TestPaperFiles and FuzzDecodePaper.
func DecodePaper(data []byte) (Paper, error) {
	var p Paper
	if refused := strict(data, PaperSchema, &p); refused != nil {
		return Paper{}, refused
	}
	if p.Engine != engine() {
		return Paper{}, refuse(OtherEngine, "the paper was sealed for engine %.40q, this is engine %q", p.Engine, engine())
	}
	bare := p
	bare.Signature = ""
	if err := check(bare, p.PublicKey, p.Signature); err != nil {
		return Paper{}, refuse(PaperSignature, "paper: %v", err)
	}
	if err := p.whole(); err != nil {
		return Paper{}, refuse(OutOfBounds, "paper: %v", err)
	}
	return p, nil
}

// whole returns what a sealed paper lacks, or nil.
func (p Paper) whole() error {
	secret, err := hex.DecodeString(p.Secret)
	if err != nil || len(secret) != secretSize || len(p.Cases)+len(p.Items) == 0 {
		return errors.New("its secret, cases and questions are not those of a sealed paper")
	}
	for _, c := range p.Candidates {
		if err := CheckID(c.ID); err != nil {
			return err
		}
		for _, g := range c.Cases {
			if g.Case < 0 || g.Case >= len(p.Cases) {
				return fmt.Errorf("candidate %s has the case %d of %d", c.ID, g.Case+1, len(p.Cases))
			}
		}
		for _, id := range c.Items {
			if p.item(id) == nil {
				return fmt.Errorf("candidate %s has the question %.60q, which the paper lacks", c.ID, id)
			}
		}
	}
	return nil
}

// item returns a question of the pool, or nil.
func (p Paper) item(id string) *Item {
	for i := range p.Items {
		if p.Items[i].Item.ID == id {
			return &p.Items[i]
		}
	}
	return nil
}

// candidate returns a candidate, or nil.
func (p Paper) candidate(id string) *Candidate {
	for i := range p.Candidates {
		if p.Candidates[i].ID == id {
			return &p.Candidates[i]
		}
	}
	return nil
}

// key returns the private key that a candidate's packet carries.
func (p Paper) key(candidate string) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(derive(p.secret(), "key", candidate, "", 0))
}

func (p Paper) secret() []byte {
	secret, err := hex.DecodeString(p.Secret)
	if err != nil {
		panic("exam: the secret of a paper is not hexadecimal")
	}
	return secret
}
