package mechanics_test

import (
	"math"
	"reflect"
	"testing"

	"tugback/internal/geom"
	"tugback/internal/mechanics"
)

// rotary is a NiTi rotary file of constant diameter or with taper.
func rotary(size int, taper float64) mechanics.Blank {
	b := niTiFile(size)
	b.Spans, b.TipCuts, b.Edge, b.Shaft = []mechanics.Span{{From: 0, Taper: taper}}, 0.05, 1, 1.2
	if taper == 0 {
		b.Shaft = b.Tip
	}
	return b
}

func turning(push, stop, turns, limit float64) mechanics.Hand {
	return mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Rotation, Forward: turns * 2 * math.Pi}, Push: push, Stop: stop, TorqueLimit: limit}
}

// TestStrainTable is F3: d/(2R), the project's table of published numbers, instruments 3.1, to 1e-4 (the table is in per cent with two decimals).
func TestStrainTable(t *testing.T) {
	radii := []float64{2, 3, 5, 10}
	for diameter, row := range map[float64][]float64{
		0.20: {0.0500, 0.0333, 0.0200, 0.0100}, 0.30: {0.0750, 0.0500, 0.0300, 0.0150}, 0.40: {0.1000, 0.0667, 0.0400, 0.0200},
		0.55: {0.1375, 0.0917, 0.0550, 0.0275}, 0.80: {0.2000, 0.1333, 0.0800, 0.0400},
	} {
		for i, want := range row {
			if got := mechanics.FibreStrain(diameter, radii[i]); math.Abs(got-want) > 1e-4 {
				t.Errorf("d %.2f, R %g: strain %.5f, want %.4f", diameter, radii[i], got, want)
			}
		}
	}
}

// TestStrainLife: the sanity model of the project's table of published numbers, instruments 3.4 (calibration): N(5.5 %) = 500, N(2 %) = 3800,
// N(1 %) = 15 000, within 2 %; halved strain gives 4 times the cycles. A constant 20 % larger is noticed.
func TestStrainLife(t *testing.T) {
	niti := mechanics.NiTi()
	for strain, want := range map[float64]float64{0.055: 500, 0.02: 3800, 0.01: 15000} {
		near(t, "cycles", niti.Cycles(strain), want, 0.02)
	}
	near(t, "ratio", niti.Cycles(0.01)/niti.Cycles(0.02), 4, 1e-9)
	if !math.IsInf(niti.Cycles(0), 1) {
		t.Error("no strain, no end")
	}
	niti.FatigueStrain *= 1.2
	if math.Abs(niti.Cycles(0.055)-500) < 0.1*500 {
		t.Error("a fatigue constant 20 % larger is not noticed")
	}
}

// TestFatiguePlace is F4 (Pruett 1997): a file of constant diameter turning in an arc tires most at the
// middle of the arc (within a fifth of its length), one with taper farther from the tip, never at the tip.
func TestFatiguePlace(t *testing.T) {
	c := blockCanal(5, 60)
	c.tail, c.apical, c.taper = 3, 0.7, 0
	arc := c.radius * math.Pi / 3
	places := map[float64]float64{}
	for _, taper := range []float64{0, 0.06} {
		s := c.space()
		rod := mechanics.NewRod(rotary(30, taper), 0.1)
		tool := mechanics.NewTool(rod)
		w := mechanics.NewWorker()
		tool.Endurance = 1e9
		depth := accessLength + 14 - 0.2
		for range 30 {
			depth = w.Stroke(s, rod, &tool, turning(1, depth, 5, 0), depth).Depth
		}
		worst := 0
		for k, life := range tool.Life {
			if life > tool.Life[worst] {
				worst = k
			}
		}
		places[taper] = float64(worst) * 0.1
	}
	middle := 3 - 0.2 + arc/2
	if math.Abs(places[0]-middle) > 0.2*arc {
		t.Errorf("constant diameter tires most %.1f mm behind the tip, middle of the arc at %.1f", places[0], middle)
	}
	if places[0.06] <= places[0] || places[0] < 1 {
		t.Errorf("with taper at %.1f mm, without at %.1f", places[0.06], places[0])
	}
}

// TestFatigueBreaks: a rotary file left turning in a sharp bend breaks at Miner's sum 1, one of twice the
// endurance after twice the strokes; the break is reported once with its place.
func TestFatigueBreaks(t *testing.T) {
	last := 0
	for _, endurance := range []float64{1, 2} {
		s := blockCanal(4, 60).space()
		rod := mechanics.NewRod(rotary(20, 0.04), 0.1)
		tool := mechanics.NewTool(rod)
		tool.Endurance = endurance
		w := mechanics.NewWorker()
		depth, strokes := 0.0, 0
		var out mechanics.Stroke
		for ; strokes < 2000 && out.Broke == ""; strokes++ {
			tool.Clog = 0
			out = w.Stroke(s, rod, &tool, turning(1, workingLength, 5, 0), depth)
			depth = out.Depth
		}
		if out.Broke != "fatigue" || out.Halt != mechanics.HaltBroken || out.BrokeAt < 1 || strokes <= last {
			t.Errorf("endurance %g: %q at %.1f mm after %d strokes", endurance, out.Broke, out.BrokeAt, strokes)
		}
		last = strokes
	}
}

// TestFlexing: the strain range of a swing φ to and fro is sin(φ/2) of a full turn's (geometry of a fibre on
// a circle, derived): a reciprocation of 150°/30° tires a file less per net turn than 180°/60°, that no
// more than 210°/90° (F10, order read), and rotation more than any.
func TestFlexing(t *testing.T) {
	tired := func(m mechanics.Motion, strokes int) float64 {
		s := blockCanal(5, 60).space()
		rod := mechanics.NewRod(rotary(20, 0.04), 0.1)
		tool := mechanics.NewTool(rod)
		w := mechanics.NewWorker()
		out := mechanics.Stroke{}
		for range strokes {
			out = w.Stroke(s, rod, &tool, mechanics.Hand{Motion: m, Push: 1, Stop: 17.5}, 17.5)
		}
		return out.Life
	}
	const degree = math.Pi / 180
	swing := func(forward, back float64) mechanics.Motion {
		return mechanics.Motion{Kind: mechanics.Reciprocation, Forward: forward * degree, Back: back * degree}
	}
	a, b, c := tired(swing(150, 30), 3), tired(swing(180, 60), 3), tired(swing(210, 90), 3)
	whole := tired(mechanics.Motion{Kind: mechanics.Rotation, Forward: 2 * math.Pi}, 3)
	winding := tired(swing(45, 45), 3)
	if !(winding < a && a < b && b < c && c < whole) {
		t.Errorf("life used by three strokes: 45/45 %.3g, 150/30 %.3g, 180/60 %.3g, 210/90 %.3g, rotation %.3g", winding, a, b, c, whole)
	}
}

// touchingTorque returns the largest torque (N·mm) of a rotary file pushed by 3 N to length in a canal that is flared
// down to some mm above it.
func touchingTorque(c canal, touching float64) float64 {
	s := c.space()
	for i := range s.Soft {
		if workingLength-float64(i)*s.Step > touching {
			for side := range s.Wall {
				s.Wall[side][i] = 0.75
			}
		}
	}
	rod := mechanics.NewRod(rotary(25, 0.06), 0.1)
	tool := mechanics.NewTool(rod)
	tool.Endurance, tool.Strength = 1e9, 10
	w := mechanics.NewWorker()
	depth, most := 0.0, 0.0
	for range 40 {
		tool.Clog = 0
		out := w.Stroke(s, rod, &tool, turning(3, workingLength, 2.5, 0), depth)
		depth, most = out.Depth, math.Max(most, out.Torque)
	}
	return most
}

// TestTorque: torque rises with push and with the length over which the file touches (F17, direction; Schrader &
// Peters 2005), a motor stops at its limit, and a rotary file forced into a narrow straight canal breaks by torsion where no limit guards it.
func TestTorque(t *testing.T) {
	c := blockCanal(10, 20)
	strength := 1.0
	try := func(size int, push, limit float64) mechanics.Stroke {
		s := c.space()
		rod := mechanics.NewRod(rotary(size, 0.06), 0.1)
		tool := mechanics.NewTool(rod)
		tool.Strength = strength
		return mechanics.NewWorker().Stroke(s, rod, &tool, turning(push, workingLength, 5, limit), 0)
	}
	for last, touching := 0.0, 3.0; touching <= 12; touching += 3 {
		got := touchingTorque(c, touching)
		if got <= last {
			t.Errorf("torque %.2f N·mm where %g mm can touch, %.2f where 3 mm fewer can", got, touching, last)
		}
		last = got
	}
	light, firm := try(25, 1, 0), try(25, 3, 0)
	if !(firm.Torque > light.Torque) || light.Torque <= 0 {
		t.Errorf("torque %.2f N·mm at 1 N, %.2f at 3 N", light.Torque, firm.Torque)
	}
	if out := try(25, 3, 0.5); out.Halt != mechanics.HaltTorque || out.Torque != 0.5 {
		t.Errorf("with a limit of 0.5 N·mm: halt %d at %.2f", out.Halt, out.Torque)
	}
	strength = 0.8 // a weak piece
	if out := try(20, 30, 0); out.Broke != "torsion" || out.BrokeAt > 12 {
		t.Errorf("forced with 30 N: broke %q, share %.2f at %.1f mm", out.Broke, out.TorqueShare, out.BrokeAt)
	}
}

// TestTipBinds: a hand that keeps turning a fine steel file one way with its tip bound unwinds it first
// (yield share 0.7) and breaks it within about a turn or two (standard minimum angle 360°); to and fro by
// 45° it does neither.
func TestTipBinds(t *testing.T) {
	c := blockCanal(10, 0)
	c.taper = 0.02
	bound := func(m mechanics.Motion) (mechanics.Tool, mechanics.Stroke, int) {
		s := c.space()
		for i := range s.Soft {
			if i > 150 {
				for side := range s.Wall {
					s.Wall[side][i] = 0.02
				}
			}
		}
		rod := mechanics.NewRod(kFile(10), 0.1)
		tool := mechanics.NewTool(rod)
		w := mechanics.NewWorker()
		depth, out := 0.0, mechanics.Stroke{}
		for k := range 40 {
			out = w.Stroke(s, rod, &tool, mechanics.Hand{Motion: m, Push: 12, Stop: workingLength}, depth)
			depth = out.Depth
			if out.Broke != "" {
				return tool, out, k + 1
			}
		}
		return tool, out, 40
	}
	tool, out, strokes := bound(mechanics.Motion{Kind: mechanics.Reaming, Forward: 1.2 * math.Pi})
	if out.Broke != "torsion" || tool.Unwound <= 0 || strokes < 2 {
		t.Errorf("turned on: broke %q after %d strokes, unwound %.2f rad, share %.2f", out.Broke, strokes, tool.Unwound, out.TorqueShare)
	}
	tool, out, _ = bound(winding(0, 0).Motion)
	if out.Broke != "" || tool.Unwound != 0 {
		t.Errorf("watch-winding: broke %q, unwound %.2f rad", out.Broke, tool.Unwound)
	}
}

// TestHalts: debris stops a tip, a fine file buckles in a narrow place, the stop stops, and each is said.
func TestHalts(t *testing.T) {
	for _, c := range []struct {
		name   string
		size   int
		push   float64
		change func(*mechanics.Space)
		want   mechanics.Halt
		least  float64
	}{
		{"free", 10, 1, func(*mechanics.Space) {}, mechanics.HaltStop, workingLength},
		{"debris", 10, 1, func(s *mechanics.Space) { s.Packed[160] = 1000 }, mechanics.HaltPacked, 15.9},
		{"narrow", 20, 1, func(s *mechanics.Space) { s.Wall[2][160], s.Wall[3][160] = 0.05, 0.05 }, mechanics.HaltNarrow, 15.9},
		{"buckles", 6, 4, func(s *mechanics.Space) { s.Wall[2][80], s.Wall[3][80] = 0.01, 0.01 }, mechanics.HaltBuckled, 7.9},
	} {
		s := blockCanal(12, 20).space()
		c.change(s)
		rod := mechanics.NewRod(kFile(c.size), 0.1)
		tool := mechanics.NewTool(rod)
		out := mechanics.NewWorker().Slide(s, rod, &tool, mechanics.Hand{Push: c.push, Stop: workingLength}, 0)
		if out.Halt != c.want || math.Abs(out.Depth-c.least) > 0.2 {
			t.Errorf("%s: halt %d at %.2f mm, want %d at %.2f", c.name, out.Halt, out.Depth, c.want, c.least)
		}
	}
}

// TestMirror: a bend to the other side, or in the other plane, gives the mirrored stroke, to 1e-9 mm: forces
// are summed in another order.
func TestMirror(t *testing.T) {
	one, other, turned := blockCanal(8, 30).space(), blockCanal(8, 30).space(), blockCanal(8, 30).space()
	for i, k := range one.Curvature[0] {
		other.Curvature[0][i], turned.Curvature[0][i], turned.Curvature[1][i] = -k, 0, k
	}
	a := work(one, kFile(25), winding(2, workingLength), 20)
	b := work(other, kFile(25), winding(2, workingLength), 20)
	c := work(turned, kFile(25), winding(2, workingLength), 20)
	if math.Abs(a.last.Depth-b.last.Depth) > 1e-9 || math.Abs(a.last.Depth-c.last.Depth) > 1e-9 {
		t.Errorf("depth %.9f mm, mirrored %.9f, in the other plane %.9f", a.last.Depth, b.last.Depth, c.last.Depth)
	}
	for i, wall := range one.Wall[0] {
		if math.Abs(wall-other.Wall[1][i]) > 1e-9 || math.Abs(wall-turned.Wall[2][i]) > 1e-9 {
			t.Fatalf("station %d: wall %.9f mm, mirrored %.9f, in the other plane %.9f", i, wall, other.Wall[1][i], turned.Wall[2][i])
		}
	}
}

// TestResetForgets: after Reset a worker gives to the bit what a fresh one gives.
func TestResetForgets(t *testing.T) {
	try := func(w *mechanics.Worker) (mechanics.Stroke, []float64) {
		s := blockCanal(7, 40).space()
		rod := mechanics.NewRod(kFile(20), 0.1)
		tool := mechanics.NewTool(rod)
		depth, out := 0.0, mechanics.Stroke{}
		for range 5 {
			out = w.Stroke(s, rod, &tool, winding(2, workingLength), depth)
			depth = out.Depth
		}
		return out, s.Wall[0]
	}
	used := mechanics.NewWorker()
	_, _ = try(used)
	used.Reset()
	again, wallAgain := try(used)
	fresh, wallFresh := try(mechanics.NewWorker())
	if again != fresh || !reflect.DeepEqual(wallAgain, wallFresh) {
		t.Errorf("after Reset %+v, fresh %+v", again, fresh)
	}
}

// TestSlideAndGrip: sliding changes neither walls nor tool; a cone that fits grips, more when pushed harder,
// and one that is loose does not (tug-back).
func TestSlideAndGrip(t *testing.T) {
	c := blockCanal(12, 20)
	c.apical, c.taper = 0.3, 0.02
	s, before := c.space(), c.space()
	grip := func(size int, push float64) (mechanics.Stroke, float64) {
		rod := mechanics.NewRod(kFile(size), 0.1)
		tool := mechanics.NewTool(rod)
		w := mechanics.NewWorker()
		out := w.Slide(s, rod, &tool, mechanics.Hand{Push: push, Stop: workingLength}, 0)
		if !reflect.DeepEqual(tool, mechanics.NewTool(rod)) {
			t.Error("sliding changed the tool")
		}
		return out, w.Grip(s, rod, &tool, out.Depth, 0)
	}
	light, soft := grip(35, 1)
	firm, hard := grip(35, 3)
	loose, none := grip(15, 1)
	if light.Resistance > 1 || firm.Resistance > 3 || firm.Depth < light.Depth || !(hard >= soft && soft > 0) {
		t.Errorf("size 35: %.2f mm with 1 N grips %.2f N, %.2f mm with 3 N grips %.2f N", light.Depth, soft, firm.Depth, hard)
	}
	if loose.Halt != mechanics.HaltStop || none > 0.2*soft {
		t.Errorf("size 15: halt %d, grips %.3f N against %.3f", loose.Halt, none, soft)
	}
	if !reflect.DeepEqual(s, before) {
		t.Error("sliding changed the canal")
	}
}

// TestShape: the seated file runs from the tip to the first station within the walls (a little into them
// where it presses), straight in a straight canal.
func TestShape(t *testing.T) {
	c := blockCanal(8, 30)
	s := c.space()
	axis := geom.Integrate(geom.Point{}, 0, s.Step, s.Curvature[0])
	rod := mechanics.NewRod(kFile(15), 0.1)
	tool := mechanics.NewTool(rod)
	points := mechanics.NewWorker().Shape(s, rod, &tool, 18.05, axis)
	if len(points) != 182 {
		t.Fatalf("%d points", len(points))
	}
	for i, p := range points[1:] {
		station := axis[len(points)-2-i]
		off := p.Sub(station.Point).Norm()
		if off > s.Wall[0][len(points)-2-i]+0.05 {
			t.Errorf("station %d: %.3f mm off the axis", len(points)-2-i, off)
		}
	}
	if length := geom.PathLength(points); math.Abs(length-18.05) > 0.1 {
		t.Errorf("file %.3f mm long, want 18.05", length)
	}
}

// TestRefusals: what cannot be is a bug of the caller and panics.
func TestRefusals(t *testing.T) {
	s := blockCanal(8, 30).space()
	rod := mechanics.NewRod(kFile(15), 0.1)
	tool := mechanics.NewTool(rod)
	for name, try := range map[string]func(){
		"step":    func() { mechanics.NewWorker().Slide(s, mechanics.NewRod(kFile(15), 0.05), &tool, mechanics.Hand{}, 0) },
		"tool":    func() { mechanics.NewWorker().Slide(s, rod, &mechanics.Tool{}, mechanics.Hand{}, 0) },
		"NaN":     func() { mechanics.NewWorker().Stroke(s, rod, &tool, mechanics.Hand{Push: math.NaN()}, 0) },
		"blank":   func() { mechanics.NewRod(mechanics.Blank{}, 0.1) },
		"columns": func() { mechanics.NewWorker().Slide(&mechanics.Space{Step: 0.1}, rod, &tool, mechanics.Hand{}, 0) },
		"bend":    func() { tool.Bend(rod, 2, 5, 3) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			try()
		}()
	}
}

// TestNeedle is P1, P2 and P3 (the project's table of published numbers, protocol 3.2, 8): 25 mm of 30G, bore 0.159 mm, 0.26 mL/s of 0.99 mPa·s:
// 410 kPa, inside 400–550 kPa as measured; through 25G (0.260) 57.4 kPa; Reynolds number 2187 at 1.04 g/cm³.
func TestNeedle(t *testing.T) {
	fine, wide := mechanics.PressureDrop(260, 0.99e-9, 25, 0.159), mechanics.PressureDrop(260, 0.99e-9, 25, 0.26)
	near(t, "30G", fine, 0.410, 5e-3)
	near(t, "25G", wide, 0.0574, 5e-3)
	near(t, "ratio", fine/wide, 7.15, 5e-3)
	near(t, "Reynolds", mechanics.Reynolds(260, 0.159, 0.99/1.04), 2187, 0.01)
	near(t, "flow is linear", mechanics.PressureDrop(520, 0.99e-9, 25, 0.159), 2*fine, 1e-12)
}

// TestTurnedSet: a steel file kinked in a bend lies easier in it when it is wound to and fro with its curve in the
// canal's, by at least half of what its set takes from the curve (1/6 of 1/4 a mm, derived: the rest is not set),
// and no easier than a straight one when every stroke leaves it turned on by a quarter: then the canal
// bends it anew each time (derived); a turn by an eighth keeps some of the ease.
func TestTurnedSet(t *testing.T) {
	feel := func(m mechanics.Motion, set float64) float64 {
		c := blockCanal(4, 45)
		c.apical = 0.3
		rod := mechanics.NewRod(kFile(25), 0.1)
		tool := mechanics.NewTool(rod)
		if set != 0 {
			tool.Bend(rod, 0, set, 6)
		}
		out := mechanics.NewWorker().Slide(c.space(), rod, &tool, mechanics.Hand{Motion: m, Push: 30, Stop: 18, Friction: 0.2}, 17.9)
		return out.Resistance
	}
	turned := func(degrees float64) mechanics.Motion {
		return mechanics.Motion{Kind: mechanics.Reaming, Forward: degrees * math.Pi / 180}
	}
	wound := mechanics.Motion{Kind: mechanics.WatchWinding, Forward: math.Pi / 4, Back: math.Pi / 4}
	if straight, bent := feel(wound, 0), feel(wound, 6); bent > 0.67*straight {
		t.Errorf("wound: %.3f N with its bend, %.3f straight", bent, straight)
	}
	near(t, "resistance of a bent file turned by quarters against a straight one's", feel(turned(90), 6), feel(turned(90), 0), 1e-9)
	if some, none := feel(turned(45), 6), feel(turned(45), 0); some >= none {
		t.Errorf("turned by eighths: %.3f N with its bend, %.3f straight", some, none)
	}
}
