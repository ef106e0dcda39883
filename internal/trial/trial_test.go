package trial_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/scenario"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/internal/trial"
	"tugback/scenarios"
)

// operator reads an operator that comes with the program.
func operator(t testing.TB, name string) scenario.Operator {
	t.Helper()
	text, err := fs.ReadFile(scenarios.Files, "operators/"+name+".yaml")
	if err != nil {
		t.Fatal(err)
	}
	o, err := scenario.ParseOperator(name+".yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func run(t testing.TB, p trial.Plan) trial.Result {
	t.Helper()
	r, err := trial.Run(p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func encode(t testing.TB, r trial.Result) []byte {
	t.Helper()
	text, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestTreat holds that every shipped operator carries a whole treatment of an easy tooth out to the end,
// and that the careful one is refused nothing.
func TestTreat(t *testing.T) {
	s := specimen.Scenario(t, "lower-premolar")
	grown, err := s.Case(s.Seed())
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"careful", "steady", "hurried", "novice"} {
		done := trial.Treat(grown, operator(t, name), 5)
		last := done.Actions[len(done.Actions)-1].Do
		if !done.State.Sealed || done.State.Restoration == "" || last != treatment.Review && last != treatment.Restore {
			t.Errorf("%s: the treatment ended with %s, not sealed and restored", name, last)
		}
		if name == "careful" && done.Refused > 0 {
			t.Errorf("careful: %d actions were refused", done.Refused)
		}
		again := trial.Treat(grown, operator(t, name), 5)
		if !slices.Equal(done.Actions, again.Actions) {
			t.Errorf("%s: the same seed gave other actions", name)
		}
	}
}

// TestOperatorSeesNoLabels holds that an operator follows geometry: with another kind, number and other
// names of the canals on the very same tooth it does the very same things.
func TestOperatorSeesNoLabels(t *testing.T) {
	s := specimen.Scenario(t, "lower-first-molar")
	grown, err := s.Case(3)
	if err != nil {
		t.Fatal(err)
	}
	other, tooth := *grown, *grown.Tooth
	other.Number, tooth.Kind = 36, "lower-second-molar"
	tooth.Canals = slices.Clone(tooth.Canals)
	names := map[string]string{}
	for i := range tooth.Canals {
		names[tooth.Canals[i].Name] = string(rune('x' + i))
		tooth.Canals[i].Name = string(rune('x' + i))
	}
	other.Tooth = &tooth
	a, b := trial.Treat(grown, operator(t, "novice"), 9), trial.Treat(&other, operator(t, "novice"), 9)
	if len(a.Actions) != len(b.Actions) {
		t.Fatalf("%d actions against %d with other labels", len(a.Actions), len(b.Actions))
	}
	for i := range a.Actions {
		want := a.Actions[i]
		if want.Canal != "" {
			want.Canal = names[want.Canal]
		}
		if want.Tooth != 0 {
			want.Tooth = 36
		}
		if b.Actions[i] != want {
			t.Fatalf("action %d is %+v with other labels, want %+v", i, b.Actions[i], want)
		}
	}
	for i, c := range a.State.Canals { // and so every rate
		d := b.State.Canals[i]
		if c.Fill.Tip != d.Fill.Tip || c.Length != d.Length || !slices.Equal(c.Space.Wall[1], d.Space.Wall[1]) || (c.Fragment == nil) != (d.Fragment == nil) {
			t.Errorf("canal %s came out otherwise with other labels", c.Name)
		}
	}
	if len(a.Events) != len(b.Events) {
		t.Errorf("%d events against %d with other labels", len(a.Events), len(b.Events))
	}
}

// TestShardsMerge holds that the same seed gives the same bytes, that shards merged in any order are the
// whole run byte for byte, and that a part of them says so.
func TestShardsMerge(t *testing.T) {
	p := trial.Plan{Scenario: specimen.Scenario(t, "upper-lateral-incisor"), Operator: operator(t, "hurried"), Cases: 7, Seed: 3}
	whole := encode(t, run(t, p))
	if !bytes.Equal(whole, encode(t, run(t, p))) {
		t.Error("the same trial gave other bytes")
	}
	var parts []trial.Result
	for _, n := range []int{3, 1, 2} {
		p.Shard = trial.Shard{Number: n, Of: 3}
		read, err := trial.Decode(encode(t, run(t, p)))
		if err != nil {
			t.Fatal(err)
		}
		parts = append(parts, read)
	}
	merged, err := trial.Merge(parts)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(whole, encode(t, merged)) {
		t.Error("three shards merged are not the whole trial")
	}
	some, err := trial.Merge(parts[:2])
	if err != nil || some.Shards == nil || !slices.Equal(some.Shards.Have, []int{1, 3}) {
		t.Errorf("two shards of three: %+v, %v", some.Shards, err)
	}
	if both, err := trial.Merge([]trial.Result{some, parts[2]}); err != nil || !bytes.Equal(whole, encode(t, both)) {
		t.Errorf("a merged part with the rest is not the whole trial: %v", err)
	}
	refuseMerges(t, parts)
}

func refuseMerges(t *testing.T, parts []trial.Result) {
	t.Helper()
	other := parts[1]
	other.Seed++
	engine := parts[1]
	engine.Engine = "other"
	whole := parts[1]
	whole.Shards = nil
	for _, c := range []struct {
		name string
		list []trial.Result
		want string
	}{
		{"nothing", nil, "nothing to merge"},
		{"twice", []trial.Result{parts[0], parts[0]}, "shard 3 is there already"},
		{"seed", []trial.Result{parts[0], other}, "another seed"},
		{"whole", []trial.Result{parts[0], whole}, "not a shard"},
		{"engine", []trial.Result{parts[0], engine}, "engine"},
	} {
		_, err := trial.Merge(c.list)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
		if c.name == "engine" && !errors.Is(err, trial.ErrEngine) {
			t.Errorf("engine: the error is not ErrEngine")
		}
	}
}

// TestPlanRefused holds what is no trial.
func TestPlanRefused(t *testing.T) {
	p := trial.Plan{Scenario: specimen.Scenario(t, "lower-premolar"), Operator: operator(t, "careful")}
	for _, bad := range []trial.Plan{
		{Cases: 0}, {Cases: trial.MostCases + 1}, {Cases: 5, Shard: trial.Shard{Number: 3, Of: 2}}, {Cases: 5, Shard: trial.Shard{Number: 0, Of: 2}},
	} {
		p.Cases, p.Shard = bad.Cases, bad.Shard
		if _, err := trial.Run(p); err == nil {
			t.Errorf("%+v: no error", bad.Shard)
		}
	}
}

// TestReports holds that picture and page are well-formed and name the rule that bit most.
func TestReports(t *testing.T) {
	r := run(t, trial.Plan{Scenario: specimen.Scenario(t, "lower-premolar"), Operator: operator(t, "hurried"), Cases: 4, Seed: 1})
	var drawing, page bytes.Buffer
	if err := errors.Join(r.SVG(&drawing), r.HTML(&page)); err != nil {
		t.Fatal(err)
	}
	decoder := xml.NewDecoder(&drawing)
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if title := r.Biting()[0].Title; !strings.Contains(page.String(), title) {
		t.Errorf("the page does not name %q", title)
	}
}

// TestShardSizes holds that the shards of a trial share its cases out without rest.
func TestShardSizes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cases, of := rapid.IntRange(1, 10000).Draw(t, "cases"), rapid.IntRange(1, 50).Draw(t, "of")
		sum := 0
		for n := 1; n <= of; n++ {
			sum += trial.Plan{Cases: cases, Shard: trial.Shard{Number: n, Of: of}}.Size()
		}
		if sum != cases {
			t.Fatalf("%d shards hold %d of %d cases", of, sum, cases)
		}
	})
}

// TestCaseSeeds holds that the cases of a trial have seeds of their own.
func TestCaseSeeds(t *testing.T) {
	seen := map[uint64]bool{}
	for i := range 1000 {
		seen[trial.CaseSeed(1, i)] = true
	}
	if len(seen) != 1000 || trial.CaseSeed(1, 0) == trial.CaseSeed(2, 0) {
		t.Errorf("%d seeds for 1000 cases", len(seen))
	}
}

// TestSummary holds the spread of known values: 10, 20 and 90 minutes have the mean 40, the standard
// deviation √((900+400+2500)/3) = 35.5903 and the median 20 (derived).
func TestSummary(t *testing.T) {
	got := trial.SpreadOf([]int{10, 20, 90})
	want := trial.Summary{Mean: 40, SD: 35.590261, Min: 10, P05: 10, P25: 10, Median: 20, P75: 90, P95: 90, Max: 90}
	if math.Abs(got.SD-want.SD) > 1e-6 {
		t.Errorf("standard deviation %v, want %v", got.SD, want.SD)
	}
	got.SD = want.SD
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// FuzzDecode holds that no text makes the reader of results panic, and that what it takes it writes again.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(`{"format":1}`))
	f.Add([]byte(`{"format":1,"engine":"1","cases_wanted":1,"tally":{"cases":1,"marks":[[5,1]],"minutes":[[3,1]],"rules":[]},"rules":[]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := trial.Decode(text)
		if err != nil {
			return
		}
		if _, err := trial.Decode(encode(t, r)); err != nil {
			t.Errorf("what was read is not read again: %v", err)
		}
		trial.Merge([]trial.Result{r})
	})
}

// TestLongTooth holds that an operator takes longer files in a tooth that the usual ones do not reach the end of,
// and fills it to its length, half a millimetre short, within a millimetre (scatter of a careful hand and the
// locator, assumed).
func TestLongTooth(t *testing.T) {
	s, err := scenario.Parse("long.yaml", []byte("format: 1\nname: long\ntooth: {kind: upper-canine, length: 29 mm}\npulp: necrotic\n"))
	if err != nil {
		t.Fatal(err)
	}
	grown, err := s.Case(2)
	if err != nil {
		t.Fatal(err)
	}
	done := trial.Treat(grown, operator(t, "careful"), 2)
	long := func(a treatment.Action) bool { return a.Do == treatment.Work && strings.HasSuffix(a.Item, "-31mm") }
	c := done.State.Canals[0]
	if !slices.ContainsFunc(done.Actions, long) || math.Abs(c.Fill.Tip-(c.Foramen()-0.5)) > 1 || c.Foramen() < 27 {
		t.Errorf("filled to %.1f mm of %.1f mm", c.Fill.Tip, c.Foramen())
	}
}
