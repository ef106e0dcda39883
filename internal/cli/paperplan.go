package cli

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tugback/internal/exam"
	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/trial"
)

// What holds where neither a flag nor the blueprint says it.
const (
	usualOperator = "careful"
	usualHands    = 2
	usualBand     = 0.05
	usualDraws    = 20
)

// plan returns the exam as the blueprint and the flags have it.
func (c *paperSeal) plan() (scenario.Blueprint, error) {
	b := scenario.Blueprint{Draws: -1}
	if c.Blueprint != "" {
		var err error
		if b, err = scenario.LoadBlueprint(c.Blueprint); err != nil {
			return b, err
		}
	}
	c.override(&b)
	if b.Name == "" {
		b.Name = "paper-" + strings.ToLower(newPseudonym()[1:9])
	}
	return b, nil
}

// override puts what flags say in the place of what the blueprint does, and what is usual where neither says
// anything.
func (c *paperSeal) override(b *scenario.Blueprint) {
	if len(c.Scenario) > 0 {
		b.Cases, b.Each = parts(c.Scenario), 0
	}
	if len(c.Quiz) > 0 {
		b.Banks = parts(c.Quiz)
	}
	if len(c.Ask) > 0 {
		b.Ask = nil
		for _, row := range c.Ask {
			b.Ask = append(b.Ask, scenario.BlueprintAsk{Item: row.Item, Step: row.Step, Level: row.Level, Number: row.Count, Points: row.Points})
		}
	}
	b.Name, b.Title, b.Operator = cmp.Or(c.ID, b.Name), cmp.Or(c.Title, b.Title), cmp.Or(c.Operator, b.Operator, usualOperator)
	b.Each, b.Limit = cmp.Or(c.Cases, b.Each), cmp.Or(int(c.Limit.Seconds()), b.Limit)
	b.From, b.Until = cmp.Or(int64(c.From), b.From), cmp.Or(int64(c.Until), b.Until)
	b.Attempts, b.Hands = cmp.Or(given(c.Attempts), b.Attempts, 1), cmp.Or(given(c.Hands), b.Hands, usualHands)
	b.Band = cmp.Or(given(c.Band)/100, b.Band, usualBand)
	if c.Draws >= 0 {
		b.Draws = c.Draws
	}
	if b.Draws < 0 {
		b.Draws = usualDraws
	}
	if c.See != nil {
		b.See = c.See
	}
	if c.Mark != nil {
		b.Mark = c.Mark
	}
	b.Drawn, b.Untried = b.Drawn || c.Drawn, b.Untried || c.Untried
}

// given returns what a flag was given, zero when it was not.
func given[T any](flag *T) T {
	var none T
	if flag == nil {
		return none
	}
	return *flag
}

func parts(names []string) []scenario.BlueprintPart {
	var out []scenario.BlueprintPart
	for _, name := range names {
		out = append(out, scenario.BlueprintPart{Name: name})
	}
	return out
}

// unsealed returns the paper that a plan makes, still without candidates.
func (s *session) unsealed(b scenario.Blueprint) (exam.Paper, error) {
	paper := exam.Paper{ID: b.Name, Title: b.Title, Blueprint: exam.Blueprint{Cases: b.Each, Mark: b.Mark, PerCandidate: b.Drawn},
		Terms: exam.Terms{FromS: b.From, UntilS: b.Until, LimitS: b.Limit, Attempts: b.Attempts, See: b.See}}
	var titles []string
	var faults []error
	for _, part := range b.Cases {
		one, err := s.caseOf(b, part)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		paper.Cases = append(paper.Cases, one)
		titles = append(titles, one.Title)
	}
	if titles == nil {
		titles = []string{"Questions"}
	}
	paper.Title = cmp.Or(paper.Title, strings.Join(titles, "; "))
	if !b.Untried && len(b.Cases) > 0 {
		paper.Trial = exam.TrialNote{Operator: b.Operator, Hands: b.Hands, Width: b.Band, MaxDraws: b.Draws}
	}
	return paper, errors.Join(append(faults, s.questions(b, &paper))...)
}

// caseOf reads a case, with the rules of the steps that count.
func (s *session) caseOf(b scenario.Blueprint, part scenario.BlueprintPart) (exam.Case, error) {
	from, err := s.loadScenario(part.Name)
	if err != nil {
		return exam.Case{}, err // with its own places
	}
	one, err := exam.CaseOf(from)
	if err != nil || len(b.Mark) == 0 {
		return one, b.At(part, "case", err)
	}
	one.Rules = slices.DeleteFunc(slices.Clone(one.Rules), func(r marking.Rule) bool { return !slices.Contains(b.Mark, r.Stage) })
	if len(one.Rules) == 0 {
		return one, b.At(part, "mark", fmt.Errorf("no rule of %s is of a step that counts: %s", one.Name, strings.Join(b.Mark, ", ")))
	}
	return one, nil
}

// questions reads the pool of questions and the rows that draw from it.
func (s *session) questions(b scenario.Blueprint, paper *exam.Paper) error {
	var bank []quiz.Item
	for _, part := range b.Banks {
		items, err := scenario.LoadItems(part.Name)
		if err != nil {
			return err
		}
		bank = append(bank, items...)
	}
	for _, ask := range b.Ask {
		paper.Blueprint.Rows = append(paper.Blueprint.Rows, exam.Row{Item: ask.Item, Step: ask.Step, Level: ask.Level, Count: ask.Number, Points: ask.Points})
	}
	if len(b.Ask) == 0 {
		for _, item := range bank {
			paper.Items = append(paper.Items, exam.Item{Item: item, Points: 1})
		}
		return nil
	}
	if len(b.Banks) == 0 {
		items, err := scenario.LoadItemsFS(s.shipped, "quiz")
		if err != nil {
			return err
		}
		bank = items
	}
	var err error
	paper.Items, err = paper.Blueprint.Pool(bank)
	var row *exam.RowError
	if errors.As(err, &row) {
		return b.AtAsk(row.Row, "ask", err)
	}
	return err
}

// checkBlueprint reads a blueprint and all that it names.
func (s *session) checkBlueprint(name string) error {
	b, err := scenario.LoadBlueprint(name)
	if err != nil {
		return err
	}
	_, err = s.unsealed(b)
	return err
}

// enter enters the candidates of a roster, with what the blueprint says of some of them beside it.
func enter(paper *exam.Paper, b scenario.Blueprint, list []enrolled) error {
	known := map[string]bool{}
	for _, one := range list {
		c := one.Candidate
		known[c.ID] = true
		if share, ok := b.Extra[c.ID]; ok {
			if c.TimeFactor != 1 && c.TimeFactor != 1+share {
				return b.AtCandidate(c.ID, "extra-time", fmt.Errorf("the roster gives %s another extra time: %g %%", c.ID, 100*(c.TimeFactor-1)))
			}
			c.TimeFactor = 1 + share
		}
		if rest, ok := b.Rest[c.ID]; ok {
			if c.RestS != 0 && c.RestS != rest {
				return b.AtCandidate(c.ID, "rest", fmt.Errorf("the roster gives %s another rest: %d s", c.ID, c.RestS))
			}
			c.RestS = rest
		}
		paper.Candidates = append(paper.Candidates, c)
	}
	for _, ids := range [][]string{keysOf(b.Extra), keysOf(b.Rest)} {
		for _, id := range ids {
			if !known[id] {
				return b.AtCandidate(id, "candidate", fmt.Errorf("the roster has no candidate %q", id))
			}
		}
	}
	return nil
}

// keysOf returns the keys of a map in order.
func keysOf[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// trial returns how an operator tries teeth, nil when they are not to be tried.
func (c *paperSeal) trial(s *session, b scenario.Blueprint) (exam.Trial, error) {
	if b.Untried || len(b.Cases) == 0 {
		return nil, nil //nolint:nilnil // no trial is a way to seal
	}
	operator, err := s.loadOperator(b.Operator)
	if err != nil {
		return nil, err
	}
	return func(papers []examCase) ([][]float64, error) {
		shares := make([][]float64, len(papers))
		for i := range shares {
			shares[i] = make([]float64, b.Hands)
		}
		s.inParallel(c.Progress, "trying teeth", len(papers)*b.Hands, func(n int) {
			p, hand := papers[n/b.Hands], n%b.Hands
			done := trial.TakeOver(p.Case, p.Done, operator, uint64(hand)) //nolint:gosec // an index
			if marks := markOf(p, done); marks.Available > 0 {
				shares[n/b.Hands][hand] = marks.Total / marks.Available
			}
		})
		return shares, nil
	}, nil
}
