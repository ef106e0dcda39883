// Command gate runs every check of this repository on every target: what a newcomer calls before
// handing in a change, and what CI calls through .ci/run.
//
// Each check prints one line, "passed: …", "failed: …" with its output, or "not checked: … (why)"
// when a tool is missing and cannot be installed; under CI=true what was not checked has failed.
// The last line counts them. Arguments name the checks to run, with or without --only before them;
// without any, all run but bench, whose figures depend on the machine, and those that make something
// to hand out, which --out FOLDER takes.
package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"
)

// verdict says how a check ended.
type verdict string

const (
	passed     verdict = "passed"
	failed     verdict = "failed"
	notChecked verdict = "not checked"
)

// check is one line of the gate: run returns how it ended and what there is to say about it.
type check struct {
	name string
	run  func(*tree) (verdict, string)
}

func main() {
	os.Exit(gate(os.Args[1:], os.Getenv("CI") == "true", os.Stdout))
}

// gate runs the checks that the arguments ask for and returns the exit code: 0 when every check
// passed, 1 when one failed, 2 for a name that no check has.
func gate(args []string, strict bool, out io.Writer) int {
	chosen, folder, err := readArguments(args)
	if err != nil {
		fmt.Fprintln(out, err)
		return 2
	}
	t, err := openTree()
	if err != nil {
		fmt.Fprintln(out, "failed: read the repository:", err)
		return 1
	}
	t.out = folder
	fmt.Fprintf(out, "seed: %s (%s)\n", t.seed, t.seedSource)
	return runAll(chosen, t, strict, out)
}

// choose returns the checks with the given names, in the order of all.
func choose(all []check, names []string) ([]check, error) {
	if len(names) == 0 {
		return all, nil
	}
	var known []string
	for _, c := range all {
		known = append(known, c.name)
	}
	for _, name := range names {
		if !slices.Contains(known, name) {
			return nil, fmt.Errorf("no check is called %q; there are: %s", name, strings.Join(known, ", "))
		}
	}
	return slices.DeleteFunc(all, func(c check) bool { return !slices.Contains(names, c.name) }), nil
}

// runAll runs the checks one after another and prints a line for each and the closing count.
func runAll(chosen []check, t *tree, strict bool, out io.Writer) int {
	count := map[verdict]int{}
	for _, c := range chosen {
		begin := time.Now()
		v, detail := c.run(t)
		if v == notChecked && strict {
			v, detail = failed, "not checked, which CI does not allow: "+detail
		}
		count[v]++
		fmt.Fprintf(out, "%s: %s\n", v, sentence(c.name, v, detail, time.Since(begin)))
	}
	closing := fmt.Sprintf("%d passed, %d failed", count[passed], count[failed])
	if n := count[notChecked]; n > 0 {
		closing += fmt.Sprintf(", %d skipped", n)
	}
	fmt.Fprintln(out, closing)
	if count[failed] > 0 {
		return 1
	}
	return 0
}
