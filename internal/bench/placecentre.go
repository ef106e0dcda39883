package bench

import (
	"math"
	"slices"
	"strconv"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/picture"
)

// centre lays what stands in the middle.
func (c *composer) centre(index int, box Box) {
	for len(c.sheet.Columns) <= index {
		c.sheet.Columns = append(c.sheet.Columns, Column{})
	}
	at := c.page.Centre
	switch {
	case at.Film != nil:
		c.film(box)
	case at.Beside != nil:
		c.twoPlates(box)
	case at.Plate != nil:
		c.plate(box)
	case len(at.Cards) > 0:
		c.cards(index, box)
	default:
		box.W = math.Min(box.W, 700*c.u)
		if margin := 24 * c.u; box.Y < margin { // lettering keeps the margin that a plate fills
			box.Y, box.H = margin, box.H-margin+box.Y
		}
		c.scrolled(index, box, at.Blocks)
	}
}

// cards lays the shelf out in a grid that scrolls.
func (c *composer) cards(index int, box Box) {
	u := c.u
	gap := 22 * u
	n := max(1, int((box.W+gap)/(210*u+gap)))
	n = min(n, len(c.page.Centre.Cards))
	w := math.Min((box.W-gap*float64(n-1))/float64(n), 380*u)
	pictureHigh := math.Min(math.Max(1.9*w, 180*u), math.Max(0.78*box.H-40*u, 160*u))
	scroll := c.session.scroll[index]
	y, rowHigh := box.Y-scroll, 0.0
	for i := range c.page.Centre.Cards {
		card := &c.page.Centre.Cards[i]
		if i%n == 0 && i > 0 {
			y += rowHigh + gap
			rowHigh = 0
		}
		x := box.X + float64(i%n)*(w+gap)
		rowHigh = math.Max(rowHigh, c.card(card, Box{x, y, w, pictureHigh}, index))
	}
	c.sheet.Columns[index] = Column{Box: box, Content: y + rowHigh + scroll - box.Y, Scroll: scroll}
}

// card lays one case: its tooth, its title, what is known of it; it returns the height.
func (c *composer) card(card *Card, box Box, column int) float64 {
	u := c.u
	pad := 10 * u
	frame := len(c.sheet.Items)
	c.sheet.Items = append(c.sheet.Items, Item{Kind: Frame, Column: column, Control: &card.Control})
	c.sheet.Items = append(c.sheet.Items, Item{Kind: PicturePanel, Column: column, Box: box.Shrunk(pad), Card: card})
	p := placer{c: c, x: box.X + pad, y: box.Bottom(), w: box.W - 2*pad, column: column}
	p.text(card.Title, picture.Serif, 19, 1.15, InkPlain)
	p.y += 4 * u
	for _, l := range card.Lines {
		p.text(l, picture.Sans, smallType, 1.35, InkQuiet)
	}
	p.y += pad
	whole := Box{box.X, box.Y, box.W, p.y - box.Y}
	c.sheet.Items[frame].Box = whole
	p.hit(card.Control.ID, whole, 0)
	return whole.H
}

// bounds returns the bounds of a tooth, mm.
func bounds(t *anatomy.Tooth) (low, high geom.Point) {
	low, high = geom.Point{X: math.Inf(1), Y: math.Inf(1)}, geom.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	take := func(points []geom.Point) {
		for _, p := range points {
			low = geom.Point{X: math.Min(low.X, p.X), Y: math.Min(low.Y, p.Y)}
			high = geom.Point{X: math.Max(high.X, p.X), Y: math.Max(high.Y, p.Y)}
		}
	}
	take(t.Crown.Outline)
	for _, r := range t.Roots {
		take(r.Outline)
	}
	return low, high
}

// FitTooth returns the view that puts a tooth into a box, with a share of the height left free above
// its crown for the instrument.
func FitTooth(t *anatomy.Tooth, box Box, shaft float64) picture.View {
	low, high := bounds(t)
	room := shaft * box.H
	scale := math.Min((box.H-room)/(high.Y-low.Y), box.W/(high.X-low.X))
	v := picture.View{Scale: scale, X: box.X + box.W/2 - scale*(low.X+high.X)/2, Down: !t.Upper}
	free := box.H - room - scale*(high.Y-low.Y)
	if t.Upper {
		v.Y = box.Bottom() - room - free/2 - scale*high.Y
	} else {
		v.Y = box.Y + room + free/2 + scale*high.Y
	}
	return v
}

// plate lays the plate with its lettering.
func (c *composer) plate(box Box) {
	u, at := c.u, c.page.Centre
	tooth := at.Plate.State.Case.Tooth
	line := 26 * u
	foot := c.footLines(box)
	inner := Box{box.X + 8*u, box.Y + line, box.W - 16*u, box.H - (1.4+0.9*float64(len(foot)))*line}
	shaft := 0.0
	if c.page.Screen == TreatmentScreen {
		shaft = 0.11
	}
	plate := &Plate{Scene: at.Plate, Box: box, Upper: tooth.Upper}
	side := math.Min(0.16*inner.W, 120*u)
	plate.View = FitTooth(tooth, Box{inner.X + side, inner.Y, inner.W - 2*side, inner.H}, shaft)
	plate.enlarge(at)
	c.sheet.Plate = plate
	c.marks(plate)
	p := placer{c: c, x: box.X, w: box.W, column: -1}
	top := box.Y + 8*u
	if at.Zoom > 1 { // the names would stand on the hatching
		p.add(Item{Kind: Blank, Box: Box{box.X, box.Y, box.W, line + 10*u}})
	}
	p.letter(say("plate.mesial"), picture.SerifItalic, plainType, box.X+8*u, top, line, InkQuiet)
	y := top
	if at.Clock != "" {
		p.letterRight(at.Clock, picture.Sans, c.clockSize(0.42*box.W), box.Right()-8*u, y, line, InkPlain) // the instrument stands in the middle
		y += line
	}
	if wide := Advance(say("plate.distal"), picture.SerifItalic, plainType*u); at.Zoom > 1 {
		p.add(Item{Kind: Blank, Box: Box{box.Right() - 14*u - wide, y, wide + 14*u, line}})
	}
	p.letterRight(say("plate.distal"), picture.SerifItalic, plainType, box.Right()-8*u, y, line, InkQuiet)
	c.plateFoot(box, line, foot)
	c.reference(plate)
	c.notes(plate, inner)
	c.lens(plate, inner)
}

// clockSize is the size of the clock's letters: large where there is room.
func (c *composer) clockSize(room float64) float64 {
	const large = 19
	if Advance(c.page.Centre.Clock, picture.Sans, large*c.u) <= room {
		return large
	}
	return plainType
}

// footLines is what stands under the plate, wrapped to two lines at most, a task to as many as leave the plate
// the larger part.
func (c *composer) footLines(box Box) []string {
	lines := wrap(c.page.Centre.Foot, picture.SerifItalic, plainType*c.u, box.W-20*c.u)
	most := 2
	if c.page.Centre.Task {
		most = max(most, int(0.45*box.H/(0.85*26*c.u)))
	}
	if len(lines) > most {
		lines = append(lines[:most-1:most-1], cut(lines[most-1]+" "+lines[most], picture.SerifItalic, plainType*c.u, box.W-20*c.u))
	}
	return lines
}

// plateFoot letters the lines under the plate.
func (c *composer) plateFoot(box Box, line float64, lines []string) {
	y := box.Bottom() - float64(len(lines))*0.85*line
	p := placer{c: c, x: box.X, w: box.W, column: -1}
	for _, l := range lines {
		w := Advance(l, picture.SerifItalic, plainType*c.u)
		p.add(Item{Kind: Blank, Box: Box{box.X + (box.W-w)/2 - 8*c.u, y, w + 16*c.u, 0.85 * line}})
		p.letter(l, picture.SerifItalic, plainType, box.X+(box.W-w)/2, y, 0.85*line, InkQuiet)
		y += 0.85 * line
	}
}

// notes letters faults beside the tooth, on the side with more room, each with a leader to its place.
func (c *composer) notes(plate *Plate, inner Box) {
	u := c.u
	_, corner := bounds(plate.Scene.State.Case.Tooth)
	b := plate.View.Point(corner)
	if c.page.Centre.Zoom > 1 { // the tooth fills the plate
		b.X = inner.Right() - 0.34*inner.W
	}
	reach := 30 * u
	x, w := b.X+reach, inner.Right()-b.X-reach
	if w < 96*u {
		return
	}
	w = math.Min(w, 190*u)
	foot := inner.Y + 60*u
	list := slices.DeleteFunc(slices.Clone(plate.Scene.Notes), func(n PlateNote) bool {
		at := plate.View.Point(n.At)
		return !plate.Box.Contains(at.X, at.Y)
	})
	slices.SortFunc(list, func(m, n PlateNote) int {
		return int(math.Copysign(1, plate.View.Point(m.At).Y-plate.View.Point(n.At).Y))
	})
	for _, n := range list {
		at := plate.View.Point(n.At)
		high := c.high([]Block{{Kind: Said, Text: n.Head}, {Kind: Quiet, Text: n.Detail}}, w)
		p := placer{c: c, x: x, y: math.Max(math.Min(at.Y-10*u, inner.Bottom()-high), foot), w: w, column: -1}
		if p.y+high > inner.Bottom()+1 {
			return
		}
		start, ground := p.y, len(c.sheet.Items)
		p.add(Item{Kind: Blank})
		p.text(n.Head, picture.SerifItalic, headType, 1.2, InkEvent)
		p.text(n.Detail, picture.Sans, leastType, 1.35, InkEvent)
		c.sheet.Items[ground].Box = Box{x - 4*u, start, w + 4*u, p.y - start}
		foot = p.y + 8*u
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Leader, Column: -1, Box: Box{at.X, at.Y, x - 5*u - at.X, start + 11*u - at.Y}})
	}
}

// LensPower is how much larger the lens shows.
const LensPower = 3

// lens puts the glass into the free corner beside the apex when the hand is at work there.
func (c *composer) lens(plate *Plate, inner Box) {
	if c.page.Screen != TreatmentScreen || plate.Scene.Closed || plate.Scene.Live == nil || plate.Scene.Live.File == nil {
		return
	}
	r := c.session.run
	if c.page.Centre.Zoom > 1 || !r.feel.known || r.feel.canal != r.canal {
		return
	}
	low, _ := bounds(plate.Scene.State.Case.Tooth)
	room := plate.View.Point(low).X - inner.X
	radius := math.Min(0.46*room, 0.125*inner.H)
	if radius < 46*c.u {
		return
	}
	y := inner.Bottom() - radius - 10*c.u
	name := say("plate.lens", "times", strconv.Itoa(LensPower))
	over := y - radius - 24*c.u
	if plate.Upper {
		y = inner.Y + radius + 34*c.u
		over = y + radius + 4*c.u
	}
	p := placer{c: c, x: inner.X, w: 2 * radius, column: -1}
	p.letter(name, picture.SerifItalic, plainType, inner.X+radius+4*c.u-Advance(name, picture.SerifItalic, plainType*c.u)/2, over, 20*c.u, InkQuiet)
	plate.Lens = &Lens{X: inner.X + radius + 4*c.u, Y: y, Radius: radius, At: plate.Scene.Live.File.Axis[0]}
}

// enlarge enlarges the plate about a place.
func (p *Plate) enlarge(at Centre) {
	if at.Zoom <= 1 {
		return
	}
	p.View.Scale *= at.Zoom
	here := p.View.Point(at.At)
	p.View.X += p.Box.X + p.Box.W/2 - here.X
	p.View.Y += p.Box.Y + p.Box.H/2 - here.Y
}

// marks lays what was marked on the plate, and makes it a place to point at.
func (c *composer) marks(plate *Plate) {
	at := c.page.Centre
	if at.Spot == nil {
		return
	}
	for i, m := range at.Marks {
		from, to := plate.View.Point(m), plate.View.Point(m)
		if i+1 < len(at.Marks) {
			to = plate.View.Point(at.Marks[i+1])
		}
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Leader, Column: -1, Box: Box{from.X, from.Y, to.X - from.X, to.Y - from.Y}})
	}
	const arm = 9
	spot := plate.View.Point(*at.Spot)
	c.sheet.Items = append(c.sheet.Items, Item{Kind: Cross, Column: -1, Box: Box{spot.X - arm, spot.Y - arm, 2 * arm, 2 * arm}})
	c.sheet.Hits = append(c.sheet.Hits, Hit{ID: "quiz:across", Box: plate.Box, Part: 3, Column: -1})
}
