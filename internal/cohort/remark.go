package cohort

import (
	"fmt"
	"io"
	"math"

	"tugback/internal/marking"
)

// Change is what new rules did to one rule of one case of one candidate.
type Change struct {
	Candidate, Case, Rule, Title string
	Before, After                float64 // points
	BeforeMost, AfterMost        float64
	BeforeEvidence               string
	AfterEvidence                string
	Only                         string // "old" or "new" when only one set of rules has the rule
}

// Revised is one sitting under old and new rules.
type Revised struct {
	Candidate            string
	Before, After        float64 // share of the points
	PassBefore, PassNow  bool
	CriticalOld, CritNew []string
	Changes              []Change
}

// Revision compares a class under two sets of rules; both versions are kept.
type Revision struct {
	Old, New Class
	All      []Revised
}

// Compare puts the same sittings under old and new rules beside each other. Both classes must hold the same
// candidates. Checked by TestCompare.
func Compare(before, after Class) (Revision, error) {
	if len(before.Sittings) != len(after.Sittings) {
		return Revision{}, fmt.Errorf("%d sittings before, %d after", len(before.Sittings), len(after.Sittings))
	}
	r := Revision{Old: before, New: after}
	for i, a := range before.Sittings {
		b := after.Sittings[i]
		if a.Candidate != b.Candidate || len(a.Cases) != len(b.Cases) {
			return Revision{}, fmt.Errorf("sitting %d is of %s before and of %s after", i+1, a.Candidate, b.Candidate)
		}
		one := Revised{Candidate: a.Candidate, Before: a.Share(), After: b.Share(), PassBefore: a.Passed(before.Pass),
			PassNow: b.Passed(after.Pass), CriticalOld: a.Critical(), CritNew: b.Critical()}
		for k := range a.Cases {
			one.Changes = append(one.Changes, changes(a.Candidate, a.Cases[k], b.Cases[k])...)
		}
		r.All = append(r.All, one)
	}
	return r, nil
}

// changes lists the rules of a case that give something else, by the old order and then the new.
func changes(candidate string, before, after Case) []Change {
	news := map[string]marking.RuleMark{}
	for _, r := range after.Marks.Rules {
		news[r.ID] = r
	}
	var all []Change
	for _, old := range before.Marks.Rules {
		now, kept := news[old.ID]
		delete(news, old.ID)
		one := Change{Candidate: candidate, Case: before.ID, Rule: old.ID, Title: old.Title, Before: old.Points, After: now.Points,
			BeforeMost: old.Available, AfterMost: now.Available, BeforeEvidence: old.Evidence, AfterEvidence: now.Evidence}
		if !kept {
			one.Only = "old"
		}
		if !kept || math.Abs(old.Points-now.Points) > 1e-9 || math.Abs(old.Available-now.Available) > 1e-9 || old.Happened != now.Happened {
			all = append(all, one)
		}
	}
	for _, now := range after.Marks.Rules {
		if _, fresh := news[now.ID]; fresh {
			all = append(all, Change{Candidate: candidate, Case: before.ID, Rule: now.ID, Title: now.Title, After: now.Points,
				AfterMost: now.Available, AfterEvidence: now.Evidence, Only: "new"})
		}
	}
	return all
}

// Turned returns the sittings that now pass and did not, and those that no longer do.
func (r Revision) Turned() (up, down []Revised) {
	for _, one := range r.All {
		switch {
		case one.PassNow && !one.PassBefore:
			up = append(up, one)
		case !one.PassNow && one.PassBefore:
			down = append(down, one)
		}
	}
	return up, down
}

// Why says in a sentence why a sitting now passes or fails, "" when its result stands.
func (r Revision) Why(one Revised) string {
	switch {
	case one.PassNow == one.PassBefore:
		return ""
	case len(one.CritNew) > 0 && len(one.CriticalOld) == 0:
		return "a critical error by the new rules: " + one.CritNew[0]
	case len(one.CriticalOld) > 0 && len(one.CritNew) == 0:
		return "no critical error by the new rules; before: " + one.CriticalOld[0]
	case r.Old.Pass != r.New.Pass:
		return fmt.Sprintf("%.1f %% of the points, %.1f %% before; the pass mark is %.1f %%, before %.1f %%", 100*one.After, 100*one.Before, 100*r.New.Pass, 100*r.Old.Pass)
	}
	return fmt.Sprintf("%.1f %% of the points, %.1f %% before, at a pass mark of %.1f %%", 100*one.After, 100*one.Before, 100*r.New.Pass)
}

// ChangesCSV writes every rule that gives something else, one row each.
func ChangesCSV(w io.Writer, r Revision) error {
	rows := [][]string{{"candidate", "name", "case", "rule", "title", "points_before", "available_before", "points_after", "available_after",
		"only_in", "evidence_before", "evidence_after"}}
	for _, one := range r.All {
		for _, c := range one.Changes {
			rows = append(rows, []string{Defuse(c.Candidate), Defuse(r.Old.rosterName(c.Candidate)), Defuse(c.Case), Defuse(c.Rule), Defuse(c.Title),
				number(c.Before), number(c.BeforeMost), number(c.After), number(c.AfterMost), c.Only, Defuse(c.BeforeEvidence), Defuse(c.AfterEvidence)})
		}
	}
	return writeTable(w, rows)
}

// ResultsBesideCSV writes each candidate's result under both sets of rules.
func ResultsBesideCSV(w io.Writer, r Revision) error {
	rows := [][]string{{"candidate", "name", "per_cent_before", "passed_before", "per_cent_after", "passed_after", "why"}}
	for _, one := range r.All {
		rows = append(rows, []string{Defuse(one.Candidate), Defuse(r.Old.rosterName(one.Candidate)), number(100 * one.Before), yesNo(one.PassBefore),
			number(100 * one.After), yesNo(one.PassNow), Defuse(r.Why(one))})
	}
	return writeTable(w, rows)
}
