package server_test

import (
	"bytes"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/server"
)

// TestProgram holds that the program is sent packed to whoever unpacks it, unpacked to others, and not
// at all to a browser that has it.
func TestProgram(t *testing.T) {
	accept := func(what string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set("Accept-Encoding", what) }
	}
	tiny := send(t, &memory{}, "GET", "/tugback.wasm", "", accept("gzip, deflate, br, zstd"))
	if body := text(t, tiny); body != string(packed(t, code).Brotli) || tiny.Header.Get("Content-Encoding") != "br" ||
		tiny.Header.Get("Content-Length") != strconv.Itoa(len(body)) {
		t.Errorf("packed with brotli: %d bytes, headers %v", len(body), tiny.Header)
	}
	small := send(t, &memory{}, "GET", "/tugback.wasm", "", accept("br;q=0, GZIP;q=0.5"))
	if body := text(t, small); body != string(packed(t, code).Gzip) || small.Header.Get("Content-Encoding") != "gzip" ||
		small.Header.Get("Content-Length") != strconv.Itoa(len(body)) {
		t.Errorf("packed: %d bytes, headers %v", len(body), small.Header)
	}
	large := send(t, &memory{}, "GET", "/tugback.wasm", "", accept("identity, gzip; q=0"))
	if body := text(t, large); body != string(code) || large.Header.Get("Content-Encoding") != "" {
		t.Errorf("unpacked: %d bytes, headers %v", len(body), large.Header)
	}
	if a, b, c := tiny.Header.Get("ETag"), small.Header.Get("ETag"), large.Header.Get("ETag"); a == b || b == c || a == c {
		t.Error("packed and unpacked have one tag")
	}
	for _, r := range []*http.Response{tiny, small, large} {
		if r.Header.Get("Content-Type") != "application/wasm" || r.Header.Get("Vary") != "Accept-Encoding" ||
			r.Header.Get("Tugback-Length") != strconv.Itoa(len(code)) {
			t.Errorf("headers %v", r.Header)
		}
	}
	again := send(t, &memory{}, "GET", "/tugback.wasm", "", func(r *http.Request) {
		r.Header.Set("Accept-Encoding", "gzip")
		r.Header.Set("If-None-Match", small.Header.Get("ETag"))
	})
	if body := text(t, again); again.StatusCode != http.StatusNotModified || body != "" || again.Header.Get("Content-Length") != "" {
		t.Errorf("with its tag: status %d, %d bytes, headers %v", again.StatusCode, len(body), again.Header)
	}
}

// TestPageFiles holds that the page names no file that is not served and no script of its own in its
// text, which the headers would forbid, and that each file has its type.
func TestPageFiles(t *testing.T) {
	got := send(t, &memory{}, "GET", "/", "", nil)
	page := text(t, got)
	if got.StatusCode != 200 || got.Header.Get("Content-Type") != "text/html; charset=utf-8" {
		t.Fatalf("status %d, headers %v", got.StatusCode, got.Header)
	}
	for _, want := range []string{`<html lang="en">`, "<noscript>", `id="mirror"`, `aria-live="polite"`, "<progress", "wasm_exec.js"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if regexp.MustCompile(`<script>|<style|style="|\son[a-z]+=`).MatchString(page) {
		t.Error("the page has a script or a style in its text")
	}
	types := map[string]string{"js": "text/javascript; charset=utf-8", "css": "text/css; charset=utf-8", "svg": "image/svg+xml", "wasm": "application/wasm"}
	named := regexp.MustCompile(`(?:src|href|data-program)="([^"]+)"`).FindAllStringSubmatch(page, -1)
	if len(named) < 5 {
		t.Errorf("the page names %d files: %v", len(named), named)
	}
	for _, n := range named {
		file := send(t, &memory{}, "GET", "/"+n[1], "", nil)
		kind := types[n[1][strings.LastIndex(n[1], ".")+1:]]
		if file.StatusCode != 200 || file.Header.Get("Content-Type") != kind || file.Header.Get("ETag") == "" {
			t.Errorf("%s: status %d, headers %v", n[1], file.StatusCode, file.Header)
		}
	}
	header := got.Header.Get("Content-Security-Policy")
	meta := regexp.MustCompile(`Content-Security-Policy" content="([^"]+)"`).FindStringSubmatch(page)
	if len(meta) != 2 || meta[1]+"; frame-ancestors 'none'" != header {
		t.Errorf("the page's own policy %q is not the header's %q", meta, header)
	}
}

// TestWritePage holds that a copy for a web space has every file the page names, in a folder that was
// new or empty.
func TestWritePage(t *testing.T) {
	page := pageOf(t)
	parent := t.TempDir()
	empty := filepath.Join(parent, "empty")
	if err := os.Mkdir(empty, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{empty, filepath.Join(parent, "a", "new") + "/"} {
		if err := page.Write(folder); err != nil {
			t.Fatal(err)
		}
		index, err := os.ReadFile(filepath.Join(folder, "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range regexp.MustCompile(`(?:src|href|data-program|data-smaller)="([^"]+)"`).FindAllSubmatch(index, -1) {
			if content, err := os.ReadFile(filepath.Join(folder, string(n[1]))); err != nil || len(content) == 0 {
				t.Errorf("%s: %d bytes, error %v", n[1], len(content), err)
			}
		}
		program, err := os.ReadFile(filepath.Join(folder, "tugback.wasm.gz"))
		small, missing := os.ReadFile(filepath.Join(folder, "tugback.wasm.br"))
		if want := packed(t, code); err != nil || missing != nil || !bytes.Equal(program, want.Gzip) || !bytes.Equal(small, want.Brotli) {
			t.Errorf("the program has %d and %d bytes, errors %v, %v", len(program), len(small), err, missing)
		}
	}
	if err := page.Write(empty); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with files: got error %v", err)
	}
	if err := page.Write(filepath.Join(empty, "index.html")); err == nil {
		t.Error("a file is taken for a folder")
	}
	if left, err := filepath.Glob(filepath.Join(parent, "*", ".page-*")); err != nil || len(left) > 0 {
		t.Errorf("left over: %v, error %v", left, err)
	}
}

func TestNewPageRefuses(t *testing.T) {
	whole := packed(t, code)
	changed := func(data []byte) []byte {
		return append(bytes.Clone(data[:20]), append([]byte{data[20] ^ 1}, data[21:]...)...)
	}
	for name, program := range map[string]server.Packed{
		"nothing": {}, "not packed": {Brotli: code, Gzip: code}, "no program": packed(t, []byte("hello")),
		"gzip cut":        {Brotli: whole.Brotli, Gzip: whole.Gzip[:len(whole.Gzip)-9]},
		"gzip changed":    {Brotli: whole.Brotli, Gzip: changed(whole.Gzip)},
		"brotli cut":      {Brotli: whole.Brotli[:len(whole.Brotli)-2], Gzip: whole.Gzip},
		"brotli changed":  {Brotli: changed(whole.Brotli), Gzip: whole.Gzip},
		"no brotli":       {Gzip: whole.Gzip},
		"another, brotli": {Brotli: packed(t, append(bytes.Clone(code), 1)).Brotli, Gzip: whole.Gzip},
	} {
		if _, err := server.NewPage(program, nil); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
