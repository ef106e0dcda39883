package mechanics

import (
	"math"

	"tugback/internal/detmath"
)

// MotionKind names how the hand moves.
type MotionKind int

// The motions. Sliding neither turns nor files: cones, gauging, a probe.
const (
	WatchWinding MotionKind = iota
	QuarterTurnPull
	Reaming
	BalancedForce
	PushPull
	Circumferential
	Anticurvature
	Brushing
	Pecking
	Rotation
	Reciprocation
	Sliding
)

// Motion is one stroke of a motion: one cycle of the hand, or what a motor does while the hand pushes once.
type Motion struct {
	Kind    MotionKind
	Forward float64    // rad turned in the cutting (clockwise) direction per stroke, ≥ 0
	Back    float64    // rad turned back, ≥ 0
	Swings  float64    // how often it turns forward and back in a stroke; 0: once
	Lift    float64    // mm drawn out and put back, ≥ 0
	Press   float64    // N of deliberate sideways load (filing, brushing), ≥ 0
	Favour  [4]float64 // shares of Press given to the walls, sum 1 (zero: none)
}

// Hand is what drives a stroke.
type Hand struct {
	Motion      Motion
	Push        float64 // N along the axis, ≥ 0
	Stop        float64 // mm, the depth at which the stop touches the reference point
	Friction    float64 // wall friction (0: default), lower when wet
	TorqueLimit float64 // N·mm of a motor, 0 none
	Sheathed    bool    // a rod so soft that the canal itself keeps it from bowing out: it buckles above the orifice only
}

// swings returns how often a stroke turns forward and back.
func (m Motion) swings() float64 {
	if m.Swings > 0 {
		return m.Swings
	}
	return 1
}

// turned returns the whole angle turned in a stroke, rad.
func (m Motion) turned() float64 { return m.swings() * (m.Forward + m.Back) }

// SwingSpeed is how many times faster than its setting a reciprocating motor swings, and reversal the time that each
// of its reversals costs beside, s. Both derived from two motors filmed at high speed (frame-to-frame analysis, Image Anal
// Stereol, ias-iss.org 2335): 186° and 65° at mean speeds of 428 and 261 rpm, 191° and 70° at 524 and 316 rpm
// solve to 653 rpm and 24.9 ms (set to 300 rpm) and to 845 rpm and 23.1 ms (set to 350 rpm, both settings from
// memory).
const (
	SwingSpeed = 2.3
	reversal   = 0.024
)

// Swing returns the time a reciprocating motor set to a speed (rpm, > 0) takes to turn forward and back, s:
//
//	t = (Forward + Back)/(SwingSpeed·2π·speed/60) + 2·reversal
//
// Checked by TestSwing, TestReciprocationOrder (F10).
func (m Motion) Swing(speed float64) float64 {
	return (m.Forward+m.Back)/(SwingSpeed*fullTurn*speed/60) + 2*reversal
}

// keepsSet returns the share of a file's permanent set that still lies in the canal's curve when it is moved so:
// all of it while it is wound to and fro or slid, cos φ where every stroke leaves it turned on by φ, none from a
// quarter of a turn on, since it points another way each time and the canal bends the file anew. Checked by
// TestTurnedSet.
func (m Motion) keepsSet() float64 {
	net := m.swings() * math.Abs(m.Forward-m.Back)
	if net >= quarterArc {
		return 0
	}
	return detmath.Cos(net)
}

// drawing returns the angle by which a hand's stroke turns threads into the wall, rad: what it turns clockwise beyond
// what it turns back, which unscrews it (balanced force, watch-winding). A handpiece is held back, so a motor's file is
// not drawn in.
func (m Motion) drawing() float64 {
	switch m.Kind {
	case WatchWinding, QuarterTurnPull, Reaming, BalancedForce:
		return math.Max(0, m.Forward-m.Back)
	default:
		return 0
	}
}

// edges are the cutting efficiencies of a motion's four movements, 1 = the edge cuts as ground.
type edges struct{ forward, back, in, out float64 }

// cutting returns how well the movements of a motion cut. Turning: clockwise cuts; counter-clockwise cuts
// under push only in the balanced force and where a reciprocating file's long swing is its cutting one
// (Forward is the cutting direction by definition); filing cuts on the outstroke. Direction from
// the project's table of published numbers, instruments 4.1; the shares are chosen.
func (m Motion) cutting() edges {
	switch m.Kind {
	case BalancedForce:
		return edges{forward: 0.3, back: 1, in: 0.2, out: 0.5}
	case QuarterTurnPull:
		return edges{forward: 0.6, back: 0.2, in: 0.2, out: 1}
	case PushPull, Circumferential, Anticurvature, Brushing:
		return edges{forward: 0.5, back: 0.2, in: 0.3, out: 1}
	case WatchWinding:
		return edges{forward: 1, back: 0.5, in: 0.3, out: 0.6}
	case Sliding:
		return edges{}
	default: // reaming, pecking and the motors
		return edges{forward: 1, back: 0.3, in: 0.3, out: 0.5}
	}
}

// flexing returns how one swing bends a fibre of a file that is curved: whole turns at full range, and a
// to and fro whose strain amplitude is the given share of full range.
//
//	turns = |Forward − Back| / 2π;  share = sin(min(Forward, Back)/2), or of what is turned if only one way
//
// A fibre at angle θ of a file of fibre strain ε carries ε·cos θ; swinging by φ < π changes it at most by
// 2ε·sin(φ/2). In a file that turns on, the swing meets a fibre anywhere, which halves the mean square:
// share is then divided by √2. Checked by TestFlexing.
func (m Motion) flexing() (turns, share float64) {
	net := math.Abs(m.Forward - m.Back)
	swing := math.Min(m.Forward, m.Back)
	if net < fullTurn && swing == 0 {
		return 0, halfSine(net)
	}
	share = halfSine(swing)
	if net > 1e-9 {
		share /= math.Sqrt2
	}
	return net / fullTurn, share
}
