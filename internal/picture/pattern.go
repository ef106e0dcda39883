package picture

import "tugback/internal/geom"

// Patterns say by shape what the other palettes say by colour: dots are pulp, strokes are dentine that was
// removed. All mm of the tooth.
const (
	dotSpacing    = 0.42
	dotRadius     = 0.055
	strokeSpacing = 0.16
	strokePen     = 0.25 // mm of the sheet
)

// dots fill pulp in a palette without colours.
func (d depiction) dots(pulp Path) {
	if !d.sheet.Palette.Patterned || pulp.Empty() {
		return
	}
	var all Path
	b := pulp.bounds()
	row := 0
	for y := b.Bottom; y <= b.Top; y += 0.5 * dotSpacing {
		x := b.Left
		if row%2 == 1 {
			x += 0.5 * dotSpacing
		}
		for ; x <= b.Right; x += dotSpacing {
			all.Append(polygon([]geom.Point{{X: x - dotRadius, Y: y}, {X: x - 0.7*dotRadius, Y: y - 0.7*dotRadius}, {X: x, Y: y - dotRadius},
				{X: x + 0.7*dotRadius, Y: y - 0.7*dotRadius}, {X: x + dotRadius, Y: y}, {X: x + 0.7*dotRadius, Y: y + 0.7*dotRadius},
				{X: x, Y: y + dotRadius}, {X: x - 0.7*dotRadius, Y: y + 0.7*dotRadius}}))
		}
		row++
	}
	d.within("pulp-dots", pulp, Shape{Path: all, Fill: d.sheet.Palette.Ink})
}

// strokes cross out removed dentine in a palette without colours.
func (d depiction) strokes(name string, removed []Shape) {
	if !d.sheet.Palette.Patterned || len(removed) == 0 {
		return
	}
	var area, all Path
	for _, s := range removed {
		area.Append(s.Path)
	}
	b := area.bounds()
	high := b.Top - b.Bottom
	for x := b.Left - high; x <= b.Right; x += strokeSpacing {
		all.Append(line(geom.Point{X: x, Y: b.Bottom}, geom.Point{X: x + high, Y: b.Top}))
	}
	d.within(name, area, Shape{Path: all, Stroke: d.sheet.Palette.Event, Weight: strokePen})
}

// within adds a layer that is seen only inside an area of the tooth.
func (d depiction) within(name string, area Path, shapes ...Shape) {
	body := polygon(counterClockwise(d.section.body))
	body.Append(polygon(counterClockwise(d.section.crown)))
	d.sheet.add(Layer{Name: d.name + name, View: d.view, Clips: []Path{body, area}, Shapes: shapes})
}
