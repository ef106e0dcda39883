package anatomy

import (
	"math"

	"tugback/internal/geom"
)

// Measures are the trade's measures of one canal, rad and mm.
type Measures struct {
	Length                float64
	Schneider, Weine      float64
	Pruett                geom.Bend
	EstrelaRadius         float64
	Access                geom.Access
	ProximalSchneider     float64
	LargestCurvature      float64 // 1/mm
	LargestCurvatureLevel float64 // mm from the foramen
	// DangerThickness is the thinnest furcal-side dentine within 7 mm below the furcation but not
	// within 3 mm of the foramen, DangerLevel how far below the furcation it is; both 0 for a root
	// without furcation.
	DangerThickness, DangerLevel float64
}

// Measure measures a canal as on its picture: the constructions of package geom on its clinical axis.
// It panics if the tooth has no such canal. Checked by TestSpecIsMeasured and TestDangerZone.
func Measure(tooth *Tooth, canal int) Measures {
	c := &tooth.Canals[canal]
	axis := points(c.Axis)
	m := Measures{
		Length:            c.Length,
		Schneider:         geom.Schneider(axis),
		Weine:             geom.Weine(axis),
		Pruett:            geom.Pruett(axis),
		EstrelaRadius:     geom.EstrelaRadius(axis),
		Access:            geom.CanalAccess(axis),
		ProximalSchneider: geom.Schneider(points(c.Proximal)),
	}
	for _, s := range c.Axis {
		if k := math.Abs(s.Curvature); k > m.LargestCurvature {
			m.LargestCurvature, m.LargestCurvatureLevel = k, c.Length-s.S
		}
	}
	if side := FurcalSide(tooth, canal); side >= 0 {
		m.DangerThickness, m.DangerLevel = danger(tooth, c, side)
	}
	return m
}

func points(stations []geom.Station) []geom.Point {
	path := make([]geom.Point, len(stations))
	for i, s := range stations {
		path[i] = s.Point
	}
	return path
}

// FurcalSide returns the wall side of a canal that faces the furcation, −1 where there is none.
func FurcalSide(tooth *Tooth, canal int) int {
	l, _ := layoutOf(tooth.Kind)
	name := tooth.Roots[tooth.Canals[canal].Root].Name
	for _, root := range l.roots {
		if root.name == name {
			return root.furcal
		}
	}
	return -1
}

// danger searches the dentine of the danger zone.
func danger(tooth *Tooth, c *Canal, side int) (thickness, level float64) {
	thickness = math.Inf(1)
	for j, s := range c.Axis {
		below := tooth.Furcation.Y - s.Point.Y
		if below < 0 || below > 7 || c.Length-s.S < 3 {
			continue
		}
		if d := c.Surface[side][j] - c.Wall[side][j]; d < thickness {
			thickness, level = d, below
		}
	}
	if math.IsInf(thickness, 1) {
		return 0, 0
	}
	return thickness, level
}
