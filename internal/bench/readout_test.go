package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/bench"
)

// TestInWords: the page in words holds every letter that is laid out on the sheet of each screen but for what a
// graph or a plate letters itself, every control once, and F4 says it.
func TestInWords(t *testing.T) {
	for name, s := range walks(t) {
		s.SetComfort(bench.Settings{TextPercent: 100, Palette: "light"})
		s.Compose(1440, 900)
		page := s.Page()
		words := page.InWords()
		if !words[0].Head || words[0].Text != page.Title {
			t.Errorf("%s: begins with %+v, not its title", name, words[0])
		}
		acts, all := 0, ""
		for _, w := range words {
			if w.Act {
				acts++
			}
			if strings.TrimSpace(w.Text) == "" {
				t.Errorf("%s: an empty line", name)
			}
			all += w.Text + "\n"
		}
		if acts != len(page.Controls()) {
			t.Errorf("%s: %d controls are told, the page has %d", name, acts, len(page.Controls()))
		}
		for _, blocks := range [][]bench.Block{page.Left, page.Right, page.Tell, page.Centre.Blocks} {
			for _, text := range lines(blocks) {
				if told := strings.ReplaceAll(all, ": ", " "); !strings.Contains(told, strings.ReplaceAll(strings.TrimSpace(text), ": ", " ")) {
					t.Errorf("%s: %q is not told", name, text)
				}
			}
		}
		s.Said()
		s.Type(bench.Stroke{Key: "F4"})
		if said := strings.Join(s.Said(), "\n") + "\n"; said != all {
			t.Errorf("%s: F4 says\n%s, want\n%s", name, said, all)
		}
	}
}

// TestLessMotion: with less motion the page changes seldom while the hand works, and what is recorded is the same.
func TestLessMotion(t *testing.T) {
	changes := func(less bool) (int, string) {
		s, k := begun(t)
		s.SetComfort(bench.Settings{TextPercent: 100, Palette: "light", ReducedMotion: less})
		s.Hold(true)
		n := 0
		for range 30 {
			before := s.Revision()
			s.Tick(bench.BurstTime)
			if s.Revision() != before {
				n++
			}
		}
		s.Hold(false)
		return n, string(k.current)
	}
	usual, record := changes(false)
	calm, same := changes(true)
	if calm > usual/4 || calm < 2 || record != same {
		t.Errorf("the page changes %d times with less motion and %d times without; recorded the same: %v", calm, usual, record == same)
	}
}
