package picture

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// Bone and ligament around the roots, mm. Crest: about 1.5 to 2 mm below the junction (common
// practice, no source); ligament 0.2 to 0.25 mm wide (common practice, no source).
const (
	crest        = 1.8
	ligamentWide = 0.24
	boneReach    = 2.9  // where bone has faded out
	boneCell     = 0.36 // one stroke to a cell of this size
)

// rootOutlines returns the outlines of all roots, those behind included.
func (s section) rootOutlines() [][]geom.Point {
	var out [][]geom.Point
	for _, r := range s.tooth.Roots {
		out = append(out, geom.Simplify(r.Outline, 0.03))
	}
	return out
}

// nearRoot returns the distance from p to the nearest root surface and the unit vector away from it;
// false inside the tooth.
func nearRoot(s section, roots [][]geom.Point, p geom.Point) (distance float64, away geom.Point, ok bool) {
	distance = math.Inf(1)
	for _, r := range roots {
		if geom.Contains(r, p) {
			return 0, away, false
		}
		if d, foot := geom.Distance(p, r); d < distance {
			distance, away = d, p.Sub(foot).Unit()
		}
	}
	return distance, away, !geom.Contains(s.body, p)
}

// bone strews short curved strokes around the roots, along their surface near it and loosely further
// out, fading away with distance and below the apices.
func bone(s section, roots [][]geom.Point, chance *detmath.Stream) []tick {
	box := emptyBox()
	for _, r := range roots {
		for _, p := range r {
			box = box.with(p)
		}
	}
	box = box.grown(boneReach)
	var out []tick
	for y := box.Bottom; y < -crest; y += boneCell {
		for x := box.Left; x < box.Right; x += boneCell {
			p := geom.Point{X: x + boneCell*chance.Float64(), Y: y + boneCell*chance.Float64()}
			turned, long, bow, luck, rank := chance.Float64(), chance.Float64(), chance.Float64(), chance.Float64(), chance.Intn(4)
			distance, away, ok := nearRoot(s, roots, p)
			if !ok || distance < ligamentWide+0.1 || distance > boneReach || p.Y > -crest-0.12*distance*distance/boneReach {
				continue
			}
			near := 1 - (distance-ligamentWide)/(boneReach-ligamentWide)
			if luck > 0.25+0.9*near {
				continue
			}
			along := detmath.Atan2(away.X, -away.Y) + (turned-0.5)*math.Pi*(1-0.55*near*near)
			out = append(out, curl(p, along, 0.24+0.24*long, (bow-0.5)*0.5, near, rank))
		}
	}
	return append(out, lamina(s, roots, chance)...)
}

// curl returns a short curved stroke about a place.
func curl(p geom.Point, heading, length, bow, strength float64, rank int) tick {
	sin, cos := detmath.Sincos(heading)
	along, across := geom.Point{X: cos, Y: sin}, geom.Point{X: -sin, Y: cos}
	half := along.Scale(length / 2)
	return tick{[3]geom.Point{p.Sub(half), p.Add(across.Scale(2 * bow * length)), p.Add(half)}, strength, rank}
}

// lamina draws the wall of the socket: close strokes along the ligament's outer border.
func lamina(s section, roots [][]geom.Point, chance *detmath.Stream) []tick {
	var out []tick
	for _, r := range roots {
		points := geom.Resample(r, 0.30)
		for i := 1; i+1 < len(points); i++ {
			along := points[i+1].Sub(points[i-1]).Unit()
			long, lift := 0.24+0.1*chance.Float64(), 0.05*chance.Float64()
			p := points[i].Sub(along.Left().Scale(-ligamentWide - lift)) // outlines run counter-clockwise seen from the pulp
			if inTooth(s, roots, p) {
				p = points[i].Sub(along.Left().Scale(ligamentWide + lift))
			}
			if p.Y > -crest-0.1 || inTooth(s, roots, p) || !clearOf(roots, p, ligamentWide-0.03) {
				continue
			}
			out = append(out, curl(p, detmath.Atan2(along.Y, along.X), long, 0, 1, i%3))
		}
	}
	return out
}

func inTooth(s section, roots [][]geom.Point, p geom.Point) bool {
	for _, r := range roots {
		if geom.Contains(r, p) {
			return true
		}
	}
	return geom.Contains(s.body, p)
}

// clearOf reports whether p keeps a distance from every root.
func clearOf(roots [][]geom.Point, p geom.Point, distance float64) bool {
	for _, r := range roots {
		if d, _ := geom.Distance(p, r); d < distance {
			return false
		}
	}
	return true
}

// ligament draws fine fibres from root to socket, slanting as they do, towards the apex at the root.
func ligament(s section, roots [][]geom.Point, chance *detmath.Stream) []tick {
	var out []tick
	for _, r := range roots {
		points := geom.Resample(r, 0.17)
		for i := 1; i+1 < len(points); i++ {
			along := points[i+1].Sub(points[i-1]).Unit()
			outwards := along.Left()
			if inTooth(s, roots, points[i].Add(outwards.Scale(0.12))) {
				outwards = outwards.Scale(-1)
			}
			end := points[i].Add(outwards.Scale(0.8 * ligamentWide)).Add(geom.Point{Y: 0.07 + 0.04*chance.Float64()})
			start := points[i].Add(outwards.Scale(0.05))
			if end.Y > -crest+0.2 || inTooth(s, roots, end) {
				continue
			}
			out = append(out, tick{[3]geom.Point{start, start.Add(end).Scale(0.5).Add(geom.Point{Y: 0.02}), end}, 0.5, i % 4})
		}
	}
	return out
}

// ticks returns the strokes of a rank as shapes in three strengths, so that they fade.
func ticks(all []tick, rank int, colour, paper Colour, weight float64) []Shape {
	var paths [3]Path
	for _, t := range all {
		if t.rank > rank {
			continue
		}
		band := min(2, max(0, int(t.strength*3)))
		paths[band].Add(MoveTo, t.points[0])
		paths[band].Add(QuadTo, t.points[1], t.points[2])
	}
	var out []Shape
	for band, p := range paths {
		if !p.Empty() {
			out = append(out, Shape{Path: p, Stroke: colour.over(paper, 0.45+0.22*float64(band)), Weight: weight * (0.8 + 0.2*float64(band))})
		}
	}
	return out
}
