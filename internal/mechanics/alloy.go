package mechanics

import "tugback/internal/detmath"

// Alloy is what a file is made of: moduli and stresses in MPa, strains and slopes without unit.
// Beyond Yield the material follows PlateauSlope·Modulus, beyond FullStrain (0: never) FinalSlope·Modulus.
// SetSlope is the share of the strain beyond yield that stays after unloading: 1 steel, 0 NiTi (which
// keeps only what went beyond FullStrain). Fatigue: strain amplitude = FatigueStrain·N^FatigueExponent +
// ElasticStrain·N^ElasticExponent.
type Alloy struct {
	Name            string
	Modulus         float64 // Young's modulus
	Shear           float64 // shear modulus
	Yield           float64 // yield (steel) or start of the upper plateau (NiTi)
	PlateauSlope    float64
	FullStrain      float64 // fibre strain at the end of the plateau; 0: none
	FinalSlope      float64
	SetSlope        float64
	ShearUltimate   float64 // MPa at torsional fracture
	FatigueStrain   float64
	FatigueExponent float64 // < 0
	ElasticStrain   float64 // the part of the amplitude that is elastic, at N = 1; 0: none
	ElasticExponent float64 // < 0, > FatigueExponent
	Warmth          float64 // 1/K: life falls by e^(−Warmth·(T − 20 °C))
	Reverse         float64 // turns to fracture when twisted against its helix over those with it, 0 … 1
}

// At returns the alloy at a temperature (°C, −20 … 80): its life is that at 20 °C times
// e^(−Warmth·(T − 20)), by way of the strain-life constant. Moduli and plateau are left as they are, though
// the plateau rises by 5–8 MPa/K (from memory). Checked by TestTemperature (F11).
func (a Alloy) At(temperature float64) Alloy {
	a.FatigueStrain *= detmath.Exp(float64(a.FatigueExponent * a.Warmth * (temperature - 20)))
	a.ElasticStrain *= detmath.Exp(float64(a.ElasticExponent * a.Warmth * (temperature - 20)))
	return a
}

// Steel returns hard-drawn austenitic stainless steel. Modulus 193 GPa (304, from memory, high
// certainty); shear modulus 68.5 GPa (spring wire, read); yield 1650 MPa, 0.8 of the 2100 MPa strength of
// spring wire of 0.25–0.5 mm (ASTM A313, read; the 0.8 from memory); shear at fracture 0.55 of that
// strength; turned backwards it breaks after a quarter of the turns (Chernick 1976: much smaller angle;
// the quarter is chosen). Strain-life by the universal slopes (Manson 1965, Exp Mech 5:193, from memory, high
// certainty), strain range = 3.5·(σu/E)·N^−0.12 + D^0.6·N^−0.6, halved to an amplitude: σu 2100 MPa, ductility
// D = 0.357 for a reduction of area by 30 %: spring wire keeps 30 to 50 % (from memory, low certainty), of which
// twisting uses some; the share of teeth in which novices break a file (M6) decided: N(2 %) ≈ 240, N(1 %) ≈ 2400.
// Checked by TestUniversalSlopes,
// TestCantilever (S5), TestBendTest (S7), TestTorsionStandard (D9).
func Steel() Alloy {
	return Alloy{
		Name: "steel", Modulus: 193000, Shear: 68500, Yield: 1650, PlateauSlope: 0.02, FinalSlope: 0.02,
		SetSlope: 1, ShearUltimate: 1150, FatigueStrain: 0.27, FatigueExponent: -0.6,
		ElasticStrain: 0.0190, ElasticExponent: -0.12, Reverse: 0.25,
	}
}

// NiTi returns superelastic nickel-titanium as files are made of: modulus 44 GPa, between a quarter and a
// fifth of steel's (Walia 1988, read; austenite alone has 75–83 GPa, read, but a file's first bend is softer),
// upper plateau 480 MPa (high-strength wire, 482 read), plateau to 6 % strain (recoverable for 100 cycles, read), shear modulus
// by Poisson 0.33; shear at fracture 1050 MPa (0.55 of the 1900 MPa of work-hardened wire, read; with it NiTi
// K-files bear the standard's torque as Camps & Pertot 1995 found, with 0.55 of annealed wire they would not); strain-life from the sanity model
// ε = 1.23·N^−0.5, i.e. 500 cycles at 5.5 % (calibration); 40 K of cold lengthen life 3.7 to 9.5 times
// (read), hence 0.033–0.056 a kelvin. Checked by TestBendTest (S7), TestStrainLife.
func NiTi() Alloy {
	return Alloy{
		Name: "niti", Modulus: 44000, Shear: 16500, Yield: 480, PlateauSlope: 0.03, FullStrain: 0.06, FinalSlope: 0.4,
		SetSlope: 0, ShearUltimate: 1050, FatigueStrain: 1.23, FatigueExponent: -0.5, Warmth: 0.04, Reverse: 1,
	}
}

// Annealed returns NiTi that a milder heat treatment left partly martensitic: bending at 0.94 of conventional NiTi
// in one finite element study and at 0.79 in another (BNRC 2019;43:125; TSWJ 2014:976459, both read), hence modulus
// 38 GPa (0.86) and plateau 400 MPa, which falls with it; more turns than conventional in the same bend (Pereira
// 2013, direction only; 1.6 times at equal strain is chosen) and warmth as between its neighbours; a twentieth
// of a bend stays (chosen). Checked by TestAlloyOrder (S9).
func Annealed() Alloy {
	return Alloy{
		Name: "annealed", Modulus: 38000, Shear: 14300, Yield: 400, PlateauSlope: 0.04, FullStrain: 0.06, FinalSlope: 0.45,
		SetSlope: 0.05, ShearUltimate: 1000, FatigueStrain: 1.56, FatigueExponent: -0.5, Warmth: 0.049, Reverse: 1,
	}
}

// HeatTreated returns martensitic (controlled-memory) NiTi: modulus 28 GPa (28–41 read), detwinning from
// 250 MPa, nearly seven times the life of NiTi at equal strain, which makes it three to four times in the same
// canal, since the softer file bends more sharply there (three to eight times read, Shen 2011), and a
// third of a bend stays in the hand (from memory, low certainty); life at 37 °C 0.37 of that at 20 °C (Vieira
// 2020), hence 0.058 a kelvin. Checked by TestAlloyOrder (S9), TestTreatedLife (F12), TestTemperature (F11).
func HeatTreated() Alloy {
	return Alloy{
		Name: "heat-treated", Modulus: 28000, Shear: 10500, Yield: 250, PlateauSlope: 0.05, FullStrain: 0.06, FinalSlope: 0.5,
		SetSlope: 0.3, ShearUltimate: 950, FatigueStrain: 3.2, FatigueExponent: -0.5, Warmth: 0.058, Reverse: 1,
	}
}
