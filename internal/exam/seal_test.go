package exam_test

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// Seeds are HMAC-SHA256 of the stated text; the function is checked by RFC 4231 case 2 first.
func TestDrawSeed(t *testing.T) {
	mac := hmac.New(sha256.New, []byte("Jefe"))
	mac.Write([]byte("what do ya want for nothing?"))
	if got, want := hex.EncodeToString(mac.Sum(nil)), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"; got != want {
		t.Fatalf("RFC 4231 case 2: got %s, want %s", got, want)
	}
	secret := bytes.Repeat([]byte{1}, 32)
	mac = hmac.New(sha256.New, secret)
	mac.Write([]byte("case|ALFA|molar|3"))
	if got, want := exam.DrawSeed(secret, "ALFA", "molar", 3), binary.BigEndian.Uint64(mac.Sum(nil)); got != want {
		t.Errorf("got %d, want %d", got, want)
	}
}

func TestSeal(t *testing.T) {
	d := sealed(t, nil)
	again := sealed(t, nil)
	if string(must(d.paper.Encode())) != string(must(again.paper.Encode())) {
		t.Error("the same secret and key seal two papers")
	}
	seeds := map[string]bool{}
	for _, c := range d.paper.Candidates {
		seeds[c.Cases[0].Seed] = true
	}
	if len(seeds) != 3 {
		t.Errorf("three candidates have %d teeth", len(seeds))
	}
}

func TestSealRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(p *exam.Paper)
		says   string
	}{
		{"no id", func(p *exam.Paper) { p.ID = "" }, "id"},
		{"path in an id", func(p *exam.Paper) { p.Candidates[0].ID = "../../etc/passwd" }, "letters, digits"},
		{"device", func(p *exam.Paper) { p.Candidates[0].ID = "con" }, "device"},
		{"twice but for capitals", func(p *exam.Paper) { p.Candidates[0].ID = "bravo" }, "twice"},
		{"nothing", func(p *exam.Paper) { p.Cases, p.Items = nil, nil }, "a case or a question"},
		{"nobody", func(p *exam.Paper) { p.Candidates = nil }, "candidate"},
		{"closes first", func(p *exam.Paper) { p.Terms.UntilS = p.Terms.FromS - 1 }, "closes before"},
		{"no attempt", func(p *exam.Paper) { p.Terms.Attempts = 0 }, "attempts"},
		{"sight", func(p *exam.Paper) { p.Terms.See = []string{"answers"} }, "answers"},
		{"less time", func(p *exam.Paper) { p.Candidates[0].TimeFactor = 0.5 }, "time factor"},
		{"no time", func(p *exam.Paper) { p.Candidates[0].TimeFactor = math.NaN() }, "time factor"},
		{"case twice", func(p *exam.Paper) { p.Cases = append(p.Cases, p.Cases[0]) }, "twice"},
		{"question twice", func(p *exam.Paper) { p.Items = append(p.Items, p.Items[0]) }, "twice"},
		{"worthless", func(p *exam.Paper) { p.Items[0].Points = 0 }, "worth 0"},
		{"more cases", func(p *exam.Paper) { p.Blueprint.Cases = 2 }, "2 cases are wanted"},
	} {
		paper := unsealed()
		c.change(&paper)
		_, err := exam.Seal(paper, exam.Sealing{Secret: make([]byte, 32), Key: testKey(1)})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// A trial that knows how hard each tooth is draws hard and easy ones anew until all lie in the band.
func TestSealBand(t *testing.T) {
	paper := unsealed()
	for n := range 20 {
		paper.Candidates = append(paper.Candidates, exam.Candidate{ID: "K" + strconv.Itoa(n), TimeFactor: 1})
	}
	paper.Trial = exam.TrialNote{Operator: "test", Hands: 2, Width: 0.1, MaxDraws: 50}
	share := func(p attempt.Paper) float64 { return float64(p.Case.Seed%1000) / 1000 }
	trial := func(papers []attempt.Paper) ([][]float64, error) {
		var out [][]float64
		for _, p := range papers {
			out = append(out, []float64{share(p) - 0.01, share(p) + 0.01})
		}
		return out, nil
	}
	done := must(exam.Seal(paper, exam.Sealing{Secret: make([]byte, 32), Key: testKey(1), Trial: trial}))
	note := done.Trial.Spread[0]
	if note.FirstHigh-note.FirstLow <= 0.2 || note.Redrawn == 0 {
		t.Fatalf("the first draws are alike already: %+v", note)
	}
	for _, c := range done.Candidates {
		g := c.Cases[0]
		if math.Abs(g.Expected-done.Trial.Centres[0]) > 0.1 {
			t.Errorf("%s: expected marks %g lie outside of %g ± 0.1", c.ID, g.Expected, done.Trial.Centres[0])
		}
		if want := strconv.FormatUint(exam.DrawSeed(make([]byte, 32), c.ID, "upper-central-incisor", g.Draw), 10); g.Seed != want {
			t.Errorf("%s: seed %s, want %s of draw %d", c.ID, g.Seed, want, g.Draw)
		}
	}
	// two treatments 0.02 apart: the standard error of their mean is 0.01
	if got := done.Trial.Error[0]; math.Abs(got-0.01) > 1e-6 {
		t.Errorf("standard error %g, want 0.01", got)
	}
	paper.Trial.Width, paper.Trial.MaxDraws = 0.0001, 1
	if _, err := exam.Seal(paper, exam.Sealing{Secret: make([]byte, 32), Key: testKey(1), Trial: trial}); err == nil || !strings.Contains(err.Error(), "widen the band") {
		t.Errorf("a band that nobody reaches: %v", err)
	}
	fails := func([]attempt.Paper) ([][]float64, error) { return nil, errors.New("no hands") }
	if _, err := exam.Seal(paper, exam.Sealing{Secret: make([]byte, 32), Key: testKey(1), Trial: fails}); err == nil {
		t.Error("a trial that failed sealed a paper")
	}
}

// Every candidate gets as many questions of each row and difficulty; drawn for each, they differ.
func TestBlueprint(t *testing.T) {
	items := allItems()
	paper := unsealed()
	paper.Cases, paper.Candidates[1].ID = nil, "DELTA"
	paper.Blueprint = exam.Blueprint{PerCandidate: true, Rows: []exam.Row{{Step: "open", Count: 4, Points: 1}, {Step: "rinse", Level: "apply", Count: 2, Points: 3}, {Item: "dry-red-tip", Count: 1, Points: 2}}}
	paper.Items = must(paper.Blueprint.Pool(items))
	d := desk{must(exam.Seal(paper, exam.Sealing{Secret: make([]byte, 32), Key: testKey(1)})), testKey(1)}
	all := map[string]bool{}
	var first map[string]int
	for _, c := range d.paper.Candidates {
		count := map[string]int{}
		for _, shown := range d.packet(t, c.ID).Items {
			n := slices.IndexFunc(items, func(i quiz.Item) bool { return i.ID == shown.Item.ID })
			count[items[n].Step+" "+items[n].Difficulty]++
			all[shown.Item.ID] = true
		}
		if first == nil {
			first = count
		}
		for key, n := range first {
			if count[key] != n {
				t.Errorf("%s has %d questions of %s, another has %d", c.ID, count[key], key, n)
			}
		}
		if len(c.Items) != 7 {
			t.Errorf("%s has %d questions, want 7", c.ID, len(c.Items))
		}
	}
	if len(all) <= 7 {
		t.Error("all candidates have the same questions though they are drawn for each")
	}
	v := must(must(exam.NewExaminer(d.paper)).Verify(d.honestQuiz(t, "DELTA")))
	if v.Available != 4+6+2 {
		t.Errorf("%g points available, want 12", v.Available)
	}
}

// honestQuiz sits a paper without cases.
func (d desk) honestQuiz(t testing.TB, candidate string) []byte {
	packet := d.packet(t, candidate)
	w := newWatch()
	s := must(exam.Begin(packet, 1, exam.Options{Clock: w.read}))
	for _, shown := range packet.Items {
		w.pass(1000)
		must(0, s.Answer(shown.Item.ID, response(shown)))
	}
	return must(s.Submit())
}

func TestPool(t *testing.T) {
	items := allItems()
	for _, c := range []struct {
		name string
		row  exam.Row
		says string
	}{
		{"too many", exam.Row{Step: "open", Count: 5000, Points: 1}, "5000 questions are wanted"},
		{"no step", exam.Row{Step: "polish", Count: 1, Points: 1}, "no question"},
		{"no points", exam.Row{Step: "open", Count: 1}, "above 0"},
	} {
		_, err := exam.Blueprint{Rows: []exam.Row{c.row}}.Pool(items)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// A packet has no key of a question, no rule and nothing of the paper's secret.
func TestPacketKeepsSecrets(t *testing.T) {
	d := sealed(t, nil)
	packet := d.packet(t, "ALFA")
	text := string(must(packet.Encode()))
	for _, one := range d.paper.Items {
		i := one.Item
		hidden := []string{i.Why, i.Source}
		for _, o := range i.Options {
			hidden = append(hidden, o.Feedback)
		}
		for _, m := range i.Mistakes {
			hidden = append(hidden, m.Feedback)
		}
		for _, h := range hidden {
			if len(h) > 20 && strings.Contains(text, h) {
				t.Errorf("%s: the packet says %q", i.ID, h)
			}
		}
	}
	for _, shown := range packet.Items {
		i := shown.Item
		if len(i.RightOptions()) > 0 || i.Answer != 0 || i.Target != "" || i.Trial != nil && i.Trial.Then.Do != "" {
			t.Errorf("%s: the packet holds its key", i.ID)
		}
	}
	for _, word := range []string{d.paper.Secret, "rules", "\"credit\"", "protocol", "BRAVO"} {
		if strings.Contains(text, word) {
			t.Errorf("the packet says %q", word)
		}
	}
	for _, r := range d.paper.Cases[0].Rules {
		if r.Title != "" && strings.Contains(text, r.Title) {
			t.Errorf("the packet names the rule %q", r.Title)
		}
	}
	outside := string(must(packet.Outside().Encode()))
	if strings.Contains(outside, packet.Cases[0].Seed) || strings.Contains(outside, packet.Key) || strings.Contains(outside, "tooth:") {
		t.Error("the packet for a sitting stepped elsewhere holds tooth or key")
	}
}

// What a class server hands out of a packet is read by DecodeOutside alone: it cannot be sat here, and a packet that
// can be is not taken for it.
func TestOutside(t *testing.T) {
	packet := quizDesk(t).packet(t, "BRAVO")
	whole, outside := must(packet.Encode()), must(packet.Outside().Encode())
	got, err := exam.DecodeOutside(outside)
	if err != nil || got.Candidate != "BRAVO" || len(got.Items) != len(packet.Items) {
		t.Errorf("got %+v, error %v", got, err)
	}
	if _, err := exam.DecodePacket(outside); exam.AsRefusal(err) == nil {
		t.Errorf("a packet without a key can be sat: %v", err)
	}
	for what, data := range map[string][]byte{"a whole packet": whole, "nothing": nil, "no packet": []byte(`{"schema":"tugback-paper-1"}`),
		"a path for a candidate": bytes.Replace(outside, []byte(`"BRAVO"`), []byte(`"../etc"`), 1)} {
		if _, err := exam.DecodeOutside(data); exam.AsRefusal(err) == nil {
			t.Errorf("%s is read: %v", what, err)
		}
	}
}

// A case of a packet grows the same tooth as its scenario.
func TestStripped(t *testing.T) {
	for _, name := range []string{"upper-central-incisor", "lower-first-molar"} {
		from := specimen.Scenario(t, name)
		want := must(from.Case(42))
		one := must(exam.CaseOf(from))
		one.Seed, one.Rules = "42", nil
		got := must(one.Grow()).Case
		if d := attempt.Compare(must(attempt.Treat(attempt.Paper{Case: got, Marker: from.Marker()}, nil)).State(),
			must(attempt.Treat(attempt.Paper{Case: want, Marker: from.Marker()}, nil)).State(), 5); len(d) > 0 || got.Digest != want.Digest {
			t.Errorf("%s: %v", name, d)
		}
	}
}

// A drill in an exam begins with its steps, as the first actions of the log; a sitting that is resumed has them once, and
// verifying refuses one that begins otherwise.
func TestDrillAsCase(t *testing.T) {
	one := must(exam.CaseOf(specimen.Scenario(t, "drill-measure")))
	one.Seed = "22"
	given := must(one.Grow())
	if len(given.Done) < 10 || given.Goal == "" {
		t.Fatalf("%d steps, goal %q", len(given.Done), given.Goal)
	}
	d := sealed(t, func(p *exam.Paper) { p.Cases, p.Items = []exam.Case{one}, nil })
	packet := d.packet(t, "BRAVO")
	log := &kept{}
	clock := newWatch().read
	s := must(exam.Begin(packet, 1, exam.Options{Clock: clock, Log: log}))
	if got := s.Run(0).Actions(); !slices.Equal(got, given.Done) {
		t.Fatalf("the sitting begins with %d actions, want the drill's %d", len(got), len(given.Done))
	}
	s = must(exam.Resume(packet, log.lines[:5], exam.Options{Clock: clock})) // it ended in the middle of them
	if got := s.Run(0).Actions(); !slices.Equal(got, given.Done) {
		t.Fatalf("resumed it begins with %d actions, want the drill's %d", len(got), len(given.Done))
	}
	must(s.Do(0, treatment.Action{Do: treatment.SetLength, Canal: "canal", Stop: 21800}))
	v := must(d.examiner(t).Verify(must(s.Submit())))
	if n := len(v.Cases[0].Run.Actions()); n != len(given.Done)+1 {
		t.Errorf("%d actions are verified", n)
	}
	record := must(attempt.Treat(given, append(slices.Clone(given.Done[1:4]), given.Done[0]))).Close()
	if refused := attempt.Verify(record, given); refused == nil || !strings.Contains(refused.Reason, "begins with other steps: action 1") {
		t.Errorf("got %v", refused)
	}
}

func TestPaperFiles(t *testing.T) {
	d := sealed(t, nil)
	text := must(d.paper.Encode())
	back := must(exam.DecodePaper(text))
	if string(must(back.Encode())) != string(text) {
		t.Error("a paper is another one after reading")
	}
	_, err := exam.DecodePaper(bytes.Replace(text, []byte(`"attempts":2`), []byte(`"attempts":3`), 1))
	refusedAs(t, err, exam.PaperSignature, "does not belong")
	packet := must(d.packet(t, "BRAVO").Encode())
	_, err = exam.DecodePacket(bytes.Replace(packet, []byte(`"limit_s":5400`), []byte(`"limit_s":9400`), 1))
	refusedAs(t, err, exam.PaperSignature, "does not belong")
	must(exam.DecodePacket(packet))
	_, err = exam.DecodePacket(text)
	refusedAs(t, err, exam.WrongSchema, "tugback-paper-1")
	if _, err := d.paper.Packet("ALFA", testKey(3)); err == nil {
		t.Error("another key signed a packet")
	}
}

func TestCheckID(t *testing.T) {
	for _, good := range []string{"a", "K7QX", "s-2030_1", strings.Repeat("x", 64), "concord", "com10"} {
		if err := exam.CheckID(good); err != nil {
			t.Error(err)
		}
	}
	for _, bad := range []string{"", "-a", "../x", "a/b", `a\b`, "a.b", "a b", "ä", "NUL", "com1", "Lpt9", strings.Repeat("x", 65), "a\n", "a|b"} {
		if exam.CheckID(bad) == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}
