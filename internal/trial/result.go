package trial

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"tugback/internal/treatment"
)

// Result is what a trial found. What can be summed stands in Tally; everything else is derived from it.
type Result struct {
	Format         int     `json:"format"`
	Engine         string  `json:"engine"`
	Scenario       string  `json:"scenario"`
	ScenarioDigest string  `json:"scenario_digest"`
	Operator       string  `json:"operator"`
	OperatorDigest string  `json:"operator_digest"`
	Seed           uint64  `json:"seed"`
	Wanted         int     `json:"cases_wanted"`     // of the whole trial
	Shards         *Parts  `json:"shards,omitempty"` // what is here; left out when all is
	PassMark       float64 `json:"pass_mark"`

	Cases           int64   `json:"cases"`
	PassRate        float64 `json:"pass_rate"`
	CriticalRate    float64 `json:"critical_error_rate"`
	FillRate        float64 `json:"acceptable_fill_rate"` // teeth all of whose canals that a film shows are filled acceptably
	FillRateCanals  float64 `json:"acceptable_fill_rate_canals"`
	ShortRate       float64 `json:"short_fill_rate_canals"`
	LongRate        float64 `json:"long_fill_rate_canals"`
	VoidRate        float64 `json:"void_rate_canals"`
	LedgeRate       float64 `json:"ledge_rate_canals"`
	PerforationRate float64 `json:"perforation_rate_canals"`
	FractureRate    float64 `json:"fracture_rate_teeth"`
	MissedRate      float64 `json:"missed_rate_canals"`
	Marks           Summary `json:"marks"`   // per cent of those available
	Minutes         Summary `json:"minutes"` // by the clock of the treatment

	Rules []RuleResult `json:"rules"`
	Tally Tally        `json:"tally"`
}

// Parts says which shards of how many a result holds.
type Parts struct {
	Of   int   `json:"of"`
	Have []int `json:"have"`
}

// RuleResult is what one rule did to a class: the share of its points that was earned, and how many
// earned all and none of them.
type RuleResult struct {
	ID       string  `json:"id"`
	Stage    string  `json:"stage"`
	Title    string  `json:"title"`
	Critical bool    `json:"critical,omitempty"`
	Points   float64 `json:"points"`
	Deduct   float64 `json:"deduct,omitempty"` // what a rule takes that gives nothing
	Share    float64 `json:"mean_share"`
	Lost     float64 `json:"mean_points_lost"`
	Full     float64 `json:"full_rate"`
	None     float64 `json:"none_rate"`
	Happened float64 `json:"happened_rate"`
}

// Cost says what the rule took from the class on average.
func (r RuleResult) Cost() string {
	switch {
	case r.Critical:
		return "happened in " + percent(r.Happened)
	case r.Deduct > 0:
		return fmt.Sprintf("%.2f of %g to be taken", r.Lost, r.Deduct)
	}
	return fmt.Sprintf("%.2f of %g", r.Lost, r.Points)
}

// Earns reports whether the rule gives points, so that all or none of them can be earned.
func (r RuleResult) Earns() bool { return !r.Critical && r.Deduct == 0 }

const resultFormat = 1

func (p Plan) result(t Tally) Result {
	r := Result{
		Format: resultFormat, Engine: treatment.Engine,
		Scenario: p.Scenario.Name(), ScenarioDigest: p.Scenario.Digest(),
		Operator: p.Operator.Name, OperatorDigest: p.Operator.Digest,
		Seed: p.Seed, Wanted: p.Cases, PassMark: p.Scenario.PassMark(),
	}
	if p.Shard.Of > 1 {
		r.Shards = &Parts{p.Shard.Of, []int{p.Shard.Number}}
	}
	for _, rule := range p.Scenario.Rules() {
		r.Rules = append(r.Rules, RuleResult{ID: rule.ID, Stage: rule.Stage, Title: rule.Title, Critical: rule.Critical, Points: rule.Points, Deduct: rule.Deduct})
		if rule.Title == "" {
			r.Rules[len(r.Rules)-1].Title = rule.ID
		}
	}
	r.derive(t)
	return r
}

// derive fills in what follows from a tally.
func (r *Result) derive(t Tally) {
	teeth := func(n int64) float64 { return rate(n, t.Cases) }
	canals := func(n int64) float64 { return rate(n, t.Canals) }
	r.Tally, r.Cases = t, t.Cases
	r.PassRate, r.CriticalRate, r.FillRate, r.FractureRate = teeth(t.Passed), teeth(t.Critical), teeth(t.FillTeeth), teeth(t.BrokeTeeth)
	shown := func(n int64) float64 { return rate(n, t.Shown) }
	r.FillRateCanals, r.ShortRate, r.LongRate, r.VoidRate = shown(t.FillCanals), shown(t.Short), shown(t.Long), shown(t.Voids)
	r.LedgeRate, r.PerforationRate, r.MissedRate = canals(t.Ledges), canals(t.Holes), canals(t.Missed)
	r.Marks, r.Minutes = t.Marks.summary(0.1), t.Minutes.summary(1)
	for i, rule := range t.Rules {
		to := &r.Rules[i]
		if rule.Offered > 0 {
			to.Share = rate(rule.Earned, rule.Offered)
		}
		to.Lost = tidy(float64(rule.Offered-rule.Earned) / 1e6 / float64(max(t.Cases, 1)))
		to.Full, to.None, to.Happened = teeth(rule.Full), teeth(rule.None), teeth(rule.Happened)
	}
}

func rate(n, of int64) float64 { return tidy(float64(n) / float64(max(of, 1))) }

// Encode writes a result as JSON: the same bytes for the same result.
func (r Result) Encode() ([]byte, error) {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(r); err != nil {
		return nil, fmt.Errorf("encode the result of a trial: %w", err)
	}
	return text.Bytes(), nil
}

// mostResult bounds a result that is read, in bytes: many times that of the longest marking sheet.
const mostResult = 8 << 20

// Decode reads a result that Encode wrote. Checked by FuzzDecode.
func Decode(text []byte) (Result, error) {
	if len(text) > mostResult {
		return Result{}, fmt.Errorf("longer than %d bytes", mostResult)
	}
	var r Result
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&r); err != nil {
		return Result{}, fmt.Errorf("no result of a trial: %w", err)
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return Result{}, errors.New("something stands after the result")
	}
	if err := r.sound(); err != nil {
		return Result{}, err
	}
	for len(r.Tally.Marks.Bins) < marksBins {
		r.Tally.Marks.Bins = append(r.Tally.Marks.Bins, 0)
	}
	for len(r.Tally.Minutes.Bins) < minuteBins {
		r.Tally.Minutes.Bins = append(r.Tally.Minutes.Bins, 0)
	}
	return r, nil
}

// sound says what cannot be in a result.
func (r Result) sound() error {
	t := &r.Tally
	switch {
	case r.Format != resultFormat:
		return fmt.Errorf("format %d; this program reads format %d", r.Format, resultFormat)
	case len(r.Rules) != len(t.Rules):
		return fmt.Errorf("%d rules, but %d are counted", len(r.Rules), len(t.Rules))
	case r.Wanted < 1 || r.Wanted > MostCases || t.Cases+t.NotGrown > int64(r.Wanted):
		return fmt.Errorf("%d cases of %d", t.Cases, r.Wanted)
	case len(t.Marks.Bins) > marksBins || len(t.Minutes.Bins) > minuteBins:
		return errors.New("a histogram has too many bins")
	case t.Shown > t.Canals || max(t.FillCanals, t.Short, t.Long, t.Voids) > t.Shown:
		return errors.New("more canals are filled than there are")
	case t.Marks.sum() != t.Cases || t.Minutes.sum() != t.Cases:
		return errors.New("the histograms do not add up to the cases")
	}
	for _, n := range t.counts() {
		if *n < 0 || *n > 2000*MostCases {
			return errors.New("a count is out of range")
		}
	}
	if p := r.Shards; p != nil {
		if p.Of < 2 || len(p.Have) == 0 || len(p.Have) >= p.Of || !slices.IsSorted(p.Have) || p.Have[0] < 1 || p.Have[len(p.Have)-1] > p.Of {
			return errors.New("the shards are not numbered 1 to n")
		}
	}
	return nil
}

// ErrEngine is returned by Merge for results of different engine versions.
var ErrEngine = errors.New("made by different engine versions")

// Merge puts shards of one trial together; with all shards the result is that of the whole trial, byte
// for byte. Checked by TestShardsMerge.
func Merge(parts []Result) (Result, error) {
	if len(parts) == 0 {
		return Result{}, errors.New("nothing to merge")
	}
	whole := parts[0]
	have := map[int]bool{}
	all := Tally{Marks: newHistogram(marksBins), Minutes: newHistogram(minuteBins)}
	for _, rule := range whole.Tally.Rules {
		all.Rules = append(all.Rules, RuleTally{ID: rule.ID})
	}
	for i, p := range parts {
		if err := sameTrial(whole, p); err != nil {
			return Result{}, fmt.Errorf("part %d: %w", i+1, err)
		}
		for _, number := range p.Shards.Have {
			if have[number] {
				return Result{}, fmt.Errorf("part %d: shard %d is there already", i+1, number)
			}
			have[number] = true
		}
		all.add(p.Tally)
	}
	numbers := []int{}
	for n := 1; n <= whole.Shards.Of; n++ {
		if have[n] {
			numbers = append(numbers, n)
		}
	}
	whole.Shards = &Parts{whole.Shards.Of, numbers}
	if len(numbers) == whole.Shards.Of {
		whole.Shards = nil
	}
	whole.Rules = slices.Clone(whole.Rules)
	whole.derive(all)
	return whole, nil
}

// sameTrial says why two results are not shards of one trial.
func sameTrial(a, b Result) error {
	switch {
	case a.Engine != b.Engine:
		return ErrEngine
	case b.Shards == nil || a.Shards == nil:
		return errors.New("is a whole trial, not a shard")
	case a.Shards.Of != b.Shards.Of:
		return fmt.Errorf("is one of %d shards, not of %d", b.Shards.Of, a.Shards.Of)
	case a.ScenarioDigest != b.ScenarioDigest || a.Scenario != b.Scenario:
		return fmt.Errorf("is of the scenario %q with another content", b.Scenario)
	case a.OperatorDigest != b.OperatorDigest:
		return fmt.Errorf("is of the operator %q with another content", b.Operator)
	case a.Seed != b.Seed || a.Wanted != b.Wanted || a.PassMark != b.PassMark:
		return errors.New("has another seed, number of cases or pass mark")
	case len(a.Tally.Rules) != len(b.Tally.Rules):
		return errors.New("has other rules")
	}
	return nil
}
