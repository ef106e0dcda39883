package attempt_test

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tugback/assets"
	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// TestEveryEventHasASentence holds that there is a text for each kind of event, that no text is for a
// kind there is not, and that a full event leaves no brace, bracket or empty place behind.
func TestEveryEventHasASentence(t *testing.T) {
	words := texts(t)
	var kinds []string
	for _, d := range treatment.EventKinds() {
		kinds = append(kinds, string(d.Kind))
		e := treatment.Event{
			Kind: d.Kind, Canal: "MB", Item: "hand-steel-35.02", Wall: "distal", Level: 2.1, Value: 0.5, Unit: d.Unit, Force: 3, Detail: "word",
		}
		if attempt.Sentence(e) == d.Text {
			t.Errorf("%s has no text of its own", d.Kind)
		}
		tidy(t, string(d.Kind), attempt.Sentence(e))
		tidy(t, string(d.Kind)+" without a place", attempt.Sentence(treatment.Event{Kind: d.Kind, Canal: "MB", Item: "hand-steel-35.02", Detail: "word", Wall: "distal", Unit: d.Unit}))
	}
	for key := range words {
		if kind, is := strings.CutPrefix(key, "event."); is {
			kind, _, _ = strings.Cut(kind, ".")
			if !slices.Contains(kinds, kind) {
				t.Errorf("%s is about no kind of event", key)
			}
		}
	}
}

// TestSentences holds some sentences whole.
func TestSentences(t *testing.T) {
	cases := []struct {
		event treatment.Event
		want  string
	}{
		{treatment.Event{Kind: treatment.Ledge, Canal: "MB", Wall: "distal", Level: 2.1, Item: "hand-steel-35.02", Force: 3, Value: 0.14, Unit: "mm"},
			"Ledge on the distal wall of MB, 2.1 mm from the foramen: hand-steel-35.02 pushed with 3.0 N gouged 0.14 mm."},
		{treatment.Event{Kind: treatment.Halted, Canal: "MB", Item: "hand-steel-25.02", Value: 18.25, Unit: "mm", Level: 2.04, Detail: "narrow"},
			"hand-steel-25.02 stopped in MB at 18.25 mm, 2.0 mm from the foramen: the canal is too narrow for its tip."},
		{treatment.Event{Kind: treatment.Reached, Canal: "D", Item: "hand-steel-10.02", Value: 21.5, Unit: "mm", Level: -0.4},
			"hand-steel-10.02 reached its stop in D at 21.50 mm, 0.4 mm past the foramen."},
		{treatment.Event{Kind: treatment.ConeOff, Canal: "D", Item: "cone-30.02", Value: -0.75, Unit: "mm", Detail: "short"},
			"cone-30.02 stops 0.75 mm short of its length in D."},
		{treatment.Event{Kind: treatment.RoofLeft, Value: 0.37}, "37 % of the chamber's roof is left and hides horns or orifices."},
		{treatment.Event{Kind: "unheard-of"}, "unheard-of"},
	}
	for _, c := range cases {
		if got := attempt.Sentence(c.event); got != c.want {
			t.Errorf("%s: got %q, want %q", c.event.Kind, got, c.want)
		}
	}
}

// TestEveryActionIsSaid holds that each kind of action has a text that says every field it can have.
func TestEveryActionIsSaid(t *testing.T) {
	words := texts(t)
	for _, kind := range treatment.Kinds() {
		text, found := words["action."+string(kind)]
		if !found {
			t.Errorf("%s has no text of its own", kind)
		}
		a, least := treatment.Action{Do: kind}, treatment.Action{Do: kind}
		for _, f := range treatment.Fields(kind) {
			if !strings.Contains(text, "{"+f.Key+"}") {
				t.Errorf("%s does not say its %s", kind, f.Key)
			}
			switch f.Form {
			case treatment.Word:
				*f.Str(&a) = f.Words[0]
			case treatment.Name:
				*f.Str(&a) = "MB"
			default:
				*f.Int(&a) = max(f.Min, f.Max/2, 1)
			}
			switch {
			case !f.Needed:
			case f.Form == treatment.Word || f.Form == treatment.Name:
				*f.Str(&least) = *f.Str(&a)
			default:
				*f.Int(&least) = *f.Int(&a)
			}
		}
		tidy(t, string(kind), attempt.Say(a))
		tidy(t, string(kind)+" with no more than it needs", attempt.Say(least))
		for _, place := range regexp.MustCompile(`\{([^}]*)\}`).FindAllStringSubmatch(text, -1) {
			if !slices.ContainsFunc(treatment.Fields(kind), func(f treatment.Field) bool { return f.Key == place[1] }) {
				t.Errorf("%s speaks of %s, which it does not have", kind, place[1])
			}
		}
	}
}

// TestSay holds some actions whole.
func TestSay(t *testing.T) {
	cases := []struct {
		action treatment.Action
		want   string
	}{
		{treatment.Action{Do: treatment.Irrigate, Canal: "MB", Agent: "sodium-hypochlorite", Percent: 30, Volume: 2000, Flow: 50, Item: "needle-30-side", Stop: 18500},
			"Rinse MB with sodium-hypochlorite 3 %, 2 ml at 3 ml/min through needle-30-side, its tip at 18.5 mm."},
		{treatment.Action{Do: treatment.Isolate, Tooth: 46, Tested: 1}, "Place the dam on tooth 46 and test it for leaks."},
		{treatment.Action{Do: treatment.Isolate, Tooth: 46}, "Place the dam on tooth 46."},
		{treatment.Action{Do: "unheard-of"}, "unheard-of"},
	}
	for _, c := range cases {
		if got := attempt.Say(c.action); got != c.want {
			t.Errorf("%s: got %q, want %q", c.action.Do, got, c.want)
		}
	}
}

// texts are the sentences as they are in the file.
func texts(t *testing.T) map[string]string {
	t.Helper()
	words := map[string]string{}
	if err := json.Unmarshal(assets.Words, &words); err != nil {
		t.Fatal(err)
	}
	return words
}

// tidy holds that a sentence begins and ends as one and has nothing of its template left.
func tidy(t *testing.T, what, text string) {
	t.Helper()
	if strings.ContainsAny(text, "{}[]") || strings.Contains(text, " ,") || strings.Contains(text, "  ") || !strings.HasSuffix(text, ".") {
		t.Errorf("%s: %q", what, text)
	}
}
