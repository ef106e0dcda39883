package scenario_test

import (
	"errors"
	"io/fs"
	"strings"
	"testing"

	"tugback/internal/scenario"
	"tugback/scenarios"
)

// carefulText returns the text of the careful operator.
func carefulText(t testing.TB) string {
	t.Helper()
	text, err := fs.ReadFile(scenarios.Files, "operators/careful.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestOperators holds that the shipped operators are read in the engine's units, and that every habit is
// needed once and checked.
func TestOperators(t *testing.T) {
	o, err := scenario.ParseOperator("careful.yaml", []byte(carefulText(t)))
	if err != nil {
		t.Fatal(err)
	}
	if o.Name != "careful" || o.ForceScatter != 0.15 || o.Short != 0.5 || o.Taper != 4 || o.Skip("dam") != 0 {
		t.Errorf("read as %+v", o)
	}
	text := carefulText(t)
	for _, h := range scenario.Habits() {
		at := strings.Index(text, "\n"+h.Key+":")
		if at < 0 {
			t.Errorf("careful.yaml lacks %s", h.Key)
			continue
		}
		end := at + 1 + strings.IndexByte(text[at+1:], '\n')
		_, err := scenario.ParseOperator("x.yaml", []byte(text[:at]+text[end:]))
		if err == nil || !strings.Contains(err.Error(), "lacks "+h.Key) {
			t.Errorf("without %s: %v", h.Key, err)
		}
		_, err = scenario.ParseOperator("x.yaml", []byte(text[:at]+"\n"+h.Key+": 1000000 kg"+text[end:]))
		if err == nil {
			t.Errorf("%s: 1000000 kg is taken", h.Key)
		}
	}
}

// TestOperatorSteps holds that every step may be left out with a chance, and only a chance.
func TestOperatorSteps(t *testing.T) {
	for _, s := range scenario.SkippedSteps() {
		o, err := scenario.ParseOperator("x.yaml", []byte(strings.Replace(carefulText(t), "skips: {}", "skips: {"+s.Key+": 25 %}", 1)))
		if err != nil || o.Skip(s.Key) != 0.25 {
			t.Errorf("%s: %v, %v", s.Key, o.Skip(s.Key), err)
		}
	}
	_, err := scenario.ParseOperator("x.yaml", []byte(strings.Replace(carefulText(t), "skips: {}", "skips: {damm: 120 %}", 1)))
	var faults scenario.Faults
	if !errors.As(err, &faults) || !strings.Contains(faults[0].Message, `did you mean "dam"`) {
		t.Errorf("got %v, want the likely step", err)
	}
}

// FuzzParseOperator holds that no text makes the reader panic.
func FuzzParseOperator(f *testing.F) {
	f.Add([]byte(carefulText(f)))
	f.Add([]byte("format: 1\noperator: x\nskips: [1]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		scenario.ParseOperator("fuzz.yaml", text)
	})
}
