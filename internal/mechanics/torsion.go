package mechanics

// Torsion is the outcome of a bench test in torsion.
type Torsion struct {
	Torque  float64 // N·mm at fracture
	Unwinds float64 // rad at which the flutes begin to unwind
	Angle   float64 // rad at fracture
}

// TorsionTest returns what a rod bears that is gripped grip mm behind its tip and turned at its handle until it
// breaks there, with its helix or backwards. Up to Tuning.TwistYield of the strength at the grip it winds up
// elastically:
//
//	φ = T · ∫ ds / (G·J)
//
// From there to fracture it bears one turn more, of which steel turned backwards bears only Alloy.Reverse: the
// law of a stroke whose tip is bound. Checked by TestTorsionTest (D9, F18).
func TorsionTest(rod *Rod, grip float64, backwards bool) Torsion {
	strength := rod.at(rod.TorsionStrength, grip)
	knee := float64(DefaultTuning().TwistYield * strength)
	give := rod.at(rod.windup, rod.Blank.Length) - rod.at(rod.windup, grip)
	plastic := fullTurn
	if reverse := rod.Blank.Alloy.Reverse; backwards && reverse > 0 {
		plastic *= reverse
	}
	unwinds := float64(knee * give)
	return Torsion{Torque: strength, Unwinds: unwinds, Angle: unwinds + plastic}
}
