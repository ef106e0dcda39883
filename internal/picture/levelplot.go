package picture

import (
	"fmt"
	"math"

	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// LevelRow is one canal in a plot over level.
type LevelRow struct {
	Name   string // of the canal, as a heading
	Levels []treatment.Level
}

// Sizes of a plot over level, mm of the sheet.
const (
	plotWide   = 56.0 // a panel
	plotHigh   = 72.0
	plotGap    = 16.0
	plotEdge   = 14.0
	plotHead   = 22.0
	plotFoot   = 16.0
	plotPanels = 3
	curvePen   = 0.5
	scalePen   = 0.2
)

// plotPanel is one graph: its curves against the level.
type plotPanel struct {
	key    string  // of its caption
	low    float64 // left edge, mm
	high   float64
	curves []plotCurve
	guides []float64 // values with a dashed line: limits of a convention
}

// plotCurve is a curve; a dashed one is the state before.
type plotCurve struct {
	key    string
	before bool
	at     func(treatment.Level) float64
}

// LevelPlot draws what shaping did over the distance from the foramen, a row a canal: the walls before and
// after, transportation, and the thinnest dentine. Levels stand upright, the foramen at the foot, as in the
// tooth. It fails without a row or a level. Checked by TestLevelPlot.
func LevelPlot(rows []LevelRow, o Options) (Drawing, error) {
	if len(rows) == 0 {
		return Drawing{}, fmt.Errorf("picture: a plot over level needs a canal")
	}
	for _, r := range rows {
		if len(r.Levels) < 2 {
			return Drawing{}, fmt.Errorf("picture: canal %q has fewer than two levels", r.Name)
		}
	}
	width := 2*plotEdge + plotPanels*plotWide + (plotPanels-1)*plotGap
	row := plotHigh + plotFoot + plotHead
	s := newSheet(width, plotEdge+row*float64(len(rows)), o.palette())
	s.Title, s.Description = o.Title, say("levels.description")
	s.layer("paper", sheetView(), Shape{Path: box(Box{0, 0, s.Width, s.Height}), Fill: s.Palette.Paper})
	for k, r := range rows {
		base := s.Height - row*float64(k+1) + plotFoot
		for i, p := range levelPanels() {
			left := plotEdge + float64(i)*(plotWide+plotGap)
			s.panel(p, r, Box{left, base, left + plotWide, base + plotHigh}, fmt.Sprintf("%d-%s", k, p.key))
		}
		heading := r.Name
		if k == 0 && o.Title != "" {
			heading = o.Title + "  ·  " + r.Name
		}
		for _, t := range s.tiers {
			s.letter(fmt.Sprintf("%d-heading", k), t, t.writing(geom.Point{X: plotEdge, Y: base + plotHigh + 8}, Serif, headType, Start, s.Palette.Ink, heading))
		}
	}
	return s.finished(), nil
}

func levelPanels() []plotPanel {
	return []plotPanel{
		{key: "levels.walls", low: -1.2, high: 1.2, curves: []plotCurve{
			{"levels.outer", true, func(l treatment.Level) float64 { return -l.Before[0] / 2 }},
			{"levels.outer", false, func(l treatment.Level) float64 { return -l.Before[0]/2 - l.Outer }},
			{"levels.inner", true, func(l treatment.Level) float64 { return l.Before[0] / 2 }},
			{"levels.inner", false, func(l treatment.Level) float64 { return l.Before[0]/2 + l.Inner }},
		}},
		{key: "levels.transport", low: -0.6, high: 0.6, guides: []float64{-0.3, 0.3}, curves: []plotCurve{
			{"levels.transport", false, func(l treatment.Level) float64 { return l.Transport }},
		}},
		{key: "levels.dentine", low: 0, high: 3, guides: []float64{0.3}, curves: []plotCurve{
			{"levels.dentine", true, func(l treatment.Level) float64 { return l.First }},
			{"levels.dentine", false, func(l treatment.Level) float64 { return l.Least }},
		}},
	}
}

// panel draws one graph into a box.
func (s *sheet) panel(p plotPanel, r LevelRow, in Box, name string) {
	ink := s.Palette
	top := r.Levels[len(r.Levels)-1].Level
	at := func(value, level float64) geom.Point {
		share := math.Max(0, math.Min(1, (value-p.low)/(p.high-p.low)))
		return geom.Point{X: in.Left + share*(in.Right-in.Left), Y: in.Bottom + level/top*(in.Top-in.Bottom)}
	}
	shapes := []Shape{{Path: box(in), Fill: ink.Tooth, Stroke: ink.Hairline, Weight: scalePen}}
	var marks Path
	for level := 0.0; level <= top; level++ {
		reach := 1.0
		if int(level)%5 == 0 {
			reach = 2.2
		}
		marks.Append(line(at(p.low, level), at(p.low, level).Sub(geom.Point{X: reach})))
	}
	for _, value := range p.figures() {
		marks.Append(line(at(value, 0), at(value, 0).Sub(geom.Point{Y: 1.4})))
	}
	shapes = append(shapes, Shape{Path: marks, Stroke: ink.Ink, Weight: scalePen})
	if p.low < 0 {
		shapes = append(shapes, Shape{Path: line(at(0, 0), at(0, top)), Stroke: ink.Hairline, Weight: scalePen})
	}
	for _, guide := range p.guides {
		shapes = append(shapes, Shape{Path: line(at(guide, 0), at(guide, top)), Stroke: ink.Event, Weight: scalePen, Dash: []float64{1.2, 0.8}})
	}
	shapes = append(shapes, p.removed(r, at, ink)...)
	for _, c := range p.curves {
		points := make([]geom.Point, len(r.Levels))
		for i, l := range r.Levels {
			points[i] = at(c.at(l), l.Level)
		}
		shape := Shape{Path: line(points...), Stroke: ink.Ink, Weight: curvePen}
		if c.before {
			shape.Stroke, shape.Weight, shape.Dash = ink.Quiet, 0.6*curvePen, []float64{1.6, 1}
		}
		shapes = append(shapes, shape)
	}
	s.layer(name, sheetView(), shapes...)
	s.letters(p, in, at, top, name)
}

// removed fills the dentine cut away between the walls before and after.
func (p plotPanel) removed(r LevelRow, at func(value, level float64) geom.Point, ink Palette) []Shape {
	var out []Shape
	for i := 0; i+1 < len(p.curves); i += 2 {
		if p.key != "levels.walls" {
			break
		}
		var loop []geom.Point
		for _, l := range r.Levels {
			loop = append(loop, at(p.curves[i].at(l), l.Level))
		}
		for k := len(r.Levels) - 1; k >= 0; k-- {
			loop = append(loop, at(p.curves[i+1].at(r.Levels[k]), r.Levels[k].Level))
		}
		out = append(out, Shape{Path: polygon(loop), Fill: ink.Wash})
	}
	return out
}

// figures are the values lettered under a panel.
func (p plotPanel) figures() []float64 {
	return []float64{p.low, (p.low + p.high) / 2, p.high}
}

// letters writes a panel's scales and caption.
func (s *sheet) letters(p plotPanel, in Box, at func(value, level float64) geom.Point, top float64, name string) {
	ink := s.Palette
	for _, t := range s.tiers {
		var shapes []Shape
		drop := smallType * t.unit
		for level := 0.0; level <= top; level += 5 {
			q := at(p.low, level)
			shapes = append(shapes, t.writing(geom.Point{X: q.X - 3, Y: q.Y - 0.35*drop}, Sans, smallType, End, ink.Ink, figure(level, 0)))
		}
		for _, value := range p.figures() {
			q := at(value, 0)
			shapes = append(shapes, t.writing(geom.Point{X: q.X, Y: q.Y - 2 - drop}, Sans, smallType, Middle, ink.Ink, figure(value, 1)))
		}
		if t.words > 0 {
			shapes = append(shapes, t.writing(geom.Point{X: in.Left, Y: in.Bottom - 3.4 - 2.2*drop}, SerifItalic, smallType, Start, ink.Quiet, say(p.key)))
		}
		s.letter(name+"-letters", t, shapes...)
	}
}

// box returns the outline of a box.
func box(b Box) Path {
	return polygon([]geom.Point{{X: b.Left, Y: b.Bottom}, {X: b.Right, Y: b.Bottom}, {X: b.Right, Y: b.Top}, {X: b.Left, Y: b.Top}})
}
