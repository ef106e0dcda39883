package exam_test

import (
	"errors"
	"strings"
	"testing"

	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// An honest sitting stands verification and is worth what its runs and answers are worth.
func TestSitting(t *testing.T) {
	d := sealed(t, nil)
	log := &kept{}
	w := newWatch()
	s := sit(t, d.packet(t, "ALFA"), w, log, 0)
	if _, err := s.Do(0, treatment.Action{Do: "polish"}); err == nil {
		t.Error("an action that does not exist was done")
	}
	if _, err := s.Do(1, actions(t, 1)[0]); err == nil {
		t.Error("an action in a case that is not there was done")
	}
	export := must(s.Submit())
	if again := must(s.Submit()); string(again) != string(export) {
		t.Error("submitting twice gives two exports")
	}
	if _, err := s.Do(0, treatment.Action{}); !errors.Is(err, exam.ErrSubmitted) {
		t.Errorf("after submitting: got %v, want ErrSubmitted", err)
	}
	v := must(d.examiner(t).Verify(export))
	lines := 2 + len(d.paper.Items) + len(actions(t, 0)) // begin, answers, actions, submit
	if len(v.Export.Log) != lines || len(log.lines) != lines {
		t.Errorf("got %d lines, %d of them kept, want %d", len(v.Export.Log), len(log.lines), lines)
	}
	if want := int64(lines-2) * 1000; v.UsedMs != want {
		t.Errorf("used %d ms, want %d", v.UsedMs, want)
	}
	if v.Cases[0].Marks.Available <= 0 || v.Cases[0].Marks.Total >= v.Cases[0].Marks.Available {
		t.Errorf("a hurried treatment earned %g of %g", v.Cases[0].Marks.Total, v.Cases[0].Marks.Available)
	}
	if v.Export.Cases[0].Marks.Available != 0 {
		t.Error("marks stand in the export though the paper hides the rules")
	}
	if refused := v.Export.Follows(log.lines); refused != nil {
		t.Error(refused)
	}
}

// Marks in the export are those of the paper when they may be seen.
func TestMarksSeen(t *testing.T) {
	d := sealed(t, func(p *exam.Paper) { p.Terms.See = []string{exam.SeeMarks} })
	v := must(d.examiner(t).Verify(d.honest(t, "ALFA", 0)))
	if got, want := v.Export.Cases[0].Marks.Total, v.Cases[0].Marks.Total; got != want || want == 0 {
		t.Errorf("the export says %g, the paper gives %g", got, want)
	}
}

// A sitting that was killed anywhere, even within a line, goes on and ends as if it had not been.
func TestResume(t *testing.T) {
	d := sealed(t, nil)
	packet := d.packet(t, "ALFA")
	log := &kept{}
	sit(t, packet, newWatch(), log, 6)
	var marks string
	for n := 1; n <= len(log.lines); n++ {
		lines := append(log.lines[:n:n], []byte(`{"answer":{"cho`))
		w := newWatch()
		w.pass(60_000)
		w.mono = 0
		s := must(exam.Resume(packet, lines, exam.Options{Clock: w.read}))
		if got := len(must(s.Lines(0))); got != n+1 {
			t.Fatalf("killed after line %d: %d lines, want %d", n, got, n+1)
		}
		for _, a := range actions(t, 6)[len(s.Run(0).Actions()):] {
			w.pass(1000)
			must(s.Do(0, a))
		}
		v := must(d.examiner(t).Verify(must(s.Submit())))
		last, _ := v.Cases[0].Run.Last()
		if marks == "" {
			marks = last.Digest
		}
		if last.Digest != marks {
			t.Errorf("killed after line %d: another state than when killed after the first", n)
		}
		if !strings.Contains(strings.Join(v.Notes, "\n"), "resumed") {
			t.Error("resuming is not noted")
		}
	}
}

// Resume refuses lines of another packet, changed lines, and lines in another order.
func TestResumeRefuses(t *testing.T) {
	d := sealed(t, nil)
	log := &kept{}
	sit(t, d.packet(t, "ALFA"), newWatch(), log, 3)
	swapped := append([][]byte{}, log.lines...)
	swapped[2], swapped[3] = swapped[3], swapped[2]
	changed := append([][]byte{}, log.lines...)
	changed[2] = []byte(strings.Replace(string(changed[2]), "1893459602000", "1893459602001", 1))
	for _, c := range []struct {
		name, candidate string
		lines           [][]byte
		says            string
	}{
		{"none", "ALFA", nil, "empty"},
		{"another packet", "BRAVO", log.lines, "another packet"},
		{"no beginning", "ALFA", log.lines[1:], "not the beginning"},
		{"swapped", "ALFA", swapped, "does not follow"},
		{"changed", "ALFA", changed, "does not follow"},
	} {
		_, err := exam.Resume(d.packet(t, c.candidate), c.lines, exam.Options{Clock: newWatch().read})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// A submitted sitting is resumed as it is and gives the same export.
func TestResumeSubmitted(t *testing.T) {
	d := sealed(t, nil)
	log := &kept{}
	s := sit(t, d.packet(t, "ALFA"), newWatch(), log, 3)
	export := must(s.Submit())
	again := must(exam.Resume(d.packet(t, "ALFA"), log.lines, exam.Options{Clock: newWatch().read}))
	if !again.Submitted() || string(must(again.Submit())) != string(export) {
		t.Error("the export after resuming is another one")
	}
}

// What cannot be kept is not done: the disk is full, then has room again.
func TestDiskFull(t *testing.T) {
	d := sealed(t, nil)
	log := &kept{}
	packet := d.packet(t, "ALFA")
	w := newWatch()
	s := must(exam.Begin(packet, 1, exam.Options{Clock: w.read, Log: log}))
	steps := actions(t, 4)
	must(s.Do(0, steps[0]))
	log.full = errors.New("no space left on device")
	if _, err := s.Do(0, steps[1]); !errors.Is(err, exam.ErrNotKept) || !errors.Is(err, log.full) {
		t.Fatalf("got %v, want ErrNotKept with its cause", err)
	}
	if err := s.Answer(packet.Items[0].Item.ID, response(packet.Items[0])); !errors.Is(err, exam.ErrNotKept) {
		t.Fatalf("got %v, want ErrNotKept", err)
	}
	if _, err := s.Submit(); !errors.Is(err, exam.ErrNotKept) || s.Submitted() {
		t.Fatalf("submitted on a full disk: %v", err)
	}
	if n := len(s.Run(0).Actions()); n != 1 || len(s.Answers()) != 0 {
		t.Fatalf("%d actions and %d answers are done, want 1 and 0", n, len(s.Answers()))
	}
	log.full = nil
	for _, a := range steps[1:] {
		must(s.Do(0, a))
	}
	v := must(d.examiner(t).Verify(must(s.Submit())))
	if n := len(v.Cases[0].Run.Actions()); n != 4 {
		t.Errorf("%d actions verified, want 4", n)
	}
	must(exam.Resume(packet, log.lines, exam.Options{Clock: w.read}))
}

func TestWindow(t *testing.T) {
	d := sealed(t, nil)
	packet := d.packet(t, "ALFA")
	for _, c := range []struct {
		name string
		wall int64
		want error
	}{
		{"a second early", opens*1000 - 1000, exam.ErrEarly},
		{"at the opening", opens * 1000, nil},
		{"at the closing", closes * 1000, nil},
		{"a second late", closes*1000 + 1000, exam.ErrExpired},
	} {
		w := &watch{wall: c.wall}
		if _, err := exam.Begin(packet, 1, exam.Options{Clock: w.read}); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := exam.Begin(packet, 3, exam.Options{Clock: newWatch().read}); !errors.Is(err, exam.ErrAttempts) {
		t.Errorf("third attempt of two: got %v", err)
	}
	_, err := exam.Begin(packet, 1, exam.Options{Clock: newWatch().read, Instructor: exam.PublicKey(testKey(8))})
	refusedAs(t, err, exam.PaperSignature, "another key")
}

// The limit ends a sitting, extra time lengthens it, a rest stops the clock, setting the clock back gains
// nothing, and all of it is noted.
func TestMeter(t *testing.T) {
	d := sealed(t, nil)
	step := actions(t, 1)[0]
	for _, c := range []struct {
		name, candidate string
		pass            func(w *watch, s *exam.Sitting)
		want            error
		left            int64 // ms
		note            string
	}{
		{"an hour less a second", "ALFA", func(w *watch, _ *exam.Sitting) { w.pass(3599_000) }, nil, 1000, ""},
		{"an hour", "ALFA", func(w *watch, _ *exam.Sitting) { w.pass(3600_000) }, exam.ErrTime, 0, ""},
		{"extra time of a half", "BRAVO", func(w *watch, _ *exam.Sitting) { w.pass(5399_000) }, nil, 1000, ""},
		{"extra time used up", "BRAVO", func(w *watch, _ *exam.Sitting) { w.pass(5400_000) }, exam.ErrTime, 0, ""},
		{"a rest", "BRAVO", func(w *watch, s *exam.Sitting) {
			must(0, s.Rest())
			w.pass(500_000)
			must(0, s.Back())
			w.pass(5000_000)
		}, nil, 400_000, ""},
		{"a rest too long", "BRAVO", func(w *watch, s *exam.Sitting) {
			must(0, s.Rest())
			w.pass(700_000)
			must(0, s.Back())
		}, nil, 5300_000, ""},
		{"resting", "BRAVO", func(_ *watch, s *exam.Sitting) { must(0, s.Rest()) }, exam.ErrResting, 5400_000, ""},
		{"clock set back", "ALFA", func(w *watch, _ *exam.Sitting) { w.wall -= 1800_000; w.mono += 3000_000 }, nil, 600_000, "set back by 1800 s"},
		{"clock set ahead", "ALFA", func(w *watch, _ *exam.Sitting) { w.wall += 600_000 }, nil, 3000_000, "jumped ahead"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWatch()
			s := must(exam.Begin(d.packet(t, c.candidate), 1, exam.Options{Clock: w.read}))
			c.pass(w, s)
			if left, _ := s.Left(); left != c.left {
				t.Errorf("%d ms left, want %d", left, c.left)
			}
			if _, err := s.Do(0, step); !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
			v := must(d.examiner(t).Verify(must(s.Submit())))
			if notes := strings.Join(v.Notes, "\n"); !strings.Contains(notes, c.note) || c.note == "" && notes != "" {
				t.Errorf("noted %q, want %q", notes, c.note)
			}
		})
	}
}

func TestLook(t *testing.T) {
	d := sealed(t, nil)
	s := must(exam.Begin(d.packet(t, "ALFA"), 1, exam.Options{Clock: newWatch().read}))
	if err := s.Look(0, exam.SeeHints); err != nil {
		t.Error(err)
	}
	if err := s.Look(0, exam.SeeSection); !errors.Is(err, exam.ErrNotSeen) {
		t.Errorf("got %v, want ErrNotSeen", err)
	}
	must(d.examiner(t).Verify(must(s.Submit())))
}

func TestFit(t *testing.T) {
	packet := sealed(t, nil).packet(t, "ALFA")
	for _, shown := range packet.Items {
		if err := shown.Fit(response(shown)); err != nil {
			t.Errorf("%s: a fitting answer is refused: %v", shown.Item.Kind, err)
		}
		for name, bad := range map[string]quiz.Response{
			"unknown option":  {Chosen: []string{"zz"}},
			"unknown pair":    {Joined: []quiz.Joined{{Pair: "zz", Right: "zz"}}},
			"several at once": {Chosen: []string{"o1"}, Value: 3, Joined: []quiz.Joined{{Pair: "a", Right: "b"}}},
		} {
			if err := shown.Fit(bad); err == nil {
				t.Errorf("%s: %s fits", shown.Item.Kind, name)
			}
		}
	}
}
