package bench_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"maps"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tugback/internal/bench"
	"tugback/internal/class"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

const farToken = "a-token-of-some-length-for-ALFA"

// farSeat is a place at a class server that notes all that came from it.
type farSeat struct {
	client handin.Client
	heard  *bytes.Buffer
	lost   int // answers that get lost on their way
}

func (f *farSeat) Status() (handin.Status, error) { return f.client.Status(context.Background()) }

func (f *farSeat) Step(attempt int, step handin.Step) (handin.Seen, error) {
	seen, err := f.client.Step(context.Background(), strconv.Itoa(attempt), step)
	var refused *handin.Error
	for errors.As(err, &refused) && refused.Status == 429 { // no hand is as quick as this test
		time.Sleep(100 * time.Millisecond)
		seen, err = f.client.Step(context.Background(), strconv.Itoa(attempt), step)
	}
	if f.lost > 0 && err == nil {
		f.lost--
		return handin.Seen{}, errors.New("the net is down")
	}
	text, _ := json.Marshal(seen)
	f.heard.Write(text)
	f.heard.Write(seen.View)
	return seen, err
}

// farClass is a class server that steps a paper of one case.
func farClass(t *testing.T, kase string) (c *class.Class, seat *farSeat, outside []byte) {
	t.Helper()
	paper := specimen.Seal(t, exam.Paper{ID: "far-1", Title: "Far", Cases: specimen.Cases(t, kase), Items: specimen.Questions(t),
		Candidates: []exam.Candidate{{ID: "ALFA", TimeFactor: 1, RestS: 600}},
		Terms:      exam.Terms{FromS: examDay/1000 - 3600, UntilS: examDay/1000 + 86400, LimitS: 3600, Attempts: 2}})
	c, err := class.Open(t.Context(), filepath.Join(t.TempDir(), "class"), class.Options{Now: func() time.Time { return time.UnixMilli(examDay) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	whole, err := paper.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.AddPaper(t.Context(), "test", class.Upload{Paper: "far-1", Title: "Far", Sealed: whole, Stepped: true,
		Candidates: []class.UploadCandidate{{ID: "ALFA", Token: farToken, Packet: specimen.Packet(t, paper, "ALFA")}}}); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(c.Handler(nil, slog.New(slog.NewTextHandler(io.Discard, nil)), false))
	t.Cleanup(server.Close)
	seat = &farSeat{client: handin.Client{Base: server.URL, Token: farToken}, heard: &bytes.Buffer{}}
	outside, err = seat.client.Packet(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return c, seat, outside
}

// films returns how many films were taken, as the page tells.
func films(t *testing.T, s *bench.Session) int {
	t.Helper()
	for _, b := range append(s.Page().Left, s.Page().Right...) {
		if before, found := strings.CutSuffix(b.Note, " taken"); found {
			n, err := strconv.Atoi(before)
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
	}
	t.Fatalf("no number of films: %s", everything(s))
	return 0
}

// TestFarExam sits a paper by the same keys as TestExam at a bench that has no tooth: every act is stepped by a
// class server. The session is left in the middle and a new one goes on; an answer of the server is lost and
// nothing is done twice; what comes from the server and what the pages show tells nothing that only the model
// knows; the hand-in stands the server's verification, with the points of a treatment that was carried out here.
func TestFarExam(t *testing.T) {
	c, seat, outside := farClass(t, "upper-lateral-incisor")
	m := newMemory()
	m.seat = seat
	s, p := examSession(t, m, outside)
	p.press("exam:begin")
	if text := everything(s); !strings.Contains(text, "59:59") && !strings.Contains(text, "1:00:00") {
		t.Errorf("no clock: %s", text)
	}
	p.press("exam:enter-0")
	for _, key := range []string{"v", "h", "g", "z", "k"} {
		p.key(key)
		if text := strings.Join(lines(s.Page().Tell), ""); text == "" {
			t.Errorf("%s is not refused", key)
		}
	}
	if plate := s.Page().Centre.Plate; !plate.Closed || plate.Live != nil || plate.State.Case.Seed != 0 {
		t.Error("the plate shows more than a tooth of the kind from outside")
	}
	incisorSteps(p)
	all := everything(s)
	s, p = examSession(t, m, outside)
	if text := everything(s); !strings.Contains(text, "Go on where it stood") {
		t.Errorf("a second page does not offer to go on: %s", text)
	}
	p.press("exam:begin")
	p.press("exam:enter-0")
	all += everything(s)
	if found := secret(all); found != "" {
		t.Errorf("the page of the case tells %q", found)
	}
	p.press("stage:0")
	p.press("kind:radiograph")
	before := films(t, s)
	seat.lost = 1
	p.press("go")
	if text := everything(s); !strings.Contains(text, "the net is down") || films(t, s) != before {
		t.Errorf("after the answer was lost the page says %s", text)
	}
	p.press("go")
	if films(t, s) != before+1 {
		t.Errorf("%d films, before %d: what was done twice?", films(t, s), before)
	}
	p.key("Escape", "Escape")
	p.press("exam:question-0")
	answerAll(p)
	p.press("exam:submit")
	p.press("exam:handin")
	text := everything(s)
	if _, err := c.JudgePending(t.Context(), 10); err != nil {
		t.Fatal(err)
	}
	var got class.Sitting
	if err := c.Sittings(t.Context(), "far-1", "ALFA", func(one class.Sitting) error { got = one; return nil }); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text, exam.Spoken(got.Data)) || got.Verdict != class.Verified {
		t.Errorf("verdict %q; the page says %s", got.Verdict, text)
	}
	p.press("exam:save")
	if len(m.kept["ALFA.1.receipt.json"]) == 0 {
		t.Errorf("the receipt is not saved: %v", m.kept)
	}
	for _, word := range []string{`"level_mm":1`, `"seed"`, "Wall", "Space", "foramen", "constriction"} {
		if strings.Contains(seat.heard.String(), word) {
			t.Errorf("the server's answers hold %q", word)
		}
	}
}

// TestFarTray holds that for a long tooth the assistant lays out the longer files and no shorter ones than usual, as
// where the tooth is on this machine.
func TestFarTray(t *testing.T) {
	const kase = "upper-canine"
	_, seat, outside := farClass(t, kase)
	m := newMemory()
	m.seat = seat
	_, p := examSession(t, m, outside)
	p.press("exam:begin")
	p.press("exam:enter-0")
	p.act("5", "work")
	seen := map[int]bool{} // lengths
	for range 80 {
		p.focus("family:")
		p.key("Right")
		seen[p.held().Length] = true
	}
	if !seen[31] || seen[21] {
		t.Errorf("on the tray are files of %v mm, 0 the usual", slices.Sorted(maps.Keys(seen)))
	}
}

// TestFarLooksBack: when the paper has closed, who handed in looks back at it, though another attempt was allowed.
func TestFarLooksBack(t *testing.T) {
	_, seat, outside := farClass(t, "upper-lateral-incisor")
	m := newMemory()
	m.seat = seat
	s, p := examSession(t, m, outside)
	p.press("exam:begin")
	p.press("exam:submit")
	p.press("exam:handin")
	receipt := textsOf(s.Page())
	m.now += 2 * 86400_000
	s, _ = examSession(t, m, outside)
	if text := textsOf(s.Page()); !strings.Contains(text, "Handed in") || text != receipt {
		t.Errorf("the page shows %s, after handing in %s", text, receipt)
	}
}

// TestChairKeepsSecrets treats an upper molar to its careful plan and holds that nothing of it that a person at
// the chair cannot know is in what a bench is sent to draw: every event but those perceived, figures that were not
// read off, the hidden canal before it is found.
func TestChairKeepsSecrets(t *testing.T) {
	text, err := scenarios.Files.ReadFile("upper-first-molar.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, _ := examOf(t, string(text))
	for _, a := range specimen.Plan(t, "upper-first-molar.careful").Steps[:60] {
		found := false
		for _, c := range p.Chair(0).Canals {
			found = found || c.Name == "MB2"
		}
		view, err := json.Marshal(p.Chair(0))
		if err != nil {
			t.Fatal(err)
		}
		if !found && bytes.Contains(view, []byte("MB2")) {
			t.Fatalf("MB2 is told before it is found: %s", view)
		}
		for _, e := range p.Chair(0).Told {
			if e.Text == "" || e.Event.Level != 0 || e.Event.Wall != "" || e.Event.Force != 0 || e.Event.Value != 0 && e.Event.Kind != treatment.Reading && e.Event.Kind != treatment.GaugedSize {
				t.Errorf("told: %+v", e)
			}
		}
		p.Do(a)
	}
	whole, later := p.Chair(0), p.Chair(50)
	if len(whole.Actions) != 60 || len(later.Actions) != 10 || len(later.Told) == 0 || later.Told[0].Event.Action < 50 {
		t.Errorf("%d actions, from number 50 on %d", len(whole.Actions), len(later.Actions))
	}
}
