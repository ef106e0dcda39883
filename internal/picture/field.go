package picture

import (
	"math"
	"slices"

	"tugback/internal/geom"
)

// cell is what a grid point of a field is.
type cell byte

const (
	outside cell = iota // potential 1
	between             // unknown
	inside              // potential 0
)

// field is a potential on a square grid: 0 in the inner polygons, 1 outside the outer ones, harmonic
// between. Its field lines leave both borders at right angles and never meet, as tubules do.
type field struct {
	step   float64
	origin geom.Point
	nx, ny int
	kind   []cell
	u      []float64
}

// fieldStep, mm, is the grid's spacing: about two points across the narrowest canal.
const fieldStep = 0.08

// sweeps of over-relaxation; tuned: the potential then moves by less than 1e-3 a sweep, which no line shows.
const sweeps = 160

// newField lays out and solves a field.
func newField(outer, inner [][]geom.Point) *field {
	box := emptyBox()
	for _, polygon := range outer {
		for _, p := range polygon {
			box = box.with(p)
		}
	}
	box = box.grown(3 * fieldStep)
	f := &field{step: fieldStep, origin: geom.Point{X: box.Left, Y: box.Bottom}}
	f.nx = int(math.Ceil((box.Right-box.Left)/f.step)) + 1
	f.ny = int(math.Ceil((box.Top-box.Bottom)/f.step)) + 1
	f.kind = make([]cell, f.nx*f.ny)
	f.u = make([]float64, f.nx*f.ny)
	for _, polygon := range outer {
		f.fill(polygon, between)
	}
	for _, polygon := range inner {
		f.fill(polygon, inside)
	}
	f.solve()
	return f
}

// fill sets the cells whose centre lies in a closed polygon. An outer polygon does not reopen cells.
func (f *field) fill(polygon []geom.Point, kind cell) {
	for j := range f.ny {
		y := f.origin.Y + float64(j)*f.step
		var crossings []float64
		for i, b := range polygon {
			a := polygon[(i+len(polygon)-1)%len(polygon)]
			if (a.Y > y) != (b.Y > y) {
				crossings = append(crossings, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
			}
		}
		slices.Sort(crossings)
		for k := 0; k+1 < len(crossings); k += 2 {
			from := max(0, int(math.Ceil((crossings[k]-f.origin.X)/f.step)))
			upto := min(f.nx-1, int(math.Floor((crossings[k+1]-f.origin.X)/f.step)))
			for i := from; i <= upto; i++ {
				f.kind[j*f.nx+i] = kind
			}
		}
	}
}

// solve relaxes the potential (successive over-relaxation, rows in order).
func (f *field) solve() {
	for i, k := range f.kind {
		f.u[i] = [...]float64{1, 0.5, 0}[k]
	}
	var open []int
	for i, k := range f.kind {
		if x, y := i%f.nx, i/f.nx; k == between && x > 0 && y > 0 && x < f.nx-1 && y < f.ny-1 {
			open = append(open, i)
		}
	}
	const omega = 1.88
	for range sweeps {
		for _, i := range open {
			mean := 0.25 * (f.u[i-1] + f.u[i+1] + f.u[i-f.nx] + f.u[i+f.nx])
			f.u[i] += omega * (mean - f.u[i])
		}
	}
}

// place returns the cell left below a point and the shares of the way to the next, false outside the grid.
func (f *field) place(p geom.Point) (index int, tx, ty float64, ok bool) {
	x, y := (p.X-f.origin.X)/f.step, (p.Y-f.origin.Y)/f.step
	i, j := int(math.Floor(x)), int(math.Floor(y))
	if i < 1 || j < 1 || i >= f.nx-2 || j >= f.ny-2 {
		return 0, 0, 0, false
	}
	return j*f.nx + i, x - float64(i), y - float64(j), true
}

// at returns the potential and the direction in which it grows, a unit vector; false outside the grid
// or where the potential is flat.
func (f *field) at(p geom.Point) (u float64, up geom.Point, ok bool) {
	i, tx, ty, ok := f.place(p)
	if !ok {
		return 0, up, false
	}
	blend := func(v func(i int) float64) float64 {
		low := v(i)*(1-tx) + v(i+1)*tx
		high := v(i+f.nx)*(1-tx) + v(i+f.nx+1)*tx
		return low*(1-ty) + high*ty
	}
	u = math.Max(0, math.Min(1, blend(func(i int) float64 { return f.u[i] }))) // relaxation may overshoot a little
	up = geom.Point{
		X: blend(func(i int) float64 { return f.u[i+1] - f.u[i-1] }),
		Y: blend(func(i int) float64 { return f.u[i+f.nx] - f.u[i-f.nx] }),
	}
	if up.Norm() < 1e-9 {
		return u, up, false
	}
	return u, up.Unit(), true
}

// kindAt returns what the grid point nearest to p is; beyond the grid is outside.
func (f *field) kindAt(p geom.Point) cell {
	i, tx, ty, ok := f.place(p)
	if !ok {
		return outside
	}
	if tx > 0.5 {
		i++
	}
	if ty > 0.5 {
		i += f.nx
	}
	return f.kind[i]
}
