package scenario

import (
	"io/fs"
	"path"
	"slices"

	"gopkg.in/yaml.v3"

	"tugback/internal/quiz"
)

// Limits of a file of items.
const (
	itemLimit   = 500
	partLimit   = 20
	beforeLimit = 200
)

// LoadItems reads quiz items from a file. The error is a Faults with all that is wrong, the linter's
// findings among it. Checked by TestShippedItems and TestBadItems.
func LoadItems(name string) ([]quiz.Item, error) {
	file, faults := openFile(name)
	if faults != nil {
		return nil, faults
	}
	src, faults := readSource(name, file)
	if faults != nil {
		return nil, faults
	}
	return readItems(src)
}

// ParseItems reads quiz items from a text; name stands for the file in faults. The error is a Faults.
// Checked by TestBadItems and FuzzParseItems.
func ParseItems(name string, text []byte) ([]quiz.Item, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return nil, faults
	}
	return readItems(src)
}

// LoadItemsFS reads every file of items in a folder of a file system, in order of name, and returns their
// items one file after the other. The error is a Faults with all that is wrong in all of them. Checked by
// TestShippedItems.
func LoadItemsFS(files fs.FS, folder string) ([]quiz.Item, error) {
	names, err := fs.Glob(files, path.Join(folder, "*.yaml"))
	if err != nil || len(names) == 0 {
		return nil, wholeFile(folder, "file", "holds no files of items")
	}
	slices.Sort(names)
	var items []quiz.Item
	var all Faults
	for _, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			all = append(all, wholeFile(name, "file", "%s", reason(err))...)
			continue
		}
		src, faults := newSource(name, text)
		if faults == nil {
			var read []quiz.Item
			read, faults = itemsOf(src)
			items = append(items, read...)
		}
		all = append(all, faults...)
	}
	if err := all.err(); err != nil {
		return nil, err
	}
	return items, nil
}

// readItems reads the items of a text.
func readItems(src *source) ([]quiz.Item, error) {
	items, faults := itemsOf(src)
	if err := faults.err(); err != nil {
		return nil, err
	}
	return items, nil
}

// itemReader reads the items of a file.
type itemReader struct {
	reader
	step     string // of items that name none
	items    []writtenItem
	answered bool // the item being read has an answer with a known unit
}

// writtenItem is an item with the places of its keys and parts.
type writtenItem struct {
	item   quiz.Item
	node   *yaml.Node
	fields map[string]*yaml.Node
	sound  bool // no fault was noted while it was read
}

// itemsOf reads and examines the items of a text.
func itemsOf(src *source) ([]quiz.Item, Faults) {
	root, faults := src.parse()
	if root == nil {
		return nil, faults
	}
	r := &itemReader{reader: reader{src: src, faults: faults}}
	var list *yaml.Node
	r.group(root, "a file of items", []key{
		{"format", true, r.format},
		{"title", false, func(n *yaml.Node) { r.text(n, "title") }},
		{"step", false, func(n *yaml.Node) { r.step, _ = r.word(n, "step", quiz.Steps()) }},
		{"items", true, func(n *yaml.Node) { list = n }},
	})
	if list != nil {
		r.list(list, "items", itemLimit, r.item)
	}
	items := r.examine()
	return items, r.faults
}

// examine resolves and checks the items that were read without fault and puts the findings at their
// places.
func (r *itemReader) examine() []quiz.Item {
	var items []quiz.Item
	for n := range r.items {
		w := &r.items[n]
		if w.sound {
			if resolved, err := quiz.Resolve(w.item); err == nil {
				w.item = resolved
			}
			for _, f := range append(quiz.Check(w.item), quiz.Lint(w.item)...) {
				r.finding(w, f)
			}
		}
		items = append(items, w.item)
	}
	for _, f := range quiz.LintBank(items) {
		for n := len(r.items) - 1; n >= 0; n-- {
			if r.items[n].item.ID == f.Item {
				r.finding(&r.items[n], f)
				break
			}
		}
	}
	return items
}

// finding notes a finding at the part of the item that it is about.
func (r *itemReader) finding(w *writtenItem, f quiz.Finding) {
	node := w.fields[f.Field]
	switch {
	case node == nil && f.Field == "options":
		node = w.fields["order"]
	case node == nil && f.Field == "source":
		node = w.fields["facts"]
	}
	if node == nil {
		node = w.node
	}
	if f.Index >= 0 && node.Kind == yaml.SequenceNode && f.Index < len(node.Content) {
		node = node.Content[f.Index]
	}
	r.note(node, f.Rule, "%s: %s", w.item.ID, f.Message)
}
