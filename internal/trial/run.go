package trial

import (
	"errors"
	"fmt"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"

	"tugback/internal/detmath"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// MostCases is the most cases of one trial: what a cluster may spread, far below what a count holds.
const MostCases = 1_000_000_000

// Shard is a part of a trial: part Number of Of, from 1. The zero Shard is the whole.
type Shard struct{ Number, Of int }

// Plan is a trial to be run.
type Plan struct {
	Scenario scenario.Scenario
	Operator scenario.Operator
	Cases    int // of the whole trial, all shards together
	Seed     uint64
	Shard    Shard
	Progress func(done int) // called now and then, never by two at once; nil: nobody asks
}

// Size returns how many cases the plan's shard does.
func (p Plan) Size() int {
	if p.Shard.Of == 0 {
		return p.Cases
	}
	return (p.Cases - p.Shard.Number + p.Shard.Of) / p.Shard.Of
}

// check says what is wrong with a plan.
func (p Plan) check() error {
	switch s := p.Shard; {
	case p.Cases < 1 || p.Cases > MostCases:
		return fmt.Errorf("%d cases; allowed 1 to %d", p.Cases, MostCases)
	case s.Of < 0 || s.Of > 0 && (s.Number < 1 || s.Number > s.Of):
		return fmt.Errorf("shard %d/%d; allowed are 1/n to n/n", s.Number, s.Of)
	}
	return nil
}

// Run runs a trial on all processors. Case k of a trial has the seed drawn from the trial's seed and k,
// whatever shard it falls in, so that the result depends neither on the shards nor on the number of
// processors. Checked by TestShardsMerge.
func Run(p Plan) (Result, error) {
	if err := p.check(); err != nil {
		return Result{}, err
	}
	workers := min(runtime.GOMAXPROCS(0), p.Size())
	tallies := make([]Tally, max(workers, 1))
	var next, done atomic.Int64
	var group sync.WaitGroup
	var telling sync.Mutex
	for i := range tallies {
		tallies[i] = newTally(p.Scenario.Rules())
		group.Go(func() {
			for {
				n := int(next.Add(1)) - 1
				if n >= p.Size() {
					return
				}
				p.one(p.index(n), &tallies[i])
				finished := int(done.Add(1))
				if p.Progress != nil {
					telling.Lock()
					p.Progress(finished)
					telling.Unlock()
				}
			}
		})
	}
	group.Wait()
	all := newTally(p.Scenario.Rules())
	for _, t := range tallies {
		all.add(t)
	}
	if all.Cases == 0 {
		return Result{}, errors.New("no tooth of this scenario could be grown from the seeds of the trial")
	}
	return p.result(all), nil
}

// index returns the number within the whole trial, from 0, of case n of the shard.
func (p Plan) index(n int) int {
	if p.Shard.Of == 0 {
		return n
	}
	return n*p.Shard.Of + p.Shard.Number - 1
}

// CaseSeed returns the seed of a case of a trial, so that it can be treated again by itself.
func CaseSeed(seed uint64, index int) uint64 {
	s := detmath.NewStream(seed, "case "+strconv.Itoa(index))
	return s.Uint64()
}

// one treats and marks one case and counts it.
func (p Plan) one(index int, t *Tally) {
	seed := CaseSeed(p.Seed, index)
	grown, err := p.Scenario.Case(seed)
	if err != nil {
		t.NotGrown++
		return
	}
	drill, _ := p.Scenario.Drill()
	done := TakeOver(grown, drill.Steps, p.Operator, seed)
	outcome := treatment.MeasureOutcome(done.State)
	marks := p.Scenario.Marker().Mark(marking.Facts{Outcome: outcome, Actions: done.Actions, Events: done.Events})
	t.count(done, outcome, marks, p.Scenario.PassMark())
}
