package exam

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tugback/internal/scenario"
)

// Names of the documents, each with the version of its form.
const (
	PaperSchema  = "tugback-paper-1"
	PacketSchema = "tugback-packet-1"
	ExportSchema = "tugback-sitting-1"
)

// What a paper may let a candidate see, as a blueprint names it.
const (
	SeeMarks    = scenario.SeeMarks
	SeeSection  = scenario.SeeSection
	SeeHints    = scenario.SeeHints
	SeeGuidance = scenario.SeeGuidance
	SeeRisk     = scenario.SeeRisk
)

// Sights returns all that a paper may let a candidate see; an exam usually allows none.
func Sights() []string { return scenario.Sights() }

var goodID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$`)

// CheckID returns what is wrong with the id of a paper or candidate, or nil. Ids become names of files, so
// they are 1 to 64 letters, digits, - and _, beginning with a letter or digit, and not a name that some
// system keeps for a device. Checked by TestCheckID.
func CheckID(id string) error {
	if !goodID.MatchString(id) {
		return fmt.Errorf("id %.70q: allowed are 1 to 64 letters, digits, - and _, beginning with a letter or digit", id)
	}
	lower := strings.ToLower(id)
	device := len(lower) == 4 && (strings.HasPrefix(lower, "com") || strings.HasPrefix(lower, "lpt")) && lower[3] >= '0' && lower[3] <= '9'
	if device || slices.Contains([]string{"con", "prn", "aux", "nul"}, lower) {
		return fmt.Errorf("id %q is the name of a device on some systems; choose another", id)
	}
	return nil
}

// PacketFile returns the usual name of a candidate's packet.
func PacketFile(candidate string) string { return candidate + ".packet.json" }

// LogFile returns the usual name of the log of an attempt.
func LogFile(candidate string, attempt int) string {
	return fmt.Sprintf("%s.%d.log.jsonl", candidate, attempt)
}

// ExportFile returns the usual name of the export of an attempt.
func ExportFile(candidate string, attempt int) string {
	return fmt.Sprintf("%s.%d.sitting.json", candidate, attempt)
}

// ReceiptFile returns the usual name of a class server's receipt for an attempt.
func ReceiptFile(candidate string, attempt int) string {
	return fmt.Sprintf("%s.%d.receipt.json", candidate, attempt)
}
