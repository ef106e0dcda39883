package mechanics

import "math"

// narrowLimit returns the deepest tip position (mm) that the openings from depth on allow: a tip goes no
// farther into an opening narrower than D0 than until its cone fills it. Checked by TestNarrow.
func (w *Worker) narrowLimit(j *job, depth float64) float64 {
	h, limit := j.space.Step, j.limit
	r := j.rod
	first := max(0, int(math.Ceil((depth-r.coneEnd)/h-1e-9)))
	for i := first; i < j.stations && float64(i)*h < limit; i++ {
		opening := math.Min(j.space.opening(0, i), j.space.opening(1, i))
		if opening >= r.Blank.Tip-passTolerance {
			continue
		}
		reach := math.Max(0, (float64(opening/2)-pointRadius)/r.tipSlope)
		limit = math.Min(limit, float64(float64(i)*h)+reach)
	}
	return math.Max(limit, depth)
}

// look shortens a trial advance from depth to target so that the axis turns no more than leapTurn in it
// and that it ends before a wall that steps inwards and where debris or a fragment begins or thickens:
// what the tip does there is judged from nearby.
func (w *Worker) look(j *job, depth, target float64) float64 {
	h := j.space.Step
	target = math.Min(target, depth+leapLength)
	first := max(1, int(math.Floor(depth/h+1e-9))+1)
	var turn [2]float64
	for i := first; i < j.stations && float64(i)*h < target; i++ {
		for p := range turn {
			turn[p] += float64(j.space.Curvature[p][i] * h)
		}
		if at := float64(i) * h; at > depth+passTolerance && j.space.Packed[i] > j.space.Packed[i-1] {
			return at
		}
		stop := math.Abs(turn[0]) > leapTurn || math.Abs(turn[1]) > leapTurn
		if before := float64(i-1) * h; before > depth+nearAdvance && w.stepsIn(j, i) {
			return before
		}
		if stop {
			return math.Min(target, math.Max(float64(i)*h, depth+h))
		}
	}
	return target
}

// stepsIn says whether any wall steps inwards from station i−1 to i.
func (w *Worker) stepsIn(j *job, i int) bool {
	if j.space.Soft[i] || j.space.Soft[i-1] || w.guided(j, float64(i)*j.space.Step) {
		return false
	}
	for side := range j.space.Wall {
		wall := j.space.Wall[side]
		if wall[i] < wall[i-1]-float64(jumpSlope*j.space.Step) {
			return true
		}
	}
	return false
}

// guided says whether the hand still guides the tip: down to a little below the orifice it is led in by eye
// and feel, so that the orifice's edge is no face.
func (w *Worker) guided(j *job, at float64) bool {
	return at < float64(float64(j.space.Orifice)*j.space.Step)+guideLength
}

// tipPlace is where the tip's point lies and heads in a plane: offset (mm), slope against the axis, and
// how the slope changes on the way (1/mm).
type tipPlace struct{ y, slope, bend float64 }

// tipPlace extrapolates a plane's contact to the point of the tip.
func (w *Worker) tipPlace(j *job, c *contact, plane int, depth float64) tipPlace {
	n, h := c.n, j.space.Step
	if n < minStations {
		return tipPlace{}
	}
	bend := float64(j.setShare*j.tool.Set[plane][0]) - j.space.Curvature[plane][n-1]
	f := math.Max(0, depth-float64(float64(n-1)*h))
	slope := (c.y[n-1]-c.y[n-2])/h + float64(bend*(float64(h/2)+f))
	return tipPlace{y: c.y[n-1] + float64(slope*f), slope: slope, bend: bend}
}

// obstacle is a wall that the tip's point has met.
type obstacle struct {
	met   bool
	side  int
	steep float64 // slope to ride over
}

// face says whether the tip's point meets a wall it cannot ride. Looking one step ahead along the tip's
// tangent, the point lies δ outside the opening; the wall then crosses the tip's path with slope δ/h. A
// pointed tip also bites: pressed on the wall with N it sinks in as a cone of half angle α until
// N = H·π·(z·tan α)², and has that much more to climb within the length l of its cone:
//
//	slope = δ/h + TipCuts·z/l, it rides while slope ≤ GuideLimit, or RideLimit where TipCuts·z/l ≥ fullBite
//
// The cone itself would ride a wall steeper than its flank only by its point, so the limits lie around
// tan α = 0.77: below it for a pyramid whose edges dig in, above it for a rounded tip or one so slender
// that its own bending cannot press it in, which slides until friction holds it. Stiffness enters by N, geometry (radius, clearance, a ledge, pre-bending) by δ.
// Checked by TestLedgeBySize and TestLedgeCatches.
func (w *Worker) face(j *job, planes *[2]contact, depth, spare float64) obstacle {
	h, t := j.space.Step, &w.tuning
	b := &j.rod.Blank
	run := math.Max(0, math.Min(h, j.limit-depth)) // what lies beyond the stop is not its business
	var worst obstacle
	if w.guided(j, depth) {
		return worst
	}
	for plane := range planes {
		c := &planes[plane]
		if c.n < minStations {
			continue
		}
		tip := w.tipPlace(j, c, plane, depth)
		ahead := tip.y + float64(tip.slope*run) + float64(tip.bend*(run*run)/2)
		for side, sign := range [2]float64{-1, 1} {
			wall := j.space.wallAt(2*plane+side, depth+run)
			if wall == freeGap {
				continue
			}
			outside := float64(sign*ahead) + pointRadius - wall
			if outside <= 0 {
				continue
			}
			pressed := w.tipForce(j, c, side, depth) + w.forced(j, c, depth, spare, outside)
			sink := math.Max(0, float64(sign*tip.y)+pointRadius-j.space.wallAt(2*plane+side, depth))
			bite := float64(b.TipCuts * w.bite(j, pressed))
			steep := math.Max(0, outside-sink)/h + bite
			limit := t.GuideLimit - float64((t.GuideLimit-t.RideLimit)*math.Min(1, bite/fullBite))
			if steep > limit && steep > worst.steep {
				worst = obstacle{met: true, side: 2*plane + side, steep: steep}
			}
		}
	}
	return worst
}

// forced returns what of a push left over (spare, N) presses the point into a wall that lies outside mm in
// its way over the next step: the share normal to the wall, but never more than what bends the tip aside by
// as much as it would have to give way,
//
//	N = min(spare·sin φ, 3·E·I·outside/L³),  tan φ = outside/h
//
// with L from the tip to the nearest contact behind it. So a stiff tip that is forced digs in, a slender one
// bends over and rides, whatever the push. Checked by TestForcing.
func (w *Worker) forced(j *job, c *contact, depth, spare, outside float64) float64 {
	if spare <= 0 {
		return 0
	}
	h := j.space.Step
	free := leastOverhang
	for i := c.n - 1; i >= 0; i-- {
		x := depth - float64(float64(i)*h)
		free = math.Max(free, x)
		if x > j.rod.coneEnd+h && c.force[0][i]+c.force[1][i] > looseForce {
			break
		}
	}
	yields := 3 * j.rod.at(j.rod.Stiffness, free/2) * outside / (free * free * free)
	return math.Min(spare*outside/math.Sqrt(float64(outside*outside)+float64(h*h)), yields)
}

// spare returns what of a push is left at the tip, N, when the file stands against it.
func (j *job) spare(load axialLoad) float64 {
	return math.Max(0, math.Min(j.hand.Push, load.tipBuckles)-load.resistance)
}

// bite returns how far a point pressed with a force sinks into dentine, as a share of its cone's length.
func (w *Worker) bite(j *job, force float64) float64 {
	return math.Sqrt(force/(math.Pi*w.tuning.Hardness)) / (j.rod.tipSlope * math.Max(j.rod.coneEnd, pointRadius))
}

// tipForce returns the force on a wall within the tip cone and one step behind it, N.
func (w *Worker) tipForce(j *job, c *contact, side int, depth float64) float64 {
	sum := 0.0
	for i := c.n - 1; i >= 0 && depth-float64(float64(i)*j.space.Step) <= j.rod.coneEnd+j.space.Step; i-- {
		sum += c.force[side][i]
	}
	return sum
}
