package main

import (
	"context"
	"encoding/json"

	"tugback/internal/bench"
	"tugback/internal/desk"
	"tugback/internal/store"
	"tugback/internal/ui"
)

// setComfort takes over the settings of comfort of the last time, or, where none are kept or what is kept cannot
// be understood, those of the system.
func setComfort(ctx context.Context, session *bench.Session, practice *store.Store) error {
	data, err := practice.Comfort(ctx)
	var comfort bench.Settings
	if err != nil || json.Unmarshal(data, &comfort) != nil {
		comfort = ownComfort(session.Settings())
	}
	session.SetComfort(comfort)
	return err
}

// takeGiven opens the files that the program was started with, and tells when it cannot.
func takeGiven(session *bench.Session, table desk.Desk) {
	first, err := given(table)
	if err != nil {
		session.Warn(err.Error())
	}
	for _, f := range first {
		session.Take(f.Name, f.Data)
	}
}

// given returns what the bench is begun with: the paper of the class server, and the files it was started with.
func given(d desk.Desk) ([]ui.File, error) {
	files, err := named()
	if err != nil || !d.Remote() {
		return files, err
	}
	paper, err := d.Fetch()
	if err != nil {
		return files, err
	}
	return append([]ui.File{{Name: "paper.json", Data: paper}}, files...), nil
}
