package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// pageLimit is the most that a browser may have to load of the program before the bench opens, in bytes.
const pageLimit = 6_000_000

// checkPage builds the browser's page as a person's computer does and holds its size.
func checkPage(t *tree) (verdict, string) {
	dir, err := os.MkdirTemp("", "gate")
	if err != nil {
		return failed, err.Error()
	}
	defer os.RemoveAll(dir) //nolint:errcheck // a folder left in the system's temporary space harms nobody
	size, v, detail := t.makePage(filepath.Join(dir, "page"))
	if v != passed {
		return v, detail
	}
	detail = fmt.Sprintf("%.2f MB to load by brotli, at most %.0f; %.2f MB by gzip, for web spaces and browsers without brotli",
		float64(size.brotli)/1e6, pageLimit/1e6, float64(size.gzip)/1e6)
	if size.brotli > pageLimit {
		return failed, detail
	}
	return passed, detail
}

// pageSize is what a browser has to load, in bytes: the packed program and the page's other files.
type pageSize struct{ brotli, gzip int64 }

// makePage writes the page into a new folder and returns what of it is to be loaded.
func (t *tree) makePage(folder string) (pageSize, verdict, string) {
	if !t.hasProgram() {
		return pageSize{}, notChecked, "there is no cmd/tugback-desk yet to be the page's program"
	}
	if out, err := t.do(nil, "go", "run", "./cmd/tugback", "page", folder); err != nil {
		v, detail := judge(out, err, "")
		return pageSize{}, v, detail
	}
	size, err := measurePage(folder)
	if err != nil {
		return pageSize{}, failed, err.Error()
	}
	return size, passed, ""
}

// measurePage adds up the files of a page: of the program the packed one, of the others all.
func measurePage(folder string) (pageSize, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return pageSize{}, err
	}
	var size pageSize
	for _, entry := range entries {
		info, err := entry.Info()
		if err != nil {
			return pageSize{}, err
		}
		switch filepath.Ext(entry.Name()) {
		case ".br":
			size.brotli += info.Size()
		case ".gz":
			size.gzip += info.Size()
		default:
			size.brotli, size.gzip = size.brotli+info.Size(), size.gzip+info.Size()
		}
	}
	return size, nil
}

// checkBrowser treats teeth in a real browser: the served page, one by real key presses alone, one by a real
// mouse alone, one by real fingers alone, and the records that come out; it looks at the page as a screen reader
// does and measures how long it takes to open.
func checkBrowser(t *tree) (verdict, string) {
	if err := t.need("chromium", "chromium"); err != nil {
		return notChecked, err.Error()
	}
	if !t.hasProgram() {
		return notChecked, "there is no cmd/tugback-desk yet to be the page's program"
	}
	out, err := t.do([]string{"TUGBACK_BROWSER=chromium"}, "go", "test", "-count=1", "-v", "-timeout=30m", "-run=^TestBrowser", "./cmd/tugback")
	return judge(out, err, told(out))
}

// told returns what the tests in an output of go test -v have logged.
func told(out string) string {
	var said []string
	for line := range strings.Lines(out) {
		if _, text, found := strings.Cut(line, "_test.go:"); found {
			_, text, _ = strings.Cut(text, ": ")
			said = append(said, strings.TrimSpace(text))
		}
	}
	return strings.Join(said, "; ")
}

// checkWindow treats the same teeth in the window by real events of X.
func checkWindow(t *tree) (verdict, string) {
	if err := t.needDisplay(); err != nil {
		return notChecked, err.Error()
	}
	out, err := t.do([]string{"TUGBACK_WINDOW=1"}, "xvfb-run", "-a", "-s", "-screen 0 1280x800x24",
		"go", "test", "-count=1", "-v", "-timeout=30m", "-run=^TestWindow", "./cmd/tugback-desk")
	return judge(out, err, told(out))
}

// hasProgram reports whether the program of the page is in the repository.
func (t *tree) hasProgram() bool {
	files, err := filepath.Glob(filepath.Join(t.root, "cmd", "tugback-desk", "*.go"))
	return err == nil && len(files) > 0
}
