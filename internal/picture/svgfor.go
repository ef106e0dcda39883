package picture

import (
	"io"
	"slices"
)

// SVGFor writes the drawing as SVG with the lettering that can be read on a picture so many px wide, at
// least 1; SVG itself letters for a large one. Checked by TestSVGFor.
func (d Drawing) SVGFor(w io.Writer, widthPx float64) error {
	scale := max(1, widthPx) / d.Width
	d.Layers = slices.DeleteFunc(slices.Clone(d.Layers), func(l Layer) bool { return !l.Shown(scale) })
	for i := range d.Layers {
		d.Layers[i].Upto = 0
	}
	return d.SVG(w)
}
