package scenario

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"

	"tugback/internal/treatment"
)

func needed(entries ...Entry) []Entry {
	for i := range entries {
		entries[i].Needed = true
	}
	return entries
}

func formatEntry() Entry {
	return Entry{Key: "format", Value: "1", Needed: true, Text: "version of the file format", Example: "1", Shape: Shape{Kind: WordShape, Words: []string{"1"}},
		schema: func() map[string]any { return map[string]any{"enum": []any{1, "1"}} }}
}

func slugEntry(key, text, example string) Entry {
	return Entry{Key: key, Value: "small letters, digits, hyphens", Text: text, Example: example, Shape: Shape{Kind: TextShape},
		schema: func() map[string]any { return map[string]any{"type": "string", "pattern": "^[a-z0-9-]{1,60}$"} }}
}

func textEntry(key, text, example string) Entry {
	return Entry{Key: key, Value: "text", Text: text, Example: example, Shape: Shape{Kind: TextShape}, schema: scalarSchema}
}

// proseEntry is a text of several lines.
func proseEntry(key, text, example string) Entry {
	e := textEntry(key, text, example)
	e.Shape.Kind = ProseShape
	return e
}

func wordEntry(key, text string, words ...string) Entry {
	list := make([]any, len(words))
	for i, w := range words {
		list[i] = w
	}
	return Entry{Key: key, Value: strings.Join(words, ", "), Text: text, Example: words[0], Shape: Shape{Kind: WordShape, Words: words},
		schema: func() map[string]any { return map[string]any{"enum": list} }}
}

func flagEntry(key, text string) Entry {
	return Entry{Key: key, Value: "yes, no", Text: text, Example: "yes", Shape: Shape{Kind: WordShape, Words: []string{"yes", "no"}},
		schema: func() map[string]any {
			return map[string]any{"enum": []any{true, false, "yes", "no", "Yes", "No"}}
		}}
}

func listEntry(key, what, text, example string) Entry {
	return Entry{Key: key, Value: "a list of " + what, Text: text, Example: example, Shape: Shape{Kind: ListShape}, schema: listOf(scalarSchema)}
}

func quantityEntry(key string, l limits, text, example string) Entry {
	return Entry{Key: key, Value: show(l.low, l.unit) + " to " + show(l.high, l.unit), Text: text, Example: example,
		Shape: Shape{Kind: QuantityShape, Unit: l.unit, Low: l.low, High: l.high}, schema: quantitySchema(l.unit)}
}

func spanEntry(s spanKey, text string) Entry {
	middle := (s.limits.low + s.limits.high) / 2
	return Entry{Key: s.name, Value: show(s.limits.low, s.limits.unit) + " to " + show(s.limits.high, s.limits.unit) + ", or a range a..b", Text: text,
		Example: show(middle, s.limits.unit), Shape: Shape{Kind: QuantityShape, Unit: s.limits.unit, Low: s.limits.low, High: s.limits.high, Range: true}, schema: func() map[string]any {
			number := `[+-]?(\d+(\.\d*)?|\.\d+)`
			unit := unitPattern(s.limits.unit)
			return map[string]any{"type": "string", "pattern": "^" + number + "( *" + unit + "| *(" + unit + ")? *\\.\\. *" + number + " *" + unit + ")$"}
		}}
}

func stringSchema() map[string]any { return map[string]any{"type": "string"} }

func scalarSchema() map[string]any {
	return map[string]any{"type": []any{"string", "number", "boolean"}}
}

// expressionSchema lets true, 0 and the like stand without quotes.
func expressionSchema() map[string]any { return scalarSchema() }

func wholeSchema(low, high int) func() map[string]any {
	return func() map[string]any {
		s := map[string]any{"type": "integer", "minimum": low}
		if high >= low {
			s["maximum"] = high
		}
		return s
	}
}

func numberSchema(low, high float64) func() map[string]any {
	return func() map[string]any { return map[string]any{"type": "number", "minimum": low, "maximum": high} }
}

func quantitySchema(unit string) func() map[string]any {
	return func() map[string]any {
		return map[string]any{"type": "string", "pattern": `^[+-]?(\d+(\.\d*)?|\.\d+) *` + unitPattern(unit) + "$"}
	}
}

// unitPattern matches the units in which a quantity can be written; a point of a product may be any dot.
func unitPattern(unit string) string {
	var names []string
	for _, n := range unitsLike(unit) {
		names = append(names, strings.ReplaceAll(regexp.QuoteMeta(n), "·", "[·⋅.*]"))
	}
	return "(" + strings.Join(names, "|") + ")"
}

func listOf(item func() map[string]any) func() map[string]any {
	return func() map[string]any { return map[string]any{"type": "array", "items": item()} }
}

func anyOf(choices ...map[string]any) map[string]any {
	list := make([]any, len(choices))
	for i, c := range choices {
		list[i] = c
	}
	return map[string]any{"anyOf": list}
}

func ref(name string) map[string]any {
	return map[string]any{"$ref": "#/definitions/" + strings.ReplaceAll(name, " ", "-")}
}

func refTo(name string) func() map[string]any { return func() map[string]any { return ref(name) } }

func useSchema() map[string]any {
	return map[string]any{"type": "object", "required": []any{"use"}, "additionalProperties": false,
		"properties": map[string]any{"use": map[string]any{"type": "string", "description": "a file in the folder of this one"}}}
}

func traySchema(uses bool) func() map[string]any {
	return func() map[string]any {
		item := ref("instrument")
		if uses {
			item = anyOf(item, useSchema())
		}
		return map[string]any{"type": "array", "items": item}
	}
}

func instrumentSchema() map[string]any {
	var ids []any
	for _, i := range treatment.Catalogue() {
		ids = append(ids, i.ID)
	}
	return map[string]any{"enum": ids, "description": "an entry of the catalogue: family-size.taper"}
}

func textsSchema() map[string]any {
	return map[string]any{"type": "object", "propertyNames": map[string]any{"pattern": "^[a-z-]{2,8}$"},
		"additionalProperties": map[string]any{"type": "object", "additionalProperties": false,
			"properties": map[string]any{"title": scalarSchema(), "summary": scalarSchema(), "findings": listOf(scalarSchema)()}}}
}

// stepSchema is a step of a plan: one action with its fields, a repeat, or the use of a technique.
func stepSchema() map[string]any {
	s := anyStepSchema(func(f treatment.Field) (map[string]any, bool) { return fieldSchema(f), f.Needed })
	s["properties"].(map[string]any)["use"] = ref("use")
	return s
}

// openStepSchema is a step of a technique: it names no canal, and a stop may go by the working length.
func openStepSchema() map[string]any {
	return anyStepSchema(func(f treatment.Field) (map[string]any, bool) {
		switch f.Key {
		case "canal":
			return nil, false
		case "stop":
			byLength := map[string]any{"type": "string", "pattern": "^length( *- *.*)?$"}
			return anyOf(fieldSchema(f), byLength), f.Needed
		}
		return fieldSchema(f), f.Needed
	})
}

// anyStepSchema is a step whose fields are as told; a field without a schema may not stand there.
func anyStepSchema(field func(treatment.Field) (s map[string]any, must bool)) map[string]any {
	properties := map[string]any{"repeat": map[string]any{"type": "object", "required": []any{"times", "steps"}, "additionalProperties": false,
		"properties": map[string]any{"times": wholeSchema(1, timesLimit)(), "steps": map[string]any{"type": "array"}}}}
	for _, kind := range treatment.Kinds() {
		fields, must := map[string]any{}, []any{}
		for _, f := range treatment.Fields(kind) {
			s, needed := field(f)
			if s == nil {
				continue
			}
			s["description"] = f.Text
			fields[f.Key] = s
			if needed {
				must = append(must, f.Key)
			}
		}
		properties[string(kind)] = map[string]any{"type": "object", "properties": fields, "required": must, "additionalProperties": false}
	}
	return map[string]any{"type": "object", "minProperties": 1, "maxProperties": 1, "additionalProperties": false, "properties": properties}
}

func fieldSchema(f treatment.Field) map[string]any {
	switch f.Form {
	case treatment.Word:
		return wordEntry(f.Key, f.Text, f.Words...).schema()
	case treatment.Flag:
		return flagEntry(f.Key, f.Text).schema()
	case treatment.Name:
		if f.Key != "canal" {
			return map[string]any{"allOf": []any{ref("instrument")}}
		}
		return stringSchema()
	case treatment.Number:
	}
	if f.Unit == "" {
		return wholeSchema(f.Min, f.Max)()
	}
	return quantitySchema(f.Unit)()
}

// object is a group of keys as a schema.
func (g Group) object() map[string]any {
	properties, must := map[string]any{}, []any{}
	for _, e := range g.Entries {
		s := e.schema()
		if _, refers := s["$ref"]; refers {
			s = map[string]any{"allOf": []any{s}} // beside $ref, draft 7 ignores everything
		}
		s["description"] = e.Text + " (" + e.Value + ")"
		if e.Example != "" {
			s["examples"] = []any{e.Example}
		}
		properties[e.Key] = s
		if e.Needed {
			must = append(must, e.Key)
		}
	}
	return map[string]any{"type": "object", "description": g.Text, "properties": properties, "required": must, "additionalProperties": false}
}

// Schema returns the JSON Schema (draft 7) of the files that people write, for editors: completion, help
// and red lines while typing. It is looser than the reader of files, which alone knows all limits. What a
// file is shows from its keys. Checked by TestSchemaTakesShippedFiles.
func Schema() []byte {
	definitions := map[string]any{"instrument": instrumentSchema()}
	for _, g := range Reference() {
		definitions[strings.ReplaceAll(g.Name, " ", "-")] = g.object()
	}
	choose := ref("tray")
	for _, c := range [][2]string{{"exam", "exam"}, {"rules", "rule-set"}, {"operator", "operator"}, {"steps", "plan"}, {"technique", "technique"}, {"tooth", "scenario"}} {
		choose = map[string]any{"if": map[string]any{"required": []any{c[0]}}, "then": ref(c[1]), "else": choose}
	}
	choose["$schema"] = "http://json-schema.org/draft-07/schema#"
	choose["title"] = "tugback: scenarios, plans, techniques, rule sets, trays, operators, exams"
	choose["definitions"] = definitions
	text, err := json.MarshalIndent(choose, "", " ")
	if err != nil {
		panic(fmt.Sprintf("scenario: the schema is not encoded: %v", err))
	}
	return append(text, '\n')
}
