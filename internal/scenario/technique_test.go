package scenario_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// TestTechniques: each technique that comes with the program is read, fills in canal and length, and can be
// carried out in a bare canal without a refusal.
func TestTechniques(t *testing.T) {
	names := scenario.Techniques()
	if len(names) < 5 {
		t.Fatalf("techniques: %v", names)
	}
	for _, name := range names {
		technique, err := scenario.LoadTechnique(name)
		if err != nil {
			t.Fatal(err)
		}
		s := treatment.StartBlock(treatment.DefaultBlock(), treatment.DefaultSettings(), 1)
		length := s.Canals[0].Foramen() - 0.5
		actions, err := technique.Actions(treatment.BlockCanal, length)
		if err != nil || technique.Name != name || technique.Title == "" {
			t.Fatalf("%s: %v, name %q, title %q", name, err, technique.Name, technique.Title)
		}
		deepest := 0
		for i, a := range actions {
			if s, _, err = treatment.Step(s, a); err != nil {
				t.Fatalf("%s, step %d: %v", name, i+1, err)
			}
			deepest = max(deepest, a.Stop)
		}
		if want := int(1000*length + 0.5); deepest != want {
			t.Errorf("%s: deepest stop %d µm, working length %d", name, deepest, want)
		}
		if _, err := technique.Actions("MB", 4); err == nil {
			t.Errorf("%s fits a canal of 4 mm", name)
		}
	}
}

// TestUse: a plan takes a technique over, by name and from a file beside it, and every fault has its place.
func TestUse(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	write("own.yaml", "format: 1\ntechnique: own\nsteps:\n  - work: {with: hand-steel-15.02, motion: reaming, stop: length - 1.5 mm, push: 1 N, strokes: 4}\n")
	write("faulty.yaml", "format: 1\ntechnique: faulty\nsteps:\n  - work: {with: hand-steel-15.02, canal: MB, motion: reaming, stop: length + 1 mm, push: 1 N, strokes: 4}\n")
	const head = "format: 1\nname: p\nsteps:\n  - use: "
	plan, err := scenario.LoadPlan(write("plan.yaml", head+"{technique: own.yaml, canal: D, length: 20 mm}\n  - use: {technique: hybrid, canal: MB, length: 21.5 mm}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if a := plan.Steps[0]; a.Canal != "D" || a.Stop != 18500 || len(plan.Steps) < 15 || plan.Steps[1].Canal != "MB" {
		t.Errorf("%d steps, first %+v", len(plan.Steps), a)
	}
	if place := plan.Place(1); !strings.HasSuffix(place, "plan.yaml:5:22") {
		t.Errorf("a step of the technique stands at %s", place)
	}
	for text, want := range map[string]string{
		"{technique: own.yaml, canal: D}":                           "lacks length",
		"{technique: steb-back, canal: D, length: 20 mm}":           "step-back",
		"{technique: faulty.yaml, canal: D, length: 20 mm}":         "length - 1 mm",
		"{technique: ../own.yaml, canal: D, length: 20 mm}":         "leaves the plan's folder",
		"{technique: own.yaml, canal: D, length: 20 N}":             "does not fit",
		"{technique: missing.yaml, canal: D, length: 20 mm}":        "no such file",
		"{technique: step-back, canal: D, length: 5 mm}":            "working length",
		"{technique: step-back, canal: D, length: 20 mm, size: 25}": "no key",
	} {
		_, err := scenario.LoadPlan(write("bad.yaml", head+text+"\n"))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q in it", text, err, want)
		}
	}
	if _, err := scenario.ParsePlan("p.yaml", []byte(head+"{technique: own.yaml, canal: D, length: 20 mm}\n")); err == nil {
		t.Error("a text that is no file found a file beside it")
	}
}

// TestQuantity: a number needs the right unit.
func TestQuantity(t *testing.T) {
	if v, err := scenario.Quantity("250 µm", "mm"); err != nil || v != 0.25 {
		t.Errorf("250 µm: %g, %v", v, err)
	}
	for _, text := range []string{"", "3", "3 N", "1e3 mm", "0,5 mm"} {
		if _, err := scenario.Quantity(text, "mm"); err == nil {
			t.Errorf("%q is taken for a length", text)
		}
	}
}

// FuzzParseTechnique: no text makes the reader panic.
func FuzzParseTechnique(f *testing.F) {
	f.Add([]byte("format: 1\ntechnique: own\nsteps:\n  - work: {with: hand-steel-15.02, motion: reaming, stop: length - 1.5 mm, push: 1 N, strokes: 4}\n"))
	f.Add([]byte("technique: x\nsteps:\n  - repeat: {times: 3, steps: [{wait: {time: 1 s}}]}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if technique, err := scenario.ParseTechnique("t.yaml", text); err == nil {
			_, _ = technique.Actions("MB", 21)
		}
	})
}
