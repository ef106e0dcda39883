package bench

import (
	"cmp"
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// Surface is a tooth from outside: parts from the back to the front, mm. It shows nothing that cannot be
// seen in the mouth or on a tooth in the hand.
type Surface struct {
	Parts []Part
	Neck  []geom.Point // where enamel ends
}

// Part is one closed outline with the strokes that shade it, each a closed sliver.
type Part struct {
	Outline []geom.Point
	Strokes [][]geom.Point
}

// Spacing of the strokes, mm: denser on the root, open on enamel.
const (
	rootStrokes  = 0.15
	crownStrokes = 0.24
)

// behindBy, mm, is how much further lingual an apex lies than the nearest one before its root is drawn
// behind the others, as in package picture.
const behindBy = 1.5

// Outside returns a tooth's surface as an engraver shades a cylinder: strokes from the outline inwards,
// long on the side away from the light.
func Outside(t *anatomy.Tooth) Surface {
	var s Surface
	nearest := math.Inf(1)
	for _, r := range t.Roots {
		nearest = math.Min(nearest, r.ApexZ)
	}
	roots := slices.Clone(t.Roots)
	slices.SortStableFunc(roots, func(a, b anatomy.Root) int { return cmp.Compare(a.Outline[0].X, b.Outline[0].X) })
	var trunk []geom.Point
	for _, r := range roots {
		if r.ApexZ-nearest > behindBy {
			s.Parts = append(s.Parts, Part{Outline: r.Outline, Strokes: shade(r.Outline, rootStrokes, 0.34, 0.13)})
			continue
		}
		trunk = append(trunk, r.Outline...)
	}
	s.Parts = append(s.Parts, Part{Outline: trunk, Strokes: shade(trunk, rootStrokes, 0.34, 0.13)})
	s.Parts = append(s.Parts, Part{Outline: t.Crown.Outline, Strokes: shade(t.Crown.Outline, crownStrokes, 0.2, 0.06)})
	if n := len(t.Crown.Outline); n > 1 {
		a, b := t.Crown.Outline[0], t.Crown.Outline[n-1]
		for i := range 13 {
			u := float64(i) / 12
			p := a.Add(b.Sub(a).Scale(u))
			p.Y -= 0.55 * 4 * u * (1 - u)
			s.Neck = append(s.Neck, p)
		}
	}
	return s
}

// shade strokes an outline across, from both sides inwards by shares of the width.
func shade(outline []geom.Point, spacing, right, left float64) [][]geom.Point {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range outline {
		low, high = math.Min(low, p.Y), math.Max(high, p.Y)
	}
	var out [][]geom.Point
	k := 0
	for y := low + 0.6*spacing; y < high-0.3*spacing; y += spacing {
		xs := crossings(outline, y)
		for i := 0; i+1 < len(xs); i += 2 {
			a, b := xs[i], xs[i+1]
			w := b - a
			k++
			wobble := 0.75 + 0.5*math.Abs(math.Mod(float64(k)*0.618034, 1)-0.5)*2
			if w < 0.25 {
				continue
			}
			out = append(out, sliver(b, -right*w*wobble, y, w), sliver(a, left*w*wobble, y, w))
		}
	}
	return out
}

// crossings returns where a closed outline crosses a height, sorted.
func crossings(outline []geom.Point, y float64) []float64 {
	var xs []float64
	for i, b := range outline {
		a := outline[(i+len(outline)-1)%len(outline)]
		if (a.Y > y) != (b.Y > y) {
			xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
		}
	}
	slices.Sort(xs)
	return xs
}

// sliver is a stroke from the outline inwards, thick where it begins, sagging as it goes round.
func sliver(x, long, y, w float64) []geom.Point {
	thick := 0.028 + 0.004*w
	sag := 0.05 * math.Abs(long)
	middle := geom.Point{X: x + 0.5*long, Y: y - 0.8*sag}
	return []geom.Point{
		{X: x, Y: y + thick/2}, middle.Add(geom.Point{Y: thick / 4}), {X: x + long, Y: y - sag},
		middle.Sub(geom.Point{Y: thick / 4}), {X: x, Y: y - thick/2},
	}
}
