package treatment_test

import (
	"strings"
	"testing"

	"tugback/internal/treatment"
)

// Every kind has fields with distinct keys, a stage, and limits that its own check accepts.
func TestFields(t *testing.T) {
	for _, kind := range treatment.Kinds() {
		fields := treatment.Fields(kind)
		if len(fields) == 0 || kind.Stage() == "" {
			t.Errorf("%s has no fields or no stage", kind)
		}
		keys := map[string]bool{}
		for _, f := range fields {
			if keys[f.Key] {
				t.Errorf("%s: key %q stands twice", kind, f.Key)
			}
			keys[f.Key] = true
			if f.Text == "" {
				t.Errorf("%s: %q has no text", kind, f.Key)
			}
		}
		for _, high := range []bool{false, true} {
			if a := filled(kind, high); a.Check() != nil {
				t.Errorf("%s at its limits (%v): %v", kind, high, a.Check())
			}
		}
	}
}

// filled returns an action with every field at a limit.
func filled(kind treatment.Kind, high bool) treatment.Action {
	a := treatment.Action{Do: kind}
	for _, f := range treatment.Fields(kind) {
		switch f.Form {
		case treatment.Word:
			*f.Str(&a) = f.Words[0]
		case treatment.Name:
			*f.Str(&a) = "x"
		case treatment.Number, treatment.Flag:
			v := f.Min
			if high {
				v = f.Max
			}
			*f.Int(&a) = v
		}
	}
	return a
}

func TestCheckRefuses(t *testing.T) {
	good := treatment.Action{Do: treatment.Work, Canal: "MB", Item: "hand-steel-10.02", Motion: "watch-winding", Stop: 19500, Push: 1000, Strokes: 10}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name  string
		alter func(*treatment.Action)
		want  string
	}{
		{"unknown kind", func(a *treatment.Action) { a.Do = "drill" }, "unknown action"},
		{"foreign field", func(a *treatment.Action) { a.Volume = 5 }, "does not belong"},
		{"missing canal", func(a *treatment.Action) { a.Canal = "" }, "canal is missing"},
		{"unknown motion", func(a *treatment.Action) { a.Motion = "wiggle" }, "allowed: watch-winding"},
		{"negative length", func(a *treatment.Action) { a.Stop = -1 }, "stop is -0.001 mm"},
		{"too many strokes", func(a *treatment.Action) { a.Strokes = 100000 }, "strokes is 100000"},
		{"no push", func(a *treatment.Action) { a.Push = 0 }, "push is 0 N"},
	}
	for _, c := range cases {
		a := good
		c.alter(&a)
		if err := a.Check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
}
