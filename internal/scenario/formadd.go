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

// ruleChoice is a kind of rule that can be added, with what it begins as.
type ruleChoice struct {
	name, text string
	keys       []KeyValue
}

func texts(pairs ...string) []KeyValue {
	var keys []KeyValue
	for i := 0; i < len(pairs); i += 2 {
		keys = append(keys, KeyValue{pairs[i], Value{Text: pairs[i+1]}})
	}
	return keys
}

// ruleChoices are the ways in which a rule earns or takes points. Each is without fault as it stands.
// Checked by TestAddedItemsAreSound.
func ruleChoices() []ruleChoice {
	return []ruleChoice{
		{"band", "points for a band of a metric", texts("id", "band", "stage", "shape", "title", "Apical part kept centred", "points", "5",
			"canal", "each", "metric", "transport_apical_mm", "full", "<= 0.10 mm", "none", ">= 0.30 mm", "when", `did("work")`,
			"evidence", `{canal}: worked: {did("work")}; transported by {value} in the apical 3 mm, full marks {full}, none {none}`, "source", "common practice, no source")},
		{"credit", "points by an expression", texts("id", "credit", "stage", "measure", "title", "Working length at the constriction", "points", "5",
			"canal", "each", "credit", "ramp(abs(length_error_mm), 0.5, 1.5)", "when", `did("set-length")`,
			"evidence", `{canal}: length set: {did("set-length")}; off by {length_error_mm}, short negative`, "source", "common practice, no source")},
		{"condition", "points when something is true", texts("id", "condition", "stage", "isolate", "title", "Isolated before the chamber was opened", "points", "5",
			"when", `before("isolate", "open")`, "source", "common practice, no source")},
		{"deduction", "points taken away", texts("id", "deduction", "title", "Files never wiped", "deduct", "3", "when", `actions("wipe") == 0`, "source", "common practice, no source")},
		{"critical", "a critical error, which fails the run", texts("id", "critical", "title", "Perforation", "critical", "yes",
			"when", `any_of("perforated") or floor_perforated == 1`, "source", "common practice, no source")},
	}
}

// orderChoice is a rule on the order of steps, whose steps are a list.
func orderChoice() Value {
	keys := append(texts("id", "order", "title", "Steps in their order", "points", "5"), KeyValue{"order", Value{Flow: true,
		Items: []Value{{Text: "isolate"}, {Text: "open"}, {Text: "find"}}}})
	return Value{Keys: append(keys, texts("source", "common practice, no source")...)}
}

// choices returns what can be added to a list.
func (f *form) choices(s Shape) []Choice {
	switch {
	case s.Of == "rule":
		var list []Choice
		for _, c := range ruleChoices() {
			list = append(list, Choice{c.name, c.text})
		}
		return append(list, Choice{"order", "points for steps in their order"}, Choice{"use", "the rules of a file"})
	case s.Of == "step":
		list := []Choice{}
		for _, kind := range treatment.Kinds() {
			list = append(list, Choice{string(kind), string(kind)})
		}
		return append(list, Choice{"use", "use: a technique"}, Choice{"repeat", "repeat: steps several times"})
	case s.Of == "protocol":
		return []Choice{{"text", "a step"}, {"protocol", "a step with limits"}}
	case s.Of == "quiz":
		return []Choice{{"text", "an item"}, {"quiz", "an item after a wrong decision"}}
	case s.From == "instruments":
		return []Choice{{"use", "the instruments of a file"}}
	case s.Of != "":
		return []Choice{{s.Of, s.Of}}
	}
	return []Choice{{"text", "a line"}}
}

// AddChoice adds one of the choices of a field of the form: an item at the end of a list, or a name. words
// is the text of an item that is one, or a name of the writer's own. kind is the tooth that a plan or a rule
// set is for. Checked by TestAddedItemsAreSound.
func (d *Document) AddChoice(path Path, choice, words string, kind anatomy.Kind) (*Document, error) {
	entry, known := d.entry(path)
	if !known {
		return nil, fmt.Errorf("nothing can be added to %s", path)
	}
	words = strings.TrimSpace(words)
	if entry.Shape.Kind == NamesShape {
		if choice == "" {
			choice = words
		}
		return d.addName(path, entry.Shape, choice)
	}
	if entry.Shape.Kind != ListShape {
		return nil, fmt.Errorf("nothing can be added to %s", path)
	}
	item, err := d.item(entry.Shape, choice, words, kind)
	if err != nil {
		return nil, err
	}
	return d.Add(path, item)
}

// entry returns the entry of the reference for a key at a path.
func (d *Document) entry(path Path) (Entry, bool) {
	if len(path) == 0 {
		return Entry{}, false
	}
	f := newForm(d)
	g, known := d.groupAt(f, path.parent())
	if !known {
		return Entry{}, false
	}
	n := slices.IndexFunc(g.Entries, func(e Entry) bool { return e.Key == path.last() })
	if n < 0 {
		return Entry{}, false
	}
	return g.Entries[n], true
}

// groupAt returns the group of the reference that describes the keys at a path.
func (d *Document) groupAt(f *form, path Path) (Group, bool) {
	g := f.groups[d.Sort()]
	for i := 0; i < len(path); i++ {
		n := slices.IndexFunc(g.Entries, func(e Entry) bool { return e.Key == path[i] })
		if n < 0 {
			return Group{}, false
		}
		next := g.Entries[n].Shape.Of
		if kind := g.Entries[n].Shape.Kind; kind == NamesShape || kind == ListShape {
			i++
		}
		if next == "step" {
			if i++; i >= len(path) {
				return Group{}, false
			}
			if next = path[i]; next != "use" && next != "repeat" {
				next = "step " + next
			}
		}
		known := false
		if g, known = f.groups[next]; !known || i >= len(path) {
			return Group{}, false
		}
	}
	return g, true
}

// addName adds a name to a group of them.
func (d *Document) addName(path Path, s Shape, name string) (*Document, error) {
	if name == "" {
		return nil, fmt.Errorf("a name is needed")
	}
	if d.find(join(path, name)) != nil {
		return nil, fmt.Errorf("%s is there already", name)
	}
	value := Value{Null: true}
	if s.Of == "texts" {
		value = Value{Keys: texts("title", "…")}
	}
	return d.Set(join(path, name), value)
}

// item returns a new item of a list.
func (d *Document) item(s Shape, choice, words string, kind anatomy.Kind) (Value, error) {
	f := newForm(d)
	if f.kind == "" {
		f.about(kind)
	}
	switch {
	case s.Of == "step":
		return f.newStep(choice)
	case choice == "use":
		if words == "" {
			return Value{}, fmt.Errorf("name a file in the folder of this one, such as rules/formative.yaml")
		}
		return Value{Keys: texts("use", words)}, nil
	case s.Of == "rule" && choice == "order":
		return d.unique(orderChoice()), nil
	case s.Of == "rule":
		for _, c := range ruleChoices() {
			if c.name == choice {
				return d.unique(Value{Keys: c.keys}), nil
			}
		}
		return Value{}, fmt.Errorf("there is no rule of the kind %q", choice)
	case choice == s.Of && s.Of != "":
		return Value{Keys: f.filled(f.groups[s.Of]), Flow: s.Of == "calcified"}, nil
	case words == "":
		return Value{}, fmt.Errorf("a text is needed")
	}
	return Value{Text: words}, nil
}

// unique gives a rule an id that no other has.
func (d *Document) unique(rule Value) Value {
	taken := newForm(d).rules
	id := rule.Keys[0].Value.Text
	for n := 2; slices.Contains(taken, rule.Keys[0].Value.Text); n++ {
		rule.Keys[0].Value.Text = id + "-" + strconv.Itoa(n)
	}
	return rule
}

// filled writes the needed keys of a group with their examples.
func (f *form) filled(g Group) []KeyValue {
	var keys []KeyValue
	for _, e := range g.Entries {
		if e.Needed {
			value := e.Example
			if words := f.list(e.Shape.From); len(words) > 0 && !slices.Contains(words, value) {
				value = words[0]
			}
			keys = append(keys, KeyValue{e.Key, Value{Text: value}})
		}
	}
	return keys
}

// newStep is a step of a plan with its needed fields filled in.
func (f *form) newStep(kind string) (Value, error) {
	group, known := f.groups["step "+kind]
	if kind == "use" {
		group, known = f.groups["use"], true
	}
	step := Value{Flow: true}
	switch {
	case kind == "repeat":
		once := Value{Keys: []KeyValue{{string(treatment.Wait), Value{Flow: true, Keys: f.filled(f.groups["step "+string(treatment.Wait)])}}}}
		step = Value{Keys: []KeyValue{{"times", Value{Text: "2"}}, {"steps", Value{Items: []Value{once}}}}}
	case !known:
		return Value{}, fmt.Errorf("there is no action %q", kind)
	default:
		if step.Keys = f.filled(group); step.Keys == nil {
			step.Keys = []KeyValue{}
		}
		if families := familiesFor(treatment.Kind(kind)); families != nil {
			step.Keys = withItem(step.Keys, families[0])
		}
	}
	return Value{Keys: []KeyValue{{kind, step}}}, nil
}

// withItem names the first instrument of a family in a step.
func withItem(keys []KeyValue, family string) []KeyValue {
	items := treatment.Catalogue()
	i := slices.IndexFunc(items, func(i treatment.Instrument) bool { return i.Family == family })
	for n, k := range keys {
		if k.Key == "with" && i >= 0 {
			keys[n].Value.Text = items[i].ID
		}
	}
	return keys
}

// Notice is a fault or a doubt at a field of the form.
type Notice struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
	Doubt   bool   `json:"doubt"`
	Path    Path   `json:"path"`   // of the field, as far as it leads there
	Likely  string `json:"likely"` // what was probably meant in the field, "" not known
}

// Notices puts faults at the fields of a document; those of other files have no path. Checked by
// TestNotices.
func (d *Document) Notices(faults Faults, doubt bool) []Notice {
	var notices []Notice
	for _, f := range faults {
		n := Notice{File: f.File, Line: f.Line, Column: f.Column, Message: f.Message, Doubt: doubt, Likely: likelyIn(f.Message)}
		if f.File == d.src.name && f.Line > 0 {
			n.Path = d.placeOf(f)
			if value, given := d.Get(n.Path); given {
				n.Likely = mended(value, f.Message, n.Likely)
			}
		}
		notices = append(notices, n)
	}
	return notices
}

// likelyIn returns the word that a message proposes, or what it says stands for the whole value: the sum that
// points add up to, a quantity with its unit.
func likelyIn(message string) string {
	for _, mark := range [][2]string{{`did you mean "`, `"`}, {"the points of the rules add up to ", ","}, {" without a unit; write for example ", ";"}, {"has a comma; write a point: ", ";"}, {"a range is written with two dots: ", ";"}} {
		if _, rest, found := strings.Cut(message, mark[0]); found {
			word, _, _ := strings.Cut(rest, mark[1])
			return word
		}
	}
	return ""
}

// mended returns a field's value with the wrong word in it replaced by the likely one, "" when the message
// does not quote a word of the value. A sum or a quantity that is proposed stands for the whole value.
func mended(value, message, likely string) string {
	before, _, found := strings.Cut(message, `did you mean "`)
	if !found {
		before, _, found = strings.Cut(message, "has a comma; write a point: ")
	}
	if !found || likely == "" {
		return likely
	}
	parts := strings.Split(before, `"`)
	if len(parts) < 3 {
		return ""
	}
	wrong := parts[len(parts)-2]
	if wrong == "" || !strings.Contains(value, wrong) {
		return ""
	}
	return strings.ReplaceAll(strings.TrimSpace(value), wrong, likely)
}

// placeOf returns the path of the field in which a fault stands.
func (d *Document) placeOf(f Fault) Path {
	at := d.offset(f.Line, f.Column)
	_, lacks, missing := strings.Cut(f.Message, " lacks ")
	path, node := Path{}, d.root
	for {
		if missing && node.Kind == yaml.MappingNode && d.start(node) == at {
			key, _, _ := strings.Cut(lacks, ",")
			return append(path, strings.Fields(key + " .")[0])
		}
		next, step := d.under(node, at)
		if next == nil {
			return path
		}
		path, node = append(path, step), next
	}
}

// under returns the last of a node's children that begins at or before a byte.
func (d *Document) under(node *yaml.Node, at int) (found *yaml.Node, step string) {
	switch node.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(node.Content); i += 2 {
			if d.start(node.Content[i]) <= at {
				found, step = node.Content[i+1], node.Content[i].Value
			}
		}
	case yaml.SequenceNode:
		for i, n := range node.Content {
			if d.start(n) <= at {
				found, step = n, strconv.Itoa(i)
			}
		}
	default:
	}
	return found, step
}

// Uses returns the files that a document uses, as it names them, each once and in their order.
func (d *Document) Uses() []string {
	var files []string
	for _, key := range []string{"tray", "rules"} {
		list := child(d.root, key)
		for i := 0; list != nil && list.Kind == yaml.SequenceNode && i < len(list.Content); i++ {
			item := list.Content[i]
			if use := child(item, "use"); use != nil && use.Kind == yaml.ScalarNode && !slices.Contains(files, use.Value) {
				files = append(files, use.Value)
			}
		}
	}
	if drill := child(d.root, "drill"); drill != nil {
		if plan := child(drill, "plan"); plan != nil && plan.Kind == yaml.ScalarNode && plan.Value != "" {
			files = append(files, plan.Value)
		}
	}
	return files
}
