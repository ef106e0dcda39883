package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"tugback/internal/cohort"
	"tugback/internal/comment"
)

// gradebookCommand makes the gradebook of a class.
type gradebookCommand struct {
	classFlags
	Judges  []string `placeholder:"FILE" help:"Judges' entries as saved by judges.html; may be repeated."`
	Home    string   `placeholder:"URL" help:"Address of the school, in whose name xAPI ids are made."`
	FilesAt string   `name:"files-at" placeholder:"URL" help:"Where the records can be found; xAPI statements then point there."`
	Class   string   `placeholder:"ID" help:"The school's sourcedId of the class, for OneRoster."`
	School  string   `placeholder:"ID" help:"The school's sourcedId, for OneRoster."`
	QTI     bool     `name:"qti" help:"Also write QTI 3.0 results, one XML file a candidate; needs sittings with times."`
}

// classFlags say which class is meant and how it is reported.
type classFlags struct {
	Folder   string   `arg:"" help:"Folder of sittings of a paper, or of records named CANDIDATE.ANYTHING.json."`
	Paper    []string `placeholder:"FILE" help:"Papers that sittings are of (default: instructor/paper.json beside the folder or in it)."`
	Out      string   `required:"" placeholder:"DIR" help:"New or empty folder to write to."`
	Title    string   `placeholder:"TEXT" help:"Title of the reports (default: the folder's)."`
	Pass     float64  `placeholder:"PERCENT" help:"Pass mark, per cent of the points (default: the highest of the rules)."`
	Roster   string   `placeholder:"FILE" help:"CSV with candidate,name and perhaps sourced_id; without it no name appears."`
	Comments string   `placeholder:"FILE" help:"CSV with candidate,case,action,by,comment for the reports."`
	Progress string   `enum:"auto,yes,no" default:"auto" help:"Show a progress bar: auto (on a terminal), yes or no."`
}

// Run verifies everything handed in and writes the gradebook.
func (c *gradebookCommand) Run(s *session) error {
	if c.Pass < 0 || c.Pass > 100 {
		return usage("--pass is %g; allowed 0 to 100", c.Pass)
	}
	sittings, refused, err := s.readRecords(c.Folder, c.Progress, c.Paper, nil)
	if err != nil {
		return err
	}
	class, err := s.newClass(c.classFlags, sittings, refused)
	if err != nil {
		return err
	}
	judges, err := readJudges(c.Judges)
	if err != nil {
		return err
	}
	comments, err := readComments(c.Comments, class)
	if err != nil {
		return err
	}
	analysis, err := cohort.Analyse(class, judges)
	if err != nil {
		return err
	}
	files, err := c.files(s, analysis, comments)
	if err != nil {
		return err
	}
	if err := files.write(c.Out); err != nil {
		return err
	}
	s.tellClass(class, analysis, c.Out)
	if len(class.Sittings) == 0 {
		return &ending{exitRefused, "nothing in " + c.Folder + " stood verification"}
	}
	return nil
}

// newClass names a class and sets its pass mark: that asked for, else the highest of its scenarios.
func (s *session) newClass(c classFlags, sittings []cohort.Sitting, refused []cohort.Refused) (cohort.Class, error) {
	title, pass := c.Title, c.Pass/100
	paper, one := onePaper(sittings)
	if title == "" && one {
		title = "Paper " + paper
	}
	if title == "" {
		title = "Class of " + filepath.Base(filepath.Clean(c.Folder))
	}
	if pass == 0 {
		for _, sitting := range sittings {
			for _, one := range sitting.Cases {
				pass = max(pass, one.Pass)
			}
		}
	}
	roster := cohort.Roster{}
	if c.Roster != "" {
		text, err := os.ReadFile(c.Roster)
		if err != nil {
			return cohort.Class{}, fmt.Errorf("%s: %w", c.Roster, cause(err))
		}
		if roster, err = cohort.ReadRoster(c.Roster, bytes.NewReader(text)); err != nil {
			return cohort.Class{}, err
		}
	}
	id := cohort.NCName(strings.ToLower(title))
	if one {
		id = paper
	}
	return cohort.NewClass(id, title, pass, sittings, refused, roster), nil
}

// readJudges reads all files of judges' entries as one.
func readJudges(names []string) (cohort.Judges, error) {
	var all cohort.Judges
	var faults []error
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return all, fmt.Errorf("%s: %w", name, cause(err))
		}
		one, err := cohort.ReadJudges(name, bytes.NewReader(text))
		if err != nil {
			faults = append(faults, err)
			continue
		}
		all.Angoff = append(all.Angoff, one.Angoff...)
		all.Hofstee = append(all.Hofstee, one.Hofstee...)
		all.Global = append(all.Global, one.Global...)
	}
	return all, errors.Join(faults...)
}

// readComments reads the comments on a class.
func readComments(name string, class cohort.Class) ([]comment.Comment, error) {
	if name == "" {
		return nil, nil
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, cause(err))
	}
	return cohort.ReadComments(name, text, class)
}

// files makes every file of the gradebook in memory.
func (c *gradebookCommand) files(s *session, a cohort.Analysis, comments []comment.Comment) (*folder, error) {
	class := a.Class
	ids := cohort.OneRoster{Class: c.Class, School: c.School}
	to := &folder{}
	to.add("gradebook-long.csv", func(w io.Writer) error { return cohort.LongCSV(w, class) })
	to.add("gradebook-wide.csv", func(w io.Writer) error { return cohort.WideCSV(w, class) })
	to.add("items.csv", func(w io.Writer) error { return cohort.ItemsCSV(w, a) })
	if len(a.Options) > 0 {
		to.add("options.csv", func(w io.Writer) error { return cohort.OptionsCSV(w, a) })
	}
	to.add("refused.csv", func(w io.Writer) error { return cohort.RefusedCSV(w, class) })
	to.add("oneroster/lineItems.csv", func(w io.Writer) error { return cohort.LineItemsCSV(w, class, ids) })
	to.add("oneroster/results.csv", func(w io.Writer) error { return cohort.ResultsCSV(w, class, ids) })
	to.add("oneroster/manifest.csv", cohort.ManifestCSV)
	to.add("class.html", func(w io.Writer) error { return cohort.ClassHTML(w, a) })
	to.add("judges.html", func(w io.Writer) error { return cohort.JudgesHTML(w, a) })
	if timed(class) {
		to.add("xapi.json", func(w io.Writer) error { return cohort.WriteXAPI(w, class, c.statements()) })
	}
	made := make([]folder, len(class.Sittings))
	s.inParallel(c.Progress, "reporting", len(made), func(i int) {
		sitting := class.Sittings[i]
		made[i].add(cohort.ReportFile(sitting.Candidate), func(w io.Writer) error { return cohort.CandidateHTML(w, a, sitting, comments) })
		if c.QTI && timed(class) {
			made[i].add("qti/"+cohort.NCName(sitting.Candidate)+".xml", func(w io.Writer) error { return cohort.WriteQTI(w, class, sitting) })
		}
	})
	for _, one := range made {
		to.join(one)
	}
	return to, to.failed
}

// timed reports whether every sitting has its times, which xAPI and QTI need; plain records have none.
func timed(class cohort.Class) bool {
	for _, s := range class.Sittings {
		if s.Started.IsZero() || s.Ended.IsZero() {
			return false
		}
	}
	return len(class.Sittings) > 0
}

// statements says how xAPI statements are made.
func (c *gradebookCommand) statements() cohort.XAPI {
	x := cohort.DefaultXAPI()
	if c.Home != "" {
		x.Home = strings.TrimSuffix(c.Home, "/")
	}
	x.Files = c.FilesAt
	return x
}

// tellClass prints what came of a class.
func (s *session) tellClass(class cohort.Class, a cohort.Analysis, out string) {
	to := page{s.out}
	to.title(class.Title)
	rows := [][]string{
		{"sittings verified", fmt.Sprint(len(class.Sittings))},
		{"files refused", fmt.Sprint(len(class.Refused))},
	}
	if len(class.Sittings) > 0 {
		rows = append(rows,
			[]string{"passed, at " + percent(class.Pass), fmt.Sprint(a.Passed)},
			[]string{"mean, median", percent(a.Mean) + ", " + percent(a.Median)})
		if len(a.Stages) > 0 {
			rows = append(rows, []string{"weakest step", a.Stages[0].Stage + ", " + percent(a.Stages[0].Share)})
		}
	}
	to.table("ll", rows)
	if len(class.Refused) > 0 {
		to.section("Refused", "")
		for _, r := range class.Refused {
			fmt.Fprintf(s.out, "  %s: %s: %s\n", r.File, r.Class, r.Reason)
		}
	}
	if !timed(class) && len(class.Sittings) > 0 {
		fmt.Fprintln(s.out, "\n  no xAPI and QTI: plain records hold no times of day")
	}
	fmt.Fprintf(s.out, "\n  written to %s; begin with %s\n", out, filepath.Join(out, "class.html"))
}
