// Package server brings the bench into the browser on the same computer: it serves the page with its
// program, and keeps what the page sends in the practice it is given.
//
// The main idea: a plain http.Handler behind a guard. It listens on 127.0.0.1 only, answers only to
// addresses that are its own (so that a foreign name that points here reaches nothing), takes changes
// only from its own page, and allows the page nothing but what it serves itself. The program of the
// page is either inside (build tag release) or built by the Go toolchain on this computer.
//
//	GET  /                       the page, /page.js, /page.css, /icon.svg
//	GET  /tugback.wasm           its program; /wasm_exec.js starts it
//	GET  /practice               the list of kept records, JSON: an array of store.Entry
//	POST /practice               keep a record; 201 with its number, {"id":1}, 200 when it was kept before
//	GET  /practice/{id}          one record, byte for byte
//	GET  /practice/current       the run under way; 204 when there is none
//	PUT  /practice/current       keep the run under way, JSON of at most 1 MB; 204, or 409 when another tab
//	                             than that of the header Tugback-Holder has taken it up
//	DELETE /practice/current     no run is under way any more; likewise
//	PUT  /practice/holder        a tab takes the run under way up, by a name it made up, JSON; 204
//	GET  /practice/comfort       the settings of comfort; 204 when none were made
//	PUT  /practice/comfort       keep them, JSON; 204
//
// Faults are answered with a status and a line of plain text. The package knows no database: who starts
// it hands it a Practice. Begin reading at Handler, then Serve.
package server

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"time"
)

// Limits of time and size. The page is small and near; what takes longer is no page of ours.
const (
	headerTimeout   = 5 * time.Second
	readTimeout     = 30 * time.Second
	writeTimeout    = 60 * time.Second
	idleTimeout     = 2 * time.Minute
	shutdownTimeout = 3 * time.Second
	headerLimit     = 16 << 10 // bytes
)

// ErrAddress is in the error of Listen when the address itself is at fault.
var ErrAddress = errors.New("expected " + loopback + ":PORT, since the bench is served on this computer only")

// Listen opens the port on which the bench is served. addr is HOST:PORT, :PORT or "", where the host
// must be this computer's own address and port 0 or "" means any free one. Checked by TestListen.
func Listen(addr string) (net.Listener, error) {
	host, port := "", "0"
	if addr != "" {
		var err error
		if host, port, err = net.SplitHostPort(addr); err != nil {
			return nil, fmt.Errorf("address %q: %w", addr, ErrAddress)
		}
	}
	_, err := strconv.ParseUint(port, 10, 16)
	if own := host == "" || host == "localhost" || host == loopback; !own || err != nil {
		return nil, fmt.Errorf("address %q: %w", addr, ErrAddress)
	}
	listener, err := net.Listen("tcp4", net.JoinHostPort(loopback, port))
	if err != nil {
		return nil, fmt.Errorf("address %q: %w", addr, err)
	}
	return listener, nil
}

// URL returns the address of the page on a listener.
func URL(l net.Listener) string { return "http://" + l.Addr().String() + "/" }

// Serve answers requests on a listener until ctx ends, then lets those under way finish, for three
// seconds at most, so that a change that has arrived is kept. The listener is closed in any case.
// Checked by TestServeEndsGracefully.
func Serve[E any](ctx context.Context, l net.Listener, page *Page, keep Practice[E]) error {
	return serve(ctx, l, Handler(l.Addr().String(), page, keep))
}

// ServeOther is Serve for another page than the bench's, behind the same guard.
func ServeOther(ctx context.Context, l net.Listener, h http.Handler) error {
	return serve(ctx, l, guard(l.Addr().String(), h))
}

func serve(ctx context.Context, l net.Listener, h http.Handler) error {
	server := &http.Server{
		Handler:           h,
		ReadHeaderTimeout: headerTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		MaxHeaderBytes:    headerLimit,
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve the page: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return errors.Join(fmt.Errorf("stop serving the page: %w", err), server.Close())
	}
	return nil
}

// Handler returns what answers the requests sent to addr, the HOST:PORT on which it listens.
func Handler[E any](addr string, page *Page, keep Practice[E]) http.Handler {
	routes := http.NewServeMux()
	page.register(routes)
	practice[E]{keep}.register(routes)
	return guard(addr, routes)
}
