package cli_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"tugback/internal/cli"
	"tugback/scenarios"
)

// TestMain lets scripts run the program as the test binary under its name.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tugback": func() {
		os.Exit(cli.Main(os.Args[1:], cli.Streams{Out: os.Stdout, Err: os.Stderr, Shipped: scenarios.Files, Bench: sayBench, Page: sayPage,
			Serve:   func(o cli.ServeOptions) error { fmt.Printf("%+v\n", o); return nil },
			Preview: func(o cli.PreviewOptions) error { fmt.Printf("%+v\n", o); return nil },
			In:      os.Stdin, Now: time.Now, QuizPath: quizPath, Practice: filePractice}))
	}})
}

// sayBench stands for the bench: it prints how it is to be served.
func sayBench(o cli.BenchOptions) error {
	if o.Addr == "elsewhere" {
		return cli.Usage(errors.New("not here"))
	}
	fmt.Printf("%+v\n", o)
	return nil
}

// TestScripts runs the commands as a person would, each script in a folder of its own. Beside the
// commands of testscript there are: exits CODE PROGRAM ARGS…, which holds the exit code; sparse FILE
// BYTES, which makes a file of that size; flip FILE OFFSET, which changes one byte (from the end when
// negative); swap FILE OLD NEW, which replaces a text that occurs; only FOLDER FILE…, which holds
// that a folder has these files and no others, temporary ones included; office FILE…, which holds that
// LibreOffice loses nothing of a CSV file; angoff ITEMS OUT JUDGE PERCENT, which writes a judge's entries.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "../../testdata/script",
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("COLUMNS", "80")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "sparse": sparse, "flip": flip, "swap": swap, "only": only,
			"office": office, "angoff": angoff,
		},
		Condition: officeCondition,
	})
}

// quizPath is the usual place of answers, in the script's folder.
func quizPath() (string, error) { return filepath.Join(os.Getenv("WORK"), "usual", "quiz.json"), nil }

// onFile keeps the run under way in a file and records beside it, as a store does.
type onFile struct{ path string }

func (k onFile) Keep(record []byte)     { _ = os.WriteFile(k.path+".record", record, 0o600) }
func (k onFile) SaveCurrent(run []byte) { _ = os.WriteFile(k.path, run, 0o600) }

// filePractice opens practice kept in a file.
func filePractice(path string) (cli.Practice, error) {
	current, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return cli.Practice{}, err
	}
	return cli.Practice{Keeper: onFile{path}, Current: current, Close: func() error { return nil }}, nil
}

// sayPage stands for the writing of the page.
func sayPage(folder string) error {
	fmt.Println("page in", folder)
	return nil
}

func exits(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGS…")
	}
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit code %d, want %s", got, args[0])
	}
}

func sparse(ts *testscript.TestScript, _ bool, args []string) {
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), nil, 0o600))
	ts.Check(os.Truncate(ts.MkAbs(args[0]), size))
}

func flip(ts *testscript.TestScript, _ bool, args []string) {
	data := []byte(ts.ReadFile(args[0]))
	at, err := strconv.Atoi(args[1])
	ts.Check(err)
	if at < 0 {
		at += len(data)
	}
	data[at] ^= 1
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o600))
}

func swap(ts *testscript.TestScript, _ bool, args []string) {
	data := []byte(ts.ReadFile(args[0]))
	if !bytes.Contains(data, []byte(args[1])) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), bytes.Replace(data, []byte(args[1]), []byte(args[2]), 1), 0o600))
}

// only holds that a folder has these files and no other: nothing half-written was left.
func only(ts *testscript.TestScript, _ bool, args []string) {
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	want := map[string]bool{}
	for _, name := range args[1:] {
		want[name] = true
	}
	for _, e := range entries {
		if !want[e.Name()] {
			ts.Fatalf("%s holds %s", args[0], e.Name())
		}
	}
	if len(entries) != len(args)-1 {
		ts.Fatalf("%s holds %d files, want %d", args[0], len(entries), len(args)-1)
	}
}
