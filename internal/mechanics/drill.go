package mechanics

import "math"

// drill lets a tip that is stopped by a narrow opening cut its way: the push left over presses the cone
// into the opening, turning or rasping removes V = TipWear·F·s/H, and as many stations are opened to the tip's
// diameter as that pays for, at most ReamStep ahead. Of a stroke drawn out and put back only the last of the way in
// counts, as long as its cone, since a tip that has left the place is not pressed on it: a push-pull file rasps a
// narrow place open far more slowly than one that turns. Both sides share the cut as they are pressed: the cone
// presses each wall alike, the file's own side force one of them, so a stiff file opens the outer side of a
// bend and a soft one stays in the middle. Checked by TestNarrow, TestNarrowByMotion, TestTransportBySize.
func (w *Worker) drill(j *job, s *seated, cut reach, out *Stroke) {
	b := &j.rod.Blank
	left := math.Max(0, s.push-s.load.resistance)
	keen := 0.4 + float64(0.6*b.TipCuts)
	sliding := float64(cut.turning*b.Tip/2) + cut.tip
	budget := w.tuning.TipWear * keen * left * sliding / w.tuning.Hardness
	share := w.pressedShare(j, s, left)
	h := j.space.Step
	first := max(0, int(math.Floor((s.depth-j.rod.coneEnd)/h))+1)
	end := math.Min(s.depth+w.tuning.ReamStep, j.limit)
	width := quarterArc * b.Tip / 2
	for i := first; i < j.stations && float64(i)*h <= end+h && budget > 0; i++ {
		lack := [2]float64{b.Tip - j.space.opening(0, i), b.Tip - j.space.opening(1, i)}
		volume := (math.Max(0, lack[0]) + math.Max(0, lack[1])) * width * h
		if volume <= 0 {
			continue
		}
		pay := math.Min(1, budget/volume)
		budget -= float64(pay * volume)
		for side := range share {
			w.cutWall(j, side, i, pay*share[side]*math.Max(0, lack[side/2]), width, out)
		}
	}
}

// pressedShare returns how the two walls of each plane share a tip's cut: by the force on each, of the
// cone, left/(4·(tan α + μ)) a wall, and of the file's own side load.
func (w *Worker) pressedShare(j *job, s *seated, left float64) [4]float64 {
	cone := left / (4 * (j.rod.tipSlope + j.friction))
	var share [4]float64
	for plane := range w.now {
		minus := cone + w.tipForce(j, &w.now[plane], 0, s.depth)
		plus := cone + w.tipForce(j, &w.now[plane], 1, s.depth)
		if minus+plus > 0 {
			share[2*plane], share[2*plane+1] = minus/(minus+plus), plus/(minus+plus)
		}
	}
	return share
}

// gouge lets a tip that meets a face dig in: the push left over and the tip's own side force press its
// point on the wall, the turning removes V = GougeShare·Wear·TipCuts·F·s/H over the area of the cone's flank, at
// most GougeStep, at the stations under the cone, and never farther than a tip of its thickness sweeps where it
// lies: once its pocket is as wide as itself, it stands in it. What it digs is the ledge on which the next straight
// tip catches. Checked by TestLedgeBySize, TestLedgeCatches, TestGougeEnds, TestStraightCanal.
func (w *Worker) gouge(j *job, s *seated, cut reach, out *Stroke) {
	b := &j.rod.Blank
	side := s.obstacle.side
	left := math.Max(0, s.push-s.load.resistance) + w.tipForce(j, &w.now[side/2], side%2, s.depth)
	h := j.space.Step
	flank := quarterArc * b.Tip / 2 * math.Max(j.rod.coneEnd, h)
	sliding := float64(cut.turning*b.Tip/2) + cut.along
	depth := math.Min(w.tuning.GougeShare*w.tuning.Wear*b.TipCuts*left*sliding/w.tuning.Hardness/flank, w.tuning.GougeStep)
	last := min(int(math.Floor(s.depth/h+0.5)), j.stations-1)
	first := min(last, max(0, int(math.Ceil((s.depth-j.rod.coneEnd)/h))))
	offset, sign := w.now[side/2].y, float64(2*(side%2)-1)
	for i := first; i <= last; i++ {
		swept := float64(sign*offset[min(i, w.now[side/2].n-1)]) + float64(b.Tip/2)
		if dug := math.Min(depth, swept-j.space.Wall[side][i]); !j.space.Soft[i] && dug > 0 {
			w.cutWall(j, side, i, dug, quarterArc*b.Tip/2, out)
			out.Gouge = math.Max(out.Gouge, dug)
		}
	}
}
