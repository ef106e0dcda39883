package class_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gowebpki/jcs"

	"tugback/internal/class"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/internal/trial"
	"tugback/scenarios"
)

// wholeVariable asks for the dry run with sixty candidates and the rush with three hundred, as the gate does.
const wholeVariable = "TUGBACK_CLASS"

// cases are the scenarios of the dry run.
var cases = []string{"upper-central-incisor", "lower-premolar"}

func id(n int) string { return fmt.Sprintf("c%03d", n) }

func ids(n int) []string {
	var list []string
	for i := range n {
		list = append(list, id(i))
	}
	return list
}

// sitter is a candidate of the dry run: what an operator does in each case on the candidate's own teeth, and
// how the sitting goes.
type sitter struct {
	id, paper string
	packet    exam.Packet // whole
	actions   [][]treatment.Action
	killed    bool   // the candidate's program dies in the middle and goes on elsewhere
	tamper    string // the code of the refusal that the tampering earns, "" honest
	took      func(time.Duration)
}

// tampered are the codes of what dishonest candidates do: hand in what was changed after signing, what was changed
// and signed anew, another candidate's sitting, half a file, and a second sitting on the same tooth as the first.
var tampered = []exam.Code{exam.CandidateSignature, exam.AlteredOutcome, exam.WrongPaper, exam.Truncated, exam.ServerLog}

// sitters makes the candidates of an upload: every fifth tampers unless all are honest, every third is killed
// once. The teeth are treated by operators on all processors.
func sitters(t testing.TB, u class.Upload, honest bool) []sitter {
	t.Helper()
	operators := loadOperators(t)
	list := make([]sitter, len(u.Candidates))
	next := make(chan int)
	var group sync.WaitGroup
	for range runtime.NumCPU() {
		group.Go(func() {
			for i := range next {
				s := sitter{id: u.Candidates[i].ID, paper: u.Paper, packet: must(exam.DecodePacket(u.Candidates[i].Packet)), killed: i%3 == 0}
				if i%5 == 4 && !honest {
					s.tamper = string(tampered[i/5%len(tampered)])
				}
				for n := range s.packet.Cases {
					_, grown, err := s.packet.Scenario(n)
					if err != nil {
						panic(err)
					}
					s.actions = append(s.actions, trial.Treat(grown.Case, operators[i%len(operators)], grown.Case.Seed).Actions)
				}
				list[i] = s
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	group.Wait()
	return list
}

func loadOperators(t testing.TB) []scenario.Operator {
	t.Helper()
	var list []scenario.Operator
	for _, name := range []string{"careful", "steady", "hurried", "novice"} {
		list = append(list, must(scenario.ParseOperator(name, must(scenarios.Files.ReadFile("operators/"+name+".yaml")))))
	}
	return list
}

func jsonOf(t testing.TB, v any) string {
	t.Helper()
	return string(must(json.Marshal(v)))
}

// patient does what a candidate's program does when the server asks it to wait or does not answer.
func patient(do func() error) error {
	for try := 0; ; try++ {
		err := do()
		code := status(err)
		again := code == -1 || code == http.StatusTooManyRequests || code == http.StatusServiceUnavailable
		if try == 600 || !again {
			return err
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// remote is the log of a sitting whose lines go to the class server a few at a time, as a candidate's program
// sends them while it goes on.
type remote struct {
	ctx    context.Context //nolint:containedctx // that of the test
	to     func() handin.Client
	sent   int
	waits  []string
	atOnce int
}

// Append implements exam.Log.
func (r *remote) Append(lines [][]byte) error {
	for _, line := range lines {
		r.waits = append(r.waits, string(line))
	}
	if len(r.waits) < r.atOnce {
		return nil
	}
	return r.flush()
}

func (r *remote) flush() error {
	a := handin.Append{From: r.sent, Lines: r.waits, Step: "sitting", LeftS: -1}
	if err := patient(func() error { return r.to().Append(r.ctx, "1", a) }); err != nil {
		return err
	}
	r.sent, r.waits = r.sent+len(r.waits), nil
	return nil
}

// sit sits the packet on the candidate's own machine, sends the log as it goes and hands in, twice. A killed one
// goes on from what the server has, at another process.
func (s sitter) sit(ctx context.Context, at func(i int) handin.Client) error {
	own := at(0)
	var text []byte
	if err := patient(func() (err error) { text, err = own.Packet(ctx); return err }); err != nil {
		return err
	}
	packet, err := exam.DecodePacket(text)
	if err != nil {
		return err
	}
	log := &remote{ctx: ctx, to: func() handin.Client { return own }, atOnce: 25}
	sitting, err := exam.Begin(packet, 1, exam.Options{Log: log})
	if err != nil {
		return err
	}
	total := len(s.actions[0]) + len(s.actions[1])
	if s.killed {
		if err := s.treat(sitting, total/2); err != nil {
			return err
		}
		own = at(1) // what was not sent yet is lost with the program
		if sitting, err = s.resume(ctx, packet, own, log); err != nil {
			return err
		}
	}
	if err := s.treat(sitting, total); err != nil {
		return err
	}
	if err := s.answer(sitting); err != nil {
		return err
	}
	export, err := sitting.Submit()
	if err == nil {
		err = log.flush()
	}
	if err == nil {
		export, err = s.falsify(export)
	}
	if err != nil {
		return err
	}
	return s.handIn(ctx, at, export)
}

// resume goes on from the lines that the server has.
func (s sitter) resume(ctx context.Context, packet exam.Packet, from handin.Client, log *remote) (*exam.Sitting, error) {
	var kept handin.Append
	if err := patient(func() (err error) { kept, err = from.Log(ctx, "1"); return err }); err != nil {
		return nil, err
	}
	log.sent, log.waits = len(kept.Lines), nil
	lines := make([][]byte, len(kept.Lines))
	for i, line := range kept.Lines {
		lines[i] = []byte(line)
	}
	return exam.Resume(packet, lines, exam.Options{Log: log})
}

// treat does the operator's actions that are not done yet, until so many are done in all.
func (s sitter) treat(sitting *exam.Sitting, until int) error {
	count := 0
	for n, actions := range s.actions {
		done := len(sitting.Run(n).Actions())
		for k, a := range actions {
			if count++; count > until {
				return nil
			}
			if k < done {
				continue
			}
			if _, err := sitting.Do(n, a); err != nil {
				return fmt.Errorf("%s, case %d, action %d: %w", s.id, n+1, k+1, err)
			}
		}
	}
	return nil
}

// responseTo answers a question somehow, rightly or not.
func (s sitter) responseTo(q exam.Shown) quiz.Response {
	if q.Item.Kind == quiz.Numeric {
		return quiz.Response{Value: 2}
	}
	return quiz.Response{Chosen: []string{q.Item.Options[len(s.id)%len(q.Item.Options)].ID}}
}

func (s sitter) answer(sitting *exam.Sitting) error {
	for _, q := range s.packet.Items {
		if err := sitting.Answer(q.Item.ID, s.responseTo(q)); err != nil {
			return err
		}
	}
	return nil
}

// falsify does to an export what a dishonest candidate does.
func (s sitter) falsify(export []byte) ([]byte, error) {
	switch exam.Code(s.tamper) {
	case exam.CandidateSignature:
		return bytes.Replace(export, []byte(`"elapsed_ms":`), []byte(`"elapsed_ms":1`), 1), nil
	case exam.AlteredOutcome:
		return s.signedAnew(export)
	case exam.WrongPaper, exam.ServerLog:
		return s.satAgain(exam.Code(s.tamper))
	case exam.Truncated:
		return export[:len(export)/2], nil
	default:
		return export, nil
	}
}

// signedAnew betters a figure of the outcome and signs with the key of the packet, as a program of the
// candidate's own could.
func (s sitter) signedAnew(export []byte) ([]byte, error) {
	var e exam.Export
	if err := json.Unmarshal(export, &e); err != nil {
		return nil, err
	}
	e.Cases[0].Outcome.Metrics[0].Value++
	e.Signature = ""
	text, err := json.Marshal(e)
	if err == nil {
		text, err = jcs.Transform(text)
	}
	seed, err2 := hex.DecodeString(s.packet.Key)
	if err := errors.Join(err, err2); err != nil {
		return nil, err
	}
	e.Signature = hex.EncodeToString(ed25519.Sign(ed25519.NewKeyFromSeed(seed), text))
	if text, err = json.Marshal(e); err != nil {
		return nil, err
	}
	return jcs.Transform(text)
}

// satAgain sits in private: the packet of the first candidate, or the own one a second time.
func (s sitter) satAgain(why exam.Code) ([]byte, error) {
	packet := s.packet
	if why == exam.WrongPaper {
		packet = must(exam.DecodePacket(firstPacket))
	}
	sitting, err := exam.Begin(packet, 1, exam.Options{})
	if err != nil {
		return nil, err
	}
	for _, a := range s.actions[0][:3] {
		if _, err := sitting.Do(0, a); err != nil {
			return nil, err
		}
	}
	return sitting.Submit()
}

// handIn hands in at two processes: one receipt.
func (s sitter) handIn(ctx context.Context, at func(i int) handin.Client, export []byte) error {
	var receipts [2]handin.Receipt
	for i := range receipts {
		c := at(i)
		if err := patient(func() (err error) { receipts[i], err = c.Submit(ctx, "1", export); return err }); err != nil {
			return err
		}
	}
	if receipts[0] != receipts[1] || receipts[0].Digest != exam.Digest(export) {
		return fmt.Errorf("%s: two receipts for one hand-in, or one for another", s.id)
	}
	return receipts[0].Check(receipts[0].Key)
}

// step sits the packet step by step on the server, each step at the next process; one that was killed comes
// back with begin. The candidate's program knows no tooth: the operator's actions were planned before.
func (s sitter) step(ctx context.Context, at func(i int) handin.Client) error {
	n := 0
	ask := func(step handin.Step) (seen handin.Seen, err error) {
		err = patient(func() error {
			n++
			begun := time.Now()
			seen, err = at(n/40).Step(ctx, "1", step) // a proxy sends now here, now there
			if err == nil {
				s.took(time.Since(begun))
			}
			return err
		})
		if err == nil && seen.Refused {
			err = fmt.Errorf("%s: refused: %s", s.id, strings.Join(seen.Said, " "))
		}
		return seen, err
	}
	seen, err := ask(handin.Step{Do: handin.StepBegin})
	if err != nil {
		return err
	}
	for one, actions := range s.actions {
		for k := range actions {
			if s.killed && k == len(actions)/2 {
				if seen, err = ask(handin.Step{Do: handin.StepBegin, Case: one}); err != nil || seen.Actions[one] != k {
					return fmt.Errorf("%s: %d actions are done after the kill, want %d, error %w", s.id, seen.Actions[one], k, err)
				}
			}
			if seen, err = ask(handin.Step{Do: handin.StepAction, Acts: seen.Acts, Case: one, Action: &actions[k]}); err != nil {
				return fmt.Errorf("%s, case %d, action %d: %w", s.id, one+1, k+1, err)
			}
		}
	}
	for _, q := range s.packet.Items {
		r := s.responseTo(q)
		if seen, err = ask(handin.Step{Do: handin.StepAnswer, Acts: seen.Acts, Item: q.Item.ID, Answer: &r}); err != nil {
			return err
		}
	}
	if s.tamper != "" { // to write the log and hand in by themselves is all that is left to try
		c := at(0)
		forged := []byte(`{"schema":"tugback-sitting-1"}`)
		if _, err := c.Submit(ctx, "1", forged); status(err) != http.StatusForbidden && status(err) != http.StatusTooManyRequests {
			return fmt.Errorf("%s hands in what was not stepped: %w", s.id, err)
		}
	}
	_, err = ask(handin.Step{Do: handin.StepSubmit})
	return err
}

// firstPacket is the packet of the first candidate, which others hand in the sitting of.
var firstPacket []byte

// TestDryRun lets candidates sit two scenarios, by operators, on each database, PostgreSQL with two server
// processes: on machines of their own that send their logs, and, some, step by step on the server. Some are
// killed and go on elsewhere, some tamper, and a server is killed amid it all. Every honest sitting must be
// verified, every tampered one refused for its reason, nothing lost, and totals equal on both databases.
func TestDryRun(t *testing.T) {
	candidates, stepping := 10, 3
	if os.Getenv(wholeVariable) != "" {
		candidates, stepping = 60, 15
	}
	own := sealed(t, ids(candidates), nil)
	on := sealed(t, ids(stepping), func(p *exam.Paper) { p.ID = "stepped" })
	on.Stepped = true
	for i := range on.Candidates {
		on.Candidates[i].Token = token("stepped", on.Candidates[i].ID)
	}
	firstPacket = own.Candidates[0].Packet
	list := append(sitters(t, own, false), sitters(t, on, false)...)
	totals := map[string][]string{}
	for name, place := range places(t) {
		t.Run(name, func(t *testing.T) { totals[name] = dryRun(t, place, name == "postgres", []class.Upload{own, on}, list) })
	}
	if p := totals["postgres"]; p != nil && !slices.Equal(p, totals["sqlite"]) {
		t.Errorf("totals differ:\n%v\n%v", p, totals["sqlite"])
	}
}

func dryRun(t *testing.T, place string, several bool, papers []class.Upload, list []sitter) []string {
	t.Helper()
	count := 1
	if several {
		count = 2
	}
	c := open(t, place, class.Options{})
	for _, u := range papers {
		if err := c.AddPaper(t.Context(), "test", u); err != nil {
			t.Fatal(err)
		}
	}
	var servers []*process
	for range count {
		servers = append(servers, start(t, place))
	}
	errs := make([]error, len(list))
	var group sync.WaitGroup
	var done atomic.Int64
	room := make(chan struct{}, 24) // candidates who act at the same moment
	steps := &durations{}
	for i, s := range list {
		at := func(k int) handin.Client {
			return handin.Client{Base: "http://" + servers[(i+k)%len(servers)].addr, Token: token(s.paper, s.id)}
		}
		group.Go(func() {
			room <- struct{}{}
			defer func() { <-room; done.Add(1) }()
			if s.took = steps.add; s.paper == "stepped" {
				errs[i] = s.step(t.Context(), at)
			} else {
				errs[i] = s.sit(t.Context(), at)
			}
		})
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
	t.Logf("%d steps on the server, half within %v, p99 %v", len(steps.all), steps.part(50), steps.part(99))
	return verdicts(t, c, list)
}

// durations are how long something took, many times.
type durations struct {
	sync.Mutex
	all []time.Duration
}

func (d *durations) add(one time.Duration) {
	d.Lock()
	defer d.Unlock()
	d.all = append(d.all, one)
}

// part returns within what time some per cent of them were done.
func (d *durations) part(percent int) time.Duration {
	slices.Sort(d.all)
	return d.all[len(d.all)*percent/100].Round(time.Millisecond)
}

// judged waits until every hand-in of a paper is judged and returns the live list.
func judged(t *testing.T, c *class.Class, paper string) []class.Live {
	t.Helper()
	for {
		live, err := c.Live(t.Context(), paper)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(live, func(l class.Live) bool { return l.Pending > 0 }) {
			return live
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// verdicts compares what is kept with what was done and returns a line for each sitting.
func verdicts(t *testing.T, c *class.Class, list []sitter) []string {
	t.Helper()
	want := map[string]sitter{}
	for _, s := range list {
		want[s.paper+" "+s.id] = s
	}
	var out []string
	verified, refused := 0, map[string]int{}
	for _, paper := range []string{"p", "stepped"} {
		live := judged(t, c, paper)
		for _, l := range live {
			if l.Handed != 1 || l.Lines == 0 || l.State() != "handed in" {
				t.Errorf("the live list has %+v", l)
			}
		}
		err := c.Sittings(t.Context(), paper, "", func(s class.Sitting) error {
			name := s.Paper + " " + s.Candidate
			w, found := want[name]
			delete(want, name)
			code, _, _ := strings.Cut(s.Verdict, ":")
			honest := w.tamper == "" || paper == "stepped"
			if !found || honest != (code == class.Verified && s.Total != "") || !honest && code != w.tamper {
				t.Errorf("%s: got verdict %.200q, total %q, tampered for %q", name, s.Verdict, s.Total, w.tamper)
			}
			if code == class.Verified {
				verified++
			} else {
				refused[code]++
			}
			out = append(out, name+" "+s.Total+" "+code)
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	}
	if len(want) > 0 {
		t.Errorf("%d hand-ins are lost", len(want))
	}
	t.Logf("%d verified, refused: %v; none lost", verified, refused)
	return out
}

// TestRush lets many candidates hand in their own sittings at once: none lost, none doubled, all verified; how
// long they wait is printed.
func TestRush(t *testing.T) {
	candidates := 40
	if os.Getenv(wholeVariable) != "" {
		candidates = 300
	}
	u := sealed(t, ids(candidates), nil)
	exports := make([][]byte, candidates)
	for i := range exports {
		exports[i], _ = satLocally(t, u.Candidates[i].Packet, 1, short(t, 2))
	}
	onBoth(t, func(t *testing.T, place string) {
		kept := open(t, place, class.Options{})
		if err := kept.AddPaper(t.Context(), "test", u); err != nil {
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
				start := time.Now()
				errs[i] = patient(func() error { _, err := c.Submit(t.Context(), "1", exports[i]); return err })
				took[i] = time.Since(start)
			})
		}
		group.Wait()
		whole := time.Since(began)
		if err := errors.Join(errs...); err != nil {
			t.Fatal(err)
		}
		judged(t, kept, "p")
		seen := map[string]bool{}
		if err := kept.Sittings(t.Context(), "p", "", func(s class.Sitting) error {
			n := must(strconv.Atoi(strings.TrimPrefix(s.Candidate, "c")))
			if seen[s.Candidate] || !bytes.Equal(s.Data, exports[n]) || s.Verdict != class.Verified {
				t.Errorf("%s is doubled, another's, or not verified: %s", s.Candidate, s.Verdict)
			}
			seen[s.Candidate] = true
			return nil
		}); err != nil || len(seen) != candidates {
			t.Errorf("%d of %d are kept, error %v", len(seen), candidates, err)
		}
		all := &durations{all: took}
		t.Logf("%d hand-ins of %d kB in %.2f s, none lost, none doubled; half within %v, p99 %v",
			candidates, len(exports[0])/1000, whole.Seconds(), all.part(50), all.part(99))
		if whole > time.Minute {
			t.Errorf("took %v, want a minute at most", whole)
		}
	})
}
