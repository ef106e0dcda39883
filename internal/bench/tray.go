package bench

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tugback/internal/treatment"
)

// catalogue is the engine's catalogue, written out once.
var catalogue = sync.OnceValue(treatment.Catalogue)

// byID finds entries of the catalogue by their id.
var byID = sync.OnceValue(func() map[string]treatment.Instrument {
	out := map[string]treatment.Instrument{}
	for _, i := range catalogue() {
		out[i.ID] = i
	}
	return out
})

// lookup finds an entry of the catalogue as treatment.Lookup does, which writes it out every time.
func lookup(id string) (treatment.Instrument, error) {
	if i, ok := byID()[id]; ok {
		return i, nil
	}
	return treatment.Instrument{}, fmt.Errorf("no %q in the catalogue", id)
}

// drawer is one family of the tray in one taper: what lies side by side in the sizes there are.
type drawer struct {
	key   string
	items []treatment.Instrument
}

// drawers returns the tray for the present kind of action.
func (r *treating) drawers(kind treatment.Kind) []drawer {
	var out []drawer
	at := map[string]int{}
	for _, item := range catalogue() {
		if !r.offered(item, kind) {
			continue
		}
		key := drawerKey(item)
		i, found := at[key]
		if !found {
			i = len(out)
			at[key] = i
			out = append(out, drawer{key: key})
		}
		out[i].items = append(out[i].items, item)
	}
	return out
}

// drawerKey says in which drawer an instrument lies.
func drawerKey(i treatment.Instrument) string {
	switch i.Family {
	case "needle":
		return i.Family + i.ID[strings.LastIndex(i.ID, "-"):]
	case "enlarger":
		return i.Family
	}
	key := fmt.Sprintf("%s.%02d", i.Family, i.Taper)
	if i.Length > 0 {
		key += fmt.Sprintf("-%dmm", i.Length)
	}
	return key
}

// offered reports whether an instrument is on the tray and can be used for a kind of action.
func (r *treating) offered(i treatment.Instrument, kind treatment.Kind) bool {
	if tray := r.paper.Case.Tray; len(tray) > 0 && !slices.Contains(tray, i.ID) {
		return false
	}
	if i.Length > 0 && len(r.paper.Case.Tray) == 0 && !r.long(i) {
		return false
	}
	switch kind {
	case treatment.Work:
		return i.Shapes()
	case treatment.Irrigate:
		return i.Family == "needle"
	case treatment.Fit:
		return i.Family == "cone"
	case treatment.Find:
		return i.Family == "hand-steel"
	case treatment.Bend, treatment.Measure:
		return i.Steel() || i.Family == "hand-niti"
	case treatment.Gauge, treatment.Retrieve:
		return slices.Contains([]string{"hand-steel", "hand-flex", "hand-niti"}, i.Family)
	case treatment.Wipe:
		return r.inUse(i.ID)
	default:
		return false
	}
}

// longFrom is the length from which an assistant lays longer files out, mm: what is left of 25 mm above the
// reference point is little to hold. Common practice, no source.
const longFrom = 24.0

// long reports whether a file of another length than usual is laid out: the longer ones for a long tooth.
func (r *treating) long(i treatment.Instrument) bool {
	return float64(i.Length) > longFrom && r.longTooth()
}

// longTooth reports whether the assistant lays the longer files out.
func (r *treating) longTooth() bool {
	if c := r.far(); c != nil {
		return c.chair.Long
	}
	return slices.ContainsFunc(r.states[0].Canals, func(c treatment.CanalState) bool { return c.Foramen() > longFrom })
}

// inUse reports whether an instrument was used and is whole.
func (r *treating) inUse(id string) bool {
	for _, t := range r.now().Tools {
		if t.Item == id && !t.Broken {
			return true
		}
	}
	return false
}

// hasTray reports whether the present kind takes something from the tray.
func (r *treating) hasTray() bool {
	return slices.ContainsFunc(treatment.Fields(r.kind), func(f treatment.Field) bool { return f.Key == "with" && f.Form == treatment.Name })
}

// drawer returns the drawer that stands open: that of the instrument in hand, else the first.
func (r *treating) drawer() (list []drawer, open int) {
	list = r.drawers(r.kind)
	item := r.forms[r.kind].Item
	for i, d := range list {
		if slices.ContainsFunc(d.items, func(x treatment.Instrument) bool { return x.ID == item }) {
			return list, i
		}
	}
	return list, 0
}

// turnFamily opens another drawer and takes the size nearest to the one in hand.
func (r *treating) turnFamily(steps int) {
	list, open := r.drawer()
	if len(list) == 0 {
		return
	}
	size := 0
	if item, err := lookup(r.forms[r.kind].Item); err == nil {
		size = item.Size
	}
	next := list[((open+steps)%len(list)+len(list))%len(list)]
	best := next.items[0]
	for _, i := range next.items {
		if abs(i.Size-size) < abs(best.Size-size) {
			best = i
		}
	}
	r.takeItem(best.ID)
}

func abs(n int) int { return max(n, -n) }

// takeItem takes an instrument into the hand.
func (r *treating) takeItem(id string) {
	item, err := lookup(id)
	if err != nil {
		return
	}
	a := r.forms[r.kind]
	a.Item = id
	if r.kind == treatment.Work {
		a.Motion = motionFor(item, a.Motion)
		r.feel = feeling{}
	}
	r.forms[r.kind] = a
}

// turnSize takes the next larger or smaller instrument of the drawer.
func (r *treating) turnSize(steps int) {
	list, open := r.drawer()
	if len(list) == 0 {
		return
	}
	items := list[open].items
	i := slices.IndexFunc(items, func(x treatment.Instrument) bool { return x.ID == r.forms[r.kind].Item })
	r.takeItem(items[min(max(i+steps, 0), len(items)-1)].ID)
}

// trayBlocks shows the drawer and the sizes around the one in hand.
func (r *treating) trayBlocks(rows int) []Block {
	list, open := r.drawer()
	if len(list) == 0 {
		return []Block{{Kind: Quiet, Text: say("tray.empty")}}
	}
	d := list[open]
	var blocks []Block
	if len(list) > 1 {
		blocks = append(blocks, controls(Control{ID: "family:", Kind: Choice, Label: say("tray.label"), Value: drawerName(d.items[0])}))
	} else {
		blocks = append(blocks, Block{Kind: Quiet, Text: drawerName(d.items[0])})
	}
	held := slices.IndexFunc(d.items, func(x treatment.Instrument) bool { return x.ID == r.forms[r.kind].Item })
	from := min(max(held-rows/2, 0), max(0, len(d.items)-rows))
	var lines []Control
	for i := from; i < min(from+rows, len(d.items)); i++ {
		item := d.items[i]
		lines = append(lines, Control{ID: "item:" + item.ID, Kind: Instrument, Label: sizeText(item), Item: &item, Chosen: i == held, Detail: r.pieceNote(item.ID)})
	}
	return append(blocks, controls(lines...))
}

// pieceNote says in a word what became of an instrument that was used.
func (r *treating) pieceNote(id string) string {
	note := ""
	if c := r.far(); c != nil {
		for _, t := range c.chair.Tools {
			if t.Item == id {
				note = t.Note
			}
		}
		return note
	}
	for _, t := range r.now().Tools {
		if t.Item != id {
			continue
		}
		switch {
		case t.Broken:
			note = say("piece.broken")
		case t.Tool.Unwound > 0.09:
			note = say("piece.unwound")
		case t.Tool.Clog > 0.7:
			note = say("piece.clogged")
		case bent(t.Tool.Set[0]) || bent(t.Tool.Set[1]):
			note = say("piece.curved")
		default:
			note = ""
		}
	}
	return note
}

// bent reports whether a file keeps a curve a person would see.
func bent(set []float64) bool {
	return slices.ContainsFunc(set, func(k float64) bool { return k > 0.04 || k < -0.04 })
}

// drawerName names a drawer: "Steel K-type hand files, .02".
func drawerName(i treatment.Instrument) string {
	name := sayOr("family."+i.Family, i.Name)
	switch i.Family {
	case "needle":
		return say("family." + drawerKey(i))
	case "enlarger":
		return name
	}
	return fmt.Sprintf("%s, .%02d", name, i.Taper)
}

// sizeText writes an instrument's size in figures, as it stands on the tray.
func sizeText(i treatment.Instrument) string {
	if i.Family == "needle" || i.Family == "enlarger" {
		return strconv.Itoa(i.Size)
	}
	return fmt.Sprintf("%02d", i.Size)
}

// instrumentName says an instrument: "steel K-type hand file, size 25, taper .02".
func instrumentName(i treatment.Instrument) string {
	switch i.Family {
	case "needle":
		return say("name.needle", "name", i.Name, "size", sizeText(i))
	case "enlarger":
		return say("name.enlarger", "name", i.Name, "size", sizeText(i))
	}
	return say("name.file", "name", i.Name, "size", sizeText(i), "taper", fmt.Sprintf(".%02d", i.Taper))
}
