package scenario

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// Shapes of a field that no key has by itself.
const (
	UseShape     = "use"     // an item that uses a file
	UnknownShape = "unknown" // what only the text can change
)

// Field is one key or item of a file as a form shows it, whether it stands in the file or not.
type Field struct {
	Path    Path     `json:"path"`
	Key     string   `json:"key"`   // "" of an item
	Title   string   `json:"title"` // of an item or a named group: what it is, in a line
	Shape   string   `json:"shape"`
	Text    string   `json:"text"`    // what it means
	Allowed string   `json:"allowed"` // limits and unit, or words
	Example string   `json:"example"`
	Default string   `json:"default"` // what holds when it is left out
	Norm    string   `json:"norm"`    // what is drawn when it is left out, with the source
	Unit    string   `json:"unit"`
	Words   []string `json:"words"`
	From    string   `json:"from"` // list of further words; others may stand too
	Needed  bool     `json:"needed"`
	Given   bool     `json:"given"`
	Line    int      `json:"line"` // in the text, 0 when it does not stand there
	Value   string   `json:"value"`
	Fields  []Field  `json:"fields"`
	Add     []Choice `json:"add"` // what can be added to it
	Rename  *Rename  `json:"rename"`
}

// Rename is what a word that is not known at its place may be renamed to.
type Rename struct {
	Path   Path     `json:"path"`   // of the word
	Names  []string `json:"names"`  // known there and not yet given
	Likely string   `json:"likely"` // one of them, "" when none is near
}

// renaming offers other names for the word at a path.
func renaming(path Path, names []string) *Rename {
	if len(names) == 0 {
		return nil
	}
	return &Rename{path, names, likely(path.last(), names)}
}

// Form is a file as a form.
type Form struct {
	Sort   string              `json:"sort"` // name of the file's group in the reference
	Fields []Field             `json:"fields"`
	Lists  map[string][]string `json:"lists"` // likely words by name, for fields that say from which
}

// Choice is something that can be added to a list or a group of names.
type Choice struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// formGroups are groups that the printed reference describes elsewhere.
func formGroups() []Group {
	groups := append(Reference(), Group{"texts", "title, summary and findings in one language",
		[]Entry{textEntry("title", "one line for people", "Ein Backenzahn"), proseEntry("summary", "what the student is told", "Schmerz seit zwei Tagen."),
			listEntry("findings", "sentences", "what was found", "[Kälte schmerzt]")}},
		Group{"repeat", "steps done several times", []Entry{
			{Key: "times", Value: fmt.Sprintf("1 to %d", timesLimit), Needed: true, Text: "how often", Example: "3", Shape: Shape{Kind: NumberShape, Low: 1, High: timesLimit}},
			{Key: "steps", Value: "a list of actions", Needed: true, Text: "what is done each time", Shape: Shape{Kind: ListShape, Of: "step"}}}})
	for _, kind := range treatment.Kinds() {
		groups = append(groups, Group{"step " + string(kind), "", actionEntries(kind)})
	}
	return groups
}

// actionEntries are the fields of an action as keys.
func actionEntries(kind treatment.Kind) []Entry {
	var entries []Entry
	for _, f := range treatment.Fields(kind) {
		e := Entry{Key: f.Key, Text: f.Text, Needed: f.Needed}
		switch f.Form {
		case treatment.Word:
			e.Value, e.Example, e.Shape = strings.Join(f.Words, ", "), f.Words[0], Shape{Kind: WordShape, Words: f.Words}
		case treatment.Flag:
			e = flagEntry(f.Key, f.Text)
			e.Needed = f.Needed
		case treatment.Name:
			e.Value, e.Shape = "an instrument", Shape{Kind: TextShape, From: "instruments"}
			if f.Key == "canal" {
				e.Value, e.Shape.From = "a canal's name", "canals"
			}
		case treatment.Number:
			low, high := float64(f.Min)/f.Scale, float64(f.Max)/f.Scale
			e.Value = show(low, f.Unit) + " to " + show(high, f.Unit)
			e.Shape = Shape{Kind: QuantityShape, Unit: f.Unit, Low: low, High: high}
			e.Example = show(low, f.Unit)
		}
		entries = append(entries, e)
	}
	return entries
}

// Sort tells what a file is by its keys: the name of its group in the reference, "" for none of them.
func (d *Document) Sort() string {
	for _, c := range [][2]string{{"tooth", "scenario"}, {"pulp", "scenario"}, {"lesion", "scenario"}, {"drill", "scenario"}, {"technique", "technique"}, {"steps", "plan"}, {"for", "plan"},
		{"operator", "operator"}, {"rules", "rule set"}, {"tray", "tray"}} {
		if child(d.root, c[0]) != nil {
			return c[1]
		}
	}
	return ""
}

// form builds the fields of one document.
type form struct {
	d      *Document
	groups map[string]Group
	kind   anatomy.Kind // of the tooth, "" when none is named
	canals []string
	rules  []string // ids
	norms  []anatomy.Norm
}

// newForm looks up what fields of a document may refer to.
func newForm(d *Document) *form {
	f := &form{d: d, groups: map[string]Group{}, norms: anatomy.Norms()}
	for _, g := range formGroups() {
		f.groups[g.Name] = g
	}
	kind, _ := d.Get(Path{"tooth", "kind"})
	f.about(anatomy.Kind(strings.TrimSpace(kind)))
	if rules := d.find(Path{"rules"}); rules != nil && rules.Kind == yaml.SequenceNode {
		for _, rule := range rules.Content {
			if id := child(rule, "id"); id != nil && id.Kind == yaml.ScalarNode {
				f.rules = append(f.rules, id.Value)
			}
		}
	}
	return f
}

// about says which tooth the fields are about.
func (f *form) about(kind anatomy.Kind) {
	f.kind, f.canals = kind, anatomy.CanalNames(kind)
}

// Form returns the fields of a document in the order of the reference: those that stand in it and those
// that may. kind is the tooth that a plan or a rule set is for; a scenario names its own. Checked by
// TestFormShowsEveryKey.
func (d *Document) Form(kind anatomy.Kind) Form {
	f := newForm(d)
	if f.kind == "" {
		f.about(kind)
	}
	out := Form{Sort: d.Sort(), Lists: map[string][]string{}}
	out.Fields = complete(f.group(f.groups[out.Sort], d.root, nil))
	for _, name := range []string{"canals", "rules", "numbers", "deeds", "instruments", "instrument-names", "techniques"} {
		out.Lists[name] = f.list(name)
	}
	return out
}

// complete makes lists without entries lists all the same, as JSON writes them.
func complete(fields []Field) []Field {
	for i, f := range fields {
		fields[i].Fields, fields[i].Add, fields[i].Words = append([]Field{}, complete(f.Fields)...), append([]Choice{}, f.Add...), append([]string{}, f.Words...)
	}
	return fields
}

// group returns the fields of a group, with keys that the group does not know behind them.
func (f *form) group(g Group, node *yaml.Node, path Path) []Field {
	fields := make([]Field, 0, len(g.Entries))
	known := map[string]bool{}
	var left []string
	for _, e := range g.Entries {
		known[e.Key] = true
		var value *yaml.Node
		if node != nil {
			value = child(node, e.Key)
		}
		if value == nil {
			left = append(left, e.Key)
		}
		fields = append(fields, f.field(e, value, join(path, e.Key)))
	}
	for i := 0; node != nil && node.Kind == yaml.MappingNode && i+1 < len(node.Content); i += 2 {
		if name, value := node.Content[i].Value, node.Content[i+1]; !known[name] {
			at := join(path, name)
			fields = append(fields, Field{Path: at, Key: name, Shape: UnknownShape, Given: true, Line: node.Content[i].Line, Value: inShort(value), Rename: renaming(at, left)})
		}
	}
	return fields
}

// inShort says what a node is, a text by its beginning.
func inShort(node *yaml.Node) string {
	if node.Kind == yaml.ScalarNode && !isNull(node) {
		return strconv.Quote(shorten(strings.TrimSpace(node.Value)))
	}
	return kindName(node)
}

func join(path Path, step string) Path { return append(slices.Clone(path), step) }

// field returns one key with what stands behind it.
func (f *form) field(e Entry, node *yaml.Node, path Path) Field {
	s := e.Shape
	out := Field{Path: path, Key: e.Key, Shape: s.Kind, Text: e.Text, Allowed: e.Value, Example: e.Example, Default: e.Default,
		Norm: f.norm(path, s), Unit: s.Unit, Needed: e.Needed, Given: node != nil}
	out.Words, out.From = s.Words, s.From
	if node != nil {
		out.Line = node.Line
	}
	empty := node == nil || isNull(node)
	switch {
	case s.Kind == GroupShape && (empty || node.Kind == yaml.MappingNode), s.Kind == QuantityShape && s.Of != "" && !empty && node.Kind == yaml.MappingNode:
		out.Shape = GroupShape
		out.Fields = f.group(f.groups[s.Of], node, path)
	case s.Kind == NamesShape && (empty || node.Kind == yaml.MappingNode):
		out.Fields, out.Add = f.names(s, node, path)
	case s.Kind == ListShape && (empty || node.Kind == yaml.SequenceNode):
		out.Fields, out.Add = f.items(s, node, path), f.choices(s)
	case !empty && node.Kind != yaml.ScalarNode, !empty && slices.Contains([]string{GroupShape, NamesShape, ListShape}, s.Kind):
		out.Shape, out.Value = UnknownShape, kindName(node)
	case !empty:
		out.Value = strings.TrimSpace(node.Value)
	}
	return out
}

// names returns the groups behind names, and the names that can be added.
func (f *form) names(s Shape, node *yaml.Node, path Path) (fields []Field, add []Choice) {
	all := f.list(s.From)
	left := slices.DeleteFunc(slices.Clone(all), func(w string) bool { return node != nil && child(node, w) != nil })
	for i := 0; node != nil && i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i].Value, node.Content[i+1]
		behind := Field{Path: join(path, name), Key: name, Shape: GroupShape, Given: true, Line: node.Content[i].Line}
		if len(all) > 0 && !slices.Contains(all, name) {
			behind.Rename = renaming(behind.Path, left)
		}
		if isNull(value) || value.Kind == yaml.MappingNode {
			behind.Fields = f.group(f.groups[s.Of], value, behind.Path)
		} else {
			behind.Shape, behind.Value = UnknownShape, kindName(value)
		}
		fields = append(fields, behind)
	}
	for _, word := range left {
		add = append(add, Choice{Name: word})
	}
	return fields, add
}

// items returns the items of a list.
func (f *form) items(s Shape, node *yaml.Node, path Path) []Field {
	var fields []Field
	for i := 0; node != nil && i < len(node.Content); i++ {
		fields = append(fields, f.item(s, node.Content[i], join(path, strconv.Itoa(i))))
	}
	return fields
}

// item returns one item of a list.
func (f *form) item(s Shape, node *yaml.Node, path Path) Field {
	out := Field{Path: path, Given: true, Line: node.Line}
	group := f.groups[s.Of]
	switch {
	case node.Kind == yaml.ScalarNode:
		out.Shape, out.Value = TextShape, strings.TrimSpace(node.Value)
		if out.From = s.From; s.Of == "" && s.From == "" {
			out.Shape = ProseShape
		}
	case node.Kind == yaml.MappingNode && useOf(node) != nil && s.Of != "step" && len(node.Content) == 2:
		out.Shape, out.Value = UseShape, node.Content[1].Value
	case node.Kind == yaml.MappingNode && s.Of == "step" && len(node.Content) == 2:
		return f.step(node, out)
	case node.Kind == yaml.MappingNode && s.Of != "":
		out.Shape, out.Title = GroupShape, itemTitle(node)
		out.Fields = f.group(group, node, path)
	default:
		out.Shape, out.Value = UnknownShape, kindName(node)
	}
	return out
}

// titleWords is how many values of an action stand in its title.
const titleWords = 4

// step returns a step of a plan: its only key is the action.
func (f *form) step(node *yaml.Node, out Field) Field {
	kind, fields := node.Content[0].Value, node.Content[1]
	group, known := f.groups["step "+kind]
	if kind == "repeat" || kind == "use" {
		group, known = f.groups[kind], true
	}
	if !known || fields.Kind != yaml.MappingNode && !isNull(fields) {
		out.Shape, out.Value = UnknownShape, kind
		if !known {
			out.Rename = renaming(join(out.Path, kind), append(kindNames(), "repeat", "use"))
		}
		return out
	}
	out.Shape, out.Title = GroupShape, kind
	for i := 0; i+1 < len(fields.Content) && i < 2*titleWords; i += 2 {
		if value := fields.Content[i+1]; value.Kind == yaml.ScalarNode {
			out.Title += " " + shorten(value.Value)
		}
	}
	out.Fields = f.group(group, fields, join(out.Path, kind))
	return out
}

// itemTitle says in a line what an item is.
func itemTitle(node *yaml.Node) string {
	var parts []string
	for _, key := range []string{"id", "do", "level", "title", "text"} {
		if value := child(node, key); value != nil && value.Kind == yaml.ScalarNode {
			parts = append(parts, shorten(value.Value))
		}
	}
	for _, key := range []string{"points", "deduct"} {
		if value := child(node, key); value != nil && value.Kind == yaml.ScalarNode {
			parts = append(parts, map[string]string{"points": "", "deduct": "−"}[key]+value.Value+" points")
		}
	}
	return strings.Join(parts, " · ")
}

// list returns likely words by the name of their list.
func (f *form) list(name string) []string {
	words := []string{}
	switch name {
	case "canals":
		return append(words, f.canals...)
	case "rules":
		return append(words, f.rules...)
	case "numbers":
		for _, n := range numbersOf(f.kind) {
			words = append(words, strconv.Itoa(n))
		}
	case "deeds":
		return deeds()
	case "instruments":
		for _, i := range treatment.Catalogue() {
			words = append(words, i.ID)
		}
	case "instrument-names": // as long as instruments
		for _, i := range treatment.Catalogue() {
			words = append(words, i.Name)
		}
	case "techniques":
		return Techniques()
	}
	return words
}

// deeds are the actions as protocols and rules name them, each alone and with its words.
func deeds() []string {
	var out []string
	for _, kind := range treatment.Kinds() {
		out = append(out, string(kind))
		for _, field := range treatment.Fields(kind) {
			for _, word := range field.Words {
				out = append(out, string(kind)+" "+word)
			}
		}
	}
	return out
}

// norm says from what a quantity of the tooth is drawn when it is left out.
func (f *form) norm(path Path, s Shape) string {
	if f.kind == "" || len(path) < 2 || path[0] != "tooth" || s.Kind != QuantityShape {
		return ""
	}
	canal, other := "any", "any"
	if len(path) > 3 {
		if canal = path[2]; path.last() == "length" {
			other = canal // the norm of any canal is the tooth's own length
		}
	}
	for _, n := range f.norms {
		if n.Tooth != string(f.kind) || n.Canal != canal && n.Canal != other || n.Quantity != strings.ReplaceAll(path.last(), "-", "_") || n.Unit != s.Unit {
			continue
		}
		text := "norm " + show(n.Mean, n.Unit)
		if n.High > n.Low {
			text += fmt.Sprintf(", %s to %s", show(n.Low, ""), show(n.High, n.Unit))
		}
		return text + " (" + n.Source + ")"
	}
	return ""
}

// order returns the keys that the reference lists for the group at a path.
func (d *Document) order(path Path) []string {
	f := newForm(d)
	if len(path) > 0 {
		if e, known := d.entry(path); known && e.Shape.Kind == NamesShape {
			return f.list(e.Shape.From)
		}
	}
	g, _ := d.groupAt(f, path)
	return keyOrder(g)
}

// keyOrder returns the keys of a group in the order of the reference.
func keyOrder(g Group) []string {
	names := make([]string, len(g.Entries))
	for i, e := range g.Entries {
		names[i] = e.Key
	}
	return names
}
