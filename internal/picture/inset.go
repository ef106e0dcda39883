package picture

import (
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// inset draws a small section across the clinical one, buccal to the left, at the head of a column,
// and takes the room out of the column: the root of the canal that is cut, with what lies behind it, from the
// canals' proximal axes and their buccal and lingual walls.
func (d depiction) inset(c *column, now walls) {
	c.under()
	p, t := d.sheet.Palette, d.section.tooth
	var roots, canals, removed Path
	shown := d.section.across()
	for _, l := range shown {
		first, cut := now(l.index)
		n := len(l.axis)
		axis := l.canal.Proximal[:n]
		roots.Append(polygon(counterClockwise(rootAcross(t, l, shown))))
		canals.Append(polygon(l.outlineAcross(axis, cut)))
		for side := range 2 {
			removed.Append(removedAcross(axis, first[side], cut[side], side))
		}
	}
	crown := counterClockwise(crownAcross(t))
	roots.Append(polygon(crown))
	chamber := counterClockwise(chamberAcross(t))
	canals.Append(polygon(chamber))
	box := roots.bounds()
	scale := math.Min(insetHigh/(box.Top-box.Bottom), 0.8*(c.box.Right-c.box.Left)/(box.Right-box.Left))
	x := (c.box.Left + c.box.Right) / 2
	view := View{Scale: scale, X: x - scale*(box.Left+box.Right)/2, Y: c.box.Top - scale*box.Top, Down: t.Upper}
	if t.Upper {
		view.Y = c.box.Top + scale*box.Bottom
	}
	d.sheet.layer(d.name+"across", view,
		Shape{Path: roots, Stroke: p.Ink, Weight: 0.8 * outlinePen},
		Shape{Path: roots, Fill: p.Tooth},
		Shape{Path: canals, Stroke: p.Ink, Weight: 1.6 * canalPen},
		Shape{Path: canals, Fill: p.Pulp})
	d.sheet.layer(d.name+"across-removed", view, Shape{Path: removed, Fill: p.Wash})
	foot := c.box.Top - scale*(box.Top-box.Bottom)
	d.insetWords(Box{view.X + scale*box.Left, foot, view.X + scale*box.Right, c.box.Top}, scale)
	c.box.Top = foot - 13
}

// insetWords letters what the inset is, at the sizes that have room.
func (d depiction) insetWords(box Box, scale float64) {
	p, t := d.sheet.Palette, d.sheet.tiers[2]
	lingual := say("plate.lingual")
	if d.section.tooth.Upper {
		lingual = say("plate.palatal")
	}
	y := box.Bottom - 1.5*detailType*t.unit
	x := (box.Left + box.Right) / 2
	d.sheet.letter(d.name+"across-words", t,
		t.writing(geom.Point{X: box.Left - 2, Y: box.Top - 4}, SerifItalic, detailType+1, End, p.Quiet, say("plate.buccal")),
		t.writing(geom.Point{X: box.Right + 2, Y: box.Top - 4}, SerifItalic, detailType+1, Start, p.Quiet, lingual),
		t.writing(geom.Point{X: x, Y: y}, SerifItalic, detailType+1, Middle, p.Quiet, say("plate.inset", "scale", figure(scale, 1))))
}

// across returns the canals an inset shows: those of the first root that is cut and has the most of
// them, a canal marked as chosen first, and those of the roots behind.
func (s section) across() []lumen {
	best, most := s.cut[0], 0
	for _, root := range s.cut {
		if n := len(s.tooth.Roots[root].Canals); n > most {
			best, most = root, n
		}
	}
	if s.chosen >= 0 {
		best = s.tooth.Canals[s.chosen].Root
	}
	var out []lumen
	for _, l := range s.canals {
		if l.canal.Root == best || slices.Contains(s.behind, l.canal.Root) {
			out = append(out, l)
		}
	}
	return out
}

// outlineAcross returns a canal's closed outline in the proximal plane.
func (l lumen) outlineAcross(axis []geom.Station, distance [2][]float64) []geom.Point {
	up := geom.Direction(axis[0].Heading).Scale(-3 * intoChamber)
	a, b := wallPoints(axis, distance[0][:len(axis)], 0), wallPoints(axis, distance[1][:len(axis)], 1)
	a, b = append([]geom.Point{a[0].Add(up)}, a...), append([]geom.Point{b[0].Add(up)}, b...)
	return counterClockwise(l.outline([2][]geom.Point{a, b}))
}

// removedAcross returns what was cut from one wall in the proximal plane.
func removedAcross(axis []geom.Station, first, now []float64, side int) Path {
	l := lumen{axis: axis}
	l.first[side], l.now[side] = wallPoints(axis, first[:len(axis)], side), wallPoints(axis, now[:len(axis)], side)
	var p Path
	for _, piece := range l.removed(side) {
		p.Append(polygon(counterClockwise(piece)))
	}
	return p
}

// rootAcross returns the outline of a canal's root in the proximal plane, rounded off at the apex. The
// outermost canals of those shown carry the root up to the neck of the tooth.
func rootAcross(t *anatomy.Tooth, l lumen, shown []lumen) []geom.Point {
	axis := l.canal.Proximal[:len(l.axis)]
	n := len(axis)
	a := wallPoints(axis, l.canal.Surface[2][:n], 0)
	b := wallPoints(axis, l.canal.Surface[3][:n], 1)
	end := axis[n-1]
	tip := end.Point.Add(geom.Direction(end.Heading).Scale(0.5 * (l.canal.Surface[2][n-1] + l.canal.Surface[3][n-1])))
	left, right := a[0].X, b[0].X
	half := t.Crown.Cervix[1] / 2
	if !slices.ContainsFunc(shown, func(o lumen) bool { return o.canal.Proximal[0].Point.X < axis[0].Point.X }) {
		left, a = -half, below(a)
	}
	if !slices.ContainsFunc(shown, func(o lumen) bool { return o.canal.Proximal[0].Point.X > axis[0].Point.X }) {
		right, b = half, below(b)
	}
	slices.Reverse(b)
	out := append([]geom.Point{{X: left, Y: 0.05}}, a...)
	return append(append(append(out, tip), b...), geom.Point{X: right, Y: 0.05})
}

// below leaves away the uppermost 3 mm of a root's side, so that it runs straight into the neck.
func below(side []geom.Point) []geom.Point {
	i := slices.IndexFunc(side, func(p geom.Point) bool { return p.Y < -3 })
	return side[max(i, 0):]
}

// crownAcross returns the crown's outline in the proximal plane: neck, belly and cusps.
func crownAcross(t *anatomy.Tooth) []geom.Point {
	c := t.Crown
	neck, belly := c.Cervix[1]/2, c.Table[1]/2
	flank := 0.6*neck + 0.4*belly
	points := []geom.Point{{X: -neck, Y: -0.1}, {X: -neck, Y: 0}, {X: -flank, Y: 0.13 * c.Height}, {X: -belly, Y: 0.38 * c.Height}}
	cusps := slices.Clone(c.Cusps)
	slices.SortStableFunc(cusps, func(a, b anatomy.Cusp) int { return compare(a.Z, b.Z) })
	last := math.Inf(-1)
	for i, cusp := range cusps {
		if cusp.Z-last < 1.2 {
			continue
		}
		if i > 0 && !math.IsInf(last, -1) {
			points = append(points, geom.Point{X: (cusp.Z + last) / 2, Y: math.Min(c.Fossa, cusp.Point.Y-1)})
		}
		points = append(points, geom.Point{X: cusp.Z, Y: cusp.Point.Y})
		last = cusp.Z
	}
	points = append(points, geom.Point{X: belly, Y: 0.38 * c.Height}, geom.Point{X: flank, Y: 0.13 * c.Height}, geom.Point{X: neck, Y: 0}, geom.Point{X: neck, Y: -0.1})
	return smooth(points, false).flat()[0]
}

// chamberAcross returns the chamber in the proximal plane.
func chamberAcross(t *anatomy.Tooth) []geom.Point {
	c := t.Chamber
	left, right := -c.Wall[2], c.Wall[3]
	return []geom.Point{{X: left, Y: c.Floor}, {X: right, Y: c.Floor}, {X: right, Y: c.Roof}, {X: (left + right) / 2, Y: c.Roof - 0.25*(c.Roof-c.Floor)}, {X: left, Y: c.Roof}}
}
