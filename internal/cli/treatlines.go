package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// Practice is where a treatment by lines is kept while it is under way.
type Practice struct {
	Keeper  bench.Keeper
	Current []byte // the run under way, empty none
	Close   func() error
}

// byLines is a treatment done line by line.
type byLines struct {
	c      *treatCommand
	s      *session
	from   scenario.Scenario
	start  *treatment.Case
	prompt *bench.Prompt
	wrong  int  // lines that were refused
	kept   bool // the record and the pictures were written
}

// lines treats a scenario by lines typed or piped in.
func (c *treatCommand) lines(s *session) (err error) {
	if c.JSON {
		return usage("--json needs --plan")
	}
	if err := c.checkLevels(); err != nil {
		return err
	}
	from, err := s.loadIn(c.Scenario, c.Language)
	if err != nil {
		return err
	}
	start, err := from.Case(c.Seed.or(nil, from.Seed()))
	if err != nil {
		return err
	}
	if c.Guided && from.Name() != bench.LessonCase {
		return usage("--guided is for " + bench.LessonCase)
	}
	file, terminal := s.in.(*os.File)
	terminal = terminal && term.IsTerminal(int(file.Fd())) //nolint:gosec // a descriptor fits
	sitting := bench.Sitting{Scenario: from, Case: start, Guided: c.Guided}
	if plan, err := s.loadPlan("careful", from.Name()); err == nil && plan.CheckAgainst(start) == nil {
		sitting.Plan = plan.Steps
	}
	if terminal || c.Data != "" {
		practice, err := s.practice(c.Data)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, practice.Close()) }()
		sitting.Keeper = practice.Keeper
		if !c.New {
			sitting.Current = practice.Current
		}
	}
	b := &byLines{c: c, s: s, from: from, start: start}
	var said []string
	b.prompt, said = bench.Sit(sitting)
	if terminal {
		return s.typed(file, said, b.prompt, b.keep)
	}
	return b.pipe(said)
}

// pipe reads lines that no person types: they are printed too, and one that is refused makes the end a
// fault.
func (b *byLines) pipe(said []string) error {
	p := page{b.s.out}
	show := func(lines []string) {
		for _, l := range lines {
			p.paragraph(indentOf(l), strings.TrimLeft(l, " "))
		}
	}
	show(said)
	in := bufio.NewScanner(b.s.in)
	for number := 1; !b.prompt.Done() && in.Scan(); number++ {
		fmt.Fprintf(p.to, "\n%s%s\n", b.prompt.Ask(), strings.TrimSpace(in.Text()))
		show(b.prompt.Line(in.Text()))
		if b.prompt.Wrong() {
			b.wrong++
			fmt.Fprintf(p.to, "(line %d)\n", number)
		}
		if err := b.keep(); err != nil {
			return err
		}
	}
	if err := in.Err(); err != nil {
		return fmt.Errorf("the lines cannot be read: %w", err)
	}
	if !b.prompt.Done() {
		show(b.prompt.Line("quit"))
	}
	return b.end()
}

// end says what is missing when no more lines come.
func (b *byLines) end() error {
	_, record := b.prompt.Finished()
	switch {
	case b.wrong > 0:
		return fmt.Errorf("lines refused: %d; what was wrong is told behind each", b.wrong)
	case record == nil && b.c.wantsFiles():
		return errors.New("the treatment was not finished, so nothing was written; the line finish ends it")
	}
	return nil
}

// indentOf returns the blanks a line begins with.
func indentOf(line string) string { return line[:len(line)-len(strings.TrimLeft(line, " "))] }

// keep writes record and pictures as soon as the treatment is finished.
func (b *byLines) keep() error {
	run, record := b.prompt.Finished()
	if record == nil || b.kept {
		b.kept = record != nil
		return nil
	}
	b.kept = true
	done := treated{from: b.from, start: b.start, run: run, record: *record}
	return b.c.writeFiles(done)
}

// wantsFiles reports whether anything is to be written.
func (c *treatCommand) wantsFiles() bool {
	return c.Record != "" || c.Levels != "" || c.Access != "" || c.SVG != "" || c.PNG != ""
}

// encoded returns how a record is written.
func encoded(record attempt.Record) func(io.Writer) error {
	return func(w io.Writer) error {
		text, err := attempt.Encode(record)
		if err != nil {
			return err
		}
		_, err = w.Write(text)
		return err
	}
}
