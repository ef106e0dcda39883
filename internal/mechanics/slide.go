package mechanics

import (
	"math"

	"tugback/internal/geom"
)

// Slide pushes a rod from depth on without cutting until it stops: for scouting, gauging and cones. The
// motion matters only for friction (a turned file slides easier) and for the set of a bent one; neither
// walls nor tool change. Checked by TestSlideAndGrip.
func (w *Worker) Slide(space *Space, rod *Rod, tool *Tool, hand Hand, depth float64) Stroke {
	w.spent = 0
	j := w.job(space, rod, tool, hand, depth)
	j.tight, j.aim = slideTight, slideAim
	w.trail = trail{}
	s := w.seat(&j, depth, insertTrials)
	out := w.report(&j, &s)
	out.Solves = w.spent
	return out
}

// Grip returns the pull (N) needed to draw a seated rod out by a little: tug-back. friction 0 means the
// default. 0 when the rod lies loose. Checked by TestSlideAndGrip.
func (w *Worker) Grip(space *Space, rod *Rod, tool *Tool, depth, friction float64) float64 {
	j := w.sit(space, rod, tool, depth, friction)
	return w.resist(&j, &w.now, j.limit, true).resistance
}

// sit solves a rod seated at a depth.
func (w *Worker) sit(space *Space, rod *Rod, tool *Tool, depth, friction float64) job {
	w.spent = 0
	j := w.job(space, rod, tool, Hand{Motion: Motion{Kind: Sliding}, Stop: depth, Friction: friction}, depth)
	w.solveAt(&j, j.limit)
	w.accept()
	w.trail = trail{}
	return j
}

// Shape returns the seated file's centre line in the clinical plane as points from the tip up to the first
// station, given the stations of the space's axis (one for each station of the space, for pictures); nil
// when the file is not in the space. Checked by TestShape.
func (w *Worker) Shape(space *Space, rod *Rod, tool *Tool, depth float64, axis []geom.Station) []geom.Point {
	if len(axis) != space.stations() {
		panic("mechanics: axis and space differ in stations")
	}
	j := w.sit(space, rod, tool, depth, 0)
	c := &w.now[0]
	if c.n == 0 {
		return nil
	}
	points := make([]geom.Point, 0, c.n+1)
	tip := w.tipPlace(&j, c, 0, j.limit)
	ahead := math.Max(0, j.limit-float64(float64(c.n-1)*space.Step))
	end := axis[c.n-1]
	points = append(points, end.Point.Add(geom.Direction(end.Heading).Scale(ahead)).Add(geom.Direction(end.Heading).Left().Scale(tip.y)))
	for i := c.n - 1; i >= 0; i-- {
		points = append(points, axis[i].Point.Add(geom.Direction(axis[i].Heading).Left().Scale(c.y[i])))
	}
	return points
}

// Detour returns how much longer the way of a seated rod from the first station to its tip is than the axis
// of the space, mm, to second order in its offset y:
//
//	Σ over both planes of h·(½y′² − κ·y)
//
// A wider canal lets a file cut its corners: the difference of two detours is what a working length
// loses. 0 when the rod is not in the space. Checked by TestDetour.
func (w *Worker) Detour(space *Space, rod *Rod, tool *Tool, depth float64) float64 {
	w.sit(space, rod, tool, depth, 0)
	sum := 0.0
	for plane := range w.now {
		c := &w.now[plane]
		for i := 1; i < c.n; i++ {
			slope := (c.y[i] - c.y[i-1]) / space.Step
			middle := float64(0.5 * (c.y[i] + c.y[i-1]))
			sum += float64(space.Step * (float64(0.5*(slope*slope)) - float64(0.5*(space.Curvature[plane][i]+space.Curvature[plane][i-1])*middle)))
		}
	}
	return sum
}

// Lying is where a rod lies in both planes after a call, for a later call to begin from.
type Lying struct{ offset [2][]float64 }

// Lying returns a copy of where the rod lies now.
func (w *Worker) Lying() Lying {
	var l Lying
	for plane := range w.now {
		c := &w.now[plane]
		l.offset[plane] = append(l.offset[plane], c.y[:c.n]...)
	}
	return l
}

// Lay puts a rod back to where it lay after a call of the same worker in the same space: the next call gives the
// same bits as after that one.
func (w *Worker) Lay(l Lying) {
	for plane := range w.now {
		w.now[plane].n = copy(w.now[plane].y, l.offset[plane])
	}
}
