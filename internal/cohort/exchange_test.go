package cohort_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/dlclark/regexp2"
	"github.com/google/uuid"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"tugback/internal/cohort"
)

// xapi writes the statements of the invented class.
func xapi(t *testing.T) []byte {
	t.Helper()
	x := cohort.DefaultXAPI()
	x.Files = "https://files.invalid/exports"
	var b bytes.Buffer
	if err := cohort.WriteXAPI(&b, invented(), x); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestXAPI: the same bytes again; and what neither schema nor rule code looks at: true ids, each once, times
// in UTC with milliseconds, component ids each once, at most two decimals of a duration, the order of verbs.
func TestXAPI(t *testing.T) {
	text := xapi(t)
	if !bytes.Equal(text, xapi(t)) {
		t.Error("written again, the statements differ")
	}
	var all []cohort.Statement
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	stamp := regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$`)
	length := regexp.MustCompile(`^PT\d+(\.\d{1,2})?S$`)
	for _, s := range all {
		id, err := uuid.Parse(s.ID)
		if err != nil || id.Version() != 5 || id.Variant() != uuid.RFC4122 || seen[s.ID] {
			t.Errorf("id %s", s.ID)
		}
		seen[s.ID] = true
		if !stamp.MatchString(s.Timestamp) {
			t.Errorf("timestamp %s", s.Timestamp)
		}
		if s.Result != nil && s.Result.Duration != "" && !length.MatchString(s.Result.Duration) {
			t.Errorf("duration %s", s.Result.Duration)
		}
		parts := map[string]bool{}
		if d := s.Object.Definition; d != nil {
			for _, c := range append(append(d.Choices, d.Steps...), d.Source...) {
				if parts[c.ID] {
					t.Errorf("component %s twice", c.ID)
				}
				parts[c.ID] = true
			}
		}
	}
	first, last := all[0], all[len(all)-1]
	if !strings.HasSuffix(first.Verb.ID, "/initialized") || !strings.HasSuffix(last.Verb.ID, "/terminated") || len(last.Attachments) != 1 {
		t.Errorf("first %s, last %s", first.Verb.ID, last.Verb.ID)
	}
	c := invented()
	c.Sittings[0].Ended = c.Sittings[0].Started.Add(-1)
	if err := cohort.WriteXAPI(&bytes.Buffer{}, c, cohort.DefaultXAPI()); err == nil {
		t.Error("a sitting that ends before it begins is told")
	}
}

// registry fetches a package into a folder by npm. Such tests need the network, so they run where they are
// asked for: TUGBACK_REGISTRY=1.
func registry(t *testing.T, args ...string) string {
	t.Helper()
	if os.Getenv("TUGBACK_REGISTRY") == "" {
		t.Skip("not asked for: TUGBACK_REGISTRY=1 fetches the package from its registry")
	}
	folder := t.TempDir()
	command := exec.Command("npm", args...)
	command.Dir = folder
	if out, err := command.CombinedOutput(); err != nil {
		t.Fatalf("npm %v: %v\n%s", args, err, out)
	}
	return folder
}

// mutants are changes of a valid statement with whether the schema and the rule code refuse them.
func mutants() map[string]struct {
	change        func(map[string]any)
	schema, rules bool
} {
	type m = map[string]any
	result := func(key string, value any) func(m) { return func(s m) { s["result"].(m)[key] = value } }
	score := func(key string, value any) func(m) { return func(s m) { s["result"].(m)["score"].(m)[key] = value } }
	return map[string]struct {
		change        func(m)
		schema, rules bool
	}{
		"scaled 1.01":           {score("scaled", 1.01), true, true},
		"scaled as text":        {score("scaled", "0.5"), true, true},
		"success as text":       {result("success", "true"), true, true},
		"no verb":               {func(s m) { delete(s, "verb") }, true, true},
		"verb without scheme":   {func(s m) { s["verb"].(m)["id"] = "passed" }, true, true},
		"unknown property":      {func(s m) { s["more"] = 1 }, true, true},
		"raw above max":         {score("raw", 1000), false, true},
		"weeks and days":        {result("duration", "P4W1D"), false, true},
		"three decimals":        {result("duration", "PT12.345S"), true, false},
		"bad id":                {func(s m) { s["id"] = "x" }, true, true},
		"wrong variant of id":   {func(s m) { s["id"] = "12345678-1234-5678-1234-567812345678" }, false, true},
		"offset of minus zero":  {func(s m) { s["timestamp"] = "2026-06-01T09:00:00.000-00:00" }, false, true},
		"two ways to say whom":  {func(s m) { s["actor"].(m)["mbox"] = "mailto:a@b.invalid" }, true, true},
		"2.0's property in 1.0": {func(s m) { s["context"].(m)["contextAgents"] = []any{} }, true, true},
	}
}

// last returns the passed or failed statement of the first sitting, decoded anew.
func verdictOf(t *testing.T) map[string]any {
	t.Helper()
	var all []map[string]any
	if err := json.Unmarshal(xapi(t), &all); err != nil {
		t.Fatal(err)
	}
	for _, s := range all {
		id := s["verb"].(map[string]any)["id"].(string)
		if strings.HasSuffix(id, "/passed") || strings.HasSuffix(id, "/failed") {
			return s
		}
	}
	t.Fatal("no passed or failed")
	return nil
}

// TestXAPIAgainstSchema holds every statement against the JSON Schema of npm tin-can-json-schema 2.0.0
// (Apache-2.0), and that the schema refuses what it should: a check that cannot fail is none.
func TestXAPIAgainstSchema(t *testing.T) {
	folder := registry(t, "pack", "--silent", "tin-can-json-schema@2.0.0")
	if out, err := exec.Command("tar", "xzf", filepath.Join(folder, "tin-can-json-schema-2.0.0.tgz"), "-C", folder).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	schema := compile(t, filepath.Join(folder, "package"))
	var all []any
	if err := json.Unmarshal(xapi(t), &all); err != nil {
		t.Fatal(err)
	}
	for i, s := range all {
		if err := schema.Validate(s); err != nil {
			t.Fatalf("statement %d: %v", i, err)
		}
	}
	for name, m := range mutants() {
		s := verdictOf(t)
		m.change(s)
		if refused := schema.Validate(s) != nil; refused != m.schema {
			t.Errorf("%s: refused %v, want %v", name, refused, m.schema)
		}
	}
}

// expression is a regular expression of ECMAScript, which the schema's formats need.
type expression struct{ *regexp2.Regexp }

func (e expression) MatchString(s string) bool {
	ok, err := e.Regexp.MatchString(s)
	return ok && err == nil
}

func newExpression(s string) (jsonschema.Regexp, error) {
	re, err := regexp2.Compile(s, regexp2.ECMAScript)
	return expression{re}, err
}

func compile(t *testing.T, folder string) *jsonschema.Schema {
	t.Helper()
	read := func(name string) []byte {
		text, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	compiler := jsonschema.NewCompiler()
	compiler.DefaultDraft(jsonschema.Draft4)
	compiler.AssertFormat()
	compiler.UseRegexpEngine(newExpression)
	var formats map[string]string
	if err := json.Unmarshal(read("formats.json"), &formats); err != nil {
		t.Fatal(err)
	}
	for name, pattern := range formats {
		re, err := newExpression(pattern)
		if err != nil {
			t.Fatalf("format %s: %v", name, err)
		}
		compiler.RegisterFormat(&jsonschema.Format{Name: name, Validate: func(v any) error {
			if s, is := v.(string); is && !re.MatchString(s) {
				return os.ErrInvalid
			}
			return nil
		}})
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(read("1.0.1.json")))
	if err != nil {
		t.Fatal(err)
	}
	if err := compiler.AddResource("mem:///xapi.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("mem:///xapi.json#/properties/statement")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// TestXAPIRules holds every statement and every mutation against the rule code of npm
// @learninglocker/xapi-validation 3.0.0 (MIT).
func TestXAPIRules(t *testing.T) {
	folder := registry(t, "install", "--silent", "--no-audit", "--no-fund", "@learninglocker/xapi-validation@3.0.0")
	var list []any
	if err := json.Unmarshal(xapi(t), &list); err != nil {
		t.Fatal(err)
	}
	honest := len(list)
	var names []string
	for name, m := range mutants() {
		s := verdictOf(t)
		m.change(s)
		list, names = append(list, s), append(names, name)
	}
	text, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	script := `const f=require('@learninglocker/xapi-validation/dist/factory');
let t='';process.stdin.on('data',d=>t+=d).on('end',()=>console.log(JSON.stringify(JSON.parse(t).map(s=>f.statement(s,['statement']).map(String)))));`
	command := exec.Command("node", "-e", script)
	command.Dir, command.Stdin = folder, bytes.NewReader(text)
	out, err := command.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var warnings [][]string
	if err := json.Unmarshal(out, &warnings); err != nil {
		t.Fatal(err)
	}
	for i, w := range warnings {
		if i < honest && len(w) > 0 {
			t.Fatalf("statement %d: %v", i, w)
		}
		if i >= honest {
			name := names[i-honest]
			if refused := len(w) > 0; refused != mutants()[name].rules {
				t.Errorf("%s: refused %v, want %v (%v)", name, refused, mutants()[name].rules, w)
			}
		}
	}
}

// TestNCName: identifiers of XML, different for different ids.
func TestNCName(t *testing.T) {
	for in, want := range map[string]string{"c1": "c1", "7f3a": "P-7f3a", "a b": "a_20_b", "": "P-", "é": "P-_e9_", "a/b": "a_2f_b"} {
		if got := cohort.NCName(in); got != want {
			t.Errorf("NCName(%q): got %q, want %q", in, got, want)
		}
	}
}

// TestQTI: the report is well formed and holds score, response and key. The standard's XSD is in no registry
// package and its licence is not cleared, so it is not held against it.
func TestQTI(t *testing.T) {
	c := invented()
	var b bytes.Buffer
	if err := cohort.WriteQTI(&b, c, c.Sittings[5]); err != nil {
		t.Fatal(err)
	}
	var report struct {
		XMLName xml.Name `xml:"http://www.imsglobal.org/xsd/imsqti_result_v3p0 assessmentResult"`
		Items   []struct {
			ID     string `xml:"identifier,attr"`
			Status string `xml:"sessionStatus,attr"`
			Given  string `xml:"responseVariable>candidateResponse>value"`
			Key    string `xml:"responseVariable>correctResponse>value"`
		} `xml:"itemResult"`
	}
	if err := xml.Unmarshal(b.Bytes(), &report); err != nil {
		t.Fatal(err)
	}
	if len(report.Items) != 4 || report.Items[2].Given != "a" || report.Items[2].Key != "a" || report.Items[3].Given != "20.25" || report.Items[0].Status != "final" {
		t.Errorf("got %+v", report.Items)
	}
}

// TestSpreadsheet opens the long table in LibreOffice, saves it as a spreadsheet and back as CSV, and
// compares every cell: nothing is lost and nothing has run as a formula.
func TestSpreadsheet(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("soffice is not installed (Debian package libreoffice-calc)")
	}
	if testing.Short() {
		t.Skip("starts LibreOffice twice")
	}
	folder := t.TempDir()
	var b bytes.Buffer
	class := invented() // with ids that a spreadsheet would turn into other ones
	for i, id := range []string{"007", "1E5", "1-2", "MAR1", "12345678901234567890"} {
		class.Sittings[i].Candidate = id
	}
	if err := cohort.LongCSV(&b, class); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "long.csv"), b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	convert := func(to, name, filter string) {
		args := []string{"-env:UserInstallation=file://" + folder + "/profile", "--headless"}
		if filter != "" {
			args = append(args, "--infilter="+filter)
		}
		out, err := exec.Command(office, append(args, "--convert-to", to, "--outdir", folder, filepath.Join(folder, name))...).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	convert("ods", "long.csv", "Text - txt - csv (StarCalc):44,34,76,1")
	if err := os.Remove(filepath.Join(folder, "long.csv")); err != nil {
		t.Fatal(err)
	}
	convert("csv:Text - txt - csv (StarCalc):44,34,76", "long.ods", "")
	back, err := os.Open(filepath.Join(folder, "long.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	got, err := csv.NewReader(back).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%d rows come back, %d went", len(got), len(want))
	}
	for i, row := range want {
		for k, cell := range row {
			if cohort.Fuse(got[i][k]) != cohort.Fuse(cell) {
				t.Errorf("row %d, %s: %q came back as %q", i+1, want[0][k], cell, got[i][k])
			}
		}
	}
}
