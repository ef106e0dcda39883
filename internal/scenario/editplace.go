package scenario

import (
	"strings"

	"gopkg.in/yaml.v3"
)

// replace writes a value in the place of the text or the nothing at a path that is there.
func (d *Document) replace(path Path, value Value, want *yaml.Node) (*Document, error) {
	holder := d.find(path.parent())
	return d.first(want, func(try int) (edit, error) {
		i := keyIndex(holder, path.last())
		if holder.Kind == yaml.SequenceNode {
			return d.replaceItem(holder, path.last(), value, try)
		}
		from, to, err := d.valueSpan(holder, i)
		if err != nil {
			return edit{}, err
		}
		if from == to {
			return d.fill(holder, i, from, value, try)
		}
		return d.replaceScalar(holder.Content[i+1], d.column(d.start(holder.Content[i])), from, to, value, try)
	})
}

// replaceItem is replace for an item of a list.
func (d *Document) replaceItem(list *yaml.Node, step string, value Value, try int) (edit, error) {
	item := child(list, step)
	for i, n := range list.Content {
		if n != item {
			continue
		}
		from, to, err := d.itemSpan(list, i)
		if err != nil {
			return edit{}, err
		}
		return d.replaceScalar(item, max(0, list.Column-1), from, to, value, try)
	}
	return edit{}, errPlace
}

// replaceScalar writes a value where a text stood, in the same style: folded, in quotes or plain. indent is
// the column of its key or dash.
func (d *Document) replaceScalar(node *yaml.Node, indent, from, to int, value Value, try int) (edit, error) {
	flow := d.flowAt(node)
	switch {
	case !value.bare() && flow, value.Flow:
		return edit{from, to, value.flow(try)}, nil
	case !value.bare():
		return edit{}, errPlace
	case value.Null:
		return edit{from, to, ""}, nil
	case node.Style&yaml.LiteralStyle != 0 && foldable(value.Text):
		head := d.lineEnd(from)
		return edit{head, to, d.ends + literal(value.Text, indent+2, d.ends)}, nil
	case node.Style&yaml.FoldedStyle != 0 && foldable(value.Text):
		head := d.lineEnd(from)
		return edit{head, to, d.ends + folded(value.Text, indent+2, d.ends)}, nil
	case node.Style&yaml.DoubleQuotedStyle != 0:
		return edit{from, to, doubleQuoted(value.Text)}, nil
	case node.Style&yaml.SingleQuotedStyle != 0 && !strings.ContainsAny(value.Text, "\n\t"):
		return edit{from, to, "'" + strings.ReplaceAll(value.Text, "'", "''") + "'"}, nil
	}
	long := strings.Contains(value.Text, "\n") || d.column(from)+len([]rune(value.Text)) > proseWidth
	if behind := d.lineEnd(to); long && !flow && try == 0 && foldable(value.Text) && d.line(from) == d.line(to) {
		comment := d.text[to:behind]
		return edit{from, behind, ">" + comment + d.ends + folded(value.Text, indent+2, d.ends)}, nil
	}
	return edit{from, to, scalarText(value.Text, flow, try)}, nil
}

// flowAt reports whether a node stands in brackets.
func (d *Document) flowAt(node *yaml.Node) bool {
	for rest := []*yaml.Node{d.root}; len(rest) > 0; {
		top := rest[len(rest)-1]
		rest = rest[:len(rest)-1]
		if top.Style&yaml.FlowStyle == 0 {
			rest = append(rest, top.Content...)
			continue
		}
		inner := []*yaml.Node{top}
		for len(inner) > 0 {
			n := inner[len(inner)-1]
			if n == node && n != top {
				return true
			}
			inner = append(inner[:len(inner)-1], n.Content...)
		}
	}
	return false
}

// fill writes a value behind a key behind which there is nothing.
func (d *Document) fill(holder *yaml.Node, i, at int, value Value, try int) (edit, error) {
	key := holder.Content[i]
	switch {
	case value.Null:
		return edit{at, at, ""}, nil
	case holder.Style&yaml.FlowStyle != 0 || d.flowAt(holder):
		return edit{at, at, " " + value.flow(try)}, nil
	case value.bare() || value.Flow:
		return edit{at, at, " " + value.block(0, d.ends, try)}, nil
	}
	indent := d.column(d.start(key)) + 2
	end := d.lineEnd(at)
	return edit{end, end, d.ends + strings.Repeat(" ", indent) + value.block(indent, d.ends, try)}, nil
}

// insert adds a key to the group at a path.
func (d *Document) insert(path Path, key string, value Value, want *yaml.Node) (*Document, error) {
	group := d.find(path)
	before := d.before(path, group, key)
	return d.first(want, func(try int) (edit, error) {
		k := KeyValue{key, value}
		if group.Style&yaml.FlowStyle != 0 || len(group.Content) == 0 {
			text := Value{Keys: []KeyValue{k}}.flow(try)
			return d.intoFlow(group, before, text[1:len(text)-1])
		}
		_, end, err := d.valueSpan(group, before)
		if err != nil {
			return edit{}, err
		}
		indent := d.column(d.start(group.Content[0]))
		at := d.lineEnd(end)
		return edit{at, at, d.ends + strings.Repeat(" ", indent) + keyText(k, indent, d.ends, try)}, nil
	})
}

// before returns behind which key of a group a new one is put: the one that the reference lists nearest
// before it, else the last.
func (d *Document) before(path Path, group *yaml.Node, key string) int {
	order := map[string]int{}
	for n, name := range d.order(path) {
		order[name] = n + 1
	}
	best := len(group.Content) - 2
	found := 0
	for i := 0; i+1 < len(group.Content); i += 2 {
		if n := order[group.Content[i].Value]; n > found && n < order[key] {
			best, found = i, n
		}
	}
	return best
}

// intoFlow adds a text to a group or list in brackets, behind the key or item with a number among its
// nodes, −1 or −2 in an empty one.
func (d *Document) intoFlow(node *yaml.Node, behind int, text string) (edit, error) {
	if node.Style&yaml.FlowStyle == 0 {
		return edit{}, errPlace
	}
	if behind < 0 {
		at := d.start(node) + 1
		return edit{at, at, text}, nil
	}
	var end int
	var err error
	if node.Kind == yaml.MappingNode {
		_, end, err = d.valueSpan(node, behind)
	} else {
		_, end, err = d.itemSpan(node, behind)
	}
	return edit{end, end, ", " + text}, err
}

// emptied takes away what stands behind the key at a path.
func (d *Document) emptied(path Path) (edit, error) {
	holder := d.find(path.parent())
	i := keyIndex(holder, path.last())
	_, to, err := d.valueSpan(holder, i)
	if err != nil {
		return edit{}, err
	}
	behind, err := d.end(holder.Content[i])
	if err != nil {
		return edit{}, err
	}
	colon, err := d.bracket(behind, ":", "")
	if err != nil {
		return edit{}, err
	}
	if d.line(colon) != d.line(to) && !d.flowAt(holder.Content[i+1]) && holder.Content[i+1].Style&yaml.FlowStyle == 0 {
		return edit{d.lineEnd(colon), d.lineEnd(to), ""}, nil
	}
	return edit{colon, to, ""}, nil
}

// cut takes a key or an item away.
func (d *Document) cut(holder *yaml.Node, step string) (edit, error) {
	if holder.Kind == yaml.MappingNode {
		i := keyIndex(holder, step)
		_, to, err := d.valueSpan(holder, i)
		if err != nil {
			return edit{}, err
		}
		from := d.start(holder.Content[i])
		if holder.Style&yaml.FlowStyle != 0 {
			return d.cutFlow(holder, i, 2, from, to)
		}
		if d.ownLine(from) {
			return d.cutLines(from, to), nil
		}
		return d.cutFirst(holder, i, from, to)
	}
	for i, n := range holder.Content {
		if n != child(holder, step) {
			continue
		}
		from, to, err := d.itemSpan(holder, i)
		if err != nil {
			return edit{}, err
		}
		if holder.Style&yaml.FlowStyle != 0 {
			return d.cutFlow(holder, i, 1, from, to)
		}
		dash, err := d.dash(holder, i)
		if err != nil || !d.ownLine(dash) {
			return edit{}, errPlace
		}
		return d.cutLines(dash, to), nil
	}
	return edit{}, errPlace
}

// cutLines takes whole lines away.
func (d *Document) cutLines(from, to int) edit {
	return edit{d.lineStart(from), d.nextLine(to), ""}
}

// cutFirst takes the key away that stands on the line of a dash; the next one comes up, unless comments
// stand between.
func (d *Document) cutFirst(group *yaml.Node, i, from, to int) (edit, error) {
	if i+2 >= len(group.Content) {
		return edit{}, errPlace
	}
	next := d.start(group.Content[i+2])
	between := d.text[d.lineEnd(to):next]
	if strings.Contains(between, "#") {
		return edit{from, d.lineEnd(to), ""}, nil
	}
	return edit{from, next, ""}, nil
}

// cutFlow takes a key or an item out of brackets, with the comma behind or before it. step is how many
// nodes one takes.
func (d *Document) cutFlow(holder *yaml.Node, i, step, from, to int) (edit, error) {
	if i+step < len(holder.Content) {
		next := d.start(holder.Content[i+step])
		if strings.Contains(d.text[to:next], "#") {
			return edit{}, errPlace
		}
		return edit{from, next, ""}, nil
	}
	var before int
	var err error
	if step == 2 {
		_, before, err = d.valueSpan(holder, i-2)
	} else {
		_, before, err = d.itemSpan(holder, i-1)
	}
	if err != nil || strings.Contains(d.text[before:from], "#") {
		return edit{}, errPlace
	}
	return edit{before, to, ""}, nil
}

// swap exchanges item i of a list and the one after it, each with the comments right above it.
func (d *Document) swap(list *yaml.Node, i int) (edit, error) {
	var from, to [2]int
	for n := range 2 {
		start, end, err := d.itemSpan(list, i+n)
		if err != nil {
			return edit{}, err
		}
		if list.Style&yaml.FlowStyle != 0 {
			from[n], to[n] = start, end
			continue
		}
		dash, err := d.dash(list, i+n)
		if err != nil || !d.ownLine(dash) {
			return edit{}, errPlace
		}
		from[n], to[n] = d.above(dash), d.lineEnd(end)
	}
	if from[1] < to[0] {
		return edit{}, errPlace
	}
	text := d.text[from[1]:to[1]] + d.text[to[0]:from[1]] + d.text[from[0]:to[0]]
	return edit{from[0], to[1], text}, nil
}
