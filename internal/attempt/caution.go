package attempt

import (
	"encoding/json"
	"slices"
	"strings"
	"sync"

	"tugback/assets"
	"tugback/internal/treatment"
)

// cautions are the texts of assets.Cautions, read once.
var cautions = sync.OnceValue(func() map[string]string {
	words := map[string]string{}
	if err := json.Unmarshal(assets.Cautions, &words); err != nil {
		panic("attempt: assets.Cautions: " + err.Error())
	}
	return words
})

// CautionOf returns what has to be known when an event happens: signs and first response, as teaching
// text and not as medical advice; "" for most events. Checked by TestCautions.
func CautionOf(e treatment.Event) string { return cautions()["event."+string(e.Kind)] }

// CautionBefore returns what has to be known before an action, "" for most. Checked by TestCautions.
func CautionBefore(a treatment.Action) string {
	words := cautions()
	var out []string
	for _, word := range []string{a.Agent, a.Choice} {
		if text := words["action."+string(a.Do)+"."+word]; word != "" && text != "" {
			out = append(out, text)
		}
	}
	if len(out) == 0 {
		return words["action."+string(a.Do)]
	}
	return strings.Join(out, " ")
}

// Emergency is an event that calls for something, or several: what happened, and signs and first response.
type Emergency struct{ When, Text string }

// Emergencies returns every caution of an event, in the order of the procedure. Those of which the same is to
// be known stand together. Checked by TestEmergencies.
func Emergencies() []Emergency {
	var out []Emergency
	for _, d := range treatment.EventKinds() {
		text := cautions()["event."+string(d.Kind)]
		if text == "" {
			continue
		}
		when, _, _ := strings.Cut(d.Text, ";") // after it stands what a program reads
		if i := slices.IndexFunc(out, func(e Emergency) bool { return e.Text == text }); i >= 0 {
			out[i].When += "; " + when
			continue
		}
		out = append(out, Emergency{when, text})
	}
	return out
}

// Limits returns what the model leaves out or simplifies for the stages that occurred, what holds for
// all of them first. Checked by TestCautions.
func Limits(stages []string) []string {
	return append(forStages("limit.", []string{"all.1", "all.2"}), forStages("limit.", stages)...)
}

// Cited returns published population figures for the stages that occurred: context, never a prediction
// for this tooth. Checked by TestCitedFigures (P28, P29, P31, P32).
func Cited(stages []string) []string { return forStages("cited.", stages) }

func forStages(prefix string, stages []string) []string {
	var out []string
	for _, s := range stages {
		if text := cautions()[prefix+s]; text != "" && !slices.Contains(out, text) {
			out = append(out, strings.TrimSpace(text))
		}
	}
	return out
}
