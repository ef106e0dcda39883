package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"
	"time"

	"tugback/assets"
)

// Page is the browser's page: its files and its program.
type Page struct {
	program Packed
	length  int    // of the program unpacked, bytes
	starter []byte // wasm_exec.js of the Go version that built the program
}

// NewPage returns a page of a packed program and the script wasm_exec.js of the Go version that built it.
// The error says that the program is not whole or not WebAssembly, or that the two packings hold different
// programs. Checked by TestNewPageRefuses.
func NewPage(packed Packed, starter []byte) (*Page, error) {
	program, err := packed.unpack()
	if err != nil {
		return nil, fmt.Errorf("the page's program is damaged: %w", err)
	}
	if !bytes.HasPrefix(program, []byte("\x00asm")) {
		return nil, fmt.Errorf("the page's program is not WebAssembly")
	}
	return &Page{program: packed, length: len(program), starter: starter}, nil
}

// Size is how much of a page's program there is to load, in bytes: what is sent to a browser that unpacks
// brotli, to one that unpacks gzip only, and to one that unpacks nothing.
type Size struct{ Brotli, Gzip, Plain int }

// Size returns the sizes of the page's program; the page's other files are some tens of kilobytes.
func (p *Page) Size() Size {
	return Size{Brotli: len(p.program.Brotli), Gzip: len(p.program.Gzip), Plain: p.length}
}

// register makes the page's files answer.
func (p *Page) register(routes *http.ServeMux) {
	routes.Handle("GET /tugback.wasm", p.programHandler())
	routes.Handle("GET /wasm_exec.js", fileHandler("wasm_exec.js", p.starter))
	for name, content := range pageFiles() {
		pattern := "GET /" + name
		if name == "index.html" {
			pattern = "GET /{$}"
		}
		routes.Handle(pattern, fileHandler(name, content))
	}
}

// pageFiles returns the files of assets/page by name.
func pageFiles() map[string][]byte {
	files := map[string][]byte{}
	entries, err := fs.ReadDir(assets.Page, "page")
	if err != nil {
		panic("server: the page's files are not inside the program: " + err.Error())
	}
	for _, entry := range entries {
		content, err := fs.ReadFile(assets.Page, path.Join("page", entry.Name()))
		if err != nil {
			panic("server: the page's files are not inside the program: " + err.Error())
		}
		files[entry.Name()] = content
	}
	return files
}

// kindOf returns the type of a file by its name. The computer's own table of types may say anything.
func kindOf(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".wasm":
		return "application/wasm"
	}
	panic("server: a file of a kind the page does not have: " + name)
}

// fileHandler sends a file that the browser may keep, but asks after each time.
func fileHandler(name string, content []byte) http.Handler {
	tag, kind := entityTag(content), kindOf(name)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("ETag", tag)
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
	})
}

// programHandler sends the program as small as whoever asks can unpack. Tugback-Length is its length
// unpacked, by which the page shows how far the loading is.
func (p *Page) programHandler() http.Handler {
	small, packed := fileHandler("tugback.wasm", p.program.Brotli), fileHandler("tugback.wasm", p.program.Gzip)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Vary", "Accept-Encoding")
		w.Header().Set("Tugback-Length", strconv.Itoa(p.length))
		if accepts(r, "br") {
			w.Header().Set("Content-Encoding", "br")
			w.Header().Set("Content-Length", strconv.Itoa(len(p.program.Brotli)))
			small.ServeHTTP(w, r)
			return
		}
		if accepts(r, "gzip") {
			w.Header().Set("Content-Encoding", "gzip")
			w.Header().Set("Content-Length", strconv.Itoa(len(p.program.Gzip)))
			packed.ServeHTTP(w, r)
			return
		}
		program, err := p.program.unpack()
		if err != nil {
			panic("server: a program that was whole is damaged: " + err.Error())
		}
		fileHandler("tugback.wasm", program).ServeHTTP(w, r)
	})
}

// accepts reports whether whoever asks unpacks a coding.
func accepts(r *http.Request, coding string) bool {
	for part := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.EqualFold(name, coding) && strings.ReplaceAll(weight, " ", "") != "q=0" {
			return true
		}
	}
	return false
}

// entityTag names a content, so that a browser that has it is sent nothing.
func entityTag(content []byte) string {
	sum := sha256.Sum256(content)
	return `"` + hex.EncodeToString(sum[:16]) + `"`
}
