package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"tugback/internal/scenario"
	"tugback/internal/trial"
)

// trialCommand tries a case on a simulated class.
type trialCommand struct {
	Run   trialRun   `cmd:"" default:"withargs" help:"Treat a scenario many times by a scripted operator."`
	Merge trialMerge `cmd:"" help:"Put the shards of a trial together."`
}

// trialRun runs a trial, or a shard of one.
type trialRun struct {
	Scenario string    `arg:"" help:"Scenario file, or the name of one that comes with the program."`
	Operator string    `required:"" placeholder:"OPERATOR" help:"Operator file, or one that comes with the program: careful, steady, hurried, novice."`
	Cases    int       `placeholder:"N" default:"100" help:"How many cases (default: ${default})."`
	Seed     seedFlag  `placeholder:"N" help:"Seed from which each case draws its own (default: the scenario's)."`
	Shard    shardFlag `placeholder:"I/N" help:"Do only part I of N, from 1; merge puts parts together."`
	Progress string    `enum:"auto,yes,no" default:"auto" help:"Show a progress bar: auto (on a terminal), yes or no."`
	Records  string    `placeholder:"DIR" help:"Also write a record of each case, as if a class had handed them in."`
	trialOutputs
}

// trialOutputs are the ways to show a trial.
type trialOutputs struct {
	JSON bool   `name:"json" help:"Print JSON."`
	HTML string `name:"html" placeholder:"FILE" help:"Write a report as a page."`
	SVG  string `name:"svg" placeholder:"FILE" help:"Write histogram and rules as a picture."`
}

// trialMerge puts shards together.
type trialMerge struct {
	Files []string `arg:"" name:"file" help:"What trial --shard --json printed, one file for each shard."`
	trialOutputs
}

// shardFlag is a part of a trial on the command line.
type shardFlag struct{ trial.Shard }

// UnmarshalText reads a shard: two whole numbers, 1/4 to 4/4.
func (f *shardFlag) UnmarshalText(text []byte) error {
	before, after, _ := strings.Cut(string(text), "/")
	number, err := strconv.Atoi(before)
	of, wrong := strconv.Atoi(after)
	if err != nil || wrong != nil || of < 1 || number < 1 || number > of {
		return fmt.Errorf("shard is %q; expected a part and how many there are, such as 1/4", text)
	}
	f.Number, f.Of = number, of
	return nil
}

// Validate refuses a number of cases that no trial can have; the parser calls it.
func (c *trialRun) Validate() error {
	if c.Cases < 1 || c.Cases > trial.MostCases {
		return fmt.Errorf("--cases is %d; allowed 1 to %d", c.Cases, trial.MostCases)
	}
	if c.Shard.Of > c.Cases {
		return fmt.Errorf("--shard is %d/%d, but there are only %d cases", c.Shard.Number, c.Shard.Of, c.Cases)
	}
	if c.Records != "" && (c.Cases > mostRecords || c.Shard.Of > 1) {
		return fmt.Errorf("--records is for whole trials of at most %d cases", mostRecords)
	}
	return nil
}

// Run treats all cases and shows what came of them.
func (c *trialRun) Run(s *session) error {
	from, err := s.loadScenario(c.Scenario)
	if err != nil {
		return err
	}
	operator, err := s.loadOperator(c.Operator)
	if err != nil {
		return err
	}
	plan := trial.Plan{Scenario: from, Operator: operator, Cases: c.Cases, Seed: c.Seed.or(nil, from.Seed()), Shard: c.Shard.Shard}
	if c.Shard.Of == 1 {
		plan.Shard = trial.Shard{}
	}
	bar := s.progress(c.Progress, plan.Size())
	plan.Progress = func(done int) { bar.Set(done) } //nolint:errcheck // a bar that cannot be drawn harms nobody
	result, err := trial.Run(plan)
	bar.Finish() //nolint:errcheck // as above
	if err != nil {
		return err
	}
	if err := c.writeRecords(s, plan); err != nil {
		return err
	}
	return c.show(s, result, c.Scenario, c.Operator)
}

// progress returns a bar on standard error, silent when nobody looks.
func (s *session) progress(when string, size int) *progressbar.ProgressBar {
	file, isFile := s.err.(*os.File)
	shown := when == "yes" || when == "auto" && isFile && term.IsTerminal(int(file.Fd()))
	return progressbar.NewOptions(size,
		progressbar.OptionSetWriter(s.err), progressbar.OptionSetVisibility(shown),
		progressbar.OptionSetDescription("treating"), progressbar.OptionShowCount(), progressbar.OptionShowIts(),
		progressbar.OptionSetItsString("cases"), progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionSetWidth(30), progressbar.OptionClearOnFinish())
}

// loadOperator reads the operator a person named: a file, or else one that comes with the program.
func (s *session) loadOperator(name string) (scenario.Operator, error) {
	if !missing(name) {
		return scenario.LoadOperator(name)
	}
	names := s.shippedNames("operators/*.yaml")
	for _, known := range names {
		if name != known {
			continue
		}
		file := "operators/" + known + ".yaml"
		text, err := fs.ReadFile(s.shipped, file)
		if err != nil {
			return scenario.Operator{}, fmt.Errorf("read %s: %w", file, err)
		}
		return scenario.ParseOperator(file, text)
	}
	return scenario.Operator{}, noSuch("operator", name, names)
}

// Run reads the shards and shows what they make together.
func (c *trialMerge) Run(s *session) error {
	var parts []trial.Result
	for _, name := range c.Files {
		text, err := os.ReadFile(name)
		if err != nil {
			return fmt.Errorf("%s: %w", name, cause(err))
		}
		part, err := trial.Decode(text)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		parts = append(parts, part)
	}
	result, err := trial.Merge(parts)
	if errors.Is(err, trial.ErrEngine) {
		return &ending{exitVersion, err.Error()}
	}
	if err != nil {
		return err
	}
	return c.show(s, result, c.Files...)
}

// show writes the reports and prints the result.
func (o trialOutputs) show(s *session, result trial.Result, read ...string) error {
	var files outputs
	if err := files.add("--html", o.HTML, result.HTML); err != nil {
		return err
	}
	if err := files.add("--svg", o.SVG, result.SVG); err != nil {
		return err
	}
	if err := files.write(read...); err != nil {
		return err
	}
	if o.JSON {
		text, err := result.Encode()
		if err != nil {
			return err
		}
		_, err = s.out.Write(text)
		return err
	}
	printTrial(page{s.out}, result)
	return nil
}

// printTrial prints a trial for a person.
func printTrial(p page, r trial.Result) {
	p.title(fmt.Sprintf("%s by the operator %s", r.Scenario, r.Operator))
	if r.Shards != nil {
		p.paragraph("", fmt.Sprintf("only shards %v of %d", r.Shards.Have, r.Shards.Of))
	}
	p.table("lr", r.Figures())
	p.section("Marks", "per cent of those available")
	for _, line := range histogramLines(r.Tally.Marks.Bins, r.Cases) {
		fmt.Fprintln(p.to, line)
	}
	p.section("Rules", "points lost on average, most first")
	var rows [][]string
	for _, rule := range r.Biting() {
		none := ""
		if rule.Earns() {
			none = fmt.Sprintf("none: %.0f %%", 100*rule.None)
		}
		rows = append(rows, []string{rule.Title, rule.Cost(), none})
	}
	p.table("lrr", rows)
	fmt.Fprintln(p.to)
	p.paragraph("", "Scripted operators model a hand, not a person: the figures show how a case and its rules work and predict no student's mark.")
}

// histogramLines draws the marks as bars of five per cent.
func histogramLines(bins []int64, cases int64) []string {
	counts := make([]int64, 20)
	most := int64(1)
	for bin, n := range bins {
		i := min(bin/50, len(counts)-1)
		counts[i] += n
		most = max(most, counts[i])
	}
	var lines []string
	for i, n := range counts {
		if n > 0 || len(lines) > 0 {
			lines = append(lines, fmt.Sprintf("  %3d–%3d %%  %-50s %5.1f %%", 5*i, 5*i+5, strings.Repeat("█", int(50*n/most)), 100*float64(n)/float64(max(cases, 1))))
		}
	}
	return lines
}
