package conventions_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

// TestDependencyTable holds that DEVELOPERS.md says of every module that go.mod requires directly what it is for, and
// of no other.
func TestDependencyTable(t *testing.T) {
	root := load(t).root
	read := func(name, pattern string) []string {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		var modules []string
		for _, found := range regexp.MustCompile(pattern).FindAllSubmatch(text, -1) {
			modules = append(modules, string(found[1]))
		}
		slices.Sort(modules)
		return modules
	}
	required := read("go.mod", `(?m)^\t(\S+\.\S+/\S+) v\S+$`)
	told := read("DEVELOPERS.md", `(?m)^\| ([a-z0-9.]+\.[a-z]+/\S+) \|`)
	if len(required) == 0 {
		t.Fatal("go.mod requires nothing")
	}
	for _, module := range required {
		if !slices.Contains(told, module) {
			t.Errorf("DEVELOPERS.md does not say what %s is for", module)
		}
	}
	for _, module := range told {
		if !slices.Contains(required, module) {
			t.Errorf("DEVELOPERS.md says what %s is for, but go.mod does not require it", module)
		}
	}
}
