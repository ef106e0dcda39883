package conventions_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"tugback/internal/conventions"
)

// modulePath is the first word of every import path of this repository.
const modulePath = "tugback"

// source is one Go file of the repository, whatever its build tags.
type source struct {
	path   string // from the top of the repository, with slashes
	folder string
	text   []byte
	file   *ast.File
}

// isTest reports whether a file is compiled only for tests.
func (s source) isTest() bool { return strings.HasSuffix(s.path, "_test.go") }

// listed is what the go command says of a package.
type listed struct {
	ImportPath string
	Dir        string
	Name       string
	GoFiles    []string
	Imports    []string
	Deps       []string
	Export     string
}

// module is the repository as the tests see it.
type module struct {
	root    string
	fset    *token.FileSet
	sources []source
}

// loadModule reads every Go file once. The tests read the sources themselves even where a child
// process compiles them: go test repeats a stored result unless a file that the test itself opened
// has changed.
var loadModule = sync.OnceValues(func() (*module, error) {
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		return nil, err
	}
	m := &module{root: root, fset: token.NewFileSet()}
	err = filepath.WalkDir(root, m.visit)
	return m, err
})

// visit reads one folder entry of the walk over the repository.
func (m *module) visit(full string, entry fs.DirEntry, err error) error {
	if err != nil {
		return err
	}
	name := entry.Name()
	if entry.IsDir() && full != m.root && (name == "testdata" || strings.HasPrefix(name, ".")) {
		return filepath.SkipDir
	}
	if entry.IsDir() || filepath.Ext(name) != ".go" {
		return nil
	}
	text, err := os.ReadFile(full)
	if err != nil {
		return err
	}
	relative, err := filepath.Rel(m.root, full)
	if err != nil {
		return err
	}
	relative = filepath.ToSlash(relative)
	file, err := parser.ParseFile(m.fset, relative, text, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		return fmt.Errorf("parse: %w", err)
	}
	m.sources = append(m.sources, source{relative, path.Dir(relative), text, file})
	return nil
}

// load returns the repository or ends the test.
func load(t *testing.T) *module {
	t.Helper()
	m, err := loadModule()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// list asks the go command about packages of the repository. A pattern that matches nothing is no
// fault.
func (m *module) list(t *testing.T, args ...string) []listed {
	t.Helper()
	out := m.run(t, nil, append([]string{"list", "-e", "-json=ImportPath,Dir,Name,GoFiles,Imports,Deps,Export"}, args...)...)
	var packages []listed
	for decoder := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		err := decoder.Decode(&p)
		if errors.Is(err, io.EOF) {
			return packages
		}
		if err != nil {
			t.Fatalf("go list: %v", err)
		}
		packages = append(packages, p)
	}
}

// run starts the go command at the top of the repository and returns what it printed, or ends the
// test.
func (m *module) run(t *testing.T, env []string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command("go", args...)
	cmd.Dir, cmd.Env = m.root, append(os.Environ(), env...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go %s: %v\n%s", strings.Join(args, " "), err, stderr.String())
	}
	return out
}

// enginePaths returns the engine packages that hold Go files, as arguments of the go command.
func (m *module) enginePaths() []string {
	var paths []string
	for _, name := range conventions.Engine() {
		folder := "internal/" + name
		if slices.ContainsFunc(m.sources, func(s source) bool { return s.folder == folder && !s.isTest() }) {
			paths = append(paths, "./"+folder)
		}
	}
	return paths
}

// at names a place for an error message.
func (m *module) at(pos token.Pos) string {
	p := m.fset.Position(pos)
	return fmt.Sprintf("%s:%d", p.Filename, p.Line)
}

// lines returns how many lines a node covers.
func (m *module) lines(node ast.Node) int {
	return m.fset.Position(node.End()).Line - m.fset.Position(node.Pos()).Line + 1
}
