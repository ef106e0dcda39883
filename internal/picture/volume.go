package picture

import (
	"image"
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// cube is the edge of the small cubes a tooth is painted into, mm.
const cube = 0.12

// room is how far the block reaches beyond the tooth, mm.
const room = 3.0

// bulk is a block of small cubes, each with its attenuation in 1/mm. Its corner is the mesial, apical,
// buccal one.
type bulk struct {
	n      [3]int     // cubes along x, y, z
	corner [3]float64 // mm
	mu     []float32  // z slowest, then y, then x
	tooth  *anatomy.Tooth
}

func newBlock(t *anatomy.Tooth) *bulk {
	b := emptyBlock(t)
	b.mu = make([]float32, b.n[0]*b.n[1]*b.n[2])
	return b
}

// emptyBlock returns the block without its cubes: its place and size.
func emptyBlock(t *anatomy.Tooth) *bulk {
	low, top := 0.0, 0.0
	for _, r := range t.Roots {
		low = math.Min(low, r.Apex.Y)
	}
	for _, c := range t.Crown.Cusps {
		top = math.Max(top, c.Point.Y)
	}
	wide, deep := t.Crown.Table[0]/2, t.Crown.Table[1]/2
	for _, c := range t.Canals {
		for i, s := range c.Axis {
			wide = math.Max(wide, math.Abs(s.Point.X)+1)
			deep = math.Max(deep, math.Abs(c.Proximal[i].Point.X)+1)
		}
	}
	b := &bulk{tooth: t, corner: [3]float64{-wide - room, low - 1.5*room, -deep - room/2}}
	for axis, length := range [3]float64{2 * (wide + room), top - low + 2*room, 2*deep + room} {
		b.n[axis] = int(math.Ceil(length / cube))
	}
	return b
}

// at returns the middle of the k-th cube along an axis, mm.
func (b *bulk) at(axis, k int) float64 { return b.corner[axis] + (float64(k)+0.5)*cube }

// level returns the row of cubes at a height.
func (b *bulk) level(y float64) int { return int(math.Floor((y - b.corner[1]) / cube)) }

// oval is a section across at one height: middle and half-widths towards mesial, distal, buccal, lingual.
type oval struct {
	x, z float64
	half [4]float64
}

// share returns how much of a cube lies inside, 0 to 1, its edge softened over one cube.
func (o oval) share(x, z float64) float64 {
	hx, hz := o.half[1], o.half[3]
	if x < o.x {
		hx = o.half[0]
	}
	if z < o.z {
		hz = o.half[2]
	}
	if hx <= 0 || hz <= 0 {
		return 0
	}
	rho := math.Hypot((x-o.x)/hx, (z-o.z)/hz)
	return math.Min(1, math.Max(0, 0.5+(1-rho)*math.Sqrt(hx*hz)/cube))
}

// grown widens an oval all round.
func (o oval) grown(by float64) oval {
	for i := range o.half {
		o.half[i] += by
	}
	return o
}

// fill paints one row of an oval with a matter, mixed at its edge with what is there.
func (b *bulk) fill(row int, o oval, matter float64) {
	b.fillWithin(row, o, math.Inf(-1), math.Inf(1), matter)
}

// fillWithin paints what of an oval lies between two places across the tooth, mm.
func (b *bulk) fillWithin(row int, o oval, left, right, matter float64) {
	if row < 0 || row >= b.n[1] {
		return
	}
	from, to := b.span(0, math.Max(left, o.x-o.half[0]), math.Min(right, o.x+o.half[1]))
	front, back := b.span(2, o.z-o.half[2], o.z+o.half[3])
	for k := front; k <= back; k++ {
		base := (k*b.n[1] + row) * b.n[0]
		z := b.at(2, k)
		for i := from; i <= to; i++ {
			x := b.at(0, i)
			inside := math.Min(1, math.Min((x-left)/cube, (right-x)/cube)+0.5)
			if share := o.share(x, z) * math.Max(0, inside); share > 0 {
				was := float64(b.mu[base+i])
				b.mu[base+i] = float32(was + share*(matter-was))
			}
		}
	}
}

// span returns the cubes of a stretch and one more on each side, kept inside the block.
func (b *bulk) span(axis int, low, high float64) (from, to int) {
	from = int(math.Floor((low-b.corner[axis])/cube)) - 1
	to = int(math.Ceil((high-b.corner[axis])/cube)) + 1
	return max(0, from), min(b.n[axis]-1, to)
}

// project adds the block up along the beam, slab by slab, and returns the picture's frame with the
// optical depth of each dot. Each slab of one z is shifted and scaled as Beam.Project says.
func (b *bulk) project(f Film) (Radiogram, []float64) {
	left, right, low, high := b.frame(f)
	w, h := int(math.Ceil((right-left)/f.Dot)), int(math.Ceil((high-low)/f.Dot))
	r := Radiogram{Image: image.NewGray(image.Rect(0, 0, w, h)), Origin: [2]float64{-left / f.Dot, high / f.Dot}, Dot: f.Dot}
	depth := make([]float64, w*h)
	m := f.Beam.Magnification()
	tanShift := detmath.Tan(f.Beam.Shift)
	sin, cos := detmath.Sincos(f.Beam.Receptor - f.Beam.Vertical)
	flat := detmath.Cos(f.Beam.Vertical)
	path := cube * math.Sqrt(1+tanShift*tanShift+(sin/cos)*(sin/cos))
	for k := range b.n[2] {
		z := b.at(2, k)
		for py := range h {
			v := high - (float64(py)+0.5)*f.Dot
			y := (v*flat/m - z*sin) / cos
			b.addRow(depth[py*w:(py+1)*w], k, (y-b.corner[1])/cube-0.5,
				((left+0.5*f.Dot)/m-z*tanShift-b.corner[0])/cube-0.5, f.Dot/m/cube, path)
		}
	}
	return r, depth
}

// addRow adds one row of dots: j is the row of cubes, i the first dot's cube and step that between dots,
// all as fractions.
func (b *bulk) addRow(row []float64, k int, j, i, step, path float64) {
	j0 := int(math.Floor(j))
	if j0 < 0 || j0+1 >= b.n[1] {
		return
	}
	up := j - float64(j0)
	below, above := (k*b.n[1]+j0)*b.n[0], (k*b.n[1]+j0+1)*b.n[0]
	for p := range row {
		at := i + float64(p)*step
		i0 := int(math.Floor(at))
		if i0 < 0 || i0+1 >= b.n[0] {
			continue
		}
		along := at - float64(i0)
		lo := float64(b.mu[below+i0])*(1-along) + float64(b.mu[below+i0+1])*along
		hi := float64(b.mu[above+i0])*(1-along) + float64(b.mu[above+i0+1])*along
		row[p] += path * (lo*(1-up) + hi*up)
	}
}

// frame returns the part of the receptor that the tooth falls on, mm.
func (b *bulk) frame(f Film) (left, right, low, high float64) {
	left, right, low, high = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for corner := range 8 {
		var p [3]float64
		for axis := range 3 {
			p[axis] = b.corner[axis] + 0.3*room
			if corner>>axis&1 == 1 {
				p[axis] = b.corner[axis] + float64(b.n[axis])*cube - 0.3*room
			}
		}
		if p[2] < 0 {
			p[2] = math.Min(0, p[2]+room)
		} else {
			p[2] = math.Max(0, p[2]-room)
		}
		u, v := f.Beam.Project(p[0], p[1], p[2])
		left, right, low, high = math.Min(left, u), math.Max(right, u), math.Min(low, v), math.Max(high, v)
	}
	return left, right, low, high
}

// crossings returns where an outline crosses a height, in order of x.
func crossingsAt(outline []geom.Point, y float64, closed bool) []float64 {
	var xs []float64
	n := len(outline)
	for i := range n {
		if i == n-1 && !closed {
			break
		}
		a, c := outline[i], outline[(i+1)%n]
		if (a.Y <= y) != (c.Y <= y) {
			xs = append(xs, a.X+(y-a.Y)/(c.Y-a.Y)*(c.X-a.X))
		}
	}
	slices.Sort(xs)
	return xs
}
