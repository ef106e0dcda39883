package bench

import (
	"math"

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

// handleHalf is half of what an instrument's handle and stop take, px, with room beside it.
const handleHalf = 24.0

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
	left, right := at.X-10*u, at.X+10*u // of what stands between
	if f := plate.Scene.Live.File; f != nil {
		top := plate.View.Point(f.Top)
		up := plate.View.Point(f.Top.Add(f.Up)).Sub(top).Unit()
		shaft := top.X + up.X*math.Abs(y+high/2-top.Y)
		left, right = math.Min(left, shaft-handleHalf*u), math.Max(right, shaft+handleHalf*u)
	}
	x := left - w
	if right-at.X < at.X-left {
		x = right
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
