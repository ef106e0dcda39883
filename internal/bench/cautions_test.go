package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/bench"
)

// textsOf joins what a page says in its columns.
func textsOf(p bench.Page) string {
	var all []string
	for _, blocks := range [][]bench.Block{p.Left, p.Act, p.Right, p.Tell, p.Centre.Blocks} {
		for _, b := range blocks {
			all = append(all, b.Text)
		}
	}
	return strings.Join(all, "\n")
}

// The cautions of an act stand beside it, and all emergencies with their first response and what the model leaves
// out stand in help. The texts are those of protocol facts 7 and 7.1.
func TestCautionsAtTheStep(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.key("5")
	if text := textsOf(s.Page()); !strings.Contains(text, "Pacemaker") {
		t.Errorf("no caution beside the locator:\n%s", text)
	}
	p.key("6")
	if text := textsOf(s.Page()); strings.Contains(text, "Pacemaker") {
		t.Error("the locator's caution stands beside another act")
	}
	help, _ := open(t, nil)
	q := newStudent(t, help)
	q.key("F1")
	q.press("page:4")
	if text := textsOf(help.Page()); !strings.Contains(text, "hospital imaging") || !strings.Contains(text, "leakage experiments") {
		t.Errorf("the help's cautions lack emergencies or limits:\n%s", text)
	}
}
