package attempt_test

import (
	"encoding/json"
	"flag"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/attempt"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

var update = flag.Bool("update", false, "rewrite testdata/digests.json")

// goldens is the file of what the shipped plans lead to. It is our own output, kept to see it change,
// and no proof that it is right. A change of a digest wants a new treatment.Engine.
const goldens = "../../testdata/digests.json"

// golden is what a plan led to.
type golden struct {
	Engine    string  `json:"engine"`
	Seed      uint64  `json:"seed,string"`
	Actions   int     `json:"actions"`
	Elapsed   int     `json:"elapsed_ms"`
	Total     float64 `json:"total"`
	Available float64 `json:"available"`
	Digest    string  `json:"digest"`
}

// TestShippedPlanDigests runs every shipped plan at its seed and compares digest, marks, time and
// number of actions with the goldens; run on another target it shows that the bits are the same there.
// Each record must also verify from its own bytes. With -update the goldens are rewritten.
func TestShippedPlanDigests(t *testing.T) {
	plans, err := fs.Glob(scenarios.Files, "plans/*.yaml")
	if err != nil || len(plans) == 0 {
		t.Fatalf("no plan is shipped (%v)", err)
	}
	got := map[string]golden{}
	for _, name := range plans {
		name = strings.TrimSuffix(path.Base(name), ".yaml")
		got[name] = runPlan(t, name)
	}
	if *update {
		text, err := json.MarshalIndent(got, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(goldens, append(text, '\n'), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	text, err := os.ReadFile(goldens)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]golden{}
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("plans lead elsewhere than before (- golden, + now); if that is meant, raise treatment.Engine and run with -update:\n%s", diff)
	}
}

// runPlan runs a plan at its own seed or the scenario's, and verifies its record.
func runPlan(t *testing.T, name string) golden {
	t.Helper()
	plan := specimen.Plan(t, name)
	paper := specimen.Paper(t, plan.For)
	if plan.Seed != nil {
		paper = specimen.Seeded(t, plan.For, *plan.Seed)
	}
	run := specimen.Treat(t, paper, specimen.Steps(t, plan))
	data, err := attempt.Encode(run.Close())
	if err != nil {
		t.Fatal(err)
	}
	record, err := attempt.Decode(data)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if refusal := attempt.Verify(record, paper); refusal != nil {
		t.Errorf("%s: the record does not verify: %s", name, strings.Join(refusal.Lines(), "\n"))
	}
	return golden{Engine: treatment.Engine, Seed: record.Seed, Actions: len(record.Actions), Elapsed: run.State().Elapsed,
		Total: record.Marks.Total, Available: record.Marks.Available, Digest: record.Digest}
}
