// Package cohort turns the verified sittings of a class into a gradebook: item statistics, reliability,
// pass marks, exports for other programs, and reports for candidates and instructors.
//
// The main idea: a Sitting is what verification recomputed from the candidate's own actions, so nothing
// here is taken from what a file claims. NewClass puts sittings together, Analyse says what the marks are
// worth (by package psychometrics), and the writers (CSV, OneRoster, xAPI, QTI results, HTML) say it in the
// forms others read. A candidate is a pseudonymous id; a name appears only where the instructor gave a
// Roster.
//
// Points are the marking's own. Times are in UTC. The package verifies nothing, reads no folder and looks
// at no clock: the same class gives the same bytes. Begin reading at Sitting, then Analyse in analysis.go.
package cohort

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Sitting is one candidate's verified exam.
type Sitting struct {
	File      string // name of the export, without folder
	Digest    string // SHA-256 of the export's bytes, hex
	Size      int    // of the export, bytes
	Paper     string // id of the paper, "" of plain records
	Candidate string
	Engine    string
	Started   time.Time // as the candidate's computer noted; not used for marks
	Ended     time.Time
	Cases     []Case
	Answers   []Answer
}

// Case is one treatment of a sitting.
type Case struct {
	ID       string // name of the scenario, and a number when a paper has it twice
	Title    string
	Scenario string
	Digest   string // of the scenario's content
	Seed     uint64
	Pass     float64 // share of the points, 0 … 1, the scenario asks for
	Marks    marking.Marks
	Actions  []treatment.Action
	Elapsed  int // ms on the treatment's clock

	// Draw carries the actions out again and draws what came of them, as SVG: the plate, and the plot by
	// level. nil: the report has no pictures.
	Draw func() (Pictures, error)
}

// Pictures are the drawings of a treated case as SVG; one that could not be drawn is empty.
type Pictures struct{ Plate, Levels string }

// Answer is one question answered in a sitting.
type Answer struct {
	Item      quiz.Item
	Given     bool // false: left open
	Response  quiz.Response
	Result    quiz.Result
	Points    float64
	Available float64
	At        time.Time // zero: not known
}

// Total returns points earned and available in all parts.
func (s Sitting) Total() (points, available float64) {
	for _, c := range s.Cases {
		points += c.Marks.Total
		available += c.Marks.Available
	}
	for _, a := range s.Answers {
		points += a.Points
		available += a.Available
	}
	return points, available
}

// Share returns the share of the points available that was earned, 0 when none were.
func (s Sitting) Share() float64 {
	points, available := s.Total()
	if available <= 0 {
		return 0
	}
	return points / available
}

// Critical returns what critical errors happened, case by case.
func (s Sitting) Critical() []string {
	var all []string
	for _, c := range s.Cases {
		for _, why := range c.Marks.Critical {
			all = append(all, c.Title+": "+why)
		}
	}
	return all
}

// Passed reports whether a sitting reaches a pass mark, a share of the points, with no critical error. The
// comparison forgives 1e-9 of rounding.
func (s Sitting) Passed(pass float64) bool {
	for _, c := range s.Cases {
		if c.Marks.Failed {
			return false
		}
	}
	return s.Share() >= pass-1e-9
}

// Refused is a file that did not stand verification.
type Refused struct {
	File   string
	Class  string // one word
	Reason string
}

// Class is all that was handed in for one paper.
type Class struct {
	Paper    string // id of the paper
	Title    string
	Pass     float64   // share of the points
	Sittings []Sitting // by candidate
	Refused  []Refused // by file
	Roster   Roster
}

// NewClass puts a class together. Sittings are sorted by candidate; of two of the same candidate the
// first by file is kept and the other refused as a duplicate, since a gradebook that counts one candidate
// twice is wrong whichever is meant. Checked by TestNewClass.
func NewClass(paper, title string, pass float64, sittings []Sitting, refused []Refused, roster Roster) Class {
	class := Class{Paper: paper, Title: title, Pass: pass, Refused: slices.Clone(refused), Roster: roster}
	sorted := slices.Clone(sittings)
	slices.SortFunc(sorted, func(a, b Sitting) int {
		return cmp.Or(cmp.Compare(a.Candidate, b.Candidate), cmp.Compare(a.File, b.File))
	})
	for _, s := range sorted {
		if n := len(class.Sittings); n > 0 && class.Sittings[n-1].Candidate == s.Candidate {
			class.Refused = append(class.Refused, Refused{s.File, "duplicate",
				fmt.Sprintf("candidate %s has handed in %s already; which one counts is for the instructor to say", s.Candidate, class.Sittings[n-1].File)})
			continue
		}
		class.Sittings = append(class.Sittings, s)
	}
	slices.SortFunc(class.Refused, func(a, b Refused) int { return cmp.Compare(a.File, b.File) })
	return class
}

// Name returns what a candidate is called on paper: the name of the roster, else the id.
func (c Class) Name(candidate string) string {
	if person, known := c.Roster[candidate]; known && person.Name != "" {
		return person.Name
	}
	return candidate
}

// Person is what the instructor knows of a candidate.
type Person struct {
	Name     string
	SourceID string // the school's id of the student, for OneRoster
}

// Roster holds persons by candidate id.
type Roster map[string]Person
