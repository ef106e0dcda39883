package picture

import (
	"fmt"
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// Geometry of an instrument that the catalogue's entry does not tell, mm. ISO 3630-1: at least 16 mm
// of working part (from memory, high certainty); handle drawn short.
const (
	workingPart = 16.0
	largest     = 1.2
	handleLong  = 3.6
	handleWide  = 2.2
)

// check refuses an instrument that is not in the catalogue, a canal that is not in the tooth, or a
// depth that is not a length of one.
func (f *File) check(t *anatomy.Tooth) error {
	if f == nil {
		return nil
	}
	if _, err := treatment.Lookup(f.Item); err != nil {
		return fmt.Errorf("picture: file: %w", err)
	}
	if canalIndex(t, f.Canal) < 0 {
		return fmt.Errorf("picture: no canal %q in this tooth", f.Canal)
	}
	if !(f.Depth > 0 && f.Depth <= 40) {
		return fmt.Errorf("picture: file depth %g mm, allowed above 0 to 40", f.Depth)
	}
	return nil
}

// track returns the point of a canal's axis at an arc length from the orifice, carried on straight
// beyond both ends, and the heading there.
func (l lumen) track(s float64) (geom.Point, float64) {
	axis, step := l.canal.Axis, l.canal.Step
	n := len(axis)
	switch {
	case s <= 0:
		return axis[0].Point.Add(geom.Direction(axis[0].Heading).Scale(s)), axis[0].Heading
	case s >= float64(n-1)*step:
		return axis[n-1].Point.Add(geom.Direction(axis[n-1].Heading).Scale(s - float64(n-1)*step)), axis[n-1].Heading
	}
	i := int(s / step)
	t := s/step - float64(i)
	a, b := axis[i], axis[i+1]
	return a.Point.Add(b.Point.Sub(a.Point).Scale(t)), a.Heading + t*(b.Heading-a.Heading)
}

// steel returns a tapered round piece along a canal from its tip at arc length s crownwards: body and
// light flute strokes. diameter is asked at mm behind the tip.
func (d depiction) steel(l lumen, tip, long, fluted float64, diameter func(x float64) float64) []Shape {
	p := d.sheet.Palette
	const step = 0.1
	var left, right []geom.Point
	var flutes Path
	n := int(math.Ceil(long / step))
	edge := func(x, side float64) geom.Point {
		at, heading := l.track(tip - x)
		r := diameter(x) / 2
		if x < r {
			r = x + 0.3*(r-x) // the rounded point
		}
		return at.Add(geom.Direction(heading).Left().Scale(side * r))
	}
	for i := 0; i <= n; i++ {
		x := math.Min(long, float64(i)*step)
		left, right = append(left, edge(x, -1)), append(right, edge(x, 1))
	}
	for x := 0.2; x < math.Min(long, fluted)-0.3; {
		pitch := 0.5*diameter(x) + 0.12
		flutes.Append(line(edge(x, -0.75), edge(x+0.7*pitch, 0.75)))
		x += pitch
	}
	for i := len(right) - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return []Shape{
		{Path: polygon(left), Fill: p.Steel, Stroke: p.Ink, Weight: hairPen},
		{Path: flutes, Stroke: p.Flute, Weight: 1.2 * hairPen},
	}
}

// instrument draws a file in a canal, true to scale, with its stop and a handle in the ISO colour with
// the size in figures.
func (d depiction) instrument(f File) {
	entry, err := treatment.Lookup(f.Item)
	if err != nil {
		panic("picture: file was not checked")
	}
	l := d.section.canals[canalIndex(d.section.tooth, f.Canal)]
	orifice := l.above
	tip := f.Depth - orifice
	diameter := func(x float64) float64 {
		return math.Min(largest, float64(entry.Size)/100+float64(entry.Taper)/100*math.Min(x, workingPart))
	}
	stopPoint, heading := l.track(-orifice)
	room := (handleRoom-3)/d.view.Scale - handleLong
	long := f.Depth + math.Max(1.6, room)
	d.layer("file", d.steel(l, tip, long, workingPart, diameter)...)
	p := d.sheet.Palette
	across, up := geom.Direction(heading).Left(), geom.Direction(heading).Scale(-1)
	rect := func(at geom.Point, wide, high float64) Path {
		a := across.Scale(wide / 2)
		return polygon([]geom.Point{at.Sub(a), at.Add(a), at.Add(a).Add(up.Scale(high)), at.Sub(a).Add(up.Scale(high))})
	}
	d.layer("file-stop", Shape{Path: rect(stopPoint, 1.7, 0.35), Fill: p.Chosen, Stroke: p.Ink, Weight: canalPen})
	top, _ := l.track(tip - long)
	colour := ISOColour(entry.Colour)
	if !colour.Set {
		colour = p.Steel
	}
	d.layer("file-handle", Shape{Path: rect(top, handleWide, handleLong), Fill: colour, Stroke: p.Ink, Weight: canalPen})
	figures := hex(0x1a1a1a)
	if white := hex(0xffffff); Contrast(white, colour) > Contrast(figures, colour) {
		figures = white
	}
	at := d.view.Point(top.Add(up.Scale(handleLong / 2)))
	for _, t := range d.sheet.tiers {
		size := math.Min(16, 0.42*handleWide*d.view.Scale/t.unit*1.6)
		if size < smallType { // the handle is too small for figures of that height
			continue
		}
		d.sheet.letter(d.name+"file-size", t, t.writing(geom.Point{X: at.X, Y: at.Y - 0.36*size*t.unit}, SansBold, size, Middle, figures, isoFigures(entry.Size)))
	}
}

// isoFigures writes an ISO size: two figures at least.
func isoFigures(size int) string { return fmt.Sprintf("%02d", size) }

// fragment draws a broken piece where it lies.
func (d depiction) fragment(l lumen, c *treatment.CanalState) {
	if c.Fragment == nil {
		return
	}
	entry, err := treatment.Lookup(c.Fragment.Item)
	if err != nil {
		return
	}
	tip := c.Fragment.Tip - c.Orifice()
	diameter := func(x float64) float64 { return float64(entry.Size)/100 + float64(entry.Taper)/100*x }
	d.layer("fragment-"+l.canal.Name, d.steel(l, tip, math.Max(0.3, c.Fragment.Length), c.Fragment.Length, diameter)...)
}
