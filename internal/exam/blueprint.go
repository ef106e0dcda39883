package exam

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"tugback/internal/quiz"
)

// Blueprint says how much of what a candidate is asked.
type Blueprint struct {
	// Cases is how many of the paper's cases each candidate gets, 0 all.
	Cases int `json:"cases"`
	// Mark are the stages whose rules the cases hold, none: all of their scenarios' rules. It is told to people.
	Mark []string `json:"mark,omitempty"`
	// Rows draw the questions from the pool; without rows all of the pool are asked.
	Rows []Row `json:"rows"`
	// PerCandidate draws each row for each candidate; else all candidates get the same questions. Drawn
	// questions are spread over the degrees of difficulty alike for all, as the authors estimate them.
	PerCandidate bool `json:"per_candidate"`
}

// Row is one line of a blueprint: so many questions of a step and level, or one question by its id.
type Row struct {
	Item   string  `json:"item,omitempty"`
	Step   string  `json:"step,omitempty"`  // one of quiz.Steps, "" any
	Level  string  `json:"level,omitempty"` // one of quiz.Levels, "" any
	Count  int     `json:"count"`
	Points float64 `json:"points"` // of each
}

// takes reports whether a question belongs to a row.
func (r Row) takes(i quiz.Item) bool {
	if r.Item != "" {
		return r.Item == i.ID
	}
	return (r.Step == "" || r.Step == i.Step) && (r.Level == "" || r.Level == i.Level)
}

// String returns the row as people write it.
func (r Row) String() string {
	switch {
	case r.Item != "":
		return r.Item
	case r.Step == "" && r.Level == "":
		return "any"
	case r.Level == "":
		return r.Step
	}
	return r.Step + "/" + r.Level
}

// RowError says why a row of a blueprint cannot be drawn.
type RowError struct {
	Row int // from 0
	Why string
}

// Error returns why.
func (e *RowError) Error() string { return "blueprint: " + e.Why }

// Pool returns the questions of a bank that the rows can draw, each with the points of the first row that
// takes it, or as a *RowError which row takes too few. Checked by TestPool.
func (b Blueprint) Pool(bank []quiz.Item) ([]Item, error) {
	var pool []Item
	found := make([]int, len(b.Rows))
	for _, i := range bank {
		if n := b.row(i); n >= 0 {
			pool = append(pool, Item{i, b.Rows[n].Points})
			found[n]++
		}
	}
	for n, r := range b.Rows {
		switch {
		case r.Count < 1 || !(r.Points > 0):
			return nil, &RowError{n, fmt.Sprintf("%s: %d questions of %g points; both must be above 0", r, r.Count, r.Points)}
		case found[n] == 0:
			return nil, &RowError{n, fmt.Sprintf("no question is left for %s; a question belongs to the first row that takes it", r)}
		case found[n] < r.Count:
			return nil, &RowError{n, fmt.Sprintf("%s: %d questions are wanted, there are %d", r, r.Count, found[n])}
		}
	}
	return pool, nil
}

// row returns the first row that takes a question, −1 none.
func (b Blueprint) row(i quiz.Item) int {
	return slices.IndexFunc(b.Rows, func(r Row) bool { return r.takes(i) })
}

// derive returns the 32 bytes from which something of a candidate's is made:
//
//	HMAC-SHA256(secret, purpose + "|" + candidate + "|" + name + "|" + draw)
//
// None of the parts holds a "|". Checked by TestDrawSeed against RFC 4231's function.
func derive(secret []byte, purpose, candidate, name string, draw int) []byte {
	mac := hmac.New(sha256.New, secret)
	_, _ = fmt.Fprintf(mac, "%s|%s|%s|%d", purpose, candidate, name, draw) // a hash takes everything
	return mac.Sum(nil)
}

// DrawSeed returns the seed of a candidate's case: the first eight bytes, most significant first, of
// HMAC-SHA256(secret, "case|" + candidate + "|" + name + "|" + draw). Checked by TestDrawSeed.
func DrawSeed(secret []byte, candidate, name string, draw int) uint64 {
	return weight(secret, "case", candidate, name, draw)
}

func weight(secret []byte, purpose, candidate, name string, draw int) uint64 {
	return binary.BigEndian.Uint64(derive(secret, purpose, candidate, name, draw))
}

// questions returns the ids of a candidate's questions in the order in which they are asked: step by step
// of the procedure, shuffled within a step.
func (p Paper) questions(candidate string) ([]string, error) {
	who := ""
	if p.Blueprint.PerCandidate {
		who = candidate
	}
	var chosen []quiz.Item
	if len(p.Blueprint.Rows) == 0 {
		for _, i := range p.Items {
			chosen = append(chosen, i.Item)
		}
	}
	for n, r := range p.Blueprint.Rows {
		drawn, err := p.drawRow(n, r, who)
		if err != nil {
			return nil, err
		}
		chosen = append(chosen, drawn...)
	}
	steps := quiz.Steps()
	p.shuffle(chosen, "place", candidate)
	slices.SortStableFunc(chosen, func(a, b quiz.Item) int {
		return slices.Index(steps, a.Step) - slices.Index(steps, b.Step)
	})
	ids := []string{}
	for _, i := range chosen {
		ids = append(ids, i.ID)
	}
	return ids, nil
}

// shuffle puts questions in an order that hangs on the secret, a purpose and who.
func (p Paper) shuffle(items []quiz.Item, purpose, who string) {
	slices.SortFunc(items, func(a, b quiz.Item) int {
		if weight(p.secret(), purpose, who, a.ID, 0) < weight(p.secret(), purpose, who, b.ID, 0) {
			return -1
		}
		return 1
	})
}

// drawRow draws the questions of a row, spread over the degrees of difficulty as the pool is, so that
// whoever draws gets as many easy and hard ones.
func (p Paper) drawRow(n int, r Row, who string) ([]quiz.Item, error) {
	grades := make([][]quiz.Item, len(quiz.Difficulties()))
	total := 0
	for _, i := range p.Items {
		if p.Blueprint.row(i.Item) == n {
			at := max(0, slices.Index(quiz.Difficulties(), i.Item.Difficulty))
			grades[at] = append(grades[at], i.Item)
			total++
		}
	}
	if total < r.Count {
		return nil, errors.New("blueprint: too few questions for " + r.String())
	}
	var drawn []quiz.Item
	for at, count := range shares(grades, r.Count, total) {
		p.shuffle(grades[at], "question", who)
		drawn = append(drawn, grades[at][:count]...)
	}
	return drawn, nil
}

// shares splits a number over groups in proportion to their size, by largest remainder, the first of
// equals first.
func shares(groups [][]quiz.Item, count, total int) []int {
	out, left := make([]int, len(groups)), count
	for i, g := range groups {
		out[i] = count * len(g) / total
		left -= out[i]
	}
	for ; left > 0; left-- {
		best := -1
		for i, g := range groups {
			rest := count*len(g) - out[i]*total
			if out[i] < len(g) && (best < 0 || rest > count*len(groups[best])-out[best]*total) {
				best = i
			}
		}
		out[best]++
	}
	return out
}
