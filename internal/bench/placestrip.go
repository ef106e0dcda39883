package bench

import (
	"math"

	"tugback/internal/picture"
)

// Heights of the parts of the feel strip, px at 100 % text.
const (
	stripRow  = 22.0
	stripTick = 20.0
	wordHigh  = 24.0
)

// strip sets the bars with their names and newtons, the mark on their scale, and the words with the present
// one in bold over a stroke.
func (p *placer) strip(s *Strip) {
	u := p.c.u
	p.y += 2 * u
	if len(s.Rows) > 0 {
		p.bars(s)
	}
	x, first := p.x, true
	for i, word := range s.Words {
		role, ink := picture.Sans, InkQuiet
		if i == s.Word {
			role, ink = picture.SansBold, InkPlain
		}
		w := Advance(word, role, smallType*u)
		if !first && x+w > p.x+p.w {
			x, p.y = p.x, p.y+wordHigh*u
		}
		p.letter(word, role, smallType, x, p.y, wordHigh*u, ink)
		if i == s.Word {
			p.add(Item{Kind: Underline, Box: Box{x, p.y + (wordHigh-2)*u, w, 0}})
		}
		x, first = x+w+13*u, false
	}
	p.y += (wordHigh + 6) * u
}

// bars sets the rows of a strip and the mark of their scale.
func (p *placer) bars(s *Strip) {
	u := p.c.u
	names, figures := 0.0, 0.0
	for _, row := range s.Rows {
		names = math.Max(names, Advance(row.Name, picture.Sans, leastType*u)+10*u)
		if s.Figures {
			figures = math.Max(figures, Advance(newtons(row.Force), picture.Sans, smallType*u)+8*u)
		}
	}
	box := Box{p.x + names, p.y, p.w - names - figures, stripRow * u * float64(len(s.Rows))}
	p.add(Item{Kind: StripPanel, Box: box, Strip: s})
	for i, row := range s.Rows {
		y := p.y + float64(i)*stripRow*u
		p.letter(row.Name, picture.Sans, leastType, p.x, y, stripRow*u, InkQuiet)
		if s.Figures {
			p.letterRight(newtons(row.Force), picture.Sans, smallType, p.x+p.w, y, stripRow*u, InkPlain)
		}
	}
	p.y = box.Bottom() + 4*u
	if s.Mark > 0 {
		name := s.MarkName
		if s.Figures {
			name += " " + newtons(s.Mark)
		}
		at := box.X + box.W*s.Mark/s.Full
		w := Advance(name, picture.Sans, leastType*u)
		p.letter(name, picture.Sans, leastType, math.Max(p.x, math.Min(at-w/2, p.x+p.w-w)), p.y, stripTick*u, InkQuiet)
		p.y += stripTick * u
	}
}

// Heights of the locator's scale, px at 100 % text: the pointer above its line, and the words under it.
const (
	pointerHigh = 40.0
	markHigh    = 20.0
)

// locator sets the apex locator's scale with its words.
func (p *placer) locator(l *Locator) {
	u := p.c.u
	box := Box{p.x, p.y, p.w, pointerHigh * u}
	p.add(Item{Kind: ScalePanel, Box: box, Scale: l})
	p.y = box.Bottom() + 2*u
	far, mark, over := say("locator.far"), say("locator.apex"), say("locator.over")
	p.letter(far, picture.Sans, leastType, p.x, p.y, markHigh*u, InkQuiet)
	p.letterRight(over, picture.Sans, leastType, p.x+p.w, p.y, markHigh*u, InkQuiet)
	half := Advance(mark, picture.SansBold, leastType*u) / 2
	end := math.Min(LocatorAt(box, 0)+half, p.x+p.w-Advance(over, picture.Sans, leastType*u)-8*u) // moved aside where the two would touch
	left := end - 2*half
	if left < p.x+Advance(far, picture.Sans, leastType*u)+8*u { // no room between them: under them
		p.y += markHigh * u
		left = math.Max(p.x, math.Min(LocatorAt(box, 0)-half, p.x+p.w-2*half))
	}
	p.letter(mark, picture.SansBold, leastType, left, p.y, markHigh*u, InkPlain)
	p.y += (markHigh + 4) * u
}

// The ends of the locator's scale.
const (
	locatorFar  = -1.0
	locatorOver = 0.5
)

// LocatorAt returns the x of a place on the locator's scale (−1 far short … 0 the mark … beyond, held to the
// ends) in its panel, px.
func LocatorAt(box Box, v float64) float64 {
	inset := 0.03 * box.W
	share := (math.Min(math.Max(v, locatorFar), locatorOver) - locatorFar) / (locatorOver - locatorFar)
	return box.X + inset + share*(box.W-2*inset)
}
