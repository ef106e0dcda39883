package scenario

import (
	"fmt"
	"io/fs"
	"math"
	"strconv"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// StarterKinds lists what there are starters of: the kinds of tooth, and a drill.
func StarterKinds() []string {
	var words []string
	for _, k := range anatomy.Kinds() {
		words = append(words, string(k))
	}
	return append(words, drillKind)
}

// drillKind is the kind of the starter that is a drill, drillFile the shipped drill it is made of: one that
// needs no other file.
const (
	drillKind = "drill"
	drillFile = "drill-ledge.yaml"
)

// Starter returns a commented scenario to begin from, for a kind of tooth or for a drill: it is without fault
// as it stands, and everything in it may be changed or left out. It returns "" for a kind there is not. Checked
// by TestStarters.
func Starter(kind anatomy.Kind) string {
	if kind == drillKind {
		text, err := fs.ReadFile(scenarios.Files, drillFile)
		if err != nil {
			panic(fmt.Sprintf("scenario: %s does not come with the program: %v", drillFile, err))
		}
		return drillHead + strings.Replace(string(text), "name: drill-ledge", "name: my-drill", 1)
	}
	names := anatomy.CanalNames(kind)
	if names == nil {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `# yaml-language-server: $schema=scenario.schema.json
# A case to begin from. Only format and tooth are needed; change or delete the rest.
#   tugback check THIS-FILE          tells every slip in plain words
#   tugback tooth THIS-FILE          shows the tooth; --seed 2, --seed 3: others of the same case
#   tugback explain canal            what may be said of a canal; explain alone: everything
#   tugback trial THIS-FILE --operator novice     how a class would fare
# The patient is invented. Keep it so.
format: 1
name: my-%[1]s
title: One line for people
summary: >
  What the student is told: age, complaint, tests, what the film shows.
seed: 1                       # the tooth that is grown when no other seed is asked for

tooth:
  kind: %[1]s
  number: %[2]d                  # two-digit notation, ISO 3950
  age: 30..40 years           # a range is drawn from by the seed
%[3]s  canals:                     # a root that names no canal gets it from the published norms
%[4]s
pulp: vital                   # or necrotic
lesion: no
# difficulty: moderate        # low, moderate, high; left out, by the largest bend on the film

# What is on offer; without a tray, everything.
# tray: [hand-steel-08.02, hand-steel-10.02, hand-steel-15.02, rotary-heat-25.04, cone-25.04, needle-30-side]

# time: 90 min
pass: 60 %%                    # pass mark; it is yours, not a standard
total: 100                    # check compares it with the points below
`, kind, numbersOf(kind)[0], lengthLine(kind), canalLines(kind, names))
	b.WriteString(starterRules)
	return b.String()
}

// drillHead says how a drill to begin from is changed.
const drillHead = `# yaml-language-server: $schema=scenario.schema.json
# A drill to begin from: a case whose first steps are done for the student.
#   tugback treat THIS-FILE          sit it in the terminal
#   tugback new plan --scenario THIS-FILE         what an operator does from where it begins
# In place of steps, plan and before take the steps of a plan in this folder, as far as one:
#   drill: {goal: Find the working length., plan: plans/my-case.yaml, before: measure}
`

// starterRules shows every way a rule can earn or take points.
const starterRules = `
rules:
  # A whole marking sheet stands in one line, once the file lies in the folder of this one
  # (tugback new rules --out rules/mine.yaml); total is then the sum of both:
  # - use: rules/mine.yaml

  # A band: full points up to one value, none from another, a straight line between.
  - id: centred
    stage: shape
    title: Apical part kept centred
    points: 40
    canal: each               # each, worst, or a canal's name
    metric: transport_apical_mm
    full: "<= 0.10 mm"
    none: ">= 0.30 mm"
    when: did("work")         # only counted when this is true
    evidence: '{canal}: worked: {did("work")}; transported by {value} in the apical 3 mm, full marks {full}, none {none}'
    source: 0.30 mm is a leakage convention, Wu 2000; 0.10 mm is common practice, no source

  # An expression, for what a band cannot say.
  - id: length
    stage: measure
    title: Working length at the constriction
    points: 30
    canal: each
    credit: ramp(abs(length_error_mm), 0.5, 1.5)
    when: did("set-length")
    evidence: '{canal}: length set: {did("set-length")}; off by {length_error_mm}, short negative'
    source: within 0.5 mm, common practice

  # A later step judged on the state the student had: a wrong length is not punished twice.
  - id: filling-length
    stage: fill
    title: Filling ends 0 to 2 mm short
    points: 20
    canal: each
    credit: ramp(max(fill_short_mm - 2, -fill_short_mm), 0, 1)
    follows: length
    instead: ramp(max(fill_short_mm + length_error_mm - 2, -fill_short_mm), 0, 1)
    evidence: "{canal}: the filling ends {fill_short_mm} short of the foramen"
    source: 0-2 mm, Liang 2012

  # The order of steps.
  - id: order
    title: Steps in their order
    points: 10
    order: [isolate, open, find, set-length, fit, fill, seal]
    source: common practice, no source

  # Points taken away, and a critical error.
  - {id: unwiped, deduct: 3, when: actions("wipe") == 0, source: "common practice, no source"}
  - id: perforated
    title: Perforation
    critical: yes
    when: any_of("perforated") or floor_perforated == 1
    source: critical error across schools, common practice
`

// lengthLine is a line for the tooth's length about the norm.
func lengthLine(kind anatomy.Kind) string {
	for _, n := range anatomy.Norms() {
		if n.Tooth == string(kind) && n.Canal == "any" && n.Quantity == "length" {
			middle := math.Min(n.Mean, 24) // the files on offer are 25 mm long
			line := fmt.Sprintf("  length: %s..%s mm", trimmed(middle-0.5), trimmed(middle+0.5))
			return fmt.Sprintf("%-30s# norm %s mm (%s)\n", line, trimmed(n.Mean), n.Source)
		}
	}
	return ""
}

func trimmed(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }

// canalLines are the lines for the canals: the first described, the others open. Of a root's names only
// those are listed that go together.
func canalLines(kind anatomy.Kind, names []string) string {
	usual := map[anatomy.Kind][]string{
		"upper-first-molar": {"MB", "MB2", "DB", "P"}, "upper-second-molar": {"MB", "MB2", "DB", "P"},
		"lower-first-molar": {"MB", "ML", "D"}, "lower-second-molar": {"MB", "ML", "D"},
		"upper-first-premolar": {"B", "P"},
	}[kind]
	if usual == nil {
		usual = names[:1]
	}
	var b strings.Builder
	for i, name := range usual {
		if i > 0 {
			fmt.Fprintf(&b, "    %s:\n", name)
			continue
		}
		fmt.Fprintf(&b, `    %s:
      angle: 20..25 deg       # of the bend; on the film Schneider's angle is smaller
      radius: 8..10 mm        # the smaller, the sharper
      towards: distal
      apical-straight: 1 mm   # straight canal beyond the bend
`, name)
	}
	return b.String()
}

// FormatPlan writes actions as a plan that ParsePlan reads back as the same actions; comment stands at
// its head. A line without action, made by an empty Do, carries the comment in Choice. Checked by
// TestFormatPlan.
func FormatPlan(name, forScenario, comment string, actions []treatment.Action) string {
	var b strings.Builder
	for _, line := range strings.Split(comment, "\n") {
		fmt.Fprintf(&b, "# %s\n", line)
	}
	fmt.Fprintf(&b, "format: 1\nname: %s\nfor: %s\n\nsteps:\n", name, forScenario)
	for _, a := range actions {
		if a.Do == "" {
			fmt.Fprintf(&b, "  # %s\n", a.Choice)
			continue
		}
		var fields []string
		for _, f := range treatment.Fields(a.Do) {
			if text := fieldText(f, &a); text != "" {
				fields = append(fields, f.Key+": "+text)
			}
		}
		fmt.Fprintf(&b, "  - %s: {%s}\n", a.Do, strings.Join(fields, ", "))
	}
	return b.String()
}

// fieldText writes one field as a plan does, "" when it is left out.
func fieldText(f treatment.Field, a *treatment.Action) string {
	switch f.Form {
	case treatment.Word, treatment.Name:
		return *f.Str(a)
	case treatment.Flag:
		if *f.Int(a) != 0 {
			return "yes"
		}
		return ""
	case treatment.Number:
	}
	stored := *f.Int(a)
	if stored == 0 && !f.Needed {
		return ""
	}
	return strings.TrimSpace(shortest(float64(stored)/f.Scale, f.Scale, stored) + " " + f.Unit)
}

// shortest returns the fewest decimals that are read back as the same stored integer.
func shortest(value, scale float64, stored int) string {
	for places := range 8 {
		text := strconv.FormatFloat(value, 'f', places, 64)
		if back, err := strconv.ParseFloat(text, 64); err == nil && int(math.Round(back*scale)) == stored {
			return text
		}
	}
	return strconv.FormatFloat(value, 'f', -1, 64)
}
