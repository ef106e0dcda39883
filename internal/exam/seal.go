package exam

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
)

// Trial treats grown cases some times each and returns for each of them the shares of the marks that
// were earned, one for each treatment.
type Trial func(papers []attempt.Paper) ([][]float64, error)

// Sealing is what a paper is sealed with.
type Sealing struct {
	Secret []byte             // 32 bytes of chance; all draws of the paper follow from it
	Key    ed25519.PrivateKey // the instructor's
	Trial  Trial              // nil: teeth are drawn without being tried
}

// Bounds of a paper.
const (
	secretSize     = 32
	largestExact   = 1 << 53 // the largest whole number that JSON of RFC 8785 keeps
	mostCandidates = 5000
	mostCases      = 50
	mostItems      = 500
	mostAttempts   = 20
	mostLimitS     = 7 * 24 * 3600
	mostFactor     = 4
)

// Seal completes a paper: teeth, questions and a key for every candidate, the commitment and the
// signature. With a trial, teeth whose expected marks lie further than Trial.Width from the middle (median)
// of the first draws are drawn anew, at most Trial.MaxDraws times; what came of it stands in the paper.
// Checked by TestSeal and TestSealBand.
func Seal(p Paper, with Sealing) (Paper, error) {
	if err := p.sound(with); err != nil {
		return Paper{}, fmt.Errorf("seal: %w", err)
	}
	sum := sha256.Sum256(with.Secret)
	p.Schema, p.Engine = PaperSchema, engine()
	p.Secret, p.Commitment, p.PublicKey = hex.EncodeToString(with.Secret), hex.EncodeToString(sum[:]), PublicKey(with.Key)
	p.Cases, p.Items, p.Candidates = nonNil(p.Cases), nonNil(p.Items), nonNil(p.Candidates)
	p.Blueprint.Rows, p.Terms.See = nonNil(p.Blueprint.Rows), nonNil(p.Terms.See)
	for i := range p.Items {
		p.Items[i].Item.Made, p.Items[i].Item.Excuses = nil, nil
	}
	for i := range p.Candidates {
		c := &p.Candidates[i]
		var err error
		if c.Items, err = p.questions(c.ID); err != nil {
			return Paper{}, fmt.Errorf("seal: %w", err)
		}
		c.Cases, c.PublicKey = p.allot(c.ID), PublicKey(p.key(c.ID))
	}
	p.Trial.Centres, p.Trial.Error, p.Trial.Spread = []float64{}, []float64{}, []Spread{}
	for n := range p.Cases {
		if err := p.draw(n, with.Trial); err != nil {
			return Paper{}, fmt.Errorf("seal: %w", err)
		}
	}
	var err error
	p.Signature = ""
	p.Signature, err = sign(p, with.Key)
	return p, err
}

// nonNil returns a copy that is a list even when it is empty.
func nonNil[T any](list []T) []T { return append([]T{}, list...) }

// allot returns the cases of a candidate, in the paper's order, their seeds still to be drawn.
func (p Paper) allot(candidate string) []Given {
	order := make([]int, len(p.Cases))
	for i := range order {
		order[i] = i
	}
	if k := p.Blueprint.Cases; k > 0 && k < len(order) {
		slices.SortFunc(order, func(a, b int) int {
			if weight(p.secret(), "allot", candidate, p.Cases[a].Name, 0) < weight(p.secret(), "allot", candidate, p.Cases[b].Name, 0) {
				return -1
			}
			return 1
		})
		order = order[:k]
		slices.Sort(order)
	}
	given := []Given{}
	for _, n := range order {
		given = append(given, Given{Case: n})
	}
	return given
}

// sound returns what a paper lacks before it can be sealed.
func (p Paper) sound(with Sealing) error {
	if len(with.Secret) != secretSize || len(with.Key) != ed25519.PrivateKeySize {
		return errors.New("a secret of 32 bytes and an ed25519 key are needed")
	}
	if err := CheckID(p.ID); err != nil {
		return fmt.Errorf("paper: %w", err)
	}
	switch {
	case len(p.Cases)+len(p.Items) == 0:
		return errors.New("a paper needs a case or a question")
	case len(p.Cases) > mostCases || len(p.Items) > mostItems || len(p.Candidates) > mostCandidates:
		return fmt.Errorf("a paper has at most %d cases, %d questions and %d candidates", mostCases, mostItems, mostCandidates)
	case len(p.Candidates) == 0:
		return errors.New("a paper needs a candidate")
	case p.Blueprint.Cases < 0 || p.Blueprint.Cases > len(p.Cases):
		return fmt.Errorf("%d cases are wanted of each candidate, there are %d", p.Blueprint.Cases, len(p.Cases))
	}
	return errors.Join(p.Terms.sound(), p.soundCandidates(), p.soundContent())
}

func (t Terms) sound() error {
	switch {
	case t.FromS < 0 || t.UntilS < 0 || t.FromS != 0 && t.UntilS != 0 && t.UntilS <= t.FromS:
		return errors.New("the paper closes before it opens")
	case t.LimitS < 0 || t.LimitS > mostLimitS:
		return errors.New("the time limit lies outside of 0 to 7 days")
	case t.Attempts < 1 || t.Attempts > mostAttempts:
		return fmt.Errorf("%d attempts; allowed 1 to %d", t.Attempts, mostAttempts)
	}
	for _, see := range t.See {
		if !slices.Contains(Sights(), see) {
			return fmt.Errorf("nobody can be let see %.40q; there are %s", see, strings.Join(Sights(), ", "))
		}
	}
	return nil
}

func (p Paper) soundCandidates() error {
	ids := map[string]bool{}
	for _, c := range p.Candidates {
		if err := CheckID(c.ID); err != nil {
			return fmt.Errorf("candidate: %w", err)
		}
		if ids[strings.ToLower(c.ID)] { // on some systems the files of both would be one
			return fmt.Errorf("the candidate %q stands twice, capital letters apart", c.ID)
		}
		if !(c.TimeFactor >= 1 && c.TimeFactor <= mostFactor) || c.RestS < 0 || c.RestS > mostLimitS {
			return fmt.Errorf("candidate %s: the time factor is %g and the rest %d s; allowed 1 to %d and 0 to 7 days", c.ID, c.TimeFactor, c.RestS, mostFactor)
		}
		ids[strings.ToLower(c.ID)] = true
	}
	return nil
}

func (p Paper) soundContent() error {
	names := map[string]bool{}
	for _, one := range p.Cases {
		if names["case "+one.Name] || strings.Contains(one.Name, "|") {
			return fmt.Errorf("the case %s stands twice; each candidate gets one tooth of it", one.Name)
		}
		names["case "+one.Name] = true
	}
	for _, one := range p.Items {
		i := one.Item
		switch {
		case names["item "+i.ID] || i.ID == "" || strings.Contains(i.ID, "|"):
			return fmt.Errorf("the question %q stands twice or has no good id", i.ID)
		case !(one.Points > 0 && one.Points <= 1000):
			return fmt.Errorf("the question %s is worth %g points; allowed above 0 to 1000", i.ID, one.Points)
		case i.Subject != nil && i.Subject.Seed > largestExact || i.Trial != nil && i.Trial.Seed > largestExact:
			return fmt.Errorf("the question %s has a seed beyond 2^53", i.ID)
		case !slices.Contains(quiz.Kinds(), i.Kind):
			return fmt.Errorf("the question %s is of no known kind", i.ID)
		}
		names["item "+i.ID] = true
	}
	return nil
}

// chosen is a candidate's tooth of the case being drawn.
type chosen struct {
	candidate string
	given     *Given
}

// draw gives every candidate who has case n their tooth of it.
func (p *Paper) draw(n int, trial Trial) error {
	var waiting []chosen
	for i := range p.Candidates {
		c := &p.Candidates[i]
		for k := range c.Cases {
			if c.Cases[k].Case == n {
				waiting = append(waiting, chosen{c.ID, &c.Cases[k]})
			}
		}
	}
	if len(waiting) == 0 {
		p.Trial.Centres, p.Trial.Error, p.Trial.Spread = append(p.Trial.Centres, 0), append(p.Trial.Error, 0), append(p.Trial.Spread, Spread{})
		return nil
	}
	read, err := p.Cases[n].compile()
	if err != nil {
		return err
	}
	note := Spread{Low: math.Inf(1), High: math.Inf(-1)}
	centre := 0.0
	for round := 0; len(waiting) > 0; round++ {
		if round > max(0, p.Trial.MaxDraws) {
			return fmt.Errorf("case %s: for %d candidates no tooth lies within %.1f %% of %.1f %% expected marks in %d draws; widen the band or choose another operator",
				p.Cases[n].Name, len(waiting), 100*p.Trial.Width, 100*centre, round)
		}
		tried, err := p.tryRound(read, round, waiting, trial)
		if err != nil {
			return err
		}
		if round == 0 {
			note.FirstLow, note.FirstHigh, centre = tried.low(), tried.high(), tried.middle()
			p.Trial.Error = append(p.Trial.Error, tried.deviation)
		}
		var again []chosen
		for k, w := range waiting {
			if !tried.grown[k] || trial != nil && math.Abs(tried.shares[k]-centre) > p.Trial.Width {
				again = append(again, w)
				continue
			}
			w.given.Expected = tried.shares[k]
			note.Low, note.High = min(note.Low, tried.shares[k]), max(note.High, tried.shares[k])
		}
		if round == 0 {
			note.Redrawn = len(again)
		}
		waiting = again
	}
	p.Trial.Centres, p.Trial.Spread = append(p.Trial.Centres, centre), append(p.Trial.Spread, note)
	return nil
}

// round is what came of trying one tooth for each of some candidates.
type round struct {
	grown     []bool    // the tooth could be grown
	shares    []float64 // expected marks where it could, to a millionth
	known     []float64 // those shares, sorted
	deviation float64   // standard error of one tooth's expected marks
}

func (r round) low() float64    { return r.known[0] }
func (r round) high() float64   { return r.known[len(r.known)-1] }
func (r round) middle() float64 { return r.known[len(r.known)/2] }

// tryRound draws a tooth for each and has it tried. A seed from which the scenario's tooth does not grow
// counts as outside; when none grows the error says why.
func (p *Paper) tryRound(m mould, number int, who []chosen, trial Trial) (round, error) {
	out := round{grown: make([]bool, len(who)), shares: make([]float64, len(who))}
	var papers []attempt.Paper
	var first error
	for k, w := range who {
		w.given.Seed, w.given.Draw = strconv.FormatUint(DrawSeed(p.secret(), w.candidate, m.of.Name, number), 10), number
		paper, err := m.grow(w.given.Seed)
		if err != nil {
			first = err
			continue
		}
		out.grown[k] = true
		papers = append(papers, paper)
	}
	if len(papers) == 0 {
		return out, first
	}
	tried := make([][]float64, len(papers))
	if trial != nil {
		var err error
		if tried, err = trial(papers); err != nil {
			return out, err
		}
	}
	out.deviation = millionth(standardError(tried))
	next := 0
	for k := range who {
		if out.grown[k] {
			out.shares[k] = millionth(mean(tried[next]))
			out.known = append(out.known, out.shares[k])
			next++
		}
	}
	slices.Sort(out.known)
	return out, nil
}

func millionth(x float64) float64 { return math.Round(x*1e6) / 1e6 }

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(max(1, len(values)))
}

// standardError returns the pooled standard error of the means of groups, 0 for groups of one.
func standardError(groups [][]float64) float64 {
	squares, free, size := 0.0, 0, 1
	for _, g := range groups {
		m := mean(g)
		for _, v := range g {
			squares += (v - m) * (v - m)
		}
		free, size = free+max(0, len(g)-1), max(size, len(g))
	}
	return math.Sqrt(squares / float64(max(1, free)) / float64(size))
}
