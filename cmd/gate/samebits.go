package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// target is a kind of machine on which the engine must give the same bits.
type target struct {
	name    string
	env     []string
	arch    string // GOARCH
	emulate string // the program of qemu-user-static that runs it elsewhere
}

var (
	amd64   = target{"amd64", []string{"GOOS=linux", "GOARCH=amd64", "GOAMD64=v1", "CGO_ENABLED=0"}, "amd64", "qemu-x86_64-static"}
	amd64v3 = target{"amd64-v3", []string{"GOOS=linux", "GOARCH=amd64", "GOAMD64=v3", "CGO_ENABLED=0"}, "amd64", "qemu-x86_64-static"}
	i386    = target{"386", []string{"GOOS=linux", "GOARCH=386", "CGO_ENABLED=0"}, "386", "qemu-i386-static"}
	arm64   = target{"arm64", []string{"GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0"}, "arm64", "qemu-aarch64-static"}
)

// runner returns the words to put before a program of the target to run it here: none, or an
// emulator, installed if need be; it returns why neither is to be had.
func (t *tree) runner(to target) ([]string, error) {
	if runtime.GOOS != "linux" {
		return nil, fmt.Errorf("programs for linux/%s run on Linux only", to.arch)
	}
	if t.runsHere(to) {
		return nil, nil
	}
	if err := t.need(to.emulate, "qemu-user-static"); err != nil {
		return nil, err
	}
	if to.arch == "amd64" {
		return []string{to.emulate, "-cpu", "max"}, nil
	}
	return []string{to.emulate}, nil
}

// runsHere reports whether this machine runs the target's programs by itself.
func (t *tree) runsHere(to target) bool {
	host := runtime.GOARCH
	if host == "amd64" && to.arch == "386" {
		return true
	}
	if to.name != amd64v3.name || host != "amd64" {
		return host == to.arch
	}
	info, err := os.ReadFile("/proc/cpuinfo")
	return err == nil && bytes.Contains(info, []byte(" avx2 ")) && bytes.Contains(info, []byte(" fma ")) &&
		bytes.Contains(info, []byte(" bmi2 "))
}

// testOn runs the engine's tests as programs of the target.
func (t *tree) testOn(to target) (verdict, string) {
	prefix, err := t.runner(to)
	if err != nil {
		return notChecked, err.Error()
	}
	args := []string{"test"}
	if len(prefix) > 0 {
		args = append(args, "-exec="+strings.Join(prefix, " "))
	}
	env := append([]string{"TUGBACK_SEED=" + t.seed}, to.env...)
	out, err := t.do(env, "go", append(args, t.engine()...)...)
	return judge(out, err, "")
}

// sameBits runs every shipped plan with the target's program and compares what it prints, byte for
// byte, with the same run on plain amd64; a sitting that was made on amd64 must be verified there.
func (t *tree) sameBits(to target) (verdict, string) {
	if t.reference == nil {
		if v, detail := t.makeReference(); v != passed || to.name == amd64.name {
			return v, detail
		}
	}
	got, v, detail := t.runPlans(to)
	if v != passed {
		return v, detail
	}
	var faults []string
	for _, plan := range slices.Sorted(maps.Keys(t.reference)) {
		if !bytes.Equal(got[plan], t.reference[plan]) {
			faults = append(faults, fmt.Sprintf("%s: %s", plan, firstDifference(got[plan], t.reference[plan])))
		}
	}
	if len(faults) > 0 {
		return failed, fmt.Sprintf("%d of %d plans differ from amd64\n%s", len(faults), len(got), strings.Join(faults, "\n"))
	}
	return passed, fmt.Sprintf("%d plans as on amd64, a sitting made there is verified", len(got))
}

// makeReference runs the plans on plain amd64 and keeps what they print; the detail lists digests.
func (t *tree) makeReference() (verdict, string) {
	got, v, detail := t.runPlans(amd64)
	if v != passed {
		return v, detail
	}
	lines := []string{fmt.Sprintf("%d plans", len(got))}
	for _, plan := range slices.Sorted(maps.Keys(got)) {
		var report struct{ Digest string }
		if err := json.Unmarshal(got[plan], &report); err != nil || report.Digest == "" {
			return failed, fmt.Sprintf("%s: the output holds no digest (%v)", plan, err)
		}
		lines = append(lines, plan+" "+report.Digest)
	}
	t.reference = got
	return passed, strings.Join(lines, "\n")
}

// runPlans builds the target's program and returns what it prints for each shipped plan.
func (t *tree) runPlans(to target) (map[string][]byte, verdict, string) {
	plans, err := filepath.Glob(filepath.Join(t.root, "scenarios", "plans", "*.yaml"))
	if err != nil || len(plans) == 0 {
		return nil, failed, "scenarios/plans holds no plan"
	}
	prefix, err := t.runner(to)
	if err != nil {
		return nil, notChecked, err.Error()
	}
	dir, err := os.MkdirTemp("", "gate")
	if err != nil {
		return nil, failed, err.Error()
	}
	defer os.RemoveAll(dir) //nolint:errcheck // a folder left in the system's temporary space harms nobody
	program := filepath.Join(dir, "tugback")
	if out, err := t.do(to.env, "go", "build", "-o", program, "./cmd/tugback"); err != nil {
		v, detail := judge(out, err, "")
		return nil, v, detail
	}
	printed := map[string][]byte{}
	for _, plan := range plans {
		name := strings.TrimSuffix(filepath.Base(plan), ".yaml")
		out, err := t.treat(append(prefix, program), name)
		if err != nil {
			return nil, failed, fmt.Sprintf("%s: %v", name, err)
		}
		printed[name] = out
	}
	if _, err := t.printed(append(prefix, program), "verify", "internal/exam/testdata/treated.json",
		"--paper", "internal/exam/testdata/paper-case.json"); err != nil {
		return nil, failed, err.Error()
	}
	return printed, passed, ""
}

// treat runs one plan, named SCENARIO.MANNER, and returns the JSON it prints.
func (t *tree) treat(program []string, plan string) ([]byte, error) {
	scenario, _, _ := strings.Cut(plan, ".")
	return t.printed(program, "treat", filepath.Join("scenarios", scenario+".yaml"),
		"--plan", filepath.Join("scenarios", "plans", plan+".yaml"), "--json")
}

// printed runs a program of the target with some arguments and returns what it prints.
func (t *tree) printed(program []string, args ...string) ([]byte, error) {
	var stdout, stderr bytes.Buffer
	if err := t.start(os.Environ(), &stdout, &stderr, program[0], append(slices.Clone(program[1:]), args...)...); err != nil {
		return nil, fmt.Errorf("%w\n%s", err, stderr.String())
	}
	return stdout.Bytes(), nil
}

// firstDifference shows the surroundings of the first byte in which two outputs differ.
func firstDifference(got, want []byte) string {
	at := 0
	for at < len(got) && at < len(want) && got[at] == want[at] {
		at++
	}
	around := func(text []byte) string {
		return fmt.Sprintf("%q", text[max(0, min(at-60, len(text))):min(at+60, len(text))])
	}
	return fmt.Sprintf("byte %d: got %s, on amd64 %s", at, around(got), around(want))
}
