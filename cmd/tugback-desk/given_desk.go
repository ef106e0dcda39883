//go:build !js

package main

import (
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

// named returns the files the window was started with.
func named() ([]ui.File, error) {
	var out []ui.File
	for _, name := range flag.Args() {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		data, err := io.ReadAll(io.LimitReader(f, ui.MostFile+1))
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		if len(data) > ui.MostFile {
			return nil, fmt.Errorf("%s has more than %d bytes", name, ui.MostFile)
		}
		out = append(out, ui.File{Name: filepath.Base(name), Data: data})
	}
	return out, nil
}
