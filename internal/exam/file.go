package exam

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// File is a log on disk: one line of JSON an event, each forced to the disk before it counts.
type File struct {
	file *os.File
	size int64 // of what is known to be whole
	torn bool  // something half written may stand after that
	path string
}

// mostLog bounds a log file that is read.
const mostLog = 64 << 20

// CreateFile makes a new log file; one that is there already is an error that wraps fs.ErrExist.
func CreateFile(path string) (*File, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, err
	}
	return &File{file: file, path: path}, nil
}

// OpenFile opens a log file and returns its whole lines. What stands after the last line end, a line that
// was being written when the machine stopped, is cut off. Checked by TestFile and TestTornLine.
func OpenFile(path string) (*File, [][]byte, error) {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return nil, nil, err
	}
	f := &File{file: file, path: path}
	lines, err := f.read()
	if err != nil {
		return nil, nil, errors.Join(err, file.Close())
	}
	return f, lines, nil
}

// read reads all lines and cuts off what is torn.
func (f *File) read() ([][]byte, error) {
	text, err := io.ReadAll(io.LimitReader(f.file, mostLog+1))
	if err != nil {
		return nil, err
	}
	if len(text) > mostLog {
		return nil, fmt.Errorf("%s: more than %d bytes; no log is that long", f.path, mostLog)
	}
	f.size = int64(bytes.LastIndexByte(text, '\n') + 1)
	var lines [][]byte
	for line := range bytes.Lines(text[:f.size]) {
		lines = append(lines, bytes.TrimSuffix(line, []byte{'\n'}))
	}
	if int64(len(text)) > f.size {
		return lines, f.file.Truncate(f.size)
	}
	return lines, nil
}

// Append writes lines and forces them to the disk. When that fails the file is cut back to what it was,
// and the call may be repeated. It is an error when another program has written to the file. Checked by
// TestFile and TestDiskFull.
func (f *File) Append(lines [][]byte) error {
	if f.torn {
		if err := f.file.Truncate(f.size); err != nil {
			return err
		}
		f.torn = false
	}
	info, err := f.file.Stat()
	if err != nil {
		return err
	}
	if info.Mode().IsRegular() && info.Size() != f.size {
		return fmt.Errorf("%s: another program writes to this log", f.path)
	}
	var text []byte
	for _, line := range lines {
		text = append(append(text, line...), '\n')
	}
	_, err = f.file.WriteAt(text, f.size)
	if err == nil {
		err = f.file.Sync()
	}
	if err != nil {
		f.torn = info.Mode().IsRegular() && f.file.Truncate(f.size) != nil
		return err
	}
	f.size += int64(len(text))
	return nil
}

// Close closes the file.
func (f *File) Close() error { return f.file.Close() }
