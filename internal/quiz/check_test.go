package quiz_test

import (
	"strings"
	"testing"

	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// sound is an item without fault.
func sound() quiz.Item {
	return quiz.Item{ID: "sound", Kind: quiz.Single, Step: "fit", Level: "recall", Difficulty: "easy", Stem: "How far does it go?",
		Options: options("b", "five", "seven", "eleven"), Why: "so", Source: quiz.CommonPractice}
}

// trial asks what follows from bending a NiTi file.
func trial() quiz.Item {
	item := sound()
	item.Kind, item.Step = quiz.Predict, "shape"
	item.Trial = &quiz.Trial{Kind: "lower-first-molar", Number: 46, Seed: 1,
		Then: treatment.Action{Do: treatment.Bend, Item: "hand-niti-20.02", Radius: 6000, Length: 3000, Wall: "distal"}}
	for n, outcome := range []string{"pre-curved", "sprang-back", "file-broken"} {
		item.Options[n].Outcome = outcome
	}
	return item
}

// rules returns the rules of findings.
func rules(findings []quiz.Finding) string {
	var list []string
	for _, f := range findings {
		list = append(list, f.Rule)
	}
	return strings.Join(list, " ")
}

// TestCheck changes a sound item in one thing at a time and holds that the thing is found.
func TestCheck(t *testing.T) {
	if found := quiz.Check(sound()); len(found) > 0 {
		t.Fatalf("a sound item: %v", found)
	}
	if found := quiz.Check(trial()); len(found) > 0 {
		t.Fatalf("a sound trial: %v", found)
	}
	full := func(item quiz.Item) quiz.Item {
		item.Step, item.Level, item.Difficulty = "fit", "recall", "easy"
		return item
	}
	for _, c := range []struct {
		name, want string
		item       func() quiz.Item
	}{
		{"unknown step", "word", func() quiz.Item { i := sound(); i.Step = "polish"; return i }},
		{"no reason", "missing", func() quiz.Item { i := sound(); i.Why = " "; return i }},
		{"a source nobody can look up", "source", func() quiz.Item { i := sound(); i.Source = "a colleague"; return i }},
		{"two keys", "key", func() quiz.Item { i := sound(); i.Options = options("ab", "five", "seven", "eleven"); return i }},
		{"no key", "key", func() quiz.Item { i := sound(); i.Options = options("", "five", "seven", "eleven"); return i }},
		{"too few options", "range", func() quiz.Item { i := sound(); i.Options = options("a", "five", "seven"); return i }},
		{"no feedback", "missing", func() quiz.Item { i := sound(); i.Options[0].Feedback = ""; return i }},
		{"all right", "key", func() quiz.Item { i := full(several()); i.Options = options("abc", "1", "2", "3"); return i }},
		{"unknown kind", "kind", func() quiz.Item { i := sound(); i.Kind = "riddle"; return i }},
		{"unknown fact", "fact", func() quiz.Item { i := sound(); i.Facts = []string{"no-such"}; return i }},
		{"source of another fact", "fact", func() quiz.Item { i := sound(); i.Facts = []string{"roof-lower"}; return i }},
		{"formula gives another value", "formula", func() quiz.Item {
			i := sound()
			i.Formula = &quiz.Call{Name: "sum", Args: []float64{1, 2}}
			return i
		}},
		{"number without basis", "basis", func() quiz.Item { return full(numeric()) }},
		{"number against its formula", "formula", func() quiz.Item {
			i := full(numeric())
			i.Formula = &quiz.Call{Name: "sum", Args: []float64{1, 2}}
			return i
		}},
		{"number without tolerance", "range", func() quiz.Item {
			i := full(numeric())
			i.Tolerance, i.Formula = 0, &quiz.Call{Name: "sum", Args: []float64{20, 2}}
			return i
		}},
		{"mistake that is right", "key", func() quiz.Item {
			i := full(numeric())
			i.Mistakes[0].Value, i.Formula = 22.1, &quiz.Call{Name: "sum", Args: []float64{20, 2}}
			return i
		}},
		{"spare side that fits", "key", func() quiz.Item { i := full(matching()); i.Spare[0].Text = "2"; return i }},
		{"left side twice", "duplicate", func() quiz.Item { i := full(matching()); i.Pairs[1].Left = "A"; return i }},
		{"place that is none", "word", func() quiz.Item { i := full(place()); i.Target = "cusp"; return i }},
		{"canal that is none", "engine", func() quiz.Item { i := full(place()); i.Subject.Canal = "X"; return i }},
		{"place taken for one near by", "key", func() quiz.Item {
			i := full(place())
			i.Tolerance, i.Mistakes = 3, []quiz.Mistake{{Target: "constriction", Feedback: "f"}}
			return i
		}},
		{"trial with another key", "engine", func() quiz.Item { i := trial(); i.Options[0].Right, i.Options[1].Right = true, false; return i }},
		{"outcome that is none", "outcome", func() quiz.Item { i := trial(); i.Options[0].Outcome = "applause"; return i }},
		{"trial without action", "engine", func() quiz.Item { i := trial(); i.Trial = nil; return i }},
		{"measure without tooth", "engine", func() quiz.Item {
			i := full(numeric())
			i.Kind, i.Target = quiz.Measure, "width"
			return i
		}},
	} {
		if got := rules(quiz.Check(c.item())); !strings.Contains(" "+got+" ", " "+c.want+" ") {
			t.Errorf("%s: found %q, want %s", c.name, got, c.want)
		}
	}
	for _, f := range quiz.Check(quiz.Item{ID: "x", Kind: quiz.Single}) {
		if !strings.Contains(f.String(), "[") {
			t.Errorf("finding %q does not name its rule", f)
		}
	}
}

// TestTrials holds that a trial's outcomes are those of the engine: an event, a refusal, a broken plan.
func TestTrials(t *testing.T) {
	outcomes, events, _, err := trial().Trial.Run()
	if err != nil || len(events) != 1 || outcomes[0] != "sprang-back" {
		t.Errorf("outcomes %v, %v", outcomes, err)
	}
	refused := *trial().Trial
	refused.Then = treatment.Action{Do: treatment.Find, Canal: "MB"}
	if outcomes, _, text, err := refused.Run(); err != nil || outcomes[0] != quiz.Refused || text == "" {
		t.Errorf("finding a canal before the chamber is open: %v %q %v", outcomes, text, err)
	}
	broken := *trial().Trial
	broken.Before = []treatment.Action{{Do: treatment.Find, Canal: "MB"}}
	if _, _, _, err := broken.Run(); err == nil {
		t.Error("a step before the last was refused and nobody heard of it")
	}
}

// TestLint makes each fault of style and holds that it is found, and that an excuse with a reason stands.
func TestLint(t *testing.T) {
	if found := quiz.Lint(sound()); len(found) > 0 {
		t.Fatalf("a sound item: %v", found)
	}
	with := func(texts ...string) quiz.Item { i := sound(); i.Options = options("b", texts...); return i }
	asked := func(stem string) quiz.Item { i := sound(); i.Stem = stem; return i }
	same := sound()
	same.Options[1].Feedback = same.Options[0].Feedback
	for _, c := range []struct {
		name, want string
		item       quiz.Item
	}{
		{"long key", "length-cue", with("five", "seven, since everything else that could be thought of fails", "six")},
		{"all of the above", "catch-all", with("five", "seven", "All of the above")},
		{"none of these", "catch-all", with("five", "seven", "None of these")},
		{"negative", "negative-stem", asked("Which file is not of steel?")},
		{"ranges", "overlap", with("1 to 3 mm", "2 to 4 mm", "6 to 8 mm")},
		{"same", "same-option", with("five", "seven", "Five.")},
		{"absolute", "absolute", with("It is always so", "It is mostly so", "It is never so")},
		{"feedback", "same-feedback", same},
		{"dose", "dose", asked("How many mg/kg are given?")},
	} {
		if got := rules(quiz.Lint(c.item)); !strings.Contains(got, c.want) {
			t.Errorf("%s: found %q, want %s", c.name, got, c.want)
		}
		c.item.Excuses = []quiz.Excuse{{Rule: c.want, Why: "on purpose"}}
		if got := rules(quiz.Lint(c.item)); strings.Contains(got, c.want) {
			t.Errorf("%s: found in spite of its excuse", c.name)
		}
	}
	for _, stem := range []string{"Which file is NOT of steel?", "It did not hurt. Which test comes next?"} {
		if got := rules(quiz.Lint(asked(stem))); got != "" {
			t.Errorf("%q: found %q", stem, got)
		}
	}
	if got := rules(quiz.Lint(with("1 to 2 mm", "2 to 4 mm", "6 to 8 mm"))); got != "" {
		t.Errorf("ranges that only touch: %q", got)
	}
}

// TestLintBank makes banks with one fault each.
func TestLintBank(t *testing.T) {
	other := sound()
	other.ID, other.Stem, other.Options = "other", "What is the tallest cusp of this tooth called by most?", options("a", "x", "y", "z")
	if found := quiz.LintBank([]quiz.Item{sound(), other}); len(found) > 0 {
		t.Errorf("two different items: %v", found)
	}
	twin := sound()
	twin.ID = "twin"
	if got := rules(quiz.LintBank([]quiz.Item{sound(), twin})); got != "near-duplicate" {
		t.Errorf("twins: %q", got)
	}
	if got := rules(quiz.LintBank([]quiz.Item{sound(), sound()})); got != "duplicate" {
		t.Errorf("the same twice: %q", got)
	}
	words := strings.Fields("apex bur cone dam enamel file gauge horn isthmus junction")
	var bank []quiz.Item
	for _, w := range words {
		item := sound()
		item.ID, item.Stem, item.Keep = w, "About the "+w+", "+strings.Repeat(w+w+" ", 3), true
		item.Options = options("b", "a", w+" is the longest", "c")
		bank = append(bank, item)
	}
	if got := rules(quiz.LintBank(bank)); got != "longest-key key-position" {
		t.Errorf("keys in one place and longest: %q", got)
	}
	for _, r := range quiz.LintRules() {
		if r.Text == "" {
			t.Errorf("rule %s has no text", r.Name)
		}
	}
}
