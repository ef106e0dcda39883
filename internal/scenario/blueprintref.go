package scenario

import (
	"strings"

	"tugback/internal/quiz"
)

// blueprintGroups are the keys of an exam's blueprint.
func blueprintGroups() []Group {
	return []Group{
		{"exam", "the blueprint of an exam, for paper seal --blueprint", examEntries()},
		{"cases", "behind cases: of an exam", casesEntries()},
		{"trial", "behind trial: of an exam", trialEntries()},
		{"questions", "behind questions: of an exam", questionsEntries()},
		{"ask", "an item of ask:", askEntries()},
	}
}

func momentEntry(key, text string) Entry {
	return Entry{Key: key, Value: "a time", Text: text, Example: "2030-01-15 09:00", Shape: Shape{Kind: TextShape}, schema: stringSchema}
}

// wordsEntry is a list of some words.
func wordsEntry(key, text string, words []string) Entry {
	e := wordEntry(key, text, words...)
	one := e.schema
	return Entry{Key: key, Value: "a list of " + strings.Join(words, ", "), Text: text, Example: "[" + words[0] + "]", Shape: Shape{Kind: ListShape, Words: words}, schema: listOf(one)}
}

// personsEntry is a quantity for each of some candidates.
func personsEntry(key, unit, text, example string) Entry {
	return Entry{Key: key, Value: "candidates by id", Text: text, Example: example, Shape: Shape{Kind: TextShape}, schema: func() map[string]any {
		return map[string]any{"type": "object", "additionalProperties": quantitySchema(unit)()}
	}}
}

func numberEntry(key string, low, high int, text, example string) Entry {
	return Entry{Key: key, Value: show(float64(low), "") + " to " + show(float64(high), ""), Text: text, Example: example,
		Shape: Shape{Kind: NumberShape, Low: float64(low), High: float64(high)}, schema: wholeSchema(low, high)}
}

func examEntries() []Entry {
	name := slugEntry("exam", "id of the paper", "mid-term")
	name.Needed = true
	return []Entry{formatEntry(), name, textEntry("title", "what candidates see; the cases' own when left out", "Mid-term examination"),
		momentEntry("from", "when it opens, by the clock of the machine that seals unless a zone is given"),
		momentEntry("until", "when it closes; stands behind from"),
		quantityEntry("limit", limits{"min", 1, weekMin}, "time limit; none when left out", "90 min"),
		byDefault("1", numberEntry("attempts", 1, 20, "how often it may be sat; 1 when left out", "1")),
		wordsEntry("see", "what candidates may see; nothing when left out", Sights()),
		personsEntry("extra-time", "%", "extra time of the limit, beside the roster's", "{ALFA: 25 %}"),
		personsEntry("rest", "min", "rest in all, beside the roster's", "{ALFA: 10 min}"),
		{Key: "cases", Value: "keys of cases", Text: "what is treated", Example: "{of: [lower-premolar]}", Shape: Shape{Kind: GroupShape, Of: "cases"}, schema: refTo("cases")},
		{Key: "trial", Value: "keys of trial, or no", Text: "how teeth are made alike; left out, as paper seal does unasked", Example: "{operator: careful, band: 5 %}", Shape: Shape{Kind: GroupShape, Of: "trial", Words: []string{"no"}}, schema: func() map[string]any {
			return anyOf(flagEntry("trial", "").schema(), ref("trial"))
		}},
		{Key: "questions", Value: "keys of questions", Text: "what is asked", Example: "{ask: [{step: open, number: 4}]}", Shape: Shape{Kind: GroupShape, Of: "questions"}, schema: refTo("questions")},
	}
}

func casesEntries() []Entry {
	return []Entry{
		{Key: "of", Value: "a list of scenarios", Needed: true, Text: "cases that come with the program by name, or files in the exam's folder", Example: "[lower-premolar]", Shape: Shape{Kind: ListShape}, schema: listOf(stringSchema)},
		numberEntry("each", 1, mostOfCases, "so many of them for each candidate, by lot; all when left out", "1"),
		wordsEntry("mark", "steps whose rules count; all rules when left out", stageWords()),
	}
}

func trialEntries() []Entry {
	return []Entry{
		{Key: "operator", Value: "an operator's name or file", Text: "who tries the teeth; careful when left out", Example: "careful", Shape: Shape{Kind: TextShape}, schema: stringSchema},
		numberEntry("hands", 1, 100, "treatments of each tooth; 2 when left out", "2"),
		quantityEntry("band", limits{"%", 0.1, 100}, "how far a tooth's expected marks may lie from the middle; 5 % when left out", "5 %"),
		numberEntry("draws", 0, 1000, "how often a tooth outside of the band is drawn anew at most; 20 when left out", "20"),
	}
}

func questionsEntries() []Entry {
	return []Entry{
		byDefault("no", flagEntry("drawn", "whether questions are drawn for each candidate; no: the same for all")),
		listEntry("from", "files of items", "in the exam's folder; those that come with the program when left out", "[my-items.yaml]"),
		{Key: "ask", Value: "a list of keys of ask", Text: "what is asked; all of from when left out", Example: "[{step: open, number: 4}]", Shape: Shape{Kind: ListShape, Of: "ask"}, schema: listOf(refTo("ask"))},
	}
}

func askEntries() []Entry {
	return []Entry{
		textEntry("item", "one question by its id", "rinse-edta"),
		wordEntry("step", "questions of a step; of any when left out", quiz.Steps()...),
		wordEntry("level", "of a level; of any when left out", quiz.Levels()...),
		byDefault("1", numberEntry("number", 1, 500, "how many; 1 when left out", "2")),
		{Key: "points", Value: "0.1 to 1000", Text: "what each is worth; 1 when left out", Example: "1.5", Default: "1", Shape: Shape{Kind: NumberShape, Low: 0.1, High: 1000}, schema: numberSchema(0.1, 1000)},
	}
}
