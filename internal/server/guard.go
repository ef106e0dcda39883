package server

import (
	"net"
	"net/http"
)

// loopback is the address of this computer as seen by itself.
const loopback = "127.0.0.1"

// headers are sent with every answer: the page may load, and connect to, nothing but this server, and
// nothing foreign may frame, open or read it. img-src and media-src hold what a program draws itself.
var headers = [...][2]string{
	{"Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; " +
		"img-src 'self' data: blob:; font-src 'self'; media-src 'self' blob:; connect-src 'self'; " +
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
	{"X-Content-Type-Options", "nosniff"},
	{"X-Frame-Options", "DENY"},
	{"Referrer-Policy", "no-referrer"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Cross-Origin-Embedder-Policy", "require-corp"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
	{"Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()"},
}

// guard lets through what is addressed to addr by name, and changes only from the page itself.
// Checked by TestHeaders, TestForeignHost and TestForeignOrigin.
func guard(addr string, next http.Handler) http.Handler {
	_, port, err := net.SplitHostPort(addr)
	if err != nil {
		panic("server: Handler for an address without port")
	}
	hosts := map[string]bool{net.JoinHostPort(loopback, port): true, net.JoinHostPort("localhost", port): true}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, h := range headers {
			w.Header().Set(h[0], h[1])
		}
		switch {
		case !hosts[r.Host]:
			http.Error(w, "this server answers to its own address only", http.StatusMisdirectedRequest)
		case changes(r) && r.Header.Get("Origin") != "http://"+r.Host:
			http.Error(w, "changes are taken from the page of this server only", http.StatusForbidden)
		case r.Header.Get("Sec-Fetch-Site") == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate":
			http.Error(w, "another site may not read from this server", http.StatusForbidden)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// changes reports whether a request may change something.
func changes(r *http.Request) bool { return r.Method != http.MethodGet && r.Method != http.MethodHead }
