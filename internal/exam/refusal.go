package exam

import (
	"fmt"

	"tugback/internal/detmath"
)

// Code is the kind of reason for which a document is refused.
type Code string

// The codes of refusal, in the order in which they are looked for. testdata/refusals holds a file for each.
const (
	TooLarge     Code = "too-large"
	NotJSON      Code = "not-json"
	Truncated    Code = "truncated"
	TrailingData Code = "trailing-data"
	Malformed    Code = "malformed"
	WrongSchema  Code = "wrong-schema"
	OtherEngine  Code = "other-engine"

	CandidateSignature Code = "candidate-signature" // the content is not what was signed
	DuplicateKey       Code = "duplicate-key"
	NonCanonical       Code = "non-canonical"
	UnknownField       Code = "unknown-field"
	OutOfBounds        Code = "out-of-bounds"
	LogGap             Code = "log-gap" // a line is missing, moved or there twice
	ChainBroken        Code = "chain-broken"
	AfterSubmit        Code = "after-submit"
	NotSubmitted       Code = "not-submitted"

	PaperSignature  Code = "paper-signature" // the instructor's, on the paper or packet
	UnknownPaper    Code = "unknown-paper"
	WrongCandidate  Code = "wrong-candidate"
	WrongPaper      Code = "wrong-paper" // another sealing under the same id, or another candidate's packet
	WrongKey        Code = "wrong-key"   // signed, but not by this candidate's key
	TooManyAttempts Code = "too-many-attempts"
	OutsideWindow   Code = "outside-window"
	OverTime        Code = "over-time"
	ForbiddenSight  Code = "forbidden-sight" // something was looked at that the paper does not allow
	ServerLog       Code = "server-log"      // not what reached the server while it was sat

	AlteredAnswer  Code = "altered-answer"
	WrongCase      Code = "wrong-case" // a case that the paper did not give
	ActionRefused  Code = "action-refused"
	AlteredAction  Code = "altered-action"
	AlteredOutcome Code = "altered-outcome"
	AlteredMarks   Code = "altered-marks"

	Duplicate Code = "duplicate" // another file is of the same attempt
)

// Codes returns all codes of refusal. Checked by TestRefusalFiles.
func Codes() []Code {
	return []Code{TooLarge, NotJSON, Truncated, TrailingData, Malformed, WrongSchema, OtherEngine,
		CandidateSignature, DuplicateKey, NonCanonical, UnknownField, OutOfBounds, LogGap, ChainBroken, AfterSubmit, NotSubmitted,
		PaperSignature, UnknownPaper, WrongCandidate, WrongPaper, WrongKey, TooManyAttempts, OutsideWindow, OverTime, ForbiddenSight, ServerLog,
		AlteredAnswer, WrongCase, ActionRefused, AlteredAction, AlteredOutcome, AlteredMarks, Duplicate}
}

// Meaning returns a sentence for people about a code, "" for one that is not known.
func (c Code) Meaning() string {
	return map[Code]string{
		TooLarge: "The file is larger than any sitting.", NotJSON: "The file is not JSON.",
		Truncated: "The file ends in the middle.", TrailingData: "Something follows the document.",
		Malformed: "A value has a form that no sitting has.", WrongSchema: "It is another kind of document.",
		OtherEngine:        "It was made by another version of the engine, whose results this one cannot repeat.",
		CandidateSignature: "It was changed after it was signed.", DuplicateKey: "A name stands twice in it.",
		NonCanonical: "It is not written in the one form in which a sitting is written.",
		UnknownField: "It has a field that no sitting has.", OutOfBounds: "A number, text or list is beyond what a sitting can hold.",
		LogGap: "A line of its log is missing, moved or there twice.", ChainBroken: "A line of its log does not follow from those before it.",
		AfterSubmit: "Its log goes on after it was submitted.", NotSubmitted: "It was not submitted.",
		PaperSignature: "The paper or packet is not as the instructor sealed it.",
		UnknownPaper:   "It is of a paper that is not here.", WrongCandidate: "The paper has no such candidate.",
		WrongPaper: "It was sat on another packet than the one the paper gives this candidate.",
		WrongKey:   "It is signed by another key than this candidate's.", TooManyAttempts: "The paper does not allow that many attempts.",
		OutsideWindow: "It was sat before the paper opened or after it closed.", OverTime: "Something was done after the time was over.",
		ForbiddenSight: "Something was looked at that the paper does not allow.", ServerLog: "It is not what reached the server while it was sat.",
		AlteredAnswer: "An answer does not fit its question or the log.", WrongCase: "Its cases are not those that the paper gave.",
		ActionRefused: "An action cannot be done on this tooth at this point.", AlteredAction: "After an action the tooth is not in the recorded state.",
		AlteredOutcome: "The recorded outcome is not what the actions give.", AlteredMarks: "The recorded marks are not what the outcome earns.",
		Duplicate: "Another file is of the same attempt of the same candidate.",
	}[c]
}

// ExitCode returns the exit code of a command that refuses for this reason: 4 for another engine, else 3.
func (c Code) ExitCode() int {
	if c == OtherEngine {
		return 4
	}
	return 3
}

// Refusal is why a document is not accepted.
type Refusal struct {
	Code   Code
	Reason string // a sentence
	// Line is the line of the log at which it was found, from 0; −1 when it is not about one.
	Line int
	// Case is the place of the case, and Action that of the action within it, both from 0; −1 none.
	Case, Action int
	// Differences are fields of outcome and marks: Got is what the export says, Want what re-running gives.
	Differences []detmath.Difference
}

// Error returns the code and the reason.
func (r *Refusal) Error() string { return string(r.Code) + ": " + r.Reason }

// Lines returns the whole report: the reason, and a line for each field that differs.
func (r *Refusal) Lines() []string {
	lines := []string{r.Error()}
	for _, d := range r.Differences {
		lines = append(lines, fmt.Sprintf("%s: the sitting says %s, re-running gives %s", d.Path, d.Got, d.Want))
	}
	return lines
}

func refuse(code Code, form string, args ...any) *Refusal {
	return &Refusal{Code: code, Reason: fmt.Sprintf(form, args...), Line: -1, Case: -1, Action: -1}
}

func refuseAt(code Code, line int, form string, args ...any) *Refusal {
	r := refuse(code, form, args...)
	r.Line = line
	return r
}
