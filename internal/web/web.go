// Package web holds what every server of this program does alike with a request: the headers that shut
// its answers off from other sites, and the reading of a body within bounds.
//
// It knows no route and keeps nothing. Begin reading at SetHeaders.
package web

import (
	"errors"
	"fmt"
	"io"
	"net/http"
)

// headers are sent with every answer: the page may load, and connect to, nothing but its own server, and
// nothing foreign may frame, open or read it. img-src and media-src hold what a program draws itself.
var headers = [...][2]string{
	{"X-Content-Type-Options", "nosniff"},
	{"X-Frame-Options", "DENY"},
	{"Referrer-Policy", "no-referrer"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Cross-Origin-Embedder-Policy", "require-corp"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
	{"Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()"},
}

// Forms says where a page may send its forms, as the form-action of its content policy.
type Forms string

// A server without forms allows none; one with a sign-in takes its own.
const (
	NoForms  Forms = "'none'"
	OwnForms Forms = "'self'"
)

// SetHeaders sets the headers of an answer. Checked by the header tests of package server and by TestHTTP of package class.
func SetHeaders(to http.Header, forms Forms) {
	to.Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "+
		"img-src 'self' data: blob:; font-src 'self'; media-src 'self' blob:; connect-src 'self'; "+
		"base-uri 'none'; form-action "+string(forms)+"; frame-ancestors 'none'")
	for _, h := range headers {
		to.Set(h[0], h[1])
	}
}

// Body reads what was sent, at most limit bytes, or answers why not and returns false.
func Body(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, bool) {
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, limit))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		http.Error(w, fmt.Sprintf("more than %d bytes were sent", limit), http.StatusRequestEntityTooLarge)
	case err != nil:
		http.Error(w, "what was sent did not arrive whole", http.StatusBadRequest)
	}
	return data, err == nil
}
