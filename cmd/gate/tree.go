package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/conventions"
)

// commandLimit ends a command that hangs; the longest, the lint tool built from nothing, takes a
// tenth of it.
const commandLimit = 30 * time.Minute

// outputLimit is how many lines of a failed command are shown; the last ones name the fault.
const outputLimit = 120

// ebitengine is the library that needs C headers of the X window system on Linux.
const ebitengine = "github.com/hajimehoshi/ebiten/v2"

// tree is the repository under check and what the checks share.
type tree struct {
	root       string
	seed       string // for the tests that draw random treatments
	seedSource string
	plain      []string // import paths that need no display
	display    []string // import paths that need Ebitengine and so X headers
	reference  map[string][]byte
	updated    bool   // apt-get update has run
	out        string // folder for what is made to be handed out
}

// openTree finds the repository around the working directory and lists its packages. A package
// that does not compile is listed all the same, so that vet and the tests name the fault.
func openTree() (*tree, error) {
	t := &tree{}
	mod, err := t.do(nil, "go", "env", "GOMOD")
	if err != nil {
		return nil, err
	}
	t.root = filepath.Dir(strings.TrimSpace(mod))
	t.seed, t.seedSource = t.chooseSeed()
	list, err := t.do(nil, "go", "list", "-e", "-f", `{{.ImportPath}} {{join .Deps ","}}`, "./...")
	if err != nil {
		return nil, fmt.Errorf("%w\n%s", err, list)
	}
	for line := range strings.Lines(list) {
		path, deps, _ := strings.Cut(strings.TrimSpace(line), " ")
		if slices.Contains(strings.Split(deps, ","), ebitengine) {
			t.display = append(t.display, path)
		} else {
			t.plain = append(t.plain, path)
		}
	}
	return t, nil
}

// chooseSeed returns the seed for random treatments: the one asked for in TUGBACK_SEED, else one
// made from the commit, so that every change is tried with other treatments and a failure can be
// had again.
func (t *tree) chooseSeed() (seed, source string) {
	if asked := os.Getenv("TUGBACK_SEED"); asked != "" {
		return asked, "from TUGBACK_SEED"
	}
	commit, err := t.do(nil, "git", "rev-parse", "HEAD")
	if err != nil || len(commit) < 12 {
		return "1", "no commit to derive it from; set TUGBACK_SEED to choose"
	}
	n, err := strconv.ParseUint(commit[:12], 16, 64)
	if err != nil {
		return "1", "no commit to derive it from; set TUGBACK_SEED to choose"
	}
	return strconv.FormatUint(n, 10), "from commit " + commit[:12] + "; set TUGBACK_SEED to repeat"
}

// engine returns the engine packages as arguments of the go command, with more added.
func (t *tree) engine(more ...string) []string {
	var paths []string
	for _, name := range append(conventions.Engine(), more...) {
		paths = append(paths, "./internal/"+name)
	}
	return paths
}

// checkable returns the packages that compile here: all, or those without a display when the X
// headers are missing.
func (t *tree) checkable() []string {
	if t.needDisplay() != nil {
		return t.plain
	}
	return slices.Concat(t.plain, t.display)
}

// do runs a command at the top of the repository with env added to the environment and returns
// what it printed.
func (t *tree) do(env []string, name string, args ...string) (string, error) {
	return t.doIn(append(os.Environ(), env...), name, args...)
}

// doIn is do with the whole environment given.
func (t *tree) doIn(env []string, name string, args ...string) (string, error) {
	var both bytes.Buffer
	err := t.start(env, &both, &both, name, args...)
	return both.String(), err
}

// start runs a command without standard input and waits for it, at most for commandLimit.
func (t *tree) start(env []string, stdout, stderr *bytes.Buffer, name string, args ...string) error {
	ctx, cancel := context.WithTimeout(context.Background(), commandLimit)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir, cmd.Env, cmd.Stdout, cmd.Stderr = t.root, env, stdout, stderr
	cmd.WaitDelay = 10 * time.Second
	err := cmd.Run()
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return fmt.Errorf("%s did not end within %s", name, commandLimit)
	}
	return err
}

// judge turns the end of a command into a verdict: what to say when it went well, else the last
// lines it printed.
func judge(output string, err error, good string) (verdict, string) {
	if err == nil {
		return passed, good
	}
	lines := strings.Split(strings.TrimRight(output, "\n"), "\n")
	if n := len(lines); n > outputLimit {
		lines = append([]string{fmt.Sprintf("… %d lines left out", n-outputLimit)}, lines[n-outputLimit:]...)
	}
	return failed, err.Error() + "\n" + strings.Join(lines, "\n")
}

// sentence lays out a check's line: name, time and detail, further lines indented.
func sentence(name string, v verdict, detail string, took time.Duration) string {
	if v == notChecked {
		return fmt.Sprintf("%s (%s)", name, detail)
	}
	first := fmt.Sprintf("%s, %.1f s", name, took.Seconds())
	if detail == "" {
		return first
	}
	return first + ": " + strings.ReplaceAll(detail, "\n", "\n    ")
}
