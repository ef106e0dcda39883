package picture

import (
	"slices"
	"strconv"

	"tugback/internal/geom"
)

// caption is what is said of a place of the drawing, lettered in a column beside it.
type caption struct {
	at     geom.Point // the place, mm of the sheet
	head   string     // in italics
	detail string     // in figures
	mark   string     // one letter, for small pictures; "" is left out there
	colour Colour     // of the head and the leader
	weight int        // the heavier stays when there is no room
	right  bool       // column
}

// column is the space captions are set in.
type column struct {
	box   Box
	right bool // right of the drawing: lines begin at its left edge; else they end at its right edge
}

// block is a caption set in lines.
type block struct {
	caption
	heads, details []string
	height, y      float64 // y of the upper edge
}

// Type sizes of captions, px, and their leading in shares of the size.
const (
	headType   = 17.0
	detailType = 14.0
	markType   = 15.0
	leading    = 1.22
	blockGap   = 9.0 // px between captions
	mostBlocks = 7
)

// set letters captions in the columns for one tier; what does not fit is counted in one last line.
func (s *sheet) set(name string, t tier, columns []column, captions []caption) {
	for _, c := range columns {
		var own []caption
		for _, each := range captions {
			if each.right == c.right && (t.words > 0 || each.mark != "") {
				own = append(own, each)
			}
		}
		s.setColumn(name, t, c, own)
	}
}

func (s *sheet) setColumn(name string, t tier, c column, captions []caption) {
	slices.SortStableFunc(captions, func(a, b caption) int { return b.weight - a.weight })
	left := 0
	if len(captions) > mostBlocks {
		left = len(captions) - mostBlocks
		captions = captions[:mostBlocks]
	}
	blocks := make([]block, len(captions))
	for i, each := range captions {
		blocks[i] = t.block(each, c)
	}
	room := c.box.Top - c.box.Bottom
	for len(blocks) > 0 && total(blocks, t) > room {
		blocks = blocks[:len(blocks)-1]
		left++
	}
	if left > 0 && t.words > 0 {
		for len(blocks) > 0 && total(blocks, t)+(detailType*leading+blockGap)*t.unit > room {
			blocks = blocks[:len(blocks)-1]
			left++
		}
	}
	spread(blocks, c.box, t, left > 0 && t.words > 0)
	var shapes []Shape
	for _, b := range blocks {
		shapes = append(shapes, b.shapes(t, c, s.Palette)...)
	}
	if left > 0 && t.words > 0 {
		x, anchor := c.edge()
		more := say("plate.more", "count", strconv.Itoa(left))
		shapes = append(shapes, t.writing(geom.Point{X: x, Y: c.box.Bottom + 4*t.unit}, SerifItalic, detailType+1, anchor, s.Palette.Quiet, more))
	}
	side := "left"
	if c.right {
		side = "right"
	}
	s.letter(name+"-"+side, t, shapes...)
}

// edge returns where lines of a column begin or end.
func (c column) edge() (float64, Anchor) {
	if c.right {
		return c.box.Left, Start
	}
	return c.box.Right, End
}

// block sets one caption in lines.
func (t tier) block(each caption, c column) block {
	b := block{caption: each}
	width := c.box.Right - c.box.Left
	switch t.words {
	case 0:
		b.heads = []string{each.mark}
	case 1:
		b.heads = wrap(each.head, SerifItalic, headType*t.unit, width)
	default:
		b.heads = wrap(each.head, SerifItalic, headType*t.unit, width)
		b.details = wrap(each.detail, Sans, detailType*t.unit, width)
	}
	b.height = (float64(len(b.heads))*headType + float64(len(b.details))*detailType) * leading * t.unit
	return b
}

// total returns the height of blocks with the gaps between them.
func total(blocks []block, t tier) float64 {
	sum := 0.0
	for _, b := range blocks {
		sum += b.height + blockGap*t.unit
	}
	return sum - blockGap*t.unit
}

// spread puts blocks at the height of their places, in order, pushed apart and kept in the box.
func spread(blocks []block, box Box, t tier, more bool) {
	slices.SortStableFunc(blocks, func(a, b block) int { return compare(b.at.Y, a.at.Y) })
	gap := blockGap * t.unit
	bottom := box.Bottom
	if more {
		bottom += (detailType*leading + blockGap) * t.unit
	}
	free := box.Top
	for i := range blocks {
		b := &blocks[i]
		b.y = min(b.at.Y+0.6*headType*t.unit, free)
		free = b.y - b.height - gap
	}
	floor := bottom
	for i := len(blocks) - 1; i >= 0; i-- {
		b := &blocks[i]
		b.y = max(b.y, floor+b.height)
		floor = b.y + gap
	}
}

// shapes letters a block and draws its leader: a hairline from the first line to the place.
func (b block) shapes(t tier, c column, p Palette) []Shape {
	x, anchor := c.edge()
	y := b.y
	var out []Shape
	size, role := headType, SerifItalic
	if t.words == 0 {
		size, role = markType, SansBold
	}
	write := func(text string, role Role, size float64, colour Colour) {
		y -= size * leading * t.unit
		out = append(out, t.writing(geom.Point{X: x, Y: y + 0.28*size*t.unit}, role, size, anchor, colour, text))
	}
	for _, text := range b.heads {
		write(text, role, size, b.colour)
	}
	for _, text := range b.details {
		write(text, Sans, detailType, p.Ink)
	}
	first := *out[0].Text
	from, away := first.Box().Left-2*t.unit*2, -1.0
	if c.right {
		from, away = first.At.X-4*t.unit, -1.0
	} else {
		from, away = x+4*t.unit, 1.0
	}
	level := first.At.Y + 0.22*size*t.unit
	start, elbow := geom.Point{X: from, Y: level}, geom.Point{X: from + away*9*t.unit, Y: level}
	return append(out,
		Shape{Path: line(start, elbow, b.at), Stroke: b.colour, Weight: hairPen},
		Shape{Path: circle(b.at, 0.55), Fill: b.colour, Stroke: p.Paper, Weight: 0.2})
}
