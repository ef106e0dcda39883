package conventions_test

import (
	"go/ast"
	"go/token"
	"regexp"
	"strings"
	"testing"
)

// TestPackageComments holds that every package says what it is for, in its first word of comment
// by name.
func TestPackageComments(t *testing.T) {
	m := load(t)
	found := map[string]bool{}
	for _, s := range m.sources {
		if s.isTest() {
			continue
		}
		want := "Package " + s.file.Name.Name + " "
		if s.file.Name.Name == "main" {
			want = "Command "
		}
		found[s.folder] = found[s.folder] || strings.HasPrefix(s.file.Doc.Text(), want)
	}
	for folder, documented := range found {
		if !documented {
			t.Errorf("%s has no package comment that begins as it should", folder)
		}
	}
}

// TestExportsAreDocumented holds that every exported function, method, type, constant and variable
// under internal has a comment of full sentences; that of a function, method or type begins with
// its name.
func TestExportsAreDocumented(t *testing.T) {
	m := load(t)
	for _, s := range m.sources {
		if s.isTest() || !strings.HasPrefix(s.path, "internal/") {
			continue
		}
		for _, d := range s.file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Name.IsExported() && exportedReceiver(d) {
					m.needSentence(t, d.Pos(), d.Name.Name, d.Name.Name, d.Doc)
				}
			case *ast.GenDecl:
				m.checkGroup(t, d)
			}
		}
	}
}

// checkGroup checks one const, var or type declaration. A group of constants or variables may be
// documented as a whole.
func (m *module) checkGroup(t *testing.T, group *ast.GenDecl) {
	t.Helper()
	for _, spec := range group.Specs {
		switch spec := spec.(type) {
		case *ast.TypeSpec:
			doc := spec.Doc
			if doc == nil && !group.Lparen.IsValid() {
				doc = group.Doc
			}
			if spec.Name.IsExported() {
				m.needSentence(t, spec.Pos(), spec.Name.Name, spec.Name.Name, doc)
			}
		case *ast.ValueSpec:
			for _, name := range spec.Names {
				if name.IsExported() {
					m.needValueDoc(t, name, group, spec)
				}
			}
		}
	}
}

// needValueDoc reports an exported constant or variable that neither has a comment of its own nor
// stands in a group with one.
func (m *module) needValueDoc(t *testing.T, name *ast.Ident, group *ast.GenDecl, spec *ast.ValueSpec) {
	t.Helper()
	switch {
	case !group.Lparen.IsValid():
		m.needSentence(t, name.Pos(), name.Name, name.Name, group.Doc)
	case spec.Doc != nil || spec.Comment != nil:
	default:
		m.needSentence(t, name.Pos(), name.Name, "", group.Doc)
	}
}

// needSentence reports a comment that is missing, does not begin with the word, or whose first
// paragraph does not end as a sentence does.
func (m *module) needSentence(t *testing.T, pos token.Pos, name, begin string, doc *ast.CommentGroup) {
	t.Helper()
	text := strings.TrimSpace(doc.Text())
	first, _, _ := strings.Cut(text, "\n\n")
	first = strings.TrimSpace(first)
	switch {
	case text == "":
		t.Errorf("%s: exported %s has no comment", m.at(pos), name)
	case begin != "" && !strings.HasPrefix(text, begin+" ") && !strings.HasPrefix(text, begin+"'s "):
		t.Errorf("%s: the comment of %s does not begin with its name", m.at(pos), name)
	case !strings.ContainsAny(first[len(first)-1:], ".:?"):
		t.Errorf("%s: the comment of %s does not begin with a full sentence", m.at(pos), name)
	}
}

// exportedReceiver reports whether a function is plain or a method of an exported type.
func exportedReceiver(f *ast.FuncDecl) bool {
	if f.Recv == nil {
		return true
	}
	receiver := f.Recv.List[0].Type
	if star, ok := receiver.(*ast.StarExpr); ok {
		receiver = star.X
	}
	if index, ok := receiver.(*ast.IndexExpr); ok {
		receiver = index.X
	}
	name, ok := receiver.(*ast.Ident)
	return ok && name.IsExported()
}

var (
	reminder = regexp.MustCompile(`\b(TODO|FIXME|XXX|HACK)\b`)
	numbered = regexp.MustCompile(`\b(TODO|FIXME|XXX|HACK)\b\W*#\d+`)
)

// TestRemindersHaveNumbers refuses reminders in comments that nobody can look up.
func TestRemindersHaveNumbers(t *testing.T) {
	m := load(t)
	for _, s := range m.sources {
		for _, group := range s.file.Comments {
			for _, c := range group.List {
				if len(reminder.FindAllString(c.Text, -1)) > len(numbered.FindAllString(c.Text, -1)) {
					t.Errorf("%s: a reminder without a number: %s", m.at(c.Pos()), c.Text)
				}
			}
		}
	}
}

// TestNamedTestsExist holds that a test that a comment names is there.
func TestNamedTestsExist(t *testing.T) {
	m := load(t)
	there := map[string]bool{}
	for _, s := range m.sources {
		for _, d := range s.file.Decls {
			if f, is := d.(*ast.FuncDecl); is && f.Recv == nil {
				there[f.Name.Name] = true
			}
		}
	}
	named := regexp.MustCompile(`\b(Test|Fuzz|Benchmark)[A-Z][A-Za-z0-9]+\b`)
	for _, s := range m.sources {
		for _, group := range s.file.Comments {
			for _, name := range named.FindAllString(group.Text(), -1) {
				if !there[name] {
					t.Errorf("%s: no test is called %s", m.fset.Position(group.Pos()), name)
				}
			}
		}
	}
}
