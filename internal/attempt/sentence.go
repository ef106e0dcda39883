package attempt

import (
	"encoding/json"
	"strconv"
	"strings"
	"sync"

	"tugback/assets"
	"tugback/internal/treatment"
)

// english are the texts of this package, read once.
var english = sync.OnceValue(func() map[string]string {
	words := map[string]string{}
	if err := json.Unmarshal(assets.Words, &words); err != nil {
		panic("attempt: assets.Words: " + err.Error())
	}
	return words
})

// Sentence says an event in English as a colleague would, with units. A kind without a text of its own
// gets the text of its definition. Checked by TestEveryEventHasASentence.
func Sentence(e treatment.Event) string {
	words := english()
	text, found := words["event."+string(e.Kind)+"."+e.Detail]
	if !found {
		text, found = words["event."+string(e.Kind)]
	}
	if !found {
		return definition(e.Kind)
	}
	return fill(text, func(name string) (string, bool) { return eventValue(e, name) })
}

func definition(kind treatment.EventKind) string {
	for _, d := range treatment.EventKinds() {
		if d.Kind == kind {
			return d.Text
		}
	}
	return string(kind)
}

// eventValue returns what a placeholder of an event's sentence stands for.
func eventValue(e treatment.Event, name string) (string, bool) {
	switch name {
	case "canal":
		return e.Canal, e.Canal != ""
	case "wall":
		return e.Wall, e.Wall != ""
	case "item":
		return e.Item, e.Item != ""
	case "detail":
		return e.Detail, e.Detail != ""
	case "level":
		return level(e.Level), e.Level != 0
	case "force":
		return decimals(e.Force, 1) + " N", e.Force != 0
	case "percent":
		return decimals(100*e.Value, 0) + " %", true
	case "count":
		return decimals(e.Value, 0), e.Value != 0
	case "number":
		return decimals(e.Value, 0), true
	case "times":
		return decimals(e.Value, 2), true
	case "value":
		return decimals(e.Value, placesOf(e.Unit)) + " " + e.Unit, true
	case "size":
		return decimals(max(e.Value, -e.Value), placesOf(e.Unit)) + " " + e.Unit, true
	}
	return "", false
}

// level says where on the canal something is.
func level(mm float64) string {
	if text := decimals(max(mm, -mm), 1); mm < 0 {
		return text + " mm past the foramen"
	}
	return decimals(mm, 1) + " mm from the foramen"
}

// placesOf is how many decimals a figure is told with: a hundredth of a millimetre for walls and steps.
func placesOf(unit string) int {
	switch unit {
	case "mm", "ml", "N":
		return 2
	case "mm³":
		return 3
	case "%", "kPa", "ml/min":
		return 1
	}
	return 0
}

func decimals(x float64, places int) string { return strconv.FormatFloat(x, 'f', places, 64) }

// Say says an action in English with its settings in the units a plan is written in. A kind without a
// text of its own lists its fields. Checked by TestEveryActionIsSaid.
func Say(a treatment.Action) string {
	fields := treatment.Fields(a.Do)
	text, found := english()["action."+string(a.Do)]
	if !found {
		return listed(a, fields)
	}
	return strings.TrimSpace(fill(text, func(name string) (string, bool) {
		for _, f := range fields {
			if f.Key == name {
				return fieldValue(a, f)
			}
		}
		return "", false
	}))
}

// fieldValue returns a field as a plan has it, and whether it is set; a flag has no text.
func fieldValue(a treatment.Action, f treatment.Field) (string, bool) {
	if f.Form == treatment.Word || f.Form == treatment.Name {
		text := *f.Str(&a)
		return text, text != ""
	}
	if f.Form == treatment.Flag {
		return "", *f.Int(&a) != 0
	}
	v := *f.Int(&a)
	text := strconv.Itoa(v)
	if f.Scale != 0 && f.Scale != 1 {
		text = decimals(float64(v)/f.Scale, 3)
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	if f.Unit != "" {
		text += " " + f.Unit
	}
	return text, v != 0
}

// listed says an action by its fields: "gauge: canal MB, with hand-steel-25.02, stop 19 mm".
func listed(a treatment.Action, fields []treatment.Field) string {
	var parts []string
	for _, f := range fields {
		if text, set := fieldValue(a, f); set {
			parts = append(parts, strings.TrimSpace(f.Key+" "+text))
		}
	}
	if len(parts) == 0 {
		return string(a.Do)
	}
	return string(a.Do) + ": " + strings.Join(parts, ", ")
}

// fill replaces {name} by its value. A stretch in square brackets is kept only if everything named in
// it is set: "Ledge[ on the {wall} wall]". Brackets do not nest.
func fill(text string, value func(name string) (string, bool)) string {
	var out strings.Builder
	for text != "" {
		before, rest, found := strings.Cut(text, "[")
		plain, _ := replace(before, value)
		out.WriteString(plain)
		if !found {
			break
		}
		inside, after, _ := strings.Cut(rest, "]")
		if optional, all := replace(inside, value); all {
			out.WriteString(optional)
		}
		text = after
	}
	return out.String()
}

// replace fills a stretch and reports whether every name in it is set.
func replace(text string, value func(name string) (string, bool)) (string, bool) {
	var out strings.Builder
	all := true
	for {
		before, rest, found := strings.Cut(text, "{")
		out.WriteString(before)
		if !found {
			return out.String(), all
		}
		name, after, _ := strings.Cut(rest, "}")
		filled, set := value(name)
		out.WriteString(filled)
		all = all && set
		text = after
	}
}
