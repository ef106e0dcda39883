package scenario

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Limits of rule sets: far above what a marking sheet holds, low enough to end any chain of uses.
const (
	ruleLimit  = 500
	useDepth   = 8
	orderLimit = 50
)

// library is where files named by use: are found: the folder of the scenario. prefix leads from
// there to the name shown to people.
type library struct {
	files  fs.FS
	prefix string
}

// written is a rule with the places of its fields, so that a fault found later can be put there.
type written struct {
	rule   marking.Rule
	reader *reader
	node   *yaml.Node
	fields map[string]*yaml.Node
	faulty map[string]bool // fields in which a fault has been noted

	derived bool // it stands in the file as a step of the protocol or as a time, not as a rule
}

// ruleReader collects rules from a scenario and the rule sets it uses.
type ruleReader struct {
	library *library
	rules   []written
	stack   []string        // files being read, outermost first
	used    map[string]bool // files used so far
	readers []*reader       // one for each file used

	trayNodes []*yaml.Node // of the tray and the trays it uses; nil when it uses none
	prepared  string       // steps of a drill, for the digest
	pass      float64      // pass mark of the last rule set that names one
}

// list reads a list of rules and of files to use, found in the file at a path of the library. It
// returns the nodes of the rules, those of used files in their place.
func (rr *ruleReader) list(r *reader, file string, node *yaml.Node) []*yaml.Node {
	var nodes []*yaml.Node
	r.list(node, "rules", ruleLimit, func(item *yaml.Node) {
		use := useOf(item)
		if use == nil {
			rr.rule(r, item)
			nodes = append(nodes, item)
			return
		}
		r.group(item, "a used rule set", []key{{"use", true, func(n *yaml.Node) {
			if name, ok := r.text(n, "use"); ok {
				nodes = append(nodes, rr.use(r, file, name, n)...)
			}
		}}})
	})
	return nodes
}

// useOf returns the key use: of an item of the list, or nil.
func useOf(item *yaml.Node) *yaml.Node {
	if i := keyIndex(item, "use"); item.Kind == yaml.MappingNode && i >= 0 {
		return item.Content[i]
	}
	return nil
}

// use reads the rule set in a file that is named relative to the file that uses it.
func (rr *ruleReader) use(r *reader, from, name string, node *yaml.Node) []*yaml.Node {
	if target, ok := rr.target(r, from, name, node); ok {
		return rr.read(r, target, node)
	}
	return nil
}

// target returns the path in the library of a file to be used, and whether it may be.
func (rr *ruleReader) target(r *reader, from, name string, node *yaml.Node) (string, bool) {
	target := path.Join(path.Dir(from), name)
	switch {
	case rr.library == nil:
		r.note(node, "use", "use: %s needs a file, but this text was not read from one", shorten(name))
	case path.IsAbs(name) || strings.Contains(name, `\`) || !fs.ValidPath(target):
		r.note(node, "use", "use: %s leaves the scenario's folder; allowed are files in it, such as rules/formative.yaml", shorten(name))
	case slices.Contains(rr.stack, target):
		r.note(node, "use", "%s uses itself: %s", shorten(name), strings.Join(append(rr.stack, target), " uses "))
	case rr.used[target]:
		r.note(node, "use", "%s is used twice", shorten(target))
	case len(rr.stack) >= useDepth || len(rr.rules) > ruleLimit:
		r.note(node, "use", "%s: too many rule sets use each other, allowed %d levels and %d rules", shorten(name), useDepth, ruleLimit)
	default:
		return target, true
	}
	return "", false
}

// open opens a used file and returns its reader and its content, nil when there is none to be read. from says
// how such a file is made.
func (rr *ruleReader) open(r *reader, target string, node *yaml.Node, from string) (*reader, *yaml.Node) {
	rr.used[target] = true
	file, err := rr.library.files.Open(target)
	if err != nil {
		hint := ""
		if errors.Is(err, fs.ErrNotExist) {
			hint = "; make one with " + from + ", or write the path from this file's folder"
		}
		r.note(node, "use", "%s: %s%s", shorten(target), reason(err), hint)
		return nil, nil
	}
	src, faults := readSource(rr.library.prefix+target, file)
	if faults != nil && faults[0].Line == 0 {
		r.note(node, "use", "%s %s", shorten(target), faults[0].Message)
		return nil, nil
	}
	used := &reader{src: src, faults: faults}
	rr.readers = append(rr.readers, used)
	if src == nil {
		return nil, nil
	}
	root, faults := src.parse()
	used.faults = append(used.faults, faults...)
	return used, root
}

// read reads a rule set.
func (rr *ruleReader) read(r *reader, target string, node *yaml.Node) []*yaml.Node {
	used, root := rr.open(r, target, node, "tugback new rules")
	if root == nil {
		return nil
	}
	var nodes []*yaml.Node
	var totals []stated
	first := len(rr.rules)
	rr.stack = append(rr.stack, target)
	used.group(root, "a rule set", []key{
		{"format", true, used.format},
		{"title", false, func(n *yaml.Node) { used.text(n, "title") }},
		{"summary", false, func(n *yaml.Node) { used.text(n, "summary") }},
		{"pass", false, func(n *yaml.Node) { rr.pass = used.passMark(n) }},
		{"total", false, func(n *yaml.Node) {
			total, ok := used.quantity(n, "total", limits{"", 1, 100000})
			if ok {
				totals = append(totals, stated{n, total})
			}
		}},
		{"rules", true, func(n *yaml.Node) { nodes = rr.list(used, target, n) }},
	})
	for _, t := range totals {
		used.sum(t, rr.rules[first:])
	}
	rr.stack = rr.stack[:len(rr.stack)-1]
	return nodes
}

// rule reads one rule.
func (rr *ruleReader) rule(r *reader, node *yaml.Node) {
	w := written{reader: r, node: node, fields: map[string]*yaml.Node{}, faulty: map[string]bool{}}
	rule := &w.rule
	var full, none *yaml.Node
	var keys []key
	for _, t := range []struct {
		name   string
		needed bool
		at     *string
	}{
		{"id", true, &rule.ID}, {"stage", false, &rule.Stage}, {"title", false, &rule.Title},
		{"canal", false, &rule.Canal}, {"metric", false, &rule.Metric}, {"when", false, &rule.When},
		{"credit", false, &rule.Credit}, {"evidence", false, &rule.Evidence}, {"source", false, &rule.Source},
		{"follows", false, &rule.Follows}, {"instead", false, &rule.Instead},
	} {
		keys = append(keys, key{t.name, t.needed, func(n *yaml.Node) { *t.at, _ = r.rawText(n, t.name) }})
	}
	keys = append(keys, []key{
		{"points", false, func(n *yaml.Node) { rule.Points, _ = r.amount(n, "points", "") }},
		{"deduct", false, func(n *yaml.Node) { rule.Deduct, _ = r.amount(n, "deduct", "") }},
		{"order", false, func(n *yaml.Node) {
			r.list(n, "order", orderLimit, func(n *yaml.Node) {
				if step, ok := r.text(n, "order"); ok {
					rule.Order = append(rule.Order, step)
				}
			})
		}},
		{"full", false, func(n *yaml.Node) { full = n }},
		{"none", false, func(n *yaml.Node) { none = n }},
		{"critical", false, func(n *yaml.Node) { rule.Critical, _ = r.flag(n, "critical") }},
	}...)
	for i := range keys {
		name, read := keys[i].name, keys[i].read
		keys[i].read = func(n *yaml.Node) {
			before := len(r.faults)
			read(n)
			w.fields[name], w.faulty[name] = n, len(r.faults) > before
		}
	}
	if !r.group(node, "a rule", keys) {
		return
	}
	w.faulty["id"] = w.faulty["id"] || rule.ID == ""
	rule.Full, w.faulty["full"] = r.bound(full, "full", rule.Metric)
	rule.None, w.faulty["none"] = r.bound(none, "none", rule.Metric)
	rr.rules = append(rr.rules, w)
}

// rawText is text without trimming, so that places inside it stay true.
func (r *reader) rawText(node *yaml.Node, what string) (string, bool) {
	if _, ok := r.text(node, what); !ok {
		return "", false
	}
	return strings.TrimRight(node.Value, "\n"), true
}

// bound reads a comparison such as "<= 0.15 mm", in the unit of the rule's metric. It is faulty too
// when the metric is unknown: the compiler of rules says so, and without its unit nothing can be read.
func (r *reader) bound(node *yaml.Node, what, metric string) (b marking.Bound, faulty bool) {
	if node == nil {
		return b, false
	}
	text, ok := r.text(node, what)
	if !ok {
		return b, true
	}
	digits := strings.IndexFunc(text, func(c rune) bool { return !strings.ContainsRune("<>=!~≤≥ ", c) })
	if digits < 0 {
		digits = len(text)
	}
	op := strings.TrimSpace(text[:digits])
	if !slices.Contains(marking.Operators(), op) {
		meant := ""
		if sign := map[string]string{"=<": "<=", "≤": "<=", "=>": ">=", "≥": ">=", "=": "=="}[op]; sign != "" {
			meant = fmt.Sprintf("did you mean %q? ", sign+" "+strings.TrimSpace(text[digits:]))
		}
		r.note(node, "bound", "%s is %q; %sexpected a comparison and a value, such as \"<= 0.15 mm\"; comparisons: %s",
			what, shorten(text), meant, strings.Join(marking.Operators(), " "))
		return b, true
	}
	definition, known := metricNamed(metric)
	if !known {
		return b, true
	}
	if a, complaint := readAmount(text[digits:]); complaint == "" && a.unit == "%" && definition.Unit == "" && definition.High == 1 {
		return marking.Bound{Op: op, Value: convert(a.value, "%", "share")}, false
	}
	value, ok := r.amountIn(node, what, definition.Unit, text[digits:], digits)
	return marking.Bound{Op: op, Value: value}, !ok
}

func metricNamed(name string) (treatment.Definition, bool) {
	for _, d := range treatment.MetricTable() {
		if d.Name == name {
			return d, true
		}
	}
	return treatment.Definition{}, false
}

// compile compiles the rules for a tooth with the canals and puts the faults found at their places.
func (rr *ruleReader) compile(canals []string) ([]marking.Rule, *marking.Marker) {
	rules := make([]marking.Rule, len(rr.rules))
	for i, w := range rr.rules {
		rules[i] = w.rule
	}
	words := marking.Standard()
	words.Canals = canals
	marker, faults := words.Compile(rules)
	for _, f := range faults {
		w := rr.rules[f.Rule]
		node := w.fields[f.Field]
		f.Message += rr.placeOfTwin(f)
		switch {
		case w.faulty[f.Field], f.Field == "points" && node == nil && (w.faulty["critical"] || w.faulty["deduct"]):
		case node == nil:
			w.reader.note(w.node, "rule", "rule %s: %s: %s", shorten(w.rule.ID), f.Field, f.Message)
		case f.Column == 0:
			w.reader.note(node, "rule", "%s: %s", f.Field, f.Message)
		default:
			w.reader.noteAt(node, offsetIn(node.Value, f.Line, f.Column), "rule", "%s: %s", f.Field, f.Message)
		}
	}
	return rules, marker
}

// placeOfTwin says where the other rule stands that has the same id, for a fault that is about that.
func (rr *ruleReader) placeOfTwin(f marking.Fault) string {
	if f.Field != "id" {
		return ""
	}
	for _, w := range rr.rules[:f.Rule] {
		if node := w.fields["id"]; node != nil && w.rule.ID == rr.rules[f.Rule].rule.ID {
			return fmt.Sprintf(", in %s:%d", w.reader.src.name, node.Line)
		}
	}
	return ""
}

// offsetIn returns how many characters of a text stand before a line and column of it, both from 1.
func offsetIn(text string, line, column int) int {
	offset := column - 1
	for n, content := range strings.Split(text, "\n") {
		if n+1 >= line {
			break
		}
		offset += len([]rune(content)) + 1
	}
	return offset
}
