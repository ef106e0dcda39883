package main

import (
	"fmt"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// bar is a bound of design on one figure of a benchmark.
type bar struct {
	benchmark, unit string
	most, least     float64 // 0: none
	text            string
}

func bars() []bar {
	return []bar{
		{"WarmSolve", "passes", 8, 0, "bare pentadiagonal passes a warm contact solve costs at 150 stations"},
		{"GeneralSolvers", "times-faster", 0, 500, "times faster than the fastest of three general minimisers on the same problem"},
		{"Growth", "growth", 1.5, 0, "cost per station and iteration at 600 stations over that at 75: 1 is linear"},
		{"Stroke", "ns/stroke", 150_000, 0, "nanoseconds a stroke costs"},
		{"Stroke", "solves/stroke", 3, 0, "plane solves a stroke spends on average"},
		{"Grow/lower-first-molar", "ns/op", 1_000_000, 0, "nanoseconds a lower first molar takes to grow"},
		{"Grow/upper-first-molar", "ns/op", 1_000_000, 0, "nanoseconds an upper first molar takes to grow"},
		{"Treatment/careful", "solves-in-strokes/stroke", 3, 0, "plane solves a stroke of the careful plan of the molar spends"},
		{"Treatment/hurried", "solves-in-strokes/stroke", 3, 0, "plane solves a stroke of the hurried plan of the molar spends"},
		{"Treatment/hurried", "passes/stroke", strokeBar, 0, "bare passes a stroke of the hurried plan costs with all that is done between strokes"},
		{"Treatment/careful", "passes/stroke", carefulBar, 0, "bare passes a stroke of the careful plan costs, which does an action for every stroke"},
		{"Treatment/careful", "ms/sitting", 360, 0, "ms to verify a sitting of the molar: a thousand take as many s on one processor, half on two"},
		{"Molar", "ms/case", 360, 0, "ms to treat the molar by the careful operator: a thousand take as many s on one processor, half on two"},
	}
}

// strokeBar is design's 0.15 ms a stroke in passes, of which one at 150 stations takes 1.5 µs on the processor the
// bars were set on (EPYC of 2023). A careful hand makes but one stroke an action, and its treatment is mostly
// readings, rinses, insertions and gauging: shared out over its strokes it costs twice that, carefulBar.
const (
	strokeBar  = 100
	carefulBar = 200
)

// benchLine takes a line of the go command's benchmark output apart; a name may have hyphens of its own before the
// number of processors. Checked by TestFigures.
var benchLine = regexp.MustCompile(`(?m)^Benchmark([\w/-]+?)(?:-\d+)?\s+\d+\s+(.*)$`)

// checkBench runs the benchmarks of the contact solver, the stroke and the tooth, compares them with their
// bars and prints every figure; where SciPy or cvxopt is installed, also their time on a problem of the
// same size and kind.
func checkBench(t *tree) (verdict, string) {
	args := []string{"test", "-run", "^$", "-bench", "^Benchmark(WarmSolve|Growth|GeneralSolvers|Stroke|Grow|Treatment|Molar)$", "-benchtime", "200ms", "-count", "3",
		"./internal/mechanics", "./internal/anatomy", "./internal/trial"}
	out, err := t.do(nil, "go", args...)
	if err != nil {
		return judge(out, err, "")
	}
	figures := readFigures(out)
	v, lines := passed, []string{}
	for _, b := range bars() {
		got, found := figures[b.benchmark+" "+b.unit]
		line := fmt.Sprintf("%.4g %s", got, b.text)
		switch {
		case !found:
			v, line = failed, b.benchmark+" gave no "+b.unit
		case b.most > 0 && got > b.most:
			v, line = failed, line+fmt.Sprintf(", allowed %g", b.most)
		case b.least > 0 && got < b.least:
			v, line = failed, line+fmt.Sprintf(", wanted at least %g", b.least)
		}
		lines = append(lines, line)
	}
	for _, k := range slices.Sorted(mapKeys(figures)) {
		if strings.HasPrefix(k, "Growth ns") || strings.HasPrefix(k, "Growth steps") || strings.HasSuffix(k, "-ms") || strings.HasPrefix(k, "Treatment") || strings.HasSuffix(k, "ns/solve") {
			lines = append(lines, fmt.Sprintf("%s: %.4g", k, figures[k]))
		}
	}
	frames, text := t.frameCost()
	if frames == failed {
		v = failed
	}
	lines = append(lines, text)
	return v, strings.Join(append(lines, t.outsideSolvers()...), "\n")
}

// frameCost measures what a frame of the bench costs the processor while a file is worked in the molar.
func (t *tree) frameCost() (verdict, string) {
	if err := t.needDisplay(); err != nil {
		return notChecked, "cost of a frame not measured: " + err.Error()
	}
	out, err := t.do([]string{"TUGBACK_BENCH=1"}, "xvfb-run", "-a", "-s", "-screen 0 1280x800x24",
		"go", "test", "-count=1", "-v", "-run=^TestFrameCost$", "./internal/ui")
	v, detail := judge(out, err, "a frame while a file is worked in the molar at 1280×800: "+told(out))
	return v, detail
}

// mapKeys visits the keys of a map.
func mapKeys(m map[string]float64) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// readFigures returns the figures of benchmark output under "Benchmark unit": of repeated runs the best, since
// another program on the machine can only make one worse.
func readFigures(out string) map[string]float64 {
	figures := map[string]float64{}
	for _, m := range benchLine.FindAllStringSubmatch(out, -1) {
		fields := strings.Fields(m[2])
		for i := 0; i+1 < len(fields); i += 2 {
			if v, err := strconv.ParseFloat(fields[i], 64); err == nil {
				name := m[1] + " " + fields[i+1]
				if old, found := figures[name]; found && (v > old) != strings.HasSuffix(name, "times-faster") {
					v = old
				}
				figures[name] = v
			}
		}
	}
	return figures
}

// outsideSolvers returns the times of general solvers outside Go on the problem of speed.py.
func (t *tree) outsideSolvers() []string {
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if _, err := exec.LookPath(python); err != nil {
			continue
		}
		out, err := t.do(nil, python, "testdata/reference/mechanics/speed.py")
		if err == nil {
			return strings.Split(strings.TrimSpace(out), "\n")
		}
	}
	return []string{"SciPy and cvxopt are not installed: no times of solvers outside Go"}
}
