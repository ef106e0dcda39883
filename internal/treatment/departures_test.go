package treatment_test

import (
	"os"
	"strings"
	"testing"

	"tugback/internal/treatment"
)

// TestDeparturesAreTold: every departure stands in DEVELOPERS.md with its constant and file, and its file exists.
func TestDeparturesAreTold(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range treatment.Departures() {
		if row := "| " + d.Text + " | " + d.Constant + " | `" + d.File + "` |"; !strings.Contains(string(text), row) {
			t.Errorf("DEVELOPERS.md lacks the row\n%s", row)
		}
		if _, err := os.Stat("../../" + d.File); err != nil {
			t.Error(err)
		}
	}
}
