package treatment

// Departure is one place where the model is not the mouth, on purpose.
type Departure struct {
	Text     string // what is left out or simplified, and what follows
	Constant string // the number that stands for it, "" none
	File     string // where that number or rule is
}

// Departures lists where shaping departs from the mouth, each with its constant and file. The same list stands
// in DEVELOPERS.md, chapter 6, and is printed by "tugback model". Checked by TestDeparturesAreTold.
func Departures() []Departure {
	return []Departure{
		{"A canal wall is a spring that never breaks; a point contact spreads over some tenths of a millimetre.", "WallStiffness 400 N/mm²", "internal/mechanics/constants.go"},
		{"How much a stroke cuts is tuned: no paper gives a wear constant. Directions and ratios are computed. Filing sideways is slow: the published loss of the furcal wall (41 and 56 %) takes 300 strokes a size at 1.5 N here, 50 strokes at 2 N take 15 and 23 %.", "Wear 0.6, TipWear 10", "internal/mechanics/constants.go"},
		{"A stroke cuts at most half of its present interference, so in strokes with long slides the wall's spring limits the cut and not the wear constant. A load that the hand holds sideways follows the wall and is not so limited; it cuts a groove an eighth of the file's circumference wide.", "slideCutShare 0.5", "internal/mechanics/constants.go"},
		{"Friction of a turned file along its axis falls by a formula of our own.", "TurnTravel 0.1 mm, TurnLeast 0.15", "internal/mechanics/constants.go"},
		{"A tip rides a wall up to a slope, less when its point has dug in. Forced, it is pressed in by the normal share of the push, but never by more than bends it aside; so force alone seldom makes a ledge, skipped sizes and stiff files do, and force moves the apex.", "RideLimit 0.54, GuideLimit 1.2", "internal/mechanics/tip.go"},
		{"A tip at a face digs in proportion to what is left of the push.", "GougeShare 0.1, GougeStep 0.02 mm", "internal/mechanics/drill.go"},
		{"A tip stopped by a narrow place drills at most ReamStep ahead a stroke, as far as its turning pays for; a push-pull file rasps it only at the end of its way in.", "ReamStep 0.3 mm", "internal/mechanics/drill.go"},
		{"A driven file advances by cutting half of its interference a stroke, so it takes some hundred turns to length where 10 to 21 are reported (Peters 2003, from memory); torque, force and what is cut are held against published figures, the number of turns is not.", "slideCutShare 0.5, Feed 0.1 mm", "internal/mechanics/constants.go"},
		{"NiTi is taken at a quarter to a fifth of steel's modulus, as files were measured, not at the 83 GPa of austenite: a file's first bend is already softer. Hysteresis is left out.", "NiTi 44 GPa", "internal/mechanics/alloy.go"},
		{"Warmth shortens fatigue life by an exponential; plateau and modulus do not rise with it.", "Warmth 0.04 and 0.058 a kelvin", "internal/mechanics/alloy.go"},
		{"Reciprocation is counted by its geometry: a net turn costs a file what a turn of rotation costs, and the swings come on top. Published gains per net turn are not reproduced; the published order of times comes from the time that reversals take, and against rotation holds at one speed of the edge, the default.", "flexing, reversal 0.024 s", "internal/mechanics/motion.go"},
		{"A lift bends a file once a stroke by half the change of curvature between its two places, taken from the seated shape.", "tire", "internal/mechanics/fatigue.go"},
		{"The permanent set of a steel file is kept in the hand's frame: it lies in the canal's curve while the file is wound to and fro, less so the more each stroke leaves it turned on, and is ignored from a quarter turn on.", "keepsSet", "internal/mechanics/motion.go"},
		{"Turned against its helix, a steel file breaks after a quarter of the angle; how small it is was not read.", "Reverse 0.25", "internal/mechanics/alloy.go"},
		{"Flutes that cut keep half of a thread's pull. It is told, and does not drive the file.", "ScrewShare 0.5", "internal/mechanics/torque.go"},
		{"Convex triangular rotary sections are taken as their round core.", "Core 0.16", "internal/treatment/catalogue.go"},
		{"Compression along a bent file is not pressed against the outer wall.", "", "internal/mechanics/push.go"},
		{"Straightening is Schneider's angle on fixed stations: where the canal leaves its coronal part untouched, and the last millimetre prepared.", "", "internal/treatment/straightening.go"},
		{"Length is that of a size 10 steel file lying in the canal before and after.", "scoutSize", "internal/treatment/walls.go"},
		{"A fragment comes out or is passed by a chance, in specialists' hands; the way to it is cut from straight above.", "RemovalSkill 1", "internal/treatment/fragment.go"},
		{"Shavings are one number a station; what goes ahead of the tip is a share by motion.", "apicalShare", "internal/treatment/debris.go"},
	}
}
