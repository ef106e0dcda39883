package bench

import (
	"tugback/internal/geom"
	"tugback/internal/picture"
)

// Reference is the point on the crown from which the lengths of the canal in hand are counted, mm of the
// tooth, as it is after what was taken off it.
type Reference struct {
	At   geom.Point
	Name string
}

// reference returns the reference point of the canal in hand.
func (r *treating) reference() *Reference {
	now := r.now()
	cusp := now.Case.Tooth.Crown.Cusps[now.Case.Tooth.Canals[r.canal].Cusp]
	at := cusp.Point
	at.Y -= now.CuspCut
	return &Reference{At: at, Name: sayOr("cusp."+cusp.Name, cusp.Name)}
}

// reference letters the reference point over the crown, on the side away from the instrument, where there is
// room for its name.
func (c *composer) reference(plate *Plate) {
	from := plate.Scene.From
	if from == nil || c.page.Screen != TreatmentScreen {
		return
	}
	u := c.u
	at := plate.View.Point(from.At)
	if !plate.Box.Contains(at.X, at.Y) {
		return
	}
	w, high := Advance(from.Name, picture.SerifItalic, plainType*u), 20*u
	y := at.Y - 34*u
	if plate.Upper {
		y = at.Y + 14*u
	}
	x := at.X - w - 10*u
	if f := plate.Scene.Live.File; f != nil && plate.View.Point(f.Stop).X < at.X {
		x = at.X + 10*u
	}
	box := Box{x, y, w, high}
	if box.X < plate.Box.X+4*u || box.Right() > plate.Box.Right()-4*u || c.lettered(box) {
		return
	}
	p := placer{c: c, x: x, w: w, column: -1}
	p.letter(from.Name, picture.SerifItalic, plainType, x, y, high, InkPlain)
	end := y + high
	if plate.Upper {
		end = y
	}
	near := x + w
	if x > at.X {
		near = x
	}
	p.add(Item{Kind: Hairline, Box: Box{at.X, at.Y, near - at.X, end - at.Y}})
}

// lettered reports whether letters stand in a box already.
func (c *composer) lettered(box Box) bool {
	for i := range c.sheet.Items {
		if item := &c.sheet.Items[i]; item.Kind == Letter && item.Box.Overlaps(box) {
			return true
		}
	}
	return false
}
