package anatomy

import (
	"math"
	"strconv"

	"tugback/internal/detmath"
)

// constrictionTypes are the words for the shape of the apical constriction (Dummer 1984).
func constrictionTypes() []string { return []string{"single", "tapering", "multiple", "parallel"} }

// drawForamen draws the foramen of a canal: size by age (Kuttler 1955), place by Burch & Hulen 1972
// and Martos 2009.
func (g *grower) drawForamen(plan canalPlan) Foramen {
	s := g.stream("foramen", plan.name)
	name := plan.name
	median, sigma := norm(g.kind, name, "foramen_diameter").logNormal()
	f := Foramen{Diameter: s.LogNormal(median, sigma) * g.ageing("foramen_age_ratio"), Side: -1}
	weights := make([]float64, 4)
	for i, side := range []string{"mesial", "distal", "buccal", "lingual"} {
		weights[i] = norm(g.kind, name, "foramen_"+side).Mean
	}
	side := s.Pick(weights)
	off := s.Float64() < norm(g.kind, name, "foramen_off").Mean
	distance := norm(g.kind, name, "foramen_offset").draw(&s)
	if !off {
		distance = s.Range(0, 0.12)
	}
	f.Offset = take(plan.spec.ForamenOffset, g.stream("foramen fixed", name), constant(distance))
	if f.Offset > 0.12 {
		f.Side = side
	}
	return f
}

// The middle ages, years, of the young (18–25) and the old (over 55) of Kuttler 1955; the second is
// an estimate.
const (
	youngAge = 21.5
	oldAge   = 62
)

// ageing returns the factor by which age changes a value whose old-to-young ratio is a norm; 1 at the
// reference age.
func (g *grower) ageing(quantity string) float64 {
	ratio := norm(g.kind, "", quantity).Mean
	at := func(age float64) float64 { return 1 + float64((ratio-1)*(age-youngAge)/(oldAge-youngAge)) }
	return at(g.age) / at(g.referenceAge())
}

// wallDraw is what is drawn of a canal's widths.
type wallDraw struct {
	factor       [2]float64 // of all mesiodistal and all buccolingual diameters of the canal
	kind         string
	level        float64
	narrow, wide float64
}

// drawConstriction draws the constriction and the size of a canal; narrow canals have narrow
// constrictions.
func (g *grower) drawConstriction(plan canalPlan) wallDraw {
	s := g.stream("constriction", plan.name)
	own, common, other := s.Truncated(0, 1, -2.5, 2.5), s.Truncated(0, 1, -2.5, 2.5), s.Truncated(0, 1, -2.5, 2.5)
	spread := norm(g.kind, plan.name, "diameter_spread").Mean
	size := float64(spread * (float64(0.8*common) + float64(0.6*own)))
	oval := float64(0.5 * norm(g.kind, plan.name, "oval_spread").Mean * s.Truncated(0, 1, -2.5, 2.5))
	d := wallDraw{factor: [2]float64{detmath.Exp(size - oval), detmath.Exp(size + oval)}}
	median, sigma := norm(g.kind, plan.name, "constriction_narrow").logNormal()
	d.narrow = take(plan.spec.Narrow, g.stream("narrow", plan.name), constant(median*detmath.Exp(float64(sigma*common))))
	median, sigma = norm(g.kind, plan.name, "constriction_wide").logNormal()
	drawn := median * detmath.Exp(float64(sigma*(float64(0.6*common)+float64(0.8*other))))
	d.wide = take(plan.spec.Wide, g.stream("wide", plan.name), constant(math.Max(drawn, d.narrow)))
	d.wide = math.Max(d.wide, d.narrow)
	types := constrictionTypes()
	weights := make([]float64, len(types))
	for i, t := range types {
		weights[i] = norm(g.kind, plan.name, "constriction_"+t).Mean
	}
	d.kind = types[s.Pick(weights)]
	if plan.spec.Constriction != "" {
		d.kind = plan.spec.Constriction
	}
	level := norm(g.kind, plan.name, "constriction_level").draw(&s) * g.ageing("constriction_age_ratio")
	d.level = take(plan.spec.ConstrictionLevel, g.stream("level", plan.name), constant(level))
	return d
}

// leastWall, mm, keeps a canal open however narrow its parts are made together.
const leastWall = 0.02

// growWalls sets the four wall distances of a canal and its constriction.
func (g *grower) growWalls(i int) error {
	plan, canal := g.canals[i], &g.tooth.Canals[i]
	if plan.spec.Narrow.Set && plan.spec.Wide.Set && plan.spec.Wide.High < plan.spec.Narrow.Low {
		return bound{plan.spec.Narrow.Low, 1.8, "mm"}.refuse("Canals["+plan.name+"].Wide", plan.spec.Wide.High, "not below Narrow")
	}
	d := g.drawConstriction(plan)
	if canal.Joins < 0 {
		canal.Constriction = Constriction{d.kind, d.level, d.narrow, d.wide}
		canal.Foramen.Diameter = math.Max(canal.Foramen.Diameter, 1.05*d.narrow)
		if d.kind == "tapering" {
			canal.Foramen.Diameter = 1.08 * d.narrow
		}
	}
	n := len(canal.Axis)
	widths := g.diameters(i, d)
	amplitude := g.noise * norm(g.kind, "", "wall_noise").Mean
	shrink := calcified(plan.spec.Calcified, n, canal.Step)
	for plane := range 2 {
		size := g.mural.row(n, canal.Step, 1.6, float64(9*i+3*plane), amplitude)
		shift := g.mural.row(n, canal.Step, 2.1, float64(9*i+3*plane)+1.5, amplitude)
		even, minus, plus := make([]float64, n), make([]float64, n), make([]float64, n)
		for j := range n {
			even[j] = 0.5 * widths[plane][j]
			half := even[j] * shrink[j]
			minus[j], plus[j] = half, half
			if size != nil {
				minus[j] = half * (1 + size[j]) * (1 + shift[j])
				plus[j] = half * (1 + size[j]) * (1 - shift[j])
			}
			minus[j], plus[j] = math.Max(minus[j], leastWall), math.Max(plus[j], leastWall)
		}
		canal.Wall[2*plane], canal.Wall[2*plane+1] = minus, plus
		g.even[i][2*plane], g.even[i][2*plane+1] = even, even
	}
	return nil
}

// calcified returns the share of the diameter left at each station.
func calcified(narrowings []Narrowing, n int, step float64) []float64 {
	left := make([]float64, n)
	for j := range left {
		level := float64(float64(n-1-j) * step)
		left[j] = 1
		for _, c := range narrowings {
			edge := math.Abs(level-c.Level) / c.Length // 0 in the middle, 0.5 at the end
			left[j] *= 1 - float64((1-c.Share)*smooth(2-float64(4*edge)))
		}
	}
	return left
}

// diameters returns mesiodistal and buccolingual diameters at the stations of a canal, by level from
// the published medians, the constriction and the foramen, smoothly between.
func (g *grower) diameters(i int, d wallDraw) [2][]float64 {
	plan, canal := g.canals[i], &g.tooth.Canals[i]
	name := plan.name
	if plan.alone {
		if _, ok := findNorm(g.kind, name+" single", "md_1"); ok {
			name += " single"
		}
	}
	across := [2]float64{d.narrow, d.wide}
	if norm(g.kind, name, "md_1").Mean > norm(g.kind, name, "bl_1").Mean {
		across = [2]float64{d.wide, d.narrow}
	}
	mouth := g.mouthWidths(plan)
	var widths [2][]float64
	for plane, quantity := range []string{"md_", "bl_"} {
		knots := apicalKnots(d, across[plane], canal.Foramen.Diameter)
		knots = g.bodyKnots(knots, name, quantity, d.factor[plane], across[plane], canal.Length)
		knots = g.coronalKnots(knots, plan, mouth[plane], canal.Length)
		byLevel := newMonotone(knots)
		widths[plane] = make([]float64, len(canal.Axis))
		piece := 0
		for j := range widths[plane] {
			level := canal.Length - float64(float64(j)*canal.Step)
			widths[plane][j], piece = byLevel.value(level, piece)
		}
	}
	return widths
}

// apicalKnots returns diameters by level from the foramen through the constriction.
func apicalKnots(d wallDraw, across, foramen float64) []knot {
	knots := []knot{{0, math.Max(foramen, across)}}
	level := math.Max(0.08, d.level)
	switch d.kind {
	case "tapering":
		knots = []knot{{0, 1.08 * across}, {math.Min(level, 0.3), across}}
	case "multiple":
		knots = append(knots, knot{level, across}, knot{level + 0.3, 1.3 * across}, knot{level + 0.6, 1.04 * across})
	case "parallel":
		knots = append(knots, knot{level, across}, knot{level + 0.9, 1.02 * across})
	default:
		knots = append(knots, knot{level, across})
	}
	return knots
}

// bodyKnots adds the published diameters above the constriction, none below its width.
func (g *grower) bodyKnots(knots []knot, name, quantity string, factor, across, length float64) []knot {
	for level := 1; level <= 5; level++ {
		published, ok := findNorm(g.kind, name, quantity+strconv.Itoa(level))
		at := float64(level)
		if !ok || at < knots[len(knots)-1].at+0.15 || at > length-3 {
			continue
		}
		aged := 1 + float64(g.pulpAgeing()*at/16)
		knots = append(knots, knot{at, math.Max(published.Mean*factor*aged, 1.03*across)})
	}
	return knots
}

// pulpAgeing returns the relative change of a coronal pulp width with age: the slope of the premolar
// table over its width, −0.35 at the least.
func (g *grower) pulpAgeing() float64 {
	slope := norm(g.kind, "", "pulp_width_slope").Mean
	return math.Max(-0.35, slope*(g.age-g.referenceAge())/norm("lower-second-premolar", "", "pulp_md").Mean)
}

// coronalKnots adds the way up to the orifice: most of the widening in the last 2 mm, or the taper
// that a spec fixes.
func (g *grower) coronalKnots(knots []knot, plan canalPlan, mouth, length float64) []knot {
	last := knots[len(knots)-1]
	if plan.spec.Taper.Set {
		taper := take(plan.spec.Taper, g.stream("taper", plan.name), constant(0))
		third := math.Max(last.at, length/3)
		return append(knots, knot{third + 1e-3, last.value}, knot{length, last.value + float64(taper*(length-third))})
	}
	mouth = math.Max(mouth, 1.05*last.value)
	return append(knots, knot{length - 2, last.value + float64(0.62*(mouth-last.value))}, knot{length, mouth})
}

// mouthWidths returns the diameters at the orifice.
func (g *grower) mouthWidths(plan canalPlan) [2]float64 {
	if plan.name == "canal" {
		md, bl := g.pulpWidth()
		return [2]float64{md, bl}
	}
	aged := 1 + g.pulpAgeing()
	return [2]float64{g.draw(plan.name, "md_orifice") * aged, g.draw(plan.name, "bl_orifice") * aged}
}
