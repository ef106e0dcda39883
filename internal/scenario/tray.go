package scenario

import "gopkg.in/yaml.v3"

// trayLimit is above the number of entries of the catalogue.
const trayLimit = 1000

// tray reads the instruments, cones and needles on offer, found in the file at a path of the library. An
// item is an id, or the use of a tray in a file of its own.
func (rr *ruleReader) tray(r *reader, file string, node *yaml.Node) []string {
	t := &trayReader{ruleReader: rr, seen: map[string]bool{}}
	t.list(r, file, node, true)
	if !t.uses {
		rr.trayNodes = nil // the file's own list says it all
	}
	return t.items
}

// trayReader collects a tray.
type trayReader struct {
	*ruleReader
	items []string
	seen  map[string]bool
	uses  bool
}

// list reads one list of items. outermost: it may use files.
func (t *trayReader) list(r *reader, file string, node *yaml.Node, outermost bool) {
	here := map[string]*yaml.Node{}
	r.list(node, "tray", trayLimit, func(n *yaml.Node) {
		if outermost && useOf(n) != nil {
			t.uses = true
			r.group(n, "a used tray", []key{{"use", true, func(n *yaml.Node) {
				if name, ok := r.text(n, "use"); ok {
					t.use(r, file, name, n)
				}
			}}})
			return
		}
		id, ok := r.item(n, "tray")
		if !ok || !r.keyText(n, here) || t.seen[id] {
			return
		}
		t.seen[id] = true
		t.items = append(t.items, id)
		t.trayNodes = append(t.trayNodes, n)
	})
}

// use reads the tray in a file.
func (t *trayReader) use(r *reader, from, name string, node *yaml.Node) {
	target, ok := t.target(r, from, name, node)
	if !ok {
		return
	}
	used, root := t.open(r, target, node, "tugback new tray")
	if root == nil {
		return
	}
	used.group(root, "a tray", []key{
		{"format", true, used.format},
		{"title", false, func(n *yaml.Node) { used.text(n, "title") }},
		{"tray", true, func(n *yaml.Node) { t.list(used, target, n, false) }},
	})
}
