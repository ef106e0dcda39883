package bench

import (
	"math"

	"tugback/internal/picture"
)

// control sets one control on a line of its own.
func (p *placer) control(c *Control) {
	switch c.Kind {
	case Choice:
		p.choice(c)
	case Slider:
		p.slider(c)
	case Instrument:
		p.instrument(c)
	case StageLine:
		p.stageLine(c)
	case TimeLine:
		p.timeLine(c)
	case Pick, Toggle:
		p.line(c, 30, 2)
	case Primary:
		p.line(c, 40, 8)
	default:
		p.line(c, 34, 6)
	}
}

// line sets a label with a value or a detail at its right; a long label wraps.
func (p *placer) line(c *Control, least, gap float64) {
	u := p.c.u
	pad := 9 * u
	size, role := plainType, picture.Sans
	if c.Kind == Pick || c.Kind == Toggle || c.Kind == Button {
		size = smallType + 1
	}
	if c.Kind == Primary || c.Chosen && c.Kind == Pick {
		role = picture.SansBold
	}
	right := c.Detail
	if c.Value != "" {
		right = c.Value
		if c.Detail != "" {
			right += "  " + c.Detail
		}
	}
	taken := 0.0
	if right != "" {
		taken = Advance(right, picture.Sans, smallType*u) + 10*u
	}
	lines := wrap(c.Label, role, size*u, math.Max(p.w-2*pad-taken, 0.4*p.w))
	high := math.Max(least*u, float64(len(lines))*1.3*size*u+10*u)
	under := taken > 0 && p.w-2*pad-taken < 0.4*p.w
	if under {
		high += 1.4 * smallType * u
	}
	box := Box{p.x, p.y, p.w, high}
	p.add(Item{Kind: Frame, Box: box, Control: c})
	p.hit(c.ID, box, 0)
	body := high
	if under {
		body -= 1.4 * smallType * u
	}
	y := p.y + (body-float64(len(lines))*1.3*size*u)/2
	for i, l := range lines {
		p.letter(l, role, size, p.x+pad, y+float64(i)*1.3*size*u, 1.3*size*u, inkOf(c))
	}
	if right != "" {
		at := p.y
		if under {
			at, body = p.y+body-4*u, 1.4*smallType*u
			right = cut(right, picture.Sans, smallType*u, p.w-2*pad)
		}
		p.letterRight(right, picture.Sans, smallType, p.x+p.w-pad, at, body, InkQuiet)
	}
	p.y += high + gap*u
}

// choice sets a label and a value between two arrows.
func (p *placer) choice(c *Control) {
	u := p.c.u
	label := Advance(c.Label, picture.Sans, smallType*u)
	value := Advance(c.Value, picture.Sans, (smallType+1)*u)
	arrow := 26 * u
	high := 32 * u
	beside := label+value+2*arrow+14*u <= p.w
	if !beside {
		p.letter(cut(c.Label, picture.Sans, smallType*u, p.w), picture.Sans, smallType, p.x, p.y, 22*u, InkQuiet)
		p.y += 22 * u
	}
	box := Box{p.x, p.y, p.w, high}
	left := box.X
	if beside {
		p.letter(c.Label, picture.Sans, smallType, p.x, p.y, high, InkQuiet)
		left = p.x + label + 10*u
		if column := p.x + 0.4*p.w; left < column && value+2*arrow <= p.w-0.4*p.w {
			left = column
		}
	}
	field := Box{left, p.y, p.x + p.w - left, high}
	p.add(Item{Kind: Frame, Box: field, Control: c})
	text := cut(c.Value, picture.Sans, (smallType+1)*u, field.W-2*arrow)
	w := Advance(text, picture.Sans, (smallType+1)*u)
	p.letter(text, picture.Sans, smallType+1, field.X+(field.W-w)/2, p.y, high, inkOf(c))
	p.letter("‹", picture.Sans, plainType, field.X+9*u, p.y, high, InkQuiet)
	p.letterRight("›", picture.Sans, plainType, field.Right()-9*u, p.y, high, InkQuiet)
	p.hit(c.ID, box, 0)
	p.hit(c.ID, Box{field.X, p.y, arrow, high}, -1)
	p.hit(c.ID, Box{field.Right() - arrow, p.y, arrow, high}, 1)
	p.y += high + 4*u
}

// slider sets label, track and value on one line, or label and value above the track.
func (p *placer) slider(c *Control) {
	u := p.c.u
	label := Advance(c.Label, picture.Sans, smallType*u)
	value := math.Max(Advance(c.Value, picture.Sans, (smallType+1)*u), 62*u)
	high := 30 * u
	from := math.Max(p.x+label+10*u, p.x+math.Min(0.36*p.w, 110*u))
	to := p.x + p.w - value - 10*u
	top := p.y
	if to-from < 56*u {
		p.letter(c.Label, picture.Sans, smallType, p.x, p.y, 22*u, InkQuiet)
		p.letterRight(c.Value, picture.Sans, smallType+1, p.x+p.w, p.y, 22*u, inkOf(c))
		p.y += 22 * u
		from, to, high = p.x+6*u, p.x+p.w-6*u, 26*u
	} else {
		p.letter(c.Label, picture.Sans, smallType, p.x, p.y, high, InkQuiet)
		p.letterRight(c.Value, picture.Sans, smallType+1, p.x+p.w, p.y, high, inkOf(c))
	}
	track := Box{from, p.y, to - from, high}
	p.add(Item{Kind: Track, Box: track, Control: c})
	p.y += high
	p.hit(c.ID, Box{p.x, top, p.w, p.y - top}, 0)
	p.hit(c.ID, track, 2)
	p.y += 2 * u
}

// instrument sets a line of the tray: swatch, what became of the piece, size in figures.
func (p *placer) instrument(c *Control) {
	u := p.c.u
	high := 32 * u
	box := Box{p.x, p.y, p.w, high}
	p.add(Item{Kind: Frame, Box: box, Control: c})
	size := Advance(c.Label, picture.SansBold, headType*u)
	note := 0.0
	right := p.x + p.w - 10*u
	p.letterRight(c.Label, picture.SansBold, headType, right, p.y, high, InkPlain)
	if c.Detail != "" {
		note = Advance(c.Detail, picture.SerifItalic, (smallType+1)*u) + 10*u
		if note > 0.4*p.w {
			note = 0
		} else {
			p.letterRight(c.Detail, picture.SerifItalic, smallType+1, right-size-12*u, p.y, high, InkQuiet)
		}
	}
	p.add(Item{Kind: Swatch, Box: Box{p.x + 9*u, p.y, p.w - size - note - 36*u, high}, Control: c})
	p.hit(c.ID, box, 0)
	p.y += high + 1*u
}

// stageLine sets a line of the procedure.
func (p *placer) stageLine(c *Control) {
	u := p.c.u
	high := 25 * u
	box := Box{p.x, p.y, p.w, high}
	p.add(Item{Kind: Frame, Box: box, Control: c})
	p.add(Item{Kind: Mark, Box: Box{p.x + 2*u, p.y, 18 * u, high}, Control: c})
	role := picture.Sans
	if c.Chosen {
		role = picture.SansBold
	}
	ink := InkQuiet
	if c.Chosen || c.Done {
		ink = InkPlain
	}
	label := cut(c.Label, role, (smallType+1)*u, p.w-30*u)
	p.letter(label, role, smallType+1, p.x+28*u, p.y, high, ink)
	if c.Detail != "" && Advance(label, role, (smallType+1)*u)+Advance(c.Detail, picture.Sans, leastType*u)+44*u < p.w {
		p.letterRight(c.Detail, picture.Sans, leastType, p.x+p.w-4*u, p.y, high, InkQuiet)
	}
	p.hit(c.ID, box, 0)
	p.y += high
}

// timeLine sets the time line across the foot.
func (p *placer) timeLine(c *Control) {
	u := p.c.u
	high := 40 * u
	box := Box{p.x, p.y, p.w, high}
	p.add(Item{Kind: TimeTrack, Box: Box{p.x + 8*u, p.y, p.w - 16*u, high}, Control: c})
	p.hit(c.ID, box, 0)
	p.hit(c.ID, Box{p.x + 8*u, p.y, p.w - 16*u, high}, 2)
	p.y += high + 4*u
}
