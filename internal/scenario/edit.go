package scenario

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Document is the text of a file that is changed place by place. Each change writes only what it changes:
// comments, order, layout and quotes of everything else stay as they were, byte for byte. Before a new
// text is given out it is read again and must say exactly what the old one said but for the change;
// otherwise the change is refused. Checked by TestEdit, TestEditProperties and FuzzEdit.
type Document struct {
	src    *source
	mark   string // byte order mark, or nothing
	text   string // without the mark
	root   *yaml.Node
	starts []int // offsets of the lines
	ends   string
}

// Path leads to a place in a file: keys, and numbers of items counted from 0.
type Path []string

// String returns a path for people, as keys with slashes between.
func (p Path) String() string { return strings.Join(p, "/") }

// parent returns the path without its last step.
func (p Path) parent() Path { return p[:len(p)-1] }

// last returns the last step, "" of an empty path.
func (p Path) last() string {
	if len(p) == 0 {
		return ""
	}
	return p[len(p)-1]
}

// Value is what is written at a place: a text, nothing at all, keys or items.
type Value struct {
	Text  string
	Null  bool // a key with nothing behind it
	Keys  []KeyValue
	Items []Value
	Flow  bool // keys and items in brackets on one line
}

// KeyValue is a key and what stands behind it.
type KeyValue struct {
	Key   string
	Value Value
}

// bare reports whether a value is a single text or nothing.
func (v Value) bare() bool { return v.Keys == nil && v.Items == nil }

// errPlace is why a place cannot be changed by itself: YAML allows ways of writing that no file of ours has.
var errPlace = errors.New("this place is written in a way that only the text can change")

// NewDocument reads a text to be changed; name stands for the file in faults. The error is a Faults when
// the text is not YAML.
func NewDocument(name string, text []byte) (*Document, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return nil, faults
	}
	root, faults := src.parse()
	if root == nil {
		return nil, faults.err()
	}
	d := &Document{src: src, text: string(src.text), root: root, ends: "\n"}
	if len(text) > len(d.text) {
		d.mark = string(text[:len(text)-len(d.text)])
	}
	d.starts = lineStarts(d.text)
	if strings.Contains(d.text, "\r\n") {
		d.ends = "\r\n"
	}
	return d, nil
}

// lineStarts returns where each line of a text begins, by the ends of line that YAML 1.1 knows.
func lineStarts(text string) []int {
	starts := []int{0}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		i += size
		switch r {
		case '\r':
			if strings.HasPrefix(text[i:], "\n") {
				i++
			}
		case '\n', '\u0085', '\u2028', '\u2029':
		default:
			continue
		}
		starts = append(starts, i)
	}
	return starts
}

// Text returns the document's text, as it came or as the last change made it.
func (d *Document) Text() []byte { return []byte(d.mark + d.text) }

// Get returns the text at a path and whether there is one.
func (d *Document) Get(path Path) (string, bool) {
	node := d.find(path)
	if node == nil || node.Kind != yaml.ScalarNode {
		return "", false
	}
	return node.Value, true
}

// Length returns how many items the list at a path has, 0 when there is none.
func (d *Document) Length(path Path) int {
	if node := d.find(path); node != nil && node.Kind == yaml.SequenceNode {
		return len(node.Content)
	}
	return 0
}

// find returns the node at a path, nil when there is none.
func (d *Document) find(path Path) *yaml.Node {
	node := d.root
	for _, step := range path {
		if node = child(node, step); node == nil {
			return nil
		}
	}
	return node
}

// child returns what stands behind a key, or an item, nil when there is none.
func child(node *yaml.Node, step string) *yaml.Node {
	switch node.Kind {
	case yaml.MappingNode:
		if i := keyIndex(node, step); i >= 0 {
			return node.Content[i+1]
		}
	case yaml.SequenceNode:
		if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(node.Content) {
			return node.Content[i]
		}
	default:
	}
	return nil
}

// keyIndex returns where among a group's nodes a key stands, −1 when it does not.
func keyIndex(node *yaml.Node, name string) int {
	for i := 0; i+1 < len(node.Content); i += 2 {
		if node.Content[i].Value == name {
			return i
		}
	}
	return -1
}

// isNull reports whether nothing stands behind a key.
func isNull(node *yaml.Node) bool {
	return node.Kind == yaml.ScalarNode && node.ShortTag() == "!!null"
}

// Set writes a value at a path; keys on the way that are not there are added, each behind the one that the
// reference lists before it. The new document is returned and the old one stays. The error says why the
// place cannot be changed.
func (d *Document) Set(path Path, value Value) (*Document, error) {
	if err := value.check(); err != nil || len(path) == 0 {
		return nil, errors.Join(err, rootFault(path))
	}
	for depth := len(path); depth > 0; depth-- {
		if node := d.find(path[:depth]); node != nil {
			return d.setAt(path, depth, node, value)
		}
	}
	if d.root.Kind != yaml.MappingNode {
		return nil, fmt.Errorf("the file is %s; expected a group of keys", kindName(d.root))
	}
	return d.insert(nil, path[0], wrap(path[1:], value), d.wanted(nil, path, value))
}

// rootFault refuses a path that leads nowhere.
func rootFault(path Path) error {
	if len(path) == 0 {
		return errors.New("the file as a whole is changed in its text")
	}
	return nil
}

// setAt is Set when the path is there as far as depth, at a node.
func (d *Document) setAt(path Path, depth int, node *yaml.Node, value Value) (*Document, error) {
	want := d.wanted(path[:depth], path, value)
	switch {
	case depth < len(path) && node.Kind == yaml.MappingNode:
		return d.insert(path[:depth], path[depth], wrap(path[depth+1:], value), want)
	case depth < len(path) && isNull(node):
		return d.replace(path[:depth], wrap(path[depth:], value), want)
	case depth < len(path):
		return nil, fmt.Errorf("%s is %s, and %s cannot stand in it", path[:depth], kindName(node), path[depth])
	case node.Kind != yaml.ScalarNode:
		return nil, fmt.Errorf("%s is %s; remove it first, or change the text", path, kindName(node))
	}
	return d.replace(path, value, want)
}

// wrap puts a value behind keys.
func wrap(path Path, value Value) Value {
	for _, key := range slices.Backward(path) {
		value = Value{Keys: []KeyValue{{key, value}}}
	}
	return value
}

// Add adds an item at the end of the list at a path, which is begun when it is not there.
func (d *Document) Add(path Path, item Value) (*Document, error) {
	list := d.find(path)
	if list == nil || isNull(list) {
		return d.Set(path, Value{Items: []Value{item}, Flow: item.bare() && d.inFlow(path)})
	}
	if list.Kind != yaml.SequenceNode {
		return nil, fmt.Errorf("%s is %s; expected a list", path, kindName(list))
	}
	if err := item.check(); err != nil {
		return nil, err
	}
	want := clone(d.root)
	added := at(want, path)
	added.Content = append(added.Content, item.node())
	return d.first(want, func(try int) (edit, error) {
		item := item
		if list.Style&yaml.FlowStyle != 0 || len(list.Content) == 0 {
			return d.intoFlow(list, len(list.Content)-1, item.flow(try))
		}
		dash, err := d.dash(list, len(list.Content)-1)
		if err != nil {
			return edit{}, err
		}
		_, end, err := d.itemSpan(list, len(list.Content)-1)
		if err != nil {
			return edit{}, err
		}
		indent := strings.Repeat(" ", d.column(dash))
		at := d.lineEnd(end)
		return edit{at, at, d.ends + indent + "- " + item.block(len(indent)+2, d.ends, try)}, nil
	})
}

// inFlow reports whether a path leads into brackets.
func (d *Document) inFlow(path Path) bool {
	for depth := range path {
		if node := d.find(path[:depth]); node != nil && node.Style&yaml.FlowStyle != 0 {
			return true
		}
	}
	return false
}

// Remove removes the key or the item at a path with what stands behind it; a group or a list that would be
// left empty goes with it, but for a canal, whose name says something by itself. Comments on lines of their
// own around it stay.
func (d *Document) Remove(path Path) (*Document, error) {
	if d.find(path) == nil || len(path) == 0 {
		return nil, errors.Join(fmt.Errorf("%s is not there", path), rootFault(path))
	}
	holder := d.find(path.parent())
	alone := len(holder.Content) == 1 || holder.Kind == yaml.MappingNode && len(holder.Content) == 2
	want := clone(d.root)
	if alone && len(path) > 1 {
		if keepsName(path.parent()) {
			*at(want, path.parent()) = yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null"}
			return d.first(want, func(int) (edit, error) { return d.emptied(path.parent()) })
		}
		return d.Remove(path.parent())
	}
	if alone {
		return nil, errors.New("it is all the file holds")
	}
	unset(want, path)
	return d.first(want, func(int) (edit, error) { return d.cut(holder, path.last()) })
}

// Rename gives the key at a path another name; what stands behind it stays as it is.
func (d *Document) Rename(path Path, name string) (*Document, error) {
	if len(path) == 0 {
		return nil, rootFault(path)
	}
	holder := d.find(path.parent())
	if holder == nil || holder.Kind != yaml.MappingNode || keyIndex(holder, path.last()) < 0 {
		return nil, fmt.Errorf("%s is not there", path)
	}
	if err := (Value{Keys: []KeyValue{{name, Value{}}}}).check(); err != nil {
		return nil, err
	}
	if keyIndex(holder, name) >= 0 {
		return nil, fmt.Errorf("%s is there already; remove one of the two", join(path.parent(), name))
	}
	i := keyIndex(holder, path.last())
	want := clone(d.root)
	at(want, path.parent()).Content[i].Value = name
	return d.first(want, func(try int) (edit, error) {
		key := holder.Content[i]
		end, err := d.end(key)
		return edit{d.start(key), end, scalarText(name, d.flowAt(key), try)}, err
	})
}

// keepsName reports whether a path leads to a canal.
func keepsName(path Path) bool {
	return len(path) == 3 && path[0] == "tooth" && path[1] == "canals"
}

// Move moves an item of a list up (by −1) or down (by 1) with the comments right above it.
func (d *Document) Move(path Path, by int) (*Document, error) {
	if len(path) == 0 {
		return nil, rootFault(path)
	}
	list := d.find(path.parent())
	i, err := strconv.Atoi(path.last())
	if list == nil || list.Kind != yaml.SequenceNode || err != nil || i < 0 || i >= len(list.Content) {
		return nil, fmt.Errorf("%s is no item of a list", path)
	}
	j := i + by
	if by != 1 && by != -1 || j < 0 || j >= len(list.Content) {
		return nil, fmt.Errorf("%s cannot be moved further", path)
	}
	want := clone(d.root)
	moved := at(want, path.parent()).Content
	moved[i], moved[j] = moved[j], moved[i]
	return d.first(want, func(int) (edit, error) { return d.swap(list, min(i, j)) })
}

// edit puts a text in the place of a stretch of the document.
type edit struct {
	from, to int
	text     string
}

// tries is how many ways there are to write a text: plain, in quotes.
const tries = 2

// first makes the first edit after which the document says what is wanted.
func (d *Document) first(want *yaml.Node, write func(try int) (edit, error)) (*Document, error) {
	wanted := canonical(want)
	for try := range tries {
		e, err := write(try)
		if err != nil {
			return nil, err
		}
		next, err := NewDocument(d.src.name, []byte(d.mark+d.text[:e.from]+e.text+d.text[e.to:]))
		if err == nil && reflect.DeepEqual(canonical(next.root), wanted) && sameNulls(next.root, want) {
			return next, nil
		}
	}
	return nil, errPlace
}

// wanted returns the tree as it is to be after a value was set at a path that is there as far as have.
func (d *Document) wanted(have, path Path, value Value) *yaml.Node {
	want := clone(d.root)
	node := at(want, have)
	rest := wrap(path[len(have):], value).node()
	if len(have) < len(path) && node.Kind == yaml.MappingNode {
		node.Content = append(node.Content, rest.Content...)
		return want
	}
	*node = *rest
	return want
}

// at returns the node at a path that is there.
func at(node *yaml.Node, path Path) *yaml.Node {
	for _, step := range path {
		node = child(node, step)
	}
	return node
}

// unset takes the key or the item at a path out of a tree.
func unset(root *yaml.Node, path Path) {
	holder := at(root, path.parent())
	if holder.Kind == yaml.MappingNode {
		i := keyIndex(holder, path.last())
		holder.Content = slices.Delete(holder.Content, i, i+2)
		return
	}
	i, _ := strconv.Atoi(path.last())
	holder.Content = slices.Delete(holder.Content, i, i+1)
}

// clone copies a tree.
func clone(node *yaml.Node) *yaml.Node {
	copied := *node
	copied.Content = make([]*yaml.Node, len(node.Content))
	for i, c := range node.Content {
		copied.Content[i] = clone(c)
	}
	return &copied
}

// sameNulls reports whether two trees that say the same have nothing in the same places: an empty text is
// not nothing.
func sameNulls(a, b *yaml.Node) bool {
	if isNull(a) != isNull(b) {
		return false
	}
	if a.Kind == yaml.SequenceNode {
		for i := range a.Content {
			if b.Kind != a.Kind || i >= len(b.Content) || !sameNulls(a.Content[i], b.Content[i]) {
				return false
			}
		}
		return true
	}
	if a.Kind != yaml.MappingNode {
		return true
	}
	for i := 0; i+1 < len(a.Content); i += 2 {
		if other := child(b, a.Content[i].Value); other == nil || !sameNulls(child(a, a.Content[i].Value), other) {
			return false
		}
	}
	return true
}
