// Package scenario reads what instructors and students write: scenarios, rule sets and plans in YAML.
//
// The main idea: a file is read as nodes with positions, never decoded into structs, so that every
// fault of a file is found in one run and told as file:line:col: what is wrong, what is allowed, the
// likely word, with the line and a caret. Keys are strict; every quantity carries its unit and is
// converted once, by the table in units.go, into the units of the engine. Anchors, aliases, merge
// keys and tags are refused: what stands on the page is what is read.
//
// A Scenario can only be made by Load, LoadFS or Parse, so one that exists is valid by itself; Case
// grows its tooth from a seed. A Plan is a list of actions with their places in the file; what it
// may say for each kind of action stands in treatment.Fields and nowhere else. The package marks
// nothing and treats nothing. Begin reading at Load in load.go, then reader.go.
package scenario

import (
	"slices"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Scenario is a valid case as an instructor wrote it: a tooth still to be grown, its findings, the
// instruments on offer, the conventions and the rules. It is never changed.
type Scenario struct {
	content
	rules   []marking.Rule
	written []written // as long as rules
	marker  *marking.Marker
	digest  string
	drill   drill
}

// content is what a scenario file says, with the place of what can turn out wrong later.
type content struct {
	src                  *source
	places               map[string]fieldPlace
	name, title, summary string
	seed                 uint64
	spec                 anatomy.Spec
	number               int
	vital, lesion        bool
	difficulty           string
	tray                 []string
	settings             treatment.Settings
	pass                 float64 // share of the marks available, 0 not given
	total                float64 // points that the rules are to add up to, 0 not given
	totalNode            *yaml.Node
	timeAllowed          int // ms, 0 not given
	timePoints           float64
	timeNode             *yaml.Node
	quiz                 []QuizLink
	findings             []string
	protocol             []ProtocolStep
	texts                map[string]Texts
	examination          treatment.Findings
}

// Name returns the scenario's short name, by which plans and records call it.
func (s Scenario) Name() string { return s.name }

// Title returns the scenario's title, one line for people; it may be empty.
func (s Scenario) Title() string { return s.title }

// Summary returns what the reader is told of the case; it may be empty.
func (s Scenario) Summary() string { return s.summary }

// Seed returns the seed to use when none is asked for.
func (s Scenario) Seed() uint64 { return s.seed }

// Kind returns the kind of the tooth.
func (s Scenario) Kind() anatomy.Kind { return s.spec.Kind }

// Number returns the tooth's number in two-digit notation (ISO 3950), 11 to 47.
func (s Scenario) Number() int { return s.number }

// Difficulty returns the class of difficulty the findings add up to: low, moderate or high.
func (s Scenario) Difficulty() string { return s.difficulty }

// Tray returns the catalogue ids on offer; empty means the whole catalogue.
func (s Scenario) Tray() []string { return slices.Clone(s.tray) }

// Rules returns the rules in order, those of used rule sets in the place where they are used.
func (s Scenario) Rules() []marking.Rule { return slices.Clone(s.rules) }

// Marker returns the compiled rules; without rules nothing is available and nothing earned.
func (s Scenario) Marker() *marking.Marker { return s.marker }

// PassMark returns the share of the marks available from which a run without critical error passes: the
// scenario's own, else that of the rule set it uses, else DefaultPass.
func (s Scenario) PassMark() float64 {
	if s.pass > 0 {
		return s.pass
	}
	return DefaultPass
}

// DefaultPass is the pass mark of a scenario that names none: common practice, no source. A pass mark is
// the instructor's, not a standard.
const DefaultPass = 0.6

// Digest returns the SHA-256 of the scenario's content in hexadecimal. Comments, layout, quotes and
// the order of keys do not change it; values, rules and the rules of used files do. Checked by
// TestDigest.
func (s Scenario) Digest() string { return s.digest }

// Case grows the scenario's tooth from a seed and returns the case before anything was done to it.
// The same scenario and seed give the same case on every target. When the values of the file do not
// fit together in a tooth the error is a Faults at their place in the file. Checked by
// TestShippedPlanDigests of package attempt.
func (s Scenario) Case(seed uint64) (*treatment.Case, error) {
	tooth, err := anatomy.Grow(s.spec, seed)
	if err != nil {
		return nil, s.refused(seed, err)
	}
	return &treatment.Case{
		Scenario: s.name, Digest: s.digest, Seed: seed, Number: s.number, Tooth: tooth,
		Vital: s.vital, Lesion: s.lesion, Tray: s.Tray(), Difficulty: s.difficulty, Settings: s.settings, Findings: s.examination,
	}, nil
}
