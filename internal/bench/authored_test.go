package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

const authored = `format: 1
name: dam-drill
tooth: {kind: lower-canine}
drill:
  goal: Look at the canal on a film.
  steps:
    - isolate: {tooth: 43, tested: yes}
    - radiograph: {angle: 0 deg}
`

// TestAuthoredDrill holds that a case with a drill begins with its steps done, tells its goal, and leaves a
// record that says so and stands verification.
func TestAuthoredDrill(t *testing.T) {
	from, err := scenario.Parse("drill.yaml", []byte(authored))
	if err != nil {
		t.Fatal(err)
	}
	start, err := from.Case(from.Seed())
	if err != nil {
		t.Fatal(err)
	}
	p, said := bench.Sit(bench.Sitting{Scenario: from, Case: start})
	if !strings.Contains(strings.Join(said, "\n"), "Look at the canal on a film.") || p.Actions() != 2 {
		t.Fatalf("%d actions are done, told:\n%s", p.Actions(), strings.Join(said, "\n"))
	}
	p.Line("finish")
	_, record := p.Finished()
	if record == nil {
		p.Line("finish")
		_, record = p.Finished()
	}
	if record == nil || len(record.Actions) != 2 || record.Actions[1].Do != treatment.Radiograph {
		t.Fatalf("got %+v", record)
	}
	if n := record.Notes[0]; n.Kind != attempt.NoteDrill || n.Detail != "dam-drill" {
		t.Errorf("got %+v", record.Notes)
	}
	if refused := attempt.Verify(*record, attempt.Paper{Case: start, Marker: from.Marker()}); refused != nil {
		t.Error(refused)
	}
}
