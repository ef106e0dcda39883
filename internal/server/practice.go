package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/web"
)

// Limits of what is sent, in bytes.
const (
	currentLimit = 1 << 20
	quizLimit    = 8 << 20
	comfortLimit = 4 << 10
	holderLimit  = 64
)

// Practice is where what a student does is kept; package store has one. E is what its list says of a
// record, which the server only turns into JSON. The methods are called from several goroutines.
type Practice[E any] interface {
	// Add keeps a record and returns its number; added is false when it was kept before.
	Add(ctx context.Context, data []byte) (id int64, added bool, err error)
	// List returns the kept records in the order in which they came.
	List(ctx context.Context) ([]E, error)
	// Record returns a record byte for byte; the error is fs.ErrNotExist when there is none.
	Record(ctx context.Context, id int64) ([]byte, error)
	// Take makes a tab, by the name it made up, the one that goes on with the run under way.
	Take(ctx context.Context, holder string) error
	// SaveCurrentFor keeps the run under way in place of the one before, nil: there is none, for a tab that
	// took it up, "" for one that did not. The error is fs.ErrPermission when another has taken it up since.
	SaveCurrentFor(ctx context.Context, holder string, data []byte) error
	// Current returns the run under way, nil when there is none.
	Current(ctx context.Context) ([]byte, error)
	// SaveQuiz keeps what was practised in the quiz in place of what was kept before.
	SaveQuiz(ctx context.Context, data []byte) error
	// Quiz returns what was practised in the quiz, nil when there is nothing.
	Quiz(ctx context.Context) ([]byte, error)
	// SaveComfort keeps the settings of comfort in place of those before.
	SaveComfort(ctx context.Context, data []byte) error
	// Comfort returns the settings of comfort, nil when none were made.
	Comfort(ctx context.Context) ([]byte, error)
}

// holderHeader is where a tab says by which name it took the run under way up.
const holderHeader = "Tugback-Holder"

// practice answers the requests under /practice.
type practice[E any] struct{ keep Practice[E] }

func (p practice[E]) register(routes *http.ServeMux) {
	routes.HandleFunc("GET /practice", p.list)
	routes.HandleFunc("POST /practice", p.add)
	routes.HandleFunc("GET /practice/{id}", p.record)
	routes.HandleFunc("GET /practice/quiz", give(p.keep.Quiz))
	routes.HandleFunc("PUT /practice/quiz", take("the practice of the quiz", quizLimit, p.keep.SaveQuiz))
	routes.HandleFunc("GET /practice/comfort", give(p.keep.Comfort))
	routes.HandleFunc("PUT /practice/comfort", take("the settings of comfort", comfortLimit, p.keep.SaveComfort))
	routes.HandleFunc("PUT /practice/holder", take("the holder of the run", holderLimit, p.hold))
	routes.HandleFunc("GET /practice/current", give(p.keep.Current))
	routes.HandleFunc("PUT /practice/current", p.saveCurrent)
	routes.HandleFunc("DELETE /practice/current", p.clearCurrent)
}

func (p practice[E]) list(w http.ResponseWriter, r *http.Request) {
	entries, err := p.keep.List(r.Context())
	if err != nil {
		fail(w, err)
		return
	}
	if entries == nil {
		entries = []E{}
	}
	answer(w, http.StatusOK, entries)
}

func (p practice[E]) add(w http.ResponseWriter, r *http.Request) {
	data, ok := web.Body(w, r, attempt.MostBytes)
	if !ok {
		return
	}
	if _, err := attempt.Decode(data); err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	id, added, err := p.keep.Add(context.WithoutCancel(r.Context()), data)
	if err != nil {
		fail(w, err)
		return
	}
	status := http.StatusOK
	if added {
		status = http.StatusCreated
		w.Header().Set("Location", fmt.Sprintf("/practice/%d", id))
	}
	answer(w, status, struct {
		ID int64 `json:"id"`
	}{id})
}

func (p practice[E]) record(w http.ResponseWriter, r *http.Request) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		http.Error(w, "a record has a whole number", http.StatusNotFound)
		return
	}
	data, err := p.keep.Record(r.Context(), id)
	if err != nil {
		fail(w, err)
		return
	}
	send(w, http.StatusOK, data)
}

// give sends a text that is kept, or that there is none.
func give(read func(context.Context) ([]byte, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		data, err := read(r.Context())
		switch {
		case err != nil:
			fail(w, err)
		case len(data) == 0:
			noContent(w)
		default:
			send(w, http.StatusOK, data)
		}
	}
}

// take keeps a text that replaces another, even when whoever sent it has gone: a tab is closed right after
// its last action. what names it.
func take(what string, limit int64, keep func(context.Context, []byte) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		data, ok := web.Body(w, r, limit)
		switch {
		case !ok:
		case !json.Valid(data):
			http.Error(w, what+" is not JSON", http.StatusBadRequest)
		default:
			done(w, keep(context.WithoutCancel(r.Context()), data))
		}
	}
}

func (p practice[E]) clearCurrent(w http.ResponseWriter, r *http.Request) {
	done(w, p.keep.SaveCurrentFor(context.WithoutCancel(r.Context()), r.Header.Get(holderHeader), nil))
}

func (p practice[E]) saveCurrent(w http.ResponseWriter, r *http.Request) {
	take("the run under way", currentLimit, func(ctx context.Context, data []byte) error {
		return p.keep.SaveCurrentFor(ctx, r.Header.Get(holderHeader), data)
	})(w, r)
}

// hold takes the run under way up for a tab, by its name in JSON.
func (p practice[E]) hold(ctx context.Context, data []byte) error {
	var holder string
	if err := json.Unmarshal(data, &holder); err != nil {
		return fmt.Errorf("the holder of the run is no text: %w", err)
	}
	return p.keep.Take(ctx, holder)
}

// done answers that something was kept, or why not.
func done(w http.ResponseWriter, err error) {
	if err != nil {
		fail(w, err)
		return
	}
	noContent(w)
}

// fail answers that something could not be kept or read.
func fail(w http.ResponseWriter, err error) {
	status := http.StatusInternalServerError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		status = http.StatusNotFound
	case errors.Is(err, fs.ErrPermission):
		status = http.StatusConflict
	}
	http.Error(w, err.Error(), status)
}

// answer sends a value as JSON.
func answer(w http.ResponseWriter, status int, value any) {
	data, err := json.Marshal(value)
	if err != nil {
		fail(w, err)
		return
	}
	send(w, status, data)
}

// send sends a text that is JSON already. Practice changes at any moment, so none of it may be stored.
func send(w http.ResponseWriter, status int, data []byte) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	w.WriteHeader(status)
	w.Write(data) //nolint:errcheck // whoever asked has gone
}

func noContent(w http.ResponseWriter) {
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusNoContent)
}
