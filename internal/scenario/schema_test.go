package scenario_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"tugback/internal/scenario"
	"tugback/scenarios"
)

const schemaFile = "../../scenarios/scenario.schema.json"

// compiled compiles the schema.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(scenario.Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("scenario.schema.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("scenario.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func document(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// TestSchemaFile holds that the schema kept for editors is the program's; -update rewrites it.
func TestSchemaFile(t *testing.T) {
	if *update {
		if err := os.WriteFile(schemaFile, scenario.Schema(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(schemaFile)
	if err != nil || !bytes.Equal(kept, scenario.Schema()) {
		t.Errorf("scenarios/scenario.schema.json differs from the program's (%v); run go test ./internal/scenario -run TestSchemaFile -update", err)
	}
}

// TestSchemaTakesShippedFiles holds every shipped file against the schema as an editor would, and the good
// files of testdata.
func TestSchemaTakesShippedFiles(t *testing.T) {
	schema := compiled(t)
	files := 0
	err := fs.WalkDir(scenarios.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".yaml") || strings.HasPrefix(name, "quiz/") {
			return err
		}
		text, err := fs.ReadFile(scenarios.Files, name)
		if err != nil {
			return err
		}
		files++
		if err := schema.Validate(document(t, text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		return nil
	})
	if err != nil || files < 10 {
		t.Errorf("%d files, %v", files, err)
	}
	for _, folder := range []string{"ok", "plan-ok"} {
		for _, name := range goodFiles(t, folder) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := schema.Validate(document(t, text)); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

func goodFiles(t *testing.T, folder string) []string {
	t.Helper()
	return slices.DeleteFunc(files(t, folder), func(name string) bool { return strings.Contains(name, "/sets/") })
}

// TestSchemaRefuses holds that the schema sees what an editor is to underline.
func TestSchemaRefuses(t *testing.T) {
	schema := compiled(t)
	for name, text := range map[string]string{
		"unknown key":   "format: 1\ntooth: {kind: upper-canine}\npulps: vital\n",
		"unknown kind":  "format: 1\ntooth: {kind: upper-third-molar}\n",
		"unit missing":  "format: 1\ntooth: {kind: upper-canine, length: 26}\n",
		"wrong unit":    "format: 1\ntooth: {kind: upper-canine, length: 26 deg}\n",
		"no format":     "tooth: {kind: upper-canine}\n",
		"unknown field": "format: 1\nname: x\nsteps: [{isolate: {tooht: 13}}]\n",
		"two actions":   "format: 1\nname: x\nsteps: [{wait: {time: 3 s}, review: {days: 5 d}}]\n",
		"no instrument": "format: 1\ntray: [hand-steel-23.02]\n",
		"no such skip":  "format: 1\noperator: x\nskips: {damm: 3 %}\n",
	} {
		if err := schema.Validate(document(t, []byte(text))); err == nil {
			t.Errorf("%s: the schema takes\n%s", name, text)
		}
	}
}

// TestReferenceIsComplete holds that the reference has exactly the keys that the readers know, as they tell
// them about an unknown key, and that every key is explained by text and example.
func TestReferenceIsComplete(t *testing.T) {
	head := "format: 1\nname: x\ntooth: {kind: upper-canine}\n"
	probes := map[string]string{
		"scenario":    head + "zzz: 1\n",
		"tooth":       "format: 1\nname: x\ntooth: {kind: upper-canine, zzz: 1}\n",
		"canal":       "format: 1\nname: x\ntooth: {kind: upper-canine, canals: {canal: {zzz: 1}}}\n",
		"calcified":   "format: 1\nname: x\ntooth: {kind: upper-canine, canals: {canal: {calcified: [{zzz: 1}]}}}\n",
		"settings":    head + "settings: {zzz: 1}\n",
		"examination": head + "examination: {zzz: 1}\n",
		"protocol":    head + "protocol: [{zzz: 1}]\n",
		"rule":        head + "rules: [{zzz: 1}]\n",
	}
	allowed := regexp.MustCompile(`has no key "zzz"; allowed: ([^\[]*) \[key\]`)
	for _, g := range scenario.Reference() {
		var keys []string
		for _, e := range g.Entries {
			keys = append(keys, e.Key)
			if e.Text == "" || e.Value == "" || e.Example == "" {
				t.Errorf("%s %s is not explained: %+v", g.Name, e.Key, e)
			}
		}
		text, probed := probes[g.Name]
		if !probed {
			continue
		}
		_, err := scenario.Parse("x.yaml", []byte(text))
		if err == nil {
			t.Fatalf("%s: no fault", g.Name)
		}
		found := allowed.FindStringSubmatch(err.Error())
		if found == nil {
			t.Fatalf("%s: no list of keys in %v", g.Name, err)
		}
		listed, cut, _ := strings.Cut(found[1], " and ")
		known := strings.Split(listed, ", ")
		more := 0
		if _, err := fmt.Sscanf(cut, "%d more", &more); cut != "" && err != nil {
			t.Errorf("%s: a list ends in %q", g.Name, cut)
		}
		for _, key := range known {
			if !slices.Contains(keys, key) {
				t.Errorf("%s: the reader knows %s, the reference does not", g.Name, key)
			}
		}
		if len(known)+more != len(keys) {
			t.Errorf("%s: the reader knows %d keys and %d more, the reference\n%v", g.Name, len(known), more, keys)
		}
	}
}
