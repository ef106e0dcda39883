package scenario

import (
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// QuizLink is a quiz item that goes with a case, and what brings it back.
type QuizLink struct {
	quiz.Link
	node, after *yaml.Node
}

// Quiz returns the ids of the quiz items that go with the case.
func (s Scenario) Quiz() []string {
	ids := make([]string, len(s.quiz))
	for i, l := range s.quiz {
		ids[i] = l.Item
	}
	return ids
}

// QuizLinks returns the quiz items that go with the case, each with what brings it back.
func (s Scenario) QuizLinks() []quiz.Link {
	links := make([]quiz.Link, len(s.quiz))
	for i, l := range s.quiz {
		links[i] = l.Link
	}
	return links
}

// quizLinks reads the quiz items of a case. An item is an id, or keys that say after what it comes back.
func (r *reader) quizLinks(node *yaml.Node) []QuizLink {
	var links []QuizLink
	r.list(node, "quiz", shortList, func(n *yaml.Node) {
		link := QuizLink{node: n}
		if n.Kind == yaml.ScalarNode {
			link.Item, _ = r.slug(n, "quiz")
		} else {
			r.group(n, "a quiz link", []key{
				{"item", true, func(n *yaml.Node) { link.Item, _ = r.slug(n, "item"); link.node = n }},
				{"after", false, func(n *yaml.Node) { link.After, _ = r.text(n, "after"); link.after = n }},
			})
		}
		twice := func(other QuizLink) bool { return other.Item == link.Item && other.After == link.After }
		switch {
		case link.Item == "":
		case slices.ContainsFunc(links, twice):
			r.note(link.node, "duplicate", "%q stands twice in quiz", link.Item)
		default:
			links = append(links, link)
		}
	})
	return links
}

// checkLinks checks that what brings an item back can happen: a rule of the scenario, or an event.
func (s *Scenario) checkLinks(r *reader) {
	var words []string
	for _, rule := range s.rules {
		words = append(words, rule.ID)
	}
	for _, e := range treatment.EventKinds() {
		words = append(words, string(e.Kind))
	}
	for _, l := range s.quiz {
		if l.after != nil && l.After != "" && !slices.Contains(words, l.After) {
			r.note(l.after, "quiz", "after: %q is neither a rule of this scenario nor an event; %s", shorten(l.After), choices(l.After, words))
		}
	}
}

// lintLinks finds links to items that do not come with the program.
func (s Scenario) lintLinks(r *reader) {
	if len(s.quiz) == 0 {
		return
	}
	bank, err := LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		return // the shipped bank is checked by itself
	}
	ids := make([]string, len(bank))
	for i, item := range bank {
		ids[i] = item.ID
	}
	for _, l := range s.quiz {
		if !slices.Contains(ids, l.Item) {
			meant := ""
			if likely := marking.Likely(l.Item, ids); likely != "" {
				meant = fmt.Sprintf("; did you mean %q?", likely)
			}
			r.note(l.node, "lint", "quiz: no item %q comes with the program%s", shorten(l.Item), meant)
		}
	}
}
