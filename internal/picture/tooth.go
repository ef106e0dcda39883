package picture

import (
	"slices"

	"tugback/internal/geom"
)

// Pen weights, mm of the sheet: at the sheet's 100 % of 4 px a mm they are 2.4, 1.3 and so on px.
const (
	outlinePen = 0.60
	behindPen  = 0.34
	canalPen   = 0.33
	hairPen    = 0.16
	tickPen    = 0.15
	eventPen   = 0.26
)

// depiction is one tooth drawn at one place of a sheet.
type depiction struct {
	sheet   *sheet
	name    string // prefix of the layers' names
	view    View
	section section
	lines   engraving
}

// layer names a layer of the depiction.
func (d depiction) layer(name string, shapes ...Shape) {
	d.sheet.layer(d.name+name, d.view, shapes...)
}

// clipped names a layer of which only what lies in the tooth is seen.
func (d depiction) clipped(name string, shapes ...Shape) {
	clip := polygon(counterClockwise(d.section.body))
	clip.Append(polygon(counterClockwise(d.section.crown)))
	d.sheet.add(Layer{Name: d.name + name, View: d.view, Clips: []Path{clip}, Shapes: shapes})
}

// detail is a step of the hatch: which lines are drawn from which scale on.
type detail struct {
	rank       int
	from, upto float64 // px per mm of tooth
	bolder     float64
}

// details thin the hatch out on small pictures so that lines stay about 3 px apart or more.
func details() []detail {
	return []detail{{0, 0, 9, 1.9}, {1, 9, 20, 1.35}, {2, 20, 0, 1}}
}

// perDetail appends a layer for each step of detail.
func (d depiction) perDetail(name string, shapes func(detail) []Shape) {
	for i, step := range details() {
		d.sheet.add(Layer{
			Name: d.name + name + [...]string{"-coarse", "-middle", ""}[i], View: d.view,
			From: step.from / d.view.Scale, Upto: step.upto / d.view.Scale, Shapes: shapes(step),
		})
	}
}

// ground draws what lies behind the section: bone, ligament, roots further lingual.
func (d depiction) ground() {
	p := d.sheet.Palette
	d.perDetail("bone", func(step detail) []Shape {
		return ticks(d.lines.bone, step.rank+1, p.Bone, p.Paper, tickPen*(0.5+0.5*step.bolder))
	})
	d.perDetail("ligament", func(step detail) []Shape {
		if step.rank < 2 {
			return nil
		}
		return ticks(d.lines.ligament, 3, p.Bone, p.Paper, 0.6*tickPen)
	})
	for _, i := range d.section.behind {
		root := d.section.tooth.Roots[i]
		d.layer("behind-"+root.Name,
			Shape{Path: polygon(root.Outline), Fill: p.Behind})
		strokes := contour(d.section, i)
		d.perDetail("behind-hatch-"+root.Name, func(step detail) []Shape {
			return []Shape{{Path: ink(strokes, step.rank, d.view.Scale, step.bolder), Fill: p.Bone}}
		})
		d.layer("behind-outline-"+root.Name, Shape{Path: line(root.Outline...), Stroke: p.Quiet, Weight: behindPen})
	}
}

// flesh draws the cut tooth: body, hatch, enamel and outline. The clip keeps every line in its tissue.
func (d depiction) flesh() {
	p, s := d.sheet.Palette, d.section
	d.layer("tooth", Shape{Path: polygon(s.body), Fill: p.Tooth}, Shape{Path: polygon(s.crown), Fill: p.Tooth})
	scale := d.view.Scale
	d.perDetail("hatch", func(step detail) []Shape {
		path := ink(d.lines.dentine, step.rank, scale, step.bolder)
		path.Append(ink(d.lines.shadow, step.rank, scale, step.bolder))
		return []Shape{{Path: path, Fill: p.Hatch}}
	})
	d.perDetail("enamel", func(step detail) []Shape {
		return []Shape{{Path: ink(d.lines.enamel, step.rank, scale, step.bolder), Fill: p.Enamel}}
	})
	d.layer("junction", Shape{Path: line(s.tooth.Crown.Dentine...), Stroke: p.Enamel, Weight: hairPen})
}

// outline draws the outer contour over everything that lies in it.
func (d depiction) outline() {
	p, s := d.sheet.Palette, d.section
	var whole Path
	for _, i := range s.cut {
		whole.Append(line(s.tooth.Roots[i].Outline...))
	}
	whole.Append(line(s.crown...))
	d.layer("outline", Shape{Path: whole, Stroke: p.Ink, Weight: outlinePen})
}

// pulp draws chamber and canals as grown: a flat wash with an ink line around the union.
func (d depiction) pulp(fill Colour) {
	p := d.sheet.Palette
	var all Path
	for _, outline := range d.section.pulp() {
		all.Append(polygon(counterClockwise(outline)))
	}
	d.clipped("pulp",
		Shape{Path: all, Stroke: p.Ink, Weight: 2 * canalPen},
		Shape{Path: all, Fill: fill})
	if fill == p.Pulp {
		d.dots(all)
	}
}

// hidden draws canals that lie behind, dashed.
func (d depiction) hidden() {
	p := d.sheet.Palette
	for _, l := range d.section.canals {
		if !l.behind {
			continue
		}
		var walls Path
		walls.Append(line(l.now[0]...))
		walls.Append(line(l.now[1]...))
		d.layer("hidden-"+l.canal.Name, Shape{Path: walls, Stroke: p.Quiet, Weight: 0.8 * canalPen, Dash: []float64{1.5, 0.9}})
	}
}

// counterClockwise returns a closed outline in that sense, so that overlapping fills add up.
func counterClockwise(points []geom.Point) []geom.Point {
	if geom.Area(points) >= 0 {
		return points
	}
	out := slices.Clone(points)
	slices.Reverse(out)
	return out
}
