package scenario_test

import (
	"strings"
	"testing"
	"time"

	"tugback/internal/scenario"
)

// TestHostileTexts holds that large texts of several hostile shapes are refused soon: nothing
// grows faster than the text. The bound is wide, for a slow machine under load.
func TestHostileTexts(t *testing.T) {
	const size = 1 << 18
	fill := func(part string) string { return strings.Repeat(part, size/len(part)) }
	for name, text := range map[string]string{
		"open quote":    "a: \"\n" + fill("b: c\n"),
		"open bracket":  "a: [\n" + fill("b,\n"),
		"late fault":    fill("- a\n") + "b: c\n",
		"early fault":   "a: b: c\n" + fill("b: c\n"),
		"unknown keys":  fill("tooht: 1\n"),
		"deep brackets": fill("["),
		"deep dashes":   fill("- "),
		"deep keys":     fill("? "),
		"aliases":       "a: &a b\nc: [" + fill("*a,") + "]",
		"one line":      "title: " + fill("x"),
		"many numbers":  "tray: [" + fill("1,") + "]",
	} {
		begin := time.Now()
		_, err := scenario.Parse(name, []byte(text))
		if err == nil {
			t.Errorf("%s: no fault", name)
		} else if message := err.Error(); len(message) > 1<<20 {
			t.Errorf("%s: a message of %d bytes", name, len(message))
		}
		t.Logf("%s: %s", name, time.Since(begin))
	}
}
