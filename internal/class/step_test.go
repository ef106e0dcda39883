package class_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"tugback/internal/class"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/quiz"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// must returns a value, or ends the program: what it is used for can't fail but by a fault of the test.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// sealed seals a paper p of the dry run's cases with two questions for some candidates and returns it as it is
// uploaded. Their seeds are chosen by the paper.
func sealed(t testing.TB, ids []string, change func(*exam.Paper)) class.Upload {
	t.Helper()
	paper := exam.Paper{ID: "p", Title: "A sealed paper", Items: specimen.Questions(t, quiz.Single, quiz.Numeric), Terms: exam.Terms{Attempts: 1}}
	paper.Cases = specimen.Cases(t, cases...)
	for _, id := range ids {
		paper.Candidates = append(paper.Candidates, exam.Candidate{ID: id, TimeFactor: 1})
	}
	if change != nil {
		change(&paper)
	}
	paper = specimen.Seal(t, paper)
	u := class.Upload{Paper: paper.ID, Title: paper.Title, Sealed: must(paper.Encode())}
	for _, id := range ids {
		u.Candidates = append(u.Candidates, class.UploadCandidate{ID: id, Token: token("p", id), Packet: specimen.Packet(t, paper, id), Opens: paper.Terms.FromS, Closes: paper.Terms.UntilS})
	}
	return u
}

// stepped opens a class with a stepped paper for two at time 1500.
func stepped(t *testing.T, place string, change func(*exam.Paper)) (*class.Class, *clock, *httptest.Server) {
	t.Helper()
	at := &clock{}
	at.at.Store(1500)
	c := open(t, place, class.Options{Now: at.now})
	u := sealed(t, []string{"ann", "bo"}, change)
	u.Stepped = true
	if err := c.AddPaper(t.Context(), "test", u); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(c.Handler(nil, quiet, false))
	t.Cleanup(server.Close)
	return c, at, server
}

// short returns the first actions of the hurried plan for the first case.
func short(t testing.TB, n int) []treatment.Action {
	t.Helper()
	return specimen.Plan(t, cases[0]+".hurried").Steps[:n]
}

// TestStep steps a sitting on the server: nothing of the tooth is handed out, every act is answered with what
// may be seen, a step asked twice is done once, what is refused does nothing, and the submitted sitting has
// a receipt and stands verification.
func TestStep(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, at, server := stepped(t, place, func(p *exam.Paper) { p.Terms.See = []string{exam.SeeHints} })
		ann := client(server, "ann")
		outside := noTooth(t, ann)
		if _, err := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepLine, Line: "look"}); status(err) != 404 {
			t.Errorf("before it begins: %v", err)
		}
		seen, err := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepBegin})
		if err != nil || !strings.Contains(strings.Join(seen.Said, "\n"), outside.Cases[0].Title) || seen.Acts != 0 || seen.LeftS != -1 {
			t.Fatalf("begin: %+v, error %v", seen, err)
		}
		if _, err := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepLine, Acts: -1, Line: "look"}); status(err) != 409 {
			t.Errorf("a step before the first: %v", err)
		}
		steps := short(t, 4)
		for i := range steps {
			at.at.Add(10)
			one := handin.Step{Do: handin.StepAction, Acts: i, Action: &steps[i]}
			first, err := ann.Step(t.Context(), "1", one)
			again, err2 := ann.Step(t.Context(), "1", one)
			if err != nil || err2 != nil || first.Refused || first.Acts != i+1 || first.Actions[0] != i+1 || !slices.Equal(first.Said, again.Said) || again.Acts != i+1 {
				t.Fatalf("action %d: %+v, then %+v, errors %v %v", i+1, first, again, err, err2)
			}
		}
		lines(t, ann, outside)
		seen, err = ann.Step(t.Context(), "1", handin.Step{Do: handin.StepSubmit})
		again, err2 := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepSubmit})
		if err != nil || err2 != nil || !seen.Submitted || string(seen.Receipt) != string(again.Receipt) {
			t.Fatalf("submit: %+v, then %+v, errors %v %v", seen, again, err, err2)
		}
		var receipt handin.Receipt
		if err := json.Unmarshal(seen.Receipt, &receipt); err != nil || receipt.Check(receipt.Key) != nil || receipt.Late {
			t.Errorf("receipt %s, error %v", seen.Receipt, err)
		}
		if _, err := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepLine, Acts: 8, Line: "judge refer"}); err == nil {
			seen, _ := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepBegin})
			if seen.Acts != 8 || !seen.Submitted {
				t.Errorf("something is done after submitting: %+v", seen)
			}
		}
		verdictIs(t, c, "ann", class.Verified)
	})
}

// noTooth holds that a packet handed out for a stepped paper has no tooth, key or rule in it, and that the
// candidate cannot write the log or hand in by themselves.
func noTooth(t *testing.T, who handin.Client) exam.Packet {
	t.Helper()
	text, err := who.Packet(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var outside exam.Packet
	if err := json.Unmarshal(text, &outside); err != nil {
		t.Fatal(err)
	}
	for _, c := range outside.Cases {
		if c.Text+c.Seed != "" || c.Rules != nil {
			t.Errorf("the packet holds the tooth of %s", c.Name)
		}
	}
	if outside.Key != "" || len(outside.Items) != 2 {
		t.Errorf("the packet holds a key, or %d questions", len(outside.Items))
	}
	_, submit := who.Submit(t.Context(), "1", []byte("{}"))
	_, log := who.Log(t.Context(), "1")
	for what, err := range map[string]error{"append": who.Append(t.Context(), "1", handin.Append{Lines: []string{"x"}}), "submit": submit, "log": log} {
		if status(err) != 403 {
			t.Errorf("%s: got %v, want 403", what, err)
		}
	}
	return outside
}

// lines does the rest of TestStep's sitting: lines of text, answers, a look, and what is refused; four acts.
func lines(t *testing.T, ann handin.Client, outside exam.Packet) {
	t.Helper()
	number := outside.Items[slices.IndexFunc(outside.Items, func(i exam.Shown) bool { return i.Item.Kind == quiz.Numeric })].Item.ID
	for _, step := range []struct {
		ask     handin.Step
		acts    int
		refused bool
		says    string
		status  int
	}{
		{handin.Step{Do: handin.StepLine, Acts: 4, Case: 1, Line: "judge choice treat difficulty low"}, 5, false, "The case was judged", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "go measure"}, 5, false, "Step 5", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "fill canal"}, 5, true, "", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "rewind"}, 5, true, "begins with one of", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "section"}, 5, true, "does not allow", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "hint"}, 6, false, "", 0},
		{handin.Step{Do: handin.StepLine, Acts: 5, Case: 1, Line: "hint"}, 6, false, "", 0},
		{handin.Step{Do: handin.StepAnswer, Acts: 6, Item: number, Answer: &quiz.Response{Value: 3}}, 7, false, "kept", 0},
		{handin.Step{Do: handin.StepAnswer, Acts: 7, Item: number, Answer: &quiz.Response{Chosen: []string{"o1"}}}, 7, true, "does not take", 0},
		{handin.Step{Do: handin.StepAnswer, Acts: 7, Item: "none", Answer: &quiz.Response{}}, 7, true, "no question", 0},
		{handin.Step{Do: handin.StepAnswer, Acts: 7, Item: number, Answer: &quiz.Response{Value: 4}}, 8, false, "kept", 0},
		{handin.Step{Do: handin.StepRest, Acts: 8}, 8, true, "No rest is left", 0},
		{handin.Step{Do: "sleep", Acts: 8}, 8, true, "not known", 0},
		{handin.Step{Do: handin.StepAction, Acts: 8}, 8, true, "missing", 0},
		{handin.Step{Do: handin.StepLine, Acts: 3, Line: "look"}, 0, false, "", 409},
		{handin.Step{Do: handin.StepAction, Acts: 7, Action: &treatment.Action{Do: treatment.Find}}, 0, false, "", 409},
		{handin.Step{Do: handin.StepLine, Acts: 8, Case: 9, Line: "look"}, 0, false, "", 409},
		{handin.Step{Do: handin.StepLine, Acts: 8, Line: strings.Repeat("x", 70_000)}, 0, false, "", 413},
	} {
		seen, err := ann.Step(t.Context(), "1", step.ask)
		if status(err) != step.status || err == nil && (seen.Acts != step.acts || seen.Refused != step.refused || !strings.Contains(strings.Join(seen.Said, "\n"), step.says)) {
			t.Errorf("%.80s: got %+v, error %v", jsonOf(t, step.ask), seen, err)
		}
	}
	for _, name := range []string{"2", "01", "x", "0"} {
		if _, err := ann.Step(t.Context(), name, handin.Step{Do: handin.StepBegin}); status(err) != 413 && status(err) != 400 {
			t.Errorf("attempt %s begins: %v", name, err)
		}
	}
}

// verdictIs judges what is pending and holds the verdicts of a candidate's hand-ins.
func verdictIs(t *testing.T, c *class.Class, id string, want ...string) {
	t.Helper()
	for n := 1; n > 0; {
		var err error
		if n, err = c.JudgePending(t.Context(), 1); err != nil {
			t.Fatal(err)
		}
	}
	var got []string
	if err := c.Sittings(t.Context(), "p", id, func(s class.Sitting) error {
		head, _, _ := strings.Cut(s.Verdict, ":")
		if head != s.Verdict && len(want) > 0 && !slices.Contains(want, head) {
			t.Log(s.Verdict)
		}
		got = append(got, head)
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("verdicts on %s: got %q, want %q", id, got, want)
	}
}

// TestStepResume lets three processes, that know nothing of one another but the database, step one sitting in
// turn and all at once: every act is done exactly once, what was in hand stays in hand, and it verifies.
func TestStepResume(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, at, _ := stepped(t, place, nil)
		processes := []*class.Class{c, open(t, place, class.Options{Now: at.now}), open(t, place, class.Options{Now: at.now})}
		who, err := c.ByToken(t.Context(), token("p", "ann"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := processes[2].Step(t.Context(), who, "1", handin.Step{Do: handin.StepBegin}); err != nil {
			t.Fatal(err)
		}
		for i, a := range short(t, 6) {
			at.at.Add(5)
			p := processes[i%3]
			if i == 3 { // what is typed at one process is known at the next
				if seen, err := p.Step(t.Context(), who, "1", handin.Step{Do: handin.StepLine, Acts: i, Line: "go review"}); err != nil || !strings.Contains(seen.Ask, "10") {
					t.Fatalf("%+v, error %v", seen, err)
				}
				if seen, err := processes[1].Step(t.Context(), who, "1", handin.Step{Do: handin.StepLine, Acts: i, Line: "look"}); err != nil || !strings.Contains(seen.Ask, "10") {
					t.Fatalf("%+v, error %v", seen, err)
				}
			}
			if seen, err := p.Step(t.Context(), who, "1", handin.Step{Do: handin.StepAction, Acts: i, Action: &a}); err != nil || seen.Acts != i+1 || seen.Refused {
				t.Fatalf("action %d: %+v, error %v", i+1, seen, err)
			}
		}
		atOnce(t, processes, who)
		if _, err := processes[1].Step(t.Context(), who, "1", handin.Step{Do: handin.StepSubmit}); err != nil {
			t.Fatal(err)
		}
		if seen, err := processes[0].Step(t.Context(), who, "1", handin.Step{Do: handin.StepBegin}); err != nil || !seen.Submitted || seen.Receipt == nil {
			t.Errorf("come back after submitting: %+v, error %v", seen, err)
		}
		verdictIs(t, c, "ann", class.Verified)
	})
}

// atOnce asks the same step of all processes at once: it is done once.
func atOnce(t *testing.T, processes []*class.Class, who class.Candidate) {
	t.Helper()
	wait := treatment.Action{Do: treatment.Wait, Time: 60_000}
	var group sync.WaitGroup
	for _, p := range processes {
		group.Go(func() {
			seen, err := p.Step(t.Context(), who, "1", handin.Step{Do: handin.StepAction, Acts: 6, Action: &wait})
			if err != nil && !errors.Is(err, class.ErrConflict) || err == nil && (seen.Acts != 7 || seen.Refused) {
				t.Errorf("at once: %+v, error %v", seen, err)
			}
		})
	}
	group.Wait()
	seen, err := processes[0].Step(t.Context(), who, "1", handin.Step{Do: handin.StepBegin})
	if err != nil || seen.Acts != 7 {
		t.Errorf("after all at once: %+v, error %v", seen, err)
	}
}

// TestCollectOver holds that a stepped sitting whose time is over is refused further acts, is collected a minute
// later with what was done, and verifies; one that has time left, and one that rests, are left alone.
func TestCollectOver(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, at, server := stepped(t, place, func(p *exam.Paper) {
			p.Terms.LimitS = 100
			p.Candidates[1].RestS = 1000
		})
		ann, bo := client(server, "ann"), client(server, "bo")
		a := short(t, 1)[0]
		for _, who := range []handin.Client{ann, bo} {
			if _, err := who.Step(t.Context(), "1", handin.Step{Do: handin.StepBegin}); err != nil {
				t.Fatal(err)
			}
			if _, err := who.Step(t.Context(), "1", handin.Step{Do: handin.StepAction, Action: &a}); err != nil {
				t.Fatal(err)
			}
		}
		if seen, err := bo.Step(t.Context(), "1", handin.Step{Do: handin.StepRest, Acts: 1}); err != nil || !seen.Resting {
			t.Fatalf("rest: %+v, error %v", seen, err)
		}
		collects := func(want int) {
			t.Helper()
			if n, err := c.CollectOver(t.Context()); err != nil || n != want {
				t.Errorf("at %d: %d collected, error %v, want %d", at.at.Load(), n, err, want)
			}
		}
		collects(0)
		at.at.Add(110)
		if seen, err := ann.Step(t.Context(), "1", handin.Step{Do: handin.StepLine, Acts: 1, Line: "judge refer"}); err != nil || !seen.Refused || !strings.Contains(seen.Said[0], "time is over") {
			t.Errorf("after the time: %+v, error %v", seen, err)
		}
		collects(0)
		at.at.Add(61)
		collects(1)
		collects(0)
		verdictIs(t, c, "ann", class.Verified)
		if seen, err := bo.Step(t.Context(), "1", handin.Step{Do: handin.StepBack, Acts: 2}); err != nil || seen.Resting || seen.LeftS != 100 {
			t.Errorf("after the rest: %+v, error %v", seen, err)
		}
		at.at.Add(5000)
		collects(1)
		verdictIs(t, c, "bo", class.Verified)
	})
}

// TestCollectPast holds that a sitting that cannot be collected keeps no other from being collected.
func TestCollectPast(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, at, server := stepped(t, place, func(p *exam.Paper) { p.Terms.LimitS = 100 })
		for _, name := range []string{"ann", "bo"} {
			if _, err := client(server, name).Step(t.Context(), "1", handin.Step{Do: handin.StepBegin}); err != nil {
				t.Fatal(err)
			}
		}
		c.Spoil(t, "ann")
		at.at.Add(200)
		if n, err := c.CollectOver(t.Context()); n != 1 || err == nil || !strings.Contains(err.Error(), `"ann"`) {
			t.Errorf("%d collected, error %v; want 1, and an error about ann", n, err)
		}
		verdictIs(t, c, "bo", class.Verified)
	})
}

// TestSealedUpload holds that a sealed paper is taken with the packets it belongs to and no others, and that
// packets without their paper are refused.
func TestSealedUpload(t *testing.T) {
	c := open(t, t.TempDir(), class.Options{})
	for want, change := range map[string]func(*class.Upload){
		"the sealed paper is missing": func(u *class.Upload) { u.Sealed, u.Stepped = nil, true },
		"which is missing":            func(u *class.Upload) { u.Sealed = nil },
		"sealed: ":                    func(u *class.Upload) { u.Sealed = json.RawMessage(`{"schema":"tugback-paper-1"}`) },
		"it is of candidate bo":       func(u *class.Upload) { u.Candidates[0].Packet = u.Candidates[1].Packet },
		"it is the paper p, not q":    func(u *class.Upload) { u.Paper = "q" },
		"candidates[1]: packet: ":     func(u *class.Upload) { u.Candidates[1].Packet = json.RawMessage(`{"for":"bo"}`) },
		"does not belong to the content": func(u *class.Upload) {
			u.Candidates[0].Packet = bytes.Replace(u.Candidates[0].Packet, []byte("sealed paper"), []byte("sealed Paper"), 1)
		},
	} {
		u := sealed(t, []string{"ann", "bo"}, nil)
		change(&u)
		if err := c.AddPaper(t.Context(), "test", u); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want a refusal with %q, got %v", want, err)
		}
	}
	spaced := sealed(t, []string{"ann", "bo"}, nil)
	if err := json.Unmarshal(must(json.MarshalIndent(spaced, "", "  ")), &spaced); err != nil {
		t.Fatal(err)
	}
	if err := c.AddPaper(t.Context(), "test", spaced); err != nil {
		t.Errorf("set with spaces: %v", err)
	}
}

// TestSealedHandIns holds the verdicts on hand-ins of a sealed paper that a candidate's own machine sat: the
// honest one stands; one changed afterwards, one of another candidate, one whose log is not what reached the
// server, one handed in under another attempt and a second one of the same attempt are refused.
func TestSealedHandIns(t *testing.T) {
	c := open(t, t.TempDir(), class.Options{})
	u := sealed(t, []string{"ann", "bo", "cy", "dee"}, func(p *exam.Paper) { p.Terms.Attempts = 2 })
	if err := c.AddPaper(t.Context(), "test", u); err != nil {
		t.Fatal(err)
	}
	who := func(id string) class.Candidate { return must(c.ByToken(t.Context(), token("p", id))) }
	sit := func(i, attempt, actions int) ([]byte, [][]byte) {
		return satLocally(t, u.Candidates[i].Packet, attempt, short(t, actions))
	}
	hand := func(id, name string, export []byte) {
		t.Helper()
		if _, err := c.Submit(t.Context(), who(id), name, export); err != nil {
			t.Fatal(err)
		}
	}
	annOne, annLog := sit(0, 1, 3)
	keepLines(t, c, who("ann"), annLog)
	hand("ann", "1", annOne)
	again, _ := sit(0, 1, 2)
	hand("ann", "2", again)
	boOne, _ := sit(1, 1, 3)
	hand("bo", "1", bytes.Replace(boOne, []byte(`"candidate":"bo"`), []byte(`"candidate":"ann"`), 1))
	hand("cy", "1", annOne)
	_, deeLog := sit(3, 1, 2)
	keepLines(t, c, who("dee"), deeLog)
	deeOther, _ := sit(3, 1, 3)
	hand("dee", "1", deeOther)
	verdictIs(t, c, "ann", class.Verified, string(exam.ServerLog))
	verdictIs(t, c, "bo", string(exam.CandidateSignature))
	verdictIs(t, c, "cy", string(exam.WrongPaper))
	verdictIs(t, c, "dee", string(exam.ServerLog))
	bo2, _ := sit(1, 2, 2)
	hand("bo", "2", bo2)
	bo2b, _ := satAt(t, u.Candidates[1].Packet, 2, short(t, 1), 1_700_000_000_000)
	hand("bo", "2", bo2b)
	verdictIs(t, c, "bo", string(exam.CandidateSignature), class.Verified, string(exam.Duplicate))
}

// keepLines sends a log to the server as a candidate's program does while it is sat.
func keepLines(t *testing.T, c *class.Class, who class.Candidate, lines [][]byte) {
	t.Helper()
	var text []string
	for _, line := range lines {
		text = append(text, string(line))
	}
	if err := c.Append(context.Background(), who, "1", handin.Append{Lines: text, LeftS: -1}); err != nil {
		t.Fatal(err)
	}
}

// satLocally sits a packet as a candidate's own machine does and returns export and log.
func satLocally(t testing.TB, packet []byte, attempt int, steps []treatment.Action) ([]byte, [][]byte) {
	t.Helper()
	return satAt(t, packet, attempt, steps, 1_600_000_000_000)
}

func satAt(t testing.TB, packet []byte, attempt int, steps []treatment.Action, wall int64) ([]byte, [][]byte) {
	t.Helper()
	mono := int64(0)
	s := must(exam.Begin(must(exam.DecodePacket(packet)), attempt, exam.Options{Clock: func() (int64, int64) {
		wall, mono = wall+1000, mono+1000
		return wall, mono
	}}))
	for i, a := range steps {
		if _, err := s.Do(0, a); err != nil {
			t.Fatalf("action %s: %v", strconv.Itoa(i+1), err)
		}
	}
	export := must(s.Submit())
	return export, must(s.Lines(0))
}

// TestReadUpload holds that a paper is read from one file or two, in any order, and what is missing or there
// twice is told.
func TestReadUpload(t *testing.T) {
	u := sealed(t, []string{"ann"}, nil)
	paper := []byte(u.Sealed)
	whole := must(json.Marshal(u))
	u.Sealed = nil
	bare := must(json.Marshal(u))
	for _, files := range [][][]byte{{whole}, {bare, paper}, {paper, bare}} {
		if got, err := class.ReadUpload(files...); err != nil || got.Paper != "p" || open(t, t.TempDir(), class.Options{}).AddPaper(t.Context(), "test", got) != nil {
			t.Errorf("got paper %q, sealed %d bytes, error %v", got.Paper, len(got.Sealed), err)
		}
	}
	for want, files := range map[string][][]byte{
		"candidates is missing":  {paper},
		"two of the files hold":  {bare, bare},
		"two of the files are s": {paper, paper},
		"sealed paper is there ": {whole, paper},
		"file 2: ":               {paper, []byte("no JSON")},
		"file 1: ":               {[]byte(`{"paper":"p","names":3}`)},
	} {
		if _, err := class.ReadUpload(files...); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

// TestTake holds that what is taken lies by its verdict, byte for byte, with paper, receipts and logs, and that a
// paper that is not there is told.
func TestTake(t *testing.T) {
	c := open(t, t.TempDir(), class.Options{})
	u := sealed(t, []string{"ann", "bo"}, nil)
	if err := c.AddPaper(t.Context(), "test", u); err != nil {
		t.Fatal(err)
	}
	export, log := satLocally(t, u.Candidates[0].Packet, 1, short(t, 2))
	ann := must(c.ByToken(t.Context(), token("p", "ann")))
	keepLines(t, c, ann, log)
	hand := func(who class.Candidate, data []byte) {
		t.Helper()
		if _, err := c.Submit(t.Context(), who, "1", data); err != nil {
			t.Fatal(err)
		}
	}
	hand(ann, export)
	hand(must(c.ByToken(t.Context(), token("p", "bo"))), export[:100])
	verdictIs(t, c, "bo", string(exam.Truncated))
	hand(ann, []byte("later"))
	files := map[string][]byte{}
	if err := c.Take(t.Context(), "eve", "p", func(name string, data []byte) error { files[name] = data; return nil }); err != nil {
		t.Fatal(err)
	}
	d := exam.Digest
	for name, want := range map[string][]byte{
		"ann.1." + d(export)[:12] + ".json":                   export,
		"refused/bo.1." + d(export[:100])[:12] + ".json":      export[:100],
		"unjudged/ann.1." + d([]byte("later"))[:12] + ".json": []byte("later"),
		"instructor/paper.json":                               u.Sealed,
		"logs/ann.1.log.jsonl":                                append(bytes.Join(log, []byte("\n")), '\n'),
	} {
		if !bytes.Equal(files[name], want) {
			t.Errorf("%s: got %d bytes, want %d", name, len(files[name]), len(want))
		}
	}
	if len(files) != 9 || !bytes.Contains(files["receipts/verdicts.json"], []byte("truncated: ")) {
		t.Errorf("%d files", len(files))
	}
	if err := c.Take(t.Context(), "eve", "q", nil); !errors.Is(err, class.ErrNone) {
		t.Errorf("no such paper: %v", err)
	}
}

// TestPersonInSealedPaper holds that who deletes a candidate is told of the sealed papers that keep the pseudonym.
func TestPersonInSealedPaper(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, _, server := stepped(t, place, nil)
		kept, err := c.DeletePerson(t.Context(), "test", "ann")
		if err != nil || !slices.Equal(kept, []string{"p"}) {
			t.Errorf("got %v, error %v; want the paper p", kept, err)
		}
		if _, err := client(server, "ann").Status(t.Context()); status(err) != 401 {
			t.Errorf("the deleted person's token: got %v", err)
		}
	})
}
