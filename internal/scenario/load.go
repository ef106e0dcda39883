package scenario

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// Load reads a scenario from a file. Files it uses are found in the folder of the file and cannot lie
// outside it, links included. The error is a Faults with all that is wrong. Checked by
// TestShippedScenarios and TestBadFiles.
func Load(name string) (Scenario, error) {
	file, faults := openFile(name)
	if faults != nil {
		return Scenario{}, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Scenario{}, faults
	}
	folder := filepath.Dir(name)
	root, err := os.OpenRoot(folder)
	if err != nil {
		return Scenario{}, wholeFile(name, "file", "its folder cannot be read: %s", reason(err))
	}
	defer root.Close() //nolint:errcheck // only read
	prefix := filepath.ToSlash(folder) + "/"
	if folder == "." && !strings.HasPrefix(name, ".") {
		prefix = ""
	}
	return read(src, &library{root.FS(), prefix}, filepath.Base(name))
}

// LoadFS reads a scenario from a file system, such as the scenarios that come with the program. Files
// it uses are found in the folder of the file. The error is a Faults. Checked by
// TestShippedScenarios.
func LoadFS(files fs.FS, name string) (Scenario, error) {
	file, err := files.Open(name)
	if err != nil {
		return Scenario{}, wholeFile(name, "file", "%s", reason(err))
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return Scenario{}, faults
	}
	folder := path.Dir(name)
	inside, err := fs.Sub(files, folder)
	if err != nil {
		return Scenario{}, wholeFile(name, "file", "%s", reason(err))
	}
	prefix := ""
	if folder != "." {
		prefix = folder + "/"
	}
	return read(src, &library{inside, prefix}, path.Base(name))
}

// Parse reads a scenario from a text; name stands for the file in faults. Such a scenario cannot use
// other files. The error is a Faults. Checked by FuzzParse.
func Parse(name string, text []byte) (Scenario, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Scenario{}, faults
	}
	return read(src, nil, name)
}

// openFile opens a file a person named.
func openFile(name string) (fs.File, Faults) {
	file, err := os.Open(name)
	if err != nil {
		return nil, wholeFile(name, "file", "%s", reason(err))
	}
	return file, nil
}

// read reads a scenario from its text. base is the file's name inside the library.
func read(src *source, lib *library, base string) (Scenario, error) {
	root, faults := src.parse()
	if root == nil {
		return Scenario{}, faults.err()
	}
	r := &reader{src: src, faults: faults}
	rules := &ruleReader{library: lib, stack: []string{base}, used: map[string]bool{}}
	s := Scenario{content: content{src: src, seed: 1, vital: true, settings: treatment.DefaultSettings()}}
	var ruleNodes []*yaml.Node
	r.group(root, "a scenario", append(r.topKeys(&s.content),
		key{"tray", false, func(n *yaml.Node) { s.tray = rules.tray(r, base, n) }},
		key{"drill", false, func(n *yaml.Node) { s.drill = rules.drill(r, base, n) }},
		key{"rules", false, func(n *yaml.Node) { ruleNodes = rules.list(r, base, n) }}))
	r.defaults(&s.content, root, base)
	rules.taught(r, &s.content)
	s.rules, s.marker = rules.compile(anatomy.CanalNames(s.spec.Kind))
	s.written = rules.rules
	s.checkTotal(r, rules)
	s.checkLinks(r)
	all := r.faults
	for _, used := range rules.readers {
		all = append(all, used.faults...)
	}
	if err := all.err(); err != nil {
		return Scenario{}, err
	}
	if s.pass == 0 {
		s.pass = rules.pass
	}
	s.digest = digest(root, ruleNodes, rules)
	c, err := s.Case(s.seed)
	if err != nil {
		return Scenario{}, err
	}
	if err := s.drill.fits(c); err != nil {
		return Scenario{}, err
	}
	if s.difficulty == "" {
		s.difficulty = difficultyOf(c.Tooth)
	}
	return s, nil
}

// defaults fills in what a scenario may leave out: its name is then that of its file.
func (r *reader) defaults(c *content, root *yaml.Node, base string) {
	if c.name != "" || root.Kind != yaml.MappingNode || keyIndex(root, "name") >= 0 {
		return
	}
	c.name = strings.TrimSuffix(base, path.Ext(base))
	if !isSlug(c.name) {
		r.note(root, "missing", "a scenario lacks name, and the file's name %q cannot stand for it; allowed are at most 60 small letters, digits and hyphens", shorten(c.name))
	}
}

// topKeys returns the keys of a scenario but the rules.
func (r *reader) topKeys(c *content) []key {
	return []key{
		{"format", true, r.format},
		{"name", false, func(n *yaml.Node) { c.name, _ = r.slug(n, "name") }},
		{"title", false, func(n *yaml.Node) { c.title, _ = r.text(n, "title") }},
		{"summary", false, func(n *yaml.Node) { c.summary, _ = r.text(n, "summary") }},
		{"texts", false, func(n *yaml.Node) { r.texts(n, c) }},
		{"findings", false, func(n *yaml.Node) { c.findings = r.sentences(n, "findings") }},
		{"seed", false, func(n *yaml.Node) { c.seed, _ = r.seed(n) }},
		{"tooth", true, func(n *yaml.Node) { r.tooth(n, c) }},
		{"pulp", false, func(n *yaml.Node) {
			word, _ := r.word(n, "pulp", []string{"vital", "necrotic"})
			c.vital = word == "vital"
		}},
		{"lesion", false, func(n *yaml.Node) { c.lesion, _ = r.flag(n, "lesion") }},
		{"difficulty", false, func(n *yaml.Node) { c.difficulty, _ = r.word(n, "difficulty", []string{"low", "moderate", "high"}) }},
		{"examination", false, func(n *yaml.Node) { r.findings(n, &c.examination) }},
		{"settings", false, func(n *yaml.Node) { r.settings(n, &c.settings) }},
		{"protocol", false, func(n *yaml.Node) { c.protocol = r.protocol(n) }},
		{"time", false, func(n *yaml.Node) { r.timeAllowed(n, c) }},
		{"quiz", false, func(n *yaml.Node) { c.quiz = r.quizLinks(n) }},
		{"pass", false, func(n *yaml.Node) { c.pass = r.passMark(n) }},
		{"total", false, func(n *yaml.Node) { c.total, _ = r.quantity(n, "total", limits{"", 1, 100000}); c.totalNode = n }},
	}
}

// item reads the id of an entry of the catalogue.
func (r *reader) item(node *yaml.Node, what string) (string, bool) {
	id, ok := r.text(node, what)
	if !ok {
		return "", false
	}
	if _, err := treatment.Lookup(id); err != nil {
		r.note(node, "instrument", "%s: %v%s", what, err, likelyItem(id))
		return "", false
	}
	return id, true
}

// figure is a setting that is one number: its key, its limits as written, the unit it is kept in.
type figure struct {
	name   string
	limits limits
	stored string
	at     *float64
}

// figureKeys returns the keys of settings that are one number each.
func (r *reader) figureKeys(figures []figure) []key {
	var keys []key
	for _, q := range figures {
		keys = append(keys, key{q.name, false, func(n *yaml.Node) {
			if value, ok := r.quantity(n, q.name, q.limits); ok {
				*q.at = convert(value, q.limits.unit, q.stored)
			}
		}})
	}
	return keys
}

// settingFigures lists the settings of files and lengths that are one number each.
func settingFigures(s *treatment.Settings) []figure {
	return []figure{
		{"ledge-step", limits{"mm", 0.01, 0.5}, "mm", &s.LedgeStep},
		{"strip-thickness", limits{"mm", 0, 1.5}, "mm", &s.StripThickness},
		{"loose-share", limits{"%", 1, 90}, "share", &s.LooseShare},
		{"length-short", limits{"mm", 0, 3}, "mm", &s.LengthShort},
		{"locator-error", limits{"mm", 0, 2}, "mm", &s.LocatorError},
		{"film-error", limits{"mm", 0, 3}, "mm", &s.FilmError},
		{"extrusion-limit", limits{"Pa", 0, 10000}, "Pa", &s.ExtrusionLimit},
		{"fatigue-scatter", limits{"%", 0, 200}, "share", &s.FatigueScatter},
		{"transport-limit", limits{"mm", 0, 2}, "mm", &s.TransportLimit},
		{"worn-limit", limits{"mm", 0, 2}, "mm", &s.WornLimit},
		{"zip-width", limits{"mm", 0, 2}, "mm", &s.ZipWidth},
		{"foramen-limit", limits{"mm", 0, 2}, "mm", &s.ForamenLimit},
		{"straighten-limit", limits{"deg", 0, 90}, "rad", &s.StraightenLimit},
		{"risk-share", limits{"%", 1, 100}, "share", &s.RiskShare},
		{"removal-skill", limits{"%", 0, 110}, "share", &s.RemovalSkill},
		{"size-scatter", limits{"mm", 0, 0.02}, "mm", &s.SizeScatter},
		{"used-life", limits{"%", 0, 45}, "share", &s.UsedLife},
		{"strength-scatter", limits{"%", 0, 50}, "share", &s.StrengthScatter},
	}
}

// settings reads the conventions on which schools differ; what is not given keeps its default.
func (r *reader) settings(node *yaml.Node, s *treatment.Settings) {
	keys := r.figureKeys(append(settingFigures(s), aroundFigures(&s.Around)...))
	r.group(node, "settings", append(keys, key{"breakage-drawn", false, func(n *yaml.Node) {
		s.BreakageDrawn, _ = r.flag(n, "breakage-drawn")
	}}))
}

// passMark reads a pass mark, as a share.
func (r *reader) passMark(node *yaml.Node) float64 {
	value, _ := r.quantity(node, "pass", limits{"%", 1, 100})
	return convert(value, "%", "share")
}

// digest returns the SHA-256 of a scenario's content, with used rule sets and trays in their place.
func digest(root *yaml.Node, rules []*yaml.Node, used *ruleReader) string {
	tree, _ := canonical(root).(map[string]any)
	tree["rules"] = canonical(&yaml.Node{Kind: yaml.SequenceNode, Content: rules})
	if len(used.trayNodes) > 0 {
		tree["tray"] = canonical(&yaml.Node{Kind: yaml.SequenceNode, Content: used.trayNodes})
	}
	if used.prepared != "" {
		tree["drill-steps"] = used.prepared
	}
	if _, own := tree["pass"]; !own && used.pass > 0 {
		tree["pass"] = strconv.FormatFloat(used.pass, 'g', -1, 64)
	}
	return contentDigest(tree)
}

// contentDigest returns the SHA-256 of a canonical tree.
func contentDigest(tree any) string {
	text, err := json.Marshal(tree)
	if err != nil {
		panic(fmt.Sprintf("scenario: a tree of texts is not encoded: %v", err))
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// canonical returns a node as maps, lists and texts without layout and comments; JSON writes maps
// with sorted keys. It is called for nodes of a valid file, whose depth the keys bound.
func canonical(node *yaml.Node) any {
	switch node.Kind {
	case yaml.MappingNode:
		tree := map[string]any{}
		for i := 0; i+1 < len(node.Content); i += 2 {
			tree[node.Content[i].Value] = canonical(node.Content[i+1])
		}
		return tree
	case yaml.SequenceNode:
		list := make([]any, len(node.Content))
		for i, n := range node.Content {
			list[i] = canonical(n)
		}
		return list
	default:
	}
	return strings.Join(strings.Fields(node.Value), " ")
}
