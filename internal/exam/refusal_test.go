package exam_test

import (
	"bytes"
	"compress/gzip"
	"crypto/ed25519"
	"encoding/hex"
	"flag"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

var update = flag.Bool("update", false, "write the example files of refusals anew")

// quizDesk is a paper of one question: small, and nothing in its sittings hangs on the engine.
func quizDesk(t testing.TB) desk {
	return sealed(t, func(p *exam.Paper) {
		p.ID, p.Title, p.Cases = "quiz-2030", "A question", nil
		p.Items = p.Items[:1]
	})
}

// keyOf returns the key that a packet carries.
func keyOf(p exam.Packet) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(must(hex.DecodeString(p.Key)))
}

// signedRaw signs bytes of an export that are not in its one form: text ends before the signature.
func signedRaw(text string, key ed25519.PrivateKey) []byte {
	open := text + `,"signature":"`
	return []byte(open + hex.EncodeToString(ed25519.Sign(key, []byte(open+`"}`))) + `"}`)
}

// forger makes one example of every refusal from honest sittings.
type forger struct {
	t             testing.TB
	quiz, treated desk
	files         map[exam.Code][]byte
	lines         []byte // what a server kept, for server-log
	honest        []byte // for duplicate
}

func forge(t testing.TB) *forger {
	f := &forger{t: t, quiz: quizDesk(t), treated: sealed(t, nil), files: map[exam.Code][]byte{}}
	f.honest = f.quiz.honestQuiz(t, "ALFA")
	f.text()
	f.log()
	f.paper()
	f.content()
	f.engine()
	return f
}

// change returns an honest export of the quiz after a change, signed again.
func (f *forger) change(rechain bool, change func(e *exam.Export)) []byte {
	e := must(exam.Decode(f.honest))
	change(&e)
	if rechain {
		e = e.Rechained()
	}
	return must(e.Resigned(keyOf(f.quiz.packet(f.t, "ALFA"))))
}

// text forges what is wrong with the bytes.
func (f *forger) text() {
	honest := string(f.honest)
	f.files[exam.TooLarge] = append([]byte(honest), bytes.Repeat([]byte{' '}, exam.MostBytes)...)
	f.files[exam.NotJSON] = []byte("A sitting of the paper quiz-2030\n")
	f.files[exam.Truncated] = f.honest[:len(f.honest)/2]
	f.files[exam.TrailingData] = []byte(honest + "\n" + honest)
	f.files[exam.Malformed] = []byte(strings.Replace(honest, `"engine":"`+treatment.Engine+`"`, `"engine":1`, 1))
	f.files[exam.WrongSchema] = []byte(strings.Replace(honest, exam.ExportSchema, "tugback-sitting-0", 1))
	f.files[exam.OtherEngine] = []byte(strings.Replace(honest, `"engine":"`+treatment.Engine+`"`, `"engine":"0"`, 1))
	f.files[exam.CandidateSignature] = []byte(strings.Replace(honest, `"chosen":["o1"]`, `"chosen":["o2"]`, 1))
	key := keyOf(f.quiz.packet(f.t, "ALFA"))
	text, _, _ := strings.Cut(honest, `,"signature"`)
	f.files[exam.DuplicateKey] = signedRaw(`{"answers":[],`+text[1:], key)
	f.files[exam.NonCanonical] = signedRaw(`{ `+text[1:], key)
	f.files[exam.UnknownField] = signedRaw(`{"adviser":"a friend",`+text[1:], key)
}

// log forges what is wrong with the lines.
func (f *forger) log() {
	f.files[exam.OutOfBounds] = f.change(true, func(e *exam.Export) { e.Log[1].Wall = -1 })
	f.files[exam.LogGap] = f.change(false, func(e *exam.Export) { e.Log = slices.Delete(e.Log, 1, 2) })
	f.files[exam.ChainBroken] = f.change(false, func(e *exam.Export) { e.Log[1].Wall -= 500 })
	f.files[exam.AfterSubmit] = f.change(true, func(e *exam.Export) { e.Log = append(e.Log, e.Log[1]) })
	f.files[exam.NotSubmitted] = f.change(true, func(e *exam.Export) { e.Log = e.Log[:len(e.Log)-1] })
	f.files[exam.OutsideWindow] = f.change(true, func(e *exam.Export) {
		for i := range e.Log {
			e.Log[i].Wall += 30 * 86_400_000
		}
	})
	f.files[exam.OverTime] = f.change(true, func(e *exam.Export) {
		for i := range e.Log[1:] {
			e.Log[i+1].Wall += 3_700_000
			e.Log[i+1].Mono += 3_700_000
		}
	})
	f.files[exam.ForbiddenSight] = f.change(true, func(e *exam.Export) {
		e.Log = slices.Insert(e.Log, 1, exam.Event{Wall: e.Log[0].Wall, Kind: exam.KindLook, Note: exam.SeeRisk})
	})
	f.files[exam.TooManyAttempts] = f.change(true, func(e *exam.Export) { e.Attempt, e.Log[0].Attempt = 3, 3 })
	f.files[exam.ServerLog] = f.change(true, func(e *exam.Export) {
		e.Log[1].Wall += 7
		e.Log[1].Mono += 7
	})
	for _, line := range must(exam.Decode(f.honest)).Log {
		f.lines = append(append(f.lines, must(exam.EncodeLine(line))...), '\n')
	}
}

// paper forges whose sitting it is.
func (f *forger) paper() {
	packet := string(must(f.quiz.packet(f.t, "ALFA").Encode()))
	f.files[exam.PaperSignature] = []byte(strings.Replace(packet, `"limit_s":3600,"paper"`, `"limit_s":9600,"paper"`, 1))
	other := sealed(f.t, func(p *exam.Paper) { p.ID, p.Cases, p.Items = "quiz-2031", nil, p.Items[:1] })
	f.files[exam.UnknownPaper] = other.honestQuiz(f.t, "ALFA")
	f.files[exam.WrongCandidate] = f.change(false, func(e *exam.Export) { e.Candidate = "ZULU" })
	again := desk{key: specimen.Key()}
	again.paper = f.quiz.paper
	again.paper.Signature = ""
	again.paper = must(exam.Seal(again.paper, exam.Sealing{Secret: bytes.Repeat([]byte{8}, 32), Key: again.key}))
	f.files[exam.WrongPaper] = again.honestQuiz(f.t, "ALFA")
	e := must(exam.Decode(f.honest))
	e.Key = exam.PublicKey(testKey(5))
	f.files[exam.WrongKey] = must(e.Resigned(testKey(5)))
	w := newWatch()
	w.pass(86_400)
	s := must(exam.Begin(f.quiz.packet(f.t, "ALFA"), 1, exam.Options{Clock: w.read}))
	f.files[exam.Duplicate] = must(s.Submit())
}

// content forges what was answered and what was treated.
func (f *forger) content() {
	f.files[exam.AlteredAnswer] = f.change(false, func(e *exam.Export) { e.Answers[0].Response = quiz.Response{Chosen: []string{"o3"}} })
	f.files[exam.WrongCase] = f.change(false, func(e *exam.Export) {
		e.Cases = append(e.Cases, exam.Result{Name: "upper-central-incisor", Seed: "1"})
		e.Cases[0].Outcome.Metrics, e.Cases[0].Marks.Critical, e.Cases[0].Marks.Rules = []treatment.Metric{}, []string{}, nil
	})
}

// engine forges what only a re-run finds. What can be found on an untouched tooth is, so that these files
// are what they are called whatever else changes in the engine.
func (f *forger) engine() {
	packet := f.treated.packet(f.t, "ALFA")
	change := func(honest []byte, change func(e *exam.Export)) []byte {
		e := must(exam.Decode(honest))
		change(&e)
		return must(e.Rechained().Resigned(keyOf(packet)))
	}
	untouched := must(must(exam.Begin(packet, 1, exam.Options{Clock: newWatch().read})).Submit())
	f.files[exam.ActionRefused] = change(untouched, func(e *exam.Export) {
		steps := actions(f.t, 0)
		at := slices.IndexFunc(steps, func(a treatment.Action) bool { return a.Canal != "" })
		steps[at].Canal = "MB" // an incisor has no such canal
		e.Log = slices.Insert(e.Log, 1, exam.Event{Wall: e.Log[0].Wall, Kind: exam.KindAction, Action: &steps[at], Elapsed: 1, State: e.Packet})
	})
	f.files[exam.AlteredOutcome] = change(untouched, func(e *exam.Export) { e.Cases[0].Outcome.Metrics[0].Value++ })
	f.files[exam.AlteredMarks] = change(untouched, func(e *exam.Export) { e.Cases[0].Marks.Total, e.Cases[0].Marks.Available = 5, 5 })
	honest := f.treated.honest(f.t, "ALFA", 4)
	f.files[exam.AlteredAction] = change(honest, func(e *exam.Export) { e.Log[len(e.Log)-3].Action.Depth += 200 }) // the third of four: open
}

const folder = "testdata/refusals"

// nameOf returns the name of a code's file; the one that is too large is packed.
func nameOf(code exam.Code) string {
	if code == exam.TooLarge {
		return filepath.Join(folder, string(code)+".json.gz")
	}
	return filepath.Join(folder, string(code)+".json")
}

func (f *forger) write() {
	must(0, os.MkdirAll(folder, 0o755))
	put := func(name string, data []byte) { must(0, os.WriteFile(name, data, 0o644)) } //nolint:gosec // examples are for all to read
	for code, data := range f.files {
		if code == exam.TooLarge {
			var packed bytes.Buffer
			z := must(gzip.NewWriterLevel(&packed, gzip.BestCompression))
			must(z.Write(data))
			must(0, z.Close())
			data = packed.Bytes()
		}
		put(nameOf(code), data)
	}
	put("testdata/honest.json", f.honest)
	put("testdata/treated.json", f.treated.honest(f.t, "ALFA", 0))
	put("testdata/server-log.jsonl", f.lines)
	put("testdata/paper-quiz.json", must(f.quiz.paper.Encode()))
	put("testdata/paper-case.json", must(f.treated.paper.Encode()))
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var from io.Reader = file
	if strings.HasSuffix(name, ".gz") {
		from = must(gzip.NewReader(file))
	}
	return must(io.ReadAll(from))
}

// examined returns why a file is refused, by whoever is in charge of its kind.
func examined(t testing.TB, x *exam.Examiner, code exam.Code, data []byte) error {
	switch code { //nolint:exhaustive // all others by Verify
	case exam.PaperSignature:
		_, err := exam.DecodePacket(data)
		return err
	case exam.ServerLog:
		lines := bytes.Split(bytes.TrimSpace(read(t, "testdata/server-log.jsonl")), []byte{'\n'})
		if refused := must(x.Verify(data)).Export.Follows(lines); refused != nil {
			return refused
		}
		return nil
	case exam.Duplicate:
		both := []*exam.Verified{must(x.Verify(read(t, "testdata/honest.json"))), must(x.Verify(data))}
		if refused := exam.Repeats(both)[1]; refused != nil {
			return refused
		}
		return nil
	}
	_, err := x.Verify(data)
	return err
}

// Every code has a file in testdata/refusals, every file is refused as the code it is named after, and the
// honest sitting that they are made from is not, nor one of a whole treatment, which the gate verifies on other
// kinds of machine too. -update writes them anew, which is needed when the engine
// gives other results.
func TestRefusalFiles(t *testing.T) {
	if *update {
		forge(t).write()
	}
	paper := must(exam.DecodePaper(read(t, "testdata/paper-quiz.json")))
	one := must(exam.DecodePaper(read(t, "testdata/paper-case.json")))
	x := must(exam.NewExaminer(paper, one))
	must(x.Verify(read(t, "testdata/honest.json")))
	must(x.Verify(read(t, "testdata/treated.json")))
	for _, code := range exam.Codes() {
		refused := exam.AsRefusal(examined(t, x, code, read(t, nameOf(code))))
		switch {
		case refused == nil:
			t.Errorf("%s: the file is not refused", code)
		case refused.Code != code:
			t.Errorf("%s: refused as %v", code, refused)
		case code.Meaning() == "" || len(refused.Reason) < 10:
			t.Errorf("%s: nothing is said: %q, %q", code, code.Meaning(), refused.Reason)
		}
	}
	entries := must(os.ReadDir(folder))
	if len(entries) != len(exam.Codes()) {
		t.Errorf("%d files for %d codes", len(entries), len(exam.Codes()))
	}
}

// A refusal by re-running names the action, the fields, and what they are and should be.
func TestFirstDifference(t *testing.T) {
	f := &forger{t: t, treated: sealed(t, nil), files: map[exam.Code][]byte{}}
	f.engine()
	x := f.treated.examiner(t)
	_, err := x.Verify(f.files[exam.AlteredAction])
	r := exam.AsRefusal(err)
	if r != nil {
		t.Log(strings.Join(r.Lines(), "\n"))
	}
	if r == nil || r.Case != 0 || r.Action != 2 || r.Line < 0 || !strings.Contains(r.Reason, "action 3") {
		t.Fatalf("got %+v, want case 0, action 2", r)
	}
	_, err = x.Verify(f.files[exam.AlteredOutcome])
	r = exam.AsRefusal(err)
	if r == nil || len(r.Differences) != 1 || r.Differences[0].Got == r.Differences[0].Want || !strings.Contains(r.Lines()[1], r.Differences[0].Path) {
		t.Errorf("got %+v, want one difference", r)
	}
}

func TestExitCodes(t *testing.T) {
	for _, code := range exam.Codes() {
		want := 3
		if code == exam.OtherEngine {
			want = 4
		}
		if got := code.ExitCode(); got != want {
			t.Errorf("%s: exit code %d, want %d", code, got, want)
		}
	}
}

// A judge takes what answers the packet that the server keeps, and nothing else.
func TestJudge(t *testing.T) {
	d := quizDesk(t)
	x := d.examiner(t)
	export := d.honestQuiz(t, "ALFA")
	points, err := x.Judge(must(d.packet(t, "ALFA").Encode()), export)
	if err != nil || points != "0" && points != "2" {
		t.Errorf("got %q, %v", points, err)
	}
	_, err = x.Judge(must(d.packet(t, "BRAVO").Encode()), export)
	refusedAs(t, err, exam.WrongPaper, "server gave")
}

func TestRepeats(t *testing.T) {
	d := quizDesk(t)
	x := d.examiner(t)
	a, b := must(x.Verify(d.honestQuiz(t, "ALFA"))), must(x.Verify(d.honestQuiz(t, "BRAVO")))
	got := exam.Repeats([]*exam.Verified{a, nil, b, a})
	if got[0] != nil || got[1] != nil || got[2] != nil || got[3] == nil || !strings.Contains(got[3].Reason, "same content") {
		t.Errorf("got %v", got)
	}
}

// A sitting may be ahead of the server, which lost the network, but not behind it or beside it.
func TestFollows(t *testing.T) {
	d := quizDesk(t)
	e := must(exam.Decode(d.honestQuiz(t, "ALFA")))
	var lines [][]byte
	for _, line := range e.Log {
		lines = append(lines, must(exam.EncodeLine(line)))
	}
	for n := range lines {
		if refused := e.Follows(lines[:n]); refused != nil {
			t.Error(refused)
		}
	}
	if e.Follows(append(lines, lines[0])) == nil {
		t.Error("a line that the server has is missing, and nobody minds")
	}
}
