package attempt_test

import (
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// TestPerceived holds that it was decided of every kind of event whether it is perceived, that what is
// perceived names no level from the foramen and no wall, and that a ledge, a risk and what went past the
// foramen unfelt show nothing, while a broken file and a perforation show their signs.
func TestPerceived(t *testing.T) {
	words := texts(t)
	for _, d := range treatment.EventKinds() {
		if _, decided := words["felt."+string(d.Kind)]; !decided {
			t.Errorf("%s: not decided whether it is perceived", d.Kind)
		}
		e := treatment.Event{Kind: d.Kind, Canal: "MB", Item: "hand-steel-35.02", Wall: "distal", Level: 2.1, Value: 0.53, Unit: d.Unit, Force: 3, Detail: "word"}
		text, shown := attempt.Perceived(e)
		if shown {
			tidy(t, string(d.Kind), text)
		}
		if shown != (text != "") || strings.Contains(text, "from the foramen") || strings.Contains(text, "distal") {
			t.Errorf("%s: %v, %q", d.Kind, shown, text)
		}
	}
	for _, c := range []struct {
		event treatment.Event
		want  string
	}{
		{treatment.Event{Kind: treatment.Ledge, Canal: "MB", Value: 0.1, Unit: "mm"}, ""},
		{treatment.Event{Kind: treatment.Strained, Item: "rotary-25.06", Value: 0.9}, ""},
		{treatment.Event{Kind: treatment.IrrigantSeeped, Canal: "MB", Value: 0.01, Unit: "ml"}, ""},
		{treatment.Event{Kind: treatment.Halted, Canal: "MB", Item: "hand-steel-25.02", Value: 18.25, Unit: "mm", Level: 2.04, Wall: "distal", Detail: "step"},
			"hand-steel-25.02 goes no further in MB: it stopped at 18.25 mm."},
		{treatment.Event{Kind: treatment.Filled, Canal: "MB", Value: 0.12, Level: 0.4, Detail: "cold-lateral"}, "MB filled, cold-lateral."},
		{treatment.Event{Kind: treatment.Broke, Canal: "MB", Item: "rotary-25.06", Value: 2.5, Unit: "mm", Level: 3, Detail: "fatigue"},
			"rotary-25.06 comes out of MB shorter: 2.50 mm of it stay behind."},
		{treatment.Event{Kind: treatment.Perforated, Canal: "MB", Item: "hand-steel-35.02", Wall: "distal", Level: 5, Detail: "strip"},
			"It bleeds anew in MB, where hand-steel-35.02 was."},
		{treatment.Event{Kind: treatment.Located, Canal: "MB2", Value: 0.004, Unit: "mm"}, "MB2 found."},
		{treatment.Event{Kind: treatment.ConeOff, Canal: "MB", Item: "cone-25.04", Value: 0.31, Unit: "mm", Level: -0.4, Detail: "past"},
			"cone-25.04 stands at its length in MB."},
		{treatment.Event{Kind: treatment.GaugedSize, Canal: "MB", Item: "hand-steel-25.02", Value: 18.43, Unit: "mm", Level: 1.1, Detail: "short"},
			"hand-steel-25.02 binds short of its stop in MB, at 18.50 mm."},
		{treatment.Event{Kind: treatment.NoReading, Canal: "MB", Detail: "perforation"}, "The locator gives no steady reading in MB."},
	} {
		if got, shown := attempt.Perceived(c.event); got != c.want || shown != (c.want != "") {
			t.Errorf("%s: got %q, want %q", c.event.Kind, got, c.want)
		}
	}
}
