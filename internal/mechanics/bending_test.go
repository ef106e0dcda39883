package mechanics_test

import (
	"math"
	"testing"

	"tugback/internal/mechanics"
)

// roundCone is a round elastic rod of a share of steel's modulus, from 0.25 to 0.57 mm over 16 mm, the worked example of the project's table of published numbers, instruments 2.3.
func roundCone(share float64) mechanics.Blank {
	b := kFile(25)
	b.Section = mechanics.Section{Shape: mechanics.Circle}
	b.Alloy.Modulus, b.Alloy.Yield, b.Shaft = share*mechanics.Steel().Modulus, 1e6, 0.57
	return b
}

// TestCantilever is S5: a round cone clamped at its thick end under 1 N at the thin one deflects by
// 64PL³/(3πE·da·db³) = 3.11277 mm and turns by 0.416333 rad (derived, closed form). The rod's stiffness is
// sampled every 0.02 mm: 0.1 %. A modulus 20 % larger is noticed.
func TestCantilever(t *testing.T) {
	rod := mechanics.NewRod(roundCone(1), 0.02)
	got := mechanics.Cantilever(rod, 16, 0, 1)
	near(t, "deflection", got.Deflection, 3.11277, 1e-3)
	near(t, "slope", got.Slope, 0.416333, 1e-3)
	near(t, "small load", mechanics.Cantilever(rod, 16, 0, 1e-3).Deflection, 3.11277e-3, 1e-3)
	near(t, "moment", got.Moment, 16, 1e-9)
	stiffer := mechanics.Cantilever(mechanics.NewRod(roundCone(1.2), 0.02), 16, 0, 1)
	if math.Abs(stiffer.Deflection-3.11277) < 0.1 {
		t.Error("a modulus 20 % larger is not noticed")
	}
}

// TestScaling is S10: elastic stiffness goes with d⁴, torque at yield with d³; exponents ± 0.05 (derived).
func TestScaling(t *testing.T) {
	rod := func(d float64) *mechanics.Rod {
		b := roundCone(1)
		b.Tip, b.Shaft, b.Spans = d, d, []mechanics.Span{{}}
		return mechanics.NewRod(b, 0.1)
	}
	thin, thick := rod(0.3), rod(0.6)
	bend := math.Log2(mechanics.Cantilever(thin, 16, 0, 0.01).Deflection / mechanics.Cantilever(thick, 16, 0, 0.01).Deflection)
	twist := math.Log2(thick.TorsionStrength[100] / thin.TorsionStrength[100])
	if math.Abs(bend-4) > 0.05 || math.Abs(twist-3) > 0.05 {
		t.Errorf("exponents %.3f and %.3f, want 4 and 3", bend, twist)
	}
}

// TestElastica compares a uniform cantilever with the elastica (testdata/reference/mechanics/elastica.py):
// the small-slope lever arm makes it too large by 0.12α² of itself, 0.7 % at α = 0.25, 11 % at α = 1.
func TestElastica(t *testing.T) {
	b := roundCone(1)
	b.Tip, b.Shaft, b.Spans = 0.3, 0.3, []mechanics.Span{{}}
	rod := mechanics.NewRod(b, 0.05)
	for _, row := range table(t, "elastica.csv") {
		const length = 10.0
		load := row[0] * rod.Stiffness[0] / (length * length)
		got := mechanics.Cantilever(rod, length, 0, load)
		allowed := 1e-4 + 0.12*row[0]*row[0]
		near(t, "elastica deflection", got.Deflection/length, row[1], allowed)
		near(t, "elastica slope", got.Slope, row[2], allowed)
	}
}

// TestBendTest is S7 and part of D9: gripped 3 mm from the tip and bent by 45°, steel keeps a bend, NiTi
// less than 2° (Walia 1988, Camps & Pertot 1995: nil); the steel moment stays below the standard's largest
// (from memory), NiTi needs 0.15 to 0.36 of steel's (Walia 1988: a
// quarter to a fifth, in elastic bending; large steel files yield, which lifts the share).
func TestBendTest(t *testing.T) {
	for size, most := range map[int]float64{15: 4.90, 20: 7.85, 25: 11.8, 30: 14.7, 35: 18.6, 40: 24.5} {
		steel := mechanics.BendTest(mechanics.NewRod(kFile(size), 0.1), 3, 16, math.Pi/4)
		b := kFile(size)
		b.Alloy = mechanics.NiTi()
		niti := mechanics.BendTest(mechanics.NewRod(b, 0.1), 3, 16, math.Pi/4)
		near(t, "angle", steel.Slope, math.Pi/4, 1e-4)
		if steel.Moment > most {
			t.Errorf("size %d: moment %.2f N·mm at 45°, most %.2f", size, steel.Moment, most)
		}
		if steel.Residual <= 0 || niti.Residual >= 2*math.Pi/180 {
			t.Errorf("size %d: steel keeps %.4f rad, NiTi %.4f", size, steel.Residual, niti.Residual)
		}
		if r := niti.Moment / steel.Moment; r < 0.15 || r > 0.36 {
			t.Errorf("size %d: NiTi / steel moment %.3f", size, r)
		}
	}
}

// TestAlloyOrder is S9: in the standard's bend test the same rotary form in martensitic (heat-treated) NiTi is
// softer than in partly martensitic (annealed), that softer than in conventional NiTi, that than in steel; the
// ratios to conventional NiTi are those of finite elements, 0.94 and 0.58 (BNRC 2019;43:125), each ± 25 %. What
// stays bent goes the other way (from memory), and so do the turns at equal strain: more in the softer one
// (Pereira 2013, Shen 2011: three to eight times).
func TestAlloyOrder(t *testing.T) {
	steel, niti, annealed, treated := mechanics.Steel(), mechanics.NiTi(), mechanics.Annealed(), mechanics.HeatTreated()
	bend := func(a mechanics.Alloy) mechanics.Bending {
		b := rotary(25, 0.06)
		b.Alloy = a
		return mechanics.BendTest(mechanics.NewRod(b, 0.1), 3, 16, math.Pi/4)
	}
	of := bend(niti)
	near(t, "annealed over conventional moment at 45°", bend(annealed).Moment/of.Moment, 0.94, 0.25)
	near(t, "martensitic over conventional moment at 45°", bend(treated).Moment/of.Moment, 0.58, 0.25)
	order := []mechanics.Alloy{steel, niti, annealed, treated}
	for i := 2; i < len(order); i++ {
		harder, softer := order[i-1], order[i]
		if a, b := bend(harder), bend(softer); b.Moment >= a.Moment || b.Residual < a.Residual {
			t.Errorf("%s: %.2f N·mm, %.3f rad stay; %s: %.2f, %.3f", harder.Name, a.Moment, a.Residual, softer.Name, b.Moment, b.Residual)
		}
		if softer.Cycles(0.03) <= harder.Cycles(0.03) {
			t.Errorf("%s lives no longer than %s", softer.Name, harder.Name)
		}
	}
	if of.Moment >= bend(steel).Moment {
		t.Error("NiTi is stiffer than steel")
	}
	if r := treated.Cycles(0.03) / niti.Cycles(0.03); r < 3 || r > 8 {
		t.Errorf("life ratio %.2f, want 3 to 8", r)
	}
}

// TestTorsionStandard is the torque part of D9: steel K-files at 3 mm from the tip bear at least the
// standard's minimum (ANSI/ADA 28, from memory, supported by its power law).
func TestTorsionStandard(t *testing.T) {
	for size, least := range map[int]float64{15: 0.78, 20: 1.77, 25: 2.94, 30: 4.41, 35: 6.37, 40: 9.81} {
		if got := mechanics.NewRod(kFile(size), 0.1).TorsionStrength[30]; got < least {
			t.Errorf("size %d: %.2f N·mm at 3 mm, least %.2f", size, got, least)
		}
	}
}

// TestBend: a steel file keeps the curve it is given, NiTi springs back.
func TestBend(t *testing.T) {
	for _, c := range []struct {
		alloy mechanics.Alloy
		want  float64
	}{{mechanics.Steel(), -0.2}, {mechanics.NiTi(), 0}} {
		b := kFile(15)
		b.Alloy = c.alloy
		rod := mechanics.NewRod(b, 0.1)
		tool := mechanics.NewTool(rod)
		clone := tool.Clone()
		tool.Bend(rod, 0, -5, 3)
		if got := tool.Set[0][10]; got != c.want || tool.Set[0][40] != 0 || tool.Set[1][10] != 0 || clone.Set[0][10] != 0 {
			t.Errorf("%s: set %g, want %g", c.alloy.Name, got, c.want)
		}
	}
}
