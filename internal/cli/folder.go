package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// folder is a folder to be written, made whole in memory first.
type folder struct {
	names  []string
	texts  [][]byte
	failed error // the first

	private string // what lies in this folder of it is for its owner alone, "" nothing
}

// add makes a file of the folder; its name has slashes.
func (f *folder) add(name string, write func(io.Writer) error) {
	var text bytes.Buffer
	if err := write(&text); err != nil && f.failed == nil {
		f.failed = fmt.Errorf("%s: %w", name, err)
	}
	f.names, f.texts = append(f.names, name), append(f.texts, text.Bytes())
}

// join adds all files of another folder.
func (f *folder) join(other folder) {
	f.names, f.texts = append(f.names, other.names...), append(f.texts, other.texts...)
	if f.failed == nil {
		f.failed = other.failed
	}
}

// write puts the folder in place under a name that is new or an empty folder: all of it is first written
// beside its place and then renamed, so that a failure leaves nothing.
func (f *folder) write(path string) (err error) {
	if f.failed != nil {
		return f.failed
	}
	entries, err := os.ReadDir(path)
	switch {
	case err == nil && len(entries) > 0:
		return fmt.Errorf("--out %s: is not empty; name a new folder", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("--out %s: cannot be written: %w", path, cause(err))
	}
	part := beside(filepath.Clean(path), "part", 0)
	defer func() {
		if err != nil {
			os.RemoveAll(part) //nolint:errcheck // what is left over harms nobody
			err = fmt.Errorf("--out %s: cannot be written: %w", path, cause(err))
		}
	}()
	if err := os.MkdirAll(part, 0o755); err != nil { //nolint:gosec // what is private lies in a folder of its own
		return err
	}
	for i, name := range f.names {
		file := filepath.Join(part, filepath.FromSlash(name))
		var dir, mode fs.FileMode = 0o755, 0o644
		if f.private != "" && strings.HasPrefix(name, f.private+"/") {
			dir, mode = 0o700, 0o600
		}
		if err := os.MkdirAll(filepath.Dir(file), dir); err != nil {
			return err
		}
		if err := os.WriteFile(file, f.texts[i], mode); err != nil {
			return err
		}
	}
	if entries != nil || err == nil {
		os.Remove(path) //nolint:errcheck // an empty folder in the way; if it stays, renaming says so
	}
	return os.Rename(part, path)
}
