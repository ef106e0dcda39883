package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"tugback/internal/attempt"
	"tugback/internal/trial"
)

// mostRecords is the most records one trial writes.
const mostRecords = 10_000

// writeRecords treats the cases of a trial again and writes a record of each, named after the operator and
// the case, as if a class had handed them in: what gradebook reads. Records of several trials can go into one
// folder.
func (c *trialRun) writeRecords(s *session, plan trial.Plan) error {
	if c.Records == "" {
		return nil
	}
	if err := os.MkdirAll(c.Records, 0o755); err != nil {
		return fmt.Errorf("--records %s: cannot be written: %w", c.Records, cause(err))
	}
	texts, failed := make([][]byte, plan.Cases), make([]error, plan.Cases)
	s.inParallel(c.Progress, "recording", plan.Cases, func(i int) {
		texts[i], failed[i] = recordOf(plan, trial.CaseSeed(plan.Seed, i))
	})
	var files outputs
	for i, text := range texts {
		if failed[i] != nil {
			return fmt.Errorf("case %d: %w", i+1, failed[i])
		}
		name := filepath.Join(c.Records, fmt.Sprintf("%s-%03d.%s.json", plan.Operator.Name, i+1, plan.Scenario.Name()))
		err := files.add("--records", name, func(w io.Writer) error { _, err := w.Write(text); return err })
		if err != nil {
			return err
		}
	}
	return files.write()
}

// recordOf treats one case and returns its record.
func recordOf(plan trial.Plan, seed uint64) ([]byte, error) {
	grown, err := plan.Scenario.Case(seed)
	if err != nil {
		return nil, err
	}
	drill, _ := plan.Scenario.Drill()
	done := trial.TakeOver(grown, drill.Steps, plan.Operator, seed)
	run, err := attempt.Treat(attempt.Paper{Case: grown, Marker: plan.Scenario.Marker()}, done.Actions)
	if err != nil {
		return nil, err
	}
	return attempt.Encode(run.Close())
}
