package server

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Names in a folder of a kept page.
const (
	programFile = "tugback.wasm.gz"
	smallerFile = "tugback.wasm.br"
	starterFile = "wasm_exec.js"
)

// read returns a kept page; an error says that there is none, or that it is damaged.
func read(folder string) (*Page, error) {
	packed, err := os.ReadFile(filepath.Join(folder, programFile))
	if err != nil {
		return nil, err
	}
	small, err := os.ReadFile(filepath.Join(folder, smallerFile))
	if err != nil {
		return nil, err
	}
	starter, err := os.ReadFile(filepath.Join(folder, starterFile))
	if err != nil {
		return nil, err
	}
	now := time.Now()
	os.Chtimes(folder, now, now) //nolint:errcheck // only the order in which pages are forgotten
	return NewPage(Packed{Brotli: small, Gzip: packed}, starter)
}

// write keeps a page: whole under its name, or not at all.
func write(folder string, packed Packed, starter []byte) error {
	if err := os.MkdirAll(filepath.Dir(folder), 0o700); err != nil {
		return err
	}
	part, err := os.MkdirTemp(filepath.Dir(folder), "part-")
	if err != nil {
		return err
	}
	err = errors.Join(
		os.WriteFile(filepath.Join(part, programFile), packed.Gzip, 0o600),
		os.WriteFile(filepath.Join(part, smallerFile), packed.Brotli, 0o600),
		os.WriteFile(filepath.Join(part, starterFile), starter, 0o600))
	if err == nil {
		err = errors.Join(os.RemoveAll(folder), os.Rename(part, folder))
	}
	if err != nil {
		os.RemoveAll(part) //nolint:errcheck // the first fault is the one to tell
	}
	return err
}

// forget removes from the cache all but the pages used last.
func forget(cache string) {
	folders, err := filepath.Glob(filepath.Join(cache, "page-*"))
	if err != nil {
		return
	}
	used := func(folder string) int64 {
		info, err := os.Stat(folder)
		if err != nil {
			return 0
		}
		return info.ModTime().UnixNano()
	}
	slices.SortFunc(folders, func(a, b string) int { return cmp.Compare(used(b), used(a)) })
	for _, folder := range folders[min(kept, len(folders)):] {
		os.RemoveAll(folder) //nolint:errcheck // it is tried again the next time
	}
}
