package main

import (
	"context"
	"encoding/json"

	"tugback/internal/bench"
	"tugback/internal/store"
)

// setComfort takes over the settings of comfort of the last time; what cannot be understood is left.
func setComfort(ctx context.Context, session *bench.Session, practice *store.Store) error {
	data, err := practice.Comfort(ctx)
	var comfort bench.Settings
	if err == nil && json.Unmarshal(data, &comfort) == nil {
		session.SetComfort(comfort)
	}
	return err
}

// takeGiven opens the files that the program was started with, and tells when it cannot.
func takeGiven(session *bench.Session, table desk) {
	first, err := given(table, named())
	if err != nil {
		session.Tell(err.Error())
	}
	for _, f := range first {
		session.Take(f.Name, f.Data)
	}
}
