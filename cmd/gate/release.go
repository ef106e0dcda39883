package main

import (
	"archive/zip"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// released lists the computers for which a release has a program, as GOOS and GOARCH.
var released = [][2]string{
	{"linux", "amd64"}, {"linux", "arm64"},
	{"windows", "amd64"}, {"windows", "arm64"},
	{"darwin", "amd64"}, {"darwin", "arm64"},
}

// release is a release in the making.
type release struct {
	t     *tree
	out   string   // folder
	page  string   // folder with the page's files
	files []string // made so far, by name
}

// checkRelease makes what is handed out to people without Go, in the folder of --out: the page for a web
// space, a program for each kind of computer with the page inside, licences and checksums; and it tries
// the program for this computer without a Go toolchain.
func checkRelease(t *tree) (verdict, string) {
	if t.out == "" {
		return failed, "no folder to put it in: go run ./cmd/gate --out FOLDER release"
	}
	if inside, err := filepath.Rel(t.root, t.out); err == nil && filepath.IsLocal(inside) {
		return failed, "the folder lies in the repository; name one outside"
	}
	if entries, err := os.ReadDir(t.out); err == nil && len(entries) > 0 {
		return failed, "the folder " + t.out + " is not empty"
	}
	work, err := os.MkdirTemp("", "gate")
	if err != nil {
		return failed, err.Error()
	}
	defer os.RemoveAll(work) //nolint:errcheck // a folder left in the system's temporary space harms nobody
	r := &release{t: t, out: t.out, page: filepath.Join(work, "page")}
	if _, v, detail := t.makePage(r.page); v != passed {
		return v, detail
	}
	if err := r.make(work); err != nil {
		return failed, err.Error()
	}
	return passed, fmt.Sprintf("in %s\n%s", r.out, strings.Join(r.files, "\n"))
}

// make makes all files of the release.
func (r *release) make(work string) error {
	if err := os.MkdirAll(r.out, 0o755); err != nil { //nolint:gosec // it is handed out
		return err
	}
	licences, err := r.licences()
	if err != nil {
		return err
	}
	if err := r.add("LICENCES.txt", licences); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(r.page, "LICENCES.txt"), licences, 0o644); err != nil { //nolint:gosec // it is handed out
		return err
	}
	if err := r.add("README.txt", []byte(releaseReadme)); err != nil {
		return err
	}
	if err := r.bundle("tugback-page.zip"); err != nil {
		return err
	}
	overlay, err := r.overlay(work)
	if err != nil {
		return err
	}
	for _, kind := range released {
		if err := r.program(overlay, kind[0], kind[1]); err != nil {
			return err
		}
	}
	if err := r.try(filepath.Join(work, "try")); err != nil {
		return err
	}
	return r.checksums()
}

// add writes a file of the release.
func (r *release) add(name string, content []byte) error {
	r.files = append(r.files, name)
	return os.WriteFile(filepath.Join(r.out, name), content, 0o644) //nolint:gosec // it is handed out
}

// moment returns the time of the commit, which all files of the bundle bear, so that the same commit
// gives the same bundle.
func (r *release) moment() time.Time {
	text, err := r.t.do(nil, "git", "log", "-1", "--format=%ct")
	seconds, bad := strconv.ParseInt(strings.TrimSpace(text), 10, 64)
	if err != nil || bad != nil {
		return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	return time.Unix(seconds, 0).UTC()
}

// bundle packs the page's files for a web space.
func (r *release) bundle(name string) error {
	file, err := os.Create(filepath.Join(r.out, name))
	if err != nil {
		return err
	}
	defer file.Close() //nolint:errcheck // closed below when all went well
	r.files = append(r.files, name)
	entries, err := os.ReadDir(r.page)
	if err != nil {
		return err
	}
	archive, modified := zip.NewWriter(file), r.moment()
	for _, entry := range entries {
		content, err := os.ReadFile(filepath.Join(r.page, entry.Name()))
		if err != nil {
			return err
		}
		header := &zip.FileHeader{Name: "tugback/" + entry.Name(), Method: zip.Deflate, Modified: modified}
		header.SetMode(0o644)
		w, err := archive.CreateHeader(header)
		if err != nil {
			return err
		}
		if _, err := w.Write(content); err != nil {
			return err
		}
	}
	if err := archive.Close(); err != nil {
		return err
	}
	return file.Close()
}

// overlay writes the file that shows the go command the page's program where internal/server embeds it.
func (r *release) overlay(work string) (string, error) {
	replace := map[string]string{}
	for _, name := range []string{"tugback.wasm.gz", "tugback.wasm.br", "wasm_exec.js"} {
		replace[filepath.Join(r.t.root, "internal", "server", "embedded", name)] = filepath.Join(r.page, name)
	}
	text, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", err
	}
	file := filepath.Join(work, "overlay.json")
	return file, os.WriteFile(file, text, 0o600)
}

// program builds the program for one kind of computer.
func (r *release) program(overlay, system, machine string) error {
	name := fmt.Sprintf("tugback-%s-%s", strings.ReplaceAll(system, "darwin", "macos"), machine)
	if system == "windows" {
		name += ".exe"
	}
	env := []string{"GOOS=" + system, "GOARCH=" + machine, "GOAMD64=v1", "CGO_ENABLED=0"}
	out, err := r.t.do(env, "go", "build", "-tags=release", "-overlay="+overlay, "-trimpath", "-ldflags=-s -w",
		"-o", filepath.Join(r.out, name), "./cmd/tugback")
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, out)
	}
	r.files = append(r.files, name)
	return nil
}

// try lets the program for this computer, where no Go toolchain is to be found, write its page, and holds
// that it is the one of the release.
func (r *release) try(folder string) error {
	name := fmt.Sprintf("tugback-%s-%s", strings.ReplaceAll(runtime.GOOS, "darwin", "macos"), runtime.GOARCH)
	if !slices.Contains(r.files, name) {
		return nil
	}
	if out, err := r.t.do([]string{"PATH="}, filepath.Join(r.out, name), "page", folder); err != nil {
		return fmt.Errorf("%s does not hold its page: %w\n%s", name, err, out)
	}
	for _, file := range []string{"index.html", "tugback.wasm.gz", "tugback.wasm.br"} {
		got, err := os.ReadFile(filepath.Join(folder, file))
		if err != nil {
			return err
		}
		want, err := os.ReadFile(filepath.Join(r.page, file))
		if err != nil {
			return err
		}
		if string(got) != string(want) {
			return fmt.Errorf("the %s in %s is another than that of the release", file, name)
		}
	}
	return nil
}

// checksums writes the list that sha256sum -c reads.
func (r *release) checksums() error {
	slices.SortFunc(r.files, cmp.Compare)
	var list strings.Builder
	for _, name := range r.files {
		file, err := os.Open(filepath.Join(r.out, name))
		if err != nil {
			return err
		}
		sum := sha256.New()
		_, err = io.Copy(sum, file)
		file.Close() //nolint:errcheck // only read
		if err != nil {
			return err
		}
		fmt.Fprintf(&list, "%x  %s\n", sum.Sum(nil), name)
	}
	return r.add("SHA256SUMS", []byte(list.String()))
}
