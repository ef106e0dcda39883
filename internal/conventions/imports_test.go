package conventions_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tugback/internal/conventions"
)

var update = flag.Bool("update", false, "rewrite the import table in DEVELOPERS.md")

const (
	tableBegin = "<!-- import table: rewritten by go test ./internal/conventions -update -->\n"
	tableEnd   = "<!-- end of import table -->\n"
)

// portable lists what the engine may import from outside this repository. Whatever is not here is
// refused: the clock, files, the network, goroutines, random numbers whose algorithm is not ours,
// YAML.
var portable = []string{
	"bytes", "cmp", "crypto/sha256", "embed", "encoding/binary", "encoding/csv", "encoding/hex",
	"encoding/json", "errors", "fmt", "hash", "io", "iter", "maps", "math", "math/bits", "reflect",
	"regexp", "slices", "sort", "strconv", "strings", "unicode", "unicode/utf8",
	"github.com/ojrac/opensimplex-go", "github.com/expr-lang/expr", "github.com/expr-lang/expr/ast",
	"github.com/expr-lang/expr/conf", "github.com/expr-lang/expr/file", "github.com/expr-lang/expr/parser",
	"github.com/expr-lang/expr/vm",
	"sync", // OnceValue of tables only
}

// own lists for each package of this repository the packages of this repository that it imports,
// both without the module's name.
func own(t *testing.T) map[string][]string {
	t.Helper()
	table := map[string][]string{}
	for _, p := range load(t).list(t, "./...") {
		var imports []string
		for _, path := range p.Imports {
			if short, found := strings.CutPrefix(path, modulePath+"/"); found {
				imports = append(imports, short)
			}
		}
		slices.Sort(imports)
		table[strings.TrimPrefix(p.ImportPath, modulePath+"/")] = imports
	}
	return table
}

// TestImportTable compares the table in DEVELOPERS.md with what the packages import; -update
// rewrites the table, and the change is reviewed.
func TestImportTable(t *testing.T) {
	file := filepath.Join(load(t).root, "DEVELOPERS.md")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(text), tableBegin)
	got, after, closed := strings.Cut(rest, tableEnd)
	if !found || !closed {
		t.Fatalf("DEVELOPERS.md lacks the lines %q and %q around its import table", tableBegin, tableEnd)
	}
	want := importTable(own(t))
	if got == want {
		return
	}
	if *update {
		if err := os.WriteFile(file, []byte(before+tableBegin+want+tableEnd+after), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("DEVELOPERS.md differs from what is imported; if the new import is meant, run\n"+
		"go test ./internal/conventions -update\ngot\n%s\nwant\n%s", got, want)
}

// importTable lays the table out in the order of the layers.
func importTable(table map[string][]string) string {
	var text strings.Builder
	text.WriteString("| package | imports of this repository |\n| --- | --- |\n")
	for _, name := range byLayer(table) {
		imports := "none"
		if list := table[name]; len(list) > 0 {
			imports = strings.ReplaceAll(strings.Join(list, " "), "internal/", "")
		}
		fmt.Fprintf(&text, "| %s | %s |\n", name, imports)
	}
	return text.String()
}

// byLayer returns the packages of the table: layers first, then the others by name.
func byLayer(table map[string][]string) []string {
	var names []string
	for _, layer := range conventions.Layers() {
		if _, found := table["internal/"+layer]; found {
			names = append(names, "internal/"+layer)
		}
	}
	var others []string
	for name := range table {
		if !slices.Contains(names, name) {
			others = append(others, name)
		}
	}
	slices.Sort(others)
	return append(names, others...)
}

// TestImportsPointUpwards holds the arrows: a layer imports only layers above it; ui, server and
// cli know nothing of each other and only cmd knows them and the store.
func TestImportsPointUpwards(t *testing.T) {
	layers := conventions.Layers()
	forCmdOnly := []string{"store", "ui", "server", "class", "cli"}
	for name, imports := range own(t) {
		layer := strings.TrimPrefix(name, "internal/")
		place := slices.Index(layers, layer)
		for _, imported := range imports {
			target, internal := strings.CutPrefix(imported, "internal/")
			if strings.HasPrefix(name, "cmd/") || !internal {
				continue
			}
			if slices.Contains(forCmdOnly, target) {
				t.Errorf("%s imports %s, which only cmd may import", name, imported)
			} else if above := slices.Index(layers, target); above < 0 || above >= place {
				t.Errorf("%s imports %s, which is no layer above it", name, imported)
			}
		}
		if isInternal := layer != name; isInternal && place < 0 && layer != "conventions" {
			t.Errorf("%s is no layer of conventions.Layers", name)
		}
	}
}

// TestEngineUsesOnlyPortableParts holds what the engine may import from outside.
func TestEngineUsesOnlyPortableParts(t *testing.T) {
	m := load(t)
	for _, p := range m.list(t, m.enginePaths()...) {
		for _, path := range p.Imports {
			if !strings.HasPrefix(path, modulePath+"/internal/") && !slices.Contains(portable, path) {
				t.Errorf("%s imports %s, which the engine may not", p.ImportPath, path)
			}
		}
	}
}

// TestReservedLibraries keeps a library that has one place in that place.
func TestReservedLibraries(t *testing.T) {
	reserved := []struct{ library, owner, why string }{
		{"gopkg.in/yaml.v3", "internal/scenario", "one reader gives every fault its place"},
		{"github.com/hajimehoshi/ebiten/v2", "internal/ui", "it panics at start without a display"},
		{"github.com/expr-lang/expr", "internal/marking", "rules use only operators that are the same everywhere"},
		{"modernc.org/sqlite", "internal/store internal/class", "it does not build for wasm"},
		{"github.com/jackc/pgx/v5", "internal/class", "one package speaks to PostgreSQL"},
	}
	for _, p := range load(t).list(t, "./...") {
		for _, r := range reserved {
			uses := slices.ContainsFunc(p.Imports, func(path string) bool {
				return path == r.library || strings.HasPrefix(path, r.library+"/")
			})
			if name := strings.TrimPrefix(p.ImportPath, modulePath+"/"); uses && !slices.Contains(strings.Fields(r.owner), name) {
				t.Errorf("%s imports %s, which only %s may: %s", name, r.library, r.owner, r.why)
			}
		}
	}
}

// TestProgramNeedsNoDisplay keeps libraries that need a display, and floating-point libraries with
// assembly, out of programs and packages that must do without, however far down they come from.
func TestProgramNeedsNoDisplay(t *testing.T) {
	m := load(t)
	for _, p := range m.list(t, append(m.enginePaths(), "./cmd/tugback")...) {
		for _, path := range p.Deps {
			display := strings.HasPrefix(path, "github.com/hajimehoshi/")
			inexact := strings.HasPrefix(path, "gonum.org/") && strings.HasPrefix(p.ImportPath, modulePath+"/internal/")
			if display || inexact {
				t.Errorf("%s depends on %s", p.ImportPath, path)
			}
		}
	}
}

// TestDependenciesHaveReasons holds that DEVELOPERS.md gives a line of reason for each module that
// go.mod requires directly, and for no other.
func TestDependenciesHaveReasons(t *testing.T) {
	m := load(t)
	text, err := os.ReadFile(filepath.Join(m.root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	required, err := os.ReadFile(filepath.Join(m.root, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	direct := map[string]bool{}
	for _, match := range requirement.FindAllStringSubmatch(string(required), -1) {
		direct[match[1]] = true
		if !strings.Contains(string(text), "\n| "+match[1]+" | ") {
			t.Errorf("DEVELOPERS.md gives no reason for %s", match[1])
		}
	}
	for _, match := range reason.FindAllStringSubmatch(string(text), -1) {
		if !direct[match[1]] {
			t.Errorf("DEVELOPERS.md gives a reason for %s, which go.mod does not require directly", match[1])
		}
	}
}

var (
	// requirement matches a direct requirement in go.mod.
	requirement = regexp.MustCompile(`(?m)^(?:require)?\s+([\w./-]+\.[\w./-]+) v[\w.+-]+$`)

	// reason matches a row of the table of dependencies.
	reason = regexp.MustCompile(`(?m)^\| ([a-z]+\.[a-z]+/[\w./-]+) \| `)
)
