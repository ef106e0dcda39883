package cli

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/trial"
)

// paperCommand makes exams and sits them.
type paperCommand struct {
	Seal paperSeal `cmd:"" help:"Make an exam: a tooth and questions for each candidate, tried to be alike, signed."`
	Sit  paperSit  `cmd:"" help:"Sit a packet: line by line, or by plans or an operator."`
	Show paperShow `cmd:"" help:"Show what a paper or a packet holds, and whether it is as it was sealed."`
}

// paperSeal seals a paper.
type paperSeal struct {
	Scenario []string      `arg:"" optional:"" help:"Scenario files, or names of those that come with the program."`
	Roster   string        `required:"" placeholder:"FILE" help:"CSV with some of candidate,name,sourced_id,extra_time,rest; who has no candidate id gets one drawn by chance."`
	Out      string        `required:"" placeholder:"DIR" help:"New or empty folder to write to."`
	ID       string        `name:"id" placeholder:"ID" help:"Id of the paper (default: drawn by chance)."`
	Title    string        `placeholder:"TEXT" help:"Title that candidates see (default: those of the scenarios)."`
	Cases    int           `placeholder:"N" help:"Give each candidate N of the scenarios (default: all)."`
	Quiz     []string      `placeholder:"FILE" help:"Question files to ask from (default with --ask: those that come with the program); may be repeated."`
	Ask      []rowFlag     `sep:"none" placeholder:"WHAT=NxPOINTS" help:"Ask N questions worth POINTS each of a step (open=3), a step and level (rinse/apply=2x1.5), any (any=10), or one by its id; may be repeated. Without it all of --quiz are asked."`
	Drawn    bool          `help:"Draw the questions for each candidate; else all get the same."`
	From     momentFlag    `placeholder:"TIME" help:"When the paper opens: 2030-01-15 09:00 (local time) or 2030-01-15T09:00:00Z."`
	Until    momentFlag    `placeholder:"TIME" help:"When it closes."`
	Limit    time.Duration `placeholder:"TIME" help:"Time limit, such as 90m; extra time is added to it (default: none)."`
	Attempts int           `default:"1" help:"How often it may be sat (default: ${default})."`
	See      []string      `placeholder:"WHAT" help:"What candidates may see: marks (rules before, marks after), section, hints, guidance, risk (default: none)."`
	Operator string        `default:"careful" placeholder:"OPERATOR" help:"Who tries the teeth (default: ${default})."`
	Hands    int           `default:"2" placeholder:"N" help:"Treatments of each tooth in the trial (default: ${default})."`
	Band     float64       `default:"5" placeholder:"PERCENT" help:"How far the expected marks of a tooth may lie from the middle, per cent of the marks (default: ${default})."`
	Draws    int           `default:"20" placeholder:"N" help:"How often a tooth outside of the band is drawn anew at most (default: ${default})."`
	Untried  bool          `help:"Draw the teeth without a trial."`
	Key      string        `placeholder:"FILE" help:"The instructor's key, as another paper's instructor/key.json (default: a new one)."`
	Progress string        `enum:"auto,yes,no" default:"auto" help:"Show a progress bar: auto (on a terminal), yes or no."`
}

// momentFlag is a time of day on the command line.
type momentFlag struct {
	given bool
	at    time.Time
}

// UnmarshalText reads a time.
func (f *momentFlag) UnmarshalText(text []byte) error {
	for _, form := range []string{time.RFC3339, "2006-01-02 15:04", "2006-01-02T15:04"} {
		if at, err := time.ParseInLocation(form, string(text), time.Local); err == nil {
			f.given, f.at = true, at
			return nil
		}
	}
	return fmt.Errorf("time is %.40q; expected one such as 2030-01-15 09:00 or 2030-01-15T09:00:00Z", text)
}

// unix returns the time in s since 1970, 0 when it was not given.
func (f momentFlag) unix() int64 {
	if !f.given {
		return 0
	}
	return f.at.Unix()
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
	case len(c.Scenario) == 0 && len(c.Quiz)+len(c.Ask) == 0:
		return fmt.Errorf("a paper needs a scenario, or questions by --quiz or --ask")
	case c.Hands < 1 || c.Hands > 100 || c.Draws < 0 || c.Draws > 1000 || !(c.Band > 0 && c.Band <= 100):
		return fmt.Errorf("allowed are --hands 1 to 100, --draws 0 to 1000 and --band above 0 to 100")
	case c.Limit < 0 || c.Limit%time.Second != 0:
		return fmt.Errorf("--limit is %v; expected whole seconds", c.Limit)
	case c.Title != "" && len(c.Title) > 200:
		return fmt.Errorf("--title is longer than 200 bytes")
	}
	return nil
}

// unsealed reads what a paper is made of.
func (c *paperSeal) unsealed(s *session, list []enrolled) (exam.Paper, error) {
	paper := exam.Paper{ID: c.ID, Title: c.Title, Blueprint: exam.Blueprint{Cases: c.Cases, PerCandidate: c.Drawn},
		Terms: exam.Terms{FromS: c.From.unix(), UntilS: c.Until.unix(), LimitS: int(c.Limit.Seconds()), Attempts: c.Attempts, See: c.See}}
	if paper.ID == "" {
		paper.ID = "paper-" + strings.ToLower(newPseudonym()[1:9])
	}
	var titles []string
	for _, name := range c.Scenario {
		from, err := s.loadScenario(name)
		if err != nil {
			return paper, err
		}
		one, err := exam.CaseOf(from)
		if err != nil {
			return paper, err
		}
		paper.Cases = append(paper.Cases, one)
		titles = append(titles, one.Title)
	}
	if titles == nil {
		titles = []string{"Questions"}
	}
	if paper.Title == "" {
		paper.Title = strings.Join(titles, "; ")
	}
	for _, one := range list {
		paper.Candidates = append(paper.Candidates, one.Candidate)
	}
	if !c.Untried && len(c.Scenario) > 0 {
		paper.Trial = exam.TrialNote{Operator: c.Operator, Hands: c.Hands, Width: c.Band / 100, MaxDraws: c.Draws}
	}
	return paper, c.questions(s, &paper)
}

// questions reads the pool of questions and the rows that draw from it.
func (c *paperSeal) questions(s *session, paper *exam.Paper) error {
	var bank []quiz.Item
	for _, file := range c.Quiz {
		items, err := scenario.LoadItems(file)
		if err != nil {
			return err
		}
		bank = append(bank, items...)
	}
	for _, row := range c.Ask {
		paper.Blueprint.Rows = append(paper.Blueprint.Rows, row.Row)
	}
	if len(c.Ask) == 0 {
		for _, item := range bank {
			paper.Items = append(paper.Items, exam.Item{Item: item, Points: 1})
		}
		return nil
	}
	if len(c.Quiz) == 0 {
		items, err := scenario.LoadItemsFS(s.shipped, "quiz")
		if err != nil {
			return err
		}
		bank = items
	}
	var err error
	paper.Items, err = paper.Blueprint.Pool(bank)
	return err
}

// trial returns how an operator tries teeth, nil when they are not to be tried.
func (c *paperSeal) trial(s *session) (exam.Trial, error) {
	if c.Untried || len(c.Scenario) == 0 {
		return nil, nil //nolint:nilnil // no trial is a way to seal
	}
	operator, err := s.loadOperator(c.Operator)
	if err != nil {
		return nil, err
	}
	return func(papers []examCase) ([][]float64, error) {
		shares := make([][]float64, len(papers))
		for i := range shares {
			shares[i] = make([]float64, c.Hands)
		}
		s.inParallel(c.Progress, "trying teeth", len(papers)*c.Hands, func(n int) {
			p, hand := papers[n/c.Hands], n%c.Hands
			done := trial.TakeOver(p.Case, p.Done, operator, uint64(hand)) //nolint:gosec // an index
			if marks := markOf(p, done); marks.Available > 0 {
				shares[n/c.Hands][hand] = marks.Total / marks.Available
			}
		})
		return shares, nil
	}, nil
}
