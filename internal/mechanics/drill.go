package mechanics

import "math"

// drill lets a tip that is stopped by a narrow opening cut its way: the push left over presses the cone
// into the opening, the turning removes V = TipWear·F·s/H, and as many stations are opened to the tip's
// circle as that pays for, at most ReamStep. The circle is where the tip is, so a file that presses to one
// side opens that side. Checked by TestNarrow.
func (w *Worker) drill(j *job, s *seated, cut reach, out *Stroke) {
	b := &j.rod.Blank
	left := math.Max(0, s.push-s.load.resistance)
	keen := 0.4 + float64(0.6*b.TipCuts)
	budget := w.tuning.TipWear * keen * left * cut.turning * b.Tip / 2 / w.tuning.Hardness
	h := j.space.Step
	first := max(0, int(math.Floor((s.depth-j.rod.coneEnd)/h))+1)
	end := math.Min(s.depth+w.tuning.ReamStep, j.limit)
	places := [2]tipPlace{w.tipPlace(j, &w.now[0], 0, s.depth), w.tipPlace(j, &w.now[1], 1, s.depth)}
	width := quarterArc * b.Tip / 2
	for i := first; i < j.stations && float64(i)*h <= end+h && budget > 0; i++ {
		if j.space.Soft[i] {
			continue
		}
		var need [4]float64
		sum := 0.0
		for side := range need {
			need[side] = math.Max(0, w.tipReach(j, places[side/2], side, i, s.depth)-j.space.Wall[side][i])
			sum += need[side]
		}
		volume := sum * width * h
		if volume <= 0 {
			continue
		}
		pay := math.Min(1, budget/volume)
		budget -= float64(pay * volume)
		for side := range need {
			w.cutWall(j, side, i, pay*need[side], width, out)
		}
	}
}

// tipReach returns how far the tip's circle reaches to a side at a station ahead, mm; in a plane whose
// opening already lets the tip through it asks for nothing.
func (w *Worker) tipReach(j *job, place tipPlace, side, i int, depth float64) float64 {
	radius := float64(j.rod.Blank.Tip / 2)
	opening := j.space.opening(side/2, i)
	if opening >= 2*radius {
		return 0
	}
	low, high := -j.space.Wall[side/2*2][i], j.space.Wall[side/2*2+1][i]
	y := place.y + float64(place.slope*math.Max(0, float64(float64(i)*j.space.Step)-depth))
	y = math.Max(low, math.Min(high, y))
	// the circle may shift until it covers the opening from either side
	y = math.Max(high-radius, math.Min(low+radius, y))
	if side%2 == 0 {
		return radius - y
	}
	return radius + y
}

// gouge lets a tip that meets a face dig in: the push left over and the tip's own side force press its
// point on the wall, the turning removes V = Wear·TipCuts·F·s/H over the area of the cone's flank, at
// most GougeStep, at the stations under the cone. What it digs is the ledge on which the next straight
// tip catches. Checked by TestLedgeBySize, TestStraightCanal.
func (w *Worker) gouge(j *job, s *seated, cut reach, out *Stroke) {
	b := &j.rod.Blank
	side := s.obstacle.side
	left := math.Max(0, s.push-s.load.resistance) + w.tipForce(j, &w.now[side/2], side%2, s.depth)
	h := j.space.Step
	flank := quarterArc * b.Tip / 2 * math.Max(j.rod.coneEnd, h)
	sliding := float64(cut.turning*b.Tip/2) + cut.along
	depth := math.Min(w.tuning.Wear*b.TipCuts*left*sliding/w.tuning.Hardness/flank, w.tuning.GougeStep)
	last := min(int(math.Floor(s.depth/h+0.5)), j.stations-1)
	first := min(last, max(0, int(math.Ceil((s.depth-j.rod.coneEnd)/h))))
	for i := first; i <= last; i++ {
		if !j.space.Soft[i] && depth > 0 {
			w.cutWall(j, side, i, depth, quarterArc*b.Tip/2, out)
			out.Gouge = depth
		}
	}
}
