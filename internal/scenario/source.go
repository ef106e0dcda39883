package scenario

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"
)

// sizeLimit is the largest file that is read, in bytes. A scenario has some ten thousand.
const sizeLimit = 1 << 20

// source is the text of one file and its lines, for positions and excerpts.
type source struct {
	name  string // as shown to the reader of a fault
	text  []byte
	lines []string
}

// readSource reads an open file up to the limit and closes it.
func readSource(name string, file fs.File) (*source, Faults) {
	defer file.Close() //nolint:errcheck // only read
	info, err := file.Stat()
	switch {
	case err != nil:
		return nil, wholeFile(name, "file", "cannot be read: %s", reason(err))
	case info.IsDir():
		return nil, wholeFile(name, "file", "is a folder; name a file in it")
	case info.Size() > sizeLimit:
		return nil, tooLarge(name, info.Size())
	}
	text, err := io.ReadAll(io.LimitReader(file, sizeLimit+1))
	if err != nil {
		return nil, wholeFile(name, "file", "cannot be read: %s", reason(err))
	}
	return newSource(name, text)
}

// newSource checks that a file's content is text of an allowed size and splits it into lines.
func newSource(name string, text []byte) (*source, Faults) {
	if len(text) > sizeLimit {
		return nil, tooLarge(name, int64(len(text)))
	}
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	if len(bytes.TrimSpace(text)) == 0 {
		return nil, wholeFile(name, "file", "is empty")
	}
	if bytes.IndexByte(text, 0) >= 0 || !utf8.Valid(text) {
		return nil, wholeFile(name, "file", "is not a text file in UTF-8; save it as plain text with the encoding UTF-8")
	}
	src := &source{name: name, text: text, lines: splitLines(string(text))}
	for i, line := range src.lines {
		column := 0
		for _, r := range line {
			column++
			if r != '\t' && (r < ' ' || r == 0x7f || r > 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff || r == 0xfeff) {
				message := fmt.Sprintf("control character U+%04X; only visible characters, blanks and ends of line are allowed", r)
				return nil, Faults{src.at(i+1, column, "file", message)}
			}
		}
	}
	return src, nil
}

// tooLarge returns the fault of a file over the limit, of which at least so many bytes were seen.
func tooLarge(name string, seen int64) Faults {
	return wholeFile(name, "file", "is too large: %d KiB or more, allowed %d KiB", seen/1024, sizeLimit/1024)
}

// reason returns what went wrong without the path, which the fault names already.
func reason(err error) string {
	var path *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file"
	case errors.Is(err, fs.ErrPermission):
		return "no permission"
	case errors.As(err, &path):
		return path.Err.Error()
	}
	return err.Error()
}

// splitLines splits a text at the ends of line that YAML 1.1 knows, so that line numbers agree with
// the YAML reader's.
func splitLines(text string) []string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n").Replace(text)
	return strings.Split(strings.TrimSuffix(text, "\n"), "\n")
}

// line returns a line of the file, counted from 1, or nothing beyond its end.
func (s *source) line(n int) string {
	if n < 1 || n > len(s.lines) {
		return ""
	}
	return s.lines[n-1]
}

// at returns a fault at a place of the file.
func (s *source) at(line, column int, rule, message string) Fault {
	return Fault{File: s.name, Line: line, Column: column, Message: message, Rule: rule, Source: s.line(line)}
}
