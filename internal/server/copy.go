package server

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Write writes the page as files into a new or empty folder, for a web space: there it needs no server of
// ours, keeps the run under way in the browser and offers records as downloads. The program stays packed,
// since most web spaces pack nothing themselves, and the page unpacks it: tugback.wasm.br where the browser
// can, which only recent ones can, else tugback.wasm.gz.
// After an error there is no folder, or an empty one as before. Checked by TestWritePage.
func (p *Page) Write(folder string) error {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("write the page: %w", err)
	}
	if len(entries) > 0 {
		return fmt.Errorf("write the page: the folder %s is not empty", folder)
	}
	if err := os.MkdirAll(filepath.Dir(filepath.Clean(folder)), 0o777); err != nil { //nolint:gosec // the umask decides, as for any folder a person makes
		return fmt.Errorf("write the page: %w", err)
	}
	part, err := os.MkdirTemp(filepath.Dir(filepath.Clean(folder)), ".page-")
	if err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	if err := p.fill(part, folder); err != nil {
		return errors.Join(fmt.Errorf("write the page: %w", err), os.RemoveAll(part))
	}
	return nil
}

// fill writes the files into part and puts it in the place of folder.
func (p *Page) fill(part, folder string) error {
	files := pageFiles()
	index := files["index.html"]
	served, packed := []byte(`data-program="tugback.wasm"`), []byte(`data-program="`+programFile+`" data-smaller="`+smallerFile+`"`)
	if bytes.Count(index, served) != 1 {
		panic("server: the page does not name its program once")
	}
	files["index.html"] = bytes.Replace(index, served, packed, 1)
	files[programFile], files[smallerFile], files[starterFile] = p.program.Gzip, p.program.Brotli, p.starter
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(part, name), content, 0o644); err != nil { //nolint:gosec // a web server reads it
			return err
		}
	}
	if err := os.Chmod(part, 0o755); err != nil { //nolint:gosec // a web server reads it
		return err
	}
	if err := os.Remove(folder); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(part, folder)
}
