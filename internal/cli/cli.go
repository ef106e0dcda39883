// Package cli holds the commands of cmd/tugback: bench, serve, page, check, tooth, shape, model, treat, radiograph,
// trial, new, explain, schema, quiz and verify.
//
// The main idea: a command reads its files, computes, makes every output in memory, puts output files
// in place all together or not at all, and only then prints. What is wrong with a file a person wrote
// is told with its place, all faults at once; what is wrong with the command line is told with the way
// to the help. Every way to end has an exit code, which the help lists (see exit.go).
//
// Printed text is for a terminal of 92 columns and needs no colour. JSON is the same, byte for byte, on
// every target: fields in a fixed order, numbers in shortest form. The package decides nothing about
// teeth or marks; it shows what anatomy, treatment and marking say. Begin reading at Main.
package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"tugback/internal/treatment"
)

// Streams is what a run of the program talks to.
type Streams struct {
	Out, Err io.Writer
	Shipped  fs.FS // scenarios that come with the program
	Debug    bool  // after a bug, print the stack

	// Bench serves the bench until the person ends it.
	Bench func(BenchOptions) error

	// Serve serves a class until the person ends it, or looks after what is kept of it.
	Serve func(ServeOptions) error

	// Preview serves the page in which a case is made and changed until the person ends it.
	Preview func(PreviewOptions) error

	// In is what a person types, Now the clock, and QuizPath the usual place of the answers to a quiz.
	In       io.Reader
	Now      func() time.Time
	QuizPath func() (string, error)

	// Page writes the page of the bench as files into a new or empty folder.
	Page func(folder string) error

	// Practice opens what a treatment by lines is kept in, path "" the usual one.
	Practice func(path string) (Practice, error)
}

// session is one run of one command.
type session struct {
	out     *bufio.Writer
	err     io.Writer
	shipped fs.FS
	bench   func(BenchOptions) error
	page    func(string) error
	serve   func(ServeOptions) error

	in       io.Reader
	now      func() time.Time
	quizPath func() (string, error)
	practice func(string) (Practice, error)
	preview  func(PreviewOptions) error
}

// grammar is the command line.
type grammar struct {
	Bench   benchCommand   `cmd:"" default:"withargs" help:"Practise at the bench, in the browser (also without a command)."`
	Serve   serveCommand   `cmd:"" help:"Serve a class: hand out papers, collect sittings, show who is how far."`
	Page    pageCommand    `cmd:"" help:"Write the bench as a page for a web space, where it needs no server."`
	Check   checkCommand   `cmd:"" help:"Check the files that people write and tell every fault."`
	Tooth   toothCommand   `cmd:"" help:"Grow a scenario's tooth: its measurements and its picture."`
	Shape   shapeCommand   `cmd:"" help:"Shape a bare canal with files or a technique: the measures by level."`
	Model   modelCommand   `cmd:"" help:"Tell where the model departs from the mouth, with constants and files."`
	Treat   treatCommand   `cmd:"" help:"Treat a case line by line, or carry out a written plan: what happened, the outcome, the marks."`
	Film    filmCommand    `cmd:"" name:"radiograph" aliases:"film" help:"Take a computed radiograph of a case at any moment of a plan."`
	Trial   trialCommand   `cmd:"" help:"Try a case on a simulated class of scripted operators."`
	New     newCommand     `cmd:"" help:"A file to begin from: a scenario by tooth, a drill, a plan, rules, a tray, an operator, an exam."`
	Preview previewCommand `cmd:"" help:"Make or change a case in the browser: a form, its text, the tooth and the marks."`
	Explain explainCommand `cmd:"" help:"Explain a word: a metric, rule, action, event, function, key, tooth or instrument."`
	Schema  schemaCommand  `cmd:"" help:"Print the JSON Schema of the files, for editors."`
	Quiz    quizCommand    `cmd:"" help:"Ask questions, keep what you know and bring back what you forget."`
	Paper   paperCommand   `cmd:"" help:"Make an exam paper for a class, sit it, show it."`
	Verify  verifyCommand  `cmd:"" help:"Carry out a record again and say what differs."`

	Gradebook gradebookCommand `cmd:"" help:"Verify what a class handed in and write its gradebook and reports."`
	Remark    remarkCommand    `cmd:"" help:"Mark a class again by other rules; both versions are kept and compared."`

	Version kong.VersionFlag `help:"Show the version of the engine."`
}

const description = `A teaching simulator for root canal treatment: grow a tooth, treat it by a
written plan, see what each step did to it, and get marks that can be computed
again. A training aid only: not for patients, no dose advice.

Exit codes:
  0  fine
  1  a fault in the input, or a file that cannot be written
  2  a fault in the command line
  3  a record did not stand verification
  4  a record was made by another engine version`

// Main runs the command that the arguments (without the program's name) ask for and returns the exit
// code. It never panics: a bug ends in a message. Checked by TestScripts.
func Main(args []string, to Streams) (code int) {
	s := &session{out: bufio.NewWriter(to.Out), err: to.Err, shipped: to.Shipped, bench: to.Bench, page: to.Page, serve: to.Serve,
		in: to.In, now: to.Now, quizPath: to.QuizPath, practice: to.Practice, preview: to.Preview}
	defer func() {
		if bug := recover(); bug != nil {
			code = tellBug(to, bug)
		}
	}()
	err := s.run(args)
	if broken := s.out.Flush(); broken != nil && err == nil {
		err = fmt.Errorf("the output cannot be written: %w", broken)
	}
	return s.end(err)
}

// tellBug says that the program, not its user, is at fault.
func tellBug(to Streams, bug any) int {
	fmt.Fprintf(to.Err, "tugback: this is a bug in the program, please report it: %v\n", bug)
	if to.Debug {
		fmt.Fprintf(to.Err, "%s", debug.Stack())
	} else {
		fmt.Fprintln(to.Err, "tugback: with TUGBACK_DEBUG=1 it says where")
	}
	return exitFault
}

// run reads the command line and runs its command.
func (s *session) run(args []string) error {
	ended := false
	parser, err := kong.New(&grammar{},
		kong.Name("tugback"), kong.Description(description),
		kong.Vars{"version": "tugback engine " + treatment.Engine},
		kong.Writers(s.out, s.err), kong.Exit(func(int) { ended = true }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoAppDescFormat: true, WrapUpperBound: textWidth}))
	if err != nil {
		panic(fmt.Sprintf("cli: the grammar is broken: %v", err))
	}
	args, err = namedCommand(parser.Model.Node, args)
	if err != nil {
		return err
	}
	context, err := parser.Parse(joinNegative(args))
	if ended { // help or version was printed
		return nil
	}
	var wrong *kong.ParseError
	if errors.As(err, &wrong) {
		return &ending{exitUsage, fmt.Sprintf("%s\nsee: %s --help", wrong.Error(), spelled(wrong.Context))}
	}
	if err != nil {
		return err
	}
	return context.Run(s)
}

// spelled is the program's name and the command as far as it was understood.
func spelled(context *kong.Context) string {
	words := "tugback"
	for _, step := range context.Path {
		if step.Command != nil && step.Command.Tag.Default == "" {
			words += " " + step.Command.Name
		}
	}
	return words
}

// namedCommand turns "help COMMAND" into "COMMAND --help" and refuses a first word that is no command.
func namedCommand(all *kong.Node, args []string) ([]string, error) {
	if len(args) > 0 && args[0] == "help" {
		args = append(slices.Clone(args[1:]), "--help")
	}
	if len(args) == 0 || strings.HasPrefix(args[0], "-") {
		return args, nil
	}
	var names []string
	for _, command := range all.Children {
		if command.Name == args[0] || slices.Contains(command.Aliases, args[0]) {
			return args, nil
		}
		names = append(names, command.Name)
	}
	return nil, usage("there is no command %q; %sthere are: %s", args[0], likely(args[0], names), strings.Join(names, ", "))
}

// joinNegative ties a negative number to the option before it, so that the number is judged rather
// than taken for an option.
func joinNegative(args []string) []string {
	joined := slices.Clone(args)
	for i := len(joined) - 1; i > 0; i-- {
		negative := len(joined[i]) > 1 && joined[i][0] == '-' && joined[i][1] >= '0' && joined[i][1] <= '9'
		if negative && strings.HasPrefix(joined[i-1], "--") && !strings.Contains(joined[i-1], "=") {
			joined[i-1] += "=" + joined[i]
			joined = slices.Delete(joined, i, i+1)
		}
	}
	return joined
}
