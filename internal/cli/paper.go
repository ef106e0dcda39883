package cli

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
)

// paperCommand makes exams and sits them.
type paperCommand struct {
	Seal paperSeal `cmd:"" help:"Make an exam: a tooth and questions for each candidate, tried to be alike, signed."`
	Sit  paperSit  `cmd:"" help:"Sit a packet: line by line, or by plans or an operator."`
	Show paperShow `cmd:"" help:"Show what a paper or a packet holds, and whether it is as it was sealed."`
}

// paperSeal seals a paper. What a flag says goes before the blueprint.
type paperSeal struct {
	Scenario  []string      `arg:"" optional:"" help:"Scenario files, or names of those that come with the program."`
	Blueprint string        `placeholder:"FILE" help:"The exam as a file: cases, questions, terms; new exam prints one to begin from. Flags go before what it says."`
	Roster    string        `required:"" placeholder:"FILE" help:"CSV with some of candidate,name,sourced_id,extra_time,rest; who has no candidate id gets one drawn by chance."`
	Out       string        `required:"" placeholder:"DIR" help:"New or empty folder to write to."`
	ID        string        `name:"id" placeholder:"ID" help:"Id of the paper (default: drawn by chance)."`
	Title     string        `placeholder:"TEXT" help:"Title that candidates see (default: those of the scenarios)."`
	Cases     int           `placeholder:"N" help:"Give each candidate N of the scenarios (default: all)."`
	Mark      []string      `placeholder:"STEP" help:"Count the rules of these steps only (default: all)."`
	Quiz      []string      `placeholder:"FILE" help:"Question files to ask from (default with --ask: those that come with the program); may be repeated."`
	Ask       []rowFlag     `sep:"none" placeholder:"WHAT=NxPOINTS" help:"Ask N questions worth POINTS each of a step (open=3), a step and level (rinse/apply=2x1.5), any (any=10), or one by its id; may be repeated. Without it all of --quiz are asked."`
	Drawn     bool          `help:"Draw the questions for each candidate; else all get the same."`
	From      momentFlag    `placeholder:"TIME" help:"When the paper opens: 2030-01-15 09:00 (local time) or 2030-01-15T09:00:00Z."`
	Until     momentFlag    `placeholder:"TIME" help:"When it closes."`
	Limit     time.Duration `placeholder:"TIME" help:"Time limit, such as 90m; extra time is added to it (default: none)."`
	Attempts  *int          `placeholder:"N" help:"How often it may be sat (default: 1)."`
	See       []string      `placeholder:"WHAT" help:"What candidates may see: marks (rules before, marks after), section, hints, guidance, risk (default: none)."`
	Operator  string        `placeholder:"OPERATOR" help:"Who tries the teeth (default: careful)."`
	Hands     *int          `placeholder:"N" help:"Treatments of each tooth in the trial (default: 2)."`
	Band      *float64      `placeholder:"PERCENT" help:"How far the expected marks of a tooth may lie from the middle, per cent of the marks (default: 5)."`
	Draws     int           `default:"-1" placeholder:"N" help:"How often a tooth outside of the band is drawn anew at most (default: 20)."`
	Untried   bool          `help:"Draw the teeth without a trial."`
	Key       string        `placeholder:"FILE" help:"The instructor's key, as another paper's instructor/key.json (default: a new one)."`
	Progress  string        `enum:"auto,yes,no" default:"auto" help:"Show a progress bar: auto (on a terminal), yes or no."`
}

// momentFlag is a time of day on the command line, s since 1970; 0 not given.
type momentFlag int64

// UnmarshalText reads a time.
func (f *momentFlag) UnmarshalText(text []byte) error {
	at, ok := scenario.Moment(string(text))
	if !ok {
		return fmt.Errorf("time is %.40q; expected one such as 2030-01-15 09:00 or 2030-01-15T09:00:00Z", text)
	}
	*f = momentFlag(at)
	return nil
}

// rowFlag is a row of a blueprint on the command line.
type rowFlag struct{ exam.Row }

// UnmarshalText reads a row: open=3, rinse/apply=2x1.5, an-id=1x2.
func (f *rowFlag) UnmarshalText(text []byte) error {
	what, much, _ := strings.Cut(string(text), "=")
	count, points, worth := strings.Cut(much, "x")
	if much == "" {
		count = "1"
	}
	n, err := strconv.Atoi(count)
	each := 1.0
	if worth && err == nil {
		each, err = strconv.ParseFloat(points, 64)
	}
	if what == "" || err != nil || n < 1 || !(each > 0) {
		return fmt.Errorf("ask is %.60q; expected such as open=3, rinse/apply=2x1.5, any=10 or the id of a question", text)
	}
	f.Row = exam.Row{Count: n, Points: each}
	step, level, both := strings.Cut(what, "/")
	switch {
	case what == "any":
	case slices.Contains(quiz.Steps(), step) && (!both || slices.Contains(quiz.Levels(), level)):
		f.Step, f.Level = step, level
	case both:
		return fmt.Errorf("ask is %.60q; steps are %s; levels are %s", text, strings.Join(quiz.Steps(), ", "), strings.Join(quiz.Levels(), ", "))
	default:
		f.Item = what
	}
	return nil
}

// Validate refuses what no paper can have; the parser calls it.
func (c *paperSeal) Validate() error {
	switch {
	case c.Blueprint == "" && len(c.Scenario) == 0 && len(c.Quiz)+len(c.Ask) == 0:
		return errors.New("a paper needs a scenario, or questions by --quiz or --ask, or a --blueprint")
	case !within(c.Hands, 1, 100) || c.Draws < -1 || c.Draws > 1000 || c.Band != nil && !(*c.Band > 0 && *c.Band <= 100) || !within(c.Attempts, 1, 20):
		return errors.New("allowed are --hands 1 to 100, --draws 0 to 1000, --band above 0 to 100 and --attempts 1 to 20")
	case c.Limit < 0 || c.Limit%time.Second != 0:
		return fmt.Errorf("--limit is %v; expected whole seconds", c.Limit)
	case c.Title != "" && len(c.Title) > 200:
		return errors.New("--title is longer than 200 bytes")
	}
	return nil
}

// within says whether a number lies within bounds, or was not given.
func within(n *int, low, high int) bool { return n == nil || *n >= low && *n <= high }
