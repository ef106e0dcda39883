package picture

import (
	"math"
	"strconv"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// ruler is a scale beside a root: mm from the foramen along the canal.
type ruler struct {
	lumen lumen
	side  int // wall side it stands on: 0 mesial, 1 distal
}

// Distances of a ruler from the root, and its marks, mm of the tooth.
const (
	rulerOff  = 0.62
	shortMark = 0.22
	longMark  = 0.42
)

// rulers chooses where scales stand: beside the first canal of each root that is cut, on the outer
// side, and on the other side for a second canal that lies beside it.
func (s section) rulers() []ruler {
	var out []ruler
	middle := (s.box().Left + s.box().Right) / 2
	for k, root := range s.cut {
		side := 0
		if k == len(s.cut)-1 && len(s.cut) > 1 || len(s.cut) == 1 && middleX(s.tooth.Roots[root].Outline) > middle+1 {
			side = 1
		}
		used := 0
		for _, l := range s.canals {
			if l.canal.Root != root || l.behind || l.canal.Joins >= 0 || used > 1 || used == 1 && len(s.cut) > 1 {
				continue
			}
			out = append(out, ruler{l, side ^ used})
			used++
		}
	}
	return out
}

// mark returns the two ends of a mark, and the place of its figure.
func (r ruler) mark(level float64, long bool) (from, to geom.Point) {
	at := r.lumen.level(level)
	n := len(r.lumen.canal.Axis)
	i := min(max(n-1-int(math.RoundToEven(level/r.lumen.canal.Step)), 0), n-1)
	across := geom.Direction(at.Heading).Left()
	if r.side == 0 {
		across = across.Scale(-1)
	}
	length := shortMark
	if long {
		length = longMark
	}
	off := r.surface(i) + rulerOff
	return at.Point.Add(across.Scale(off)), at.Point.Add(across.Scale(off + length))
}

// surface returns the distance of the root's surface at a station; near the apex this does not shrink
// below that 1.5 mm up, so that the scale does not run under the root.
func (r ruler) surface(i int) float64 {
	values := r.lumen.canal.Surface[r.side]
	up := max(0, len(values)-1-int(1.5/r.lumen.canal.Step))
	return values[min(i, up)]
}

// top returns the level up to which the scale runs: to the junction, or the orifice below it.
func (r ruler) top() float64 {
	n := len(r.lumen.canal.Axis)
	for i, at := range r.lumen.canal.Axis {
		if at.Point.Y < -0.4 {
			return float64(n-1-i) * r.lumen.canal.Step
		}
	}
	return 0
}

// scales draws the rulers of a depiction.
func (d depiction) scales() {
	p := d.sheet.Palette
	for _, r := range d.section.rulers() {
		var marks Path
		for level := 0.0; level <= r.top(); level++ {
			from, to := r.mark(level, int(level)%5 == 0)
			marks.Append(line(from, to))
		}
		name := "levels-" + r.lumen.canal.Name
		d.layer(name, Shape{Path: marks, Stroke: p.Ink, Weight: 0.8 * canalPen})
		for _, t := range d.sheet.tiers {
			d.figures(r, t, d.name+name)
		}
	}
}

// figures letters a ruler at every fifth millimetre on paper of its own.
func (d depiction) figures(r ruler, t tier, name string) {
	p := d.sheet.Palette
	var ground, text []Shape
	for level := 0.0; level <= r.top(); level += 5 {
		_, end := r.mark(level, true)
		at := d.view.Point(end)
		anchor, off := End, -5*t.unit
		if r.side == 1 {
			anchor, off = Start, 5*t.unit
		}
		s := t.writing(geom.Point{X: at.X + off, Y: at.Y - 0.36*smallType*t.unit}, Sans, smallType, anchor, p.Ink, strconv.Itoa(int(level)))
		box := s.Text.Box()
		middle := geom.Point{X: (box.Left + box.Right) / 2, Y: at.Y}
		ground = append(ground, Shape{Path: circle(middle, 0.5*detmath.Hypot(box.Right-box.Left, smallType*t.unit)), Fill: p.Paper})
		text = append(text, s)
	}
	d.sheet.letter(name+"-figures", t, append(ground, text...)...)
}
