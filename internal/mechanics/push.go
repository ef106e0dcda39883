package mechanics

import "math"

// axialLoad is what the accepted or tried contact sets against the push.
type axialLoad struct {
	resistance float64 // N at the handle to move the file on
	packed     float64 // N of it from debris or a fragment at the tip
	buckles    float64 // N that the free length above the deepest contact bears
	tipBuckles float64 // N that it bears when the tip is stopped and carries the push
	tight      int     // station of the largest contact force
	tightSide  int
	contact    float64 // N, that force
}

// resist sums the axial resistance of a contact from the tip upwards,
//
//	T ← T·exp(μ|κ|h) + N·(μ + slope)
//
// |κ| is the file's curvature of both planes and slope the rate at which the wall closes on the side of
// the file as it moves: y′ − wall′ seen from either side, at least the taper of the file (half of it a
// side). pull reverses the slopes and gives the force to draw the file out. The forces of all four walls
// add; nothing cancels. Checked by TestCapstan and TestTooLarge.
func (w *Worker) resist(j *job, planes *[2]contact, depth float64, pull bool) axialLoad {
	n := planes[0].n
	load := axialLoad{buckles: math.Inf(1), tipBuckles: math.Inf(1), tightSide: -1}
	if n == 0 {
		return load
	}
	h := j.space.Step
	tension := 0.0
	if !pull {
		load.packed = w.packed(j, depth)
		tension = load.packed
	}
	supported, touched := depth, false // arc length of the support below, and whether it is a contact
	k0, k1 := planes[0].curvature[:n], planes[1].curvature[:n]
	for i := n - 1; i >= 0; i-- {
		k := math.Sqrt(float64(k0[i]*k0[i]) + float64(k1[i]*k1[i]))
		tension *= growth(j.friction * k * h)
		at := 0.0
		for plane := range planes {
			force := &planes[plane].force
			for side := range force {
				f := force[side][i]
				if f == 0 {
					continue
				}
				at += f
				slope := w.closing(j, planes, plane, side, i, n, depth)
				if pull {
					slope = -slope
				}
				tension += float64(f * math.Max(0, j.friction+slope))
				if f > load.contact {
					load.contact, load.tight, load.tightSide = f, i, 2*plane+side
				}
			}
		}
		if at > looseForce || w.guides(i) || j.hand.Sheathed && i >= j.space.Orifice {
			here := float64(float64(i) * h)
			span := j.rod.euler(depth-supported, depth-here)
			if touched {
				load.buckles = math.Min(load.buckles, span)
			}
			load.tipBuckles = math.Min(load.tipBuckles, span)
			supported, touched = here, true
		}
		w.axial[i] = tension
	}
	span := j.rod.euler(depth-supported, j.rod.Blank.Length)
	load.tipBuckles = math.Min(load.tipBuckles, span)
	if touched || load.packed > 0 {
		load.buckles = math.Min(load.buckles, span)
	}
	if load.packed > 0 {
		load.buckles = load.tipBuckles
	}
	load.resistance = tension
	return load
}

// guides says whether the canal is so close round the file at a station that it cannot bow out there.
func (w *Worker) guides(i int) bool {
	return w.gaps[0][i]+w.gaps[1][i] < guidePlay && w.gaps[2][i]+w.gaps[3][i] < guidePlay
}

// closing returns the slope with which a wall closes on the file's side at a station.
func (w *Worker) closing(j *job, planes *[2]contact, plane, side, i, n int, depth float64) float64 {
	lo, hi := max(i-1, 0), min(i+1, n-1)
	run := float64(hi-lo) * j.space.Step
	y, wall := planes[plane].y, j.space.Wall[2*plane+side]
	tilt := (y[hi] - y[lo]) / run
	if side == 0 {
		tilt = -tilt
	}
	slope := tilt - (wall[hi]-wall[lo])/run
	taper := j.rod.at(j.rod.slope, depth-float64(float64(i)*j.space.Step))
	return math.Max(math.Min(slope, 1), taper)
}

// packed returns the force (N) of debris or a fragment on the tip: its pressure on the tip's section.
func (w *Worker) packed(j *job, depth float64) float64 {
	i := min(int(math.Floor(depth/j.space.Step+1e-9)), j.stations-1)
	tip := j.rod.Blank.Tip
	return j.space.Packed[i] * math.Pi / 4 * tip * tip
}

// growth returns e^z for the small z of one step to 1e-9 up to z = 0.05.
func growth(z float64) float64 {
	return 1 + float64(z*(1+float64(z/2*(1+float64(z/3*(1+float64(z/4)))))))
}
