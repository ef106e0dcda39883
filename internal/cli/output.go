package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// output is one file to be written, made whole in memory first.
type output struct {
	flag, path string
	content    bytes.Buffer
}

// outputs are the files a command writes: all of them, or none.
type outputs []*output

// add makes an output when a path was asked for.
func (o *outputs) add(flag, path string, write func(io.Writer) error) error {
	if path == "" {
		return nil
	}
	one := &output{flag: flag, path: path}
	if err := write(&one.content); err != nil {
		return fmt.Errorf("%s: %w", flag, err)
	}
	*o = append(*o, one)
	return nil
}

// placed is an output on its way: the finished copy beside the target, and what stood there before.
type placed struct {
	target, part, old string // old: "" when nothing stood there
	mode              fs.FileMode
	done              bool
}

// write puts all outputs in place. Each is first written in full under another name beside its target,
// then all are renamed; when any step fails, everything is as it was before. A target that is not an
// ordinary file, such as a device, is written to directly, last. The files read must not be among the
// targets.
func (o outputs) write(read ...string) (err error) {
	var ways []*placed
	var streams []*output
	defer func() { settle(ways, err) }()
	for i, one := range o {
		target, mode, err := one.target(read)
		if err != nil {
			return err
		}
		if !mode.IsRegular() {
			streams = append(streams, one)
			continue
		}
		way := &placed{target: target, part: beside(target, "part", i), mode: mode}
		for _, other := range ways {
			if other.target == target {
				return fmt.Errorf("%s %s: another output goes to the same file", one.flag, one.path)
			}
		}
		ways = append(ways, way)
		if err := one.writePart(way.part, way.mode); err != nil {
			return fmt.Errorf("%s %s: cannot be written: %w", one.flag, one.path, cause(err))
		}
	}
	for i, way := range ways {
		if err := way.place(i); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", way.target, cause(err))
		}
	}
	for _, one := range streams {
		if err := os.WriteFile(one.path, one.content.Bytes(), 0o600); err != nil {
			return fmt.Errorf("%s %s: cannot be written: %w", one.flag, one.path, cause(err))
		}
	}
	return nil
}

// target returns the file an output goes to, links followed, and its mode: of what stands there, or of a
// new file.
func (o *output) target(read []string) (string, fs.FileMode, error) {
	refused := func(why string) (string, fs.FileMode, error) {
		return "", 0, fmt.Errorf("%s %s: %s", o.flag, o.path, why)
	}
	path, err := filepath.EvalSymlinks(o.path)
	if errors.Is(err, fs.ErrNotExist) {
		return filepath.Clean(o.path), 0o666, nil
	}
	if err != nil {
		return refused("cannot be written: " + cause(err).Error())
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return refused("cannot be written: " + cause(err).Error())
	case info.IsDir():
		return refused("is a folder; name a file in it")
	}
	for _, name := range read {
		if other, err := os.Stat(name); err == nil && os.SameFile(info, other) {
			return refused("is a file this command reads; name another")
		}
	}
	return path, info.Mode(), nil
}

// beside returns a name in the folder of a file that nobody else uses.
func beside(target, what string, i int) string {
	name := fmt.Sprintf(".%s.%d-%d.%s", filepath.Base(target), os.Getpid(), i, what)
	return filepath.Join(filepath.Dir(target), name)
}

// writePart writes an output in full under the name of its part.
func (o *output) writePart(part string, mode fs.FileMode) error {
	file, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode.Perm())
	if err != nil {
		return err
	}
	_, err = file.Write(o.content.Bytes())
	return errors.Join(err, file.Close())
}

// place renames a finished part to its target and keeps what stood there.
func (p *placed) place(i int) error {
	if _, err := os.Lstat(p.target); err == nil {
		old := beside(p.target, "old", i)
		if err := os.Rename(p.target, old); err != nil {
			return err
		}
		p.old = old
	}
	if err := os.Rename(p.part, p.target); err != nil {
		return err
	}
	p.done = true
	return nil
}

// settle ends the writing: after success what stood at the targets is gone, after failure it is back
// and nothing else is left.
func settle(ways []*placed, failed error) {
	for _, way := range ways {
		switch {
		case failed == nil && way.old != "":
			os.Remove(way.old) //nolint:errcheck // a copy left over harms nobody
		case failed != nil:
			os.Remove(way.part) //nolint:errcheck // it may never have come to be
			if way.done {
				os.Remove(way.target) //nolint:errcheck // restored in the next line
			}
			if way.old != "" {
				os.Rename(way.old, way.target) //nolint:errcheck // there is nothing left to try
			}
		}
	}
}

// cause returns what went wrong without the path, which the message names already.
func cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
