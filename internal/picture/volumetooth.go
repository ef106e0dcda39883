package picture

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// denseRing is the width of the dense plate of bone outside the ligament, mm (a usual value).
const denseRing = 0.3

// paintTooth paints bone, roots, crown, pulp and all that was done.
func (b *bulk) paintTooth(s *treatment.State) {
	b.paintBone(s)
	b.paintRoots()
	b.paintCrown()
	b.paintChamber(s)
	for k := range s.Canals {
		b.paintCanal(s, k)
	}
	b.paintCavity(s)
	b.paintHoles(s)
	b.paintHeld(s)
}

// paintHoles opens the perforations, or puts in the cement that closes them.
func (b *bulk) paintHoles(s *treatment.State) {
	for _, h := range s.HolePlaces() {
		matter := softMatter
		if h.Closed {
			matter = repairMatter
		}
		b.ball(h.X, h.Y, h.Z, math.Max(0.3, h.Width/2), matter)
	}
}

// grainCubes is the size of a spot of marrow, cubes.
const grainCubes = 4

// paintBone fills the jaw with marrow and bone in a grain that the tooth's seed draws, and soft tissue
// above the crest; a lesion clears the bone around the apices.
func (b *bulk) paintBone(s *treatment.State) {
	chance := detmath.NewStream(b.tooth.Seed, "film bone")
	var n [3]int
	for axis := range n {
		n[axis] = b.n[axis]/grainCubes + 2
	}
	coarse := make([]float64, n[0]*n[1]*n[2])
	for i := range coarse {
		coarse[i] = chance.Range(0.3, 1.7)
	}
	line := make([]float64, n[0])
	for k := range b.n[2] {
		for j := range b.n[1] {
			rise := math.Min(1, math.Max(0, (-crest-b.at(1, j))/0.6+0.5)) // the crest is no sharp edge
			spots := ((k/grainCubes)*n[1] + j/grainCubes) * n[0]
			up := float64(j%grainCubes) / grainCubes
			for x := range line {
				line[x] = (1-up)*coarse[spots+x] + up*coarse[spots+n[0]+x]
			}
			base := (k*b.n[1] + j) * b.n[0]
			gum := softMatter * math.Min(1, math.Max(0, 1-b.at(1, j)))
			for i := range b.n[0] {
				x, on := i/grainCubes, float64(i%grainCubes)/grainCubes
				b.mu[base+i] = float32(gum + rise*(boneMatter*(line[x]+on*(line[x+1]-line[x]))-gum))
			}
		}
	}
	if radius := lesionWide(s); radius > 0 {
		for _, r := range b.tooth.Roots {
			b.ball(r.Apex.X, r.Apex.Y-0.5, r.ApexZ, radius, softMatter)
		}
	}
}

// lesionWide returns the radius of the cleared bone round an apex, mm: as it was before the treatment, and at the
// recall as its film was drawn: gone, smaller, or as large as ever, and begun where there was none.
func lesionWide(s *treatment.State) float64 {
	const before, smaller, begun = 2.2, 1.3, 1.5
	switch {
	case s.Recalled == "healed":
		return 0
	case s.Recalled == "uncertain" && s.Case.Lesion:
		return smaller
	case s.Recalled == "failed" && !s.Case.Lesion:
		return begun
	case s.Case.Lesion:
		return before
	}
	return 0
}

// ball paints a sphere.
func (b *bulk) ball(x, y, z, radius, matter float64) {
	for j := b.level(y - radius); j <= b.level(y+radius); j++ {
		if h := b.at(1, j) - y; math.Abs(h) < radius {
			r := math.Sqrt(radius*radius - h*h)
			b.fill(j, oval{x, z, [4]float64{r, r, r, r}}, matter)
		}
	}
}

// rootOval returns a root's section at a height, false above its canals' orifices and below its apex.
func (b *bulk) rootOval(root int, y float64) (oval, bool) {
	x := [2]float64{math.Inf(1), math.Inf(-1)}
	z := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, k := range b.tooth.Roots[root].Canals {
		c := &b.tooth.Canals[k]
		i := stationAt(c.Length, c.Step, len(c.Axis), func(i int) float64 { return c.Axis[i].Point.Y }, y)
		if i < 0 {
			continue
		}
		x[0] = math.Min(x[0], c.Axis[i].Point.X-c.Surface[0][i])
		x[1] = math.Max(x[1], c.Axis[i].Point.X+c.Surface[1][i])
		z[0] = math.Min(z[0], c.Proximal[i].Point.X-c.Surface[2][i])
		z[1] = math.Max(z[1], c.Proximal[i].Point.X+c.Surface[3][i])
	}
	if x[0] > x[1] {
		return oval{}, false
	}
	hx, hz := (x[1]-x[0])/2, (z[1]-z[0])/2
	return oval{(x[0] + x[1]) / 2, (z[0] + z[1]) / 2, [4]float64{hx, hx, hz, hz}}, true
}

// stationAt returns the station of a canal at a height, −1 outside the canal. Heights fall with the index.
func stationAt(_, step float64, n int, height func(int) float64, y float64) int {
	if y > height(0)+step || y < height(n-1)-step {
		return -1
	}
	low, high := 0, n-1
	for high-low > 1 {
		if middle := (low + high) / 2; height(middle) > y {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// paintRoots paints ligament, plate and dentine of every root, and the trunk above them.
func (b *bulk) paintRoots() {
	foot := b.trunkFoot()
	for j := range b.n[1] {
		y := b.at(1, j)
		if y > 0 {
			break
		}
		var ovals []oval
		if y >= foot {
			ovals = append(ovals, b.trunk(y, foot))
		} else {
			for r := range b.tooth.Roots {
				if o, ok := b.rootOval(r, y); ok {
					ovals = append(ovals, o)
				} else if o, ok := b.tip(r, y); ok {
					ovals = append(ovals, o)
				}
			}
		}
		for _, ring := range []struct{ by, matter float64 }{{ligamentWide + denseRing, denseMatter}, {ligamentWide, softMatter}, {0, dentineMatter}} {
			if ring.by > 0 && y > -crest {
				continue
			}
			for _, o := range ovals {
				b.fill(j, o.grown(ring.by), ring.matter)
			}
		}
	}
}

// tip returns the cap between the lowest foramen and the apex of a root.
func (b *bulk) tip(root int, y float64) (oval, bool) {
	r := &b.tooth.Roots[root]
	low := math.Inf(1)
	for _, k := range r.Canals {
		low = math.Min(low, b.tooth.Canals[k].Axis[len(b.tooth.Canals[k].Axis)-1].Point.Y)
	}
	if y >= low || y < r.Apex.Y || low-r.Apex.Y < 1e-6 {
		return oval{}, false
	}
	o, ok := b.rootOval(root, low+cube)
	if !ok {
		return oval{}, false
	}
	share := (y - r.Apex.Y) / (low - r.Apex.Y)
	round := math.Sqrt(share)
	for i := range o.half {
		o.half[i] *= round
	}
	o.x += (1 - share) * (r.Apex.X - o.x)
	o.z += (1 - share) * (r.ApexZ - o.z)
	return o, true
}

// trunkFoot returns the height at which the roots part, or the lowest orifice of a single root.
func (b *bulk) trunkFoot() float64 {
	if b.tooth.Furcated {
		return b.tooth.Furcation.Y
	}
	foot := 0.0
	for _, c := range b.tooth.Canals {
		foot = math.Min(foot, c.Axis[0].Point.Y-0.2)
	}
	return math.Min(foot, -0.5)
}

// trunk returns the section of the common root at a height: between all roots at its foot and the
// cervix.
func (b *bulk) trunk(y, foot float64) oval {
	cervix := b.tooth.Crown.Cervix
	top := [4]float64{-cervix[0] / 2, cervix[0] / 2, -cervix[1] / 2, cervix[1] / 2}
	edge := top
	first := true
	for r := range b.tooth.Roots {
		o, ok := b.rootOval(r, foot-0.1)
		if !ok {
			continue
		}
		own := [4]float64{o.x - o.half[0], o.x + o.half[1], o.z - o.half[2], o.z + o.half[3]}
		for i := range edge {
			if first || (i%2 == 0 && own[i] < edge[i]) || (i%2 == 1 && own[i] > edge[i]) {
				edge[i] = own[i]
			}
		}
		first = false
	}
	share := y / foot
	for i := range edge {
		edge[i] = top[i] + share*(edge[i]-top[i])
	}
	hx, hz := (edge[1]-edge[0])/2, (edge[3]-edge[2])/2
	return oval{(edge[0] + edge[1]) / 2, (edge[2] + edge[3]) / 2, [4]float64{hx, hx, hz, hz}}
}

// paintCrown paints enamel, then dentine inside it.
func (b *bulk) paintCrown() {
	crown := b.tooth.Crown
	for j := max(0, b.level(0)); j < b.n[1]; j++ {
		y := b.at(1, j)
		if y < 0 {
			continue
		}
		deep := crown.Cervix[1] / 2 * (1 - math.Min(1, y/(0.5*crown.Height)))
		deep += crown.Table[1] / 2 * math.Min(1, y/(0.5*crown.Height))
		if y > 0.6*crown.Height {
			over := (y/crown.Height - 0.6) / 0.4
			deep *= math.Sqrt(math.Max(0.05, 1-0.75*over*over))
		}
		b.fillOutline(j, crossingsAt(crown.Outline, y, false), deep, enamelMatter)
		b.fillOutline(j, crossingsAt(crown.Dentine, y, false), math.Max(0.3, deep-0.9*math.Min(1, y/2)), dentineMatter)
	}
}

// fillOutline paints the stretches between pairs of crossings.
func (b *bulk) fillOutline(row int, xs []float64, deep, matter float64) {
	for i := 0; i+1 < len(xs); i += 2 {
		half := (xs[i+1] - xs[i]) / 2
		b.fill(row, oval{(xs[i] + xs[i+1]) / 2, 0, [4]float64{half, half, deep, deep}}, matter)
	}
}

// paintChamber hollows the pulp chamber out.
func (b *bulk) paintChamber(s *treatment.State) {
	chamber := b.tooth.Chamber
	matter := softMatter
	if s.Sealed {
		matter = coverMatter
	}
	for j := range b.n[1] {
		y := b.at(1, j)
		xs := crossingsAt(chamber.Outline, y, true)
		for i := 0; i+1 < len(xs); i += 2 {
			half := (xs[i+1] - xs[i]) / 2
			b.fill(j, oval{(xs[i] + xs[i+1]) / 2, 0, [4]float64{half, half, chamber.Wall[2], chamber.Wall[3]}}, matter)
		}
	}
}

// paintCavity takes out what was drilled and puts in what covers it.
func (b *bulk) paintCavity(s *treatment.State) {
	a := s.Access
	if a.Depth == 0 {
		return
	}
	top := 0.0
	for _, c := range b.tooth.Crown.Cusps {
		top = math.Max(top, c.Point.Y)
	}
	floor := math.Max(top-a.Depth, b.tooth.Chamber.Floor)
	cover := math.Inf(1)
	if s.Temporary > 0 {
		cover = b.tooth.Crown.Fossa - s.Temporary
	}
	for j := max(0, b.level(floor)); j < b.n[1]; j++ {
		matter := airMatter
		if b.at(1, j) > top && s.Restoration != "" && s.Restoration != "none" {
			break // a restoration ends with the crown
		}
		if y := b.at(1, j); s.Restoration != "" && s.Restoration != "none" || y > cover && y < b.tooth.Crown.Fossa {
			matter = coverMatter
		}
		b.fill(j, oval{0, 0, a.Extent}, matter)
	}
}
