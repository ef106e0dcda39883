package conventions_test

import (
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// fusedOp matches an instruction that multiplies and adds with one rounding, after its place, in
// the compiler's listing for arm64 and for amd64 v3.
var fusedOp = regexp.MustCompile(`\(([^()]+\.go):(\d+)\)\s+(FN?M(?:ADD|SUB)[DS]|VFN?M(?:ADD|SUB)\d+S[DS])\b`)

// fusingTargets are kinds of machine on which the compiler may round a product and a sum once.
var fusingTargets = [][]string{
	{"GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0"},
	{"GOOS=linux", "GOARCH=amd64", "GOAMD64=v3", "CGO_ENABLED=0"},
}

// TestNoFusedProducts compiles the engine for targets that may round a product and a sum once
// instead of twice and looks for such an instruction: the result would differ in the last bit
// from the other targets. The cure is float64(a*b) + c; math.FMA, which is the same everywhere,
// is allowed.
func TestNoFusedProducts(t *testing.T) {
	m := load(t)
	for _, target := range fusingTargets {
		for _, f := range m.fused(t, target, m.enginePaths()) {
			t.Errorf("%s: %s: %s", strings.Join(target[1:], " "), f.place, f.what)
		}
	}
}

// TestNoFusedProductsControl runs the same search over a package with faults.
func TestNoFusedProductsControl(t *testing.T) {
	m := load(t)
	const file = "internal/conventions/testdata/fused/fused.go"
	for _, target := range fusingTargets {
		arch := strings.TrimPrefix(target[1], "GOARCH=")
		want := marked(t, m, file, regexp.MustCompile(`// fused:.* `+arch))
		var got []string
		for _, f := range m.fused(t, target, []string{"./" + path.Dir(file)}) {
			got = append(got, f.place)
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: found fused products at %v, want %v", strings.Join(target[1:], " "), got, want)
		}
	}
}

// fused returns the places at which the compiler fuses a product and a sum.
func (m *module) fused(t *testing.T, target, paths []string) []fault {
	t.Helper()
	var faults []fault
	seen := map[string]bool{}
	for line := range strings.Lines(m.listing(t, target, paths)) {
		match := fusedOp.FindStringSubmatch(line)
		if match == nil {
			continue
		}
		place := fmt.Sprintf("%s:%s", m.relative(match[1]), match[2])
		if code := m.sourceLine(t, match[1], match[2]); !seen[place] && !strings.Contains(code, "math.FMA(") {
			faults = append(faults, fault{place, match[3] + " in " + code})
		}
		seen[place] = true
	}
	return faults
}

// listing returns the compiler's listing of the packages.
func (m *module) listing(t *testing.T, target, paths []string) string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"build", "-gcflags=-S"}, paths...)...)
	cmd.Dir, cmd.Env = m.root, append(os.Environ(), target...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Errorf("go build for %s: %v; go vet shows the fault", strings.Join(target, " "), err)
	}
	if !strings.Contains(string(out), " STEXT ") {
		t.Errorf("go build -gcflags=-S for %s prints no listing", strings.Join(target, " "))
	}
	return string(out)
}

// relative turns a path of the listing into one from the top of the repository.
func (m *module) relative(full string) string {
	if short, err := filepath.Rel(m.root, full); err == nil && filepath.IsAbs(full) {
		return filepath.ToSlash(short)
	}
	return filepath.ToSlash(strings.TrimPrefix(full, "./"))
}

// sourceLine returns one line of a file that the listing names.
func (m *module) sourceLine(t *testing.T, file, line string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(m.root, m.relative(file)))
	if err != nil {
		t.Fatal(err)
	}
	n, err := strconv.Atoi(line)
	lines := strings.Split(string(text), "\n")
	if err != nil || n < 1 || n > len(lines) {
		t.Fatalf("the listing names line %s of %s, which has %d", line, file, len(lines))
	}
	return strings.TrimSpace(lines[n-1])
}
