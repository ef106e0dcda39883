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

// laminarLimit is the Reynolds number up to which pipe flow is taken for laminar.
const laminarLimit = 2300

// Liquid is what flows: Viscosity in MPa·s (1 mPa·s = 1e-9) and Density in kg/m³.
type Liquid struct{ Viscosity, Density float64 }

// kinematic returns the kinematic viscosity, mm²/s.
func (l Liquid) kinematic() float64 { return l.Viscosity / l.Density * 1e12 }

// Loss returns the pressure (Pa) lost by a flow (mm³/s) along a straight needle of a length and a bore
// (mm, > 0): Hagen–Poiseuille up to Reynolds 2300, the friction factor of Blasius (0.316/Re^¼) above,
// whichever is larger there. Hub, inlet and plunger are left out. Checked by TestNeedleLoss (P1–P4).
func (l Liquid) Loss(flow, length, bore float64) float64 {
	laminar := 1e6 * PressureDrop(flow, l.Viscosity, length, bore)
	re := Reynolds(flow, bore, l.kinematic())
	if re <= laminarLimit {
		return laminar
	}
	friction := 0.316 / math.Sqrt(math.Sqrt(re))
	return math.Max(laminar, friction*length/bore*l.Stagnation(flow, bore))
}

// Stagnation returns the pressure (Pa) of a jet of a flow (mm³/s) from a bore (mm) brought to rest:
// ½·ρ·v². Checked by TestNeedleLoss.
func (l Liquid) Stagnation(flow, bore float64) float64 {
	v := flow / (math.Pi / 4 * bore * bore) / 1000 // m/s
	return 0.5 * l.Density * v * v
}

// FlowAt returns the flow (mm³/s) that a pressure (Pa) keeps up along a needle, by bisection of Loss
// to a millionth of the given upper bound. Checked by TestNeedleLoss.
func (l Liquid) FlowAt(pressure, length, bore, most float64) float64 {
	if l.Loss(most, length, bore) <= pressure {
		return most
	}
	low, high := 0.0, most
	for range 30 {
		middle := 0.5 * (low + high)
		if l.Loss(middle, length, bore) > pressure {
			high = middle
		} else {
			low = middle
		}
	}
	return low
}

// Return returns the pressure (Pa) needed to drive a flow (mm³/s) back through the ring between a needle
// (outer diameter, mm) and a canal, given the ring's mean widths (mm) station by station and the station
// spacing (mm):
//
//	Δp = Σ 12·μ·Q·Δs / (π·D·h³·(1 + 1.5·e²))
//
// with eccentricity e = 1, since a needle leans on the wall (2.5 times the flow of a centred one). Thin
// ring; widths below 2 µm count as 2 µm. Source: laminar flow in an eccentric narrow annulus, standard
// lubrication theory (from memory, high certainty). Checked by TestReturn.
func (l Liquid) Return(flow, outer float64, gaps []float64, step float64) float64 {
	sum := 0.0
	for _, h := range gaps {
		h = math.Max(h, 0.002)
		sum += float64(step / (math.Pi * (outer + h) * h * h * h))
	}
	return 1e6 * 12 * l.Viscosity * flow * sum / 2.5
}
