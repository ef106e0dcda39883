package class_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/class"
	"tugback/internal/handin"
	"tugback/internal/scenario"
	"tugback/internal/trial"
	"tugback/scenarios"
)

// wholeVariable asks for the dry run with sixty candidates and the rush with three hundred, as the gate does.
const wholeVariable = "TUGBACK_CLASS"

// cases are the scenarios of the dry run.
var cases = []string{"upper-central-incisor", "lower-premolar"}

// sat is what a candidate hands in for one case, made before the servers start: the same for both
// databases.
type sat struct {
	candidate, attempt string
	lines              []string // the log: one action each
	export             []byte
	want               string // the verdict begins with it
	total              string
	killed             bool // the candidate's program dies in the middle and goes on elsewhere
}

// tamperings are what dishonest candidates do to their export, each with the class of its refusal.
var tamperings = []struct {
	want   string
	change func(t testing.TB, own, other attempt.Record) attempt.Record
}{
	{"digest-differs: ", func(_ testing.TB, own, _ attempt.Record) attempt.Record {
		own.Digest = strings.Repeat("0", len(own.Digest))
		return own
	}},
	{"marks-differ: ", func(_ testing.TB, own, _ attempt.Record) attempt.Record {
		own.Marks.Total += 1
		return own
	}},
	{"not-in-packet: ", func(_ testing.TB, _, other attempt.Record) attempt.Record { return other }},
	{"checkpoint-differs: ", func(_ testing.TB, own, _ attempt.Record) attempt.Record {
		own.Checkpoints = slices.Clone(own.Checkpoints)
		own.Checkpoints[0].Elapsed += 1000
		return own
	}},
}

// seedOf returns the seed of a candidate's case.
func seedOf(candidate, one int) uint64 { return uint64(1000*(one+1) + candidate) }

func id(n int) string { return fmt.Sprintf("c%03d", n) }

// sitting lets an operator treat a candidate's case.
func sitting(t testing.TB, s scenario.Scenario, o scenario.Operator, seed uint64) attempt.Record {
	t.Helper()
	grown, err := s.Case(seed)
	if err != nil {
		t.Fatal(err)
	}
	run, err := attempt.Treat(attempt.Paper{Case: grown, Marker: s.Marker()}, trial.Treat(grown, o, seed).Actions)
	if err != nil {
		t.Fatal(err)
	}
	return run.Close()
}

// satBy makes what n candidates do in each case: every fifth tampers, every third is killed once.
func satBy(t testing.TB, n int) []sat {
	t.Helper()
	operators := loadOperators(t)
	var list []sat
	for one, name := range cases {
		s, err := scenario.LoadFS(scenarios.Files, name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		foreign := sitting(t, s, operators[0], 999_999)
		for i := range n {
			record := sitting(t, s, operators[i%len(operators)], seedOf(i, one))
			sat := sat{candidate: id(i), attempt: name, want: class.Verified, killed: i%3 == 0,
				total: strconv.FormatFloat(record.Marks.Total, 'g', -1, 64)}
			for _, a := range record.Actions {
				sat.lines = append(sat.lines, jsonOf(t, a))
			}
			if i%5 == 4 {
				how := tamperings[(i/5+one)%len(tamperings)]
				record, sat.want, sat.total = how.change(t, record, foreign), how.want, ""
			}
			if sat.export, err = attempt.Encode(record); err != nil {
				t.Fatal(err)
			}
			list = append(list, sat)
		}
	}
	return list
}

func loadOperators(t testing.TB) []scenario.Operator {
	t.Helper()
	var list []scenario.Operator
	for _, name := range []string{"careful", "steady", "hurried", "novice"} {
		text, err := scenarios.Files.ReadFile("operators/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		o, err := scenario.ParseOperator(name, text)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, o)
	}
	return list
}

func jsonOf(t testing.TB, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// dryPaper gives each of n candidates a tooth of their own in each case.
func dryPaper(t testing.TB, n int) class.Upload {
	t.Helper()
	u := class.Upload{Paper: "p", Title: "Dry run"}
	for i := range n {
		var packet class.RecordPacket
		for one, name := range cases {
			packet.Cases = append(packet.Cases, class.RecordCase{Name: name, Seed: strconv.FormatUint(seedOf(i, one), 10)})
		}
		u.Candidates = append(u.Candidates, class.UploadCandidate{ID: id(i), Token: token("p", id(i)), Packet: json.RawMessage(jsonOf(t, packet))})
	}
	return u
}

// patient does what a candidate's program does when the server asks it to wait or does not answer.
func patient(do func() error) error {
	for try := 0; ; try++ {
		err := do()
		code := status(err)
		again := code == -1 || code == http.StatusTooManyRequests || code == http.StatusServiceUnavailable
		if try == 400 || !again {
			return err
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// sit sits one case: fetches the packet, keeps the log in pieces and hands in, twice. A killed one goes
// on from what another server process kept.
func (s sat) sit(t *testing.T, servers []*process, first int) error {
	at := func(i int) handin.Client {
		return handin.Client{Base: "http://" + servers[(first+i)%len(servers)].addr, Token: token("p", s.candidate)}
	}
	own := at(0)
	if err := patient(func() error { _, err := own.Packet(t.Context()); return err }); err != nil {
		return err
	}
	half := len(s.lines) / 2
	send := func(c handin.Client, from, to int) error {
		return patient(func() error {
			return c.Append(t.Context(), s.attempt, handin.Append{From: from, Lines: s.lines[from:to], Session: "session", Step: s.attempt, LeftS: -1})
		})
	}
	if err := send(own, 0, half); err != nil {
		return err
	}
	if s.killed {
		own = at(1)
		var kept handin.Append
		if err := patient(func() (err error) { kept, err = own.Log(t.Context(), s.attempt); return err }); err != nil {
			return err
		}
		if !slices.Equal(kept.Lines, s.lines[:half]) || kept.Session != "session" {
			return fmt.Errorf("%s: %d lines are kept after the kill, want %d", s.candidate, len(kept.Lines), half)
		}
	}
	if err := send(own, half, len(s.lines)); err != nil {
		return err
	}
	var receipts [2]handin.Receipt
	for i := range receipts {
		c := at(i)
		if err := patient(func() (err error) { receipts[i], err = c.Submit(t.Context(), s.attempt, s.export); return err }); err != nil {
			return err
		}
	}
	if receipts[0] != receipts[1] {
		return fmt.Errorf("%s: two receipts for one hand-in", s.candidate)
	}
	return receipts[0].Check(receipts[0].Key)
}

// TestDryRun lets candidates sit two scenarios, by operators, on each database, PostgreSQL with two
// server processes: some are killed and go on elsewhere, some tamper, and a server is killed amid it all. Every honest sitting must be
// verified, every tampered one refused for its reason, nothing lost, and totals equal on both databases.
func TestDryRun(t *testing.T) {
	candidates := 5
	if os.Getenv(wholeVariable) != "" {
		candidates = 60
	}
	list := satBy(t, candidates)
	totals := map[string][]string{}
	for name, place := range places(t) {
		t.Run(name, func(t *testing.T) { totals[name] = dryRun(t, place, name == "postgres", candidates, list) })
	}
	if p := totals["postgres"]; p != nil && !slices.Equal(p, totals["sqlite"]) {
		t.Errorf("totals differ:\n%v\n%v", p, totals["sqlite"])
	}
}

func dryRun(t *testing.T, place string, several bool, candidates int, list []sat) []string {
	t.Helper()
	count := 1
	if several {
		count = 2
	}
	c := open(t, place, class.Options{})
	if err := c.AddPaper(t.Context(), "test", dryPaper(t, candidates)); err != nil {
		t.Fatal(err)
	}
	var servers []*process
	for range count {
		servers = append(servers, start(t, place))
	}
	errs := make([]error, len(list))
	var group sync.WaitGroup
	var done atomic.Int64
	for i, s := range list {
		group.Go(func() { errs[i] = s.sit(t, servers, i); done.Add(1) })
	}
	for int(done.Load()) < len(list)/4 {
		time.Sleep(time.Millisecond)
	}
	servers[0].kill(t) // amid all of it
	t.Logf("a server was killed when %d of %d had handed in", done.Load(), len(list))
	servers[0].run(t)
	group.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	for pending := 1; pending > 0; time.Sleep(200 * time.Millisecond) {
		live, err := c.Live(t.Context(), "p")
		if err != nil {
			t.Fatal(err)
		}
		pending = 0
		for _, l := range live {
			pending += l.Pending
		}
	}
	return verdicts(t, c, list)
}

// verdicts compares what is kept with what was handed in and returns a line for each.
func verdicts(t *testing.T, c *class.Class, list []sat) []string {
	t.Helper()
	want := map[string]sat{}
	for _, s := range list {
		want[s.candidate+" "+s.attempt] = s
	}
	var lines []string
	verified, refused := 0, 0
	err := c.Sittings(t.Context(), "p", "", func(s class.Sitting) error {
		name := s.Candidate + " " + s.Attempt
		w, found := want[name]
		delete(want, name)
		if !found || !bytes.Equal(s.Data, w.export) {
			t.Errorf("%s is kept twice or not as handed in", name)
		}
		if !strings.HasPrefix(s.Verdict, w.want) || s.Total != w.total {
			t.Errorf("%s: got verdict %.200q, total %q, want %q, %q", name, s.Verdict, s.Total, w.want, w.total)
		}
		if s.Verdict == class.Verified {
			verified++
		} else {
			refused++
		}
		lines = append(lines, name+" "+s.Total+" "+w.want)
		return nil
	})
	if err != nil || len(want) > 0 {
		t.Errorf("%d hand-ins are lost, error %v", len(want), err)
	}
	live, err := c.Live(t.Context(), "p")
	if err != nil || len(live) == 0 || live[0].Handed != len(cases) || live[0].Lines == 0 || live[0].Pending != 0 {
		t.Errorf("the live list is %+v, error %v", live, err)
	}
	t.Logf("%d verified, %d refused, none lost", verified, refused)
	return lines
}

// TestRush lets many candidates hand in at once: none lost, none doubled; how long they wait is printed.
func TestRush(t *testing.T) {
	candidates := 40
	if os.Getenv(wholeVariable) != "" {
		candidates = 300
	}
	s, err := scenario.LoadFS(scenarios.Files, cases[0]+".yaml")
	if err != nil {
		t.Fatal(err)
	}
	export, err := attempt.Encode(sitting(t, s, loadOperators(t)[0], 1))
	if err != nil {
		t.Fatal(err)
	}
	onBoth(t, func(t *testing.T, place string) {
		kept := open(t, place, class.Options{})
		if err := kept.AddPaper(t.Context(), "test", dryPaper(t, candidates)); err != nil {
			t.Fatal(err)
		}
		server := start(t, place)
		took := make([]time.Duration, candidates)
		errs := make([]error, candidates)
		var group sync.WaitGroup
		began := time.Now()
		for i := range candidates {
			group.Go(func() {
				c := handin.Client{Base: "http://" + server.addr, Token: token("p", id(i))}
				own := append(bytes.Clone(export), fmt.Sprintf(" %d", i)...)
				start := time.Now()
				errs[i] = patient(func() error { _, err := c.Submit(t.Context(), cases[0], own); return err })
				took[i] = time.Since(start)
			})
		}
		group.Wait()
		whole := time.Since(began)
		if err := errors.Join(errs...); err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		if err := kept.Sittings(t.Context(), "p", "", func(s class.Sitting) error {
			n, _ := strconv.Atoi(strings.TrimPrefix(s.Candidate, "c"))
			if seen[s.Candidate] || !bytes.HasSuffix(s.Data, fmt.Appendf(nil, " %d", n)) {
				t.Errorf("%s is doubled or another's", s.Candidate)
			}
			seen[s.Candidate] = true
			return nil
		}); err != nil || len(seen) != candidates {
			t.Errorf("%d of %d are kept, error %v", len(seen), candidates, err)
		}
		slices.Sort(took)
		p99 := took[len(took)*99/100]
		t.Logf("%d hand-ins of %d kB in %.2f s, none lost, none doubled; half within %v, p99 %v",
			candidates, len(export)/1000, whole.Seconds(), took[len(took)/2].Round(time.Millisecond), p99.Round(time.Millisecond))
		if whole > time.Minute {
			t.Errorf("took %v, want a minute at most", whole)
		}
	})
}
