package bench_test

import (
	"slices"
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// sat begins a treatment of a shipped case by lines.
func sat(t testing.TB, name string, k *keeper) *bench.Prompt {
	t.Helper()
	p, said := bench.Sit(bench.Sitting{Scenario: specimen.Scenario(t, name), Case: specimen.Paper(t, name).Case, Keeper: k})
	if len(said) == 0 {
		t.Fatal("nothing is said at the beginning")
	}
	return p
}

// TestPromptRefusals: a line that is wrong says so and saves nothing.
func TestPromptRefusals(t *testing.T) {
	k := &keeper{}
	p := sat(t, "lower-first-molar", k)
	saves := k.saves
	for _, c := range [][2]string{
		{"frobnicate", "A line begins with one of"},
		{"judge maybe", "judge does not know"},
		{"canal XY", "This tooth has"},
		{"work with hand-steel-11.02", "did you mean hand-steel-10.02"},
		{"open depth", "depth has no value"},
		{"open depth 2 kg", "depth"},
		{"go nowhere", "Go to which step?"},
		{"rewind", "checkpoint"},
		{"repeat", "Only work can be repeated"},
		{"finish", "Nothing"},
		{"help nothing", "No action"},
	} {
		said := strings.Join(p.Line(c[0]), " ")
		if !strings.Contains(said, c[1]) {
			t.Errorf("%s: said %q, want %q", c[0], said, c[1])
		}
	}
	if k.saves != saves {
		t.Errorf("wrong lines saved %d times", k.saves-saves)
	}
}

// TestComplete: the last word is completed from what may stand there.
func TestComplete(t *testing.T) {
	p := sat(t, "lower-first-molar", &keeper{})
	for _, c := range []struct {
		line string
		want string
	}{
		{"isol", "isolate"}, {"go me", "measure"}, {"work with hand-steel-1", "hand-steel-10.02"},
		{"work mot", "motion"}, {"canal M", "MB"}, {"help irr", "irrigate"},
	} {
		if got := p.Complete(c.line); !slices.Contains(got, c.want) {
			t.Errorf("%q: got %v, want %s among them", c.line, got, c.want)
		}
	}
	if got := p.Complete("work motion "); slices.Contains(got, "stop") || !slices.Contains(got, "reaming") {
		t.Errorf("behind motion stand %v", got)
	}
	if got := p.Complete("work qqq"); len(got) != 0 {
		t.Errorf("nonsense is completed to %v", got)
	}
}

// FuzzPrompt: no line makes the session panic.
func FuzzPrompt(f *testing.F) {
	p := sat(f, "upper-lateral-incisor", &keeper{})
	for _, line := range []string{"work stop", "work = = =", "go 99", "tray x", "help", "open deroofed no", "again 0", "own a b", "#", "radiograph angle -40 deg"} {
		f.Add(line)
	}
	f.Fuzz(func(_ *testing.T, line string) {
		p.Line(line)
		p.Complete(line)
	})
}

// TestTrayLines: the whole catalogue is told in a few lines, by names that can be typed.
func TestTrayLines(t *testing.T) {
	p := sat(t, "lower-premolar", &keeper{})
	out := p.Line("tray work")
	if text := strings.Join(out, "\n"); len(out) > 40 || !strings.Contains(text, "hand-steel-SIZE.02, steel K-type hand file: 06 08 10") || !strings.Contains(text, "enlarger-SIZE") {
		t.Errorf("%d lines: %s", len(out), text)
	}
	for _, line := range out[1:] {
		id, _, _ := strings.Cut(strings.TrimSpace(line), ",")
		_, sizes, _ := strings.Cut(line, ": ")
		for _, size := range strings.Fields(sizes) {
			if _, err := treatment.Lookup(strings.Replace(id, "SIZE", size, 1)); err != nil {
				t.Errorf("%q: %v", line, err)
			}
		}
	}
	if out := p.Line("tray irrigate"); len(out) < 2 || !strings.Contains(strings.Join(out, " "), "needle-SIZE-") {
		t.Errorf("needles: %v", out)
	}
}
