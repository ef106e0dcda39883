package exam

import (
	"crypto/ed25519"
	"os"
)

// FileOn returns a log on a file that is open.
func FileOn(f *os.File) *File { return &File{file: f, path: f.Name()} }

// Canonical is canonical.
func Canonical(v any) ([]byte, error) { return canonical(v) }

// Resigned returns an export as whoever holds the key would sign it.
func (e Export) Resigned(key ed25519.PrivateKey) ([]byte, error) { return e.encode(key) }

// Rechained returns an export whose lines are numbered and chained anew.
func (e Export) Rechained() Export {
	hash := first(e.Packet, e.Attempt)
	e.Log = append([]Event{}, e.Log...)
	for i := range e.Log {
		e.Log[i].Index = i
		hash, _ = link(hash, e.Log[i])
		e.Log[i].Hash = hash
	}
	return e
}
