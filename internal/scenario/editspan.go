package scenario

import (
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// offset returns the byte at a line and a column, both from 1, or the end of the text beyond it.
func (d *Document) offset(line, column int) int {
	if line < 1 || line > len(d.starts) {
		return len(d.text)
	}
	at := d.starts[line-1]
	for range column - 1 {
		if at >= len(d.text) {
			return len(d.text)
		}
		_, size := utf8.DecodeRuneInString(d.text[at:])
		at += size
	}
	return at
}

// start returns the byte at which a node begins.
func (d *Document) start(node *yaml.Node) int { return d.offset(node.Line, node.Column) }

// line returns the number of the line, from 0, in which a byte stands.
func (d *Document) line(at int) int {
	low, high := 0, len(d.starts)
	for low+1 < high {
		if middle := (low + high) / 2; d.starts[middle] <= at {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// lineStart returns where the line of a byte begins.
func (d *Document) lineStart(at int) int { return d.starts[d.line(at)] }

// lineEnd returns where the line of a byte ends, before its end of line.
func (d *Document) lineEnd(at int) int {
	from := d.lineStart(at)
	return from + len(strings.TrimRight(d.text[from:d.nextLine(at)], "\r\n\u0085\u2028\u2029"))
}

// nextLine returns where the line after that of a byte begins.
func (d *Document) nextLine(at int) int {
	if n := d.line(at); n+1 < len(d.starts) {
		return d.starts[n+1]
	}
	return len(d.text)
}

// column returns how many characters stand before a byte in its line.
func (d *Document) column(at int) int {
	return utf8.RuneCountInString(d.text[d.lineStart(at):at])
}

// end returns the byte behind a node that is not empty.
func (d *Document) end(node *yaml.Node) (int, error) {
	if node.Anchor != "" || node.Style&yaml.TaggedStyle != 0 || node.Kind == yaml.AliasNode {
		return 0, errPlace
	}
	switch node.Kind {
	case yaml.ScalarNode:
		return d.scalarEnd(node)
	case yaml.MappingNode, yaml.SequenceNode:
	default:
		return 0, errPlace
	}
	last := d.start(node)
	var err error
	if n := len(node.Content); n > 0 {
		if node.Kind == yaml.MappingNode {
			_, last, err = d.valueSpan(node, n-2)
		} else {
			_, last, err = d.itemSpan(node, n-1)
		}
	} else {
		last++ // the bracket: a group or list without items is written in brackets
	}
	if err != nil || node.Style&yaml.FlowStyle == 0 {
		return last, err
	}
	return d.bracket(last, "]}", ",")
}

// bracket returns the byte behind the next of some characters; only blanks, comments and other stand before
// it.
func (d *Document) bracket(from int, wanted, other string) (int, error) {
	for i := from; i < len(d.text); i++ {
		switch c := d.text[i]; {
		case strings.IndexByte(wanted, c) >= 0:
			return i + 1, nil
		case c == '#':
			i = d.lineEnd(i)
		case !isBlank(c) && strings.IndexByte(other, c) < 0:
			return 0, errPlace
		}
	}
	return 0, errPlace
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// valueSpan returns where what stands behind key i of a group begins and ends; when nothing stands there,
// both are the byte behind the colon.
func (d *Document) valueSpan(node *yaml.Node, i int) (from, to int, err error) {
	key, value := node.Content[i], node.Content[i+1]
	if value.Kind == yaml.ScalarNode && value.Value == "" && value.Style == 0 {
		end, err := d.end(key)
		if err != nil {
			return 0, 0, err
		}
		for end < len(d.text) && (d.text[end] == ' ' || d.text[end] == '\t') {
			end++
		}
		if end >= len(d.text) || d.text[end] != ':' {
			return 0, 0, errPlace
		}
		return end + 1, end + 1, nil
	}
	to, err = d.end(value)
	return d.start(value), to, err
}

// itemSpan returns where item i of a list begins and ends.
func (d *Document) itemSpan(list *yaml.Node, i int) (from, to int, err error) {
	item := list.Content[i]
	if item.Kind == yaml.ScalarNode && item.Value == "" && item.Style == 0 {
		return 0, 0, errPlace
	}
	to, err = d.end(item)
	return d.start(item), to, err
}

// scalarEnd returns the byte behind a single text.
func (d *Document) scalarEnd(node *yaml.Node) (int, error) {
	start := d.start(node)
	switch {
	case node.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return d.blockEnd(node, start)
	case node.Style&yaml.SingleQuotedStyle != 0:
		for i := start + 1; i < len(d.text); i++ {
			if d.text[i] != '\'' {
				continue
			}
			if strings.HasPrefix(d.text[i+1:], "'") {
				i++
				continue
			}
			return i + 1, nil
		}
		return 0, errPlace
	case node.Style&yaml.DoubleQuotedStyle != 0:
		for i := start + 1; i < len(d.text); i++ {
			switch d.text[i] {
			case '\\':
				i++
			case '"':
				return i + 1, nil
			}
		}
		return 0, errPlace
	}
	return d.plainEnd(node.Value, start)
}

// plainEnd follows a text without quotes to its end; over ends of line it stands for blanks.
func (d *Document) plainEnd(value string, at int) (int, error) {
	for i := 0; i < len(value); {
		if !isBlank(value[i]) {
			if at >= len(d.text) || d.text[at] != value[i] {
				return 0, errPlace
			}
			i, at = i+1, at+1
			continue
		}
		from := at
		for at < len(d.text) && isBlank(d.text[at]) {
			at++
		}
		for i < len(value) && isBlank(value[i]) {
			i++
		}
		if at == from {
			return 0, errPlace
		}
	}
	return at, nil
}

// blockEnd returns the end of a text that stands on the lines below a | or >.
func (d *Document) blockEnd(node *yaml.Node, start int) (int, error) {
	head := d.lineEnd(start)
	if strings.ContainsAny(strings.SplitN(d.text[start:head], "#", 2)[0], "123456789") {
		return 0, errPlace // its own indentation
	}
	if strings.TrimSpace(node.Value) == "" {
		return head, nil
	}
	end, indent := head, -1
	for n := d.line(start) + 1; n < len(d.starts); n++ {
		from := d.starts[n]
		line := d.text[from:d.lineEnd(from)]
		body := strings.TrimLeft(line, " ")
		if strings.TrimSpace(body) == "" {
			continue
		}
		if indent < 0 {
			indent = len(line) - len(body)
		}
		if len(line)-len(body) < indent {
			break
		}
		end = from + len(line)
	}
	return end, nil
}

// dash returns where the dash of item i of a list stands.
func (d *Document) dash(list *yaml.Node, i int) (int, error) {
	item := list.Content[i]
	for n := item.Line; n >= list.Line && n >= 1; n-- {
		at := d.offset(n, list.Column)
		if at >= len(d.text) || d.line(at) != n-1 || d.text[at] != '-' {
			continue
		}
		if strings.Trim(d.text[d.starts[n-1]:at], " ") != "" && n != list.Line {
			continue
		}
		return at, nil
	}
	return 0, errPlace
}

// ownLine reports whether only blanks stand before a byte in its line.
func (d *Document) ownLine(at int) bool {
	return strings.Trim(d.text[d.lineStart(at):at], " ") == ""
}

// above returns where the comments begin that stand right above a line, without an empty line between.
func (d *Document) above(at int) int {
	n := d.line(at)
	for n > 0 {
		line := d.text[d.starts[n-1]:d.lineEnd(d.starts[n-1])]
		if !strings.HasPrefix(strings.TrimLeft(line, " "), "#") {
			break
		}
		n--
	}
	return d.starts[n]
}
