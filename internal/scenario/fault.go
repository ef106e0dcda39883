package scenario

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A file of the wrong kind has thousands of faults, and nobody reads them: noteLimit of each file are
// noted, of which the first faultLimit are printed.
const (
	noteLimit  = 1000
	faultLimit = 100
)

// excerptWidth is how many characters of a source line are shown around a fault.
const excerptWidth = 100

// Fault is one thing that is wrong with a file a person wrote.
type Fault struct {
	File    string // as it was named by the caller, or as an including file leads to it
	Line    int    // from 1; 0 when the fault is the file's as a whole
	Column  int    // in characters, from 1; 0 when the fault is the file's as a whole
	Message string // what is wrong, what is allowed, the likely word
	Rule    string // short name of the kind of fault
	Source  string // the line of the file, without its end
}

// String returns the fault as file:line:col: message [rule], followed by the line of the file and a
// caret under the place. A fault of the file as a whole has no place and no excerpt.
func (f Fault) String() string {
	if f.Line == 0 {
		return fmt.Sprintf("%s: %s [%s]", f.File, f.Message, f.Rule)
	}
	head := fmt.Sprintf("%s:%d:%d: %s [%s]", f.File, f.Line, f.Column, f.Message, f.Rule)
	text, caret := excerpt(f.Source, f.Column)
	margin := fmt.Sprintf("%5d | ", f.Line)
	blank := strings.Repeat(" ", len(margin)-2) + "| "
	return head + "\n" + margin + text + "\n" + blank + strings.Repeat(" ", caret) + "^"
}

// excerpt returns the part of a line around a column that is shown, and how many characters of it
// stand before the column. What a terminal would not print as one cell is shown as a blank.
func excerpt(line string, column int) (text string, before int) {
	shown := make([]rune, 0, len(line))
	for _, r := range line {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			r = ' '
		}
		shown = append(shown, r)
	}
	before = max(0, min(column-1, len(shown)))
	if len(shown) <= excerptWidth {
		return strings.TrimRight(string(shown), " "), before
	}
	start := max(0, min(before-excerptWidth/2, len(shown)-excerptWidth))
	text = string(shown[start : start+excerptWidth])
	before -= start
	if start > 0 {
		text, before = "…"+text, before+1
	}
	return text + "…", before
}

// Faults is all that is wrong with a file and the files it uses, in order of file, line and column.
// It is the error that Load, Parse, LoadPlan and ParsePlan return.
type Faults []Fault

// Error returns one paragraph for each fault.
func (f Faults) Error() string {
	shown := f[:min(len(f), faultLimit)]
	lines := make([]string, 0, len(shown)+1)
	for _, one := range shown {
		lines = append(lines, one.String())
	}
	if more := len(f) - len(shown); more > 0 {
		lines = append(lines, fmt.Sprintf("and more faults, %d or above", more))
	}
	return strings.Join(lines, "\n")
}

// err returns the faults as an error in order of place, each only once, or nil when there are none.
func (f Faults) err() error {
	if len(f) == 0 {
		return nil
	}
	slices.SortStableFunc(f, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), cmp.Compare(a.Message, b.Message))
	})
	return slices.Compact(f)
}

// wholeFile returns the single fault of a file that cannot be read at all.
func wholeFile(name, rule, format string, args ...any) Faults {
	return Faults{{File: name, Message: fmt.Sprintf(format, args...), Rule: rule}}
}
