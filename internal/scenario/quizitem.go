package scenario

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// item reads one item.
func (r *itemReader) item(node *yaml.Node) {
	w := writtenItem{item: quiz.Item{Step: r.step}, node: node, fields: map[string]*yaml.Node{}}
	i := &w.item
	before := len(r.faults)
	r.answered = false
	keys := append(r.commonKeys(i), r.kindKeys(i, itemKind(node))...)
	for n := range keys {
		name, read := keys[n].name, keys[n].read
		keys[n].read = func(value *yaml.Node) {
			w.fields[name] = value
			read(value)
		}
	}
	if !r.group(node, "an item", keys) {
		return
	}
	if i.Step == "" {
		r.note(node, "missing", "the item lacks step, and the file gives none for its items")
	}
	if i.Source == "" {
		i.Source = sourceOf(i.Facts)
	}
	w.sound = len(r.faults) == before
	r.items = append(r.items, w)
}

// itemKind finds the kind of an item before its other keys are read.
func itemKind(node *yaml.Node) quiz.Kind {
	if node.Kind != yaml.MappingNode {
		return ""
	}
	if kind := child(node, "kind"); kind != nil {
		return quiz.Kind(strings.TrimSpace(kind.Value))
	}
	return ""
}

// sourceOf joins the sources of facts, each once.
func sourceOf(ids []string) string {
	var sources []string
	for _, id := range ids {
		if f, found := quiz.FactByID(id); found && !slices.Contains(sources, f.Source) {
			sources = append(sources, f.Source)
		}
	}
	return strings.Join(sources, "; ")
}

// kindWords returns the words for the kinds of item.
func kindWords() []string {
	var words []string
	for _, k := range quiz.Kinds() {
		words = append(words, string(k))
	}
	return words
}

// commonKeys returns the keys that items of every kind have.
func (r *itemReader) commonKeys(i *quiz.Item) []key {
	return []key{
		{"id", true, func(n *yaml.Node) { i.ID, _ = r.slug(n, "id") }},
		{"kind", true, func(n *yaml.Node) {
			word, _ := r.word(n, "kind", kindWords())
			i.Kind = quiz.Kind(word)
		}},
		{"step", false, func(n *yaml.Node) { i.Step, _ = r.word(n, "step", quiz.Steps()) }},
		{"level", true, func(n *yaml.Node) { i.Level, _ = r.word(n, "level", quiz.Levels()) }},
		{"difficulty", true, func(n *yaml.Node) { i.Difficulty, _ = r.word(n, "difficulty", quiz.Difficulties()) }},
		{"tags", false, func(n *yaml.Node) {
			r.list(n, "tags", partLimit, func(n *yaml.Node) {
				if tag, ok := r.slug(n, "a tag"); ok {
					i.Tags = append(i.Tags, tag)
				}
			})
		}},
		{"stem", true, func(n *yaml.Node) { i.Stem = r.prose(n, "stem") }},
		{"why", true, func(n *yaml.Node) { i.Why = r.prose(n, "why") }},
		{"source", false, func(n *yaml.Node) { i.Source = r.prose(n, "source") }},
		{"facts", false, func(n *yaml.Node) { r.facts(n, i) }},
		{"formula", false, func(n *yaml.Node) { r.formula(n, i) }},
		{"excuse", false, func(n *yaml.Node) { r.excuse(n, i) }},
	}
}

// kindKeys returns the keys that items of a kind have besides.
func (r *itemReader) kindKeys(i *quiz.Item, kind quiz.Kind) []key {
	options := key{"options", true, func(n *yaml.Node) { i.Options = r.options(n, "options", kind) }}
	tolerance := key{"tolerance", true, func(n *yaml.Node) { i.Tolerance = r.tolerance(n, i) }}
	other := key{"other", true, func(n *yaml.Node) { i.Other = r.prose(n, "other") }}
	mistakes := key{"mistakes", false, func(n *yaml.Node) { r.mistakes(n, i) }}
	tooth := key{"tooth", true, func(n *yaml.Node) { r.subject(n, i) }}
	switch kind {
	case quiz.Single, quiz.Several:
		return []key{options, {"keep", false, func(n *yaml.Node) { i.Keep, _ = r.flag(n, "keep") }}}
	case quiz.Ordering:
		return []key{{"order", true, func(n *yaml.Node) { i.Options = r.options(n, "order", kind) }}}
	case quiz.Matching:
		return []key{
			{"pairs", true, func(n *yaml.Node) { r.pairs(n, i) }},
			{"spare", false, func(n *yaml.Node) { i.Spare = r.options(n, "spare", quiz.Matching) }},
		}
	case quiz.Numeric:
		return []key{{"answer", true, func(n *yaml.Node) {
			before := len(r.faults)
			i.Answer, i.Unit = r.free(n, "answer")
			r.answered = len(r.faults) == before
		}}, tolerance, mistakes, other}
	case quiz.Measure:
		return []key{tooth, {"measure", true, func(n *yaml.Node) { r.reading(n, i) }},
			{"at", false, func(n *yaml.Node) { i.At, _ = r.quantity(n, "at", limits{"mm", 0, 30}) }}, tolerance, mistakes, other}
	case quiz.Place:
		return []key{tooth, {"place", true, func(n *yaml.Node) { i.Target, _ = r.word(n, "place", quiz.Landmarks()) }}, tolerance, mistakes, other}
	case quiz.Predict:
		return append(r.trialKeys(i), options)
	}
	return nil // the kind is unknown, which is noted where it stands
}

// prose reads a text and sets its blanks right.
func (r *itemReader) prose(node *yaml.Node, what string) string {
	text, _ := r.text(node, what)
	return strings.Join(strings.Fields(text), " ")
}

// options reads a list of options.
func (r *itemReader) options(node *yaml.Node, what string, kind quiz.Kind) []quiz.Option {
	var options []quiz.Option
	r.list(node, what, partLimit, func(n *yaml.Node) {
		o := quiz.Option{ID: quiz.OptionID(len(options))}
		keys := []key{
			{"text", true, func(n *yaml.Node) { o.Text = r.prose(n, "text") }},
			{"why", true, func(n *yaml.Node) { o.Feedback = r.prose(n, "why") }},
		}
		if kind == quiz.Single || kind == quiz.Several || kind == quiz.Predict {
			keys = append(keys, key{"right", false, func(n *yaml.Node) { o.Right, _ = r.flag(n, "right") }})
		}
		if kind == quiz.Predict {
			keys = append(keys, key{"outcome", true, func(n *yaml.Node) { o.Outcome, _ = r.word(n, "outcome", quiz.Outcomes()) }})
		}
		r.group(n, "an option", keys)
		options = append(options, o)
	})
	return options
}

// pairs reads the pairs of a matching.
func (r *itemReader) pairs(node *yaml.Node, i *quiz.Item) {
	r.list(node, "pairs", partLimit, func(n *yaml.Node) {
		p := quiz.Pair{ID: quiz.OptionID(len(i.Pairs))}
		r.group(n, "a pair", []key{
			{"left", true, func(n *yaml.Node) { p.Left = r.prose(n, "left") }},
			{"right", true, func(n *yaml.Node) { p.Right = r.prose(n, "right") }},
			{"why", true, func(n *yaml.Node) { p.Feedback = r.prose(n, "why") }},
		})
		i.Pairs = append(i.Pairs, p)
	})
}

// free reads a number with any unit, or without one.
func (r *itemReader) free(node *yaml.Node, what string) (value float64, unit string) {
	text, ok := r.text(node, what)
	if !ok {
		return 0, ""
	}
	a, complaint := readAmount(text)
	if complaint != "" {
		r.note(node, "number", "%s: %s; expected a number, with its unit if it has one", what, complaint)
		return 0, ""
	}
	if _, known := findUnit(a.unit); a.unit != "" && !known {
		r.note(node, "unit", "%s is %s: the unit %q is not known", what, shorten(text), shorten(a.unit))
	}
	return a.value, a.unit
}

// tolerance reads a tolerance: in the unit of the answer, or in mm where a place is asked for.
func (r *itemReader) tolerance(node *yaml.Node, i *quiz.Item) float64 {
	value, unit := r.free(node, "tolerance")
	wanted, known := i.Unit, r.answered
	if i.Kind == quiz.Place {
		wanted, known = "mm", true
	}
	if i.Kind == quiz.Measure {
		for _, reading := range quiz.Readings() {
			if reading.Name == i.Target {
				wanted, known = reading.Unit, true
			}
		}
	}
	if known && unit != wanted {
		r.note(node, "unit", "tolerance has the unit %q, expected %q as the answer has; write it after the answer", unit, wanted)
	}
	if value <= 0 {
		r.note(node, "range", "tolerance is %g, expected more than 0", value)
	}
	return value
}

// mistakes reads the wrong answers that are known.
func (r *itemReader) mistakes(node *yaml.Node, i *quiz.Item) {
	r.list(node, "mistakes", partLimit, func(n *yaml.Node) {
		var m quiz.Mistake
		keys := []key{{"why", true, func(n *yaml.Node) { m.Feedback = r.prose(n, "why") }}}
		if i.Kind == quiz.Place {
			keys = append(keys, key{"place", true, func(n *yaml.Node) { m.Target, _ = r.word(n, "place", quiz.Landmarks()) }})
		} else {
			keys = append(keys, key{"value", true, func(n *yaml.Node) { m.Value, _ = r.free(n, "value") }})
		}
		r.group(n, "a mistake", keys)
		i.Mistakes = append(i.Mistakes, m)
	})
}

// subject reads the tooth of a picture item.
func (r *itemReader) subject(node *yaml.Node, i *quiz.Item) {
	var s quiz.Subject
	r.group(node, "tooth", []key{
		{"kind", true, func(n *yaml.Node) { s.Kind = r.kindOfTooth(n) }},
		{"seed", true, func(n *yaml.Node) { s.Seed, _ = r.seed(n) }},
		{"canal", true, func(n *yaml.Node) { s.Canal, _ = r.text(n, "canal") }},
	})
	i.Subject = &s
}

// kindOfTooth reads a kind of tooth.
func (r *itemReader) kindOfTooth(node *yaml.Node) anatomy.Kind {
	var words []string
	for _, k := range anatomy.Kinds() {
		words = append(words, string(k))
	}
	word, _ := r.word(node, "kind", words)
	return anatomy.Kind(word)
}

// reading reads what is to be measured.
func (r *itemReader) reading(node *yaml.Node, i *quiz.Item) {
	var words []string
	for _, reading := range quiz.Readings() {
		words = append(words, reading.Name)
	}
	i.Target, _ = r.word(node, "measure", words)
}

// trialKeys returns the keys of a trial.
func (r *itemReader) trialKeys(i *quiz.Item) []key {
	t := &quiz.Trial{}
	i.Trial = t
	return []key{
		{"tooth", true, func(n *yaml.Node) {
			r.group(n, "tooth", []key{
				{"kind", true, func(n *yaml.Node) { t.Kind = r.kindOfTooth(n) }},
				{"number", true, func(n *yaml.Node) { t.Number, _ = r.whole(n, "number", 11, 48) }},
				{"seed", true, func(n *yaml.Node) { t.Seed, _ = r.seed(n) }},
			})
		}},
		{"pulp", true, func(n *yaml.Node) {
			word, _ := r.word(n, "pulp", []string{"vital", "necrotic"})
			t.Vital = word == "vital"
		}},
		{"before", false, func(n *yaml.Node) { t.Before = r.actions(n, "before") }},
		{"then", true, func(n *yaml.Node) {
			steps := r.actions(&yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{n}, Line: n.Line, Column: n.Column}, "then")
			if len(steps) == 1 {
				t.Then = steps[0]
			}
		}},
	}
}

// actions reads steps as a plan has them.
func (r *itemReader) actions(node *yaml.Node, what string) []treatment.Action {
	plan := Plan{src: r.src}
	steps := &planReader{reader: reader{src: r.src}, plan: &plan}
	steps.list(node, what, beforeLimit, steps.step)
	r.faults = append(r.faults, steps.faults...)
	return plan.Steps
}

// facts reads the facts a key follows from.
func (r *itemReader) facts(node *yaml.Node, i *quiz.Item) {
	var known []string
	for _, f := range quiz.Facts() {
		known = append(known, f.ID)
	}
	r.list(node, "facts", partLimit, func(n *yaml.Node) {
		if id, ok := r.word(n, "a fact", known); ok {
			i.Facts = append(i.Facts, id)
		}
	})
}

// formula reads a formula and its numbers, written as "needle-reach 0.3112 25 0.04".
func (r *itemReader) formula(node *yaml.Node, i *quiz.Item) {
	text, ok := r.text(node, "formula")
	if !ok {
		return
	}
	words := strings.Fields(text)
	var known []string
	for _, f := range quiz.Formulas() {
		known = append(known, f.Name)
	}
	if len(words) == 0 || !slices.Contains(known, words[0]) {
		r.note(node, "formula", "formula is %q; %s", shorten(text), choices(strings.Join(words[:min(1, len(words))], ""), known))
		return
	}
	call := quiz.Call{Name: words[0]}
	for _, w := range words[1:] {
		value, err := strconv.ParseFloat(w, 64)
		if err != nil || numeral.FindString(w) != w {
			r.note(node, "number", "formula: %q is not a plain number such as 12 or 0.5", shorten(w))
			return
		}
		call.Args = append(call.Args, value)
	}
	if _, err := call.Compute(); err != nil {
		r.note(node, "formula", "formula: %v", fmt.Sprint(err))
		return
	}
	i.Formula = &call
}

// excuse reads the rules of the linter that an item breaks on purpose.
func (r *itemReader) excuse(node *yaml.Node, i *quiz.Item) {
	var rules []string
	for _, rule := range quiz.LintRules() {
		rules = append(rules, rule.Name)
	}
	r.list(node, "excuse", partLimit, func(n *yaml.Node) {
		var x quiz.Excuse
		r.group(n, "an excuse", []key{
			{"rule", true, func(n *yaml.Node) { x.Rule, _ = r.word(n, "rule", rules) }},
			{"why", true, func(n *yaml.Node) { x.Why = r.prose(n, "why") }},
		})
		i.Excuses = append(i.Excuses, x)
	})
}
