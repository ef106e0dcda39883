package scenario

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/treatment"
	"tugback/scenarios"
)

// Technique is a named sequence of shaping actions that leaves open in which canal it is done and to which
// length. Its stops may be written "length" or "length - 1 mm"; a plan takes it over with the step
// "use: {technique: step-back, canal: MB, length: 20.5 mm}".
type Technique struct {
	Name, Title, Summary string

	src   *source
	steps *yaml.Node
}

// techniqueFolder is where the techniques that come with the program lie.
const techniqueFolder = "techniques"

// lengthLimits are the working lengths a technique may be asked for, as those of a stop.
var lengthLimits = limits{"mm", 1, 40}

// Techniques returns the names of the techniques that come with the program, sorted.
func Techniques() []string {
	files, err := fs.Glob(scenarios.Files, techniqueFolder+"/*.yaml")
	if err != nil {
		panic("scenario: pattern of the techniques: " + err.Error())
	}
	for i, file := range files {
		files[i] = strings.TrimSuffix(path.Base(file), ".yaml")
	}
	slices.Sort(files)
	return files
}

// LoadTechnique reads a technique: one that comes with the program by its name, or a file. The error is
// a Faults. Checked by TestTechniques.
func LoadTechnique(name string) (Technique, error) {
	if slices.Contains(Techniques(), name) {
		return shippedTechnique(name)
	}
	if !strings.HasSuffix(name, ".yaml") {
		return Technique{}, wholeFile(name, "technique", "no technique of this name comes with the program; %s; a file of your own ends in .yaml", choices(name, Techniques()))
	}
	file, faults := openFile(name)
	if faults != nil {
		return Technique{}, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Technique{}, faults
	}
	return readTechnique(src)
}

func shippedTechnique(name string) (Technique, error) {
	file := techniqueFolder + "/" + name + ".yaml"
	text, err := fs.ReadFile(scenarios.Files, file)
	if err != nil {
		return Technique{}, wholeFile(file, "technique", "%s", reason(err))
	}
	return ParseTechnique(file, text)
}

// ParseTechnique reads a technique from a text; name stands for the file in faults. The error is a Faults.
// Checked by TestTechniques and FuzzParseTechnique.
func ParseTechnique(name string, text []byte) (Technique, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Technique{}, faults
	}
	return readTechnique(src)
}

// readTechnique reads the head and tries the steps on a long canal, so that a fault is told when the
// technique is read and not first when it is used.
func readTechnique(src *source) (Technique, error) {
	root, faults := src.parse()
	if root == nil {
		return Technique{}, faults.err()
	}
	t := Technique{src: src}
	r := &reader{src: src, faults: faults}
	r.group(root, "a technique", []key{
		{"format", true, r.format},
		{"technique", true, func(n *yaml.Node) { t.Name, _ = r.slug(n, "technique") }},
		{"title", false, func(n *yaml.Node) { t.Title, _ = r.text(n, "title") }},
		{"summary", false, func(n *yaml.Node) { t.Summary, _ = r.text(n, "summary") }},
		{"steps", true, func(n *yaml.Node) { t.steps = n }},
	})
	if t.steps != nil {
		_, err := t.expand(blank{canal: "canal", length: lengthLimits.high})
		if more, ok := err.(Faults); ok { //nolint:errorlint // the contract is the type itself
			r.faults = append(r.faults, more...)
		}
	}
	if err := r.faults.err(); err != nil {
		return Technique{}, err
	}
	return t, nil
}

// Actions returns the technique's actions in a canal to a working length (mm from the reference point). The
// error is a Faults, of stops that a short canal has no room for. Checked by TestTechniques.
func (t Technique) Actions(canal string, length float64) ([]treatment.Action, error) {
	return t.expand(blank{canal: canal, length: length})
}

// blank is what a technique leaves open.
type blank struct {
	canal  string
	length float64 // mm
}

// expand reads the steps with the blanks filled in.
func (t Technique) expand(b blank) ([]treatment.Action, error) {
	p := Plan{src: t.src}
	r := &planReader{reader: reader{src: t.src}, plan: &p, blank: &b}
	r.list(t.steps, "steps", actionLimit, r.step)
	if err := r.faults.err(); err != nil {
		return nil, err
	}
	return p.Steps, nil
}

// fill reads a field that a technique may leave open, and reports whether it did: the canal, which it may
// not name, and a stop given from the working length.
func (r *planReader) fill(node *yaml.Node, f treatment.Field, a *treatment.Action) bool {
	if r.blank == nil || f.Key != "stop" || node.Kind != yaml.ScalarNode {
		return false
	}
	rest, found := strings.CutPrefix(strings.TrimSpace(node.Value), "length")
	if !found {
		return false
	}
	value, rest := r.blank.length, strings.TrimSpace(rest)
	if rest != "" {
		sign, found := strings.CutPrefix(rest, "-")
		a, complaint := readAmount(strings.TrimSpace(sign))
		off := 0.0
		if complaint == "" {
			off, complaint = a.in("mm")
		}
		if !found || complaint != "" {
			r.note(node, "stop", "stop is %q; write length, or length less something: length - 1 mm", shorten(node.Value))
			return true
		}
		value -= off
	}
	stored := math.Round(value * f.Scale)
	if stored < float64(f.Min) || stored > float64(f.Max) {
		r.note(node, "range", "with a working length of %s this stop is %s, allowed %s to %s", show(r.blank.length, "mm"), show(value, "mm"), shown(f, f.Min), shown(f, f.Max))
		return true
	}
	*f.Int(a) = int(stored)
	return true
}

// use takes a technique over into a plan.
func (r *planReader) use(node *yaml.Node) {
	var t Technique
	b := blank{}
	places := map[string]*yaml.Node{}
	r.group(node, "use", []key{
		{"technique", true, func(n *yaml.Node) {
			places["with"] = n
			t = r.technique(n)
		}},
		{"canal", true, func(n *yaml.Node) {
			places["canal"] = n
			b.canal, _ = r.text(n, "canal")
		}},
		{"length", true, func(n *yaml.Node) {
			places["length"] = n
			b.length, _ = r.quantity(n, "length", lengthLimits)
		}},
	})
	if t.steps == nil || b.canal == "" || b.length == 0 {
		return
	}
	actions, err := t.Actions(b.canal, b.length)
	if faults, ok := err.(Faults); ok { //nolint:errorlint // the contract is the type itself
		r.note(places["length"], "length", "%s: %s", t.Name, faults[0].Message)
		return
	}
	for _, a := range actions {
		r.add(a, step{places["with"], places})
	}
}

// technique finds the technique a plan names: a shipped one, or a file beside the plan.
func (r *planReader) technique(node *yaml.Node) Technique {
	name, ok := r.text(node, "technique")
	if !ok {
		return Technique{}
	}
	var t Technique
	var err error
	switch {
	case slices.Contains(Techniques(), name):
		t, err = shippedTechnique(name)
	case !strings.HasSuffix(name, ".yaml"):
		err = Faults{r.src.at(node.Line, node.Column, "technique", fmt.Sprintf("no technique %q; %s", shorten(name), choices(name, Techniques())))}
	case r.folder == "":
		err = Faults{r.src.at(node.Line, node.Column, "technique", "a technique in a file needs the plan to be a file; this text was not read from one")}
	case !fs.ValidPath(name):
		err = Faults{r.src.at(node.Line, node.Column, "technique", fmt.Sprintf("%q leaves the plan's folder", shorten(name)))}
	default:
		t, err = techniqueBeside(r.folder, name)
	}
	if faults, ok := err.(Faults); ok { //nolint:errorlint // the contract is the type itself
		r.faults = append(r.faults, faults...)
	}
	return t
}

// techniqueBeside reads a technique from a folder and nowhere outside it, links included.
func techniqueBeside(folder, name string) (Technique, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return Technique{}, wholeFile(folder, "technique", "%s", reason(err))
	}
	defer root.Close() //nolint:errcheck // only read
	shownAs := filepath.ToSlash(filepath.Join(folder, name))
	file, err := root.Open(name)
	if err != nil {
		return Technique{}, wholeFile(shownAs, "technique", "%s", reason(err))
	}
	src, faults := readSource(shownAs, file)
	if faults != nil {
		return Technique{}, faults
	}
	return readTechnique(src)
}
