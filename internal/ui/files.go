package ui

import (
	"io"
	"io/fs"

	"github.com/hajimehoshi/ebiten/v2"
)

// MostFile is the largest file that is taken, in bytes: an exam paper with its teeth is the largest.
const MostFile = 32 << 20

// Give hands a file to the bench, as one that was dropped on it. It may be called from any goroutine.
func (g *Game) Give(name string, data []byte) { g.given <- File{name, data} }

// readFiles takes the files that were dropped in this frame, and those that have been read.
func (g *Game) readFiles() {
	if dropped := ebiten.DroppedFiles(); dropped != nil {
		go g.readAll(dropped) // in the page reading waits for the browser
	}
	select {
	case f := <-g.given:
		g.session.Take(f.Name, f.Data)
	default:
	}
}

// readAll reads dropped files one after the other; what cannot be read is told as an empty one.
func (g *Game) readAll(dropped fs.FS) {
	entries, err := fs.ReadDir(dropped, ".")
	if err != nil {
		return
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		var data []byte
		if f, err := dropped.Open(e.Name()); err == nil {
			data, _ = io.ReadAll(io.LimitReader(f, MostFile)) // told as an empty one
			f.Close()                                         //nolint:errcheck // was only read
		}
		g.Give(e.Name(), data)
	}
}
