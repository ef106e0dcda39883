package mechanics

import "math"

// PressureDrop returns the pressure (MPa) that drives a laminar flow through a straight needle:
//
//	Δp = 128·μ·L·Q / (π·d⁴)
//
// flow Q in mm³/s, viscosity μ in MPa·s (1 mPa·s = 1e-9), length L and bore d in mm, > 0. Exact for
// developed laminar pipe flow; entrance, hub and plunger losses are left out and Reynolds must stay below
// about 2300. Source: Hagen–Poiseuille. Checked by TestNeedle (P1, P2).
func PressureDrop(flow, viscosity, length, bore float64) float64 {
	return 128 * viscosity * length * flow / (math.Pi * (bore * bore * bore * bore))
}

// Reynolds returns the Reynolds number 4Q/(π·d·ν) of a flow Q (mm³/s) through a bore d (mm) of a liquid
// with kinematic viscosity ν (mm²/s), without unit. Laminar below about 2300. Checked by TestNeedle (P3).
func Reynolds(flow, bore, kinematic float64) float64 {
	return 4 * flow / (math.Pi * bore * kinematic)
}
