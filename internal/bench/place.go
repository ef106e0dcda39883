package bench

import (
	"math"

	"tugback/internal/picture"
)

// Sizes of type at 100 %, px.
const (
	largeType = 25.0
	headType  = 17.0
	plainType = 16.0
	smallType = 14.0
	leastType = 13.0
)

// placer lays blocks one under the other.
type placer struct {
	c      *composer
	x, y   float64
	w      float64
	column int
}

func (p *placer) blocks(list []Block) {
	for _, b := range list {
		p.block(b)
	}
}

func (p *placer) block(b Block) {
	u := p.c.u
	switch b.Kind {
	case Heading:
		p.text(b.Text, picture.Serif, largeType, 1.12, InkPlain)
		p.y += 4 * u
	case Subhead:
		p.subhead(b)
	case Text:
		p.text(b.Text, picture.Sans, plainType, 1.4, InkPlain)
		p.y += 4 * u
	case Quiet:
		p.text(b.Text, picture.Sans, smallType, 1.4, InkQuiet)
		p.y += 4 * u
	case Said:
		p.y += 2 * u
		p.text(b.Text, picture.SerifItalic, headType, 1.25, InkPlain)
		p.y += 4 * u
	case Warning:
		p.warning(b.Text)
	case Rule:
		p.y += 10 * u
		p.add(Item{Kind: Hairline, Box: Box{p.x, p.y, p.w, 0}})
		p.y += 10 * u
	case Gap:
		p.y += 12 * u
	case Controls:
		for i := range b.Controls {
			p.control(&b.Controls[i])
		}
	case Row:
		p.row(b.Controls)
	case Curve:
		p.panel(Item{Kind: GraphPanel, Graph: b.Graph}, 0.56*p.w, 140*u)
	case LocatorScale:
		p.locator(b.Scale)
	case FeelStrip:
		p.strip(b.Strip)
	case FloorPlan:
		p.panel(Item{Kind: PlanPanel, Plan: b.Plan}, 0.72*p.w, 150*u)
	case SmallFilm:
		p.panel(Item{Kind: FilmPanel, Film: b.Film}, filmHigh(b.Film, p.w, math.Min(0.8*p.w, 320*u)), 120*u)
	case Figures:
		p.figures(b.Pairs)
	case Pairs:
		p.pairs(b.Pairs)
	}
}

func (p *placer) add(i Item) {
	i.Column = p.column
	p.c.sheet.Items = append(p.c.sheet.Items, i)
}

func (p *placer) hit(id string, box Box, part int) {
	p.c.sheet.Hits = append(p.c.sheet.Hits, Hit{ID: id, Box: box, Part: part, Column: p.column})
}

// letter sets one line with its left edge at x; y is the top of a line of the given height.
func (p *placer) letter(text string, role picture.Role, size, x, y, high float64, ink Ink) {
	px := size * p.c.u
	w := Advance(text, role, px)
	p.add(Item{Kind: Letter, Text: text, Role: role, Size: px, Ink: ink, Box: Box{x, y + (high-px)/2, w, px}})
}

// letterRight sets a line with its right edge at x.
func (p *placer) letterRight(text string, role picture.Role, size, x, y, high float64, ink Ink) {
	p.letter(text, role, size, x-Advance(text, role, size*p.c.u), y, high, ink)
}

// text sets a wrapped text.
func (p *placer) text(text string, role picture.Role, size, lead float64, ink Ink) {
	high := lead * size * p.c.u
	for _, line := range wrap(text, role, size*p.c.u, p.w) {
		p.letter(line, role, size, p.x, p.y, high, ink)
		p.y += high
	}
}

// subhead sets a head with a quiet note at the right, or under it where there is no room.
func (p *placer) subhead(b Block) {
	u := p.c.u
	p.y += 6 * u
	high := 1.35 * headType * u
	note := Advance(b.Note, picture.Sans, leastType*u)
	beside := b.Note != "" && Advance(b.Text, picture.Serif, headType*u)+note+12*u <= p.w
	if beside {
		p.letterRight(b.Note, picture.Sans, leastType, p.x+p.w, p.y, high, InkQuiet)
	}
	p.text(b.Text, picture.Serif, headType, 1.35, InkPlain)
	if b.Note != "" && !beside {
		p.text(b.Note, picture.Sans, leastType, 1.35, InkQuiet)
	}
	p.y += 2 * u
}

// warning sets a framed sentence.
func (p *placer) warning(text string) {
	u := p.c.u
	pad := 10 * u
	inner := placer{c: p.c, x: p.x + pad, y: p.y + pad, w: p.w - 2*pad, column: p.column}
	at := len(p.c.sheet.Items)
	inner.text(text, picture.SerifItalic, headType, 1.25, InkEvent)
	frame := Item{Kind: Notice, Box: Box{p.x, p.y, p.w, inner.y + pad - p.y}, Column: p.column}
	items := p.c.sheet.Items
	p.c.sheet.Items = append(append(append([]Item{}, items[:at]...), frame), items[at:]...)
	p.y = inner.y + pad + 8*u
}

func (p *placer) panel(i Item, high, least float64) {
	i.Box = Box{p.x, p.y, p.w, math.Max(high, least)}
	p.add(i)
	p.y += i.Box.H + 6*p.c.u
}

// figures sets up to three figures beside each other, or under each other where they do not fit.
func (p *placer) figures(list [][2]string) {
	u := p.c.u
	each := p.w / float64(len(list))
	fits := true
	for _, f := range list {
		fits = fits && math.Max(Advance(f[0], picture.Sans, smallType*u), Advance(f[1], picture.Sans, 20*u)) < each-6*u
	}
	if !fits {
		p.pairs(list)
		return
	}
	for i, f := range list {
		x := p.x + float64(i)*each
		p.letter(f[0], picture.Sans, smallType, x, p.y, 20*u, InkQuiet)
		p.letter(f[1], picture.Sans, 20, x, p.y+20*u, 28*u, InkPlain)
	}
	p.y += 54 * u
}

// pairs sets lines of two texts; the first is quiet and the second wraps beside it, or under it where
// the first is long.
func (p *placer) pairs(list [][2]string) {
	u := p.c.u
	first := 0.0
	for _, l := range list {
		first = math.Max(first, Advance(l[0], picture.Sans, smallType*u))
	}
	under := first > 0.45*p.w
	high := 1.4 * smallType * u
	for _, l := range list {
		x, w := p.x+first+12*u, p.w-first-12*u
		if under {
			for _, line := range wrap(l[0], picture.Sans, smallType*u, p.w) {
				p.letter(line, picture.Sans, smallType, p.x, p.y, high, InkQuiet)
				p.y += high
			}
			x, w = p.x+10*u, p.w-10*u
		} else if l[0] != "" {
			p.letter(l[0], picture.Sans, smallType, p.x, p.y, high, InkQuiet)
		}
		for _, line := range wrap(l[1], picture.Sans, smallType*u, w) {
			p.letter(line, picture.Sans, smallType, x, p.y, high, InkPlain)
			p.y += high
		}
		p.y += 3 * u
	}
	p.y += 3 * u
}

// row sets controls side by side, wrapped.
func (p *placer) row(list []Control) {
	u := p.c.u
	x, high := p.x, 30*u
	for i := range list {
		c := &list[i]
		w := Advance(c.Label, picture.Sans, smallType*u) + 13*u
		if c.Chosen {
			w = Advance(c.Label, picture.SansBold, smallType*u) + 13*u
		}
		w = math.Min(math.Max(w, 28*u), p.w)
		if x+w > p.x+p.w+0.5 && x > p.x {
			x, p.y = p.x, p.y+high+2*u
		}
		box := Box{x, p.y, w, high}
		p.add(Item{Kind: Frame, Box: box, Control: c})
		role := picture.Sans
		if c.Chosen {
			role = picture.SansBold
		}
		p.letter(cut(c.Label, role, smallType*u, w-12*u), role, smallType, x+6.5*u, p.y, high, inkOf(c))
		if c.Chosen {
			p.add(Item{Kind: Underline, Box: Box{x + 6.5*u, p.y + high - 4*u, w - 13*u, 0}, Control: c})
		}
		p.hit(c.ID, box, 0)
		x += w + 2*u
	}
	p.y += high + 6*u
}

func inkOf(c *Control) Ink {
	if c.Disabled {
		return InkQuiet
	}
	return InkPlain
}
