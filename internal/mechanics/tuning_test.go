package mechanics_test

import (
	"math"
	"testing"

	"tugback/internal/mechanics"
)

// reamed lets a file turn by most of a turn under a push for some strokes.
func reamed(c canal, size int, push float64, strokes int, t mechanics.Tuning) run {
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Reaming, Forward: 1.5 * math.Pi}, Push: push, Stop: workingLength}
	return workTuned(c.space(), kFile(size), hand, strokes, t)
}

// ledged returns a canal in which a size 25 has met a face.
func ledged() *mechanics.Space {
	return shape(blockCanal(3, 55), kFile, series[:5], 2, 40).after
}

// gouged is what a size 30 digs into that face in one stroke under a push, mm.
func gouged(s *mechanics.Space, push, angle float64, t mechanics.Tuning) float64 {
	c := *s
	for side := range c.Wall {
		c.Wall[side] = append([]float64(nil), s.Wall[side]...)
	}
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Reaming, Forward: angle}, Push: push, Stop: workingLength}
	return workTuned(&c, kFile(30), hand, 3, t).gouge
}

// bound is how far a size 10 that is turned on while its tip is caught unwinds in two strokes, rad.
func bound(t mechanics.Tuning) float64 {
	c := blockCanal(10, 0)
	c.taper = 0.02
	s := c.space()
	for i := 151; i < len(s.Soft); i++ {
		for side := range s.Wall {
			s.Wall[side][i] = 0.02
		}
	}
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Reaming, Forward: 1.2 * math.Pi}, Push: 12, Stop: workingLength}
	return workTuned(s, kFile(10), hand, 2, t).tool.Unwound
}

// faced is where a size 10 meets the outer wall of a hook, mm.
func faced(t mechanics.Tuning) float64 {
	return workTuned(blockCanal(2, 80).space(), kFile(10), winding(2, workingLength), 40, t).last.Depth
}

// loosely is the detour of a size 10 that lies loose in a wide bend, mm.
func loosely(t mechanics.Tuning) float64 {
	wide := blockCanal(8, 40)
	wide.apical, wide.taper = 0.6, 0
	rod := mechanics.NewRod(kFile(10), 0.1)
	tool := mechanics.NewTool(rod)
	return mechanics.NewTunedWorker(t).Detour(wide.space(), rod, &tool, workingLength)
}

// TestNoTuningIdle is the control for the numbers that act only where a file is stopped, turned far or quite
// loose, beside TestTuningMatters: each, 20 % more or less (Regularisation, which is small against every
// contact by design: doubled), changes the outcome that its comment in constants.go speaks of, in that
// direction and by at least the share stated. The shares are derived: what acts alone moves its outcome in
// proportion (0.15 of 0.2), a depth or an angle that much else decides moves by a thousandth at least.
func TestNoTuningIdle(t *testing.T) {
	ledge, narrow, bend := ledged(), blockCanal(8, 0), blockCanal(5, 40)
	narrow.taper = 0.001
	for _, c := range []struct {
		outcome       string
		factor, least float64 // change of the outcome as a share, at least; negative: it falls
		number        func(*mechanics.Tuning) *float64
		of            func(mechanics.Tuning) float64
	}{
		{"TipWear: depth of a size 25 after 20 strokes at 2 N in a canal of 0.18 mm", 1.2, 0.001, func(t *mechanics.Tuning) *float64 { return &t.TipWear },
			func(t mechanics.Tuning) float64 {
				return workTuned(narrow.space(), kFile(25), winding(2, workingLength), 20, t).last.Depth
			}},
		{"ReamStep: depth of a size 20 reamed at 8 N in it, 4 strokes", 0.8, -0.001, func(t *mechanics.Tuning) *float64 { return &t.ReamStep },
			func(t mechanics.Tuning) float64 { return reamed(narrow, 20, 8, 4, t).last.Depth }},
		{"TurnLeast: resistance of a size 40 reamed in a bend", 1.2, 0.05, func(t *mechanics.Tuning) *float64 { return &t.TurnLeast },
			func(t mechanics.Tuning) float64 { return reamed(bend, 40, 4, 3, t).last.Resistance }},
		{"TwistYield: unwinding of a size 10 with its tip bound", 0.8, 0.001, func(t *mechanics.Tuning) *float64 { return &t.TwistYield }, bound},
		{"GougeShare: dug by a size 30 at a face, 2 N, a quarter turn", 1.2, 0.15, func(t *mechanics.Tuning) *float64 { return &t.GougeShare },
			func(t mechanics.Tuning) float64 { return gouged(ledge, 2, math.Pi/2, t) }},
		{"GougeStep: dug at 12 N in four turns without a pause", 0.8, -0.15, func(t *mechanics.Tuning) *float64 { return &t.GougeStep },
			func(t mechanics.Tuning) float64 { return gouged(ledge, 12, 8*math.Pi, t) }},
		{"GuideLimit: depth at which a size 10 meets the wall of a hook", 0.8, -0.005, func(t *mechanics.Tuning) *float64 { return &t.GuideLimit }, faced},
		{"Regularisation: detour of a loose size 10 in a wide bend", 2, 0.001, func(t *mechanics.Tuning) *float64 { return &t.Regularisation }, loosely},
	} {
		tuning := mechanics.DefaultTuning()
		before := c.of(tuning)
		*c.number(&tuning) *= c.factor
		after := c.of(tuning)
		change := after/before - 1
		t.Logf("%s: %.6g, × %g %.6g, %+.4f", c.outcome, before, c.factor, after, change)
		if math.Abs(change) < math.Abs(c.least) || math.Signbit(change) != math.Signbit(c.least) || math.IsNaN(change) {
			t.Errorf("%s: %.6g, with × %g %.6g, want a change of %+g", c.outcome, before, c.factor, after, c.least)
		}
	}
}
