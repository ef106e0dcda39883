package conventions_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"strings"
	"testing"
)

// Limits in lines. A function fits a screen, a file tells one story.
const (
	functionLimit     = 70
	testFunctionLimit = 100
	fileLimit         = 700
	mainLimit         = 100
)

// oversize lists what is longer than the limits allow, as "file" or "file:function", each with its
// own limit and the reason. An entry goes when it is no longer needed; none is ever raised.
var oversize = []struct {
	what   string
	limit  int
	reason string
}{}

// measured is the length of a function or file beside what the general rule allows.
type measured struct {
	what         string
	lines, limit int
}

// measure returns the lengths of all functions and files.
func (m *module) measure() []measured {
	var all []measured
	for _, s := range m.sources {
		limit, perFunction := fileLimit, functionLimit
		if s.isTest() {
			perFunction = testFunctionLimit
		}
		if strings.HasPrefix(s.path, "cmd/") && strings.HasSuffix(s.path, "/main.go") {
			limit = mainLimit
		}
		all = append(all, measured{s.path, bytes.Count(s.text, []byte("\n")), limit})
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok {
				all = append(all, measured{fmt.Sprintf("%s:%s", s.path, f.Name.Name), m.lines(f), perFunction})
			}
		}
	}
	return all
}

// TestSizes holds the limits on functions, files and main files.
func TestSizes(t *testing.T) {
	needed := map[string]bool{}
	for _, length := range load(t).measure() {
		if length.lines <= length.limit {
			continue
		}
		limit := length.limit
		for _, o := range oversize {
			if o.what == length.what {
				needed[o.what] = true
				limit = o.limit
			}
		}
		if length.lines > limit {
			t.Errorf("%s has %d lines, more than %d", length.what, length.lines, limit)
		}
	}
	for _, o := range oversize {
		if !needed[o.what] {
			t.Errorf("%s is within the general limit: take it off the list of oversize", o.what)
		}
		if o.reason == "" {
			t.Errorf("%s is oversize without a reason", o.what)
		}
	}
}
