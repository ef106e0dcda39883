package bench_test

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/treatment"
)

// ended finds how repeated work ended.
var ended = regexp.MustCompile(`^(Stopped after )?([0-9]+) strokes(\. |, and nothing has changed\. )(.+)$`)

// TestRepeatStops: work that is repeated ends with what changed or after 40 strokes, says so and records as
// many strokes as it says; a file that is loose ends it, and so does a mishap, of which each kind ends it but
// once.
func TestRepeatStops(t *testing.T) {
	s, k := begun(t)
	p := newStudent(t, s)
	p.rinse("12.0 mm")
	p.act("6", "work")
	repeat := func() (strokes int, same bool, why string) {
		t.Helper()
		s.Said()
		s.Type(bench.Stroke{Key: "r"})
		said := s.Said()
		found := ended.FindStringSubmatch(said[len(said)-1])
		if found == nil {
			t.Fatalf("repeated work ends with %q", said)
		}
		if text := strings.Join(lines(s.Page().Act), " "); !strings.Contains(text, found[0]) {
			t.Errorf("beside the act stands %q, not why it stopped", text)
		}
		n, _ := strconv.Atoi(found[2])
		return n, found[1] == "", found[4]
	}
	until := func(what string) (presses int) {
		t.Helper()
		for presses = 1; presses <= 12; presses++ {
			n, same, why := repeat()
			var kept struct{ Actions []treatment.Action }
			if err := json.Unmarshal(k.current, &kept); err != nil {
				t.Fatal(err)
			}
			if last := kept.Actions[len(kept.Actions)-1]; last.Strokes != n || last.Do != treatment.Work || same != (n == 40 && same) {
				t.Errorf("it says %d strokes, nothing changed: %v; recorded is %+v", n, same, last)
			}
			if strings.Contains(why, what) {
				return presses
			}
		}
		t.Fatalf("it never says %q", what)
		return 0
	}
	p.item("hand-steel-10.02")
	p.value("field:stop", "15.0 mm")
	until("Loose at the stop")
	p.item("hand-steel-25.02")
	p.value("field:stop", "20.5 mm")
	if until("Loose at the stop") < 2 {
		t.Error("a size 25 is loose at once: no class of resistance ended the work")
	}
	p.item("hand-steel-10.02")
	p.value("field:stop", "22.5 mm")
	if n, _, why := repeat(); n != bench.Burst || !strings.Contains(why, "past the foramen") {
		t.Errorf("a file past the foramen ends after %d strokes: %s", n, why)
	}
	if _, _, why := repeat(); strings.Contains(why, "past the foramen") {
		t.Errorf("the same mishap ends the work again: %s", why)
	}
	p.key("1")
	saves := k.saves
	if s.Type(bench.Stroke{Key: "r"}); k.saves != saves {
		t.Error("what is no work was repeated")
	}
}
