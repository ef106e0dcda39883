package attempt_test

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/attempt"
	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// TestRoundTrip holds that a record comes back from its bytes, and verifies.
func TestRoundTrip(t *testing.T) {
	paper := paperOf(t, 1<<63+1) // a seed no JSON number could carry
	record, data := recordOf(t, paper)
	back, err := attempt.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(back, record); diff != "" {
		t.Errorf("another record came back: %s", diff)
	}
	if refusal := attempt.Verify(back, paper); refusal != nil {
		t.Errorf("an honest record was refused: %s", strings.Join(refusal.Lines(), "\n"))
	}
}

// tampering is a way to spoil a record, and the reason for which it must be refused.
type tampering struct {
	name  string
	spoil func(data []byte) []byte
	class attempt.Class
	say   string // part of the reason
}

func swap(from, to string) func([]byte) []byte {
	return func(data []byte) []byte { return bytes.Replace(data, []byte(from), []byte(to), 1) }
}

func become(text string) func([]byte) []byte {
	return func([]byte) []byte { return []byte(text) }
}

// undecodable spoils the bytes.
func undecodable() []tampering {
	return []tampering{
		{"empty", become(""), attempt.NotRecord, "the file is empty"},
		{"binary", become("\x7fELF\x00"), attempt.NotRecord, "does not begin with {"},
		{"other JSON", become(`{"name":"x"}`), attempt.NotRecord, "states no format and engine"},
		{"other format", swap(`"format":1`, `"format":2`), attempt.NotRecord, "its format is 2, this program reads 1"},
		{"huge", become("{" + strings.Repeat(" ", 9<<20)), attempt.TooLarge, "a record has at most 8388608"},
		{"cut short", func(d []byte) []byte { return d[:len(d)/2] }, attempt.Malformed, "unexpected end of JSON input"},
		{"doubled", func(d []byte) []byte { return append(slices.Clone(d), d...) }, attempt.Malformed, "after top-level value"},
		{"key twice", swap(`{"actions"`, `{"seed":"1","actions"`), attempt.DoubleKey, "seed"},
		{"deep", become("{\"a\":" + strings.Repeat("[", 1<<20)), attempt.Malformed, "exceeded max depth"},
		{"other engine", swap(`"engine":"`+treatment.Engine, `"engine":"0.`+treatment.Engine), attempt.OtherEngine, "re-running would prove nothing"},
		{"space", swap(`{"actions"`, `{ "actions"`), attempt.NotCanonical, `byte 2: found " \"actions`},
		{"line end", func(d []byte) []byte { return append(slices.Clone(d), '\n') }, attempt.NotCanonical, "changed after it was written"},
		{"long number", swap(`"tooth":`, `"tooth":0.1e1`), attempt.NotCanonical, "changed after it was written"},
		{"upper case key", swap(`"digest"`, `"dIgest"`), attempt.NotCanonical, "changed after it was written"},
		{"list without a list", swap(`"critical":[]`, `"critical":null`), attempt.OutOfBounds, "null stands where a record has a list"},
		{"new field", swap(`"outcome"`, `"note":"x","outcome"`), attempt.UnknownField, `unknown field "note"`},
		{"number for yes or no", swap(`"failed":false`, `"failed":0`), attempt.Malformed, "cannot unmarshal number"},
	}
}

// TestDecodeRefuses holds the class and the reason for each way to spoil the bytes.
func TestDecodeRefuses(t *testing.T) {
	_, data := recordOf(t, paperOf(t, 1))
	for _, c := range undecodable() {
		spoilt := c.spoil(data)
		if bytes.Equal(spoilt, data) {
			t.Errorf("%s: nothing was spoilt", c.name)
		}
		_, err := attempt.Decode(spoilt)
		var refusal *attempt.Refusal
		if !errors.As(err, &refusal) || refusal.Class != c.class || !strings.Contains(refusal.Reason, c.say) {
			t.Errorf("%s: got %v, want class %s and %q", c.name, err, c.class, c.say)
		}
	}
}

// forgery changes a record and encodes it again, so that its form is good.
type forgery struct {
	name   string
	forge  func(r *attempt.Record)
	class  attempt.Class
	action int
	say    string
}

func forgeries() []forgery {
	return []forgery{
		{"other scenario", func(r *attempt.Record) { r.Scenario.Name = "other" }, attempt.OtherScenario, -1, `it is about "other"`},
		{"other content", func(r *attempt.Record) { r.Scenario.Digest = strings.Repeat("0", 64) }, attempt.OtherScenario, -1, "000000000000…"},
		{"other seed", func(r *attempt.Record) { r.Seed++ }, attempt.OtherSeed, -1, "its seed is 2, the case here was grown from 1"},
		{"action out of range", func(r *attempt.Record) { r.Actions[2].Depth = 99999 }, attempt.OutOfBounds, -1, "action 3: open: depth is 99.999 mm"},
		{"action without a checkpoint", func(r *attempt.Record) { r.Checkpoints = r.Checkpoints[:3] }, attempt.OutOfBounds, -1, "3 checkpoints for 4 actions"},
		{"checkpoint of another action", func(r *attempt.Record) { r.Checkpoints[1].Action = 0 }, attempt.OutOfBounds, -1, "action 2: its checkpoint is not its own"},
		{"digest in capitals", func(r *attempt.Record) { r.Digest = strings.ToUpper(r.Digest) }, attempt.OutOfBounds, -1, "64 hexadecimal digits"},
		{"too many actions", func(r *attempt.Record) { r.Actions = make([]treatment.Action, 5001) }, attempt.OutOfBounds, -1, "at most 5000"},
		{"action out of order", func(r *attempt.Record) {
			r.Actions[0] = treatment.Action{Do: treatment.Find, Canal: "any"}
		}, attempt.ActionRefused, 0, "action 1: "},
		{"action changed", func(r *attempt.Record) { r.Actions[3].Time -= 1000 }, attempt.CheckpointDiffers, 3, "after action 4 (wait)"},
		{"action left out", func(r *attempt.Record) {
			r.Actions, r.Checkpoints = r.Actions[1:], r.Checkpoints[1:]
			for i := range r.Checkpoints {
				r.Checkpoints[i].Action = i
			}
		}, attempt.CheckpointDiffers, 0, "after action 1 (isolate)"},
		{"time changed", func(r *attempt.Record) { r.Checkpoints[1].Elapsed++ }, attempt.CheckpointDiffers, 1, "ms, re-run"},
		{"outcome changed", func(r *attempt.Record) { r.Outcome.Metrics[0].Value += 0.001 }, attempt.OutcomeDiffers, -1, "not what the actions give"},
		{"metric left out", func(r *attempt.Record) { r.Outcome.Metrics = r.Outcome.Metrics[1:] }, attempt.OutcomeDiffers, -1, "not what the actions give"},
		{"marks changed", func(r *attempt.Record) { r.Marks.Total = 10 }, attempt.MarksDiffer, -1, "not what the outcome earns"},
		{"evidence changed", func(r *attempt.Record) { r.Marks.Rules[1].Evidence = "took 1 min" }, attempt.MarksDiffer, -1, "not what the outcome earns"},
		{"digest changed", func(r *attempt.Record) { r.Digest = strings.Repeat("0", 64) }, attempt.DigestDiffers, -1, "000000000000…"},
	}
}

// check decodes and verifies, as the command does.
func check(data []byte, paper attempt.Paper) *attempt.Refusal {
	record, err := attempt.Decode(data)
	var refusal *attempt.Refusal
	if errors.As(err, &refusal) {
		return refusal
	}
	return attempt.Verify(record, paper)
}

// TestVerifyRefuses holds the class, the action and the reason for each forgery.
func TestVerifyRefuses(t *testing.T) {
	paper := paperOf(t, 1)
	_, data := recordOf(t, paper)
	for _, c := range forgeries() {
		record, err := attempt.Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		c.forge(&record)
		forged, err := attempt.Encode(record)
		if err != nil {
			t.Fatal(err)
		}
		got := check(forged, paper)
		if got == nil || got.Class != c.class || got.Action != c.action || !strings.Contains(got.Reason, c.say) {
			t.Errorf("%s: got %+v, want class %s, action %d, %q", c.name, got, c.class, c.action, c.say)
		}
		if second := attempt.Verify(record, paper); second == nil {
			t.Errorf("%s: accepted when it was not decoded first", c.name)
		}
	}
}

// TestEveryClassOccurs holds that each class of refusal is tested, and its exit code.
func TestEveryClassOccurs(t *testing.T) {
	var seen []attempt.Class
	for _, c := range undecodable() {
		seen = append(seen, c.class)
	}
	for _, c := range forgeries() {
		seen = append(seen, c.class)
	}
	for _, class := range attempt.Classes() {
		if !slices.Contains(seen, class) {
			t.Errorf("no test refuses a record for %s", class)
		}
		want := 3
		if class == attempt.OtherEngine {
			want = 4
		}
		if class == attempt.TooLarge || class == attempt.NotRecord {
			want = 1
		}
		if got := class.ExitCode(); got != want {
			t.Errorf("%s: got exit code %d, want %d", class, got, want)
		}
	}
}

// TestReport holds that fields which differ are told by name, with what was recorded and what
// re-running gives.
func TestReport(t *testing.T) {
	paper := paperOf(t, 1)
	record, _ := recordOf(t, paper)
	minutes := slices.IndexFunc(record.Outcome.Metrics, func(m treatment.Metric) bool { return m.Name == "minutes" })
	record.Outcome.Metrics[minutes].Value = 1
	record.Marks.Rules[0].Points = 0
	refusal := attempt.Verify(record, paper)
	if refusal == nil {
		t.Fatal("accepted")
	}
	text := strings.Join(refusal.Lines(), "\n")
	for _, want := range []string{"record refused (outcome-differs)", "outcome.minutes.Value: the record says 1, re-running gives ", "marks.dam.Points: the record says 0, re-running gives 4"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks %q:\n%s", want, text)
		}
	}
}

// TestEveryByteCounts changes one byte of a record, at 1000 places drawn from a fixed seed, and expects
// a refusal with a reason each time.
func TestEveryByteCounts(t *testing.T) {
	paper := paperOf(t, 1)
	_, data := recordOf(t, paper)
	draw := detmath.NewStream(1, "bytes")
	for range 1000 {
		at, change := draw.Intn(len(data)), byte(1+draw.Intn(255))
		spoilt := slices.Clone(data)
		spoilt[at] ^= change
		if refusal := check(spoilt, paper); refusal == nil || refusal.Reason == "" {
			t.Fatalf("byte %d changed from %q to %q: %v", at, data[at], spoilt[at], refusal)
		}
	}
}

// FuzzDecode looks for bytes that make Decode panic, or that it accepts though Encode would not write
// them.
func FuzzDecode(f *testing.F) {
	_, data := recordOf(f, paperOf(f, 1))
	f.Add(data)
	for _, c := range undecodable() {
		if spoilt := c.spoil(data); len(spoilt) < 1<<16 {
			f.Add(spoilt)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		record, err := attempt.Decode(data)
		var refusal *attempt.Refusal
		if err != nil {
			if !errors.As(err, &refusal) || refusal.Reason == "" {
				t.Fatalf("got %v, want a refusal with a reason", err)
			}
			return
		}
		if again, err := attempt.Encode(record); err != nil || !bytes.Equal(again, data) {
			t.Fatalf("accepted what would be written otherwise (%v)", err)
		}
	})
}

// TestPart: what is shown of two digests differs wherever they do, and is short.
func TestPart(t *testing.T) {
	const digest = "0123456789abcdef0123456789abcdef"
	for _, c := range []struct{ a, b, shownA, shownB string }{
		{digest, "1" + digest[1:], "0123456789ab…", "1123456789ab…"},
		{digest, digest[:20] + "x" + digest[21:], "…0123456789ab…", "…0123x56789ab…"},
		{digest, digest[:31] + "x", "…bcdef", "…bcdex"},
		{digest, "", "0123456789ab…", ""},
		{digest, digest[:20], "…0123456789ab…", "…0123"},
	} {
		a, b := attempt.Part(c.a, c.b)
		if a != c.shownA || b != c.shownB {
			t.Errorf("%s and %s are shown as %s and %s, want %s and %s", c.a, c.b, a, b, c.shownA, c.shownB)
		}
	}
}
