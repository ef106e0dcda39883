package scenario

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
)

// reader takes a document apart and notes every fault on the way. Its methods return false after a
// fault has been noted; the caller then goes on with the next key.
type reader struct {
	src    *source
	faults Faults
}

// key is one key that a group of keys may have.
type key struct {
	name   string
	needed bool
	read   func(*yaml.Node)
}

// note notes a fault at a node.
func (r *reader) note(node *yaml.Node, rule, format string, args ...any) {
	r.noteAt(node, -1, rule, format, args...)
}

// noteAt notes a fault inside a scalar, some characters after the beginning of its text.
func (r *reader) noteAt(node *yaml.Node, offset int, rule, format string, args ...any) {
	if node.Kind == yaml.AliasNode {
		return // its anchor has been noted
	}
	if len(r.faults) >= noteLimit {
		return
	}
	line, column := r.place(node, offset)
	r.faults = append(r.faults, r.src.at(line, column, rule, fmt.Sprintf(format, args...)))
}

// place returns where a character of a scalar's text stands in the file, or a node with offset −1.
// Where the text is written over several lines or with escapes, that is the beginning of the scalar.
func (r *reader) place(node *yaml.Node, offset int) (line, column int) {
	if offset < 0 {
		return node.Line, node.Column
	}
	text := []rune(r.src.line(node.Line))
	start := node.Column - 1
	switch {
	case node.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return r.placeInBlock(node, offset)
	case node.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		start++
	}
	if start < len(text) && strings.HasPrefix(string(text[start:]), node.Value) {
		return node.Line, start + offset + 1
	}
	return node.Line, node.Column
}

// placeInBlock is place for a scalar that is written on the lines below a | or >.
func (r *reader) placeInBlock(node *yaml.Node, offset int) (line, column int) {
	rest := []rune(node.Value)
	for line = node.Line + 1; line <= len(r.src.lines); line++ {
		content := r.src.line(line)
		body := []rune(strings.TrimLeft(content, " "))
		if len(body) > len(rest) || !strings.HasPrefix(string(rest), string(body)) {
			break
		}
		if offset <= len(body) {
			return line, len([]rune(content)) - len(body) + offset + 1
		}
		skip := min(len(body)+1, len(rest)) // the end of line, or the blank it is folded into
		rest, offset = rest[skip:], offset-skip
	}
	return node.Line, node.Column
}

// kindName says what a node is in words for people.
func kindName(node *yaml.Node) string {
	switch {
	case node.Kind == yaml.MappingNode:
		return "a group of keys"
	case node.Kind == yaml.SequenceNode:
		return "a list"
	case node.ShortTag() == "!!null":
		return "empty"
	}
	return fmt.Sprintf("%q", shorten(node.Value))
}

// shorten cuts a text for a message.
func shorten(text string) string {
	if text = strings.Join(strings.Fields(text), " "); utf8.RuneCountInString(text) > 40 {
		return string([]rune(text)[:40]) + "…"
	}
	return text
}

// group reads a group of keys: each known, none twice, the needed ones present. what names the group
// in messages.
func (r *reader) group(node *yaml.Node, what string, keys []key) bool {
	if node.Kind != yaml.MappingNode {
		r.note(node, "type", "%s is %s; expected a group of keys: %s", what, kindName(node), strings.Join(keyNames(keys), ", "))
		return false
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i], node.Content[i+1]
		if !r.keyText(name, seen) {
			continue
		}
		known := false
		for _, k := range keys {
			if k.name == name.Value {
				known = true
				r.value(name, value, k)
			}
		}
		if !known {
			r.note(name, "key", "%s has no key %q; %s%s", what, shorten(name.Value), choices(name.Value, keyNames(keys)), r.comma(name, value))
		}
	}
	var missing []string
	for _, k := range keys {
		if k.needed && seen[k.name] == nil {
			missing = append(missing, k.name)
		}
	}
	if len(missing) > 0 {
		r.note(node, "missing", "%s lacks %s", what, strings.Join(missing, ", "))
	}
	return true
}

// value reads the value of a known key; a key with nothing behind it is a fault.
func (r *reader) value(name, value *yaml.Node, k key) {
	if value.Kind == yaml.ScalarNode && value.ShortTag() == "!!null" {
		r.note(name, "missing", "%s has no value", k.name)
		return
	}
	k.read(value)
}

// keyText checks that a key is a single word or number and was not given before.
func (r *reader) keyText(name *yaml.Node, seen map[string]*yaml.Node) bool {
	if name.Kind != yaml.ScalarNode {
		r.note(name, "key", "a key is %s; expected a word", kindName(name))
		return false
	}
	if name.Tag == "!!merge" {
		return false // noted with the forbidden parts of YAML
	}
	if first := seen[name.Value]; first != nil {
		r.note(name, "duplicate", "%q stands twice; it is given in line %d already", shorten(name.Value), first.Line)
		return false
	}
	seen[name.Value] = name
	return true
}

func keyNames(keys []key) []string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	return names
}

// list reads a list of at most limit items.
func (r *reader) list(node *yaml.Node, what string, limit int, item func(*yaml.Node)) bool {
	if node.Kind != yaml.SequenceNode {
		r.note(node, "type", "%s is %s; expected a list, each item after a dash", what, kindName(node))
		return false
	}
	if len(node.Content) > limit {
		r.note(node, "range", "%s has %d items, allowed %d", what, len(node.Content), limit)
		return false
	}
	for _, n := range node.Content {
		item(n)
	}
	return true
}

// text reads a single value as text.
func (r *reader) text(node *yaml.Node, what string) (string, bool) {
	if node.Kind != yaml.ScalarNode || node.ShortTag() == "!!null" {
		r.note(node, "type", "%s is %s; expected a single value", what, kindName(node))
		return "", false
	}
	return strings.TrimSpace(node.Value), true
}

// word reads one of the allowed words.
func (r *reader) word(node *yaml.Node, what string, allowed []string) (string, bool) {
	text, ok := r.text(node, what)
	if !ok {
		return "", false
	}
	for _, w := range allowed {
		if w == text {
			return text, true
		}
	}
	r.note(node, "word", "%s is %q; %s", what, shorten(text), choices(text, allowed))
	return "", false
}

// flag reads yes or no.
func (r *reader) flag(node *yaml.Node, what string) (value, ok bool) {
	text, ok := r.text(node, what)
	if !ok {
		return false, false
	}
	switch strings.ToLower(text) {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	r.note(node, "word", "%s is %q; allowed: yes, no", what, shorten(text))
	return false, false
}

// amount reads a number in the given unit, with "" for a plain number.
func (r *reader) amount(node *yaml.Node, what, unit string) (float64, bool) {
	text, ok := r.text(node, what)
	if !ok {
		return 0, false
	}
	return r.amountIn(node, what, unit, text, 0)
}

// amountIn is amount for a part of a scalar that begins some characters inside it.
func (r *reader) amountIn(node *yaml.Node, what, unit, text string, offset int) (float64, bool) {
	a, complaint := readAmount(text)
	if complaint != "" {
		r.noteAt(node, offset, "number", "%s: %s; %s", what, complaint, expected(unit))
		return 0, false
	}
	value, complaint := a.in(unit)
	if complaint != "" {
		at := offset
		if a.unit != "" {
			at += a.unitAt
		}
		r.noteAt(node, at, "unit", "%s is %s%s", what, shorten(text), complaint)
		return 0, false
	}
	return value, true
}

// expected says how a quantity is written.
func expected(unit string) string {
	if unit == "" {
		return "expected a plain number"
	}
	return "expected a number with its unit, one of " + strings.Join(unitsLike(unit), ", ")
}

// limits are the unit in which a quantity is limited and shown, and its least and greatest value.
type limits struct {
	unit      string
	low, high float64
}

// check notes a value outside the limits.
func (r *reader) check(node *yaml.Node, what string, value float64, l limits) bool {
	if value >= l.low && value <= l.high {
		return true
	}
	r.note(node, "range", "%s is %s, allowed %s to %s", what, show(value, l.unit), show(l.low, l.unit), show(l.high, l.unit))
	return false
}

// comma returns the end of a message about a key that nothing stands behind, not even a colon: in brackets that is
// most often the rest of a text that holds a comma.
func (r *reader) comma(name, value *yaml.Node) string {
	line := []rune(r.src.line(name.Line))
	end := name.Column - 1 + utf8.RuneCountInString(name.Value)
	if !isNull(value) || value.Value != "" || name.Style != 0 || end > len(line) || strings.HasPrefix(strings.TrimLeft(string(line[end:]), " "), ":") {
		return ""
	}
	return "; if it is the rest of a text with a comma, put that text in quotes"
}

// quantity reads a number with a unit within limits, in the limits' unit.
func (r *reader) quantity(node *yaml.Node, what string, l limits) (float64, bool) {
	value, ok := r.amount(node, what, l.unit)
	if !ok || !r.check(node, what, value, l) {
		return 0, false
	}
	return value, true
}

// span reads a value or a range "low .. high" within limits and returns it in another unit of the
// same dimension. The low end may leave its unit to the high end.
func (r *reader) span(node *yaml.Node, what string, l limits, stored string) (anatomy.Range, bool) {
	text, ok := r.text(node, what)
	if !ok {
		return anatomy.Range{}, false
	}
	if meant := otherRange(text, l.unit); meant != "" {
		r.note(node, "number", "%s is %s; a range is written with two dots: %s", what, shorten(text), meant)
		return anatomy.Range{}, false
	}
	before, after, isRange := strings.Cut(text, "..")
	if !isRange {
		value, ok := r.quantity(node, what, l)
		value = convert(value, l.unit, stored)
		return anatomy.Range{Set: ok, Low: value, High: value}, ok
	}
	rest := strings.TrimSpace(after)
	offset := utf8.RuneCountInString(text) - utf8.RuneCountInString(rest)
	start := strings.TrimSpace(before)
	if a, complaint := readAmount(start); complaint == "" && a.unit == "" {
		b, complaint := readAmount(rest)
		if complaint == "" && b.unit == "" && l.unit != "" {
			r.note(node, "unit", "%s is %s without a unit; write for example %s %s; allowed: %s", what, shorten(text), text, l.unit, strings.Join(unitsLike(l.unit), ", "))
			return anatomy.Range{}, false
		}
		if complaint == "" {
			start += " " + b.unit
		}
	}
	low, okLow := r.amountIn(node, what, l.unit, start, 0)
	high, okHigh := r.amountIn(node, what, l.unit, rest, offset)
	if !okLow || !okHigh || !r.check(node, what, low, l) || !r.check(node, what, high, l) {
		return anatomy.Range{}, false
	}
	if low > high {
		r.note(node, "range", "%s runs from %s down to %s; write the smaller end first", what, show(low, l.unit), show(high, l.unit))
		return anatomy.Range{}, false
	}
	return anatomy.Range{Set: true, Low: convert(low, l.unit, stored), High: convert(high, l.unit, stored)}, true
}

// rangeText matches a range as people write it who have not met the two dots.
var rangeText = regexp.MustCompile(`^([+-]?[0-9.,]+)\s*([^0-9\s–—-]*)\s*(?:-|–|—|to|until|bis|…|\.\.\.)\s*([0-9.,]+)\s*([^0-9\s]*)$`)

// otherRange returns how a range that is written with a dash or a word is to be written, "" when the text is
// none.
func otherRange(text, unit string) string {
	m := rangeText.FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	if m[4] != "" {
		unit = m[4]
	} else if m[2] != "" {
		unit = m[2]
	}
	point := strings.NewReplacer(",", ".")
	return strings.TrimSpace(point.Replace(m[1]) + ".." + point.Replace(m[3]) + " " + unit)
}

// whole reads a whole number within limits.
func (r *reader) whole(node *yaml.Node, what string, low, high int) (int, bool) {
	value, ok := r.amount(node, what, "")
	if !ok {
		return 0, false
	}
	if value != math.Trunc(value) {
		r.note(node, "number", "%s is %s; expected a whole number", what, show(value, ""))
		return 0, false
	}
	if !r.check(node, what, value, limits{"", float64(low), float64(high)}) {
		return 0, false
	}
	return int(value), true
}

// seed reads a seed: any whole number that 64 bits hold.
func (r *reader) seed(node *yaml.Node) (uint64, bool) {
	text, ok := r.text(node, "seed")
	if !ok {
		return 0, false
	}
	value, err := strconv.ParseUint(text, 10, 64)
	if err != nil || leadingZero(text) {
		r.note(node, "number", "seed is %q; expected a whole number from 0 to %d, not begun with 0", shorten(text), uint64(math.MaxUint64))
		return 0, false
	}
	return value, true
}

// format reads the version of the file format.
func (r *reader) format(node *yaml.Node) {
	if text, ok := r.text(node, "format"); ok && text != "1" {
		r.note(node, "format", "format is %q; this program reads format 1", shorten(text))
	}
}

// slug reads a name that is also used in file names and records.
func (r *reader) slug(node *yaml.Node, what string) (string, bool) {
	text, ok := r.text(node, what)
	if !ok {
		return "", false
	}
	valid := isSlug(text)
	if !valid {
		r.note(node, "name", "%s is %q; allowed are at most 60 small letters, digits and hyphens", what, shorten(text))
	}
	return text, valid
}

// isSlug reports whether a text may be a name that also stands in file names and records.
func isSlug(text string) bool {
	valid := text != "" && len(text) <= 60
	for _, c := range text {
		valid = valid && (c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-')
	}
	return valid
}
