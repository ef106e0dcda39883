package exam

import (
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// Trial treats grown cases some times each and returns for each of them the shares of the marks that
// were earned, one for each treatment.
type Trial func(papers []attempt.Paper) ([][]float64, error)

// largestExact is the largest whole number that JSON of RFC 8785 keeps.
const largestExact = 1 << 53

// DrawSeed returns the seed of a candidate's case: the first eight bytes, most significant first, of
//
//	HMAC-SHA256(secret, "case|" + candidate + "|" + name + "|" + draw)
//
// Checked by TestDrawSeed.
func DrawSeed(secret []byte, candidate, name string, draw int) uint64 {
	mac := hmac.New(sha256.New, secret)
	_, _ = fmt.Fprintf(mac, "case|%s|%s|%d", candidate, name, draw) // a hash takes everything
	return binary.BigEndian.Uint64(mac.Sum(nil))
}

// Seal completes a paper: a tooth for every candidate and case, the commitment and the signature. With a
// trial, teeth whose expected marks lie further than Trial.Width from the middle (median) of the first
// draws are drawn anew, at most Trial.MaxDraws times; what came of it stands in the paper. The secret
// has 32 bytes. Checked by TestSeal and TestSealBand.
func Seal(p Paper, secret []byte, key ed25519.PrivateKey, trial Trial) (Paper, error) {
	if err := p.sound(secret, key); err != nil {
		return Paper{}, fmt.Errorf("seal: %w", err)
	}
	sum := sha256.Sum256(secret)
	p.Schema, p.Engine = PaperSchema, treatment.Engine
	p.Secret, p.Commitment, p.PublicKey = hex.EncodeToString(secret), hex.EncodeToString(sum[:]), public(key)
	p.Candidates, p.Items = slices.Clone(p.Candidates), slices.Clone(p.Items)
	for i := range p.Items {
		p.Items[i].Item.Made, p.Items[i].Item.Excuses = nil, nil
	}
	for i := range p.Candidates {
		c := &p.Candidates[i]
		c.Seeds, c.Draws, c.Expected = make([]string, len(p.Cases)), make([]int, len(p.Cases)), make([]float64, len(p.Cases))
	}
	p.Trial.Centres, p.Trial.Error, p.Trial.Spread = []float64{}, []float64{}, []Spread{}
	for n := range p.Cases {
		if err := p.draw(n, trial); err != nil {
			return Paper{}, fmt.Errorf("seal: %w", err)
		}
	}
	var err error
	p.Signature = ""
	p.Signature, err = sign(p, key)
	return p, err
}

// sound returns what a paper lacks before it can be sealed.
func (p Paper) sound(secret []byte, key ed25519.PrivateKey) error {
	switch t := p.Terms; {
	case len(secret) != 32 || len(key) != ed25519.PrivateKeySize:
		return errors.New("a secret of 32 bytes and an ed25519 key are needed")
	case p.ID == "":
		return errors.New("a paper needs an id")
	case len(p.Cases)+len(p.Items) == 0:
		return errors.New("a paper needs a case or a question")
	case len(p.Candidates) == 0:
		return errors.New("a paper needs a candidate")
	case t.FromS != 0 && t.UntilS != 0 && t.UntilS <= t.FromS:
		return errors.New("the paper closes before it opens")
	case t.LimitS < 0 || t.Attempts < 1:
		return errors.New("the time limit is below 0, or no attempt is allowed")
	}
	ids := map[string]bool{}
	for _, c := range p.Candidates {
		if c.ID == "" || ids[c.ID] {
			return fmt.Errorf("the candidate %q stands twice, or has no id", c.ID)
		}
		if c.TimeFactor < 1 || c.TimeFactor > 4 || c.RestS < 0 {
			return fmt.Errorf("candidate %s: the time factor is %g, allowed 1 to 4", c.ID, c.TimeFactor)
		}
		ids[c.ID] = true
	}
	for _, one := range p.Cases {
		if ids["case|"+one.Name] {
			return fmt.Errorf("the case %s stands twice", one.Name)
		}
		ids["case|"+one.Name] = true
	}
	for _, one := range p.Items {
		i := one.Item
		if ids["item|"+i.ID] || one.Points <= 0 || i.Subject != nil && i.Subject.Seed > largestExact || i.Trial != nil && i.Trial.Seed > largestExact {
			return fmt.Errorf("the question %s stands twice, has no points, or a seed beyond 2^53", i.ID)
		}
		ids["item|"+i.ID] = true
	}
	return nil
}

// draw gives every candidate their tooth of case n.
func (p *Paper) draw(n int, trial Trial) error {
	waiting := make([]int, len(p.Candidates))
	for i := range waiting {
		waiting[i] = i
	}
	note := Spread{Low: math.Inf(1), High: math.Inf(-1)}
	centre := 0.0
	for round := 0; len(waiting) > 0; round++ {
		if round > max(0, p.Trial.MaxDraws) {
			return fmt.Errorf("case %s: for %d of %d candidates no tooth lies within %.0f %% of %.0f %% expected marks in %d draws; widen the band or choose another operator",
				p.Cases[n].Name, len(waiting), len(p.Candidates), 100*p.Trial.Width, 100*centre, round)
		}
		grown, shares, err := p.tryRound(n, round, waiting, trial)
		if err != nil {
			return err
		}
		if round == 0 && trial != nil {
			known := only(shares, grown)
			note.FirstLow, note.FirstHigh, centre = slices.Min(known), slices.Max(known), median(known)
		}
		var again []int
		for k, i := range waiting {
			if !grown[k] || trial != nil && math.Abs(shares[k]-centre) > p.Trial.Width {
				again = append(again, i)
				continue
			}
			p.Candidates[i].Expected[n] = shares[k]
			note.Low, note.High = min(note.Low, shares[k]), max(note.High, shares[k])
		}
		if round == 0 {
			note.Redrawn = len(again)
		}
		waiting = again
	}
	p.Trial.Centres, p.Trial.Spread = append(p.Trial.Centres, centre), append(p.Trial.Spread, note)
	return nil
}

// tryRound draws a tooth for each of the candidates and has it tried. A seed from which the scenario's
// tooth does not grow is told as such, and counts as outside.
func (p *Paper) tryRound(n, round int, who []int, trial Trial) (grown []bool, shares []float64, err error) {
	grown, shares = make([]bool, len(who)), make([]float64, len(who))
	var papers []attempt.Paper
	var first error
	for k, i := range who {
		c := &p.Candidates[i]
		seed := strconv.FormatUint(DrawSeed(p.secret(), c.ID, p.Cases[n].Name, round), 10)
		c.Seeds[n], c.Draws[n] = seed, round
		paper, err := p.Cases[n].Grow(seed)
		if err != nil {
			first = err
			continue
		}
		grown[k] = true
		papers = append(papers, paper)
	}
	if len(papers) == 0 {
		return nil, nil, first
	}
	if trial == nil {
		return grown, shares, nil
	}
	tried, err := trial(papers)
	if err != nil {
		return nil, nil, err
	}
	if round == 0 {
		p.Trial.Error = append(p.Trial.Error, standardError(tried))
	}
	next := 0
	for k := range who {
		if grown[k] {
			shares[k] = mean(tried[next])
			next++
		}
	}
	return grown, shares, nil
}

// only returns the values that are wanted; at least one is.
func only(values []float64, wanted []bool) []float64 {
	var out []float64
	for i, v := range values {
		if wanted[i] {
			out = append(out, v)
		}
	}
	return out
}

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
			squares += float64((v - m) * (v - m))
		}
		free, size = free+len(g)-1, max(size, len(g))
	}
	return math.Sqrt(squares / float64(max(1, free)) / float64(size))
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[len(sorted)/2]
}
