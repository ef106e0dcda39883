package bench

import (
	"math"

	"tugback/internal/picture"
)

// filmHigh is the height of a film at a width, at most some.
func filmHigh(f *FilmScene, w, most float64) float64 {
	left, right, low, high := f.Frame()
	return math.Min(most, w*(high-low)/(right-left))
}

// FitFilm returns the view that puts a film into a box.
func FitFilm(f *FilmScene, box Box) picture.View {
	left, right, low, high := f.Frame()
	scale := math.Min(box.W/(right-left), box.H/(high-low))
	v := picture.View{Scale: scale, X: box.X + box.W/2 - scale*(left+right)/2, Down: !f.Upper}
	v.Y = box.Y + box.H/2 - scale*(low+high)/2
	if v.Down {
		v.Y = box.Y + box.H/2 + scale*(low+high)/2
	}
	return v
}

// twoPlates lays two plates side by side, each under its name.
func (c *composer) twoPlates(box Box) {
	u, at := c.u, c.page.Centre
	line := 26 * u
	foot := c.footLines(box)
	half := (box.W - 12*u) / 2
	for i, scene := range []*Scene{at.Plate, at.Beside} {
		part := Box{box.X + float64(i)*(half+12*u), box.Y + 8*u + line, half, box.H - (1.4+0.9*float64(len(foot)))*line - 8*u}
		tooth := scene.State.Case.Tooth
		side := math.Min(0.12*part.W, 30*u) // for the scale beside the root
		plate := &Plate{Scene: scene, Box: part, Upper: tooth.Upper, View: FitTooth(tooth, Box{part.X + side, part.Y + 6*u, part.W - 2*side, part.H - 12*u}, 0)}
		if i == 0 {
			c.sheet.Plate = plate
		} else {
			c.sheet.Beside = plate
		}
		name := cut(at.Names[i], picture.SerifItalic, plainType*u, half)
		p := placer{c: c, x: part.X, w: half, column: -1}
		p.letter(name, picture.SerifItalic, plainType, part.X+(half-Advance(name, picture.SerifItalic, plainType*u))/2, box.Y+8*u, line, InkPlain)
	}
	c.sheet.Items = append(c.sheet.Items, Item{Kind: Hairline, Column: -1, Box: Box{box.X + box.W/2, box.Y + 8*u, 0, box.H - (1.4+0.9*float64(len(foot)))*line}})
	c.plateFoot(box, line, foot)
}

// film lays a film large in the middle, with the ruler on it.
func (c *composer) film(box Box) {
	u, at := c.u, c.page.Centre
	line := 26 * u
	foot := c.footLines(box)
	top := box.Y + 8*u + line
	inner := Box{box.X + 4*u, top, box.W - 8*u, box.Bottom() - top - (0.4+0.9*float64(len(foot)))*line}
	plate := &FilmPlate{Scene: at.Film, Box: inner, View: FitFilm(at.Film, inner)}
	if at.Zoom > 1 {
		plate.View.Scale *= at.Zoom
		here := plate.View.Point(at.At)
		plate.View.X += inner.X + inner.W/2 - here.X
		plate.View.Y += inner.Y + inner.H/2 - here.Y
	}
	c.sheet.Film = plate
	p := placer{c: c, x: box.X, w: box.W, column: -1}
	p.letter(say("plate.mesial"), picture.SerifItalic, plainType, box.X+8*u, box.Y+8*u, line, InkQuiet)
	distal := Advance(say("plate.distal"), picture.SerifItalic, plainType*u)
	p.letter(say("plate.distal"), picture.SerifItalic, plainType, box.Right()-8*u-distal, box.Y+8*u, line, InkQuiet)
	room := box.W - 2*distal - 60*u
	size := c.clockSize(room)
	if w := Advance(at.Clock, picture.Sans, size*u); w < room {
		p.letter(at.Clock, picture.Sans, size, box.X+(box.W-w)/2, box.Y+8*u, line, InkPlain)
	}
	c.plateFoot(box, line, foot)
	if at.Spot == nil {
		return
	}
	if len(at.Marks) > 0 {
		from, to := plate.View.Point(at.Marks[0]), plate.View.Point(at.Marks[len(at.Marks)-1])
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Ruler, Column: -1, Size: plate.View.Scale, Box: Box{from.X, from.Y, to.X - from.X, to.Y - from.Y}})
	}
	const arm = 11
	spot := plate.View.Point(*at.Spot)
	if inner.Contains(spot.X, spot.Y) {
		c.sheet.Items = append(c.sheet.Items, Item{Kind: Cross, Column: -1, Box: Box{spot.X - arm, spot.Y - arm, 2 * arm, 2 * arm}})
	}
	c.sheet.Hits = append(c.sheet.Hits, Hit{ID: "film:across", Box: inner, Part: 3, Column: -1})
}
