package geom_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/geom"
)

var (
	square = []geom.Point{{X: 0, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 2}, {X: 0, Y: 2}}
	// notched is a square of 2 with a notch of 1×1 cut into its top.
	notched = []geom.Point{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 2}, {X: 2, Y: 2}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 2}, {X: 0, Y: 2}}
)

func TestArea(t *testing.T) {
	near(t, "square", geom.Area(square), 4, 0)
	near(t, "clockwise square", geom.Area([]geom.Point{square[3], square[2], square[1], square[0]}), -4, 0)
	near(t, "notched", geom.Area(notched), 5, 0)
	near(t, "two points", geom.Area(square[:2]), 0, 0)
	// Regular polygon of n corners in a circle: n/2·sin(2π/n)·r².
	const n, r = 100, 3.0
	var ring []geom.Point
	for i := 0; i < n; i++ {
		ring = append(ring, geom.Direction(2*math.Pi*float64(i)/n).Scale(r))
	}
	near(t, "ring", geom.Area(ring), n/2*math.Sin(2*math.Pi/n)*r*r, 1e-12)
	// Triangle against square inscribed in one circle: 35.05 % less area (anatomy.md 1.2: 3√3/4 vs 2).
	inscribed := func(corners int) float64 {
		var p []geom.Point
		for i := 0; i < corners; i++ {
			p = append(p, geom.Direction(2*math.Pi*float64(i)/float64(corners)))
		}
		return geom.Area(p)
	}
	near(t, "triangle less than square", 1-inscribed(3)/inscribed(4), 0.3505, 5e-5)
}

func TestContains(t *testing.T) {
	cases := []struct {
		p    geom.Point
		want bool
	}{
		{geom.Point{X: 0.5, Y: 0.5}, true}, {geom.Point{X: 1.5, Y: 1.5}, false}, {geom.Point{X: 2.5, Y: 1.5}, true},
		{geom.Point{X: 1.5, Y: 0.5}, true}, {geom.Point{X: 4, Y: 1}, false}, {geom.Point{X: -1, Y: 1}, false},
		{geom.Point{X: 1, Y: 3}, false}, {geom.Point{X: 0.5, Y: 1}, true},
	}
	for _, c := range cases {
		if got := geom.Contains(notched, c.p); got != c.want {
			t.Errorf("Contains(%v) = %v, want %v", c.p, got, c.want)
		}
	}
	// Two squares with a common edge share no point of it, and leave none out.
	right := []geom.Point{{X: 2, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 2}, {X: 2, Y: 2}}
	for _, y := range []float64{0, 0.5, 1, 1.9} {
		p := geom.Point{X: 2, Y: y}
		if geom.Contains(square, p) == geom.Contains(right, p) {
			t.Errorf("point %v of the common edge is in both or in none", p)
		}
	}
}

func TestDistance(t *testing.T) {
	path := []geom.Point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 3}}
	cases := []struct {
		p, foot  geom.Point
		distance float64
	}{
		{geom.Point{X: 1, Y: 2}, geom.Point{X: 1}, 2},
		{geom.Point{X: -3, Y: 4}, geom.Point{}, 5},
		{geom.Point{X: 5, Y: 1}, geom.Point{X: 4, Y: 1}, 1},
		{geom.Point{X: 4, Y: 9}, geom.Point{X: 4, Y: 3}, 6},
	}
	for _, c := range cases {
		distance, foot := geom.Distance(c.p, path)
		near(t, "distance", distance, c.distance, 1e-15)
		nearPoint(t, "foot", foot, c.foot, 1e-15)
	}
	near(t, "PathLength", geom.PathLength(path), 7, 0)
}

func TestIntersect(t *testing.T) {
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	p, met := geom.Intersect(at(0, 0), at(4, 4), at(0, 2), at(2, 0))
	if !met {
		t.Error("crossing segments do not meet")
	}
	nearPoint(t, "crossing", p, at(1, 1), 1e-15)
	if p, met = geom.Intersect(at(0, 0), at(1, 0), at(1, -1), at(1, 1)); !met || p != at(1, 0) {
		t.Errorf("touching segments gave %v %v, want their common point", p, met)
	}
	for name, met := range map[string]bool{
		"short":    second(geom.Intersect(at(0, 0), at(1, 0), at(2, -1), at(2, 1))),
		"parallel": second(geom.Intersect(at(0, 0), at(1, 0), at(0, 1), at(1, 1))),
		"overlap":  second(geom.Intersect(at(0, 0), at(2, 0), at(1, 0), at(3, 0))),
		"point":    second(geom.Intersect(at(0, 0), at(0, 0), at(1, 0), at(3, 0))),
	} {
		if met {
			t.Errorf("%s: segments meet, want not", name)
		}
	}
}

func second(_ geom.Point, met bool) bool { return met }

// A4: radius of three points on a circle of any place and size, 1e-6 (Estrela 2008; derived).
func TestCircumcircle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		centre := geom.Point{X: rapid.Float64Range(-20, 20).Draw(t, "x"), Y: rapid.Float64Range(-20, 20).Draw(t, "y")}
		r := rapid.Float64Range(0.5, 40).Draw(t, "r")
		a := rapid.Float64Range(-3, 3).Draw(t, "a")
		step := rapid.Float64Range(0.05, 2).Draw(t, "step")
		on := func(angle float64) geom.Point { return centre.Add(geom.Direction(angle).Scale(r)) }
		got, radius := geom.Circumcircle3(on(a), on(a+step), on(a+2*step))
		near(t, "radius", radius, r, 1e-6)
		nearPoint(t, "centre", got, centre, 1e-6)
		near(t, "Circumradius", geom.Circumradius(on(a+step), on(a), on(a+2*step)), r, 1e-6)
	})
	// Points B, M, E of row 1, as printed with four decimals (anatomy.md 1.2): 5.000.
	near(t, "row 1", geom.Circumradius(geom.Point{Y: 8}, geom.Point{X: 0.6699, Y: 10.5}, geom.Point{X: 2.5, Y: 12.3301}), 5, 0.001)
	line := []geom.Point{{X: 0, Y: 0}, {X: 0.1, Y: 0.3}, {X: 0.2, Y: 0.6}}
	if r := geom.Circumradius(line[0], line[1], line[2]); !math.IsInf(r, 1) {
		t.Errorf("radius of a line = %v, want +Inf", r)
	}
	if r := geom.Circumradius(line[0], line[0], line[2]); !math.IsInf(r, 1) {
		t.Errorf("radius of two points = %v, want +Inf", r)
	}
}

func TestResample(t *testing.T) {
	path := []geom.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1.5}}
	got := geom.Resample(path, 0.5)
	want := []geom.Point{{X: 0}, {X: 0.5}, {X: 1}, {X: 1, Y: 0.5}, {X: 1, Y: 1}, {X: 1, Y: 1.5}}
	if len(got) != len(want) {
		t.Fatalf("Resample gave %v, want %v", got, want)
	}
	for i := range want {
		nearPoint(t, "resampled", got[i], want[i], 1e-15)
	}
	if odd := geom.Resample(path, 2); len(odd) != 3 || odd[2] != path[3] {
		t.Errorf("Resample at 2 mm gave %v, want start, one point and the end", odd)
	}
}

// Simplify keeps both ends and every point within the tolerance of what remains.
func TestSimplify(t *testing.T) {
	path := axis(canal(8, 5, 60*degree, 2), 0.05)
	for _, tolerance := range []float64{0.001, 0.01, 0.1} {
		short := geom.Simplify(path, tolerance)
		if short[0] != path[0] || short[len(short)-1] != path[len(path)-1] {
			t.Errorf("tolerance %v: ends moved", tolerance)
		}
		if len(short) > len(path)/4 {
			t.Errorf("tolerance %v: %d of %d points left, want at most a quarter", tolerance, len(short), len(path))
		}
		for _, p := range path {
			if off, _ := geom.Distance(p, short); off > tolerance+1e-12 {
				t.Errorf("tolerance %v: a point is %v mm off", tolerance, off)
			}
		}
	}
	if got := geom.Simplify(path[:2], 1); len(got) != 2 {
		t.Errorf("two points became %d", len(got))
	}
}

func TestClipHalfPlane(t *testing.T) {
	left := geom.ClipHalfPlane(square, geom.Point{X: 0.5}, geom.Point{X: -3})
	near(t, "left quarter", geom.Area(left), 1, 1e-15)
	if got := geom.ClipHalfPlane(square, geom.Point{X: 5}, geom.Point{X: 1}); len(got) != 0 {
		t.Errorf("clip beyond the square gave %v, want nothing", got)
	}
	near(t, "notch", geom.Area(geom.ClipHalfPlane(notched, geom.Point{Y: 1.5}, geom.Point{Y: 1})), 1, 1e-15)
	// The two sides of any line add up to the whole.
	rapid.Check(t, func(t *rapid.T) {
		through := geom.Point{X: rapid.Float64Range(-1, 4).Draw(t, "x"), Y: rapid.Float64Range(-1, 3).Draw(t, "y")}
		normal := geom.Direction(rapid.Float64Range(-3, 3).Draw(t, "normal"))
		one := geom.Area(geom.ClipHalfPlane(notched, through, normal))
		other := geom.Area(geom.ClipHalfPlane(notched, through, normal.Scale(-1)))
		near(t, "sum of both sides", one+other, 5, 1e-12)
	})
}
