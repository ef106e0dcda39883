package anatomy

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// reshape adds slopes to the sideways course of stations and puts them in place again, with station
// keep staying where it is.
func reshape(stations []geom.Station, step float64, slope func(s float64) float64, keep int) {
	for i := range stations {
		sine := detmath.Sin(stations[i].Heading) + slope(stations[i].S)
		stations[i].Heading = detmath.Asin(math.Max(-0.9, math.Min(0.9, sine)))
	}
	fixed := stations[keep].Point
	place(stations, step)
	shift := fixed.Sub(stations[keep].Point)
	for i := range stations {
		stations[i].Point = stations[i].Point.Add(shift)
		before, after := max(i-1, 0), min(i+1, len(stations)-1)
		stations[i].Curvature = (stations[after].Heading - stations[before].Heading) / float64(float64(after-before)*step)
	}
}

// meetGap, mm, is how near two canals of types VI and VII come to each other.
const meetGap = 0.5

// meet leads a canal and the leading one of its root together half way down, and apart again.
func (g *grower) meet(i int) {
	canal, lead := &g.tooth.Canals[i], &g.tooth.Canals[g.canals[i].first]
	at := func(c *Canal) float64 { return c.Proximal[len(c.Proximal)/2].Point.X }
	gap := at(canal) - at(lead)
	shift := math.Copysign(0.5*math.Max(0, math.Abs(gap)-meetGap), gap)
	detour(canal, -shift)
	detour(lead, shift)
}

// detour moves the middle of a canal's hidden course sideways and leaves its ends in place.
func detour(c *Canal, shift float64) {
	middle := 0.5 * c.Length
	reshape(c.Proximal, c.Step, func(s float64) float64 {
		if s < middle {
			return shift * smoothSlope(s/middle) / middle
		}
		return -shift * smoothSlope((s-middle)/middle) / middle
	}, 0)
}

// growJoined grows a canal that joins another: from its own orifice it nears the other, and is the other
// canal from the junction on.
func (g *grower) growJoined(i int) error {
	plan := g.canals[i]
	canal, other := &g.tooth.Canals[i], &g.tooth.Canals[plan.joins]
	spec := plan.spec.JoinLevel
	level := take(spec, g.stream("join", plan.name), norm(g.kind, plan.name, "join_level").draw)
	if most := other.Length - 2.5; level > most {
		if spec.Set {
			return bound{0.5, most, "mm"}.refuse("Canals["+plan.name+"].JoinLevel", level, "both canals need a part of their own")
		}
		level = most
	}
	junction := int(math.RoundToEven((other.Length - level) / other.Step))
	*canal = Canal{
		Name: plan.name, Root: plan.root, Cusp: g.cuspOf(plan.name), Length: other.Length, Step: other.Step,
		Constriction: other.Constriction, Foramen: other.Foramen, Joins: plan.joins, JoinS: other.Axis[junction].S,
	}
	origin, z := g.orifice(i)
	canal.Axis = runBeside(other.Axis, origin.X, other.Step, junction)
	canal.Proximal = runBeside(other.Proximal, z, other.Step, junction)
	if err := g.growWalls(i); err != nil {
		return err
	}
	for side := range canal.Wall {
		blendWall(canal.Wall[side], other.Wall[side], canal.Step, junction)
	}
	return nil
}

// nearing is the share of the way to the junction over which a joining canal turns into the other's
// direction: chosen, so that a joining canal of a lower molar turns at 5 to 10 mm of
// radius, as drawn bends do, and leaves its orifice at some 20°.
const nearing = 0.4

// nearingSlope returns the slope with which a joining canal nears the other, in shares of the mean slope, at
// a share t of the way: straight at first, as canals converge from their orifices, then turning evenly.
func nearingSlope(t float64) float64 {
	return math.Max(0, math.Min(1, (1-t)/nearing)) / (1 - nearing/2)
}

// runBeside returns the stations of a canal that starts at x and equals the other from a station on.
func runBeside(other []geom.Station, x, step float64, junction int) []geom.Station {
	stations := append([]geom.Station(nil), other...)
	length := other[junction].S
	offset := x - other[0].Point.X
	reshape(stations, step, func(s float64) float64 { return -offset * nearingSlope(s/length) / length }, junction)
	copy(stations[junction:], other[junction:])
	return stations
}

// blendWall leads a wall over into the other canal's within 1.5 mm above the junction.
func blendWall(wall, other []float64, step float64, junction int) {
	copy(wall[junction:], other[junction:])
	reach := int(1.5 / step)
	for i := max(0, junction-reach); i < junction; i++ {
		share := smooth(1 - float64(junction-i)/float64(reach))
		wall[i] += float64(share * (other[i] - wall[i]))
	}
}
