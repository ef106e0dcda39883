package bench_test

import (
	"io/fs"
	"strings"
	"testing"

	"tugback/internal/specimen"
	"tugback/scenarios"
)

// TestPlansCanBeRead holds that the instructor's plan of every shipped case is one that can be carried out: the
// bench reads it late and shows none where it cannot.
func TestPlansCanBeRead(t *testing.T) {
	files, err := fs.Glob(scenarios.Files, "plans/*.careful.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d plans, error %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(file, "plans/"), ".careful.yaml")
		if err := specimen.Plan(t, name+".careful").CheckAgainst(specimen.Paper(t, name).Case); err != nil {
			t.Error(err)
		}
	}
}
