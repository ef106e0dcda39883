package treatment

import (
	"math"

	"tugback/internal/geom"
)

// place is a figure found somewhere along a canal.
type place struct {
	size, left, level float64
	side              int
}

// cut returns how far a wall has moved at a station, mm.
func (c *CanalState) cut(walls [4][]float64, side, i int) float64 {
	return walls[side][i] - c.First[side][i]
}

// transport returns the largest difference of the cuts on opposite walls between two levels (mm from
// the foramen), in either plane, with the wall that was cut more: Gambill's T for walls measured
// from the canal.
func (c *CanalState) transport(walls [4][]float64, low, high float64) place {
	best := place{side: -1}
	for i := c.station(c.Foramen() - high); i <= c.station(c.Foramen()-low); i++ {
		if i < c.Space.Orifice {
			continue
		}
		for p := range 2 {
			d := c.cut(walls, 2*p+1, i) - c.cut(walls, 2*p, i)
			if math.Abs(d) <= best.size {
				continue
			}
			best = place{size: math.Abs(d), level: c.Level(float64(float64(i) * c.Space.Step)), side: 2 * p}
			if d > 0 {
				best.side = 2*p + 1
			}
		}
	}
	return best
}

// thinnest returns the least dentine between canal and root surface, 2 mm or more from the foramen.
func (c *CanalState) thinnest(walls [4][]float64) place {
	best := place{left: math.Inf(1)}
	for i := c.Space.Orifice; i <= c.station(c.Foramen()-2); i++ {
		for side := range 4 {
			if left := c.Space.Surface[side][i] - walls[side][i]; left < best.left {
				best = place{left: left, level: c.Level(float64(float64(i) * c.Space.Step)), side: side}
			}
		}
	}
	return best
}

// ledge returns the deepest one-sided step of a wall: a cut that ends within 0.2 mm on one side and not
// on the other, away from the working length (or, where none was
// written down, the deepest tip), where an apical stop is wanted.
func (c *CanalState) ledge() place {
	best, end := place{side: -1}, c.Length
	if end == 0 {
		end = c.Deepest
	}
	for i := c.Space.Orifice; i+2 <= c.Space.Foramen; i++ {
		length := float64(float64(i) * c.Space.Step)
		if math.Abs(length-end) < apicalStop {
			continue
		}
		for side := range 4 {
			if d := c.step(side, i) - math.Max(0, c.step(side^1, i)); d > best.size {
				best = place{size: d, level: c.Level(length), side: side}
			}
		}
	}
	return best
}

// apicalStop is how near the working length a step is the wanted end of the preparation, mm.
const apicalStop = 0.4

// step returns how much of a cut ends between station i and two further on.
func (c *CanalState) step(side, i int) float64 {
	return c.cut(c.Space.Wall, side, i) - c.cut(c.Space.Wall, side, i+2)
}

// stepNear returns how far a wall steps back in, apical to a place where a tip gouged it, mm: the deepest cut
// within half a millimetre above less the least within half a millimetre below, less what the opposite wall
// was cut there.
func (c *CanalState) stepNear(walls [4][]float64, side int, at float64) float64 {
	i, reach := c.station(at), max(2, int(math.RoundToEven(0.5/c.Space.Step)))
	deepest, least, across := 0.0, math.Inf(1), 0.0
	for k := max(c.Space.Orifice, i-reach); k <= min(i+1, c.Space.Foramen); k++ {
		if d := c.cut(walls, side, k); d > deepest {
			deepest, across = d, math.Max(0, c.cut(walls, side^1, k))
		}
	}
	for k := i + 1; k <= min(i+reach, c.Space.Foramen); k++ {
		least = math.Min(least, c.cut(walls, side, k))
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return math.Max(0, deepest-least-across)
}

// shift returns how far the middle of the canal has moved from where it was at a station in a plane,
// towards the plus side positive, mm.
func (c *CanalState) shift(plane, i int) float64 {
	return float64(0.5 * (c.cut(c.Space.Wall, 2*plane+1, i) - c.cut(c.Space.Wall, 2*plane, i)))
}

// shortening returns how much shorter the way of a fine file from the reference point to a length has
// become: with the walls as first found and as they are now, a scout lies in the canal as its bending lets
// it, and the wider canal lets it cut the corner. Checked by TestLengthChange.
func (c *CanalState) shortening(length float64) float64 {
	return NewScratch().shortening(c, length)
}

// middle returns the middle line of the canal in the clinical plane, as grown or as it is now.
func (c *CanalState) middle(axis []geom.Station, now bool) []geom.Point {
	d := make([]float64, len(axis))
	for k := range axis {
		i := c.Space.Orifice + k
		d[k] = (c.First[1][i] - c.First[0][i]) / 2
		if now {
			d[k] += c.shift(0, i)
		}
	}
	return geom.Offset(axis, d)
}
