package mechanics_test

import (
	"math"
	"testing"

	"tugback/internal/mechanics"

	"pgregory.net/rapid"
)

// randomCanal draws a canal with a hidden bend, a rough wall, a narrowing and debris.
func randomCanal(t *rapid.T) *mechanics.Space {
	c := canal{
		radius: rapid.Float64Range(2, 20).Draw(t, "radius"), angleDeg: rapid.Float64Range(0, 70).Draw(t, "angle"),
		tail: rapid.Float64Range(0, 4).Draw(t, "tail"), apical: rapid.Float64Range(0.05, 0.5).Draw(t, "apical"),
		taper: rapid.Float64Range(0, 0.08).Draw(t, "taper"), step: 0.1, length: rapid.Float64Range(8, 16).Draw(t, "length"),
		access: rapid.Float64Range(0.5, 4).Draw(t, "access"),
	}
	s := c.space()
	rough, narrow := rapid.Float64Range(0, 0.02).Draw(t, "rough"), rapid.IntRange(70, 140).Draw(t, "narrow")
	share, hidden := rapid.Float64Range(0.1, 1).Draw(t, "share"), rapid.Float64Range(-0.1, 0.1).Draw(t, "hidden")
	for i := range s.Soft {
		s.Curvature[1][i] = hidden
		for side := range s.Wall {
			s.Wall[side][i] += rough * math.Sin(float64(i*(side+3)))
			if i >= narrow && i < narrow+10 {
				s.Wall[side][i] *= share
			}
			s.Wall[side][i] = max(s.Wall[side][i], 0.005)
		}
	}
	s.Packed[min(len(s.Packed)-1, narrow+30)] = rapid.SampledFrom([]float64{0, 0, 5, 500}).Draw(t, "packed")
	return s
}

// TestAnyStroke: whatever the canal, file and hand, a stroke stays finite and within its stop, never draws
// walls in, cuts no more than it says, and stays with what it had in resistance when it advances.
func TestAnyStroke(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomCanal(t)
		b := kFile(rapid.SampledFrom([]int{6, 8, 10, 15, 25, 40, 80}).Draw(t, "size"))
		b.Alloy = rapid.SampledFrom([]mechanics.Alloy{mechanics.Steel(), mechanics.NiTi(), mechanics.HeatTreated()}).Draw(t, "alloy")
		b.TipCuts = rapid.Float64Range(0, 1).Draw(t, "tip")
		b.Shaft = max(b.Shaft, b.Tip+0.32)
		rod := mechanics.NewRod(b, 0.1)
		tool := mechanics.NewTool(rod)
		if rapid.Bool().Draw(t, "bent") {
			tool.Bend(rod, rapid.IntRange(0, 1).Draw(t, "plane"), rapid.Float64Range(2, 10).Draw(t, "bend"), 3)
		}
		hand := mechanics.Hand{
			Motion: mechanics.Motion{
				Kind:    mechanics.MotionKind(rapid.IntRange(0, int(mechanics.Sliding)).Draw(t, "kind")),
				Forward: rapid.Float64Range(0, 30).Draw(t, "forward"), Back: rapid.Float64Range(0, 3).Draw(t, "back"),
				Lift: rapid.Float64Range(0, 3).Draw(t, "lift"), Press: rapid.Float64Range(0, 4).Draw(t, "press"),
				Favour: [4]float64{0.4, 0.3, 0.2, 0.1},
			},
			Push: rapid.Float64Range(0, 12).Draw(t, "push"), Stop: rapid.Float64Range(0, 22).Draw(t, "stop"),
			TorqueLimit: rapid.SampledFrom([]float64{0, 5}).Draw(t, "limit"),
		}
		w, depth := mechanics.NewWorker(), rapid.Float64Range(0, 3).Draw(t, "depth")
		for range 6 {
			var before [4][]float64
			for side := range s.Wall {
				before[side] = append([]float64(nil), s.Wall[side]...)
			}
			out := w.Stroke(s, rod, &tool, hand, depth)
			sum := out.Depth + out.Resistance + out.Torque + out.Removed + out.Strain + out.Life + out.TorqueShare + tool.Clog + tool.Dull + tool.Unwound
			if math.IsNaN(sum) || math.IsInf(sum, 0) {
				t.Fatalf("not finite: %+v", out)
			}
			if out.Depth > hand.Stop+1e-9 || out.Depth < min(depth, hand.Stop)-1e-9 {
				t.Fatalf("from %g to %g mm with the stop at %g", depth, out.Depth, hand.Stop)
			}
			if out.Depth > depth+1e-9 && out.Resistance > hand.Push+1e-9 {
				t.Fatalf("advanced against %g N with %g", out.Resistance, hand.Push)
			}
			for side := range s.Wall {
				for i, v := range s.Wall[side] {
					if v < before[side][i] || s.Soft[i] && v != before[side][i] || math.IsNaN(v) {
						t.Fatalf("wall %d at station %d from %g to %g mm", side, i, before[side][i], v)
					}
				}
			}
			depth = out.Depth
		}
	})
}
