package scenario

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// ProtocolStep is one step of the protocol that is taught: an action as rules name it, how often and how late
// it may be done, and what it earns.
type ProtocolStep struct {
	Do            string // "irrigate edta"
	Text          string // for people; may be empty
	Least, Most   int    // how often; Most 0: no limit
	WithinSeconds int    // of the treatment's clock, 0: whenever
	Points        float64
	Canal         string // as in a rule: "", each, worst or a name
	node, doNode  *yaml.Node
}

// Protocol returns the steps that are taught, in their order. Those with points are rules as well.
func (s Scenario) Protocol() []ProtocolStep { return slices.Clone(s.protocol) }

// protocol reads the steps that are taught. A step is an action, or a group of keys.
func (r *reader) protocol(node *yaml.Node) []ProtocolStep {
	var steps []ProtocolStep
	r.list(node, "protocol", shortList, func(n *yaml.Node) {
		step := ProtocolStep{node: n, doNode: n, Least: 1}
		if n.Kind == yaml.ScalarNode {
			step.Do, _ = r.text(n, "protocol")
		} else {
			r.group(n, "a step of the protocol", r.stepKeys(&step))
		}
		switch {
		case step.Most > 0 && step.Most < step.Least:
			r.note(n, "range", "at-least is %d, more than at-most, %d", step.Least, step.Most)
		case step.Points > 0 && step.Least == 0 && step.Most == 0 && step.WithinSeconds == 0:
			r.note(n, "range", "a step that may be left out and has no at-most and no within earns nothing: everyone keeps it")
		case step.Canal != "" && step.Points == 0:
			r.note(n, "missing", "canal says in which canals the points of a step are earned; this step has no points")
		}
		if step.Do != "" {
			if fault := marking.DeedFault(step.Do); fault != "" {
				r.note(step.doNode, "action", "%s", fault)
				step.Points = 0 // what it would mark is unknown
			}
		}
		steps = append(steps, step)
	})
	return steps
}

func (r *reader) stepKeys(step *ProtocolStep) []key {
	return []key{
		{"do", true, func(n *yaml.Node) { step.Do, _ = r.text(n, "do"); step.doNode = n }},
		{"text", false, func(n *yaml.Node) { step.Text, _ = r.text(n, "text") }},
		{"at-least", false, func(n *yaml.Node) { step.Least, _ = r.whole(n, "at-least", 0, 100) }},
		{"at-most", false, func(n *yaml.Node) { step.Most, _ = r.whole(n, "at-most", 1, 100) }},
		{"within", false, func(n *yaml.Node) {
			seconds, _ := r.quantity(n, "within", limits{"s", 10, 36000})
			step.WithinSeconds = int(math.Round(seconds))
		}},
		{"points", false, func(n *yaml.Node) { step.Points, _ = r.quantity(n, "points", limits{"", 0.01, 10000}) }},
		{"canal", false, func(n *yaml.Node) { step.Canal, _ = r.text(n, "canal") }},
	}
}

// taught adds the steps of a protocol that have points, and the time allowed, to the rules: each as a rule of
// its own, after the others, so that marks, evidence, trials and statistics know them as any rule.
func (rr *ruleReader) taught(r *reader, c *content) {
	seen := map[string]int{}
	for i, step := range c.protocol {
		seen[step.Do]++
		if step.Points <= 0 || step.Do == "" {
			continue
		}
		rr.add(r, step.node, step.rule(c.protocol, i, seen[step.Do]))
	}
	if c.timePoints > 0 && c.timeAllowed > 0 {
		rr.add(r, c.timeNode, timeRule(c))
	}
}

// add adds a rule that stands in the file in another form.
func (rr *ruleReader) add(r *reader, node *yaml.Node, rule marking.Rule) {
	rr.rules = append(rr.rules, written{rule: rule, reader: r, node: node, fields: map[string]*yaml.Node{}, faulty: map[string]bool{}, derived: true})
}

// rule returns a step as a rule. It earns by how often it was done, up to at-least, and nothing when it was
// done too often, too late, or never after the step before it was first done: files that scouted, say, still
// count as shaping if they are used again later. A step before it that was left out costs it nothing.
func (p ProtocolStep) rule(steps []ProtocolStep, at, turn int) marking.Rule {
	kind, _, _ := strings.Cut(p.Do, " ")
	rule := marking.Rule{
		ID: "protocol-" + strings.ReplaceAll(p.Do, " ", "-"), Stage: treatment.Kind(kind).Stage(), Title: p.Text,
		Points: p.Points, Canal: p.Canal, Source: "the protocol of this case",
	}
	if turn > 1 {
		rule.ID += "-" + strconv.Itoa(turn)
	}
	if rule.Title == "" {
		rule.Title = "As taught: " + p.Do
	}
	deed := strconv.Quote(p.Do)
	done := "actions(" + deed + ")"
	var must []string
	taught := []string{}
	switch {
	case p.Least > 1:
		taught = append(taught, "at least "+strconv.Itoa(p.Least))
	case p.Least == 0:
		taught = append(taught, "not needed")
	default:
		taught = append(taught, "once or more")
	}
	if p.Most > 0 {
		must = append(must, fmt.Sprintf("%s <= %d", done, p.Most))
		taught = append(taught, "at most "+strconv.Itoa(p.Most))
	}
	evidence := "done {" + done + "} times, taught " + strings.Join(taught, ", ")
	if p.WithinSeconds > 0 {
		must = append(must, fmt.Sprintf("(not did(%s) or clock(%s) <= %d)", deed, deed, p.WithinSeconds))
		evidence += "; first {clock(" + deed + ")} after the start, taught within " + show(float64(p.WithinSeconds), "s")
	}
	if after, text := p.after(steps, at); after != "" {
		must = append(must, after)
		evidence += "; " + text
	}
	rule.When, rule.Evidence = strings.Join(must, " and "), evidence
	switch {
	case p.Least > 0:
		rule.Credit = fmt.Sprintf("min(1, %s / %d)", done, p.Least)
	case rule.When == "":
		rule.When = "did(" + deed + ") or true"
	}
	return rule
}

// after returns the condition that a step was done after the one before it, and what it says in evidence.
func (p ProtocolStep) after(steps []ProtocolStep, at int) (condition, evidence string) {
	if at == 0 || steps[at-1].Do == "" || steps[at-1].Do == p.Do {
		return "", ""
	}
	deed, before := strconv.Quote(p.Do), strconv.Quote(steps[at-1].Do)
	condition = fmt.Sprintf("(not did(%s) or last(%s) > first(%s))", deed, deed, before)
	return condition, "after " + steps[at-1].Do + ": {" + condition + "}"
}

// timeRule marks the time allowed: all points within it, none from half as long again.
func timeRule(c *content) marking.Rule {
	minutes := float64(c.timeAllowed) / 60000
	return marking.Rule{
		ID: "time", Title: "Within the time allowed", Points: c.timePoints, Metric: "minutes",
		Full: marking.Bound{Op: "<=", Value: minutes}, None: marking.Bound{Op: ">=", Value: 1.5 * minutes},
		Evidence: "took {value}, allowed {full}", Source: "the time of this case; no credit from half as long again, common practice, no source",
	}
}

// timeAllowed reads the time allowed: an amount, or keys that say what keeping it earns.
func (r *reader) timeAllowed(node *yaml.Node, c *content) {
	allowed := func(n *yaml.Node) {
		if seconds, ok := r.quantity(n, "time", limits{"s", 60, 36000}); ok {
			c.timeAllowed = int(math.Round(seconds * 1000))
		}
	}
	c.timeNode = node
	if node.Kind != yaml.MappingNode {
		allowed(node)
		return
	}
	r.group(node, "time", []key{
		{"allowed", true, allowed},
		{"points", false, func(n *yaml.Node) { c.timePoints, _ = r.quantity(n, "points", limits{"", 0.01, 10000}) }},
	})
}
