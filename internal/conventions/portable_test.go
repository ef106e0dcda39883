package conventions_test

import (
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/types"
	"io"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// exact lists the functions of math that give the same bits on every target; everything else comes
// from detmath. Constants of math are all exact.
var exact = []string{
	"Sqrt", "Abs", "Floor", "Ceil", "Trunc", "RoundToEven", "Mod", "Min", "Max", "Copysign", "Ldexp",
	"Frexp", "IsNaN", "IsInf", "Inf", "NaN", "Float64bits", "Float64frombits", "FMA",
}

// sortedMark excuses a range over a map whose order does not reach the result; a reason follows.
var sortedMark = regexp.MustCompile(`^//conventions:sorted \S`)

// checked is an engine package with its types known.
type checked struct {
	m      *module
	info   *types.Info
	scope  *types.Scope
	marks  map[string]bool // places of sortedMark
	faults *[]fault
}

// fault is a place in a source and what is wrong there.
type fault struct{ place, what string }

// TestEngineIsDeterministic looks in the engine for what may come out differently on another
// target or in another run: functions of math with more than one implementation, the order of a
// map, goroutines, package variables that change, init.
func TestEngineIsDeterministic(t *testing.T) {
	m := load(t)
	for _, f := range m.changeable(t, m.enginePaths()) {
		t.Errorf("%s: %s", f.place, f.what)
	}
}

// TestEngineIsDeterministicControl runs the same search over a package full of faults.
func TestEngineIsDeterministicControl(t *testing.T) {
	m := load(t)
	const file = "internal/conventions/testdata/portable/portable.go"
	var got []string
	for _, f := range m.changeable(t, []string{"./" + path.Dir(file)}) {
		got = append(got, f.place)
	}
	slices.Sort(got)
	if want := marked(t, m, file, regexp.MustCompile(`// fault$`)); !slices.Equal(slices.Compact(got), want) {
		t.Errorf("found faults at %v, want %v", got, want)
	}
}

// marked returns the places of the lines of a file that bear a mark.
func marked(t *testing.T, m *module, file string, mark *regexp.Regexp) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(m.root, file))
	if err != nil {
		t.Fatal(err)
	}
	var places []string
	for i, line := range strings.Split(string(text), "\n") {
		if mark.MatchString(line) {
			places = append(places, fmt.Sprintf("%s:%d", file, i+1))
		}
	}
	slices.Sort(places)
	return places
}

// changeable returns the faults of TestEngineIsDeterministic in the packages.
func (m *module) changeable(t *testing.T, paths []string) []fault {
	t.Helper()
	exports := map[string]string{}
	for _, p := range m.list(t, append([]string{"-export", "-deps"}, paths...)...) {
		exports[p.ImportPath] = p.Export
	}
	lookup := func(path string) (io.ReadCloser, error) {
		if exports[path] == "" {
			return nil, fmt.Errorf("%s does not compile", path)
		}
		return os.Open(exports[path])
	}
	imports := importer.ForCompiler(m.fset, "gc", lookup)
	var faults []fault
	for _, p := range m.list(t, paths...) {
		faults = append(faults, m.checkPackage(t, p, imports)...)
	}
	return faults
}

// checkPackage finds the types of one package and walks over its files.
func (m *module) checkPackage(t *testing.T, p listed, imports types.Importer) []fault {
	t.Helper()
	var files []*ast.File
	for _, name := range p.GoFiles {
		file := filepath.Join(p.Dir, name)
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		parsed, err := parser.ParseFile(m.fset, m.relative(file), text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, parsed)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}
	config := types.Config{Importer: imports, Sizes: types.SizesFor("gc", runtime.GOARCH)}
	pkg, err := config.Check(p.ImportPath, m.fset, files, info)
	if err != nil {
		return []fault{{p.ImportPath, err.Error()}}
	}
	c := checked{m, info, pkg.Scope(), map[string]bool{}, new([]fault)}
	for _, file := range files {
		c.findMarks(file)
		ast.Inspect(file, c.visit)
	}
	return *c.faults
}

// findMarks notes the lines that a sortedMark excuses: its own and the next.
func (c checked) findMarks(file *ast.File) {
	for _, group := range file.Comments {
		for _, comment := range group.List {
			if sortedMark.MatchString(comment.Text) {
				p := c.m.fset.Position(comment.Pos())
				c.marks[fmt.Sprintf("%s:%d", p.Filename, p.Line)] = true
				c.marks[fmt.Sprintf("%s:%d", p.Filename, p.Line+1)] = true
			}
		}
	}
}

// visit judges one node of the syntax tree.
func (c checked) visit(node ast.Node) bool {
	switch node := node.(type) {
	case *ast.Ident:
		c.checkUse(node)
	case *ast.RangeStmt:
		c.checkRange(node)
	case *ast.GoStmt:
		c.report(node, "starts a goroutine")
	case *ast.SelectStmt:
		c.report(node, "waits for one of several channels")
	case *ast.FuncDecl:
		if node.Recv == nil && node.Name.Name == "init" {
			c.report(node, "has an init function")
		}
	case *ast.AssignStmt:
		for _, left := range node.Lhs {
			c.checkAssigned(left)
		}
	case *ast.IncDecStmt:
		c.checkAssigned(node.X)
	}
	return true
}

// report notes a fault.
func (c checked) report(node ast.Node, what string) {
	*c.faults = append(*c.faults, fault{c.m.at(node.Pos()), what})
}

// checkUse refuses functions of math that are not exact.
func (c checked) checkUse(name *ast.Ident) {
	f, ok := c.info.Uses[name].(*types.Func)
	if ok && f.Pkg() != nil && f.Pkg().Path() == "math" && !slices.Contains(exact, f.Name()) {
		c.report(name, "math."+f.Name()+" is not the same on every target: use detmath")
	}
}

// checkRange refuses a loop whose order is that of a map.
func (c checked) checkRange(loop *ast.RangeStmt) {
	if c.marks[c.m.at(loop.Pos())] {
		return
	}
	if _, isMap := types.Unalias(c.info.TypeOf(loop.X)).Underlying().(*types.Map); isMap {
		c.report(loop, "ranges over a map: sort the keys, or say why the order is of no account: //conventions:sorted WHY")
	}
	call, ok := loop.X.(*ast.CallExpr)
	if !ok {
		return
	}
	if called, ok := call.Fun.(*ast.SelectorExpr); ok {
		if f := c.info.Uses[called.Sel]; f != nil && f.Pkg() != nil && f.Pkg().Path() == "maps" {
			c.report(loop, "ranges over maps."+f.Name()+": use slices.Sorted")
		}
	}
}

// checkAssigned refuses a change to a package variable or a part of one.
func (c checked) checkAssigned(left ast.Expr) {
	for {
		switch part := left.(type) {
		case *ast.SelectorExpr:
			left = part.X
		case *ast.IndexExpr:
			left = part.X
		case *ast.StarExpr:
			left = part.X
		case *ast.ParenExpr:
			left = part.X
		case *ast.Ident:
			if v, ok := c.info.Uses[part].(*types.Var); ok && v.Parent() == c.scope {
				c.report(part, "changes the package variable "+part.Name)
			}
			return
		default:
			return
		}
	}
}
