package server

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// tiny returns a builder of a small program of the tests.
func tiny(t *testing.T, tell *bytes.Buffer) builder {
	t.Helper()
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	return builder{root: root, program: "./internal/server/testdata/tiny", cache: t.TempDir(), tell: tell}
}

// TestBuild holds that a page is built once and then comes from the cache, and that a damaged one is
// built again.
func TestBuild(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles for the browser")
	}
	var tell bytes.Buffer
	b := tiny(t, &tell)
	built, err := b.page(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	size := built.Size()
	if size.Brotli >= size.Gzip || size.Gzip >= size.Plain || !bytes.Contains(built.starter, []byte("globalThis.Go = class")) {
		t.Errorf("got a program of %+v bytes, and a starter of %d", size, len(built.starter))
	}
	if !strings.Contains(tell.String(), "building the bench's page") || !strings.Contains(tell.String(), "built the bench's page in ") {
		t.Errorf("told %q", tell.String())
	}
	tell.Reset()
	again, err := b.page(t.Context())
	if err != nil || !bytes.Equal(again.program.Gzip, built.program.Gzip) || tell.Len() > 0 {
		t.Errorf("the second time: error %v, told %q", err, tell.String())
	}
	kept, err := filepath.Glob(filepath.Join(b.cache, "*", smallerFile))
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, error %v", kept, err)
	}
	if err := os.Truncate(kept[0], int64(size.Brotli/2)); err != nil {
		t.Fatal(err)
	}
	if repaired, err := b.page(t.Context()); err != nil || !bytes.Equal(repaired.program.Brotli, built.program.Brotli) || tell.Len() == 0 {
		t.Errorf("after damage: error %v, told %q", err, tell.String())
	}
}

// TestBuildTellsFaults holds that what the compiler says reaches the person.
func TestBuildTellsFaults(t *testing.T) {
	b := builder{root: t.TempDir(), program: ".", cache: t.TempDir(), tell: &bytes.Buffer{}}
	for name, content := range map[string]string{
		"go.mod": "module tugback\n", "go.sum": "", "main.go": "package main\nfunc main() { println(wrong) }\n",
	} {
		if err := os.WriteFile(filepath.Join(b.root, name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.page(t.Context()); err == nil || !strings.Contains(err.Error(), "main.go:2:23: undefined: wrong") {
		t.Errorf("got error %v", err)
	}
	b.program = "./missing"
	if _, err := b.page(t.Context()); err == nil || !strings.Contains(err.Error(), "missing") {
		t.Errorf("got error %v", err)
	}
	if entries, _ := os.ReadDir(b.cache); len(entries) > 0 {
		t.Errorf("the cache holds %v", entries)
	}
}

// TestLoadPageWithoutGo holds what is said where no page can be had.
func TestLoadPageWithoutGo(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if _, err := LoadPage(t.Context(), &bytes.Buffer{}); err == nil || err.Error() != noToolchain {
		t.Errorf("got error %v, want %s", err, noToolchain)
	}
}

// TestFindSources holds that the sources are found from a folder in them, and from one outside through
// where this program was compiled.
func TestFindSources(t *testing.T) {
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{".", t.TempDir()} {
		t.Chdir(folder)
		if got, err := findSources(t.Context()); err != nil || got != root {
			t.Errorf("in %s: got %s and error %v, want %s", folder, got, err, root)
		}
	}
}

// TestForget holds that the cache keeps the pages used last.
func TestForget(t *testing.T) {
	cache := t.TempDir()
	packed, err := Pack([]byte("\x00asm"))
	if err != nil {
		t.Fatal(err)
	}
	names := []string{"page-a", "page-b", "page-c", "page-d", "page-e", "page-f"}
	for _, name := range names {
		if err := write(filepath.Join(cache, name), packed, []byte("x")); err != nil {
			t.Fatal(err)
		}
	}
	for i, name := range []string{"page-d", "page-a", "page-f", "page-b"} {
		if _, err := read(filepath.Join(cache, name)); err != nil {
			t.Fatalf("%d: %v", i, err)
		}
	}
	forget(cache)
	entries, err := os.ReadDir(cache)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, entry := range entries {
		left = append(left, entry.Name())
	}
	want := "page-a page-b page-d page-f"
	if runtime.GOOS == "windows" {
		t.Skip("the clock of files is coarse here")
	}
	if strings.Join(left, " ") != want {
		t.Errorf("left are %v, want %s", left, want)
	}
}
