package scenario

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/treatment"
)

// Limits of a plan. A careful treatment of four canals has some two hundred actions.
const (
	actionLimit = 1000
	timesLimit  = 100
)

// Plan is a written treatment: actions with their places in the file.
type Plan struct {
	Name  string
	For   string  // name of the scenario it is written for; "" for any
	Seed  *uint64 // seed it asks for; nil: the scenario's
	Steps []treatment.Action

	src     *source
	forNode *yaml.Node
	steps   []step // as long as Steps
}

// step is where an action was written, and its fields there.
type step struct {
	node   *yaml.Node
	fields map[string]*yaml.Node
}

// LoadPlan reads a plan from a file. The error is a Faults with all that is wrong by itself; what
// needs the case to be known is checked by CheckAgainst. Checked by TestPlan.
func LoadPlan(name string) (Plan, error) {
	file, faults := openFile(name)
	if faults != nil {
		return Plan{}, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Plan{}, faults
	}
	return readPlan(src, filepath.Dir(name))
}

// ParsePlan reads a plan from a text; name stands for the file in faults. The error is a Faults.
// Checked by TestPlan and FuzzParsePlan.
func ParsePlan(name string, text []byte) (Plan, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Plan{}, faults
	}
	return readPlan(src, "")
}

// Place returns where step i of Steps is written, as file:line:col. A step that is repeated has the
// same place each time. Place panics when there is no step i.
func (p Plan) Place(i int) string {
	node := p.steps[i].node
	return fmt.Sprintf("%s:%d:%d", p.src.name, node.Line, node.Column)
}

// Fault returns a complaint about step i as a fault at its place, for what only turns out when the
// plan is run. Fault panics when there is no step i.
func (p Plan) Fault(i int, complaint error) Fault {
	node := p.steps[i].node
	return p.src.at(node.Line, node.Column, "step", complaint.Error())
}

// CheckAgainst returns as a Faults what in the plan does not fit a case: another scenario, a canal
// the tooth does not have, an instrument that is not on the tray; nil when all fits. Checked by
// TestPlanAgainstCase.
func (p Plan) CheckAgainst(c *treatment.Case) error {
	r := &reader{src: p.src}
	if p.For != "" && p.For != c.Scenario {
		r.note(p.forNode, "scenario", "the plan is written for %q, not for %q", p.For, c.Scenario)
	}
	var canals []string
	for _, canal := range c.Tooth.Canals {
		canals = append(canals, canal.Name)
	}
	for i, a := range p.Steps {
		fields := p.steps[i].fields
		if a.Canal != "" && !slices.Contains(canals, a.Canal) {
			r.note(fields["canal"], "canal", "this tooth has no canal %q; %s", shorten(a.Canal), choices(a.Canal, canals))
		}
		if a.Item != "" && len(c.Tray) > 0 && !slices.Contains(c.Tray, a.Item) {
			r.note(fields["with"], "instrument", "%s is not on the tray; %s", a.Item, choices(a.Item, c.Tray))
		}
	}
	return r.faults.err()
}

// readPlan reads a plan from its text; folder is where the file lies, "" when it is not one.
func readPlan(src *source, folder string) (Plan, error) {
	root, faults := src.parse()
	if root == nil {
		return Plan{}, faults.err()
	}
	p := Plan{src: src}
	r := &planReader{reader: reader{src: src, faults: faults}, plan: &p, folder: folder}
	r.group(root, "a plan", []key{
		{"format", true, r.format},
		{"name", true, func(n *yaml.Node) { p.Name, _ = r.slug(n, "name") }},
		{"title", false, func(n *yaml.Node) { r.text(n, "title") }},
		{"for", false, func(n *yaml.Node) { p.For, _ = r.slug(n, "for"); p.forNode = n }},
		{"seed", false, func(n *yaml.Node) {
			if seed, ok := r.seed(n); ok {
				p.Seed = &seed
			}
		}},
		{"steps", true, func(n *yaml.Node) { r.list(n, "steps", actionLimit, r.step) }},
	})
	if err := r.faults.err(); err != nil {
		return Plan{}, err
	}
	return p, nil
}

// planReader adds steps to a plan.
type planReader struct {
	reader
	plan   *Plan
	full   bool   // the limit of actions was reached and noted
	folder string // of the plan's file, "" when it is not one
	blank  *blank // of a technique; nil in a plan
}

// step reads an item of the list of steps: one action, or a list of actions to repeat.
func (r *planReader) step(node *yaml.Node) {
	kind, fields, ok := r.oneKey(node)
	if !ok {
		return
	}
	switch {
	case kind.Value == "repeat":
		r.repeat(fields)
	case kind.Value == "use" && r.blank == nil:
		r.use(fields)
	default:
		r.action(kind, fields, append(kindNames(), "repeat", "use"))
	}
}

// oneKey takes a step apart into its kind and what stands behind it.
func (r *planReader) oneKey(node *yaml.Node) (kind, fields *yaml.Node, ok bool) {
	if node.Kind != yaml.MappingNode || len(node.Content) == 0 {
		r.note(node, "type", "a step is %s; expected an action and its fields, such as \"wait: {time: 30 s}\"", kindName(node))
		return nil, nil, false
	}
	if len(node.Content) > 2 {
		r.note(node.Content[2], "key", "a step is one action; put a dash before %q, or indent it if it belongs to %q",
			shorten(node.Content[2].Value), shorten(node.Content[0].Value))
		return nil, nil, false
	}
	return node.Content[0], node.Content[1], r.keyText(node.Content[0], map[string]*yaml.Node{})
}

// repeat reads steps that are done several times over.
func (r *planReader) repeat(node *yaml.Node) {
	times := 0
	first := len(r.plan.Steps)
	r.group(node, "repeat", []key{
		{"times", true, func(n *yaml.Node) { times, _ = r.whole(n, "times", 1, timesLimit) }},
		{"steps", true, func(n *yaml.Node) {
			r.list(n, "steps", actionLimit, func(n *yaml.Node) {
				kind, fields, ok := r.oneKey(n)
				switch {
				case !ok:
				case kind.Value == "repeat":
					r.note(kind, "action", "a repeat cannot stand inside another one")
				default:
					r.action(kind, fields, kindNames())
				}
			})
		}},
	})
	actions, places := r.plan.Steps[first:], r.plan.steps[first:]
	for n := 1; n < times; n++ {
		for i := range actions {
			r.add(actions[i], places[i])
		}
	}
}

// add adds a step unless there are too many.
func (r *planReader) add(a treatment.Action, s step) {
	if len(r.plan.Steps) >= actionLimit {
		if !r.full {
			r.note(s.node, "range", "the plan has more than %d actions", actionLimit)
			r.full = true
		}
		return
	}
	r.plan.Steps = append(r.plan.Steps, a)
	r.plan.steps = append(r.plan.steps, s)
}

// action reads one action.
func (r *planReader) action(kind, node *yaml.Node, allowed []string) {
	fields := treatment.Fields(treatment.Kind(kind.Value))
	if fields == nil {
		r.note(kind, "action", "unknown action %q; %s", shorten(kind.Value), choices(kind.Value, allowed))
		return
	}
	a := treatment.Action{Do: treatment.Kind(kind.Value)}
	s := step{kind, map[string]*yaml.Node{}}
	keys := make([]key, 0, len(fields))
	for _, f := range fields {
		if r.blank != nil && f.Key == "canal" {
			a.Canal = r.blank.canal
			continue
		}
		keys = append(keys, key{f.Key, f.Needed, func(n *yaml.Node) {
			s.fields[f.Key] = n
			if !r.fill(n, f, &a) {
				r.field(n, f, &a)
			}
		}})
	}
	before := len(r.faults)
	r.group(node, kind.Value, keys)
	if len(r.faults) == before {
		if err := a.Check(); err != nil {
			r.note(kind, "action", "%v", err)
		}
	}
	r.add(a, s)
}

// field reads one field of an action as the table of its kind says.
func (r *planReader) field(node *yaml.Node, f treatment.Field, a *treatment.Action) {
	switch f.Form {
	case treatment.Word:
		*f.Str(a), _ = r.word(node, f.Key, f.Words)
	case treatment.Name:
		if f.Key == "canal" {
			*f.Str(a), _ = r.text(node, f.Key)
			return
		}
		*f.Str(a), _ = r.item(node, f.Key)
	case treatment.Flag:
		if yes, _ := r.flag(node, f.Key); yes {
			*f.Int(a) = 1
		}
	case treatment.Number:
		r.number(node, f, f.Int(a))
	}
}

// number reads a quantity into a stored integer, rounded to the nearest.
func (r *planReader) number(node *yaml.Node, f treatment.Field, at *int) {
	if f.Unit == "" {
		*at, _ = r.whole(node, f.Key, f.Min, f.Max)
		return
	}
	value, ok := r.amount(node, f.Key, f.Unit)
	if !ok {
		return
	}
	stored := math.Round(value * f.Scale)
	if stored < float64(f.Min) || stored > float64(f.Max) {
		r.note(node, "range", "%s is %s, allowed %s to %s", f.Key, show(value, f.Unit), shown(f, f.Min), shown(f, f.Max))
		return
	}
	*at = int(stored)
}

// shown writes a stored limit of a field in its unit.
func shown(f treatment.Field, stored int) string {
	return strings.TrimSpace(strconv.FormatFloat(float64(stored)/f.Scale, 'g', 6, 64) + " " + f.Unit)
}

// kindNames returns the words of all kinds of action.
func kindNames() []string {
	var names []string
	for _, k := range treatment.Kinds() {
		names = append(names, string(k))
	}
	return names
}
