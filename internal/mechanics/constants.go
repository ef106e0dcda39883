package mechanics

import "math"

// Numbers that belong to the method rather than to the tooth.
const (
	pointRadius     = 0.01  // mm: a tip's point
	forceTolerance  = 1e-9  // N: largest unbalanced force at a station of a converged solve, beside rounding
	roundingShare   = 4e-15 // of EI/h³, N: what rounding leaves of it: 16 half units in the last place a mm, for 2 mm
	maxIterations   = 60    // Newton steps of one solve; never reached in the tests
	maxBacktracks   = 12    // line search steps of one Newton step
	coarseSteps     = 4     // steps of a problem to one of the coarse problem that gives its first guess
	coarseForce     = 0.03  // N: largest unbalanced force at a station of it
	freeGap         = 1e6   // mm: gap where there is no wall
	minStations     = 4     // shorter contact problems are not solved: the file is outside
	leapLength      = 4.0   // mm: longest advance tried at once
	leapTurn        = 0.06  // rad: most the axis may turn within one trial advance
	jumpSlope       = 0.3   // inward slope of a wall, mm/mm, before which a trial advance stops to look
	guideLength     = 0.5   // mm below the orifice down to which the hand leads a tip in
	guidePlay       = 0.2   // mm of play across the canal below which a file cannot bow out under load
	passTolerance   = 1e-5  // mm by which an opening may fall short of a tip that has just cut it
	nearAdvance     = 0.02  // mm: a smaller advance is not tried
	workTight       = 0.7   // share of the push from which on a working file counts as seated
	workAim         = 0.9   // share of the push that its trial depths aim at
	slideTight      = 0.95  // the same for a sliding one, which is to be placed exactly
	slideAim        = 0.98
	insertTrials    = 40    // trial depths of a first stroke
	workTrials      = 2     // trial depths of a further stroke
	imposedStrokes  = 20    // strokes after which the bending that tires a bent file is solved anew
	imposedStations = 10    // the same for the stations it has gone on
	looseForce      = 0.05  // N: a contact force below it does not support the file against buckling
	leastOverhang   = 0.5   // mm: shortest free tip that bends aside
	slideCutShare   = 0.5   // most that a stroke cuts of the present interference
	fullBite        = 0.2   // share of its cone's length at which a point is dug in
	throughDepth    = 0.01  // mm past the surface to which a wall is cut where it is through
	leastFiled      = 1e-15 // mm² of a filed section that are rounding
	fatigueFloor    = 5e-4  // strain amplitude below which a stroke is not counted (N > 5 million for NiTi)
	fullTurn        = 2 * math.Pi
	quarterArc      = math.Pi / 2
)

// Tuning holds the numbers of the model that no source fixes or that were tuned. They are held by a
// Worker, so that a test can show that a change of any is noticed.
type Tuning struct {
	// WallStiffness is the reaction of a wall per mm of length and mm of interference, N/mm². Chosen, not
	// measured: the bending sketches that preceded this package needed about 400. Higher: sharper contacts.
	WallStiffness float64
	// Regularisation holds a file that touches nothing near the axis, N/mm². Small against every contact:
	// 15 mm of a loose file 0.3 mm off the axis feels 0.005 N.
	Regularisation float64
	// Friction is the coefficient of a wet canal wall on metal, and the default of Hand.Friction. No source
	// (gap of the facts); metal on wet dentine or bone 0.1–0.3 from memory.
	Friction float64
	// TurnTravel is the axial travel (mm) of a hand stroke against which its turning is compared: friction
	// points against the motion, so a turned file feels little of it along its axis. Chosen.
	TurnTravel float64
	// TurnLeast is the least share of friction left along the axis of a turned file. Chosen.
	TurnLeast float64
	// Wear is the coefficient k of V = k·F·s/H for the flutes of a steel K-type file. Tuned on: a file a size
	// larger than the canal is loose at length after 8–60 strokes at 2–3 N (common practice, no source),
	// steel 30–40 transports 0.1–0.5 mm and NiTi at most 0.40 mm at the apex (the project's table of published numbers, anatomy 3.2).
	// Half or twice the value fails those checks, 20 % more or less does not: the rows are no finer. Cutting
	// energy gives the order: k = μ·H/u = 0.5·840/u, u some 100–1000 MPa for hard tissue (from memory).
	Wear float64
	// TipWear is the same for the tip, which drills rather than scrapes. Chosen: a size 25 opens 1 mm of a place
	// 0.07 mm too narrow in about ten strokes at 2 N; values from 4 to 20 pass every check.
	TipWear float64
	// Hardness H of root dentine, MPa: nano-indentation 0.84 GPa (Cheron 2011, J Endod 37:1562).
	Hardness float64
	// CutFriction is the tangential share of a contact force on a turning file: friction and cutting. No
	// source; with it shaping torque lies in the published band of 2–32 N·mm for rotary files.
	CutFriction float64
	// ScrewShare is the share of a thread's pull that cutting flutes keep: they cut free what would hold
	// them. Chosen; direction only is published (larger section, larger pull: Ha 2016).
	ScrewShare float64
	// TwistYield is the share of the torsional strength at which a file begins to unwind. Common practice:
	// torque limits are set at 50–75 % of the strength.
	TwistYield float64
	// RideLimit is the largest slope (tangent) of a wall against a cutting tip's path that the tip still
	// rides once its point has dug in; one that has not, or a smooth guiding tip, rides to GuideLimit. See
	// Worker.face. Tuned on: steel 25–40 meets a face
	// at 40°/5 mm and 55°/3 mm and reaches length in gentle bends; steel 10–15 and NiTi reach it in all.
	// Values from 0.50 to 0.70 pass those checks, 0.48 does not.
	RideLimit, GuideLimit float64
	// FilingReach is how much farther from the wall (mm) than its closest place a file pressed sideways may
	// be and still be pressed on, by bending under the hand. Chosen.
	FilingReach float64
	// Feed is how far a file can follow up in half a turn, mm: 0.2 mm a turn is 1 mm/s at 300 rpm, the usual
	// pecking speed (the project's table of published numbers, instruments 3.5).
	Feed float64
	// ReamStep is the most a tip drills forward in a narrow place in one stroke, mm. Chosen.
	ReamStep float64
	// GougeShare is how well a point cuts that digs into a face, against flutes that scrape along a wall: its
	// shavings have nowhere to go. Chosen: 3 N dig about 0.006 mm a stroke, a ledge of a tenth of a millimetre
	// in some fifteen. GougeStep is the most it digs in one stroke, mm. Chosen.
	GougeShare, GougeStep float64
	// Dulling is the edge lost per N·mm of friction work of a steel edge. No figure is published for steel
	// (that it blunts is); NiTi lost nothing in ten uses (Gambarini 2014), so it does not blunt here.
	Dulling float64
}

// DefaultTuning returns the tuning of the engine.
func DefaultTuning() Tuning {
	return Tuning{
		WallStiffness: 400, Regularisation: 1e-3,
		Friction: 0.2, TurnTravel: 0.1, TurnLeast: 0.15,
		Wear: 0.6, TipWear: 10, Hardness: 840, CutFriction: 0.4, ScrewShare: 0.5, TwistYield: 0.7,
		RideLimit: 0.54, GuideLimit: 1.2,
		FilingReach: 0.1, Feed: 0.1, ReamStep: 0.3, GougeShare: 0.1, GougeStep: 0.02, Dulling: 1e-4,
	}
}
