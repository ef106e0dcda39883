package conventions_test

import (
	"go/ast"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// row is a line of the table of published rows in DEVELOPERS.md: their ids, what they say, their tests, standing.
var row = regexp.MustCompile(`(?m)^\| ((?:[A-Z]\d+)(?:, [A-Z]\d+)*) \| [^|]+ \| ((?:` + "`Test\\w+`" + `(?:, )?)+) \| [^|]+ \|$`)

// TestRowsAreTested holds that every test that the table of published rows names exists, and that of the tests of a
// row at least one names it in its comment or its body, where its source stands.
func TestRowsAreTested(t *testing.T) {
	m := load(t)
	text, err := os.ReadFile(filepath.Join(m.root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	bodies := m.tests(t)
	rows := row.FindAllStringSubmatch(string(text), -1)
	if len(rows) < 30 {
		t.Fatalf("DEVELOPERS.md has %d rows of published numbers", len(rows))
	}
	for _, r := range rows {
		for _, id := range strings.Split(r[1], ", ") {
			cited := false
			for _, name := range strings.Split(strings.ReplaceAll(r[2], "`", ""), ", ") {
				body, found := bodies[name]
				if !found {
					t.Errorf("%s: there is no %s", id, name)
				}
				cited = cited || regexp.MustCompile(`\b`+id+`\b`).MatchString(body)
			}
			if !cited {
				t.Errorf("%s: none of %s names the row", id, r[2])
			}
		}
	}
}

// tests returns the text of every test with its comment, by its name; of tests alike named, all together.
func (m *module) tests(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, s := range m.sources {
		if !s.isTest() {
			continue
		}
		text, err := os.ReadFile(filepath.Join(m.root, s.path))
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range s.file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || !strings.HasPrefix(f.Name.Name, "Test") {
				continue
			}
			from := f.Pos()
			if f.Doc != nil {
				from = f.Doc.Pos()
			}
			out[f.Name.Name] += string(text[m.fset.Position(from).Offset:m.fset.Position(f.End()).Offset])
		}
	}
	return out
}
