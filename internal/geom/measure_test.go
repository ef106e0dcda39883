package geom_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// example is a row of anatomy.md 1.2 (derived there by closed form): mm and degrees.
type example struct {
	straight, radius, angle, tail   float64
	schneider, access, x, y, length float64
	loss                            float64
}

var examples = []example{
	{8, 5, 60, 0, 30.000, 11.462, 1.590, 7.840, 13.236, 0.236},
	{8, 5, 60, 2, 38.449, 17.614, 2.421, 7.625, 15.236, 0.430},
	{8, 2, 60, 0, 30.000, 5.867, 0.818, 7.958, 10.094, 0.094},
	{8, 2, 60, 3, 48.068, 17.762, 2.441, 7.619, 13.094, 0.258},
	{10, 10, 30, 0, 15.000, 5.104, 0.890, 9.960, 15.236, 0.060},
	{8, 8, 40, 0, 20.000, 8.105, 1.128, 7.920, 13.585, 0.113},
	{8, 5, 45, 0, 22.500, 7.235, 1.008, 7.936, 11.927, 0.100},
	{8, 4.5, 70, 1, 40.478, 17.239, 2.371, 7.641, 14.498, 0.489},
	{4.783, 10, 70, 0, 35.000, 24.892, 2.013, 4.339, 17.000, 0.746},
	{12, 5, 40, 0.5, 22.517, 5.461, 1.142, 11.946, 15.991, 0.097},
}

func (e example) curve() geom.Curve {
	return canal(e.straight, e.radius, e.angle*degree, e.tail)
}

// A1, A2: the ten worked examples at several sampling steps, bent either way; 0.01° and 0.001 mm as
// printed. Schneider is θ/2 to 1e-6° where the arc ends at the foramen.
func TestWorkedExamples(t *testing.T) {
	for i, e := range examples {
		for _, step := range []float64{0.025, 0.1, 0.25} {
			path := axis(e.curve(), step)
			name := fmt.Sprintf("row %d at %v mm ", i+1, step)
			near(t, name+"Schneider °", geom.Schneider(path)/degree, e.schneider, 0.01)
			near(t, name+"Weine °", geom.Weine(path)/degree, e.angle, 1e-5)
			if e.tail == 0 {
				near(t, name+"Schneider to θ/2 °", geom.Schneider(path)/degree, e.angle/2, 1e-6)
			}
			access := geom.CanalAccess(path)
			near(t, name+"access °", access.Angle/degree, e.access, 0.01)
			near(t, name+"x", access.X, e.x, 0.001)
			near(t, name+"y", access.Y, e.y, 0.001)
			near(t, name+"tan", math.Tan(access.Angle), access.X/access.Y, 1e-12)
		}
		near(t, "length", e.curve().Length(), e.length, 0.001)
		near(t, "loss", geom.StraighteningLoss(e.radius, e.angle*degree, e.tail), e.loss, 0.001)
		mirrored := axis(canal(e.straight, e.radius, -e.angle*degree, e.tail), 0.1)
		near(t, "mirrored Schneider °", geom.Schneider(mirrored)/degree, e.schneider, 0.01)
	}
}

// A3: for any straight, arc and straight W = θ, arc = Rθ, R = R and θ/2 ≤ S ≤ θ, S by closed form
// (anatomy.md 1.1), 1e-9 relative, wherever the picture is turned to.
func TestMeasureProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const step = 0.1
		s := rapid.Float64Range(4*step, 15).Draw(t, "straight")
		r := rapid.Float64Range(1.5, 20).Draw(t, "radius")
		angle := rapid.Float64Range(0.3, 1.8).Draw(t, "angle")
		tail := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(4*step, 6)).Draw(t, "tail")
		c := canal(s, r, angle, tail)
		c.Heading = rapid.Float64Range(-3, 3).Draw(t, "heading")
		path := axis(c, step)

		schneider := geom.Schneider(path)
		if schneider < angle/2*(1-1e-9) || schneider > angle*(1+1e-9) {
			t.Errorf("Schneider = %v, want between %v and %v", schneider, angle/2, angle)
		}
		sin, cos := math.Sincos(angle)
		closed := math.Atan2(r*(1-cos)+tail*sin, r*sin+tail*cos)
		near(t, "Schneider", schneider, closed, 1e-9*closed)
		near(t, "Weine", geom.Weine(path), angle, 1e-9*angle)
		bend := geom.Pruett(path)
		near(t, "Pruett angle", bend.Angle, angle, 1e-9*angle)
		near(t, "Pruett radius", bend.Radius, r, 1e-9*r)
		near(t, "Pruett arc", bend.ArcLength, r*angle, 1e-9*r*angle)
		near(t, "Pruett begin", float64(bend.Begin)*step, s, step)
		near(t, "Pruett end", float64(bend.End)*step, s+r*angle, step)
	})
}

// A5, F1: arc, chord and tangent length of the standard tubes (instruments.md 3.1, Pruett 1997),
// from the curve itself: the chord joins the ends of the arc, the tangents meet at the crossing.
func TestPruettTubes(t *testing.T) {
	rows := []struct {
		radius         float64
		arcs           [4]float64 // 30, 45, 60, 90°
		chord, tangent float64    // 60°
	}{
		{2, [4]float64{1.047, 1.571, 2.094, 3.142}, 2.000, 1.155},
		{3, [4]float64{1.571, 2.356, 3.142, 4.712}, 3.000, 1.732},
		{5, [4]float64{2.618, 3.927, 5.236, 7.854}, 5.000, 2.887},
		{7.5, [4]float64{3.927, 5.890, 7.854, 11.781}, 7.500, 4.330},
		{10, [4]float64{5.236, 7.854, 10.472, 15.708}, 10.000, 5.774},
	}
	for _, row := range rows {
		for i, angleDeg := range []float64{30, 45, 60, 90} {
			angle := angleDeg * degree
			tube := canal(8, row.radius, angle, 4)
			name := fmt.Sprintf("R %v, %v°: ", row.radius, angleDeg)
			near(t, name+"arc", geom.Pruett(axis(tube, 0.1)).ArcLength, row.arcs[i], 0.001)
			begin, end := tube.At(8), tube.At(8+row.radius*angle)
			chord := end.Point.Sub(begin.Point).Norm()
			near(t, name+"chord formula", chord, 2*row.radius*math.Sin(angle/2), 1e-6)
			crossing, met := geom.Intersect(begin.Point, begin.Point.Add(geom.Direction(0).Scale(20)),
				end.Point, end.Point.Sub(geom.Direction(angle).Scale(20)))
			tangent := crossing.Sub(begin.Point).Norm()
			if !met {
				t.Errorf("%stangents do not meet", name)
			}
			near(t, name+"tangent formula", tangent, row.radius*math.Tan(angle/2), 1e-6)
			if angleDeg == 60 {
				near(t, name+"chord", chord, row.chord, 0.001)
				near(t, name+"tangent", tangent, row.tangent, 0.001)
			}
		}
	}
	near(t, "6 mm/86° rig", geom.Arc(6, 86*degree).Length, 9.006, 0.001)
}

// F2: the construction recovers R within 2 % and θ within 0.5° from a polyline of 0.1 mm, also when
// the points are only known to 0.001 mm, as off a picture, so that nothing can be read exactly.
func TestPruettRecoversFromPolyline(t *testing.T) {
	for _, radius := range []float64{2, 3, 5, 7.5, 10} {
		for _, angleDeg := range []float64{30, 45, 60, 90} {
			for _, straight := range []float64{8, 8.037} {
				path := axis(canal(straight, radius, angleDeg*degree, 4), 0.1)
				rough := make([]geom.Point, len(path))
				for i, p := range path {
					rough[i] = geom.Point{X: detmath.Quantise(p.X, 0.001), Y: detmath.Quantise(p.Y, 0.001)}
				}
				for name, points := range map[string][]geom.Point{"exact": path, "rounded": rough} {
					bend := geom.Pruett(points)
					name = fmt.Sprintf("%s R %v, %v°, s %v: ", name, radius, angleDeg, straight)
					near(t, name+"radius", bend.Radius, radius, 0.02*radius)
					near(t, name+"angle °", bend.Angle/degree, angleDeg, 0.5)
				}
			}
		}
	}
}

// wander returns a canal whose curvature is disturbed everywhere by smooth chance of the given
// amplitude (rad/mm) and waves of 2 to 6 mm, and whose points are then displaced by up to jitter mm.
func wander(c geom.Curve, amplitude, jitter float64, seed uint64) []geom.Point {
	const step = 0.1
	s := detmath.NewStream(seed, "wander")
	var wave, phase [4]float64
	for i := range wave {
		wave[i], phase[i] = s.Range(2, 6), s.Range(0, 2*math.Pi)
	}
	var curvature []float64
	for _, station := range c.Sample(step) {
		k := station.Curvature
		for i := range wave {
			k += amplitude / 4 * math.Sin(2*math.Pi*station.S/wave[i]+phase[i])
		}
		curvature = append(curvature, k)
	}
	var points []geom.Point
	for _, station := range geom.Integrate(c.Origin, c.Heading, step, curvature) {
		off := geom.Point{X: s.Range(-jitter, jitter), Y: s.Range(-jitter, jitter)}
		points = append(points, station.Point.Add(off))
	}
	return points
}

// A canal with chance in it has no straight part and is read by the fit. Its angles must stay within
// a few degrees of those of the canal without chance. Waves of 0.02 rad/mm turn the axis by about 1°;
// points displaced by 0.005 mm turn the last half millimetre, on which the apical line of a curve
// that ends at the foramen rests, by about 1° as standard deviation, of which four are allowed.
func TestNoisyCanals(t *testing.T) {
	disturbances := []struct{ amplitude, jitter, angle, radius float64 }{
		{1e-7, 0, 1.5, 0.06}, // hardly disturbed: the fit agrees with the exact reading
		{0.02, 0, 2, 0.1},
		{0.05, 0, 3.5, 0.2},
		{0.02, 0.005, 5, 0.2},
	}
	for i, e := range examples {
		exact := axis(e.curve(), 0.1)
		for _, d := range disturbances {
			for seed := uint64(0); seed < 10; seed++ {
				path := wander(e.curve(), d.amplitude, d.jitter, seed)
				name := fmt.Sprintf("row %d, wander %v, jitter %v, seed %d: ", i+1, d.amplitude, d.jitter, seed)
				near(t, name+"Schneider °", geom.Schneider(path)/degree, geom.Schneider(exact)/degree, d.angle)
				near(t, name+"Weine °", geom.Weine(path)/degree, e.angle, d.angle)
				near(t, name+"access °", geom.CanalAccess(path).Angle/degree, e.access, d.angle)
				bend := geom.Pruett(path)
				near(t, name+"Pruett °", bend.Angle/degree, e.angle, d.angle)
				near(t, name+"Pruett radius", bend.Radius, e.radius, d.radius*e.radius)
			}
		}
	}
}

// A10: quartic y = 4·10⁻⁴·x⁴ (anatomy.md 1.2): k max 0.15852 at x = 6.939 mm, slope 57.99° at x = 10,
// arc length 11.463 mm.
func TestQuartic(t *testing.T) {
	var path []geom.Point
	for i := 0; i <= 10000; i++ {
		x := float64(i) / 1000
		path = append(path, geom.Point{X: x, Y: 4e-4 * x * x * x * x})
	}
	near(t, "arc length", geom.PathLength(path), 11.463, 0.001)
	largest, at := 0.0, 0.0
	for i := 100; i+100 < len(path); i += 10 {
		if k := 1 / geom.Circumradius(path[i-100], path[i], path[i+100]); k > largest {
			largest, at = k, path[i].X
		}
	}
	near(t, "largest curvature", largest, 0.15852, 1e-3)
	// Curvature is flat at its maximum, so a grid of 0.01 mm finds the place to about that.
	near(t, "place of largest curvature", at, 6.939, 0.02)
	// A canal curved throughout: the turn is at most the whole slope of 57.99°, and the radius not
	// less than the smallest, 6.308 mm.
	bend := geom.Pruett(geom.Resample(path, 0.1))
	if bend.Angle/degree > 57.99 || bend.Angle/degree < 45 || bend.Radius < 6.308 || bend.Radius > 12 {
		t.Errorf("Pruett of the quartic = %.2f°, %.2f mm, want 45-57.99° and 6.308-12 mm", bend.Angle/degree, bend.Radius)
	}
}

func TestStraightCanal(t *testing.T) {
	for _, path := range [][]geom.Point{
		axis(geom.Curve{Heading: 0.3, Pieces: []geom.Piece{geom.Straight(14)}}, 0.1),
		{{X: 1, Y: 2}, {X: 4, Y: 6}},
		{{X: 1, Y: 2}, {X: 1, Y: 2}, {X: 4, Y: 6}},
	} {
		near(t, "Schneider", geom.Schneider(path), 0, 1e-12)
		near(t, "Weine", geom.Weine(path), 0, 1e-12)
		near(t, "access", geom.CanalAccess(path).Angle, 0, 1e-12)
		near(t, "y", geom.CanalAccess(path).Y, geom.PathLength(path), 1e-12)
		bend := geom.Pruett(path)
		if bend.Angle != 0 || !math.IsInf(bend.Radius, 1) || bend.ArcLength != 0 {
			t.Errorf("Pruett of a straight = %+v, want no bend", bend)
		}
		if r := geom.EstrelaRadius(path); r < 1e9 {
			t.Errorf("Estrela radius of a straight = %v, want infinite", r)
		}
	}
}

// A canal that wanders by hundredths of a millimetre but has no bend reads as easy.
func TestWanderingStraightIsEasy(t *testing.T) {
	straight := geom.Curve{Pieces: []geom.Piece{geom.Straight(14)}}
	for seed := uint64(0); seed < 10; seed++ {
		angle := geom.Schneider(wander(straight, 0.01, 0.01, seed))
		if geom.SchneiderClass(angle) != "easy" {
			t.Errorf("seed %d: Schneider = %.2f°, want easy", seed, angle/degree)
		}
	}
}

// A bayonet has two bends of opposite sense; each is read for itself, to 1° and 5 % by the fit.
// Schneider reads the first bend's line to the foramen; Weine the net turn.
func TestBendsOfBayonet(t *testing.T) {
	c := geom.Curve{Pieces: []geom.Piece{
		geom.Straight(6), geom.Arc(6, 35*degree), geom.Straight(2), geom.Arc(4, -50*degree), geom.Straight(1),
	}}
	path := axis(c, 0.1)
	bends := geom.Bends(path)
	if len(bends) != 2 {
		t.Fatalf("bayonet has %d bends, want 2", len(bends))
	}
	for i, want := range []struct{ angle, radius float64 }{{35, 6}, {50, 4}} {
		near(t, "bend °", bends[i].Angle/degree, want.angle, 1)
		near(t, "bend radius", bends[i].Radius, want.radius, 0.05*want.radius)
	}
	near(t, "Pruett °", geom.Pruett(path).Angle/degree, 50, 1)
	near(t, "Weine °", geom.Weine(path)/degree, 15, 1)
	chord := c.At(99).Point.Sub(c.At(6).Point)
	near(t, "Schneider °", geom.Schneider(path)/degree, math.Atan2(chord.X, -chord.Y)/degree, 1)
}

// A4 on an axis: on a circle the construction gives its radius; on straight, arc, straight the circle
// through the ends of the segments, found here by stepping along the curve.
func TestEstrelaRadius(t *testing.T) {
	for _, r := range []float64{5, 9, 20} {
		long := axis(geom.Curve{Pieces: []geom.Piece{geom.Arc(r, 14/r)}}, 0.01)
		// The points are exact, the ends of segments lie on chords: off by the sagitta 0.01²/8R.
		near(t, "long arc", geom.EstrelaRadius(long), r, 1e-5*r)
		short := axis(geom.Curve{Pieces: []geom.Piece{geom.Arc(r, 5/r)}}, 0.01)
		near(t, "short arc", geom.EstrelaRadius(short), r, 1e-5*r)
	}
	c := canal(8, 5, 60*degree, 2)
	end := c.At(99).Point
	first := c.At(stepBack(c, end, c.Length()))
	next := c.At(stepBack(c, first.Point, first.S))
	want := geom.Circumradius(end, first.Point, next.Point)
	near(t, "row 2", geom.EstrelaRadius(axis(c, 0.05)), want, 0.001*want)
}

// stepBack returns the arc length before s at which the curve is 6 mm from p, by bisection.
func stepBack(c geom.Curve, p geom.Point, s float64) float64 {
	low, high := s-6.9, s
	for i := 0; i < 60; i++ {
		if mid := (low + high) / 2; c.At(mid).Point.Sub(p).Norm() > 6 {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// A6, A7: limits of the classes and the rule for the gaps.
func TestClasses(t *testing.T) {
	for angleDeg, want := range map[float64]string{
		0: "easy", 5: "easy", 15: "moderate", 10: "moderate", 20: "moderate", 25: "difficult", 30: "difficult", 70: "difficult", // Schneider 1971
		5.1: "moderate", 7: "moderate", 9.9: "moderate", 20.1: "difficult", 24: "difficult", 80: "difficult", // our rule for the gaps
	} {
		if got := geom.SchneiderClass(angleDeg * math.Pi / 180); got != want {
			t.Errorf("SchneiderClass(%v°) = %s, want %s", angleDeg, got, want)
		}
	}
	for radius, want := range map[float64]string{ // Estrela 2008 (from memory)
		1: "severe", 4: "severe", 4.01: "moderate", 8: "moderate", 8.01: "mild", math.Inf(1): "mild",
	} {
		if got := geom.EstrelaClass(radius); got != want {
			t.Errorf("EstrelaClass(%v) = %s, want %s", radius, got, want)
		}
	}
	for angleDeg, want := range map[float64]string{ // case-difficulty form 2022; high row from memory
		0: "low", 9.9: "low", 10: "moderate", 30: "moderate", 30.1: "high",
	} {
		if got := geom.FormClass(angleDeg*math.Pi/180, false); got != want {
			t.Errorf("FormClass(%v°) = %s, want %s", angleDeg, got, want)
		}
	}
	if got := geom.FormClass(0, true); got != "high" {
		t.Errorf("FormClass of an S shape = %s, want high", got)
	}
}

// Limit cases of the straightening loss: none for no bend, all of the arc's excess over its chord for
// no tail (derived).
func TestStraighteningLossLimits(t *testing.T) {
	near(t, "no bend", geom.StraighteningLoss(5, 0, 3), 0, 1e-15)
	near(t, "no tail", geom.StraighteningLoss(5, 1, 0), 5-10*math.Sin(0.5), 1e-14)
	if a, b := geom.StraighteningLoss(5, 1, 1), geom.StraighteningLoss(5, 1, 2); a >= b {
		t.Errorf("loss with tail 1 mm = %v, with 2 mm = %v, want more with the longer tail", a, b)
	}
}

func BenchmarkSchneiderFitted(b *testing.B) {
	path := wander(examples[1].curve(), 0.02, 0.01, 1)
	for b.Loop() {
		geom.Schneider(path)
	}
}
