package scenario_test

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
)

// opened reads a document that is without fault.
func opened(t *testing.T, text string) *scenario.Document {
	t.Helper()
	d, err := scenario.NewDocument("x.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestFormShowsEveryKey holds that a form asks for every key of the reference in its group, with its text,
// and in a way that fits what may stand there.
func TestFormShowsEveryKey(t *testing.T) {
	groups := map[string]scenario.Group{}
	for _, g := range scenario.Reference() {
		groups[g.Name] = g
	}
	kinds := []string{scenario.TextShape, scenario.ProseShape, scenario.WordShape, scenario.QuantityShape, scenario.NumberShape,
		scenario.GroupShape, scenario.NamesShape, scenario.ListShape}
	for _, g := range groups {
		for _, e := range g.Entries {
			if !slices.Contains(kinds, e.Shape.Kind) {
				t.Errorf("%s: %s has no shape", g.Name, e.Key)
			}
		}
	}
	d := opened(t, "tooth: {kind: lower-first-molar, canals: {MB: }}\nrules: [{id: a}]\nprotocol: [{do: open}]\n")
	form := d.Form("")
	if form.Sort != "scenario" || !slices.Equal(form.Lists["canals"], anatomy.CanalNames("lower-first-molar")) || len(form.Lists["instruments"]) < 50 {
		t.Errorf("got a form of a %s with lists %v", form.Sort, form.Lists["canals"])
	}
	check := func(name string, fields []scenario.Field) {
		t.Helper()
		for i, e := range groups[name].Entries {
			if i >= len(fields) || fields[i].Key != e.Key || fields[i].Text != e.Text || fields[i].Allowed != e.Value {
				t.Errorf("%s: %s is not asked for in its place", name, e.Key)
			}
		}
	}
	at := func(fields []scenario.Field, key string) scenario.Field {
		return fields[slices.IndexFunc(fields, func(f scenario.Field) bool { return f.Key == key })]
	}
	check("scenario", form.Fields)
	for _, name := range []string{"tooth", "settings", "examination"} {
		check(name, at(form.Fields, name).Fields)
	}
	check("canal", at(at(at(form.Fields, "tooth").Fields, "canals").Fields, "MB").Fields)
	check("rule", at(form.Fields, "rules").Fields[0].Fields)
	check("protocol", at(form.Fields, "protocol").Fields[0].Fields)
	angle := at(at(at(at(form.Fields, "tooth").Fields, "canals").Fields, "MB").Fields, "angle")
	if angle.Unit != "deg" || angle.Norm == "" || angle.Given || !slices.Equal(angle.Path, path("tooth/canals/MB/angle")) {
		t.Errorf("got %+v", angle)
	}
}

// TestFormOfPlan holds that a form knows the fields of each action.
func TestFormOfPlan(t *testing.T) {
	d := opened(t, "format: 1\nname: p\nsteps:\n  - isolate: {tooth: 46}\n  - repeat:\n      times: 2\n      steps:\n        - wait: {time: 30 s}\n  - use: {technique: step-back, canal: MB, length: 20 mm}\n")
	steps := d.Form("lower-first-molar").Fields[5].Fields
	if len(steps) != 3 || steps[0].Title != "isolate 46" || steps[0].Fields[0].Key != "tooth" || steps[0].Fields[0].Value != "46" {
		t.Fatalf("got %+v", steps)
	}
	inner := steps[1].Fields[1].Fields
	if len(inner) != 1 || !slices.Equal(inner[0].Fields[0].Path, path("steps/1/repeat/steps/0/wait/time")) {
		t.Errorf("got %+v", inner)
	}
	next, err := d.Set(path("steps/1/repeat/steps/0/wait/time"), text("40 s"))
	if err != nil || !strings.Contains(string(next.Text()), "- wait: {time: 40 s}") {
		t.Errorf("got %v", err)
	}
	for _, choice := range d.Form("lower-first-molar").Fields[5].Add {
		added, err := d.AddChoice(path("steps"), choice.Name, "", "lower-first-molar")
		if err != nil {
			t.Errorf("%s: %v", choice.Name, err)
			continue
		}
		if _, err := scenario.ParsePlan("x.yaml", added.Text()); err != nil {
			t.Errorf("%s begins with a fault: %v", choice.Name, err)
		}
	}
}

// TestAddedItemsAreSound adds everything that a form offers to add to the starter of every kind of tooth,
// each twice: nothing of it is a fault but that the points no longer add up.
func TestAddedItemsAreSound(t *testing.T) {
	for _, kind := range anatomy.Kinds() {
		d, err := scenario.NewDocument("x.yaml", []byte(scenario.Starter(kind)))
		if err != nil {
			t.Fatal(err)
		}
		if d, err = d.Remove(path("total")); err != nil {
			t.Fatal(err)
		}
		form := d.Form("")
		for _, list := range []string{"rules", "protocol", "tray", "findings"} {
			field := form.Fields[slices.IndexFunc(form.Fields, func(f scenario.Field) bool { return f.Key == list })]
			for _, choice := range append(field.Add, field.Add...) {
				words := map[string]string{"protocol": "irrigate edta", "tray": "hand-steel-10.02", "findings": "cold hurts"}[list]
				if choice.Name == "use" {
					continue // needs a file
				}
				if d, err = d.AddChoice(path(list), choice.Name, words, ""); err != nil {
					t.Fatalf("%s: %s: %v", kind, choice.Name, err)
				}
			}
		}
		for _, canal := range form.Fields[8].Fields[2].Add {
			if d, err = d.AddChoice(path("tooth/canals"), canal.Name, "", ""); err != nil {
				t.Fatal(err)
			}
			if d, err = d.AddChoice(path("tooth/canals/"+canal.Name+"/calcified"), "calcified", "", ""); err != nil {
				t.Fatal(err)
			}
			d, err = d.Remove(path("tooth/canals/" + canal.Name)) // not all names go together
			if err != nil {
				t.Fatal(err)
			}
		}
		for _, c := range [][3]string{{"texts", "", "de"}, {"quiz", "text", "needle-depth"}, {"quiz", "quiz", ""}} {
			if d, err = d.AddChoice(path(c[0]), c[1], c[2], ""); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := scenario.Parse("x.yaml", d.Text()); err != nil {
			t.Errorf("%s: %v\n%s", kind, err, d.Text())
		}
	}
}

// TestNotices holds at which field a fault is told, and the word that was probably meant.
func TestNotices(t *testing.T) {
	for _, c := range []struct{ file, path, likely string }{
		{"format: 1\nname: x\ntooth: {kind: lower-first-moler}\n", "tooth/kind", "lower-first-molar"},
		{"format: 1\nname: x\ntooth:\n  kind: lower-first-molar\n  canals:\n    MB: {angle: 95 deg}\n", "tooth/canals/MB/angle", ""},
		{"format: 1\nname: x\ntooth:\n  kind: lower-first-molar\n  number: 36\n  age: forty\n", "tooth/age", ""},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\nrules:\n  - id: a\n    points: 3\n    when: true\n  - points: 3\n    when: true\n", "rules/1/id", ""},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\nrules:\n  - id: a\n    points: 3\n    metric: transport_apical_m\n    full: \"< 1 mm\"\n", "rules/0/metric", "transport_apical_mm"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\ntray: [hand-steel-10.03]\n", "tray/0", "hand-steel-10.02"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\ntotal: 10\nrules:\n  - {id: a, points: 3, when: true}\n", "total", "3"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine, age: 20..30 yeas}\n", "tooth/age", "20..30 years"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\nrules:\n  - {id: a, points: 3, when: 'did(\"isolat\")'}\n", "rules/0/when", "did(\"isolate\")"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine, age: 20..30}\n", "tooth/age", "20..30 years"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine, age: 20}\n", "tooth/age", "20 years"},
		{"format: 1\nname: x\ntooth: {kind: lower-canine, length: '26,5 mm'}\n", "tooth/length", "26.5 mm"},
		{"name: x\ntooth: {kind: lower-canine}\n", "format", ""},
		{"format: 1\nname: x\ntooth: {kind: lower-canine}\nlesions: no\n", "lesions", ""},
	} {
		_, err := scenario.Parse("x.yaml", []byte(c.file))
		faults, isFaults := err.(scenario.Faults) //nolint:errorlint // the contract is the type itself
		if !isFaults || len(faults) == 0 {
			t.Fatalf("%s: no fault", c.path)
		}
		n := opened(t, c.file).Notices(faults, false)[0]
		if got := n.Path.String(); got != c.path || n.Likely != c.likely {
			t.Errorf("%s: got %s, likely %q, want %q", c.path, got, n.Likely, c.likely)
		}
	}
}

// TestDefaultsAreTrue holds that a scenario in which every setting is written with its default in the form
// is the case that leaves them all out.
func TestDefaultsAreTrue(t *testing.T) {
	d := opened(t, "format: 1\nname: x\ntooth: {kind: lower-canine}\n")
	plain, err := scenario.Parse("x.yaml", d.Text())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range d.Form("").Fields {
		for _, f := range append([]scenario.Field{f}, f.Fields...) {
			if f.Default == "" {
				continue
			}
			if d, err = d.Set(f.Path, text(f.Default)); err != nil {
				t.Fatal(err)
			}
		}
	}
	written, err := scenario.Parse("x.yaml", d.Text())
	if err != nil {
		t.Fatal(err)
	}
	a, err := plain.Case(plain.Seed())
	if err != nil {
		t.Fatal(err)
	}
	b, err := written.Case(written.Seed())
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(b.Settings.Around.BackPressure-a.Settings.Around.BackPressure) < 0.01 { // Pa; 30 mmHg by two factors
		b.Settings.Around.BackPressure = a.Settings.Around.BackPressure
	}
	b.Digest = a.Digest
	if !reflect.DeepEqual(a, b) {
		t.Errorf("got %+v, want %+v", b.Settings, a.Settings)
	}
	if n := strings.Count(string(d.Text()), "\n"); n < 30 {
		t.Errorf("only %d lines", n)
	}
}

// TestParseIn holds that a text is read as the file it is to become.
func TestParseIn(t *testing.T) {
	files := fstest.MapFS{"rules/a.yaml": {Data: []byte("format: 1\nrules:\n  - {id: a, points: 3, when: true}\n")}}
	s, err := scenario.ParseIn(files, "here/", "my-case.yaml", []byte("format: 1\ntooth: {kind: lower-canine}\nrules: [{use: rules/a.yaml}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	if used := s.Used(); s.Name() != "my-case" || len(used) != 1 || used[0] != (scenario.Used{File: "here/rules/a.yaml", Rules: 1, Points: 3}) {
		t.Errorf("got %s, %+v", s.Name(), used)
	}
	folder := t.TempDir()
	technique := "format: 1\ntechnique: mine\nsteps:\n  - wipe: {with: hand-steel-15.02}\n"
	if err := os.WriteFile(filepath.Join(folder, "mine.yaml"), []byte(technique), 0o600); err != nil {
		t.Fatal(err)
	}
	plan, err := scenario.ParsePlanIn(folder, "p.yaml", []byte("format: 1\nname: p\nsteps: [{use: {technique: mine.yaml, canal: MB, length: 20 mm}}]\n"))
	if err != nil || len(plan.Steps) != 1 {
		t.Errorf("got %d steps, %v", len(plan.Steps), err)
	}
}

// TestFormRenames holds which other names the form offers for words that are not known where they stand.
func TestFormRenames(t *testing.T) {
	d := opened(t, "format: 1\npulp: vital\ntoth: {kind: upper-first-molar}\nlesions: no\ntooth:\n  kind: upper-first-molar\n  canals: {MP: , MB: {angel: 20 deg}}\n")
	form := d.Form("")
	found := map[string]string{}
	var walk func(fields []scenario.Field)
	walk = func(fields []scenario.Field) {
		for _, f := range fields {
			if f.Rename != nil {
				found[f.Rename.Path.String()] = f.Rename.Likely
				if slices.Contains(f.Rename.Names, "format") || slices.Contains(f.Rename.Names, "MB") {
					t.Errorf("%s: a name that is given already is offered", f.Path)
				}
			}
			walk(f.Fields)
		}
	}
	walk(form.Fields)
	plan := opened(t, "format: 1\nname: p\nsteps:\n  - isolat: {tooth: 46}\n").Form("")
	walk(plan.Fields)
	want := map[string]string{"toth": "", "lesions": "lesion", "tooth/canals/MP": "MB2", "tooth/canals/MB/angel": "angle", "steps/0/isolat": "isolate"}
	for at, likely := range want {
		if got, offered := found[at]; !offered || likely != "" && at != "tooth/canals/MP" && got != likely {
			t.Errorf("%s: offered %v, likely %q, want %q", at, offered, got, likely)
		}
	}
	if len(found) != len(want) {
		t.Errorf("offered at %v", found)
	}
	if sort := opened(t, "toth: {kind: lower-canine}\npulp: vital\nrules: []\n").Sort(); sort != "scenario" {
		t.Errorf("a case with a misspelt tooth is taken for a %s", sort)
	}
}
