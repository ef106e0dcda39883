package mechanics

import "math"

// Cutting of a stroke: Archard with an edge,
//
//	V = k·F·s/H
//
// per station and wall; k by edge, direction, section, shavings and blunting, s the way the edge slides.

// reach is how far the edges slide in a stroke as cutting distance: per mm of radius while turning, and
// along the axis, mm; along the axis while a tip that is stopped is pressed; how far a turning file can follow up in
// the stroke, mm; and the most that a stroke cuts of the present interference, less for flutes that are full or dull.
type reach struct{ turning, along, tip, feed, most float64 }

// slide returns the cutting distance of a motion of which the share turned was done. An edge cuts as far
// as it moves across itself: flutes at the helix angle β to the axis, turning by cos β, drawing by sin β.
func (w *Worker) slide(j *job, turned float64) reach {
	m := j.hand.Motion
	e := m.cutting()
	bites := math.Max(0, 1-j.tool.Clog) * math.Max(0, 1-j.tool.Dull)
	keen := j.rod.Blank.Edge * sharpness(j.rod.Blank.Section) * bites
	return reach{
		turning: turned * keen * j.rod.turn * m.swings() * (float64(e.forward*m.Forward) + float64(e.back*m.Back)),
		along:   keen * j.rod.pull * m.Lift * (e.in + e.out),
		tip:     keen * j.rod.pull * math.Min(m.Lift, j.rod.coneEnd) * e.in,
		feed:    w.tuning.Feed * turned * m.turned() / math.Pi,
		most:    slideCutShare * bites,
	}
}

// sharpness returns how keenly a section's corners meet the wall, 1 for the square of a K-type file: a
// corner of 60° scrapes better than one of 90°. The figures are chosen; direction: section matters more
// than motion (BNRC 2021), and an incidence of 70° cuts more than 90° (Pedullà 2021).
func sharpness(s Section) float64 {
	switch s.Shape {
	case Square:
		return 1
	case Triangle, Rhombus, Core:
		return 1.2
	default: // a round section has no edge
		return 0
	}
}

// wear cuts the walls where the file presses, over the fluted length, and counts what was removed. The
// depth is the volume over the width of the contact (file circle against wall circle, widening with what
// is already cut). Of what the file's own bending presses never more than half of the present interference is
// cut, so that a stroke relieves a contact and does not overshoot it; a load that the hand holds follows the
// wall as it recedes and is not so limited. A tapered file that can still follow up also cuts what it sweeps on
// its way, taper/2 a side for each mm. Checked by TestArchard, TestCurveWear, TestStraightCanal.
func (w *Worker) wear(j *job, depth float64, cut reach, out *Stroke) {
	n, h := w.now[0].n, j.space.Step
	work := 0.0
	feed := math.Min(cut.feed, math.Max(0, j.limit-depth))
	for i := range n {
		x := depth - float64(float64(i)*h)
		if j.space.Soft[i] || x > j.rod.Blank.WorkingPart {
			continue
		}
		radius := w.columns.radius[i]
		share := 1.0
		if x < j.rod.coneEnd {
			share = j.rod.Blank.TipCuts
		}
		sliding := share * (float64(cut.turning*radius) + cut.along)
		half := [2]float64{0.5 * j.space.opening(0, i), 0.5 * j.space.opening(1, i)}
		for side := range j.space.Wall {
			plane := side / 2
			bent, held := w.now[plane].force[side%2][i], w.pressed(j, side, i)
			if bent+held <= 0 || sliding <= 0 {
				continue
			}
			work += float64((bent + held) * sliding)
			cell := w.columns.weight[i] * h
			rate := w.tuning.Wear * sliding / (w.tuning.Hardness * cell) // mm² per N
			w.held[side][i] = rate * held
			if bent > 0 {
				sunk := bent / (w.tuning.WallStiffness * cell)
				width := contactWidth(radius, half[1-plane], sunk)
				most := float64(cut.most*sunk) + float64(feed*math.Max(0, j.rod.at(j.rod.slope, x)))
				w.cutWall(j, side, i, math.Min(rate*bent/width, most), width, out)
			}
		}
	}
	w.file(j, n, out)
	w.blunt(j, work, out)
}

// file cuts what a load held sideways cuts, spread evenly over the way along which the stroke draws the file: a
// filed wall ends as gently as the stroke is long. Checked by TestHeldLoad.
func (w *Worker) file(j *job, n int, out *Stroke) {
	reach := max(1, int(math.RoundToEven(j.hand.Motion.Lift/j.space.Step)))
	for side := range w.press {
		p := &w.press[side]
		if p.load <= 0 || p.sum <= 0 {
			continue
		}
		held, sum := w.held[side][:n], 0.0
		for i := n - 1; i >= j.space.Orifice; i-- { // sum: of held from i to i+reach−1
			sum += held[i]
			if i+reach < n {
				sum -= held[i+reach]
			}
			if sum > leastFiled && !j.space.Soft[i] {
				width := quarterArc / 2 * w.columns.radius[i]
				w.cutWall(j, side, i, sum/(float64(reach)*width), width, out)
			}
		}
	}
}

// contactWidth returns the width (mm) over which a circle of a radius that has sunk into a round wall of
// another radius lies on it: 2√(2·p·r_e), 1/r_e = 1/r − 1/ρ, at most a quarter of its circumference.
func contactWidth(radius, wall, sunk float64) float64 {
	quarter := quarterArc * radius
	if wall <= radius {
		return quarter
	}
	effective := radius * wall / (wall - radius)
	return math.Min(quarter, math.Max(2*math.Sqrt(2*sunk*effective), 0.1*radius))
}

// cutWall moves a wall outwards, not farther than a hole needs where it reaches the surface, since nothing is
// left there to cut, and keeps the stroke's account. Checked by TestThrough.
func (w *Worker) cutWall(j *job, side, i int, depth, width float64, out *Stroke) {
	wall := j.space.Wall[side]
	at := float64(i) * j.space.Step
	before, surface := wall[i], j.space.Surface[side][i]
	depth = math.Min(depth, surface+throughDepth-before)
	if depth <= 0 {
		return
	}
	wall[i] += depth
	out.Removed += float64(depth * width * j.space.Step)
	if depth > out.Cut[side] {
		out.Cut[side], out.CutAt[side] = depth, at
	}
	if before <= surface && wall[i] > surface && !out.Through {
		out.Through, out.ThroughAt, out.ThroughSide = true, at, side
	}
}

// blunt fills the flutes with what was cut and dulls a steel edge by its friction work (N·mm).
func (w *Worker) blunt(j *job, work float64, out *Stroke) {
	r := j.rod
	inside := math.Min(out.Depth, r.Blank.WorkingPart)
	mean := r.at(r.core, inside/2)
	flutes := r.chips * math.Pi * (mean * mean) * inside
	if flutes > 0 {
		j.tool.Clog = math.Min(1, j.tool.Clog+out.Removed/flutes)
	}
	if r.Blank.Alloy.FullStrain == 0 {
		j.tool.Dull = math.Min(1, j.tool.Dull+float64(w.tuning.Dulling*work))
	}
}

// spread prepares how a deliberate sideways load lies on the favoured walls: on the fluted length below
// the orifice, most where the file is nearest the wall, nothing where it is FilingReach farther away, and in
// proportion to the file's stiffness: pressed against a wall, it bends away where it is slender. It leaves
// what pressing says. Checked by TestHeldLoad.
func (w *Worker) spread(j *job, depth float64) {
	for side := range w.press {
		p := &w.press[side]
		*p = pressing{load: j.hand.Motion.Press * j.hand.Motion.Favour[side], near: math.Inf(1)}
		if p.load <= 0 {
			continue
		}
		clear(w.held[side])
		for i := j.space.Orifice; i < w.now[0].n; i++ {
			if w.flutedAt(j, depth, i) {
				p.near = math.Min(p.near, w.clearance(side, i))
			}
		}
		for i := j.space.Orifice; i < w.now[0].n; i++ {
			if w.flutedAt(j, depth, i) {
				p.sum += w.presses(side, i)
				p.length += j.space.Step
			}
		}
	}
}

// pressing is the spread of a sideways load over one wall: the load, N, the nearest gap, mm, the sum of weights,
// the length that may take it, mm.
type pressing struct{ load, near, sum, length float64 }

// pressed returns the deliberate load on a wall at a station, N.
func (w *Worker) pressed(j *job, side, i int) float64 {
	p := &w.press[side]
	if p.load <= 0 || p.sum <= 0 || i < j.space.Orifice {
		return 0
	}
	return p.load * w.presses(side, i) / p.sum
}

// presses returns the weight of a station in a sideways load.
func (w *Worker) presses(side, i int) float64 {
	return w.columns.stiff[i] * math.Max(0, w.tuning.FilingReach-(w.clearance(side, i)-w.press[side].near))
}

// flutedAt says whether flutes lie against a hard wall at a station.
func (w *Worker) flutedAt(j *job, depth float64, i int) bool {
	x := depth - float64(float64(i)*j.space.Step)
	return !j.space.Soft[i] && x <= j.rod.Blank.WorkingPart && x >= j.rod.coneEnd
}

// clearance returns the gap between file and a wall, mm, not below 0.
func (w *Worker) clearance(side, i int) float64 {
	y := w.now[side/2].y[i]
	if side%2 == 0 {
		y = -y
	}
	return math.Max(0, w.gaps[side][i]-y)
}
