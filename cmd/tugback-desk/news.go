package main

import (
	"errors"
	"fmt"
	"os"

	"tugback/internal/bench"
	"tugback/internal/desk"
	"tugback/internal/store"
)

// news is what happens outside while the bench runs, each as what it does to the session.
type news chan func(*bench.Session)

// tell passes on what happened; an error is printed too.
func (n news) tell(err error, happened func(*bench.Session)) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "tugback-desk:", err)
	}
	select {
	case n <- happened:
	default: // nobody draws any more
	}
}

// unkept returns what a session is told of practice that could not be kept; nil: now it is.
func unkept(err error) func(*bench.Session) {
	switch {
	case errors.Is(err, store.ErrElsewhere):
		return (*bench.Session).Elsewhere
	case err == nil:
		return func(s *bench.Session) { s.Unkept("") }
	}
	return func(s *bench.Session) { s.Unkept(err.Error()) }
}

// unsent returns what a session is told of lines that the class server refuses.
func unsent(err error) func(*bench.Session) {
	return func(s *bench.Session) { s.Unsent(err.Error()) }
}

// takeComments shows what instructors have said at the class server since.
func takeComments(table desk.Desk, outside news) {
	if !table.Remote() {
		return
	}
	said, err := table.Comments()
	outside.tell(err, func(s *bench.Session) {
		if err == nil {
			s.TakeComments(said)
		}
	})
}
