package mechanics_test

import (
	"math"

	"tugback/internal/mechanics"
)

// canal describes a bare test canal: an access of the given width above 6 mm, a straight, an arc in the
// clinical plane towards the plus side, an apical straight; round, widening evenly from the foramen.
type canal struct {
	radius, angleDeg, tail float64 // mm, degrees, mm
	apical, taper          float64 // diameter at the foramen, mm, and mm/mm
	step                   float64
	length                 float64 // of the canal, mm
	access                 float64 // width, mm
}

const accessLength = 6.0

func blockCanal(radius, angleDeg float64) canal {
	return canal{radius: radius, angleDeg: angleDeg, tail: 1.5, apical: 0.18, taper: 0.03, step: 0.1, length: 14, access: 2.5}
}

// space builds the canal.
func (c canal) space() *mechanics.Space {
	n := int(math.Round((accessLength+c.length+1)/c.step)) + 1
	s := &mechanics.Space{Step: c.step, Orifice: int(math.Round(accessLength / c.step)), Foramen: int(math.Round((accessLength + c.length) / c.step))}
	arc := c.angleDeg * math.Pi / 180 * c.radius
	begin := accessLength + c.length - c.tail - arc
	for p := range s.Curvature {
		s.Curvature[p] = make([]float64, n)
	}
	for side := range s.Wall {
		s.Wall[side] = make([]float64, n)
		s.Surface[side] = make([]float64, n)
	}
	s.Packed, s.Soft = make([]float64, n), make([]bool, n)
	for i := range n {
		at := float64(i) * c.step
		if c.angleDeg != 0 && at >= begin && at <= begin+arc {
			s.Curvature[0][i] = 1 / c.radius
		}
		level := accessLength + c.length - at
		half := (c.apical + c.taper*max(level, 0)) / 2
		if at < accessLength {
			half = max(c.access/2, half)
		}
		for side := range s.Wall {
			s.Wall[side][i], s.Surface[side][i] = half, half+1.2
		}
		s.Soft[i] = i > s.Foramen
	}
	return s
}

// kFile is a steel K-type hand file of a size in hundredths of a millimetre.
func kFile(size int) mechanics.Blank {
	tip := float64(size) / 100
	return mechanics.Blank{
		Tip: tip, Spans: []mechanics.Span{{From: 0, Taper: 0.02}}, WorkingPart: 16, Shaft: 1.1, Length: 25,
		TipAngle: 37.5 * math.Pi / 180, TipCuts: 1, Edge: 1, Helix: math.Pi / 4,
		Section: mechanics.Section{Shape: mechanics.Square}, Alloy: mechanics.Steel(),
	}
}

// niTiFile is a NiTi hand file of the same form with a guiding tip.
func niTiFile(size int) mechanics.Blank {
	b := kFile(size)
	b.Alloy, b.Section, b.TipCuts, b.Edge = mechanics.NiTi(), mechanics.Section{Shape: mechanics.Triangle}, 0.1, 0.7
	return b
}

// winding is watch-winding by 45° either way under a push, to a stop.
func winding(push, stop float64) mechanics.Hand {
	return mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.WatchWinding, Forward: math.Pi / 2, Back: math.Pi / 2}, Push: push, Stop: stop}
}

// run lets one file work for a number of strokes and returns the last stroke and the deepest gouge.
type run struct {
	last           mechanics.Stroke
	faces, strokes int
	loose          int // stroke at which it was loose at length, 0 never
	gouge          float64
	solves         int
	tool           mechanics.Tool
}

func work(s *mechanics.Space, b mechanics.Blank, hand mechanics.Hand, strokes int) run {
	return workTuned(s, b, hand, strokes, mechanics.DefaultTuning())
}

func workTuned(s *mechanics.Space, b mechanics.Blank, hand mechanics.Hand, strokes int, tuning mechanics.Tuning) run {
	rod := mechanics.NewRod(b, s.Step)
	r := run{tool: mechanics.NewTool(rod)}
	w := mechanics.NewTunedWorker(tuning)
	depth := 0.0
	for k := range strokes {
		r.tool.Clog = 0
		r.last = w.Stroke(s, rod, &r.tool, hand, depth)
		depth = r.last.Depth
		r.strokes++
		r.solves += r.last.Solves
		if r.last.Halt == mechanics.HaltFace {
			r.faces++
		}
		r.gouge = max(r.gouge, r.last.Gouge)
		if r.loose == 0 && r.last.Halt == mechanics.HaltStop && r.last.Resistance < 0.3*hand.Push {
			r.loose = k + 1
		}
		if r.last.Broke != "" {
			break
		}
	}
	return r
}
