package ui

import (
	"fmt"
	"hash/maphash"
	"math"

	"tugback/internal/bench"
)

// picked is one thing the screen shows: a print of all that its look depends on, and where it reaches.
type picked struct {
	print uint64
	box   bench.Box
}

// shown is what the screen shows.
type shown struct {
	base   string // size, palette, density: when it differs all is painted
	things []picked
	seed   maphash.Seed
}

// reach returns the box an item can paint into: its own with room for rings, dots and leaders.
func reach(i *bench.Item) bench.Box {
	box := i.Box
	if box.W < 0 {
		box.X, box.W = box.X+box.W, -box.W
	}
	if box.H < 0 {
		box.Y, box.H = box.Y+box.H, -box.H
	}
	if i.Kind == bench.Track || i.Kind == bench.TimeTrack { // a knob at an end reaches over it, with its ring
		return box.Shrunk(-6 - 0.5*i.Box.H)
	}
	return box.Shrunk(-6 - 0.4*i.Size)
}

// bar returns where the bar of a column stands that has more than is seen.
func bar(c *bench.Column) bench.Box {
	return bench.Box{X: c.Box.Right() + 2, Y: c.Box.Y, W: 6, H: c.Box.H}
}

// stale returns the boxes of the sheet that have to be painted again, none of which overlaps another.
func (g *Game) stale(b *brush) []bench.Box {
	base := fmt.Sprintf("%.2f %.2f %.3f %v %s", g.w, g.h, g.density, g.sheet.Text, b.palette.Name)
	now := g.things(b)
	before := g.shown.things
	g.shown.things = now
	whole := bench.Box{W: g.w, H: g.h}
	if base != g.shown.base {
		g.shown.base = base
		return []bench.Box{whole}
	}
	count := map[uint64]int{}
	for _, t := range before {
		count[t.print]++
	}
	var dirty []bench.Box
	for _, t := range now {
		if count[t.print] > 0 {
			count[t.print]--
			continue
		}
		dirty = join(dirty, t.box)
	}
	for _, t := range before {
		if count[t.print] > 0 {
			count[t.print]--
			dirty = join(dirty, t.box)
		}
	}
	return dirty
}

// join adds a box to a list, merged with those it touches.
func join(list []bench.Box, box bench.Box) []bench.Box {
	for k := 0; k < len(list); k++ {
		if !list[k].Overlaps(box) {
			continue
		}
		x, y := math.Min(box.X, list[k].X), math.Min(box.Y, list[k].Y)
		box = bench.Box{X: x, Y: y, W: math.Max(box.Right(), list[k].Right()) - x, H: math.Max(box.Bottom(), list[k].Bottom()) - y}
		list = append(list[:k:k], list[k+1:]...)
		k = -1
	}
	return append(list, box)
}

// things returns what the sheet consists of.
func (g *Game) things(b *brush) []picked {
	if g.shown.seed == (maphash.Seed{}) {
		g.shown.seed = maphash.MakeSeed()
	}
	var h maphash.Hash
	h.SetSeed(g.shown.seed)
	out := make([]picked, 0, len(g.sheet.Items)+4)
	for i := range g.sheet.Items {
		h.Reset()
		b.describe(&h, &g.sheet.Items[i])
		if k := g.sheet.Items[i].Column; k >= 0 { // a column that shrinks hides what stands still in it
			column := g.sheet.Columns[k].Box
			fmt.Fprint(&h, outside(g.sheet.Items[i].Box, column), g.sheet.Items[i].Box.Bottom() > column.Bottom())
		}
		out = append(out, picked{h.Sum64(), reach(&g.sheet.Items[i])})
	}
	for i := range g.sheet.Columns {
		c := &g.sheet.Columns[i]
		h.Reset()
		fmt.Fprintf(&h, "bar %+v", *c)
		out = append(out, picked{h.Sum64(), bar(c)})
	}
	if f := g.sheet.Film; f != nil {
		h.Reset()
		fmt.Fprintf(&h, "film %s %+v", g.films.print(f.Scene), f.View)
		out = append(out, picked{h.Sum64(), f.Box})
	}
	if p := g.sheet.Plate; p != nil {
		h.Reset()
		fmt.Fprintf(&h, "plate %s %s %v %+v %v %d", p.Scene.Key, g.plates.drawnKey, p.Scene.Closed, p.View, g.session.Working(), len(p.Scene.Over))
		if live := p.Scene.Live; live != nil {
			describeLive(&h, live)
		}
		if p.Lens != nil {
			fmt.Fprintf(&h, "%+v", *p.Lens)
		}
		if p.Scene.From != nil {
			fmt.Fprint(&h, p.Scene.From.At)
		}
		out = append(out, picked{h.Sum64(), p.Box})
	}
	if p := g.sheet.Beside; p != nil {
		h.Reset()
		fmt.Fprintf(&h, "beside %s %s %+v %d", p.Scene.Key, g.beside.drawnKey, p.View, len(p.Scene.Over))
		out = append(out, picked{h.Sum64(), p.Box})
	}
	return out
}

// describe writes all that an item's look depends on.
func (b *brush) describe(h *maphash.Hash, i *bench.Item) {
	fmt.Fprintf(h, "%d %v %d %s %d %v %d ", i.Kind, i.Box, i.Column, i.Text, i.Role, i.Size, i.Ink)
	if c := i.Control; c != nil {
		fmt.Fprintf(h, "%s %v %v %v %v %v %v %v %v", c.ID, c.Chosen, c.Done, c.Next, c.Disabled, c.Share, c.Marks, c.Pins, c.Kind)
		fmt.Fprintf(h, " %v %v %v", b.over == c.ID, b.down == c.ID, b.focus == c.ID)
	}
	if i.Kind == bench.PicturePanel && i.Card != nil {
		fmt.Fprint(h, b.g.small[b.cardKey(i)] != nil)
	}
	if i.Graph != nil {
		fmt.Fprintf(h, "%+v", *i.Graph)
	}
	if i.Scale != nil {
		fmt.Fprintf(h, "%+v", *i.Scale)
	}
	if i.Strip != nil {
		fmt.Fprintf(h, "%+v", *i.Strip)
	}
	if i.Film != nil {
		fmt.Fprint(h, b.g.films.print(i.Film))
	}
	if p := i.Plan; p != nil {
		fmt.Fprintf(h, "%d %d %v", len(p.Tooth), len(p.Chamber), p.Orifices)
		for _, cavity := range []*[4]float64{p.Done, p.Wanted} {
			if cavity != nil {
				fmt.Fprint(h, *cavity)
			}
		}
	}
}

// describeLive writes where the instrument stands and how far the walls are: ends and sums will do, for
// a wall only ever recedes.
func describeLive(h *maphash.Hash, live *bench.Live) {
	sum := 0.0
	in := &live.Inside
	for _, p := range in.Space.Points {
		sum += p.X*3.1 + p.Y
	}
	fmt.Fprintf(h, "%v %d %d %d", sum, len(in.Removed), len(in.Pulp.Points), len(in.Chips.Points))
	if f := live.File; f != nil {
		fmt.Fprintf(h, "%s %v %v %v %.2f", f.Item.ID, f.Axis[0], f.Stop, f.Axis[len(f.Axis)/2], f.Clog)
	}
}
