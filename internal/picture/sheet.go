package picture

import (
	"fmt"
	"math"

	"tugback/internal/geom"
)

// Options say how a plate is drawn. The zero value is a light plate titled with the tooth's name.
type Options struct {
	Palette  Palette // zero: Light
	Title    string  // "" the tooth's name
	Subtitle string  // "" seed and age
	Before   bool    // TreatmentPlate: draw the untouched tooth beside the treated one
	File     *File   // an instrument standing in a canal, nil none
}

// File is an instrument to be drawn in a canal, true to scale.
type File struct {
	Item  string  // catalogue id
	Canal string  // name of the canal
	Depth float64 // mm from the reference point to its tip
}

// palette returns the palette of the options.
func (o Options) palette() Palette {
	if o.Palette.Name == "" {
		return Light()
	}
	return o.Palette
}

// tier is one size of lettering: small pictures get bigger and fewer words.
type tier struct {
	name       string
	from, upto float64 // px per sheet mm
	unit       float64 // sheet mm per px of nominal type size
	words      int     // 0 figures and letters only, 1 heads, 2 everything
}

// smallest nominal type size, and the least size it may come to on a picture, px.
const (
	smallType = 14.0
	leastType = 13.0
)

// Widths from which a sheet gets its tiers of lettering, px. Below the first there is no lettering.
var tierWidths = [3]float64{380, 640, 1100}

// tiers returns the lettering of a sheet of a width.
func tiers(width float64) []tier {
	out := make([]tier, 3)
	for i, name := range [3]string{"figures", "heads", "full"} {
		from := tierWidths[i] / width
		out[i] = tier{name: name, from: from, unit: leastType / smallType / from, words: i}
		if i > 0 {
			out[i-1].upto = from
		}
	}
	return out
}

// sheet gathers layers.
type sheet struct {
	Drawing
	tiers []tier
}

func newSheet(width, height float64, p Palette) *sheet {
	s := &sheet{tiers: tiers(width)}
	s.Width, s.Height, s.Palette = width, height, p
	return s
}

// layer appends a layer that shows at every size; nothing is appended when there is nothing in it.
func (s *sheet) layer(name string, view View, shapes ...Shape) {
	s.add(Layer{Name: name, View: view, Shapes: shapes})
}

func (s *sheet) add(l Layer) {
	if len(l.Shapes) > 0 {
		s.Layers = append(s.Layers, l)
	}
}

// letter appends shapes of one tier of lettering.
func (s *sheet) letter(name string, t tier, shapes ...Shape) {
	s.add(Layer{Name: name + "-" + t.name, View: sheetView(), From: t.from, Upto: t.upto, Shapes: shapes})
}

// writing returns a text shape; size in px at the tier's nominal scale.
func (t tier) writing(at geom.Point, role Role, size float64, anchor Anchor, colour Colour, text string) Shape {
	return Shape{Text: &Text{At: at, String: text, Role: role, Size: size * t.unit, Anchor: anchor, Colour: colour}}
}

// figure formats a length for a caption: no more decimals than can be seen.
func figure(v float64, decimals int) string {
	return fmt.Sprintf("%.*f", decimals, v)
}

// finished returns the drawing. It panics on a point that is not a number or lies far off the sheet:
// a raster library would spend minutes on it.
func (s *sheet) finished() Drawing {
	far := 20 * (s.Width + s.Height)
	for _, l := range s.Layers {
		for _, shape := range l.Shapes {
			for _, p := range shape.Path.Points {
				if q := l.View.Point(p); !(math.Abs(q.X) < far && math.Abs(q.Y) < far) {
					panic("picture: layer " + l.Name + " has a point off the sheet")
				}
			}
		}
	}
	return s.Drawing
}
