package class

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/web"
)

// Limits of a request, in time and size.
const (
	headerTimeout   = 5 * time.Second
	readTimeout     = time.Minute
	writeTimeout    = 2 * time.Minute
	idleTimeout     = 2 * time.Minute
	shutdownTimeout = 20 * time.Second
	headerLimit     = 16 << 10
	appendLimit     = 2 << 20
	uploadLimit     = 256 << 20
)

// site answers requests for a class.
type site struct {
	*Class
	log     *slog.Logger
	secure  bool // the cookie needs TLS
	clients *limits
	tokens  *limits
	signIns *limits
}

// Handler returns what answers requests for a class. page, when there is one, answers what is neither
// under /api nor under /instructor: the bench. secure says that the server speaks TLS. Checked by
// TestHTTP.
func (c *Class) Handler(page http.Handler, log *slog.Logger, secure bool) http.Handler {
	w := &site{Class: c, log: log, secure: secure, clients: newLimits(200, 600), tokens: newLimits(10, 60), signIns: newLimits(0.2, 10)}
	routes := http.NewServeMux()
	routes.HandleFunc("GET /api/status", w.candidate(w.status))
	routes.HandleFunc("GET /api/packet", w.candidate(w.packet))
	routes.HandleFunc("GET /api/log/{attempt}", w.candidate(w.readLog))
	routes.HandleFunc("POST /api/log/{attempt}", w.candidate(w.append))
	routes.HandleFunc("POST /api/submit/{attempt}", w.candidate(w.submit))
	routes.HandleFunc("POST /api/practice", w.candidate(w.practise))
	routes.HandleFunc("GET /api/comments", w.candidate(w.comments))
	routes.HandleFunc("POST /api/step/{attempt}", w.candidate(w.step))
	w.registerInstructor(routes)
	if page != nil {
		routes.Handle("GET /", page)
	}
	return http.NewCrossOriginProtection().Handler(w.guard(routes))
}

// guard sends the headers, holds the rate of one address and refuses paths that are not plain.
func (w *site) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		web.SetHeaders(out.Header(), web.OwnForms)
		out.Header().Set("Cache-Control", "no-store")
		escaped := strings.ToLower(r.URL.EscapedPath())
		switch {
		case !w.clients.allow(w.from(r)):
			tooMany(out)
		case strings.Contains(r.URL.Path, "..") || strings.ContainsAny(r.URL.Path, "\\\x00") || strings.Contains(escaped, "%2f"):
			http.Error(out, "this path is not plain", http.StatusBadRequest)
		default:
			next.ServeHTTP(out, r)
		}
	})
}

// from returns the address a request comes from: behind the class's proxy, the one the proxy names. Checked
// by TestProxy.
func (w *site) from(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	peer, err := netip.ParseAddr(host)
	if err != nil || !w.proxy.Contains(peer.Unmap()) {
		return host
	}
	list := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
	if named, err := netip.ParseAddr(strings.TrimSpace(list[len(list)-1])); err == nil {
		return named.Unmap().String()
	}
	return host
}

func tooMany(out http.ResponseWriter) {
	out.Header().Set("Retry-After", "5")
	http.Error(out, "too many requests; try again in a few seconds", http.StatusTooManyRequests)
}

// candidate lets through whoever has a token, as themselves.
func (w *site) candidate(next func(http.ResponseWriter, *http.Request, Candidate)) http.HandlerFunc {
	return func(out http.ResponseWriter, r *http.Request) {
		token, found := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		if !found || token == "" || len(token) > 200 {
			w.fail(out, ErrToken)
			return
		}
		who, err := w.ByToken(r.Context(), token)
		switch {
		case err != nil:
			w.fail(out, err)
		case !w.tokens.allow(who.Paper + "/" + who.ID):
			tooMany(out)
		default:
			next(out, r, who)
		}
	}
}

func (w *site) status(out http.ResponseWriter, r *http.Request, who Candidate) {
	status, err := w.Status(r.Context(), who)
	w.answer(out, status, err)
}

func (w *site) packet(out http.ResponseWriter, r *http.Request, who Candidate) {
	packet, err := w.Packet(r.Context(), who)
	w.send(out, packet, err)
}

func (w *site) readLog(out http.ResponseWriter, r *http.Request, who Candidate) {
	if who.Stepped {
		w.fail(out, ErrStepped)
		return
	}
	log, err := w.Log(r.Context(), who, r.PathValue("attempt"))
	w.answer(out, log, err)
}

// append keeps lines even when whoever sent them has gone.
func (w *site) append(out http.ResponseWriter, r *http.Request, who Candidate) {
	data, ok := w.body(out, r, appendLimit)
	if !ok {
		return
	}
	var a handin.Append
	if err := json.Unmarshal(data, &a); err != nil {
		http.Error(out, "the lines are not JSON as expected: "+err.Error(), http.StatusBadRequest)
		return
	}
	err := w.Append(context.WithoutCancel(r.Context()), who, r.PathValue("attempt"), a)
	w.done(out, err)
}

func (w *site) submit(out http.ResponseWriter, r *http.Request, who Candidate) {
	data, ok := w.body(out, r, exam.MostBytes)
	if !ok {
		return
	}
	receipt, err := w.Submit(context.WithoutCancel(r.Context()), who, r.PathValue("attempt"), data)
	w.send(out, receipt, err)
}

func (w *site) practise(out http.ResponseWriter, r *http.Request, who Candidate) {
	data, ok := w.body(out, r, attempt.MostBytes)
	if !ok {
		return
	}
	w.done(out, w.Practise(context.WithoutCancel(r.Context()), who, data))
}

// step steps a sitting even when whoever asked has gone: what was begun is ended.
func (w *site) step(out http.ResponseWriter, r *http.Request, who Candidate) {
	data, ok := w.body(out, r, lineLimit)
	if !ok {
		return
	}
	var asked handin.Step
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&asked); err != nil {
		http.Error(out, "the step is not JSON as expected: "+err.Error(), http.StatusBadRequest)
		return
	}
	seen, err := w.Step(context.WithoutCancel(r.Context()), who, r.PathValue("attempt"), asked)
	w.answer(out, seen, err)
}

// body reads what was sent, or answers why not.
func (w *site) body(out http.ResponseWriter, r *http.Request, limit int64) ([]byte, bool) {
	data, ok := web.Body(out, r, limit)
	if ok && len(data) == 0 {
		http.Error(out, "nothing was sent", http.StatusBadRequest)
		return nil, false
	}
	return data, ok
}

// fail turns an error into a status. What went wrong inside is logged, not told.
func (w *site) fail(out http.ResponseWriter, err error) {
	for _, known := range []struct {
		err    error
		status int
	}{
		{ErrToken, http.StatusUnauthorized}, {ErrSignIn, http.StatusUnauthorized}, {ErrClosed, http.StatusForbidden}, {ErrStepped, http.StatusForbidden},
		{ErrName, http.StatusBadRequest}, {ErrConflict, http.StatusConflict}, {ErrLimit, http.StatusRequestEntityTooLarge},
		{ErrNone, http.StatusNotFound},
	} {
		if errors.Is(err, known.err) {
			http.Error(out, err.Error(), known.status)
			return
		}
	}
	w.log.Error("request failed", "error", err)
	if noRoom(err) {
		http.Error(out, "the server has no room left; nothing was kept, keep your copy and try again", http.StatusInsufficientStorage)
		return
	}
	http.Error(out, "the server could not keep or read this; keep your copy and try again", http.StatusServiceUnavailable)
}

// noRoom reports whether the database says that the disk is full.
func noRoom(err error) bool {
	var postgres *pgconn.PgError
	if errors.As(err, &postgres) {
		return postgres.Code == "53100"
	}
	return strings.Contains(err.Error(), "database or disk is full")
}

func (w *site) done(out http.ResponseWriter, err error) {
	if err != nil {
		w.fail(out, err)
		return
	}
	out.WriteHeader(http.StatusNoContent)
}

func (w *site) answer(out http.ResponseWriter, value any, err error) {
	if err != nil {
		w.fail(out, err)
		return
	}
	data, err := json.Marshal(value)
	w.send(out, data, err)
}

func (w *site) send(out http.ResponseWriter, data []byte, err error) {
	if err != nil {
		w.fail(out, err)
		return
	}
	out.Header().Set("Content-Type", "application/json")
	out.Write(data) //nolint:errcheck // whoever asked has gone
}

// Serve answers requests on a listener until ctx ends, and judges what is handed in meanwhile; then it
// lets requests under way finish, for twenty seconds at most. cert and key name TLS files, "" none.
func (c *Class) Serve(ctx context.Context, l net.Listener, page http.Handler, log *slog.Logger, cert, key string) error {
	server := &http.Server{
		Handler:           c.Handler(page, log, cert != ""),
		ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout, IdleTimeout: idleTimeout,
		MaxHeaderBytes: headerLimit,
		ErrorLog:       slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	ended := make(chan error, 1)
	go func() {
		if cert != "" {
			ended <- server.ServeTLS(l, cert, key)
		} else {
			ended <- server.Serve(l)
		}
	}()
	judging := make(chan struct{})
	work, stop := context.WithCancel(ctx)
	go func() {
		defer close(judging)
		c.judgeUntil(work, log)
	}()
	defer func() { stop(); <-judging }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return errors.Join(err, server.Close())
	}
	return nil
}

// judgeUntil judges hand-ins as they come until ctx ends.
func (c *Class) judgeUntil(ctx context.Context, log *slog.Logger) {
	ticker := time.NewTicker(time.Second)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		if _, err := c.CollectOver(ctx); err != nil && ctx.Err() == nil {
			log.Error("collecting failed", "error", err)
		}
		for n := 1; n > 0 && ctx.Err() == nil; {
			var err error
			if n, err = c.JudgePending(ctx, 1); err != nil {
				if ctx.Err() == nil {
					log.Error("judging failed", "error", err)
				}
				break
			}
		}
	}
}
