package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// explainCommand explains a word of the files.
type explainCommand struct {
	Word     string `arg:"" optional:"" help:"A metric, action, event, function, rule, key of a file, kind of tooth, instrument or family of them; left out: everything in one list."`
	Scenario string `placeholder:"SCENARIO" help:"Scenario whose rules are meant (default: the rule sets that come with the program)."`
}

// Run explains the word, or lists all words.
func (c *explainCommand) Run(s *session) error {
	p := page{s.out}
	if c.Word == "" {
		return s.explainAll(p)
	}
	found := s.explainWord(p, c.Word)
	rules, err := s.explainRule(p, c.Word, c.Scenario)
	if err != nil {
		return err
	}
	if found+rules > 0 {
		return nil
	}
	words, err := s.words(c.Scenario)
	if err != nil {
		return err
	}
	if meant := marking.Likely(c.Word, words); meant != "" {
		return fmt.Errorf("nothing is called %q; did you mean %q?", c.Word, meant)
	}
	return fmt.Errorf("nothing is called %q; tugback explain alone lists everything", c.Word)
}

// explainWord explains a word of the program's own and returns how many things are called so.
func (s *session) explainWord(p page, word string) int {
	found := 0
	for _, d := range treatment.MetricTable() {
		if d.Name == word {
			explainMetric(p, d)
			found++
		}
	}
	for _, e := range treatment.EventKinds() {
		if string(e.Kind) == word {
			p.section(word, "event")
			p.paragraph("  ", e.Text)
			p.paragraph("  ", "Its value: "+strings.TrimSpace(e.Value+" "+e.Unit)+".")
			p.paragraph("  ", fmt.Sprintf("In a rule: count(%q) == 0, happened(%q)", word, word))
			found++
		}
	}
	for _, f := range marking.Functions() {
		if f.Name == word {
			p.section(f.Form, "function of rules")
			p.paragraph("  ", f.Text)
			p.paragraph("  ", "For example: "+f.Example)
			found++
		}
	}
	if fields := treatment.Fields(treatment.Kind(word)); fields != nil {
		explainAction(p, treatment.Kind(word), fields)
		found++
	}
	if i, err := treatment.Lookup(word); err == nil {
		p.section(word, "instrument")
		p.paragraph("  ", fmt.Sprintf("%s, size %d, taper %g %% %s", i.Name, i.Size, float64(i.Taper), i.Colour))
		found++
	}
	return found + explainTooth(p, word) + explainFamily(p, word) + explainKeys(p, word)
}

// explainTooth explains a kind of tooth and returns 1, or 0 when there is none of that name.
func explainTooth(p page, word string) int {
	kind := anatomy.Kind(word)
	if !slices.Contains(anatomy.Kinds(), kind) {
		return 0
	}
	p.section(word, "kind of tooth")
	p.paragraph("  ", "Canals it may have: "+strings.Join(anatomy.CanalNames(kind), ", ")+".")
	p.paragraph("  ", "A scenario to begin from: tugback new "+word)
	return 1
}

// explainFamily explains a family of instruments, for each of its tapers the sizes, and returns 1, or 0 when there is
// none of that name.
func explainFamily(p page, word string) int {
	var rows [][]string
	for _, i := range treatment.Catalogue() {
		if i.Family != word || i.Length > 0 {
			continue
		}
		taper := ""
		if i.Taper > 0 {
			taper = fmt.Sprintf("taper %d %%", i.Taper)
		}
		at := slices.IndexFunc(rows, func(row []string) bool { return row[0] == i.Name && row[1] == taper })
		if at < 0 {
			at, rows = len(rows), append(rows, []string{i.Name, taper, "sizes"})
		}
		rows[at][2] += fmt.Sprintf(" %d", i.Size)
	}
	if rows == nil {
		return 0
	}
	p.section(word, "family of instruments")
	p.table("lll", rows)
	return 1
}

func explainMetric(p page, d treatment.Definition) {
	of := "of the tooth"
	if d.PerCanal {
		of = "of each canal"
	}
	p.section(d.Name, "metric "+of)
	p.paragraph("  ", d.Text+".")
	p.paragraph("  ", "Between "+quantity(d.Low, d.Unit)+" and "+quantity(d.High, d.Unit)+".")
	p.paragraph("  ", "Source: "+d.Source+".")
	canal := ""
	if d.PerCanal {
		canal = "canal: each, "
	}
	p.paragraph("  ", fmt.Sprintf("A rule: {id: mine, points: 5, %smetric: %s, full: \"<= %s\"}", canal, d.Name, quantity((3*d.Low+d.High)/4, d.Unit)))
}

func explainAction(p page, kind treatment.Kind, fields []treatment.Field) {
	p.section(string(kind), "action, stage "+kind.Stage())
	var rows [][]string
	for _, f := range fields {
		needed := ""
		if f.Needed {
			needed = "needed"
		}
		rows = append(rows, []string{f.Key, needed, f.Text + fieldWords(f)})
	}
	p.table("lll", rows)
	p.paragraph("  ", fmt.Sprintf("In a rule: did(%q), actions(%q), before(%q, \"fill\")", kind, kind, kind))
}

func fieldWords(f treatment.Field) string {
	if f.Form == treatment.Word {
		return ": " + strings.Join(f.Words, ", ")
	}
	if f.Unit != "" {
		return " (" + f.Unit + ")"
	}
	return ""
}

// explainKeys explains a key of a file, or a whole group of keys, and returns how many are called so.
func explainKeys(p page, word string) int {
	found := 0
	for _, g := range scenario.Reference() {
		if g.Name == word {
			p.section(g.Name, "keys: "+g.Text)
			p.table("lll", keyRows(g))
			found++
		}
		for _, e := range g.Entries {
			if e.Key != word && g.Name+"."+e.Key != word {
				continue
			}
			needed := ""
			if e.Needed {
				needed = ", needed"
			}
			p.section(e.Key, "key of "+g.Name+needed)
			p.paragraph("  ", e.Text)
			p.paragraph("  ", "Value: "+e.Value)
			p.paragraph("  ", "For example: "+e.Key+": "+e.Example)
			if e.Default != "" {
				p.paragraph("  ", "When left out: "+e.Default)
			}
			found++
		}
	}
	return found
}

func keyRows(g scenario.Group) [][]string {
	var rows [][]string
	for _, e := range g.Entries {
		needed := ""
		if e.Needed {
			needed = "needed"
		}
		rows = append(rows, []string{e.Key, needed, e.Text})
	}
	return rows
}

// explainRule explains the rules with an id, with what they say and how they are judged.
func (s *session) explainRule(p page, id, from string) (int, error) {
	sets, err := s.ruleSets(from)
	if err != nil {
		return 0, err
	}
	found := 0
	for _, set := range sets {
		for _, r := range set.rules {
			if r.ID != id {
				continue
			}
			p.section(r.Title, "rule "+id+" of "+set.name)
			for _, line := range r.Explain() {
				p.paragraph("  ", line)
			}
			found++
		}
	}
	return found, nil
}

// ruleSet is a list of rules with the name people know it by.
type ruleSet struct {
	name  string
	rules []marking.Rule
}

// ruleSets returns the rules of a scenario, or every set that comes with the program.
func (s *session) ruleSets(from string) ([]ruleSet, error) {
	if from != "" {
		one, err := s.loadScenario(from)
		if err != nil {
			return nil, err
		}
		return []ruleSet{{one.Name(), one.Rules()}}, nil
	}
	var sets []ruleSet
	for _, name := range s.shippedNames("rules/*.yaml") {
		rules, err := scenario.LoadFS(host{s.shipped, bareScenario("lower-first-molar", "rules/"+name+".yaml")}, hostName)
		if err != nil {
			return nil, err
		}
		sets = append(sets, ruleSet{name, rules.Rules()})
	}
	return sets, nil
}

// words returns everything that can be explained.
func (s *session) words(from string) ([]string, error) {
	var words []string
	for _, d := range treatment.MetricTable() {
		words = append(words, d.Name)
	}
	for _, e := range treatment.EventKinds() {
		words = append(words, string(e.Kind))
	}
	for _, k := range treatment.Kinds() {
		words = append(words, string(k))
	}
	for _, f := range marking.Functions() {
		words = append(words, f.Name)
	}
	for _, g := range scenario.Reference() {
		words = append(words, g.Name)
		for _, e := range g.Entries {
			words = append(words, e.Key)
		}
	}
	for _, k := range anatomy.Kinds() {
		words = append(words, string(k))
	}
	for _, i := range treatment.Catalogue() {
		words = append(words, i.ID, i.Family)
	}
	sets, err := s.ruleSets(from)
	if err != nil {
		return nil, err
	}
	for _, set := range sets {
		for _, r := range set.rules {
			words = append(words, r.ID)
		}
	}
	return words, nil
}

// explainAll lists every word with a line each.
func (s *session) explainAll(p page) error {
	p.title("Everything that can be explained")
	listOwn(p)
	for _, g := range scenario.Reference() {
		p.section("Keys of "+g.Name, g.Text)
		p.table("lll", keyRows(g))
	}
	sets, err := s.ruleSets("")
	if err != nil {
		return err
	}
	for _, set := range sets {
		var rows [][]string
		for _, r := range set.rules {
			rows = append(rows, []string{r.ID, r.Title})
		}
		p.section("Rules of "+set.name, "")
		p.table("ll", rows)
	}
	return nil
}

// listOwn lists the program's own words: metrics, functions, actions, events, instruments.
func listOwn(p page) {
	list := func(title string, rows [][]string) {
		p.section(title, "")
		p.table("ll", rows)
	}
	var metrics, functions, actions, events, teeth, items [][]string
	for _, d := range treatment.MetricTable() {
		metrics = append(metrics, []string{d.Name, d.Text})
	}
	for _, f := range marking.Functions() {
		functions = append(functions, []string{f.Form, f.Text})
	}
	for _, k := range treatment.Kinds() {
		actions = append(actions, []string{string(k), "stage " + k.Stage()})
	}
	for _, e := range treatment.EventKinds() {
		events = append(events, []string{string(e.Kind), e.Text})
	}
	for _, k := range anatomy.Kinds() {
		teeth = append(teeth, []string{string(k), strings.Join(anatomy.CanalNames(k), ", ")})
	}
	for _, i := range treatment.Catalogue() {
		items = append(items, []string{i.ID, i.Name})
	}
	list("Metrics", metrics)
	list("Functions of rules", functions)
	list("Actions", actions)
	list("Events", events)
	list("Teeth and their canals", teeth)
	list("Instruments", items)
}

// schemaCommand prints the schema of the files.
type schemaCommand struct{}

// Run prints the schema.
func (schemaCommand) Run(s *session) error {
	_, err := s.out.Write(scenario.Schema())
	return err
}

// newCommand prints a file to begin from.
type newCommand struct {
	Kind     string   `arg:"" help:"A kind of tooth, or drill, plan, rules, tray, operator, exam."`
	Scenario string   `placeholder:"SCENARIO" help:"With plan: the scenario it is for."`
	Operator string   `placeholder:"OPERATOR" default:"careful" help:"With plan: who carries it out (default: ${default})."`
	Seed     seedFlag `placeholder:"N" help:"With plan: seed of the tooth (default: the scenario's)."`
	Out      string   `placeholder:"FILE" help:"Write to a file that is not there yet, its folder made if need be (default: print)."`
}

// Run prints or writes the file.
func (c *newCommand) Run(s *session) error {
	text, err := c.text(s)
	if err != nil {
		return err
	}
	if c.Out == "" {
		_, err := s.out.WriteString(text)
		return err
	}
	if err := os.MkdirAll(filepath.Dir(c.Out), 0o777); err != nil { //nolint:gosec // the umask decides, as for any folder a person makes
		return fmt.Errorf("--out %s: its folder cannot be made: %w", c.Out, cause(err))
	}
	file, err := os.OpenFile(c.Out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return fmt.Errorf("--out %s: %w", c.Out, cause(err))
	}
	_, err = file.WriteString(text)
	if err = errors.Join(err, file.Close()); err != nil {
		return errors.Join(fmt.Errorf("--out %s: cannot be written: %w", c.Out, cause(err)), os.Remove(c.Out))
	}
	return nil
}

func (c *newCommand) text(s *session) (string, error) {
	shipped := map[string]string{"rules": "rules/formative.yaml", "operator": "operators/steady.yaml", "exam": "exams/mid-term.yaml"}
	switch {
	case shipped[c.Kind] != "":
		text, err := fs.ReadFile(s.shipped, shipped[c.Kind])
		return string(text), err
	case c.Kind == "plan":
		return c.plan(s)
	case c.Kind == "tray":
		return starterTray, nil
	}
	if text := scenario.Starter(anatomy.Kind(c.Kind)); text != "" {
		return text, nil
	}
	words := append(scenario.StarterKinds(), "plan", "rules", "tray", "operator", "exam")
	slices.Sort(words)
	likely := ""
	if meant := marking.Likely(c.Kind, words); meant != "" {
		likely = fmt.Sprintf("did you mean %q? ", meant)
	}
	return "", usage("nothing new of the kind %q; %sthere are: %s", c.Kind, likely, strings.Join(words, ", "))
}

// plan writes down what an operator does with a tooth.
func (c *newCommand) plan(s *session) (string, error) {
	if c.Scenario == "" {
		return "", usage("new plan needs --scenario: a plan is written for a tooth")
	}
	from, err := s.loadScenario(c.Scenario)
	if err != nil {
		return "", err
	}
	operator, err := s.loadOperator(c.Operator)
	if err != nil {
		return "", err
	}
	seed := c.Seed.or(nil, from.Seed())
	grown, err := from.Case(seed)
	if err != nil {
		return "", err
	}
	drill, is := from.Drill()
	done := trial.TakeOver(grown, drill.Steps, operator, seed)
	comment := fmt.Sprintf("What the operator %q does with the tooth of seed %d: a plan to begin from.", operator.Name, seed)
	if is {
		comment = fmt.Sprintf("What the operator %q does with the tooth of seed %d from where the drill begins: a plan to begin from.", operator.Name, seed)
	}
	own := done.Actions[min(len(drill.Steps), len(done.Actions)):]
	return scenario.FormatPlan(operator.Name, from.Name(), comment, withHeads(own)), nil
}

// withHeads puts a comment before the steps of each canal.
func withHeads(actions []treatment.Action) []treatment.Action {
	var out []treatment.Action
	canal := "none"
	for _, a := range actions {
		head := a.Canal
		if a.Do == treatment.Wipe || a.Do == treatment.Bend || a.Do == treatment.Report || a.Do == treatment.Find {
			head = canal // belongs to what goes on
		}
		if head != canal {
			text := "canal " + head
			if head == "" {
				text = "the tooth"
			}
			out = append(out, treatment.Action{Choice: text})
			canal = head
		}
		out = append(out, a)
	}
	return out
}

const starterTray = `# A tray: what is on offer. Use it in a scenario of the same folder by
#   tray:
#     - use: trays/mine.yaml
format: 1
title: Hand files and what goes with them
tray:
  - hand-steel-06.02
  - hand-steel-08.02
  - hand-steel-10.02
  - hand-steel-15.02
  - hand-steel-20.02
  - hand-steel-25.02
  - hand-steel-30.02
  - hand-steel-35.02
  - hand-steel-40.02
  - opener-20.08
  - cone-20.02
  - cone-25.02
  - cone-30.02
  - cone-35.02
  - needle-30-side
`
