package picture

import (
	"fmt"
	"math"

	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// Sheet and scale of the two access plates, mm of the sheet and times natural size.
const (
	accessWidth  = 150.0
	accessHeight = 84.0
	accessScale  = 5.5
)

// AccessPlate draws the access on two plates: the crown cut in the mesiodistal plane, and the floor plan
// from above with orifices and their developmental lines; the cavity is drawn over both as it is.
// Found orifices are filled, others open. Above an upper tooth's section the crown hangs down as in
// the mouth. The state is only read. Checked by TestAccessPlate.
func AccessPlate(s treatment.State, o Options) Drawing {
	tooth := s.Case.Tooth
	sheet := newSheet(accessWidth, accessHeight, o.palette())
	sheet.Description = fmt.Sprintf("%s, access: crown section and floor plan.", say("tooth."+string(tooth.Kind)))
	half := accessWidth / 4
	middle := tooth.Crown.Height/2 - 1
	section := View{Scale: accessScale, X: half, Y: accessHeight/2 - accessScale*middle, Down: tooth.Upper}
	if tooth.Upper {
		section.Y = accessHeight/2 + accessScale*middle
	}
	plan := View{Scale: accessScale, X: 3 * half, Y: accessHeight / 2}
	sheet.accessSection(s, section)
	sheet.accessPlan(s, plan)
	for _, t := range sheet.tiers[1:] {
		sheet.letter("titles", t,
			t.writing(geom.Point{X: half, Y: 4}, SerifItalic, headType, Middle, sheet.Palette.Ink, say("access.section")),
			t.writing(geom.Point{X: 3 * half, Y: 4}, SerifItalic, headType, Middle, sheet.Palette.Ink, say("access.plan")))
	}
	return sheet.finished()
}

// accessSection draws crown, dentine, chamber, the canals' mouths and the cavity's two walls.
func (s *sheet) accessSection(state treatment.State, v View) {
	p, tooth := s.Palette, state.Case.Tooth
	crown := append([]geom.Point(nil), tooth.Crown.Outline...)
	s.layer("access-crown", v,
		Shape{Path: polygon(crown), Stroke: p.Ink, Weight: 0.35},
		Shape{Path: line(tooth.Crown.Dentine...), Stroke: p.Ink, Weight: hairPen},
		Shape{Path: polygon(tooth.Chamber.Outline), Stroke: p.Ink, Weight: 0.3})
	var mouths []Shape
	for _, c := range tooth.Canals {
		end := 0
		for end+1 < len(c.Axis) && c.Axis[end].S < 3 {
			end++
		}
		path := make([]geom.Point, 0, end+1)
		for _, a := range c.Axis[:end+1] {
			path = append(path, a.Point)
		}
		mouths = append(mouths, Shape{Path: line(path...), Stroke: p.Ink, Weight: hairPen, Dash: []float64{0.6, 0.5}})
	}
	s.layer("access-canals", v, mouths...)
	if state.Access.Depth == 0 {
		return
	}
	top := 0.0
	for _, c := range tooth.Crown.Cusps {
		top = math.Max(top, c.Point.Y)
	}
	low := top - state.Access.Depth
	upper, lower := state.CavityReach(top), state.CavityReach(low)
	s.layer("access-cavity", v, Shape{Path: line(geom.Point{X: -upper[0], Y: top}, geom.Point{X: -lower[0], Y: low},
		geom.Point{X: lower[1], Y: low}, geom.Point{X: upper[1], Y: top}), Stroke: p.Event, Weight: 0.5})
}

// accessPlan draws the tooth from above, its floor, lines and orifices, and the cavity at floor level.
func (s *sheet) accessPlan(state treatment.State, v View) {
	p, tooth := s.Palette, state.Case.Tooth
	plan := tooth.Chamber.Plan
	shapes := []Shape{
		{Path: polygon(plan.Tooth), Stroke: p.Ink, Weight: 0.35},
		{Path: polygon(plan.Outline), Stroke: p.Ink, Weight: 0.3},
	}
	for _, l := range plan.Lines {
		shapes = append(shapes, Shape{Path: line(l[0], l[1]), Stroke: p.Ink, Weight: hairPen})
	}
	for k, at := range plan.Orifices {
		mouth := Shape{Path: circle(at, 0.3), Stroke: p.Ink, Weight: 0.3}
		if k < len(state.Canals) && state.Canals[k].Found {
			mouth.Fill = p.Ink
		}
		shapes = append(shapes, mouth)
	}
	s.layer("access-floor", v, shapes...)
	if state.Access.Depth == 0 {
		return
	}
	r := state.CavityReach(tooth.Chamber.Floor)
	s.layer("access-outline", v, Shape{Path: polygon([]geom.Point{{X: -r[0], Y: -r[2]}, {X: r[1], Y: -r[2]}, {X: r[1], Y: r[3]}, {X: -r[0], Y: r[3]}}),
		Stroke: p.Event, Weight: 0.5})
}
