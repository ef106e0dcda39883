package attempt

import (
	"fmt"
	"strconv"
	"strings"

	"tugback/internal/detmath"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Class is the kind of reason for which a record is refused.
type Class string

// The classes of refusal, in the order in which they are looked for.
const (
	TooLarge          Class = "too-large"
	NotRecord         Class = "not-a-record"
	Malformed         Class = "malformed"
	DoubleKey         Class = "double-key"
	OtherEngine       Class = "other-engine"
	NotCanonical      Class = "not-canonical"
	UnknownField      Class = "unknown-field"
	OutOfBounds       Class = "out-of-bounds"
	OtherScenario     Class = "other-scenario"
	OtherSeed         Class = "other-seed"
	ActionRefused     Class = "action-refused"
	CheckpointDiffers Class = "checkpoint-differs"
	OutcomeDiffers    Class = "outcome-differs"
	MarksDiffer       Class = "marks-differ"
	DigestDiffers     Class = "digest-differs"
)

// Classes returns all classes of refusal. Checked by TestEveryClassOccurs.
func Classes() []Class {
	return []Class{TooLarge, NotRecord, Malformed, DoubleKey, OtherEngine, NotCanonical, UnknownField, OutOfBounds,
		OtherScenario, OtherSeed, ActionRefused, CheckpointDiffers, OutcomeDiffers, MarksDiffer, DigestDiffers}
}

// ExitCode returns the exit code of a command that refuses a record for this class: 4 for another
// engine, 1 for what is no record at all, else 3.
func (c Class) ExitCode() int {
	if c == OtherEngine {
		return 4
	}
	if c == TooLarge || c == NotRecord {
		return 1
	}
	return 3
}

// Refusal is why a record is not accepted.
type Refusal struct {
	Class  Class
	Reason string
	// Action is the index of the first action at which the record and its re-run part, −1 when it is
	// not about one action.
	Action int
	// Differences are fields of outcome and marks: Got is what the record says, Want what re-running
	// gives.
	Differences []detmath.Difference
}

// Error returns the class and the reason.
func (r *Refusal) Error() string { return "record refused (" + string(r.Class) + "): " + r.Reason }

// Lines returns the whole report, one line for the reason and one for each field that differs.
func (r *Refusal) Lines() []string {
	lines := []string{r.Error()}
	for _, d := range r.Differences {
		lines = append(lines, fmt.Sprintf("%s: the record says %s, re-running gives %s", d.Path, d.Got, d.Want))
	}
	return lines
}

func refuse(class Class, form string, args ...any) *Refusal {
	return &Refusal{Class: class, Reason: fmt.Sprintf(form, args...), Action: -1}
}

// maxDifferences is how many fields of the outcome, and how many of the marks, a report lists.
const maxDifferences = 20

// Verify runs the actions of a decoded record again on a paper, whose case must be grown from the
// record's seed, and compares every checkpoint, the outcome, the marks and the digest. It returns nil
// when all are the same, bit for bit; else the first difference decides the class, and the report
// lists every field of outcome and marks that differs, up to 20 each. Checked by TestVerifyRefuses and
// TestEveryByteCounts.
func Verify(record Record, paper Paper) *Refusal {
	_, refusal := Rerun(record, paper)
	return refusal
}

// Rerun is Verify that also returns the run it made, for marking it by other rules; the run is nil when
// nothing was run. Checked by the same tests as Verify.
func Rerun(record Record, paper Paper) (*Run, *Refusal) {
	c := paper.Case
	switch {
	case record.Engine != treatment.Engine:
		return nil, refuse(OtherEngine, "made by engine %.40q, this is engine %q", record.Engine, treatment.Engine)
	case record.Scenario != Source{Name: c.Scenario, Digest: c.Digest}:
		recorded, here := Part(record.Scenario.Digest, c.Digest)
		return nil, refuse(OtherScenario, "it is about %q (%s), the scenario here is %q (%s)",
			record.Scenario.Name, recorded, c.Scenario, here)
	case record.Seed != c.Seed:
		return nil, refuse(OtherSeed, "its seed is %d, the case here was grown from %d", record.Seed, c.Seed)
	}
	if reason := record.bounds(); reason != "" {
		return nil, refuse(OutOfBounds, "%s", reason)
	}
	run, parted := again(&record, paper)
	if parted != nil && parted.Class == ActionRefused {
		return run, parted
	}
	run.notes = record.Notes // not re-run: bounded above, and under their own digest
	return run, compare(&record, run.Close(), parted)
}

// again re-runs the actions and notes the first checkpoint that differs. It goes on after that, so
// that outcome and marks can be compared too, and stops at an action that is refused.
func again(record *Record, paper Paper) (*Run, *Refusal) {
	run := Begin(paper)
	var parted *Refusal
	for i := range min(len(paper.Done), len(record.Actions)) {
		if record.Actions[i] != paper.Done[i] {
			parted = refuse(ActionRefused, "the drill begins with other steps: action %d is %s", i+1, Say(record.Actions[i]))
			parted.Action = i
			return run, parted
		}
	}
	for i, a := range record.Actions {
		if _, err := run.Do(a); err != nil {
			if parted == nil {
				parted = refuse(ActionRefused, "%v", err)
				parted.Action = i
			}
			return run, parted
		}
		if got, want := record.Checkpoints[i], run.checkpoints[i]; parted == nil && got != want {
			parted = refuse(CheckpointDiffers, "after action %d (%s) the case is not in the recorded state: %s", i+1, a.Do, unlike(got, want))
			parted.Action = i
		}
	}
	return run, parted
}

// unlike says how two checkpoints differ.
func unlike(got, want Checkpoint) string {
	if got.Digest == want.Digest {
		return fmt.Sprintf("recorded %d ms, re-run %d ms", got.Elapsed, want.Elapsed)
	}
	recorded, again := Part(got.Digest, want.Digest)
	return fmt.Sprintf("recorded digest %s, re-run %s", recorded, again)
}

// Part shortens two digests to twelve characters in which they differ: the first ones where they differ there, else
// those from just before the place. Checked by TestPart.
func Part(a, b string) (string, string) {
	const shown, lead = 12, 4
	at := 0
	for at < len(a) && at < len(b) && a[at] == b[at] {
		at++
	}
	from, before := max(0, at-lead), "…"
	if at < shown {
		from, before = 0, ""
	}
	cut := func(s string) string {
		short, after := s[min(from, len(s)):], ""
		if len(short) > shown {
			short, after = short[:shown], "…"
		}
		return before + short + after
	}
	return cut(a), cut(b)
}

// compare completes a refusal with the fields that differ, or finds one in what stands after the
// checkpoints.
func compare(record *Record, want Record, parted *Refusal) *Refusal {
	outcome := differences("outcome", record.Outcome, want.Outcome, func(path string) string {
		return named(path, "Metrics", len(want.Outcome.Metrics), func(i int) string { return metricPath(want.Outcome.Metrics[i]) })
	})
	marks := differences("marks", record.Marks, want.Marks, func(path string) string {
		return named(path, "Rules", len(want.Marks.Rules), func(i int) string { return want.Marks.Rules[i].ID })
	})
	switch {
	case parted != nil:
	case len(outcome) > 0:
		parted = refuse(OutcomeDiffers, "the recorded outcome is not what the actions give")
	case len(marks) > 0:
		parted = refuse(MarksDiffer, "the recorded marks are not what the outcome earns")
	case record.Digest != want.Digest:
		recorded, again := Part(record.Digest, want.Digest)
		parted = refuse(DigestDiffers, "recorded digest %s, re-run %s", recorded, again)
	case record.NotesDigest != want.NotesDigest:
		recorded, computed := Part(record.NotesDigest, want.NotesDigest)
		parted = refuse(DigestDiffers, "recorded digest of the notes %s, computed %s", recorded, computed)
	default:
		return nil
	}
	parted.Differences = append(outcome, marks...)
	return parted
}

func metricPath(m treatment.Metric) string {
	if m.Canal == "" {
		return m.Name
	}
	return m.Canal + "." + m.Name
}

// differences compares two outcomes or marks and names what differs as a person would.
func differences[T treatment.Outcome | marking.Marks](what string, got, want T, name func(string) string) []detmath.Difference {
	found := detmath.Diff(got, want, maxDifferences)
	for i := range found {
		found[i].Path = what + "." + name(found[i].Path)
	}
	return found
}

// named replaces the index in a path such as Metrics[3].Value by the name of the element, where there
// is one: MB.transport_max_mm.Value.
func named(path, list string, n int, name func(i int) string) string {
	rest, found := strings.CutPrefix(path, list+"[")
	digits, after, closed := strings.Cut(rest, "]")
	index, err := strconv.Atoi(digits)
	if !found || !closed || err != nil || index >= n {
		return path
	}
	return name(index) + after
}
