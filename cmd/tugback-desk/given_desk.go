//go:build !js

package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"tugback/internal/desk"
	"tugback/internal/ui"
)

// openDesk returns where examinations are sat: beside the practice, and with a class server when one is named.
func openDesk(practice string) desk.Desk {
	return desk.NewFolder(filepath.Join(filepath.Dir(practice), "exams"), classAt, classToken)
}

// picker is nil: a window has no dialog of its own; files are dropped on it or named when it is started.
func picker(chan<- ui.File) func() { return nil }

// mostNamed is the largest file that is read, in bytes.
const mostNamed = 32 << 20

// named returns the files the window was started with.
func named() ([]ui.File, error) {
	var out []ui.File
	for _, name := range flag.Args() {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		data, err := io.ReadAll(io.LimitReader(f, mostNamed+1))
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		if len(data) > mostNamed {
			return nil, fmt.Errorf("%s has more than %d bytes", name, mostNamed)
		}
		if !json.Valid(data) && filepath.Ext(name) != ".csv" {
			return nil, fmt.Errorf("%s is neither a paper or record (JSON) nor comments (.csv)", name)
		}
		out = append(out, ui.File{Name: filepath.Base(name), Data: data})
	}
	return out, nil
}
