package scenario

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// searchBytes bounds the text that is parsed again to find the line of a syntax fault.
const searchBytes = 4 << 20

// parse reads the one document of a file as nodes with positions. Faults of syntax end it; what YAML
// allows but these files do not (anchors, aliases, merge keys, tags, a second document) is noted and
// reading goes on.
func (s *source) parse() (*yaml.Node, Faults) {
	decoder := yaml.NewDecoder(bytes.NewReader(s.text))
	var document, second yaml.Node
	err := decoder.Decode(&document)
	if errors.Is(err, io.EOF) {
		return nil, wholeFile(s.name, "file", "is empty")
	}
	if err != nil {
		return nil, Faults{s.syntaxFault(err)}
	}
	if len(document.Content) == 0 {
		return nil, wholeFile(s.name, "file", "is empty")
	}
	faults := s.forbidden(&document)
	err = decoder.Decode(&second)
	switch {
	case errors.Is(err, io.EOF):
	case err != nil:
		faults = append(faults, s.syntaxFault(err))
	default:
		faults = append(faults, s.at(second.Line, second.Column, "syntax",
			"a second document begins here; only one is allowed: remove the line --- before it"))
	}
	return document.Content[0], faults
}

// forbidden notes anchors, merge keys and tags: each makes what is read differ from what stands on the
// page, and nested aliases grow without bound. An alias has an anchor, so it is not noted itself.
func (s *source) forbidden(root *yaml.Node) Faults {
	var faults Faults
	rest := []*yaml.Node{root}
	for len(rest) > 0 {
		node := rest[len(rest)-1]
		rest = append(rest[:len(rest)-1], node.Content...)
		what := ""
		switch {
		case node.Anchor != "":
			what = fmt.Sprintf("anchor &%s", node.Anchor)
		case node.Kind == yaml.ScalarNode && node.Tag == "!!merge":
			what = "merge key <<"
		case node.Style&yaml.TaggedStyle != 0:
			what = "tag " + node.Tag
		default:
			continue
		}
		faults = append(faults, s.at(node.Line, node.Column, "syntax", what+" is not allowed: write the value itself"))
	}
	return faults
}

// syntaxFault turns an error of the YAML reader into a fault at its place. The reader names a line
// only, and for faults of indentation that of the group around it, so the line is searched for.
func (s *source) syntaxFault(err error) Fault {
	message := strings.TrimPrefix(err.Error(), "yaml: ")
	named := 0
	if match := namedLine.FindStringSubmatch(message); match != nil {
		_, _ = fmt.Sscanf(match[1], "%d", &named) // digits by the expression; stays 0 when too many
		message = message[len(match[0]):]
	}
	line := s.faultyLine()
	if line == 0 {
		line = max(1, min(named, len(s.lines)))
	}
	column, text := s.explain(line, message)
	return s.at(line, column, "syntax", text)
}

// namedLine matches the line number that begins an error of the YAML reader.
var namedLine = regexp.MustCompile(`^line (\d+): `)

// lineFeed hands a text out line by line and counts, so that it shows how far a parser has read.
type lineFeed struct {
	rest  []byte
	lines int
}

// Read gives out at most one line.
func (f *lineFeed) Read(p []byte) (int, error) {
	if len(f.rest) == 0 {
		return 0, io.EOF
	}
	end := bytes.IndexByte(f.rest, '\n') + 1
	if end == 0 {
		end = len(f.rest)
	}
	n := copy(p, f.rest[:end])
	f.rest = f.rest[n:]
	if n == end {
		f.lines++
	}
	return n, nil
}

// faultyLine returns the line that made the text unreadable: the one after the longest run of lines
// from the start that can be read by itself. For an open bracket or quote that is the line that opens
// it. It returns 0 when the search would take too long.
func (s *source) faultyLine() int {
	feed := &lineFeed{rest: s.text}
	decoder := yaml.NewDecoder(feed)
	for err := error(nil); err == nil; {
		var node yaml.Node
		err = decoder.Decode(&node)
	}
	ends := lineEnds(s.text)
	budget := searchBytes
	for n := min(feed.lines, len(ends)) - 1; n >= 1; n-- {
		head := s.text[:ends[n-1]]
		if budget -= len(head); budget < 0 {
			return 0
		}
		if readable(head) {
			return s.lineOf(len(head))
		}
	}
	return 1
}

// lineOf returns the number of the line that holds a byte of the text.
func (s *source) lineOf(at int) int {
	return len(splitLines(string(s.text[:at]) + "x"))
}

// lineEnds returns where each line of a text ends, its end included.
func lineEnds(text []byte) []int {
	var ends []int
	for i, b := range text {
		if b == '\n' {
			ends = append(ends, i+1)
		}
	}
	if len(ends) == 0 || ends[len(ends)-1] < len(text) {
		ends = append(ends, len(text))
	}
	return ends
}

// readable reports whether a text is YAML, of any number of documents.
func readable(text []byte) bool {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	for {
		var node yaml.Node
		if err := decoder.Decode(&node); err != nil {
			return errors.Is(err, io.EOF)
		}
	}
}

// explain says in plain words what is wrong with a line, and where in it.
func (s *source) explain(line int, message string) (column int, text string) {
	content := s.line(line)
	body := strings.TrimLeft(content, " \t")
	indent := content[:len(content)-len(body)]
	column = utf8.RuneCountInString(indent) + 1
	second := secondColon(body)
	switch {
	case strings.Contains(indent, "\t"):
		return strings.IndexByte(indent, '\t') + 1, "tab in the indentation; only blanks are allowed"
	case strings.Contains(message, "cannot start any token") && strings.Contains(body, "\t"):
		return column + utf8.RuneCountInString(body[:strings.IndexByte(body, '\t')]), "tab before the value; only blanks are allowed"
	case strings.Contains(message, "mapping values are not allowed") && second >= 0:
		return column + second, "a second colon in one line; text that holds a colon and a blank stands in quotes"
	case strings.Contains(message, "did not find expected comment or line break"):
		return s.opening(line, ">|"), "text that begins with > or | stands in quotes"
	case strings.Contains(message, "found unexpected end of stream") || strings.Contains(message, "found unexpected document indicator"):
		return s.opening(line, `"'`), "the quote that opens here is not closed"
	case strings.Contains(message, "did not find expected ',' or"):
		return s.opening(line, "[{"), "the bracket that opens here is not closed, or a comma is missing in it"
	case strings.Contains(message, "cannot start any token"):
		return column + unstartable(body), "this character cannot begin a value; put the text in quotes"
	case openQuote(body) >= 0:
		return column + openQuote(body), "the quote that opens here is not closed in its line"
	case noBlank.MatchString(body):
		return column + utf8.RuneCountInString(body[:strings.IndexByte(body, ':')]), "a blank is missing behind the colon"
	case strings.Contains(message, "did not find expected key"), strings.Contains(message, "mapping values are not allowed"),
		strings.Contains(message, "could not find expected ':'"), strings.Contains(message, "did not find expected '-' indicator"),
		strings.Contains(message, "block sequence entries are not allowed"):
		return column, fmt.Sprintf("this line does not fit what stands before it: it begins in column %d; allowed here: %s, as \"key: value\" or \"- item\"",
			column, s.openColumns(line))
	}
	return column, "not YAML: " + message
}

// opening returns the column of the first of some characters in a line, or that of its first visible
// character.
func (s *source) opening(line int, set string) int {
	content := s.line(line)
	if i := strings.IndexAny(content, set); i >= 0 {
		return utf8.RuneCountInString(content[:i]) + 1
	}
	return utf8.RuneCountInString(content[:len(content)-len(strings.TrimLeft(content, " "))]) + 1
}

// secondColon returns where in a line, in characters, the second "key:" ends, or −1.
func secondColon(body string) int {
	first := strings.Index(body, ": ")
	if first < 0 {
		return -1
	}
	rest := body[first+2:]
	next := strings.Index(rest+" ", ": ")
	if next < 0 {
		return -1
	}
	return utf8.RuneCountInString(body[:first+2+next])
}

// unstartable returns where in a line, in characters, a value begins with a character that YAML
// keeps for itself.
func unstartable(body string) int {
	for _, opener := range []string{": @", ": `", ": %", "- @", "- `", "- %", ": >", ": |", ", >", ", |"} {
		if i := strings.Index(body, opener); i >= 0 {
			return utf8.RuneCountInString(body[:i]) + len(opener) - 1
		}
	}
	return 0
}

// noBlank matches a line that is a key and a value without a blank between.
var noBlank = regexp.MustCompile(`^(- )?[a-z][a-z0-9-]*:[^\s:]`)

// openQuote returns where in a line, in characters, a value begins with a quote that does not end in the line, −1
// when none does.
func openQuote(body string) int {
	for _, quote := range []string{`"`, "'"} {
		for _, opener := range []string{": ", "- "} {
			if i := strings.Index(body, opener+quote); i >= 0 && strings.Count(body[i:], quote)%2 == 1 {
				return utf8.RuneCountInString(body[:i+len(opener)])
			}
		}
	}
	return -1
}

// openColumns lists the columns in which a line could begin here: those of the lines above that no
// line further left has closed.
func (s *source) openColumns(line int) string {
	var columns []string
	least := excerptWidth
	for n := line - 1; n >= 1; n-- {
		content := s.line(n)
		body := strings.TrimLeft(content, " ")
		if body == "" || body[0] == '#' {
			continue
		}
		column := len(content) - len(body) + 1
		if inner := strings.TrimLeft(strings.TrimPrefix(body, "- "), " "); inner != body && len(columns) == 0 {
			columns, least = append(columns, fmt.Sprint(len(content)-len(inner)+1)), len(content)-len(inner)+1
		}
		if column < least {
			columns, least = append(columns, fmt.Sprint(column)), column
		}
	}
	if len(columns) == 0 {
		return "column 1"
	}
	return "column " + strings.Join(columns, " or ")
}
