package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// fixed returns a check that ends as told.
func fixed(name string, v verdict, detail string) check {
	return check{name, func(*tree) (verdict, string) { return v, detail }}
}

// TestClosingLine holds the lines that people and CI read, and the exit code beside them.
func TestClosingLine(t *testing.T) {
	good, bad, missing := fixed("a", passed, ""), fixed("b", failed, "exit status 1\nwhy"), fixed("c", notChecked, "no node")
	tests := []struct {
		name    string
		checks  []check
		strict  bool
		closing string
		code    int
	}{
		{"all pass", []check{good}, true, "1 passed, 0 failed", 0},
		{"one fails", []check{good, bad}, false, "1 passed, 1 failed", 1},
		{"a missing tool is no failure at home", []check{good, missing}, false, "1 passed, 0 failed, 1 skipped", 0},
		{"a missing tool is a failure in CI", []check{good, missing}, true, "1 passed, 1 failed", 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var out bytes.Buffer
			code := runAll(tt.checks, &tree{}, tt.strict, &out)
			if code != tt.code || lastLine(out.String()) != tt.closing {
				t.Errorf("exit code %d and %q, want %d and %q", code, lastLine(out.String()), tt.code, tt.closing)
			}
		})
	}
}

// TestLines holds the form of one line per check.
func TestLines(t *testing.T) {
	var out bytes.Buffer
	runAll([]check{fixed("b", failed, "exit status 1\nwhy"), fixed("c", notChecked, "no node")}, &tree{}, false, &out)
	for _, want := range []string{"failed: b, 0.0 s: exit status 1\n    why\n", "not checked: c (no node)\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("printed %q, want %q in it", out.String(), want)
		}
	}
}

func TestChoose(t *testing.T) {
	all := []check{fixed("a", passed, ""), fixed("b", passed, "")}
	chosen, err := choose(all, []string{"b"})
	if err != nil || len(chosen) != 1 || chosen[0].name != "b" {
		t.Errorf("choose b: got %d checks and error %v", len(chosen), err)
	}
	if _, err := choose(checks(), []string{"nonsense"}); err == nil || !strings.Contains(err.Error(), "gofmt") {
		t.Errorf("choose nonsense: got error %v, want one that lists the checks", err)
	}
}

func TestJudgeShowsTheLastLines(t *testing.T) {
	v, detail := judge(strings.Repeat("early\n", 500)+"the fault\n", errors.New("exit status 1"), "")
	if v != failed || !strings.HasSuffix(detail, "the fault") || strings.Count(detail, "\n") > outputLimit+1 {
		t.Errorf("got %s with %d lines ending in %q", v, strings.Count(detail, "\n")+1, lastLine(detail))
	}
}

func TestFirstDifference(t *testing.T) {
	got := firstDifference([]byte(`{"x":1.25}`), []byte(`{"x":1.26}`))
	if !strings.HasPrefix(got, "byte 8: ") {
		t.Errorf("got %q, want byte 8", got)
	}
	if got := firstDifference([]byte("ab"), []byte("abc")); !strings.HasPrefix(got, "byte 2: ") {
		t.Errorf("got %q, want byte 2", got)
	}
}

// TestFigures reads lines as the go command prints them, with and without a number of processors.
func TestFigures(t *testing.T) {
	got := readFigures("BenchmarkGrow/lower-first-molar-2  \t 135\t 2690415 ns/op\nBenchmarkGrow/lower-first-molar-2  \t 135\t 990415 ns/op\n" +
		"BenchmarkWarmSolve \t 10\t 1.5 passes\t 0 ns/op\n")
	want := map[string]float64{"Grow/lower-first-molar ns/op": 990415, "WarmSolve passes": 1.5, "WarmSolve ns/op": 0}
	if len(got) != len(want) {
		t.Errorf("figures %v, want %v", got, want)
	}
	for k, v := range want {
		if got[k] != v {
			t.Errorf("%s is %g, want %g", k, got[k], v)
		}
	}
}
