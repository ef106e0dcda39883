package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// lintTool is the pinned lint tool, built by the go command itself, so that nothing need be
// installed beforehand.
const lintTool = "github.com/golangci/golangci-lint/v2/cmd/golangci-lint@v2.15.0"

// checks lists all checks in the order in which they run: the quick ones first.
func checks() []check {
	return []check{
		{"display", checkDisplay},
		{"gofmt", checkFormat},
		{"tidy", checkTidy},
		{"vet", checkVet},
		{"test", checkTests},
		{"test-display", checkDisplayTests},
		{"race", checkRace},
		{"test-amd64-v3", func(t *tree) (verdict, string) { return t.testOn(amd64v3) }},
		{"test-386", func(t *tree) (verdict, string) { return t.testOn(i386) }},
		{"test-wasm", checkWasmTests},
		{"build-wasm", checkWasmBuild},
		{"same-bits-amd64", func(t *tree) (verdict, string) { return t.sameBits(amd64) }},
		{"same-bits-amd64-v3", func(t *tree) (verdict, string) { return t.sameBits(amd64v3) }},
		{"same-bits-386", func(t *tree) (verdict, string) { return t.sameBits(i386) }},
		{"same-bits-arm64", func(t *tree) (verdict, string) { return t.sameBits(arm64) }},
		{"class", checkClass},
		{"exchange", checkExchange},
		{"page", checkPage},
		{"browser", checkBrowser},
		{"window", checkWindow},
		{"lint", checkLint},
	}
}

// onRequest lists the checks that run only when they are named.
func onRequest() []check {
	return []check{
		{"bench", checkBench},
		{"screens", checkScreens},
		{"release", checkRelease},
	}
}

// checkDisplay says which packages the other checks leave out because X headers are missing.
func checkDisplay(t *tree) (verdict, string) {
	if err := t.needDisplay(); err != nil {
		return notChecked, fmt.Sprintf("%s left out of vet, lint and tests: %v", strings.Join(t.display, " "), err)
	}
	return passed, fmt.Sprintf("%d packages need Ebitengine", len(t.display))
}

// checkFormat finds Go files that gofmt would change.
func checkFormat(t *tree) (verdict, string) {
	root, err := t.do(nil, "go", "env", "GOROOT")
	if err != nil {
		return judge(root, err, "")
	}
	out, err := t.do(nil, filepath.Join(strings.TrimSpace(root), "bin", "gofmt"), "-l", ".")
	if err == nil && out != "" {
		err = fmt.Errorf("gofmt -w would change")
	}
	return judge(out, err, "")
}

// checkTidy finds requirements that go.mod lacks or holds in vain.
func checkTidy(t *tree) (verdict, string) {
	out, err := t.do(nil, "go", "mod", "tidy", "-diff")
	return judge(out, err, "")
}

// checkVet runs go vet on every package.
func checkVet(t *tree) (verdict, string) {
	paths := t.checkable()
	out, err := t.do(nil, "go", append([]string{"vet"}, paths...)...)
	return judge(out, err, fmt.Sprintf("%d packages", len(paths)))
}

// checkTests runs the tests of every package that needs no display.
func checkTests(t *tree) (verdict, string) {
	out, err := t.do([]string{"TUGBACK_SEED=" + t.seed}, "go", append([]string{"test"}, t.plain...)...)
	return judge(out, err, fmt.Sprintf("%d packages", len(t.plain)))
}

// checkDisplayTests runs the tests of the packages that open a window, on a screen in memory.
func checkDisplayTests(t *tree) (verdict, string) {
	if len(t.display) == 0 {
		return passed, "no package opens a window"
	}
	if err := t.needDisplay(); err != nil {
		return notChecked, err.Error()
	}
	out, err := t.do(nil, "xvfb-run", append([]string{"-a", "go", "test"}, t.display...)...)
	return judge(out, err, fmt.Sprintf("%d packages", len(t.display)))
}

// concurrent are the packages that do several things at once; the engine does not.
func concurrent() []string {
	return []string{"./internal/author", "./internal/class", "./internal/desk", "./internal/server", "./internal/store"}
}

// checkRace runs the quick tests of what does several things at once under the race detector, and one trial
// on all cores.
func checkRace(t *tree) (verdict, string) {
	if err := t.need("gcc", "gcc", "libc6-dev"); err != nil {
		return notChecked, err.Error()
	}
	env := []string{"CGO_ENABLED=1", "TUGBACK_SEED=" + t.seed}
	out, err := t.do(env, "go", append([]string{"test", "-race", "-short"}, concurrent()...)...)
	if err != nil {
		return judge(out, err, "")
	}
	out, err = t.do(env, "go", "test", "-race", "-run=^TestShardsMerge$", "./internal/trial")
	return judge(out, err, fmt.Sprintf("%d packages and a trial", len(concurrent())))
}

// checkExchange holds the class's xAPI statements against the schema and the rule code that npm carries,
// and its tables against LibreOffice where that is installed.
func checkExchange(t *tree) (verdict, string) {
	if err := t.need("npm", "npm"); err != nil {
		return notChecked, err.Error()
	}
	out, err := t.do([]string{"TUGBACK_REGISTRY=1"}, "go", "test", "-count=1", "-run=XAPI|Spreadsheet", "./internal/cohort")
	return judge(out, err, "")
}

// checkLint runs the pinned lint tool with .golangci.yml.
func checkLint(t *tree) (verdict, string) {
	var dirs []string
	for _, path := range t.checkable() {
		dirs = append(dirs, "."+strings.TrimPrefix(path, "tugback"))
	}
	out, err := t.do(nil, "go", append([]string{"run", lintTool, "run"}, dirs...)...)
	return judge(out, err, "")
}

// checkWasmTests runs the engine's tests, and the digests of the shipped plans, under Node.
func checkWasmTests(t *tree) (verdict, string) {
	if err := t.need("node", "nodejs"); err != nil {
		return notChecked, err.Error()
	}
	root, err := t.do(nil, "go", "env", "GOROOT")
	if err != nil {
		return judge(root, err, "")
	}
	exec := filepath.Join(strings.TrimSpace(root), "lib", "wasm", "go_js_wasm_exec")
	env := append(smallEnvironment(), "GOOS=js", "GOARCH=wasm", "TUGBACK_SEED="+t.seed)
	out, err := t.doIn(env, "go", append([]string{"test", "-exec=" + exec}, t.engine("attempt")...)...)
	return judge(out, err, "")
}

// checkWasmBuild builds for the browser everything that the browser page will hold.
func checkWasmBuild(t *tree) (verdict, string) {
	env := []string{"GOOS=js", "GOARCH=wasm"}
	out, err := t.do(env, "go", append([]string{"build"}, t.engine("scenario", "attempt", "picture")...)...)
	return judge(out, err, "")
}

// smallEnvironment returns the variables that the go command needs and no others: a program under
// wasm gets 12 KiB for its arguments and environment together and refuses to start beyond that.
func smallEnvironment() []string {
	var env []string
	for _, pair := range os.Environ() {
		name, _, _ := strings.Cut(pair, "=")
		switch {
		case name == "PATH", name == "HOME", name == "TMPDIR", name == "SSL_CERT_FILE",
			strings.HasPrefix(name, "GO") && len(pair) < 1000:
			env = append(env, pair)
		}
	}
	return env
}
