package mechanics_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/mechanics"
)

// table reads a reference table, without its heading.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/reference/mechanics/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out [][]float64
	for _, row := range rows[1:] {
		var values []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			values = append(values, v)
		}
		out = append(out, values)
	}
	return out
}

// near reports a value farther than a share of the wanted one from it.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, share)
	}
}

// TestSections is S1, S2 and S3: the project's table of published numbers, instruments 2.2 (derived, standard formulas; torsion of square and
// triangle Roark, from memory). Closed forms to 1e-5 of the printed digits.
func TestSections(t *testing.T) {
	for _, c := range []struct {
		section                                      mechanics.Section
		area, inertia, torsion, modulus, factor, tau float64
	}{
		{mechanics.Section{Shape: mechanics.Circle}, 0.785398, 0.0490874, 0.0981748, 0.0981748, 1.697653, 0.261799},
		{mechanics.Section{Shape: mechanics.Square}, 0.5, 0.0208333, 0.035144, 0.0416667, 2, 0.11785},
		{mechanics.Section{Shape: mechanics.Triangle}, 0.324760, 0.0101487, 0.0121785, 0.0202975, 2.343146, 0.0541266},
		{mechanics.Section{Shape: mechanics.Rhombus, Ratio: 1}, 0.5, 0.0208333, 0.035144, 0.0416667, 2, 0.11785},
		{mechanics.Section{Shape: mechanics.Rhombus, Ratio: 0.5}, 0.25, 0.00260417, 0.0073332, 0.0104167, 2, 0.0372678},
		{mechanics.Section{Shape: mechanics.Core, Ratio: 0.25}, 0.196350, 0.00306796, 0.00613592, 0.0122718, 1.697653, 0.0327249},
	} {
		const d = 0.4
		name := strings.TrimSpace(strconv.Itoa(int(c.section.Shape)))
		torsion := 3e-5
		if c.section.Shape == mechanics.Rhombus {
			torsion = 0.03
		}
		near(t, name+" area", c.section.Area(d)/(d*d), c.area, 1e-5)
		near(t, name+" inertia", c.section.Inertia(d)/(d*d*d*d), c.inertia, 1e-5)
		near(t, name+" torsion", c.section.Torsion(d)/(d*d*d*d), c.torsion, torsion)
		near(t, name+" modulus", c.section.Modulus(d)/(d*d*d), c.modulus, 1e-5)
		near(t, name+" shape factor", c.section.Plastic(d)/c.section.Modulus(d), c.factor, 1e-5)
		near(t, name+" plastic torsion", c.section.PlasticTorsion(d)/(d*d*d), c.tau, 3e-5)
	}
	square, triangle := mechanics.Section{Shape: mechanics.Square}, mechanics.Section{Shape: mechanics.Triangle}
	ratio := square.Inertia(1) / triangle.Inertia(1)
	near(t, "S2 square / triangle inertia, derived", ratio, 2.0528, 1e-4)
	near(t, "S2 against Roda-Casanova 2022 J Clin Med 11:2642", ratio, 2, 0.1)
	area := triangle.Area(1) / square.Area(1)
	near(t, "S3 triangle / square area, derived", area, 0.6495, 1e-4)
	near(t, "S3 against Roane 1985 J Endod 11:203", area, 0.625, 0.05)
	// S4: 36 % and 60 % (europeanmedical.info figures, read), ± 2 points
	for share, section := range map[float64]mechanics.Section{0.36: square, 0.60: triangle} {
		if got := section.ChipSpace(); math.Abs(got-share) > 0.02 {
			t.Errorf("chip space %.3f, want %.2f ± 0.02", got, share)
		}
	}
}

// TestRhombusTorsion compares with a solved Poisson problem (testdata/reference/mechanics/rhombus.py).
func TestRhombusTorsion(t *testing.T) {
	for _, row := range table(t, "rhombus.csv") {
		s := mechanics.Section{Shape: mechanics.Rhombus, Ratio: row[0]}
		near(t, "J of a rhombus "+strconv.FormatFloat(row[0], 'g', -1, 64), s.Torsion(1), row[1], 0.03)
	}
}

// TestDiameter is D2: D(x) = D0 + taper·x, the confirmed rows of the project's table of published numbers, instruments 1.2 (a supplier's table),
// to 1e-9 mm; then cap, shaft and neck.
func TestDiameter(t *testing.T) {
	blank := func(size int, taper float64) mechanics.Blank {
		b := kFile(size)
		b.Spans, b.Shaft = []mechanics.Span{{From: 0, Taper: taper}}, 2
		return b
	}
	for i, want := range []float64{0.15, 0.19, 0.23, 0.27, 0.31, 0.35, 0.39, 0.43, 0.47, 0.51, 0.55, 0.59, 0.63, 0.67, 0.71, 0.75} {
		near(t, "15/.04", blank(15, 0.04).Diameter(float64(i)), want, 1e-9)
	}
	for i, want := range []float64{0.17, 0.25, 0.33, 0.41, 0.49, 0.57, 0.65, 0.73, 0.81, 0.89, 0.97, 1.05, 1.13} {
		near(t, "17/.08", blank(17, 0.08).Diameter(float64(i)), want, 1e-9)
	}
	for i, size := range []int{15, 20, 25, 30, 35, 40} {
		near(t, ".04 at 16", blank(size, 0.04).Diameter(16), []float64{0.79, 0.84, 0.89, 0.94, 0.99, 1.04}[i], 1e-9)
	}
	near(t, "25/.04 at 10", blank(25, 0.04).Diameter(10), 0.65, 1e-9)
	b := blank(25, 0.08)
	b.Shaft, b.Spans = 1, []mechanics.Span{{From: 0, Taper: 0.08}, {From: 5, Taper: 0.04}}
	near(t, "second span", b.Diameter(7), 0.25+0.4+0.08, 1e-9)
	near(t, "cap", b.Diameter(15.9), 1, 1e-9)
	b.Neck = 0.6
	near(t, "neck", b.Diameter(17), 0.6, 1e-9)
}

// TestBlankCheck is D8 (tip angle 75° ± 15°, scribd 484972365, read) and refusals; every fault is named.
func TestBlankCheck(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*mechanics.Blank)
		faults int
	}{
		{"as made", func(*mechanics.Blank) {}, 0},
		{"60°", func(b *mechanics.Blank) { b.TipAngle = 30 * math.Pi / 180 }, 0},
		{"90°", func(b *mechanics.Blank) { b.TipAngle = 45 * math.Pi / 180 }, 0},
		{"59°", func(b *mechanics.Blank) { b.TipAngle = 29.5 * math.Pi / 180 }, 1},
		{"91°", func(b *mechanics.Blank) { b.TipAngle = 45.5 * math.Pi / 180 }, 1},
		{"no number", func(b *mechanics.Blank) { b.Tip = math.NaN() }, 5},
		{"no spans", func(b *mechanics.Blank) { b.Spans = nil }, 1},
		{"spans out of order", func(b *mechanics.Blank) { b.Spans = []mechanics.Span{{}, {From: 3}, {From: 2}} }, 1},
		{"flat rhombus", func(b *mechanics.Blank) { b.Section = mechanics.Section{Shape: mechanics.Rhombus, Ratio: 0.1} }, 1},
		{"two faults", func(b *mechanics.Blank) { b.Edge, b.TipCuts = -1, 2 }, 2},
		{"no alloy", func(b *mechanics.Blank) { b.Alloy = mechanics.Alloy{} }, 1},
	} {
		b := kFile(25)
		c.change(&b)
		got := 0
		if err := b.Check(); err != nil {
			got = len(strings.Split(err.Error(), "\n"))
		}
		if got != c.faults {
			t.Errorf("%s: %d faults, want %d: %v", c.name, got, c.faults, b.Check())
		}
	}
}
