package picture

import "tugback/internal/geom"

// View is the transform from one set of millimetres to another, or to pixels.
//
//	x' = X + Scale·x,  y' = Y + Scale·y, or Y − Scale·y when Down
//
// Down turns the picture over: it is set for upper teeth, and for devices whose y grows downwards.
// Checked by TestViewComposes.
type View struct {
	Scale, X, Y float64
	Down        bool
}

// sheetView is the view of shapes that are given in the sheet's own mm.
func sheetView() View { return View{Scale: 1} }

// Point returns where p comes to lie.
func (v View) Point(p geom.Point) geom.Point {
	y := v.Scale * p.Y
	if v.Down {
		y = -y
	}
	return geom.Point{X: v.X + v.Scale*p.X, Y: v.Y + y}
}

// Back returns the point that comes to lie at p.
func (v View) Back(p geom.Point) geom.Point {
	y := (p.Y - v.Y) / v.Scale
	if v.Down {
		y = -y
	}
	return geom.Point{X: (p.X - v.X) / v.Scale, Y: y}
}

// Then returns the view that applies v first and w after it.
func (v View) Then(w View) View {
	at := w.Point(geom.Point{X: v.X, Y: v.Y})
	return View{Scale: v.Scale * w.Scale, X: at.X, Y: at.Y, Down: v.Down != w.Down}
}

// device returns the view from the sheet to pixels, y down.
func (d Drawing) device(widthPx int) View {
	scale := float64(widthPx) / d.Width
	return View{Scale: scale, Y: d.Height * scale, Down: true}
}
