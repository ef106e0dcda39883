package picture

import (
	"strings"

	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// The lens, sheet mm, and its power.
const (
	lensPower = 3.0
	lensPen   = 1.7 // weights in the lens / weights outside
)

// lensed is a place worth a closer look.
type lensed struct {
	at   geom.Point // mm of the sheet
	what string
}

// lensPlace returns where the gravest event stands that has a place in a canal and shows in
// the clinical plane.
func (d depiction) lensPlace(events []treatment.Event) (lensed, bool) {
	for _, e := range gravest(events) {
		for k, kind := range grave() {
			if k < lensKinds && kind == e.Kind && canalIndex(d.section.tooth, e.Canal) >= 0 && e.Wall != "buccal" && e.Wall != "lingual" {
				return lensed{d.view.Point(d.section.place(e)), say("event." + string(e.Kind))}, true
			}
		}
	}
	return lensed{}, false
}

// lens draws a round glass over a place at an end of a column and takes the room out of the column;
// tied sets it at the apical end and draws a hairline from the glass to the place. In the glass the same shapes are drawn
// again, nearer, with their own clip.
func (d depiction) lens(place lensed, c *column, tied bool) {
	p, s := d.sheet.Palette, d.sheet
	word := 2 * detailType * s.tiers[2].unit
	centre := geom.Point{X: (c.box.Left + c.box.Right) / 2, Y: c.box.Bottom + lensRadius}
	if d.view.Down && tied {
		c.under()
		centre.Y = c.box.Top - word - lensRadius
		c.box.Top = centre.Y - lensRadius - 4
	} else {
		c.box.Bottom = centre.Y + lensRadius + 3
		for i, t := range s.tiers[1:] {
			c.foot[i+1] = 2 * detailType * t.unit
		}
	}
	target := d.view.Back(place.at)
	near := View{Scale: lensPower * d.view.Scale, Down: d.view.Down}
	at := near.Point(target)
	near.X, near.Y = centre.X-at.X, centre.Y-at.Y
	small := lensRadius / lensPower
	toward := centre.Sub(place.at).Unit()
	ring := []Shape{{Path: circle(place.at, small), Stroke: p.Ink, Weight: 1.3 * hairPen}}
	if tied {
		ring = append(ring, Shape{Path: line(place.at.Add(toward.Scale(small)), centre.Sub(toward.Scale(lensRadius))), Stroke: p.Ink, Weight: hairPen})
	}
	s.layer(d.name+"lens-ring", sheetView(), ring...)
	s.layer(d.name+"lens-ground", sheetView(), Shape{Path: circle(centre, lensRadius), Fill: p.Paper})
	glass := circle(target, lensRadius/near.Scale)
	for _, l := range s.Layers {
		if l.View != d.view || !strings.HasPrefix(l.Name, d.name) || strings.Contains(l.Name, "levels") || strings.HasPrefix(l.Name, d.name+"lens") {
			continue
		}
		shapes := within(l.Shapes, glass.bounds().grown(1/d.view.Scale))
		s.add(Layer{Name: d.name + "lens-" + strings.TrimPrefix(l.Name, d.name), View: near, Clips: append([]Path{glass}, l.Clips...), From: l.From / lensPower, Upto: l.Upto / lensPower, Shapes: shapes})
	}
	s.layer(d.name+"lens", sheetView(), Shape{Path: circle(centre, lensRadius), Stroke: p.Ink, Weight: outlinePen})
	label := centre.Y + lensRadius
	for _, t := range s.tiers {
		if t.words > 0 {
			s.letter(d.name+"lens-name", t, t.writing(geom.Point{X: centre.X, Y: label + 0.45*detailType*t.unit}, SerifItalic, detailType+1, Middle, p.Quiet, say("plate.lens", "what", place.what)))
		}
	}
}

// within returns the shapes, and of big paths the runs, that touch a box; dashes and weights grow a little.
func within(shapes []Shape, box Box) []Shape {
	var out []Shape
	for _, s := range shapes {
		s.Path = s.Path.runsIn(box)
		if s.Path.Empty() {
			continue
		}
		s.Weight *= lensPen
		out = append(out, s)
	}
	return out
}

// runsIn returns the runs of a path, each from one MoveTo to the next, whose bounds touch a box.
func (p Path) runsIn(box Box) Path {
	var out Path
	begin, from, at := 0, 0, 0
	flush := func(end int) {
		if end > begin {
			run := Path{p.Verbs[begin:end], p.Points[from:at]}
			if run.bounds().Overlaps(box) {
				out.Append(run)
			}
		}
	}
	for i, v := range p.Verbs {
		if v == MoveTo {
			flush(i)
			begin, from = i, at
		}
		at += v.points()
	}
	flush(len(p.Verbs))
	return out
}
