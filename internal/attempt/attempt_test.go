package attempt_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// TestRun holds that a run done action by action gives the record of a run done at once, and that a
// refused action changes nothing.
func TestRun(t *testing.T) {
	paper := paperOf(t, 1)
	whole, _ := recordOf(t, paper)
	run := attempt.Begin(paper)
	for i, a := range start(paper) {
		_, err := run.Do(treatment.Action{Do: treatment.Irrigate})
		var refused *attempt.ActionError
		if !errors.As(err, &refused) || refused.Action != i {
			t.Fatalf("got error %v for an action without its fields, want one about action %d", err, i)
		}
		if _, err := run.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(run.Close(), whole); diff != "" {
		t.Errorf("step by step and at once differ: %s", diff)
	}
	if _, err := run.Do(treatment.Action{Do: treatment.Wait, Time: 1000}); err == nil {
		t.Error("a closed run takes an action")
	}
	if len(run.Actions()) != 4 || len(whole.Checkpoints) != 4 || whole.Checkpoints[3].Elapsed != run.State().Elapsed {
		t.Errorf("got %d actions and checkpoints %+v", len(run.Actions()), whole.Checkpoints)
	}
	if len(run.Events()) == 0 || run.Events()[0].Kind != treatment.Judged {
		t.Errorf("got events %+v", run.Events())
	}
}

// TestTreatStopsAtARefusedAction holds that the run so far and the index of the action come back.
func TestTreatStopsAtARefusedAction(t *testing.T) {
	paper := paperOf(t, 1)
	actions := start(paper)[:2]
	actions = append(actions, treatment.Action{Do: treatment.Find, Canal: paper.Case.Tooth.Canals[0].Name})
	run, err := attempt.Treat(paper, actions)
	var refused *attempt.ActionError
	if !errors.As(err, &refused) || refused.Action != 2 || !strings.HasPrefix(err.Error(), "action 3: ") {
		t.Fatalf("got %v, want an error about the third action", err)
	}
	if len(run.Actions()) != 2 {
		t.Errorf("got a run of %d actions, want 2", len(run.Actions()))
	}
}

// TestRunEnds holds that a run ends with its time, so that carrying it out again does not take for ever.
func TestRunEnds(t *testing.T) {
	run := attempt.Begin(paperOf(t, 1))
	for hour := 1; hour <= 12; hour++ {
		if _, err := run.Do(treatment.Action{Do: treatment.Wait, Time: 3_600_000}); err != nil {
			t.Fatalf("hour %d: %v", hour, err)
		}
	}
	if _, err := run.Do(treatment.Action{Do: treatment.Wait, Time: 1000}); err == nil || !strings.Contains(err.Error(), "at most 12 h") {
		t.Errorf("after 12 h: %v", err)
	}
}

// TestDigestTellsApart holds that the digest depends on the seed, on every action and on its smallest
// unit, and on nothing else.
func TestDigestTellsApart(t *testing.T) {
	seen := map[string]string{}
	add := func(what string, p attempt.Paper, actions []treatment.Action) {
		run, err := attempt.Treat(p, actions)
		if err != nil {
			t.Fatal(err)
		}
		digest := run.Close().Digest
		if other, twice := seen[digest]; twice {
			t.Errorf("%s and %s have one digest", what, other)
		}
		seen[digest] = what
	}
	for seed := range uint64(20) {
		add("seed", paperOf(t, seed), nil)
	}
	p := paperOf(t, 1)
	add("all", p, start(p))
	add("fewer", p, start(p)[:3])
	deeper := start(p)
	deeper[2].Depth++
	add("1 µm deeper", p, deeper)
	later := start(p)
	later[3].Time++
	add("1 ms later", p, later)
	first, _ := recordOf(t, p)
	if again, _ := recordOf(t, paperOf(t, 1)); again.Digest != first.Digest {
		t.Error("the same run twice gives two digests")
	}
}

// TestCompare holds that states are compared field by field and canals are named.
func TestCompare(t *testing.T) {
	paper := paperOf(t, 1)
	a, b := attempt.Begin(paper).State(), attempt.Begin(paper).State()
	if found := attempt.Compare(a, b, 9); len(found) > 0 {
		t.Errorf("equal states differ: %+v", found)
	}
	a.Canals[0].Length = 20.5
	a.Pulp = math.Nextafter(a.Pulp, 0)
	found := attempt.Compare(a, b, 9)
	if len(found) != 2 || found[0].Path != "Pulp" || found[1].Path != b.Canals[0].Name+".Length" || found[1].Got != "20.5" || found[1].Want != "0" {
		t.Errorf("got %+v", found)
	}
}
