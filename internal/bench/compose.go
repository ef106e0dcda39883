package bench

import (
	"math"
)

// composer lays a page out.
type composer struct {
	session *Session
	page    Page
	sheet   *Sheet
	u       float64 // px per px at 100 % text
}

// Widths, px at 100 % text, at which columns fold.
const (
	threeColumns = 980.0
	twoBeneath   = 620.0
	// compactHeight is that below which the list of steps becomes one line.
	compactHeight = 780.0
)

// Compose lays the page out on a sheet of a size in px. The same session and size give the same sheet;
// it also scrolls into view what has the keyboard now, and before that what is to be used next now. Checked by
// TestFocusIsSeen and TestLessonIsSeen.
func (s *Session) Compose(w, h float64) *Sheet {
	u := float64(s.settings.TextPercent) / 100
	s.arrange(w, h, u)
	sheet := s.composeOnce(w, h, u)
	reveal := func(id string, seen *string) {
		for range 2 {
			if id == *seen || !s.reveal(sheet, id) {
				break
			}
			sheet = s.composeOnce(w, h, u)
		}
		*seen = id
	}
	reveal(s.next(), &s.pointed)
	reveal(s.focus, &s.revealed)
	s.clampScroll(sheet)
	return sheet
}

// arrange tells the page how much room there is.
func (s *Session) arrange(w, h, u float64) {
	folded := w/u < threeColumns && (w > h || w/u < twoBeneath)
	compact := h/u < compactHeight || folded || w < h
	room := h/u - 735
	if compact {
		room = h/u - 514
	}
	if w < h && !folded {
		room = h/u/2 - 453 // the columns stand under the plate
	}
	rows := min(max(int(room/33), 3), 7)
	if folded != s.folded || rows != s.rows || compact != s.compact {
		s.folded, s.rows, s.compact = folded, rows, compact
		s.changed()
		if _, there := s.control(s.focus); !there {
			s.focus = ""
		}
	}
}

func (s *Session) composeOnce(w, h, u float64) *Sheet {
	c := &composer{session: s, page: s.Page(), u: u, sheet: &Sheet{W: w, H: h, Text: u}}
	left, centre, right, foot := c.regions()
	if len(c.page.Foot) > 0 {
		c.foot(foot)
	}
	c.side(0, left, c.page.Left, c.page.Act, true)
	c.centre(1, centre)
	if right.W > 0 {
		c.side(2, right, c.page.Right, c.page.Tell, false)
	} else {
		c.sheet.Columns = append(c.sheet.Columns, Column{})
	}
	return c.sheet
}

// regions divides the sheet.
func (c *composer) regions() (left, centre, right, foot Box) {
	w, h, u := c.sheet.W, c.sheet.H, c.u
	m := math.Min(28*u, 0.03*w)
	top, bottom := math.Min(24*u, 0.04*h), h-math.Min(20*u, 0.04*h)
	if len(c.page.Foot) > 0 {
		high := 92 * u
		if w/u < twoBeneath {
			high = 128 * u
		}
		foot = Box{m, bottom - high, w - 2*m, high}
		bottom -= high + 8*u
	}
	line := func(x, y0, y1 float64) {
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Hairline, Box: Box{x, y0, 0, y1 - y0}, Column: -1})
	}
	side := math.Min(math.Max(0.205*w, 232*u), 300*u)
	switch {
	case c.page.Screen == ShelfScreen || c.page.Screen == HelpScreen || c.page.Screen == SettingsScreen || c.page.Screen == ExamScreen || c.page.Screen == QuizScreen && c.page.Centre.Plate == nil && len(c.page.Right) == 0:
		side = math.Min(side, 0.45*w)
		if w < h && w/u < twoBeneath {
			left = Box{m, top, w - 2*m, 0.4 * h}
			centre = Box{m, left.Bottom() + 8*u, w - 2*m, bottom - left.Bottom() - 8*u}
			return left, centre, right, foot
		}
		left = Box{m, top, side, bottom - top}
		line(left.Right()+0.6*m, top, bottom)
		centre = Box{left.Right() + 1.2*m, top, w - left.Right() - 2.2*m, bottom - top}
	case w/u >= threeColumns:
		left = Box{m, top, side, bottom - top}
		right = Box{w - m - side*1.05, top, side * 1.05, bottom - top}
		line(left.Right()+0.6*m, top, bottom)
		line(right.X-0.6*m, top, bottom)
		centre = Box{left.Right() + 0.9*m, 0, right.X - left.Right() - 1.8*m, bottom}
	case w > h:
		left = Box{m, top, math.Min(math.Max(side, 250*u), 0.5*w), bottom - top}
		line(left.Right()+0.6*m, top, bottom)
		centre = Box{left.Right() + 0.9*m, 0, w - left.Right() - 1.2*m, bottom}
	default:
		centre = Box{m, 0, w - 2*m, 0.5 * h}
		y := centre.Bottom() + 8*u
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Hairline, Box: Box{m, y - 4*u, w - 2*m, 0}, Column: -1})
		left = Box{m, y, w - 2*m, bottom - y}
		if w/u >= twoBeneath {
			half := (w - 3.2*m) / 2
			left.W = half
			right = Box{w - m - half, y, half, bottom - y}
			line((left.Right()+right.X)/2, y, bottom)
		}
	}
	if c.page.Screen == QuizScreen && c.page.Centre.Plate == nil {
		centre.Y, centre.H = top, centre.H-top // lettering keeps the margin that a plate fills
	}
	return left, centre, right, foot
}

// side lays a column with what is pinned to its lower end.
func (c *composer) side(index int, box Box, blocks, pinned []Block, left bool) {
	if left && c.session.folded && len(c.page.Right) > 0 {
		blocks = append(append(append([]Block{}, blocks...), Block{Kind: Rule}), c.page.Right...)
	}
	if len(pinned) > 0 {
		high := c.high(pinned, box.W)
		if most := 0.5 * box.H; high > most {
			blocks = append(append([]Block{}, pinned...), blocks...)
		} else {
			foot := Box{box.X, box.Bottom() - high, box.W, high}
			box.H -= high + 8*c.u
			p := placer{c: c, x: foot.X, y: foot.Y, w: foot.W, column: -1}
			p.blocks(pinned)
		}
	}
	c.scrolled(index, box, blocks)
}

// scrolled lays blocks into a column that scrolls.
func (c *composer) scrolled(index int, box Box, blocks []Block) {
	scroll := c.session.scroll[index]
	p := placer{c: c, x: box.X, y: box.Y - scroll, w: box.W, column: index}
	p.blocks(blocks)
	for len(c.sheet.Columns) <= index {
		c.sheet.Columns = append(c.sheet.Columns, Column{})
	}
	c.sheet.Columns[index] = Column{Box: box, Content: p.y + scroll - box.Y, Scroll: scroll}
}

// high returns the height blocks take at a width.
func (c *composer) high(blocks []Block, w float64) float64 {
	trial := composer{session: c.session, page: c.page, u: c.u, sheet: &Sheet{}}
	p := placer{c: &trial, w: w, column: -1}
	p.blocks(blocks)
	return p.y
}

// foot lays the foot of the page.
func (c *composer) foot(box Box) {
	c.sheet.Items = append(c.sheet.Items, Item{Kind: Hairline, Box: Box{box.X, box.Y - 4*c.u, box.W, 0}, Column: -1})
	p := placer{c: c, x: box.X, y: box.Y, w: box.W, column: -1}
	p.blocks(c.page.Foot)
}

// Scroll moves a column's content by dy px, as a wheel or a finger does; column is an index of
// Sheet.Columns.
func (s *Session) Scroll(column int, dy float64) {
	if column < 0 || column >= len(s.scroll) {
		return
	}
	s.scroll[column] += dy
	s.changed()
}

// clampScroll keeps every column within its content.
func (s *Session) clampScroll(sheet *Sheet) {
	for i := range sheet.Columns {
		c := &sheet.Columns[i]
		most := math.Max(0, c.Content-c.Box.H)
		if v := math.Min(math.Max(s.scroll[i], 0), most); v != s.scroll[i] {
			s.scroll[i] = v
			s.changed()
		}
	}
}

// next is the control that is to be used next, "" none.
func (s *Session) next() string {
	for _, c := range s.Page().Controls() {
		if c.Next {
			return c.ID
		}
	}
	return ""
}

// reveal scrolls a control into its column; it reports whether anything moved.
func (s *Session) reveal(sheet *Sheet, id string) bool {
	for _, h := range sheet.Hits {
		if h.ID != id || h.Part != 0 || h.Column < 0 {
			continue
		}
		box := sheet.Columns[h.Column].Box
		margin := math.Min(12*sheet.Text, 0.1*box.H)
		dy := 0.0
		if h.Box.Bottom() > box.Bottom()-margin {
			dy = h.Box.Bottom() - box.Bottom() + margin
		}
		if h.Box.Y-dy < box.Y+margin {
			dy = h.Box.Y - box.Y - margin
		}
		if dy != 0 {
			was := s.scroll[h.Column]
			s.scroll[h.Column] = math.Max(0, was+dy)
			return s.scroll[h.Column] != was
		}
	}
	return false
}
