package geom_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/geom"
)

const degree = math.Pi / 180

// checker is what near and nearPoint need of *testing.T and *rapid.T.
type checker interface {
	Helper()
	Errorf(format string, args ...any)
}

// near reports a value that is further from the wanted one than tolerance allows.
func near(t checker, name string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g ± %g", name, got, want, tolerance)
	}
}

func nearPoint(t checker, name string, got, want geom.Point, tolerance float64) {
	t.Helper()
	if !(got.Sub(want).Norm() <= tolerance) {
		t.Errorf("%s = %v, want %v ± %g mm", name, got, want, tolerance)
	}
}

func mustPanic(t *testing.T, name string, call func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Errorf("%s did not panic", name)
		}
	}()
	call()
}

// canal is a straight, an arc and a straight, as in the worked examples.
func canal(straight, radius, angle, tail float64) geom.Curve {
	return geom.Curve{Pieces: []geom.Piece{
		geom.Straight(straight), geom.Arc(radius, angle), geom.Straight(tail),
	}}
}

// axis samples a curve as a picture shows it.
func axis(c geom.Curve, step float64) []geom.Point {
	var points []geom.Point
	for _, station := range c.Sample(step) {
		points = append(points, station.Point)
	}
	return points
}

func TestPoint(t *testing.T) {
	p, q := geom.Point{X: 3, Y: 4}, geom.Point{X: -1, Y: 2}
	nearPoint(t, "Add", p.Add(q), geom.Point{X: 2, Y: 6}, 0)
	nearPoint(t, "Sub", p.Sub(q), geom.Point{X: 4, Y: 2}, 0)
	nearPoint(t, "Scale", p.Scale(2), geom.Point{X: 6, Y: 8}, 0)
	nearPoint(t, "Left", p.Left(), geom.Point{X: -4, Y: 3}, 0)
	nearPoint(t, "Unit", p.Unit(), geom.Point{X: 0.6, Y: 0.8}, 1e-16)
	nearPoint(t, "Unit of null", geom.Point{}.Unit(), geom.Point{}, 0)
	near(t, "Dot", p.Dot(q), 5, 0)
	near(t, "Cross", p.Cross(q), 10, 0)
	near(t, "Norm", p.Norm(), 5, 0)
	// Heading 0 is down; a positive quarter turn, counter-clockwise, is +x.
	nearPoint(t, "Direction(0)", geom.Direction(0), geom.Point{Y: -1}, 0)
	nearPoint(t, "Direction(π/2)", geom.Direction(math.Pi/2), geom.Point{X: 1}, 1e-16)
	nearPoint(t, "left of down", geom.Direction(0).Left(), geom.Point{X: 1}, 0)
}

// Stations of straight and arc against the closed form of anatomy.md 1.1, with y down and the bend
// toward +x: B(0,s); E(R(1−cosθ), s+R sinθ). Rounding only: 1e-13 mm.
func TestArcStations(t *testing.T) {
	const s, r, angle, tail = 8.0, 5.0, 60 * degree, 2.0
	c := canal(s, r, angle, tail)
	near(t, "Length", c.Length(), s+r*angle+tail, 1e-14)
	cases := []struct {
		s             float64
		x, y          float64
		heading, kept float64
	}{
		{-1, 0, 0, 0, 0},
		{4, 0, -4, 0, 0},
		{s, 0, -s, 0, 1 / r},
		{s + r*angle/2, r * (1 - math.Cos(angle/2)), -s - r*math.Sin(angle/2), angle / 2, 1 / r},
		{s + r*angle + 1, r*(1-math.Cos(angle)) + math.Sin(angle), -s - r*math.Sin(angle) - math.Cos(angle), angle, 0},
		{99, r*(1-math.Cos(angle)) + 2*math.Sin(angle), -s - r*math.Sin(angle) - 2*math.Cos(angle), angle, 0},
	}
	for _, want := range cases {
		got := c.At(want.s)
		nearPoint(t, "point", got.Point, geom.Point{X: want.x, Y: want.y}, 1e-13)
		near(t, "heading", got.Heading, want.heading, 1e-14)
		near(t, "curvature", got.Curvature, want.kept, 1e-15)
		near(t, "arc length", got.S, math.Max(0, math.Min(want.s, c.Length())), 1e-14)
	}
	mirrored := canal(s, r, -angle, tail).At(99)
	full := c.At(99)
	nearPoint(t, "mirrored end", mirrored.Point, geom.Point{X: -full.Point.X, Y: full.Point.Y}, 1e-14)
}

// Clothoids against SciPy's Fresnel integrals (testdata/reference/geom/fresnel.py), 1e-12 mm, which
// is the error stated at Curve.At for the longest of them.
func TestClothoid(t *testing.T) {
	for _, row := range reference(t, "fresnel.csv") {
		rate, length := row[0], row[1]
		c := geom.Curve{Pieces: []geom.Piece{{Length: length, End: rate * length}}}
		got := c.At(length)
		nearPoint(t, "clothoid end", got.Point, geom.Point{X: row[2], Y: row[3]}, 1e-12)
		near(t, "clothoid heading", got.Heading, rate*length*length/2, 1e-13)
		half := c.At(length / 2)
		whole := geom.Curve{Origin: half.Point, Heading: half.Heading, Pieces: []geom.Piece{
			{Length: length / 2, Start: half.Curvature, End: rate * length},
		}}
		nearPoint(t, "clothoid in two parts", whole.At(length).Point, got.Point, 1e-12)
	}
}

func reference(t *testing.T, name string) [][]float64 {
	t.Helper()
	file, err := os.Open("../../testdata/reference/geom/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	numbers := make([][]float64, len(table))
	for i, row := range table {
		for _, text := range row {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			numbers[i] = append(numbers[i], x)
		}
	}
	return numbers
}

// drawCurve draws a curve of one to five pieces of any kind.
func drawCurve(t *rapid.T) geom.Curve {
	curve := geom.Curve{Heading: rapid.Float64Range(-1, 1).Draw(t, "heading")}
	for i := rapid.IntRange(1, 5).Draw(t, "pieces"); i > 0; i-- {
		length := rapid.Float64Range(0.5, 6).Draw(t, "length")
		start := rapid.Float64Range(-0.4, 0.4).Draw(t, "start")
		end := rapid.Float64Range(-0.4, 0.4).Draw(t, "end")
		curve.Pieces = append(curve.Pieces, geom.Piece{Length: length, Start: start, End: end})
	}
	return curve
}

// Curvature is the derivative of the heading, and the tangent the derivative of the position, by
// central differences within a piece. With h = 1e-3 mm the truncation error is below κ³h²/24·…, less
// than 1e-6, and rounding below 1e-12.
func TestCurvatureAgainstFiniteDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		const h = 1e-3
		begin := 0.0
		for _, piece := range c.Pieces {
			s := begin + piece.Length*rapid.Float64Range(0.05, 0.95).Draw(t, "place")
			before, at, after := c.At(s-h), c.At(s), c.At(s+h)
			near(t, "curvature", at.Curvature, (after.Heading-before.Heading)/(2*h), 1e-9)
			tangent := after.Point.Sub(before.Point).Scale(1 / (2 * h))
			nearPoint(t, "tangent", geom.Direction(at.Heading), tangent, 1e-6)
			begin += piece.Length
		}
	})
}

func TestSampleAgreesWithAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		step := rapid.Float64Range(0.05, 1).Draw(t, "step")
		stations := c.Sample(step)
		for i, station := range stations {
			s := float64(i) * step
			if i == len(stations)-1 {
				s = c.Length()
			}
			at := c.At(s)
			nearPoint(t, "sampled point", station.Point, at.Point, 1e-12)
			near(t, "sampled arc length", station.S, s, 1e-12)
		}
		if gap := c.Length() - stations[max(len(stations)-2, 0)].S; gap > step*(1+1e-5) {
			t.Errorf("last step = %v mm, want at most %v", gap, step)
		}
	})
}

func TestSampleEnds(t *testing.T) {
	c := geom.Curve{Pieces: []geom.Piece{geom.Straight(1)}}
	if got := len(c.Sample(0.1)); got != 11 {
		t.Errorf("1 mm at 0.1 mm gave %d stations, want 11", got)
	}
	if got := len(c.Sample(0.3)); got != 5 {
		t.Errorf("1 mm at 0.3 mm gave %d stations, want 5", got)
	}
	nothing := geom.Curve{Origin: geom.Point{X: 1}}.Sample(0.1)
	if len(nothing) != 1 || nothing[0].Point.X != 1 {
		t.Errorf("empty curve gave %v, want its origin", nothing)
	}
}

// A constant curvature is integrated exactly; a growing one against the clothoid of the same
// curvature, with the stated error length·step²·κ″/12 = 0 plus that of one mean arc per step,
// below step³ per mm.
func TestIntegrate(t *testing.T) {
	const step, n = 0.1, 101
	constant, growing := make([]float64, n), make([]float64, n)
	for i := range constant {
		constant[i] = 0.2
		growing[i] = 0.03 * float64(i) * step
	}
	origin := geom.Point{X: 1, Y: 2}
	stations := geom.Integrate(origin, 0.3, step, constant)
	arc := geom.Curve{Origin: origin, Heading: 0.3, Pieces: []geom.Piece{{Length: 10, Start: 0.2, End: 0.2}}}
	nearPoint(t, "arc end", stations[n-1].Point, arc.At(10).Point, 1e-13)
	near(t, "arc heading", stations[n-1].Heading, 2.3, 1e-13)

	stations = geom.Integrate(origin, 0.3, step, growing)
	blend := geom.Curve{Origin: origin, Heading: 0.3, Pieces: []geom.Piece{{Length: 10, End: 0.3}}}
	nearPoint(t, "blend end", stations[n-1].Point, blend.At(10).Point, 10*step*step*step)
	near(t, "blend heading", stations[n-1].Heading, 1.8, 1e-13)
	near(t, "blend arc length", stations[n-1].S, 10, 1e-13)
}

// The wall of an arc is an arc about the same centre: left of a counter-clockwise arc is inside.
func TestOffset(t *testing.T) {
	const r, d = 5.0, 0.4
	stations := geom.Curve{Pieces: []geom.Piece{geom.Arc(r, 1)}}.Sample(0.2)
	distances := make([]float64, len(stations))
	for i := range distances {
		distances[i] = d
	}
	for _, p := range geom.Offset(stations, distances) {
		near(t, "distance from centre", p.Sub(geom.Point{X: r}).Norm(), r-d, 1e-13)
	}
}

func TestRefusals(t *testing.T) {
	curve := canal(8, 5, 1, 0)
	nan := []geom.Point{{}, {X: math.NaN()}, {X: 1}}
	point := []geom.Point{{X: 1}, {X: 1}}
	refused := map[string]func(){
		"Straight":        func() { geom.Straight(-1) },
		"Arc radius":      func() { geom.Arc(0, 1) },
		"Arc angle":       func() { geom.Arc(1, math.NaN()) },
		"At":              func() { curve.At(math.NaN()) },
		"Sample":          func() { curve.Sample(0) },
		"Integrate":       func() { geom.Integrate(geom.Point{}, 0, -1, nil) },
		"Offset":          func() { geom.Offset(curve.Sample(1), []float64{1}) },
		"Distance":        func() { geom.Distance(geom.Point{}, nil) },
		"Resample":        func() { geom.Resample(point, math.NaN()) },
		"Schneider NaN":   func() { geom.Schneider(nan) },
		"Schneider point": func() { geom.Schneider(point) },
		"Weine nothing":   func() { geom.Weine(nil) },
		"Pruett":          func() { geom.Pruett(point) },
		"EstrelaRadius":   func() { geom.EstrelaRadius(nil) },
		"CanalAccess":     func() { geom.CanalAccess(nan) },
	}
	for name, call := range refused {
		mustPanic(t, name, call)
	}
}

func BenchmarkSample(b *testing.B) {
	c := geom.Curve{Pieces: []geom.Piece{geom.Straight(7), {Length: 1, End: 0.2}, geom.Arc(5, 1), {Length: 1, Start: 0.2}}}
	for b.Loop() {
		c.Sample(0.05)
	}
}
