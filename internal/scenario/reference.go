package scenario

import (
	"fmt"
	"math"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Entry documents one key that a file may have: what may stand behind it and what it means. The printed
// reference, the explanations and the JSON Schema are made from entries.
type Entry struct {
	Key     string
	Value   string // for people: "yes, no", "2 mm to 100 mm, or a range", "a list"
	Needed  bool
	Text    string
	Example string
	Default string // what holds when the key is left out and that is one value
	Shape   Shape

	schema func() map[string]any
}

// Shapes are the kinds of what may stand behind a key.
const (
	TextShape     = "text"     // one line
	ProseShape    = "prose"    // several lines
	WordShape     = "word"     // one of some words
	QuantityShape = "quantity" // a number with its unit, or with Range a stretch a..b
	NumberShape   = "number"   // a plain number
	GroupShape    = "group"    // the keys of a group
	NamesShape    = "names"    // names of the writer's choice or from a list, with the keys of a group behind each
	ListShape     = "list"     // items: texts, or with Of the keys of a group
)

// Shape says what may stand behind a key so that a form can ask for it. The reader of files alone decides
// what is right.
type Shape struct {
	Kind      string
	Unit      string   // of a quantity, "" plain
	Low, High float64  // of a quantity or a number in Unit; both 0: no limits
	Range     bool     // a..b may stand too
	Words     []string // that may stand; with From, or with Of a list, others may as well
	From      string   // where in the file or the program likely words are found: canals, rules, deeds, instruments …
	Of        string   // name of the group behind the key or in each item
}

// Group is a group of keys: a file, or what stands behind a key.
type Group struct {
	Name    string // "scenario", "tooth", "canal" …
	Text    string
	Entries []Entry
}

// Reference returns every key of every kind of file in the order of the printed reference. Checked by
// TestReferenceIsComplete.
func Reference() []Group {
	return append([]Group{
		{"scenario", "a case: one file at the top of a folder", scenarioEntries()},
		{"tooth", "behind tooth: of a scenario", toothEntries()},
		{"canal", "behind each canal's name", canalEntries()},
		{"calcified", "an item of calcified:", calcifiedEntries()},
		{"settings", "behind settings: of a scenario; what is left out keeps its default", settingsEntries()},
		{"examination", "behind examination: of a scenario; what is left out was not found", examinationEntries()},
		{"drill", "behind drill: of a scenario, which the student takes over at a step", drillEntries()},
		{"protocol", "an item of protocol: that is not just an action", protocolEntries()},
		{"time", "behind time: of a scenario, when keeping it earns something", timeEntries()},
		{"quiz", "an item of quiz: of a scenario that is not just an id", linkEntries()},
		{"rule", "an item of rules:", ruleEntries()},
		{"rule set", "a file of rules, for use: in scenarios", ruleSetEntries()},
		{"tray", "a file of instruments, for use: in trays", trayEntries()},
		{"plan", "a written treatment", planEntries()},
		{"use", "behind use: of a plan's step", useEntries()},
		{"technique", "a way of shaping that leaves canal and length open, for use: in plans", techniqueEntries()},
		{"operator", "a scripted operator for trials", operatorEntries()},
		{"skips", "behind skips: of an operator", skipEntries()},
	}, blueprintGroups()...)
}

func scenarioEntries() []Entry {
	return []Entry{
		formatEntry(),
		slugEntry("name", "by which plans and records call it; left out, the name of the file", "my-molar"),
		textEntry("title", "one line for people", "A molar with a curved mesial root"),
		proseEntry("summary", "what the student is told of the case", "A 34-year-old has had lingering pain for two days."),
		{Key: "texts", Value: "languages", Text: "title, summary and findings in other languages, by tag", Example: "{de: {title: Ein Backenzahn}}", Shape: Shape{Kind: NamesShape, Of: "texts"}, schema: textsSchema},
		listEntry("findings", "sentences", "what history, tests and films have shown", "[cold hurts for a minute]"),
		{Key: "examination", Value: "keys of examination", Text: "what tests of the invented patient show, and what makes the case harder", Example: "{tender: yes, pocket: 2 mm}", Shape: Shape{Kind: GroupShape, Of: "examination"}, schema: refTo("examination")},
		{Key: "seed", Value: "a whole number", Text: "seed of what the file leaves open, when none is asked for; 1 when left out", Example: "7", Default: "1", Shape: Shape{Kind: NumberShape}, schema: wholeSchema(0, -1)},
		{Key: "tooth", Value: "keys of tooth", Needed: true, Text: "the tooth", Example: "{kind: lower-first-molar}", Shape: Shape{Kind: GroupShape, Of: "tooth"}, schema: refTo("tooth")},
		byDefault("vital", wordEntry("pulp", "state of the pulp; vital when left out", "vital", "necrotic")),
		byDefault("no", flagEntry("lesion", "whether the film shows a lesion at the apex; no when left out")),
		wordEntry("difficulty", "what the findings add up to; left out, by the largest bend on the film", "low", "moderate", "high"),
		{Key: "tray", Value: "a list of instruments, or use: a file", Text: "what is on offer; without it, everything", Example: "[hand-steel-10.02, rotary-25.04, cone-25.04, needle-30-side]", Shape: Shape{Kind: ListShape, From: "instruments"}, schema: traySchema(true)},
		{Key: "settings", Value: "keys of settings", Text: "conventions on which schools differ", Example: "{breakage-drawn: no}", Shape: Shape{Kind: GroupShape, Of: "settings"}, schema: refTo("settings")},
		{Key: "protocol", Value: "a list of actions, or keys of protocol", Text: "the steps that are taught, in their order; check holds the tray against them", Example: "[isolate, open, find, work hand-steel-10.02]", Shape: Shape{Kind: ListShape, Of: "protocol", From: "deeds"}, schema: listOf(func() map[string]any {
			return anyOf(map[string]any{"type": "string"}, ref("protocol"))
		})},
		{Key: "time", Value: "1 min to 600 min, or keys of time", Text: "time allowed", Example: "90 min", Shape: Shape{Kind: QuantityShape, Unit: "min", Low: 1, High: 600, Of: "time"}, schema: func() map[string]any {
			return anyOf(quantitySchema("min")(), ref("time"))
		}},
		{Key: "drill", Value: "keys of drill", Text: "steps done before the student takes over: the case is then a drill", Example: "{plan: plans/my-case.yaml, before: measure}", Shape: Shape{Kind: GroupShape, Of: "drill"}, schema: refTo("drill")},
		{Key: "quiz", Value: "a list of ids, or keys of quiz", Text: "quiz items that go with the case, and come back after a wrong decision", Example: "[rinse-edta, {item: shape-growth, after: ledge}]", Shape: Shape{Kind: ListShape, Of: "quiz"}, schema: listOf(func() map[string]any {
			return anyOf(map[string]any{"type": "string"}, ref("quiz"))
		})},
		quantityEntry("pass", limits{"%", 1, 100}, "pass mark, share of the marks; the rule set's or 60 % when left out", "60 %"),
		{Key: "total", Value: "1 to 100000", Text: "what the points of all rules are to add up to; check compares", Example: "100", Shape: Shape{Kind: NumberShape, Low: 1, High: 100000}, schema: numberSchema(1, 100000)},
		{Key: "rules", Value: "a list of rules, or use: a file", Text: "the marking sheet", Example: "[{use: rules/formative.yaml}]", Shape: Shape{Kind: ListShape, Of: "rule"}, schema: listOf(func() map[string]any { return anyOf(useSchema(), ref("rule")) })},
	}
}

func toothEntries() []Entry {
	var words []string
	for _, k := range anatomy.Kinds() {
		words = append(words, string(k))
	}
	kind := wordEntry("kind", "type of the tooth", words...)
	kind.Needed = true
	entries := []Entry{
		kind,
		{Key: "number", Value: "11 to 47", Text: "two-digit notation, ISO 3950; left out, the right one of the kind", Example: "46", Shape: Shape{Kind: NumberShape, Low: 11, High: 47, From: "numbers"}, schema: wholeSchema(11, 47)},
		{Key: "canals", Value: "canals by name", Text: "the canals; those of a root that names none are drawn from the norms", Example: "{MB: {angle: 30 deg}, ML: , D: }", Shape: Shape{Kind: NamesShape, Of: "canal", From: "canals"}, schema: func() map[string]any {
			return map[string]any{"type": "object", "additionalProperties": anyOf(ref("canal"), map[string]any{"type": "null"})}
		}},
	}
	texts := map[string]string{
		"age": "age of the patient; narrows the pulp", "length": "reference cusp to the radiographic apex of the longest root",
		"crown-height": "crown above the cemento-enamel junction", "chamber-height": "height of the pulp chamber",
		"roof-depth":   "reference cusp to the roof of the chamber",
		"irregularity": "of the walls: 0 % smooth, 100 % as in the norms",
	}
	var spec anatomy.Spec
	for _, s := range toothSpans(&spec) {
		entries = append(entries, spanEntry(s, texts[s.name]))
	}
	return entries
}

func canalEntries() []Entry {
	texts := map[string]string{
		"length": "orifice to foramen", "angle": "of the main bend in the clinical plane", "radius": "of the main bend",
		"apical-straight": "straight canal beyond the main bend", "second-angle": "of a reverse bend beyond the main one",
		"second-radius": "of the reverse bend", "proximal-angle": "of the bend that a film hides", "proximal-radius": "of the hidden bend",
		"orifice-tilt": "direction of the canal at the orifice, distal positive", "narrow": "smaller width of the constriction",
		"wide": "larger width of the constriction", "constriction-level": "constriction to foramen", "foramen-offset": "foramen to the tip of the root",
		"taper": "of the untouched canal in its coronal two thirds", "join-level": "foramen to where the canals join",
	}
	var spec anatomy.CanalSpec
	var entries []Entry
	for _, s := range canalSpans(&spec) {
		entries = append(entries, spanEntry(s, texts[s.name]))
	}
	return append(entries,
		wordEntry("towards", "side the main bend turns to", "mesial", "distal"),
		wordEntry("proximal-towards", "side the hidden bend turns to", "buccal", "lingual"),
		wordEntry("constriction", "type of the apical constriction", "single", "tapering", "multiple", "parallel"),
		Entry{Key: "calcified", Value: "a list of keys of calcified", Text: "calcified stretches", Example: "[{level: 8 mm, length: 2 mm, left: 40 %}]", Shape: Shape{Kind: ListShape, Of: "calcified"}, schema: listOf(func() map[string]any { return ref("calcified") })},
		Entry{Key: "joins", Value: "a canal of the same root", Text: "the canal it joins, which runs to the apex", Example: "MB", Shape: Shape{Kind: TextShape, From: "canals"}, schema: stringSchema},
	)
}

func calcifiedEntries() []Entry {
	return needed(
		quantityEntry("level", limits{"mm", 0, 25}, "middle of the stretch, from the foramen", "8 mm"),
		quantityEntry("length", limits{"mm", 0.2, 15}, "length of the stretch", "2 mm"),
		quantityEntry("left", limits{"%", 10, 100}, "width that is left", "40 %"),
	)
}

func settingsEntries() []Entry {
	return withDefaults([]Entry{
		quantityEntry("ledge-step", limits{"mm", 0.01, 0.5}, "step of a wall that counts as a ledge", "0.05 mm"),
		quantityEntry("strip-thickness", limits{"mm", 0, 1.5}, "dentine left below which a wall is at risk of a strip", "0.3 mm"),
		quantityEntry("loose-share", limits{"%", 1, 90}, "resistance over push below which a file is loose", "25 %"),
		quantityEntry("length-short", limits{"mm", 0, 3}, "how far short of the foramen the working length ends", "0.5 mm"),
		quantityEntry("locator-error", limits{"mm", 0, 2}, "standard deviation of a locator's reading", "0.25 mm"),
		quantityEntry("film-error", limits{"mm", 0, 3}, "standard deviation of reading a film", "0.4 mm"),
		quantityEntry("extrusion-limit", limits{"Pa", 0, 10000}, "pressure at the foramen above that of the tissue from which irrigant escapes", "764 Pa"),
		quantityEntry("fatigue-scatter", limits{"%", 0, 200}, "spread of a piece's life, standard deviation of its logarithm", "28 %"),
		quantityEntry("transport-limit", limits{"mm", 0, 2}, "transportation in the apical 3 mm from which it is told", "0.3 mm"),
		quantityEntry("worn-limit", limits{"mm", 0, 2}, "difference of the cuts on opposite walls from which it is told", "0.15 mm"),
		quantityEntry("zip-width", limits{"mm", 0, 2}, "apex wider than the elbow above it from which it counts as a zip", "0.05 mm"),
		quantityEntry("foramen-limit", limits{"mm", 0, 2}, "foramen widened or moved from which it counts as torn", "0.1 mm"),
		quantityEntry("straighten-limit", limits{"deg", 0, 90}, "angle lost from which a canal counts as straightened", "5 deg"),
		quantityEntry("risk-share", limits{"%", 1, 100}, "share of a piece's life or strength from which it is told", "50 %"),
		quantityEntry("removal-skill", limits{"%", 0, 110}, "chance to remove or pass a broken piece, over that of a specialist", "100 %"),
		quantityEntry("size-scatter", limits{"mm", 0, 0.02}, "spread of a new file's diameter within its tolerance", "0.007 mm"),
		quantityEntry("used-life", limits{"%", 0, 45}, "mean share of its life that a file has spent in earlier teeth", "0 %"),
		quantityEntry("strength-scatter", limits{"%", 0, 50}, "spread of torsional strength", "8 %"),
		flagEntry("breakage-drawn", "whether the seed decides when a piece breaks"),
		quantityEntry("back-pressure", limits{"mmHg", 0, 100}, "what the tissue holds against liquid from the foramen", "30 mmHg"),
		quantityEntry("syringe-push", limits{"kPa", 50, 1500}, "pressure a thumb keeps up behind a needle at most", "550 kPa"),
		quantityEntry("air-lock", limits{"%", 0, 95}, "share of rinses of a dry canal that leave air at its end", "48 %"),
		quantityEntry("accident-volume", limits{"ml", 0.01, 5}, "irrigant past the foramen from which the patient feels it", "0.1 ml"),
		quantityEntry("room-temperature", limits{"°C", 10, 40}, "of irrigant that was not warmed", "22 °C"),
		quantityEntry("cone-scatter", limits{"%", 0, 30}, "spread of a cone's tip diameter, standard deviation", "7.5 %"),
		quantityEntry("cone-bias", limits{"%", -30, 30}, "mean deviation of a cone's tip diameter from its size", "0 %"),
		quantityEntry("temporary-least", limits{"mm", 0, 6}, "temporary filling from which it counts as tight", "3.5 mm"),
		quantityEntry("sealer-coat", limits{"mm", 0.01, 0.5}, "sealer that clings to a dipped cone and to the wall it wipes (assumed)", "0.1 mm"),
		quantityEntry("spreader-load", limits{"N", 1, 60}, "load on the spreader from which the root is at risk", "14.7 N"),
		quantityEntry("shelf", limits{"mm", 0, 3}, "mean depth of the dentine over a second mesiobuccal orifice", "1.68 mm"),
		quantityEntry("tests-together", limits{"%", 0, 95}, "correlation of the errors of pulp tests on one tooth (assumed)", "30 %"),
		quantityEntry("dressing-left", limits{"%", 0, 90}, "share of the sealer's room that a dressing keeps that was not rinsed out (assumed)", "40 %"),
		quantityEntry("wet-gap", limits{"%", 0, 100}, "share of the gap beside a cone that compaction fills where liquid stands in it (assumed)", "30 %"),
		quantityEntry("hole-seep", limits{"ml", 0, 1}, "irrigant through a mm² of an open perforation a minute (assumed)", "0.01 ml"),
		quantityEntry("repair-fault", limits{"%", 0, 100}, "share of a repair's seal lost to each of late, large, crestal (assumed)", "25 %"),
		quantityEntry("repair-blood", limits{"%", 0, 100}, "share of a repair's seal lost to bleeding (assumed)", "40 %"),
		quantityEntry("crack-rate", limits{"%", 0, 50}, "share of its way that a crack gains in a day of chewing (assumed)", "2 %"),
		quantityEntry("open-leak", limits{"%", 0, 50}, "rate at which bacteria pass an open filling or hole, a day (a leakage convention: half through in 36 days)", "1.9 %"),
		quantityEntry("bare-leak", limits{"%", 0, 50}, "rate past a tight barrier without a restoration, a day (assumed)", "0.2 %"),
		quantityEntry("spoiled-bond", limits{"%", 0, 100}, "share of the barrier that a spoiled bond takes away (assumed)", "50 %"),
		quantityEntry("temporary-leak", limits{"%", 0, 100}, "rate through a chamber left open or past a temporary in proportion to what it lacks, a day (assumed)", "15 %"),
		quantityEntry("regrowth", limits{"%", 0, 50}, "rate at which bacteria grow back in an empty canal, a day (assumed)", "5 %"),
	})
}

func examinationEntries() []Entry {
	return []Entry{
		flagEntry("metal", "a metal restoration borders the cavity"), flagEntry("caries", "caries is left"),
		flagEntry("wall-missing", "a wall of the crown is missing"), flagEntry("crack", "a crack line shows under light"),
		flagEntry("tender", "tender to percussion"), flagEntry("swollen", "swollen and tender to touch"),
		flagEntry("sinus", "a sinus tract drains"), flagEntry("symptoms", "the tooth hurts"),
		flagEntry("not-restorable", "the tooth can't be restored"), flagEntry("small-opening", "the mouth opens little"),
		flagEntry("gagging", "the patient gags"),
		quantityEntry("pocket", limits{"mm", 0, 15}, "depth of the deepest pocket", "2 mm"),
		{Key: "physical-status", Value: "1 to 5", Text: "class of physical status", Example: "1", Shape: Shape{Kind: NumberShape, Low: 1, High: 5}, schema: wholeSchema(1, 5)},
		wordEntry("pulp-term", "diagnosis of the pulp; left out, from the findings", treatment.PulpTerms()...),
		wordEntry("apical-term", "apical diagnosis; left out, from the findings", treatment.ApicalTerms()...),
	}
}

func protocolEntries() []Entry {
	return []Entry{
		{Key: "do", Value: "an action, or an action and one of its words", Needed: true, Text: "the step", Example: "irrigate edta", Shape: Shape{Kind: TextShape, From: "deeds"}, schema: stringSchema},
		textEntry("text", "the step in words for people", "a minute of EDTA"),
		{Key: "at-least", Value: "0 to 100", Text: "how often at least; 1 when left out", Example: "1", Default: "1", Shape: Shape{Kind: NumberShape, Low: 0, High: 100}, schema: wholeSchema(0, 100)},
		{Key: "at-most", Value: "1 to 100", Text: "how often at most", Example: "3", Shape: Shape{Kind: NumberShape, Low: 1, High: 100}, schema: wholeSchema(1, 100)},
		{Key: "points", Value: "above 0", Text: "what the step earns, as a rule: as often as at-least, not more often than at-most, in time, and after the step before it", Shape: Shape{Kind: NumberShape, High: 10000}, Example: "2", schema: numberSchema(0, 10000)},
		{Key: "canal", Value: "each, worst or a canal's name", Text: "where the points are earned, as in a rule", Example: "each", Shape: Shape{Kind: TextShape, Words: []string{"each", "worst"}, From: "canals"}, schema: stringSchema},
		quantityEntry("within", limits{"min", 0.2, 600}, "of the treatment's clock, by when it is to be done", "20 min"),
	}
}

func timeEntries() []Entry {
	return []Entry{
		needed(quantityEntry("allowed", limits{"min", 1, 600}, "the time", "90 min"))[0],
		{Key: "points", Value: "above 0", Text: "what keeping it earns, as a rule; nothing from half as long again", Shape: Shape{Kind: NumberShape, High: 10000}, Example: "2", schema: numberSchema(0, 10000)},
	}
}

func linkEntries() []Entry {
	return []Entry{
		needed(slugEntry("item", "id of the item", "shape-growth"))[0],
		textEntry("after", "id of a rule that lost half its points or more, or an event that happened; left out, any rule of the item's step", "ledge"),
	}
}

func ruleEntries() []Entry {
	id := Entry{Key: "id", Value: "a short word", Needed: true, Text: "by which marks name the rule", Example: "ledge", Shape: Shape{Kind: TextShape}, schema: stringSchema}
	var stages, metrics []string
	for _, k := range treatment.Kinds() {
		if len(stages) == 0 || stages[len(stages)-1] != k.Stage() {
			stages = appendNew(stages, k.Stage())
		}
	}
	for _, d := range treatment.MetricTable() {
		metrics = append(metrics, d.Name)
	}
	metric := wordEntry("metric", "what a band is about", metrics...)
	metric.Value, metric.Example = "a metric", "transport_apical_mm"
	bound := func(key, text, example string) Entry {
		return Entry{Key: key, Value: "a comparison (" + strings.Join(marking.Operators(), " ") + ") and a value with its unit", Text: text, Example: example, Shape: Shape{Kind: TextShape}, schema: stringSchema}
	}
	expression := func(key, text, example string) Entry {
		return Entry{Key: key, Value: "an expression", Text: text, Example: example, Shape: Shape{Kind: TextShape, From: "expression"}, schema: expressionSchema}
	}
	return []Entry{
		id, wordEntry("stage", "of the procedure, under which it is listed", stages...), textEntry("title", "for people", "No ledge"),
		{Key: "points", Value: "above 0", Text: "what can be earned", Example: "5", Shape: Shape{Kind: NumberShape, High: 10000}, schema: numberSchema(0, 10000)},
		{Key: "deduct", Value: "above 0", Text: "what can be taken away, in place of points", Example: "3", Shape: Shape{Kind: NumberShape, High: 10000}, schema: numberSchema(0, 10000)},
		{Key: "canal", Value: "each, worst or a canal's name", Text: "each: shared over the canals; worst: the least decides; left out: a rule of the tooth", Example: "each", Shape: Shape{Kind: TextShape, Words: []string{"each", "worst"}, From: "canals"}, schema: stringSchema},
		metric,
		bound("full", "where all points are given", `"<= 0.10 mm"`), bound("none", "where none are; between, a straight line", `">= 0.30 mm"`),
		expression("credit", "share of the points, 0 to 1, in place of a band", "ramp(abs(length_error_mm), 0.5, 1.5)"),
		from("deeds", listEntry("order", "actions", "share of these steps first done in this order, in place of a band", "[isolate, open, find]")),
		expression("when", "alone: earned when true; beside the others: only then counted; critical or deduct: it happened", `did("work")`),
		flagEntry("critical", "when is true: a critical error, which fails the run"),
		from("rules", textEntry("follows", "id of an earlier rule: when that lost points, a loss here is judged by instead, or not counted", "working-length")),
		expression("instead", "credit when the rule it follows lost points; the better counts", "ramp(fill_short_mm + length_error_mm, 2, 3)"),
		proseEntry("evidence", "a sentence with {metric}, {expression}, {canal}, {value}, {full}, {none} filled in", `"{canal}: moved by {value}"`),
		textEntry("source", "where the standard comes from", "common practice, no source"),
	}
}

func appendNew(list []string, word string) []string {
	for _, w := range list {
		if w == word {
			return list
		}
	}
	return append(list, word)
}

func ruleSetEntries() []Entry {
	rules := Entry{Key: "rules", Value: "a list of rules, or use: a file", Needed: true, Text: "the rules", Example: "[{use: more.yaml}]", Shape: Shape{Kind: ListShape, Of: "rule"}, schema: listOf(func() map[string]any { return anyOf(useSchema(), ref("rule")) })}
	return []Entry{
		formatEntry(), textEntry("title", "for people", "Formative"), proseEntry("summary", "what the set is for", "For practice."),
		quantityEntry("pass", limits{"%", 1, 100}, "pass mark of scenarios that name none", "60 %"),
		{Key: "total", Value: "1 to 100000", Text: "what the points are to add up to; check compares", Example: "100", Shape: Shape{Kind: NumberShape, Low: 1, High: 100000}, schema: numberSchema(1, 100000)},
		rules,
	}
}

func trayEntries() []Entry {
	return []Entry{formatEntry(), textEntry("title", "for people", "Hand files only"),
		{Key: "tray", Value: "a list of instruments", Needed: true, Text: "what is on offer", Example: "[hand-steel-10.02]", Shape: Shape{Kind: ListShape, From: "instruments"}, schema: traySchema(false)}}
}

func planEntries() []Entry {
	name := slugEntry("name", "by which treat calls it", "careful")
	name.Needed = true
	return []Entry{formatEntry(), name, textEntry("title", "for people", "A careful treatment"),
		slugEntry("for", "name of the scenario it is written for", "my-molar"),
		{Key: "seed", Value: "a whole number", Text: "seed it is written for", Example: "7", Shape: Shape{Kind: NumberShape}, schema: wholeSchema(0, -1)},
		{Key: "steps", Value: "a list of actions", Needed: true, Text: "one action each, or repeat: {times: …, steps: […]}, or use: a technique", Example: "[{isolate: {tooth: 46}}]", Shape: Shape{Kind: ListShape, Of: "step"}, schema: listOf(stepSchema)}}
}

func useEntries() []Entry {
	return needed(
		Entry{Key: "technique", Value: "a technique's name or file", Text: "the technique: one that comes with the program, or a file in the plan's folder", Example: "step-back", Shape: Shape{Kind: TextShape, From: "techniques"}, schema: stringSchema},
		Entry{Key: "canal", Value: "a canal's name", Text: "the canal it is worked in", Example: "MB", Shape: Shape{Kind: TextShape, From: "canals"}, schema: stringSchema},
		quantityEntry("length", lengthLimits, "working length", "20.5 mm"),
	)
}

func techniqueEntries() []Entry {
	name := slugEntry("technique", "by which plans use it", "step-back")
	name.Needed = true
	return []Entry{formatEntry(), name, textEntry("title", "for people", "Step-back"), proseEntry("summary", "what it is for", "Steel files by hand."),
		{Key: "steps", Value: "a list of actions", Needed: true, Text: "as in a plan, without canal; a stop may be length, or length - 1 mm", Example: "[{wipe: {with: hand-steel-15.02}}]", Shape: Shape{Kind: ListShape, Of: "step"}, schema: listOf(openStepSchema)}}
}

func operatorEntries() []Entry {
	name := slugEntry("operator", "name", "careful")
	name.Needed = true
	entries := []Entry{formatEntry(), name, textEntry("title", "for people", "Careful, experienced")}
	for _, h := range Habits() {
		e := Entry{Key: h.Key, Needed: true, Text: h.Text}
		switch {
		case h.word != nil:
			e = wordEntry(h.Key, h.Text, h.Words...)
		case h.Unit == "":
			e.Value, e.Example, e.schema = fmt.Sprintf("%g to %g", h.Low, h.High), fmt.Sprint(h.Low), numberSchema(h.Low, h.High)
			e.Shape = Shape{Kind: NumberShape, Low: h.Low, High: h.High}
		default:
			e = quantityEntry(h.Key, limits{h.Unit, h.Low, h.High}, h.Text, show(h.Low, h.Unit))
		}
		e.Needed = true
		entries = append(entries, e)
	}
	return append(entries, Entry{Key: "skips", Value: "keys of skips", Text: "chance that a step is left out; 0 % when it is not named", Example: "{wipe: 20 %}", Shape: Shape{Kind: GroupShape, Of: "skips"}, schema: refTo("skips")})
}

func skipEntries() []Entry {
	var entries []Entry
	for _, s := range SkippedSteps() {
		entries = append(entries, quantityEntry(s.Key, limits{"%", 0, 100}, s.Text, "20 %"))
	}
	return entries
}

// byDefault says what holds when a key is left out.
func byDefault(value string, e Entry) Entry {
	e.Default = value
	return e
}

// from says where likely words for a key are found.
func from(where string, e Entry) Entry {
	e.Shape.From = where
	return e
}

// withDefaults fills in the defaults of settings from the settings themselves.
func withDefaults(entries []Entry) []Entry {
	s := treatment.DefaultSettings()
	defaults := map[string]string{"breakage-drawn": "no"}
	if s.BreakageDrawn {
		defaults["breakage-drawn"] = "yes"
	}
	for _, q := range append(settingFigures(&s), aroundFigures(&s.Around)...) {
		value := convert(*q.at, q.stored, q.limits.unit)
		defaults[q.name] = show(math.Round(value*1e6)/1e6, q.limits.unit)
	}
	for i, e := range entries {
		entries[i].Default = defaults[e.Key]
	}
	return entries
}
