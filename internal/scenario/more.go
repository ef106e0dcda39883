package scenario

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// Texts are title, summary and findings in another language.
type Texts struct {
	Title, Summary string
	Findings       []string
}

// Findings returns what history, tests and films have shown, a sentence each.
func (s Scenario) Findings() []string { return slices.Clone(s.findings) }

// Time returns the time allowed in ms, 0 when there is no limit.
func (s Scenario) Time() int { return s.timeAllowed }

// Text returns title, summary and findings in a language (a tag such as "de"), else those of the file.
func (s Scenario) Text(language string) Texts {
	text := s.texts[language]
	if text.Title == "" {
		text.Title = s.title
	}
	if text.Summary == "" {
		text.Summary = s.summary
	}
	if len(text.Findings) == 0 {
		text.Findings = s.findings
	}
	text.Findings = slices.Clone(text.Findings)
	return text
}

// In returns the scenario with its texts in a language (a tag such as "de"): the same case, rules and digest.
// It is an error when the file has no texts in it. Checked by TestInAnotherLanguage.
func (s Scenario) In(language string) (Scenario, error) {
	if _, given := s.texts[language]; !given {
		if len(s.texts) == 0 {
			return s, fmt.Errorf("%s has texts in one language only", s.name)
		}
		return s, fmt.Errorf("%s has no texts in %q; it has %s", s.name, language, strings.Join(s.Languages(), ", "))
	}
	text := s.Text(language)
	s.title, s.summary, s.findings = text.Title, text.Summary, text.Findings
	return s, nil
}

// Languages returns the languages that the scenario has texts in beside its own.
func (s Scenario) Languages() []string { return slices.Sorted(maps.Keys(s.texts)) }

// texts reads titles and summaries by language.
func (r *reader) texts(node *yaml.Node, c *content) {
	c.texts = map[string]Texts{}
	if node.Kind != yaml.MappingNode {
		r.note(node, "type", "texts is %s; expected languages, such as \"de: {title: …}\"", kindName(node))
		return
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i], node.Content[i+1]
		if !r.keyText(name, seen) {
			continue
		}
		if n := len(name.Value); n < 2 || n > 8 || strings.Trim(name.Value, "abcdefghijklmnopqrstuvwxyz-") != "" {
			r.note(name, "language", "%q is no language; expected a short tag, such as de or pt-br", shorten(name.Value))
			continue
		}
		var t Texts
		r.group(value, "texts "+name.Value, []key{
			{"title", false, func(n *yaml.Node) { t.Title, _ = r.text(n, "title") }},
			{"summary", false, func(n *yaml.Node) { t.Summary, _ = r.text(n, "summary") }},
			{"findings", false, func(n *yaml.Node) { t.Findings = r.sentences(n, "findings") }},
		})
		c.texts[name.Value] = t
	}
}

// shortList is the most sentences, items or steps a list of them may have.
const shortList = 100

func (r *reader) sentences(node *yaml.Node, what string) []string {
	var list []string
	r.list(node, what, shortList, func(n *yaml.Node) {
		if text, ok := r.text(n, what); ok {
			list = append(list, text)
		}
	})
	return list
}

// stated is a total that a file states, and where.
type stated struct {
	node  *yaml.Node
	total float64
}

// sum compares a stated total with what rules add up to.
func (r *reader) sum(t stated, rules []written) {
	if sum := pointsOf(rules); math.Abs(sum-t.total) > 1e-6 {
		r.note(t.node, "total", "the points of the rules add up to %s, not to %s", show(sum, ""), show(t.total, ""))
	}
}

func pointsOf(rules []written) float64 {
	sum := 0.0
	for _, w := range rules {
		sum += w.rule.Points
	}
	return sum
}

// checkTotal compares the scenario's own total with all its rules.
func (c *content) checkTotal(r *reader, rules *ruleReader) {
	if c.totalNode != nil && c.total > 0 {
		r.sum(stated{c.totalNode, c.total}, rules.rules)
	}
}

// difficultyOf is the class of a tooth by its largest bend on the film: 10 and 30 deg, case difficulty
// form 2022, from memory. It stands in for a class that a scenario does not name.
func difficultyOf(tooth *anatomy.Tooth) string {
	largest := 0.0
	for i := range tooth.Canals {
		largest = math.Max(largest, anatomy.Measure(tooth, i).Schneider)
	}
	return geom.FormClass(largest, false)
}
