package scenario_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/scenario"
	"tugback/scenarios"
)

var update = flag.Bool("update", false, "rewrite the expected faults in testdata/scenario")

const testdata = "../../testdata/scenario"

// files returns the YAML files of a folder of testdata, without those in folders below it.
func files(t *testing.T, folder string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(testdata, folder, "*.yaml"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no files in %s: %v", folder, err)
	}
	return names
}

// TestBadFiles compares all that is said about each faulty file with the text beside it. The texts
// are goldens: a change to them is reviewed as a reader of the message would.
func TestBadFiles(t *testing.T) {
	for _, name := range files(t, "bad") {
		_, err := scenario.Load(name)
		compareFaults(t, name, err)
	}
}

// TestBadPlans is TestBadFiles for plans.
func TestBadPlans(t *testing.T) {
	for _, name := range files(t, "plan-bad") {
		_, err := scenario.LoadPlan(name)
		compareFaults(t, name, err)
	}
}

// TestLints compares all that is said about each file that is right but doubtful with the text beside it.
func TestLints(t *testing.T) {
	for _, name := range files(t, "doubt") {
		s, err := scenario.Load(name)
		if err != nil {
			t.Errorf("%s:\n%v", name, err)
			continue
		}
		doubts := s.Lint()
		if doubts == nil {
			t.Errorf("%s: no doubt", name)
			continue
		}
		compareFaults(t, name, doubts)
	}
}

// TestPlanLints is TestLints for plans, on the tooth of the case they are for.
func TestPlanLints(t *testing.T) {
	for _, name := range files(t, "plan-doubt") {
		plan, err := scenario.LoadPlan(name)
		if err != nil {
			t.Errorf("%s:\n%v", name, err)
			continue
		}
		s, err := scenario.LoadFS(scenarios.Files, plan.For+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		c, err := s.Case(s.Seed())
		if err != nil {
			t.Fatal(err)
		}
		doubts := plan.Lint(c, nil)
		if doubts == nil {
			t.Errorf("%s: no doubt", name)
			continue
		}
		compareFaults(t, name, doubts)
	}
}

func compareFaults(t *testing.T, name string, err error) {
	t.Helper()
	if err == nil {
		t.Errorf("%s: no fault found", name)
		return
	}
	if _, ok := err.(scenario.Faults); !ok { //nolint:errorlint // the contract is the type itself
		t.Errorf("%s: the error is a %T, want scenario.Faults", name, err)
	}
	got := strings.ReplaceAll(err.Error(), filepath.ToSlash(filepath.Dir(name))+"/", "") + "\n"
	golden := strings.TrimSuffix(name, ".yaml") + ".out"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

// TestGoodFiles holds that what is allowed is read without a fault.
func TestGoodFiles(t *testing.T) {
	for _, name := range files(t, "ok") {
		if _, err := scenario.Load(name); err != nil {
			t.Errorf("%s:\n%v", name, err)
		}
	}
	for _, name := range files(t, "plan-ok") {
		if _, err := scenario.LoadPlan(name); err != nil {
			t.Errorf("%s:\n%v", name, err)
		}
	}
}
