package anatomy

import (
	"math"

	"tugback/internal/geom"
)

// growCrown settles lengths and widths and draws the crown. rootMean is the mean root length of the kind.
func (g *grower) growCrown(rootMean float64) error {
	height := take(g.spec.Crown, g.stream("crown", ""), norm(g.kind, "", "crown_height").draw)
	g.length = take(g.spec.Length, g.stream("length", ""), norm(g.kind, "", "length").draw)
	least := float64(0.75 * rootMean)
	if !g.spec.Length.Set {
		g.length = math.Max(g.length, height+least)
	} else if !g.spec.Crown.Set {
		height = math.Max(0.7*norm(g.kind, "", "crown_height").Mean, math.Min(height, g.length-least))
	}
	if g.length-height < 0.45*rootMean {
		return bound{height + float64(0.45*rootMean), 36, "mm"}.refuse("Length", g.length, "the root needs some length")
	}
	size := g.stream("size", "")
	share := size.Truncated(0, 1, -2.5, 2.5)
	width := func(quantity string) float64 {
		n := norm(g.kind, "", quantity)
		return n.Mean + float64(share*n.SD)
	}
	crown := &g.tooth.Crown
	crown.Height = height
	crown.Cervix = [2]float64{width("cervix_md"), width("cervix_bl")}
	crown.Table = [2]float64{width("crown_md"), width("crown_bl")}
	crown.Fossa = height - g.draw("", "fossa_depth")
	for _, c := range g.cusps {
		crown.Cusps = append(crown.Cusps, Cusp{
			Name:  c.name,
			Point: geom.Point{X: 0.5 * c.x * crown.Table[0], Y: height * c.height},
			Z:     0.5 * c.z * crown.Table[1],
		})
	}
	g.drawCrown()
	return nil
}

// crownPath is an outline from the mesial to the distal junction: cubic Bézier curves, three points each.
type crownPath struct {
	start  geom.Point
	curves [][3]geom.Point
}

func (p crownPath) sample() []geom.Point {
	path := []geom.Point{p.start}
	for _, c := range p.curves {
		path = bezier(path, c[0], c[1], c[2])
	}
	return path
}

// frame places shares of half-widths and height of a crown.
type frame struct{ neck, half, height float64 }

func (f frame) at(x, y float64) geom.Point { return geom.Point{X: x * f.half, Y: y * f.height} }

// drawCrown sets outline and dentine.
func (g *grower) drawCrown() {
	crown := &g.tooth.Crown
	f := frame{float64(0.5 * crown.Cervix[0]), float64(0.5 * crown.Table[0]), crown.Height}
	side, tip := norm(g.kind, "", "enamel_side").Mean, norm(g.kind, "", "enamel_cusp").Mean
	d := frame{f.neck, f.half - side, f.height}
	switch g.form {
	case molar:
		pit := crown.Fossa / f.height
		crown.Outline = molarPath(f, pit, 0, 0.62).sample()
		crown.Dentine = molarPath(d, pit-0.62*tip/f.height, tip/f.height, 0.46).sample()
	case premolar:
		crown.Outline = domePath(f, 0, 0.62, 0.2).sample()
		crown.Dentine = domePath(d, tip/f.height, 0.48, 0.16).sample()
	case canine:
		crown.Outline = domePath(f, 0, 0.62, 0.13).sample()
		crown.Dentine = domePath(d, tip/f.height, 0.48, 0.1).sample()
	case incisor:
		crown.Outline = edgePath(f, 0, 0.74).sample()
		crown.Dentine = corePath(d, tip/f.height, 0.58).sample()
	}
}

// molarPath runs over a mesial and a distal cusp with a pit between; drop lowers the cusps (the dentine's
// horns), contact is the height of the greatest width.
func molarPath(f frame, pit, drop, contact float64) crownPath {
	m, d := 1-drop, 0.96-drop
	flank := func(top float64) float64 { return contact + float64(0.55*(top-contact)) }
	return crownPath{geom.Point{X: -f.neck}, [][3]geom.Point{
		{{X: -f.neck - float64(0.03*f.half), Y: 0.4 * contact * f.height}, f.at(-1, 0.62*contact), f.at(-1, contact)},
		{f.at(-1, flank(m)), f.at(-0.8, m), f.at(-0.53, m)},
		{f.at(-0.33, m), f.at(-0.2, pit), f.at(-0.03, pit)},
		{f.at(0.15, pit), f.at(0.27, d), f.at(0.46, d)},
		{f.at(0.74, d), f.at(0.99, flank(d)), f.at(0.99, 0.94*contact)},
		{f.at(0.99, 0.56*contact), {X: f.neck + float64(0.03*f.half), Y: 0.36 * contact * f.height}, {X: f.neck}},
	}}
}

// domePath runs over one cusp; sharp is the half-width of its rounding, in shares of the half-width.
func domePath(f frame, drop, contact, sharp float64) crownPath {
	top := 1 - drop
	rise := top - contact
	const lean = -0.06
	return crownPath{geom.Point{X: -f.neck}, [][3]geom.Point{
		{{X: -f.neck - float64(0.04*f.half), Y: 0.4 * contact * f.height}, f.at(-1, 0.65*contact), f.at(-1, contact)},
		{f.at(-1, contact+float64(0.3*rise)), f.at(-0.86, contact+float64(0.55*rise)), f.at(-0.6, contact+float64(0.74*rise))},
		{f.at(-0.38, contact+float64(0.9*rise)), f.at(lean-sharp, top), f.at(lean, top)},
		{f.at(lean+sharp, top), f.at(0.34, contact+float64(0.88*rise)), f.at(0.6, contact+float64(0.66*rise))},
		{f.at(0.86, contact+float64(0.44*rise)), f.at(1, contact+float64(0.2*rise)), f.at(1, 0.9*contact)},
		{f.at(1, 0.55*contact), {X: f.neck + float64(0.04*f.half), Y: 0.34 * contact * f.height}, {X: f.neck}},
	}}
}

// edgePath runs over an incisal edge: mesial corner sharper than the distal one.
func edgePath(f frame, drop, contact float64) crownPath {
	top := 1 - drop
	rise := top - contact
	return crownPath{geom.Point{X: -f.neck}, [][3]geom.Point{
		{{X: -f.neck - float64(0.02*f.half), Y: 0.35 * contact * f.height}, f.at(-0.99, 0.62*contact), f.at(-0.99, contact)},
		{f.at(-0.99, contact+float64(0.62*rise)), f.at(-0.95, top-float64(0.04*rise)), f.at(-0.72, top)},
		{f.at(-0.3, top+float64(0.04*rise)), f.at(0.25, top+float64(0.02*rise)), f.at(0.55, top-float64(0.06*rise))},
		{f.at(0.85, top-float64(0.16*rise)), f.at(0.99, contact+float64(0.5*rise)), f.at(0.99, 0.92*contact)},
		{f.at(0.99, 0.55*contact), {X: f.neck + float64(0.02*f.half), Y: 0.32 * contact * f.height}, {X: f.neck}},
	}}
}

// corePath is the dentine under an incisal edge: narrowing to a rounded ridge.
func corePath(f frame, drop, contact float64) crownPath {
	top := 1 - drop
	return crownPath{geom.Point{X: -f.neck}, [][3]geom.Point{
		{{X: -f.neck, Y: 0.3 * contact * f.height}, f.at(-1, 0.6*contact), f.at(-0.97, contact)},
		{f.at(-0.93, contact+float64(0.7*(top-contact))), f.at(-0.8, top), f.at(-0.5, top)},
		{f.at(-0.2, top), f.at(0.2, top-0.01), f.at(0.45, top-0.012)},
		{f.at(0.78, top-0.02), f.at(0.93, contact+float64(0.6*(top-contact))), f.at(0.97, 0.95*contact)},
		{f.at(1, 0.58*contact), {X: f.neck, Y: 0.28 * contact * f.height}, {X: f.neck}},
	}}
}
