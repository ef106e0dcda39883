package picture

import (
	"fmt"
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// The sheet of a gallery, mm: a cell for each tooth, its caption under it.
const (
	cellWide    = 46.0
	cellHigh    = 70.0
	cellCaption = 9.0
	galleryHead = 16.0
)

// MostInGallery is the most teeth of one sheet.
const MostInGallery = 200

// Gallery draws teeth side by side, each in its section with pulp and canals, true to one scale, with its
// seed and the largest Schneider angle under it: what a scenario leaves open shows at a glance. Nil teeth,
// none at all or more than MostInGallery are refused. Checked by TestGallery.
func Gallery(teeth []*anatomy.Tooth, o Options) (Drawing, error) {
	if len(teeth) == 0 || len(teeth) > MostInGallery {
		return Drawing{}, fmt.Errorf("a gallery of %d teeth; allowed 1 to %d", len(teeth), MostInGallery)
	}
	columns := max(1, int(math.Ceil(math.Sqrt(1.6*float64(len(teeth))))))
	columns = min(columns, len(teeth))
	rows := (len(teeth) + columns - 1) / columns
	width, height := math.Max(cellWide*float64(columns), 2*cellWide)+2*margin, cellHigh*float64(rows)+2*margin+galleryHead
	s := newSheet(width, height, o.palette())
	s.Title = o.Title
	s.Description = fmt.Sprintf("%d teeth grown from seeds of their own, in one scale.", len(teeth))
	p := s.Palette
	s.layer("head", sheetView(), Shape{Text: &Text{At: geom.Point{X: margin, Y: height - margin - 5}, String: o.Title, Role: Serif, Size: 7, Colour: p.Ink}})
	scale := math.Inf(1)
	for _, t := range teeth {
		if t == nil || len(t.Canals) == 0 || len(t.Roots) == 0 {
			return Drawing{}, errNoTooth
		}
		box := newSection(t, grownWalls(t, 0), -1).box()
		scale = math.Min(scale, math.Min((cellHigh-cellCaption-4)/(box.Top-box.Bottom), (cellWide-6)/(box.Right-box.Left)))
	}
	for i, t := range teeth {
		x := margin + cellWide*(float64(i%columns)+0.5)
		top := height - margin - galleryHead - cellHigh*float64(i/columns)
		s.exhibit(t, i, x, top, scale)
	}
	return s.finished(), nil
}

// exhibit draws one tooth of a gallery under a height of the sheet.
func (s *sheet) exhibit(t *anatomy.Tooth, i int, x, top, scale float64) {
	p := s.Palette
	cut := newSection(t, grownWalls(t, 0), -1)
	box := cut.box()
	view := View{Scale: scale, X: x - scale*(box.Left+box.Right)/2, Down: t.Upper}
	room := cellHigh - cellCaption
	view.Y = top - room/2 - scale*(box.Top+box.Bottom)/2
	if t.Upper {
		view.Y = top - room/2 + scale*(box.Top+box.Bottom)/2
	}
	var shapes []Shape
	for _, b := range cut.behind {
		shapes = append(shapes, Shape{Path: polygon(t.Roots[b].Outline), Fill: p.Behind, Stroke: p.Quiet, Weight: behindPen})
	}
	shapes = append(shapes, Shape{Path: polygon(cut.body), Fill: p.Tooth}, Shape{Path: polygon(cut.crown), Fill: p.Tooth})
	var pulp, outer Path
	for _, outline := range cut.pulp() {
		pulp.Append(polygon(counterClockwise(outline)))
	}
	shapes = append(shapes, Shape{Path: pulp, Stroke: p.Ink, Weight: canalPen}, Shape{Path: pulp, Fill: p.Pulp})
	for _, l := range cut.canals {
		if l.behind {
			var walls Path
			walls.Append(line(l.now[0]...))
			walls.Append(line(l.now[1]...))
			shapes = append(shapes, Shape{Path: walls, Stroke: p.Quiet, Weight: 0.6 * canalPen, Dash: []float64{1.2, 0.8}})
		}
	}
	for _, r := range cut.cut {
		outer.Append(line(t.Roots[r].Outline...))
	}
	outer.Append(line(cut.crown...))
	shapes = append(shapes, Shape{Path: outer, Stroke: p.Ink, Weight: outlinePen * 0.7}, Shape{Path: line(t.Crown.Dentine...), Stroke: p.Enamel, Weight: hairPen})
	s.layer(fmt.Sprintf("tooth-%d", i), view, shapes...)
	largest := 0.0
	for k := range t.Canals {
		largest = math.Max(largest, anatomy.Measure(t, k).Schneider)
	}
	caption := fmt.Sprintf("seed %d · %.0f°", t.Seed, largest*180/math.Pi)
	s.layer(fmt.Sprintf("caption-%d", i), sheetView(), Shape{Text: &Text{
		At: geom.Point{X: x, Y: top - cellHigh + 3}, String: caption, Role: Sans, Size: 5, Anchor: Middle, Colour: p.Quiet}})
}
