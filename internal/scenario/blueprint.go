package scenario

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"tugback/internal/quiz"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// What an exam may let a candidate see.
const (
	SeeMarks    = "marks"    // the rules before, and the marks after submitting
	SeeSection  = "section"  // the tooth cut open
	SeeHints    = "hints"    // a hint when asked for
	SeeGuidance = "guidance" // the step by step guidance
	SeeRisk     = "risk"     // how near an instrument is to breaking
)

// Sights returns all that an exam may let a candidate see; usually it allows none.
func Sights() []string { return []string{SeeMarks, SeeSection, SeeHints, SeeGuidance, SeeRisk} }

// Blueprint is an exam before it is sealed: which steps and how many cases and questions, and under which terms.
// What is left out is zero: then every case and question counts, and nothing is limited.
type Blueprint struct {
	Name, Title string
	From, Until int64              // s since 1970, 0 open
	Limit       int                // s, 0 none
	Attempts    int                // 0 not said
	See         []string           // of Sights
	Extra       map[string]float64 // by candidate, share of the time
	Rest        map[string]int     // by candidate, s
	Cases       []BlueprintPart    // scenarios: a name that comes with the program, or a file
	Each        int                // so many of them for each candidate, 0 all
	Mark        []string           // stages whose rules count, none: all
	Operator    string             // who tries the teeth, "" not said
	Hands       int                // treatments of each tooth, 0 not said
	Band        float64            // share of the marks, 0 not said
	Draws       int                // −1 not said
	Untried     bool
	Drawn       bool              // questions are drawn for each candidate
	Banks       []BlueprintPart   // files of questions, none: those that come with the program
	Ask         []BlueprintAsk    // none: no questions, or all of the banks
	places      map[string][2]int // of candidates, line and column
	src         *source
}

// BlueprintPart is a name in a blueprint with its place.
type BlueprintPart struct {
	Name         string // as it can be loaded
	line, column int
}

// BlueprintAsk asks questions of a step and level, or one by its id.
type BlueprintAsk struct {
	Item, Step, Level string
	Number            int
	Points            float64 // of each
	line, column      int
}

// Bounds of an exam, as package exam has them.
const (
	mostOfCases = 50
	mostOfRows  = 100
	weekMin     = 7 * 24 * 60
)

// LoadBlueprint reads a blueprint: one that comes with the program by its name, or a file. The error is a Faults.
// Checked by TestBlueprint.
func LoadBlueprint(name string) (Blueprint, error) {
	if _, err := os.Stat(name); err != nil && !strings.HasSuffix(name, ".yaml") {
		return shippedBlueprint(name)
	}
	file, faults := openFile(name)
	if faults != nil {
		return Blueprint{}, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Blueprint{}, faults
	}
	return readBlueprint(src, filepath.Dir(name))
}

func shippedBlueprint(name string) (Blueprint, error) {
	text, err := fs.ReadFile(scenarios.Files, "exams/"+name+".yaml")
	if err != nil {
		return Blueprint{}, wholeFile(name, "exam", "no exam of this name comes with the program; %s; a file of your own ends in .yaml", choices(name, shippedNames("exams/*.yaml")))
	}
	return ParseBlueprint("exams/"+name+".yaml", text)
}

// shippedNames returns the names of the shipped files of a pattern.
func shippedNames(pattern string) []string {
	files, err := fs.Glob(scenarios.Files, pattern)
	if err != nil {
		panic("scenario: pattern of shipped files: " + err.Error())
	}
	for i, file := range files {
		files[i] = strings.TrimSuffix(path.Base(file), ".yaml")
	}
	return files
}

// ParseBlueprint reads a blueprint from a text, which can name only what comes with the program; name stands for the
// file in faults. The error is a Faults. Checked by TestBlueprint and FuzzParseBlueprint.
func ParseBlueprint(name string, text []byte) (Blueprint, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Blueprint{}, faults
	}
	return readBlueprint(src, "")
}

// At returns what is wrong with a part of a blueprint as a fault at its place.
func (b Blueprint) At(p BlueprintPart, rule string, err error) error {
	return b.fault(p.line, p.column, rule, err)
}

// AtAsk does what At does for a row of questions.
func (b Blueprint) AtAsk(row int, rule string, err error) error {
	if row < 0 || row >= len(b.Ask) {
		return err
	}
	return b.fault(b.Ask[row].line, b.Ask[row].column, rule, err)
}

// AtCandidate does what At does for a candidate named in the blueprint.
func (b Blueprint) AtCandidate(id, rule string, err error) error {
	return b.fault(b.places[id][0], b.places[id][1], rule, err)
}

func (b Blueprint) fault(line, column int, rule string, err error) error {
	if b.src == nil || line == 0 || err == nil {
		return err
	}
	return Faults{b.src.at(line, column, rule, err.Error())}
}

// blueprintReader reads a blueprint; folder is where files it names lie, "" nowhere.
type blueprintReader struct {
	reader
	b      *Blueprint
	folder string
}

func readBlueprint(src *source, folder string) (Blueprint, error) {
	root, faults := src.parse()
	if root == nil {
		return Blueprint{}, faults.err()
	}
	b := Blueprint{Draws: -1, Extra: map[string]float64{}, Rest: map[string]int{}, places: map[string][2]int{}, src: src}
	r := &blueprintReader{reader{src: src, faults: faults}, &b, folder}
	r.group(root, "an exam", []key{
		{"format", true, r.format},
		{"exam", true, func(n *yaml.Node) { b.Name, _ = r.slug(n, "exam") }},
		{"title", false, func(n *yaml.Node) { b.Title, _ = r.text(n, "title") }},
		{"from", false, func(n *yaml.Node) { b.From = r.moment(n, "from") }},
		{"until", false, func(n *yaml.Node) { b.Until = r.until(n) }},
		{"limit", false, func(n *yaml.Node) { b.Limit = r.minutes(n, "limit", 1) }},
		{"attempts", false, func(n *yaml.Node) { b.Attempts, _ = r.whole(n, "attempts", 1, 20) }},
		{"see", false, func(n *yaml.Node) { b.See = r.words(n, "see", Sights()) }},
		{"extra-time", false, func(n *yaml.Node) { r.persons(n, "extra-time", r.extra) }},
		{"rest", false, func(n *yaml.Node) {
			r.persons(n, "rest", func(id string, n *yaml.Node) { b.Rest[id] = r.minutes(n, "rest", 0) })
		}},
		{"cases", false, r.cases},
		{"trial", false, r.trial},
		{"questions", false, r.questions},
	})
	if len(r.faults) == 0 && len(b.Cases)+len(b.Ask)+len(b.Banks) == 0 {
		r.note(root, "missing", "an exam needs cases or questions")
	}
	if err := r.faults.err(); err != nil {
		return Blueprint{}, err
	}
	return b, nil
}

// moments are the ways to write a time of day.
func moments() []string { return []string{"2006-01-02 15:04", "2006-01-02T15:04", time.RFC3339} }

// Moment reads a time of day, by the clock of this machine where no zone is given, and returns s since 1970.
func Moment(text string) (int64, bool) {
	for _, form := range moments() {
		if at, err := time.ParseInLocation(form, text, time.Local); err == nil {
			return at.Unix(), true
		}
	}
	return 0, false
}

func (r *blueprintReader) moment(node *yaml.Node, what string) int64 {
	text, ok := r.text(node, what)
	if !ok {
		return 0
	}
	at, ok := Moment(text)
	if !ok {
		r.note(node, "time", "%s is %q; expected a time such as 2030-01-15 09:00 or 2030-01-15T09:00:00Z", what, shorten(text))
	}
	return at
}

// until reads the end, which stands after the beginning in the file as in time.
func (r *blueprintReader) until(node *yaml.Node) int64 {
	at := r.moment(node, "until")
	if at != 0 && r.b.From != 0 && at <= r.b.From {
		r.note(node, "time", "the exam closes before it opens")
	}
	return at
}

// minutes reads a time span in s.
func (r *blueprintReader) minutes(node *yaml.Node, what string, least float64) int {
	value, _ := r.quantity(node, what, limits{"min", least, weekMin})
	return int(convert(value, "min", "s"))
}

// words reads a list of some allowed words, none twice.
func (r *blueprintReader) words(node *yaml.Node, what string, allowed []string) []string {
	var out []string
	r.list(node, what, len(allowed), func(n *yaml.Node) {
		word, ok := r.word(n, what, allowed)
		if ok && slices.Contains(out, word) {
			r.note(n, "duplicate", "%s names %s twice", what, word)
		}
		if ok {
			out = append(out, word)
		}
	})
	return out
}

// persons reads what stands behind the ids of candidates.
func (r *blueprintReader) persons(node *yaml.Node, what string, read func(id string, n *yaml.Node)) {
	if node.Kind != yaml.MappingNode {
		r.note(node, "type", "%s is %s; expected ids of candidates, each with its own: {ALFA: 25 %%}", what, kindName(node))
		return
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i], node.Content[i+1]
		if r.keyText(name, seen) {
			r.b.places[name.Value] = [2]int{name.Line, name.Column}
			read(name.Value, value)
		}
	}
}

func (r *blueprintReader) extra(id string, node *yaml.Node) {
	if value, ok := r.quantity(node, "extra-time", limits{"%", 0, 300}); ok {
		r.b.Extra[id] = convert(value, "%", "share")
	}
}

// part reads the name of a scenario or a file of questions.
func (r *blueprintReader) part(node *yaml.Node, what string, shipped []string) (BlueprintPart, bool) {
	name, ok := r.text(node, what)
	part := BlueprintPart{name, node.Line, node.Column}
	switch {
	case !ok:
		return part, false
	case slices.Contains(shipped, name):
		return part, true
	case !strings.HasSuffix(name, ".yaml"):
		r.note(node, what, "no %s %q comes with the program; %s; a file of your own ends in .yaml", what, shorten(name), choices(name, shipped))
		return part, false
	case r.folder == "":
		r.note(node, what, "a file needs the exam to be a file; this text was not read from one")
		return part, false
	case !filepath.IsLocal(name):
		r.note(node, what, "%q leaves the exam's folder", shorten(name))
		return part, false
	}
	part.Name = filepath.Join(r.folder, name)
	if info, err := os.Stat(part.Name); err != nil || !info.Mode().IsRegular() {
		r.note(node, what, "there is no file %q beside the exam", shorten(name))
		return part, false
	}
	return part, true
}

// stageWords are the stages of a treatment, as rules name them.
func stageWords() []string {
	var out []string
	for _, k := range treatment.Kinds() {
		if s := k.Stage(); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func (r *blueprintReader) cases(node *yaml.Node) {
	var each *yaml.Node
	r.group(node, "cases", []key{
		{"of", true, func(n *yaml.Node) {
			r.list(n, "of", mostOfCases, func(n *yaml.Node) {
				part, ok := r.part(n, "case", shippedNames("*.yaml"))
				if ok && slices.ContainsFunc(r.b.Cases, func(p BlueprintPart) bool { return p.Name == part.Name }) {
					r.note(n, "duplicate", "the case %s stands twice; each candidate gets one tooth of it", shorten(part.Name))
				}
				r.b.Cases = append(r.b.Cases, part)
			})
		}},
		{"each", false, func(n *yaml.Node) { each = n; r.b.Each, _ = r.whole(n, "each", 1, mostOfCases) }},
		{"mark", false, func(n *yaml.Node) { r.b.Mark = r.words(n, "mark", stageWords()) }},
	})
	if each != nil && r.b.Each > len(r.b.Cases) {
		r.note(each, "range", "each candidate is to get %d cases, the exam has %d", r.b.Each, len(r.b.Cases))
	}
}

func (r *blueprintReader) trial(node *yaml.Node) {
	if node.Kind == yaml.ScalarNode {
		if tried, ok := r.flag(node, "trial"); ok {
			r.b.Untried = !tried
		}
		return
	}
	r.group(node, "trial", []key{
		{"operator", false, func(n *yaml.Node) {
			part, _ := r.part(n, "operator", shippedNames("operators/*.yaml"))
			r.b.Operator = part.Name
		}},
		{"hands", false, func(n *yaml.Node) { r.b.Hands, _ = r.whole(n, "hands", 1, 100) }},
		{"band", false, func(n *yaml.Node) {
			value, _ := r.quantity(n, "band", limits{"%", 0.1, 100})
			r.b.Band = convert(value, "%", "share")
		}},
		{"draws", false, func(n *yaml.Node) { r.b.Draws, _ = r.whole(n, "draws", 0, 1000) }},
	})
}

func (r *blueprintReader) questions(node *yaml.Node) {
	r.group(node, "questions", []key{
		{"drawn", false, func(n *yaml.Node) { r.b.Drawn, _ = r.flag(n, "drawn") }},
		{"from", false, func(n *yaml.Node) {
			r.list(n, "from", mostOfRows, func(n *yaml.Node) {
				part, _ := r.part(n, "file of questions", nil)
				r.b.Banks = append(r.b.Banks, part)
			})
		}},
		{"ask", false, func(n *yaml.Node) { r.list(n, "ask", mostOfRows, r.ask) }},
	})
}

func (r *blueprintReader) ask(node *yaml.Node) {
	a := BlueprintAsk{Number: 1, Points: 1, line: node.Line, column: node.Column}
	r.group(node, "an item of ask", []key{
		{"item", false, func(n *yaml.Node) { a.Item, _ = r.text(n, "item") }},
		{"step", false, func(n *yaml.Node) { a.Step, _ = r.word(n, "step", quiz.Steps()) }},
		{"level", false, func(n *yaml.Node) { a.Level, _ = r.word(n, "level", quiz.Levels()) }},
		{"number", false, func(n *yaml.Node) { a.Number, _ = r.whole(n, "number", 1, 500) }},
		{"points", false, func(n *yaml.Node) {
			if points, ok := r.amount(n, "points", ""); ok && r.check(n, "points", points, limits{"", 0.1, 1000}) {
				a.Points = points
			}
		}},
	})
	if a.Item != "" && (a.Step != "" || a.Level != "" || a.Number > 1) {
		r.note(node, "ask", "item asks one question by its id; step, level and number do not go with it")
	}
	r.b.Ask = append(r.b.Ask, a)
}
