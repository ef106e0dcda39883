package server

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
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
	program []byte // gzip
	length  int    // of the program unpacked, bytes
	starter []byte // wasm_exec.js of the Go version that built the program
}

// NewPage returns a page of a program, packed with gzip, and the script wasm_exec.js of the Go version
// that built it. The error says that the program is not whole or not WebAssembly.
func NewPage(packed, starter []byte) (*Page, error) {
	program, err := unpack(packed)
	if err != nil {
		return nil, fmt.Errorf("the page's program is damaged: %w", err)
	}
	if !bytes.HasPrefix(program, []byte("\x00asm")) {
		return nil, fmt.Errorf("the page's program is not WebAssembly")
	}
	return &Page{program: packed, length: len(program), starter: starter}, nil
}

// programLimit is far above the size of any program of a page, in bytes.
const programLimit = 256 << 20

// unpack returns what is in a gzip file.
func unpack(packed []byte) ([]byte, error) {
	reader, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(reader, programLimit))
}

// pack returns data as a gzip file, as small as gzip makes it, the same bytes every time.
func pack(data []byte) ([]byte, error) {
	var packed bytes.Buffer
	writer, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := writer.Write(data); err != nil {
		return nil, err
	}
	if err := writer.Close(); err != nil {
		return nil, err
	}
	return packed.Bytes(), nil
}

// Size returns the bytes of the program as sent, packed, and unpacked.
func (p *Page) Size() (packed, unpacked int) { return len(p.program), p.length }

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

// programHandler sends the program packed; whoever does not unpack gets it unpacked. Tugback-Length is
// its length unpacked, by which the page shows how far the loading is.
func (p *Page) programHandler() http.Handler {
	packed := fileHandler("tugback.wasm", p.program)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Vary", "Accept-Encoding")
		w.Header().Set("Tugback-Length", strconv.Itoa(p.length))
		if acceptsGzip(r) {
			w.Header().Set("Content-Encoding", "gzip")
			w.Header().Set("Content-Length", strconv.Itoa(len(p.program)))
			packed.ServeHTTP(w, r)
			return
		}
		program, err := unpack(p.program)
		if err != nil {
			panic("server: a program that was whole is damaged: " + err.Error())
		}
		fileHandler("tugback.wasm", program).ServeHTTP(w, r)
	})
}

// acceptsGzip reports whether whoever asks unpacks gzip.
func acceptsGzip(r *http.Request) bool {
	for part := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.EqualFold(name, "gzip") && strings.ReplaceAll(weight, " ", "") != "q=0" {
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
