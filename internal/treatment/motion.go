package treatment

import (
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/mechanics"
)

// motionOf turns an action's words into a motion. Angles given in the action replace the defaults of
// the motion: watch-winding 30–60° each way, quarter-turn-pull 90°, reaming 180–360°, balanced force
// clockwise up to 180° and back at least 120° (Roane 1985, J Endod 11:203), reciprocation 150°/30°,
// continuous rotation and reciprocation half a second a stroke.
func motionOf(a Action, furcal int) mechanics.Motion {
	m := defaultMotion(a.Motion)
	if a.Forward > 0 {
		m.Forward = radians(float64(a.Forward) / 10)
	}
	if a.Back > 0 {
		m.Back = radians(float64(a.Back) / 10)
	}
	if a.Lift > 0 {
		m.Lift = float64(a.Lift) / 1000
	}
	switch a.Motion {
	case "rotation":
		m.Forward = float64(rpm(a)*math.Pi) / 60 // half a second: rpm/60 · 2π · 0.5
	case "reciprocation":
		m.Swings = 0.5 / m.Swing(rpm(a)) // in half a second
	}
	m.Press = float64(a.Press) / 1000
	m.Favour = favour(a, furcal)
	return m
}

// Turns returns how far a motion turns forward and back when an action does not say, in tenths of a degree, 0 where
// it does not turn or where the motor's speed decides. It panics for a word that is no motion.
func Turns(motion string) (forward, back int) {
	m := defaultMotion(motion)
	return int(math.RoundToEven(10 * degrees(m.Forward))), int(math.RoundToEven(10 * degrees(m.Back)))
}

// rpm returns the speed a motor is set to, rpm: as given, else 300 for rotation. For reciprocation, whose swings
// are that much faster than the setting (mechanics.SwingSpeed), it is the setting at which they run at that 300, so
// that the two are compared at one speed of the edge. Checked by TestReciprocationByDefault (F10).
func rpm(a Action) float64 {
	switch {
	case a.Speed != 0:
		return float64(a.Speed)
	case a.Motion == "reciprocation":
		return 300 / mechanics.SwingSpeed
	}
	return 300
}

func defaultMotion(word string) mechanics.Motion {
	switch word {
	case "watch-winding":
		return mechanics.Motion{Kind: mechanics.WatchWinding, Forward: radians(45), Back: radians(45)}
	case "quarter-turn-pull":
		return mechanics.Motion{Kind: mechanics.QuarterTurnPull, Forward: radians(90), Lift: 1}
	case "reaming":
		return mechanics.Motion{Kind: mechanics.Reaming, Forward: radians(270)}
	case "balanced-force":
		return mechanics.Motion{Kind: mechanics.BalancedForce, Forward: radians(90), Back: radians(180)}
	case "push-pull":
		return mechanics.Motion{Kind: mechanics.PushPull, Lift: 1.5}
	case "circumferential":
		return mechanics.Motion{Kind: mechanics.Circumferential, Lift: 1.5}
	case "anticurvature":
		return mechanics.Motion{Kind: mechanics.Anticurvature, Lift: 1.5}
	case "brushing":
		return mechanics.Motion{Kind: mechanics.Brushing, Lift: 2, Forward: radians(360)}
	case "pecking":
		return mechanics.Motion{Kind: mechanics.Pecking, Lift: 2, Forward: radians(360)}
	case "rotation":
		return mechanics.Motion{Kind: mechanics.Rotation, Lift: 1}
	case "reciprocation":
		return mechanics.Motion{Kind: mechanics.Reciprocation, Forward: radians(150), Back: radians(30), Lift: 0.5}
	}
	panic("treatment: no motion " + word)
}

// favour shares a sideways load over the walls: the wall named, else evenly; anticurvature filing gives
// the furcal wall one stroke for three on each other wall (Lim & Stock 1987).
func favour(a Action, furcal int) [4]float64 {
	if a.Press == 0 {
		return [4]float64{}
	}
	if side := wallSide(a.Wall); side >= 0 {
		var f [4]float64
		f[side] = 1
		return f
	}
	f := [4]float64{0.25, 0.25, 0.25, 0.25}
	if a.Motion == "anticurvature" && furcal >= 0 {
		f = [4]float64{0.3, 0.3, 0.3, 0.3}
		f[furcal] = 0.1
	}
	return f
}

// furcalSide returns the wall of a canal that faces the furcation, of a block's the inside of its bend, −1 without
// one.
func furcalSide(tooth *anatomy.Tooth, canal int) int {
	switch {
	case tooth.Kind == blockKind:
		return 1
	case !tooth.Furcated:
		return -1
	}
	if tooth.Canals[canal].Axis[0].Point.X < tooth.Furcation.X {
		return 1
	}
	return 0
}

// strokeMs is the time one stroke takes: half a second by motor, a second by hand.
func strokeMs(i Instrument) int {
	if i.Powered {
		return 500
	}
	return 1000
}
