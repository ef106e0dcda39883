package server

import (
	"net"
	"net/http"

	"tugback/internal/web"
)

// loopback is the address of this computer as seen by itself.
const loopback = "127.0.0.1"

// guard lets through what is addressed to addr by name, and changes only from the page itself.
// Checked by TestHeaders, TestForeignHost and TestForeignOrigin.
func guard(addr string, next http.Handler) http.Handler {
	_, port, err := net.SplitHostPort(addr)
	if err != nil {
		panic("server: Handler for an address without port")
	}
	hosts := map[string]bool{net.JoinHostPort(loopback, port): true, net.JoinHostPort("localhost", port): true}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		web.SetHeaders(w.Header(), web.NoForms)
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
