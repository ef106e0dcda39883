package author

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tugback/internal/scenario"
)

// textLimit is the largest file that is opened, in bytes; the readers of package scenario take less.
const textLimit = 2 << 20

// planID stands for the plan in what the page asks; every other id is a path in the case's folder.
const planID = "plan:"

// opened is the case as it is open at the moment.
type opened struct{ folder, name, fresh, plan string }

func (s *Site) opened() opened {
	s.mu.Lock()
	defer s.mu.Unlock()
	return opened{s.folder, s.name, s.fresh, s.plan}
}

// prefix leads from the case's folder to the names that people are shown.
func (o opened) prefix() string {
	if o.folder == "." {
		return ""
	}
	return filepath.ToSlash(o.folder) + "/"
}

// place returns the folder of a file and its path there.
func (o opened) place(id string) (folder, name string, err error) {
	switch {
	case id == planID && o.plan != "":
		return filepath.Dir(o.plan), filepath.Base(o.plan), nil
	case o.name != "" && id == o.name:
		return o.folder, id, nil
	case o.name != "" && fs.ValidPath(id) && path.Ext(id) == ".yaml":
		return o.folder, id, nil
	}
	return "", "", fmt.Errorf("%q is no file of this case", id)
}

// digest names a text; of a file that is not there it is empty.
func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// read returns a file as it stands on the disk, with an empty digest when it is not there. A new case that
// was never saved is its starter.
func (o opened) read(id string) (text []byte, sum string, err error) {
	folder, name, err := o.place(id)
	if err != nil {
		return nil, "", err
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, "", fmt.Errorf("%s: %s", folder, reason(err))
	}
	defer root.Close() //nolint:errcheck // only read
	text, err = readIn(root, name)
	if errors.Is(err, fs.ErrNotExist) && id == o.name && o.fresh != "" {
		return []byte(o.fresh), "", nil
	}
	if err != nil {
		return nil, "", fmt.Errorf("%s: %w", name, err)
	}
	return text, digest(text), nil
}

func readIn(root *os.Root, name string) ([]byte, error) {
	file, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close() //nolint:errcheck // only read
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, errors.New("is no file")
	}
	text, err := io.ReadAll(io.LimitReader(file, textLimit+1))
	if err == nil && len(text) > textLimit {
		err = errors.New("is too large")
	}
	return text, err
}

// conflict is why a file was not written: it changed since the page read it.
type conflict struct {
	text []byte
	sum  string
}

// Error says what happened.
func (c *conflict) Error() string { return "the file was changed by someone else meanwhile" }

// save writes a file whole or not at all. base is the digest of the file as the page read it; when the file
// has another one now, it is not written and the error is a conflict. Checked by TestSave.
func (s *Site) save(id, base string, text []byte) (sum string, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	o := opened{s.folder, s.name, "", s.plan}
	folder, name, err := o.place(id)
	if err != nil {
		return "", err
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return "", fmt.Errorf("%s: %s", folder, reason(err))
	}
	defer root.Close() //nolint:errcheck // nothing is written through it any more
	mode := fs.FileMode(0o666)
	now, err := readIn(root, name)
	switch {
	case err == nil && digest(now) != base:
		return "", &conflict{now, digest(now)}
	case err == nil:
		if info, err := root.Stat(name); err == nil {
			mode = info.Mode().Perm()
		}
	case !errors.Is(err, fs.ErrNotExist):
		return "", fmt.Errorf("%s: %s", name, reason(err))
	case base != "":
		return "", &conflict{nil, ""}
	}
	if err := writeWhole(root, name, mode, text); err != nil {
		return "", fmt.Errorf("%s cannot be written: %s", name, reason(err))
	}
	if id == s.name {
		s.fresh = ""
	}
	return digest(text), nil
}

// writeWhole writes a file under another name beside it and puts it in place.
func writeWhole(root *os.Root, name string, mode fs.FileMode, text []byte) error {
	part := path.Join(path.Dir(name), fmt.Sprintf(".%s.%d.part", path.Base(name), os.Getpid()))
	file, err := root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	err = errors.Join(err, file.Sync(), file.Close())
	if err == nil {
		err = root.Rename(part, name)
	}
	if err != nil {
		root.Remove(part) //nolint:errcheck // the first fault is the one to tell
	}
	return err
}

// borrow puts a file that comes with the program into the case's folder, when it is not there.
func (s *Site) borrow(name string) error {
	text, err := fs.ReadFile(s.shipped, name)
	if err != nil {
		return nil //nolint:nilerr // not one that comes along: what is wrong with it the reader tells
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	root, err := os.OpenRoot(s.folder)
	if err != nil {
		return fmt.Errorf("%s: %s", s.folder, reason(err))
	}
	defer root.Close() //nolint:errcheck // nothing is written through it any more
	if _, err := root.Stat(name); !errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err := root.MkdirAll(path.Dir(name), 0o777); err != nil {
		return fmt.Errorf("%s: %s", path.Dir(name), reason(err))
	}
	return writeWhole(root, name, 0o666, text)
}

// overlaid is the case's folder with the texts of the page in the place of its files.
type overlaid struct {
	fs.FS
	texts texts
}

// Open opens a text of the page, or else a file of the folder.
func (o overlaid) Open(name string) (fs.File, error) {
	if text, held := o.texts[name]; held && name != planID {
		return heldFile{strings.NewReader(text), name}, nil
	}
	return o.FS.Open(name)
}

// heldFile is a text as a file; it is its own description.
type heldFile struct {
	*strings.Reader
	name string
}

func (f heldFile) Stat() (fs.FileInfo, error) { return f, nil }
func (f heldFile) Close() error               { return nil }
func (f heldFile) Name() string               { return path.Base(f.name) }
func (f heldFile) Mode() fs.FileMode          { return 0o444 }
func (f heldFile) ModTime() time.Time         { return time.Time{} }
func (f heldFile) IsDir() bool                { return false }
func (f heldFile) Sys() any                   { return nil }

// usable lists the files of the folder and those that come with the program that a case may use.
func (s *Site) usable(o opened, sort string) []string {
	found, _ := fs.Glob(s.shipped, sort+"/*.yaml")
	own, _ := fs.Glob(os.DirFS(o.folder), sort+"/*.yaml")
	for _, name := range own {
		if !slices.Contains(found, name) {
			found = append(found, name)
		}
	}
	slices.Sort(found)
	return found
}

// filesOf lists the files of a folder, by patterns, that are scenarios, plans or something else.
func filesOf(folder, sort string, patterns ...string) []string {
	var names []string
	for _, pattern := range patterns {
		found, _ := fs.Glob(os.DirFS(folder), pattern)
		names = append(names, found...)
	}
	return slices.DeleteFunc(names, func(name string) bool {
		info, err := os.Stat(filepath.Join(folder, name))
		if err != nil || info.Size() > textLimit {
			return true
		}
		text, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			return true
		}
		d, err := scenario.NewDocument(name, text)
		return err != nil || d.Sort() != sort
	})
}
