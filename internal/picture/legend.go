package picture

import "tugback/internal/geom"

// legendTop returns the height a legend of so many signs takes up.
func (s *sheet) legendTop(keys []string) float64 {
	unit := s.tiers[2].unit
	return margin + 4 + (1.8*detailType+1.45*smallType*float64(len(keys))+0.6*headType)*unit
}

// legend letters the scale and the signs used at the foot of a column, at the sizes that have room.
func (s *sheet) legend(d depiction, c column, keys []string) {
	p := s.Palette
	for _, t := range s.tiers {
		if t.words < 2 {
			continue
		}
		x, y := c.box.Left, margin+2.0
		var shapes []Shape
		long := 5 * d.view.Scale
		bar := line(geom.Point{X: x, Y: y + 1}, geom.Point{X: x, Y: y}, geom.Point{X: x + long, Y: y}, geom.Point{X: x + long, Y: y + 1})
		shapes = append(shapes, Shape{Path: bar, Stroke: p.Ink, Weight: 0.8 * canalPen},
			t.writing(geom.Point{X: x, Y: y + 0.5*detailType*t.unit}, Sans, detailType, Start, p.Quiet, say("plate.scale", "scale", figure(d.view.Scale, 1))))
		y += 2 + 1.8*detailType*t.unit
		for i := len(keys) - 1; i >= 0; i-- {
			shapes = append(shapes, s.sign(keys[i], geom.Point{X: x, Y: y})...)
			shapes = append(shapes, t.writing(geom.Point{X: x + 9, Y: y - 0.4}, SerifItalic, smallType+1, Start, p.Quiet, say(keys[i])))
			y += 1.45 * smallType * t.unit
		}
		s.letter("legend", t, shapes...)
	}
}

// sign draws the sample of a legend's line.
func (s *sheet) sign(key string, at geom.Point) []Shape {
	p := s.Palette
	box := polygon([]geom.Point{at, {X: at.X + 6, Y: at.Y}, {X: at.X + 6, Y: at.Y + 2.6}, {X: at.X, Y: at.Y + 2.6}})
	stroke := line(geom.Point{X: at.X, Y: at.Y + 1.2}, geom.Point{X: at.X + 6, Y: at.Y + 1.2})
	filled := func(c Colour) []Shape {
		return []Shape{{Path: box, Fill: c, Stroke: p.Ink, Weight: hairPen}}
	}
	switch key {
	case "legend.removed":
		return filled(p.Wash)
	case "legend.pulp":
		return filled(p.Pulp)
	case "legend.filled":
		return filled(p.GuttaPercha)
	case "legend.paste":
		return filled(p.Paste)
	case "legend.void":
		return filled(p.Ground)
	case "legend.first":
		return []Shape{{Path: stroke, Stroke: p.Event, Weight: hairPen, Dash: []float64{0.9, 0.6}}}
	case "legend.behind":
		return []Shape{{Path: stroke, Stroke: p.Quiet, Weight: 0.8 * canalPen, Dash: []float64{1.5, 0.9}}}
	case "legend.steel":
		return filled(p.Steel)
	}
	return nil
}
