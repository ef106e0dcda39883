package quiz

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// item turns an assessment item into one of ours, or says why it has no counterpart.
func (q qtiItem) item() (item Item, why string, err error) {
	item = Item{ID: strings.TrimPrefix(q.Identifier, "i-")}
	switch {
	case len(q.Responses) != 1:
		return item, fmt.Sprintf("it has %d responses, ours have one", len(q.Responses)), nil
	case q.Body.Choice != nil && q.Responses[0].Cardinality == "single":
		item.Kind = Single
	case q.Body.Choice != nil:
		item.Kind = Several
	case q.Body.Order != nil:
		item.Kind = Ordering
	case q.Body.Match != nil:
		item.Kind = Matching
	case q.Body.Number != nil && q.Responses[0].BaseType == "float":
		item.Kind = Numeric
	default:
		return item, "it has no interaction that ours map to (choice, order, match, text entry of a number)", nil
	}
	if q.Body.Rubric == nil {
		return item, "it says nothing of step and level (a rubric block for authors with a list)", nil
	}
	if err := item.notes(q.Body.Rubric.Notes); err != nil {
		return item, "", err
	}
	if item.Kind == Numeric {
		item.Unit = tidy(q.Body.Number.Unit)
	}
	item.Why = q.modal("why")
	switch item.Kind {
	case Single, Several:
		q.readChoice(&item)
	case Ordering:
		q.readOrder(&item)
	case Matching:
		err = q.readMatch(&item)
	case Numeric:
		err = q.readNumber(&item)
	case Place, Measure, Predict:
	}
	if err != nil {
		return item, "", err
	}
	for _, f := range Check(item) {
		return item, "", fmt.Errorf("%s", f)
	}
	return item, "", nil
}

// tidy sets the blanks of a text right.
func tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

// modal returns a text of modal feedback.
func (q qtiItem) modal(id string) string {
	i := slices.IndexFunc(q.Modal, func(m qtiModal) bool { return m.Identifier == id })
	if i < 0 {
		return ""
	}
	return tidy(q.Modal[i].Text)
}

// notes reads what stands in the rubric block.
func (i *Item) notes(list []qtiNote) error {
	for _, n := range list {
		text := tidy(n.Text)
		var err error
		switch n.Class {
		case "step":
			i.Step = text
		case "level":
			i.Level = text
		case "difficulty":
			i.Difficulty = text
		case "source":
			i.Source = text
		case "tag":
			i.Tags = append(i.Tags, text)
		case "fact":
			i.Facts = append(i.Facts, text)
		case "formula":
			i.Formula, err = readCall(text)
		case "excuse":
			rule, why, _ := strings.Cut(text, " ")
			i.Excuses = append(i.Excuses, Excuse{rule, why})
		case "tolerance":
			i.Tolerance, err = strconv.ParseFloat(text, 64)
		case "mistake":
			var m Mistake
			m.Value, err = strconv.ParseFloat(text, 64)
			i.Mistakes = append(i.Mistakes, m)
		case "made":
			err = json.Unmarshal([]byte(text), &i.Made)
		}
		if err != nil {
			return fmt.Errorf("note %s: %w", n.Class, err)
		}
	}
	return nil
}

// readCall reads a formula and its numbers.
func readCall(text string) (*Call, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return nil, fmt.Errorf("an empty formula")
	}
	call := &Call{Name: words[0]}
	for _, w := range words[1:] {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is no number", w)
		}
		call.Args = append(call.Args, v)
	}
	return call, nil
}

func (q qtiItem) readChoice(i *Item) {
	i.Stem, i.Keep = tidy(q.Body.Choice.Prompt), !q.Body.Choice.Shuffle
	for _, c := range q.Body.Choice.Choices {
		o := Option{ID: c.Identifier, Text: tidy(c.Text), Right: slices.Contains(q.Responses[0].Correct, c.Identifier)}
		if c.Feedback != nil {
			o.Feedback = tidy(c.Feedback.Text)
		}
		i.Options = append(i.Options, o)
	}
}

func (q qtiItem) readOrder(i *Item) {
	i.Stem = tidy(q.Body.Order.Prompt)
	for _, id := range q.Responses[0].Correct {
		for _, c := range q.Body.Order.Choices {
			if c.Identifier == id {
				i.Options = append(i.Options, Option{ID: id, Text: tidy(c.Text), Feedback: q.modal(id)})
			}
		}
	}
}

func (q qtiItem) readMatch(i *Item) error {
	m := q.Body.Match
	if len(m.Sets) != 2 {
		return fmt.Errorf("a match has %d sets, expected 2", len(m.Sets))
	}
	i.Stem = tidy(m.Prompt)
	partner := map[string]string{}
	used := map[string]bool{}
	for _, pair := range q.Responses[0].Correct {
		left, right, found := strings.Cut(tidy(pair), " ")
		if !found {
			return fmt.Errorf("%q is no pair", pair)
		}
		partner[left], used[right] = right, true
	}
	texts := map[string]string{}
	for _, side := range m.Sets[1].Choices {
		texts[side.Identifier] = tidy(side.Text)
		if !used[side.Identifier] {
			i.Spare = append(i.Spare, Option{ID: OptionID(len(i.Spare)), Text: tidy(side.Text), Feedback: q.modal(side.Identifier)})
		}
	}
	for _, side := range m.Sets[0].Choices {
		i.Pairs = append(i.Pairs, Pair{ID: side.Identifier, Left: tidy(side.Text), Right: texts[partner[side.Identifier]], Feedback: q.modal(side.Identifier)})
	}
	return nil
}

func (q qtiItem) readNumber(i *Item) error {
	i.Stem, i.Other = tidy(q.Body.Stem), q.modal("other")
	if len(q.Responses[0].Correct) != 1 {
		return fmt.Errorf("%d right numbers, expected one", len(q.Responses[0].Correct))
	}
	var err error
	if i.Answer, err = strconv.ParseFloat(tidy(q.Responses[0].Correct[0]), 64); err != nil {
		return fmt.Errorf("the right answer: %w", err)
	}
	for n := range i.Mistakes {
		i.Mistakes[n].Feedback = q.modal(fmt.Sprintf("m%d", n+1))
	}
	return nil
}
