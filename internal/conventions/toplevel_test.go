package conventions_test

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// TestTopLevel holds that the top of the repository is easy to take in: nothing stands there but
// what is listed, files whose names begin with a dot, and what git ignores.
func TestTopLevel(t *testing.T) {
	allowed := []string{
		"cmd", "internal", "scenarios", "assets", "testdata", "go.mod", "go.sum",
		"README.md", "DEVELOPERS.md", "LICENSE",
	}
	m := load(t)
	entries, err := os.ReadDir(m.root)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		name := entry.Name()
		if slices.Contains(allowed, name) || strings.HasPrefix(name, ".") {
			continue
		}
		ignored := exec.Command("git", "check-ignore", "-q", name)
		ignored.Dir = m.root
		if ignored.Run() != nil {
			t.Errorf("the top of the repository holds %s; only %s belong there", name, strings.Join(allowed, " "))
		}
	}
}
