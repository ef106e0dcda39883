package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"strconv"

	"tugback/internal/attempt"
)

// Limits of what is sent, in bytes.
const (
	recordLimit  = 8 << 20 // as in attempt.Decode
	currentLimit = 1 << 20
	quizLimit    = 8 << 20
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
	// SaveCurrent keeps the run under way in place of the one before; nil: there is none.
	SaveCurrent(ctx context.Context, data []byte) error
	// Current returns the run under way, nil when there is none.
	Current(ctx context.Context) ([]byte, error)
	// SaveQuiz keeps what was practised in the quiz in place of what was kept before.
	SaveQuiz(ctx context.Context, data []byte) error
	// Quiz returns what was practised in the quiz, nil when there is nothing.
	Quiz(ctx context.Context) ([]byte, error)
}

// practice answers the requests under /practice.
type practice[E any] struct{ keep Practice[E] }

func (p practice[E]) register(routes *http.ServeMux) {
	routes.HandleFunc("GET /practice", p.list)
	routes.HandleFunc("POST /practice", p.add)
	routes.HandleFunc("GET /practice/{id}", p.record)
	routes.HandleFunc("GET /practice/quiz", p.quiz)
	routes.HandleFunc("PUT /practice/quiz", p.saveQuiz)
	routes.HandleFunc("GET /practice/current", p.current)
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
	data, ok := body(w, r, recordLimit)
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

func (p practice[E]) current(w http.ResponseWriter, r *http.Request) {
	data, err := p.keep.Current(r.Context())
	switch {
	case err != nil:
		fail(w, err)
	case len(data) == 0:
		noContent(w)
	default:
		send(w, http.StatusOK, data)
	}
}

func (p practice[E]) saveCurrent(w http.ResponseWriter, r *http.Request) {
	data, ok := body(w, r, currentLimit)
	if !ok {
		return
	}
	if !json.Valid(data) {
		http.Error(w, "the run under way is not JSON", http.StatusBadRequest)
		return
	}
	p.store(w, r, data)
}

func (p practice[E]) quiz(w http.ResponseWriter, r *http.Request) {
	data, err := p.keep.Quiz(r.Context())
	switch {
	case err != nil:
		fail(w, err)
	case len(data) == 0:
		noContent(w)
	default:
		send(w, http.StatusOK, data)
	}
}

func (p practice[E]) saveQuiz(w http.ResponseWriter, r *http.Request) {
	data, ok := body(w, r, quizLimit)
	if !ok {
		return
	}
	if !json.Valid(data) {
		http.Error(w, "the practice of the quiz is not JSON", http.StatusBadRequest)
		return
	}
	if err := p.keep.SaveQuiz(context.WithoutCancel(r.Context()), data); err != nil {
		fail(w, err)
		return
	}
	noContent(w)
}

func (p practice[E]) clearCurrent(w http.ResponseWriter, r *http.Request) { p.store(w, r, nil) }

// store keeps the run under way, even when whoever sent it has gone: a tab is closed right after its
// last action.
func (p practice[E]) store(w http.ResponseWriter, r *http.Request, data []byte) {
	if err := p.keep.SaveCurrent(context.WithoutCancel(r.Context()), data); err != nil {
		fail(w, err)
		return
	}
	noContent(w)
}

// body reads what was sent, or answers why not and returns false.
func body(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, bool) {
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

// fail answers that something could not be kept or read.
func fail(w http.ResponseWriter, err error) {
	if errors.Is(err, fs.ErrNotExist) {
		http.Error(w, err.Error(), http.StatusNotFound)
		return
	}
	http.Error(w, err.Error(), http.StatusInternalServerError)
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
