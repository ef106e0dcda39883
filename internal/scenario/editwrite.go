package scenario

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// proseWidth is how wide a text is written before it is folded over several lines, in characters.
const proseWidth = 100

// check refuses what no file of ours may hold.
func (v Value) check() error {
	texts := []string{v.Text}
	for _, k := range v.Keys {
		if k.Key == "" || strings.TrimSpace(k.Key) != k.Key || strings.ContainsAny(k.Key, "\r\n") {
			return fmt.Errorf("%q is no key", k.Key)
		}
		texts = append(texts, k.Key)
		if err := k.Value.check(); err != nil {
			return err
		}
	}
	for _, item := range v.Items {
		if err := item.check(); err != nil {
			return err
		}
	}
	for _, text := range texts {
		if !utf8.ValidString(text) {
			return fmt.Errorf("%q is not text in UTF-8", text)
		}
		for _, r := range text {
			if r != '\n' && r != '\t' && unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || r == 0xfeff || r == 0xfffe || r == 0xffff {
				return fmt.Errorf("control character U+%04X; only visible characters, blanks and ends of line are allowed", r)
			}
		}
	}
	return nil
}

// node returns a value as a tree.
func (v Value) node() *yaml.Node {
	switch {
	case v.Null:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null"}
	case v.Keys != nil:
		group := &yaml.Node{Kind: yaml.MappingNode}
		for _, k := range v.Keys {
			group.Content = append(group.Content, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: k.Key}, k.Value.node())
		}
		return group
	case v.Items != nil:
		list := &yaml.Node{Kind: yaml.SequenceNode}
		for _, item := range v.Items {
			list.Content = append(list.Content, item.node())
		}
		return list
	}
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: v.Text}
}

// flow writes a value in brackets. With try 0 texts stand plain where they may, with 1 in quotes.
func (v Value) flow(try int) string {
	var parts []string
	for _, k := range v.Keys {
		parts = append(parts, strings.TrimRight(scalarText(k.Key, true, 0)+": "+k.Value.flow(try), " "))
	}
	for _, item := range v.Items {
		parts = append(parts, item.flow(try))
	}
	switch {
	case v.Null:
		return ""
	case v.Keys != nil:
		return "{" + strings.Join(parts, ", ") + "}"
	case v.Items != nil:
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return scalarText(v.Text, true, try)
}

// block writes a value whose first line follows what is written already, and whose further lines are indented.
func (v Value) block(indent int, ends string, try int) string {
	between := ends + strings.Repeat(" ", indent)
	var parts []string
	switch {
	case v.Flow && !v.bare():
		return v.flow(try)
	case v.Null:
		return ""
	case v.Keys != nil:
		for _, k := range v.Keys {
			parts = append(parts, keyText(k, indent, ends, try))
		}
	case v.Items != nil:
		for _, item := range v.Items {
			parts = append(parts, "- "+item.block(indent+2, ends, try))
		}
	default:
		return scalarText(v.Text, false, try)
	}
	return strings.Join(parts, between)
}

// keyText writes a key and what stands behind it; the key stands in column indent.
func keyText(k KeyValue, indent int, ends string, try int) string {
	key := scalarText(k.Key, false, 0) + ":"
	v := k.Value
	switch {
	case v.Null:
		return key
	case v.bare() && try == 0 && (strings.Contains(v.Text, "\n") || indent+len(key)+utf8.RuneCountInString(v.Text) > proseWidth) && foldable(v.Text):
		return key + " >" + ends + folded(v.Text, indent+2, ends)
	case v.bare(), v.Flow:
		return key + " " + v.block(indent, ends, try)
	}
	return key + ends + strings.Repeat(" ", indent+2) + v.block(indent+2, ends, try)
}

// foldable reports whether a text keeps its words when it is folded.
func foldable(text string) bool {
	return strings.TrimSpace(text) != "" && !strings.Contains(text, "\t")
}

// folded writes a text over several indented lines; an end of line in it becomes an empty line.
func folded(text string, indent int, ends string) string {
	var lines []string
	blank := strings.Repeat(" ", indent)
	for n, paragraph := range strings.Split(strings.TrimSpace(text), "\n") {
		if n > 0 {
			lines = append(lines, "")
		}
		line := ""
		for _, word := range strings.Fields(paragraph) {
			if line != "" && indent+utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > proseWidth {
				lines, line = append(lines, blank+line), word
				continue
			}
			line = strings.TrimLeft(line+" "+word, " ")
		}
		if line != "" {
			lines = append(lines, blank+line)
		}
	}
	return strings.Join(lines, ends)
}

// literal writes a text over several lines as they are.
func literal(text string, indent int, ends string) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i, line := range lines {
		if strings.TrimSpace(line) != "" {
			lines[i] = strings.Repeat(" ", indent) + line
		}
	}
	return strings.Join(lines, ends)
}

// scalarText writes a text on one line: plain where YAML allows it, else in quotes.
func scalarText(text string, flow bool, try int) string {
	if try == 0 && plainText(text, flow) {
		return text
	}
	if strings.ContainsAny(text, `"\`) && !strings.ContainsAny(text, "'\n\t") {
		return "'" + text + "'"
	}
	return doubleQuoted(text)
}

func doubleQuoted(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(text) + `"`
}

// plainText reports whether a text may stand without quotes and is then read as it is.
func plainText(text string, flow bool) bool {
	switch {
	case text == "" || text != strings.TrimSpace(text) || strings.ContainsAny(text, "\n\t"),
		strings.ContainsRune("?:,[]{}#&*!|>'\"%@`", rune(text[0])),
		text[0] == '-' && (len(text) == 1 || text[1] == ' ' || text[1] == '-'),
		strings.Contains(text, ": "), strings.Contains(text, " #"), strings.HasSuffix(text, ":"),
		slices.Contains([]string{"~", "null", "Null", "NULL", "<<", "="}, text):
		return false
	}
	return !flow || !strings.ContainsAny(text, ",[]{}")
}
