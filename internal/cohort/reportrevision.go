package cohort

import (
	"fmt"
	"html/template"
	"io"
)

type revisionLine struct {
	Name, Before, After, ResultBefore, ResultAfter, Why string
	Turns                                               bool
}

type revisedRule struct {
	ID, Title, Mean, Example string
	N                        int
	sum                      float64
}

// RevisionHTML writes the comparison of two sets of rules over a class as a page that stands by itself.
// Checked by TestCompare.
func RevisionHTML(w io.Writer, r Revision) error {
	look, err := style()
	if err != nil {
		return err
	}
	sheet := struct {
		Title, Verdict string
		Turned, All    []revisionLine
		Rules          []*revisedRule
		Style          template.CSS
	}{Title: r.Old.Title, Style: look}
	up, down := r.Turned()
	sheet.Verdict = fmt.Sprintf("%d sittings: %d now pass that did not, %d no longer pass, %d keep their result.", len(r.All), len(up), len(down), len(r.All)-len(up)-len(down))
	rules := map[string]*revisedRule{}
	for _, one := range r.All {
		line := revisionLine{r.Old.Name(one.Candidate), percent(one.Before), percent(one.After), verdict(one.PassBefore), verdict(one.PassNow), sentence(r.Why(one)), one.PassBefore != one.PassNow}
		sheet.All = append(sheet.All, line)
		if line.Turns {
			turned := line
			turned.Before, turned.After = line.ResultBefore+", "+line.Before, line.ResultAfter+", "+line.After
			sheet.Turned = append(sheet.Turned, turned)
		}
		for _, c := range one.Changes {
			id := c.Case + "/" + c.Rule
			rule := rules[id]
			if rule == nil {
				rule = &revisedRule{ID: id, Title: c.Title, Example: r.example(c)}
				rules[id] = rule
				sheet.Rules = append(sheet.Rules, rule)
			}
			rule.N++
			rule.sum += c.After - c.Before
		}
	}
	for _, rule := range sheet.Rules {
		rule.Mean = fmt.Sprintf("%+.2f", rule.sum/float64(rule.N))
	}
	return pages.ExecuteTemplate(w, "revision.html", sheet)
}

// example says what changed for one candidate.
func (r Revision) example(c Change) string {
	name := r.Old.Name(c.Candidate)
	switch c.Only {
	case "old":
		return fmt.Sprintf("%s: %s of %s; the new rules leave it out. %s", name, short(c.Before), short(c.BeforeMost), c.BeforeEvidence)
	case "new":
		return fmt.Sprintf("%s: now %s of %s; the old rules had no such rule. %s", name, short(c.After), short(c.AfterMost), c.AfterEvidence)
	}
	text := fmt.Sprintf("%s: %s of %s, before %s of %s. %s", name, short(c.After), short(c.AfterMost), short(c.Before), short(c.BeforeMost), c.AfterEvidence)
	if c.BeforeEvidence != c.AfterEvidence {
		text += " Before: " + c.BeforeEvidence
	}
	return text
}
