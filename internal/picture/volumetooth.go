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

// rootOval returns a root's section at a height, false above its canals' orifices and below its apex: across as
// its outline has it, in depth as far as the surfaces of its canals reach, closing below the end of each.
func (b *bulk) rootOval(root int, y float64) (oval, bool) {
	r := &b.tooth.Roots[root]
	xs := crossingsAt(r.Outline, y, false)
	if len(xs) < 2 {
		return oval{}, false
	}
	z := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, k := range r.Canals {
		c := &b.tooth.Canals[k]
		n := len(c.Axis)
		i, closing := n-1, 1.0
		if end := c.Axis[n-1].Point.Y; y > end {
			i = stationAt(c.Length, c.Step, n, func(i int) float64 { return c.Axis[i].Point.Y }, y)
		} else {
			closing = math.Sqrt(math.Max(0, 1-(end-y)/math.Max(end-r.Apex.Y, leastCap)))
		}
		if i < 0 {
			continue
		}
		middle := c.Proximal[i].Point.X
		z[0] = math.Min(z[0], middle-closing*c.Surface[2][i])
		z[1] = math.Max(z[1], middle+closing*c.Surface[3][i])
	}
	if z[0] >= z[1] {
		return oval{}, false
	}
	hx, hz := (xs[len(xs)-1]-xs[0])/2, (z[1]-z[0])/2
	return oval{(xs[0] + xs[len(xs)-1]) / 2, (z[0] + z[1]) / 2, [4]float64{hx, hx, hz, hz}}, true
}

// leastCap, mm, is the least height over which a root closes below a canal's end.
const leastCap = 0.6

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
				}
			}
		}
		b.flare(ovals, y, foot)
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

// flareReach is how far below the trunk's foot its roots are still wider for the arch of the furcation, mm (chosen).
const flareReach = 1.5

// flare widens the roots just below the trunk's foot towards the trunk's outline, so that they part under an arch.
func (b *bulk) flare(ovals []oval, y, foot float64) {
	near := 1 - (foot-y)/flareReach
	if near <= 0 || near > 1 || len(ovals) < 2 {
		return
	}
	whole := b.trunk(foot, foot)
	for i, o := range ovals {
		grow := func(own, full float64) float64 { return own + near*near*(full-own) }
		left, right := grow(o.x-o.half[0], whole.x-whole.half[0]), grow(o.x+o.half[1], whole.x+whole.half[1])
		front, back := grow(o.z-o.half[2], whole.z-whole.half[2]), grow(o.z+o.half[3], whole.z+whole.half[3])
		hx, hz := (right-left)/2, (back-front)/2
		ovals[i] = oval{(left + right) / 2, (front + back) / 2, [4]float64{hx, hx, hz, hz}}
	}
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

// fillOutline paints the stretches between pairs of crossings: parts of one oval, so that cusps go on what lies below.
func (b *bulk) fillOutline(row int, xs []float64, deep, matter float64) {
	if len(xs) < 2 {
		return
	}
	half := (xs[len(xs)-1] - xs[0]) / 2
	deep = math.Min(deep, 2*half) // the tip of the highest cusp is no ridge
	whole := oval{(xs[len(xs)-1] + xs[0]) / 2, 0, [4]float64{half, half, deep, deep}}
	for i := 0; i+1 < len(xs); i += 2 {
		b.fillWithin(row, whole, xs[i], xs[i+1], matter)
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
	restored := s.Restoration != "" && s.Restoration != "none"
	for j := max(0, b.level(floor)); j < b.n[1]; j++ {
		matter := airMatter
		y := b.at(1, j)
		if y > cover && y < b.tooth.Crown.Fossa {
			matter = coverMatter
		}
		if !restored {
			b.fill(j, oval{0, 0, a.Extent}, matter)
			continue
		}
		xs := []float64{math.Inf(-1), math.Inf(1)}
		if y > 0 {
			xs = crossingsAt(b.tooth.Crown.Outline, y, false) // a restoration has the crown's form
		}
		for i := 0; i+1 < len(xs); i += 2 {
			b.fillWithin(j, oval{0, 0, a.Extent}, xs[i], xs[i+1], coverMatter)
		}
	}
}
