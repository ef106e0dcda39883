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
	head  [3]float64 // mm left free at the top at each tier, for a title
	foot  [3]float64 // the same at the bottom, for a lens's name
	right bool       // right of the drawing: lines begin at its left edge; else they end at its right edge
}

// wider is how much room, px, the figures of a ruler need more where type is bigger.
const wider = 26.0

// at returns the column as it is at a tier: without what stands above and below it, and clear of the
// rulers' figures.
func (c column) at(t tier, full float64) column {
	c.box.Top -= c.head[t.words]
	c.box.Bottom += c.foot[t.words]
	if c.right {
		c.box.Left += wider * (t.unit - full)
	} else {
		c.box.Right -= wider * (t.unit - full)
	}
	return c
}

// under takes the room of a title out of a column for good, for what stands below it at every tier.
func (c *column) under() {
	c.box.Top -= max(c.head[0], c.head[1], c.head[2])
	c.head = [3]float64{}
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
		s.setColumn(name, t, c.at(t, s.tiers[2].unit), own)
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
	blocks = untangled(blocks, t, c, left > 0 && t.words > 0)
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

// untangled puts blocks in the order of their places from the top, then swaps neighbours whose leaders
// cross as long as that helps.
func untangled(blocks []block, t tier, c column, more bool) []block {
	slices.SortStableFunc(blocks, func(a, b block) int { return compare(b.at.Y, a.at.Y) })
	spread(blocks, c.box, t, more)
	for range len(blocks) {
		swapped := false
		for i := 0; i+1 < len(blocks); i++ {
			before := crossings(blocks, t, c)
			if before == 0 {
				return blocks
			}
			trial := slices.Clone(blocks)
			trial[i], trial[i+1] = trial[i+1], trial[i]
			spread(trial, c.box, t, more)
			if crossings(trial, t, c) < before {
				blocks, swapped = trial, true
			}
		}
		if !swapped {
			break
		}
	}
	return blocks
}

// crossings counts the pairs of leaders that cross.
func crossings(blocks []block, t tier, c column) int {
	count := 0
	for i := range blocks {
		for j := range i {
			_, crossed := geom.Intersect(blocks[i].elbow(t, c), blocks[i].at, blocks[j].elbow(t, c), blocks[j].at)
			if crossed {
				count++
			}
		}
	}
	return count
}

// elbow returns where a block's leader turns towards its place.
func (b block) elbow(t tier, c column) geom.Point {
	x, _ := c.edge()
	away := 13.0
	if c.right {
		away = -13.0
	}
	size := b.size(t)
	return geom.Point{X: x + away*t.unit, Y: b.y + (0.5-leading)*size*t.unit}
}

// size returns the type size of a block's first line, px.
func (b block) size(t tier) float64 {
	if t.words == 0 {
		return markType
	}
	return headType
}

// spread puts blocks in their order at the height of their places, pushed apart and kept in the box.
func spread(blocks []block, box Box, t tier, more bool) {
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
	size, role := b.size(t), SerifItalic
	if t.words == 0 {
		role = SansBold
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
	elbow := b.elbow(t, c)
	start := geom.Point{X: x + (elbow.X-x)*4/13, Y: elbow.Y}
	return append(out,
		Shape{Path: line(start, elbow, b.at), Stroke: b.colour, Weight: hairPen},
		Shape{Path: circle(b.at, 0.55), Fill: b.colour, Stroke: p.Paper, Weight: 0.2})
}
