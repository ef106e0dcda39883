// Package treatment is the case under treatment: a tooth, the actions that may be done to it, what each
// of them changes, and what came of it.
//
// The main idea: a Case (tooth, seed, settings) starts a State; Step takes a state and one Action and
// returns a new state and the Events that happened, leaving its argument untouched; Measure turns a
// state into an Outcome of named metrics. Nothing but the actions changes a state, time included, so a
// list of actions is a complete record and re-running it gives the same bits on every target.
//
// Units: mm, N, N·mm, MPa, s and rad inside; actions carry integers (µm, mN, µl, ms, tenths of a
// degree). Lengths run from the crown to the apex and are read at the reference point; "level" is the
// distance from the foramen. The package knows no file format and no rule of marking. Begin reading at
// Step in step.go, then work.go for shaping.
package treatment

import (
	"tugback/internal/anatomy"
	"tugback/internal/mechanics"
)

// Engine is the version of the engine. A record made by another version is not re-run; any change that
// alters a digest of a replay raises it.
const Engine = "3"

// Settings are the instructor's parameters: conventions on which schools or papers differ.
// DefaultSettings holds the sourced defaults.
type Settings struct {
	LedgeStep       float64 // mm a wall must step in for it to count as a ledge
	StripThickness  float64 // mm of dentine left below which a wall is called at risk of a strip
	LooseShare      float64 // a file is loose at length when resistance is below this share of the push
	LengthShort     float64 // mm short of the foramen of the ideal working length
	LocatorError    float64 // mm, standard deviation of a good reading
	FilmError       float64 // mm, standard deviation of reading a film
	ExtrusionLimit  float64 // Pa at the foramen above which irrigant is pushed out
	FatigueScatter  float64 // standard deviation of ln(life of one piece / median)
	StrengthScatter float64 // standard deviation of torsional strength / nominal
	UsedLife        float64 // mean share of its life that a file has spent in earlier teeth, 0 new … 0.45
	SizeScatter     float64 // mm, standard deviation of a piece's diameter, cut off at the standard's tolerance
	TransportLimit  float64 // mm of transportation in the apical 3 mm above which it is told
	WornLimit       float64 // mm of difference between opposite cuts from which wear is told
	ZipWidth        float64 // mm by which the apex is wider than the elbow above it
	ForamenLimit    float64 // mm that the foramen is torn or moved
	StraightenLimit float64 // rad of Schneider's angle lost
	RiskShare       float64 // share of fatigue life or torque strength from which a risk is told
	RemovalSkill    float64 // of a specialist's chance to remove or pass a fragment
	Temperature     float64 // °C in the canal
	BreakageDrawn   bool    // the seed decides when a piece breaks; false: at the median
	Around          Parameters
}

// Case is a case before anything was done. It is never changed.
type Case struct {
	Scenario   string // name
	Digest     string // of the scenario's canonical content, set by package scenario
	Seed       uint64
	Number     int // tooth number, ISO 3950
	Tooth      *anatomy.Tooth
	Vital      bool     // vital inflamed pulp (bleeds) or necrotic
	Lesion     bool     // periapical radiolucency
	Tray       []string // catalogue ids on offer; empty: the whole catalogue
	Difficulty string   // low, moderate, high: the class the findings add up to
	Settings   Settings
	Findings   Findings
}

// State is the case at one moment.
type State struct {
	Case          *Case  `digest:"-"`
	Done          int    // actions done
	Elapsed       int    // ms
	Judged        string // choice made, "" not yet
	Rated         string // difficulty stated
	Referred      bool
	Isolated      int // tooth number under the dam, 0 none
	LeakTest      bool
	IsolatedFirst bool // the dam was on the right tooth before the chamber was opened
	Access        Access
	Pulp          float64 // share of chamber pulp left, bleeding while > 0 and vital
	Canals        []CanalState
	Tools         []ToolState // in order of first use
	Temporary     float64     // mm thickness, 0 none
	Barrier       float64     // mm
	CutBack       float64     // mm below the orifice
	Sealed        bool
	Restoration   string
	RestoreDays   int
	ReviewDays    int
	Reports       []string // mishaps reported
	Mishaps       []string // mishaps that happened and want reporting
	Recalled      string   // what the recall film showed: healed, uncertain, failed
	Decided       string   // what followed from it
	PostLeaves    float64  // mm of filling left below a post, 0 no post
	Bond          string   // of the orifice barrier: bonded, spoiled, "" not bonded
	CuspCut       float64  // mm taken off the reference cusp
	RecallDays    int      // d, the last recall
	HoleChoice    string   // what was decided on a perforation: refer, repair, leave
	HolesClosed   bool     // perforations were repaired
	Holes         Holes
	Covered       float64 // mm, thickness of the last temporary filling
	Days          int     // d between the visits
	Bare          int     // actions in the canals without the dam on the tooth
	BareVisit     bool    // it was told in this visit
	FirstFilm     bool    // a film was taken before the tooth was opened
	Exam          Examination
	Held          Held
	Films         int
	Drawn         []Drawn // what chance has decided so far
}

// Access is the cavity cut through the crown.
type Access struct {
	Opened      bool
	Depth       float64    // from the reference cusp
	Extent      [4]float64 // mesial, distal, buccal, lingual from the tooth's axis at the chamber roof
	Deroofed    bool
	Roof        float64    // share of the roof left
	FloorCut    float64    // mm cut into the floor
	Through     bool       // the floor was perforated
	DentineLost float64    // mm³ beyond the least opening
	Bottom      [4]float64 // the same at the depth, displaced by the bur's direction
	WallLeft    float64    // mm, thinnest wall round the cavity, 0 not drilled
	Sideways    bool       // a wall of the crown or root trunk was perforated
	SideWall    int        // wall of it, 0–3
	SideAt      float64    // height of that hole, mm above the cemento-enamel junction
	Horns       int        // horns left under the opening's edge
	Trimmed     bool       // metal cut back from the opening
}

// CanalState is one canal as it is now. Slices run over the stations of Space, which begins at the
// level of the reference point.
type CanalState struct {
	Name        string
	Found       bool
	Space       mechanics.Space // walls as they are now
	First       [4][]float64    // walls as grown (access part: as first opened)
	Debris      []float64       // packed shavings, share of the section filled, per station
	Tissue      []float64       // share of pulp tissue left
	Smear       []float64       // share of smear layer, 0 none
	Flora       []float64       // share of the starting bacteria left
	Erosion     []float64       // 0 none … 1 strong
	Wet         float64         // mm³ of liquid left
	Liquid      string          // irrigant standing in the canal
	Strength    float64         // its concentration, %
	Chlorine    float64         // free chlorine left in the standing liquid, %
	Precipitate bool
	Length      float64 // working length written down by the student, mm, 0 none
	Reading     float64 // last reading, mm
	Deepest     float64 // deepest tip so far, mm
	DeepestNow  float64 // deepest a size-10 probe would pass at the last try
	Patent      bool
	Blocked     bool
	Fragment    *Fragment
	Perforation *Perforation
	Passed      float64 // mm the largest instrument went past the foramen
	Extruded    float64 // mm³ of debris pushed past the foramen
	Escaped     float64 // ml of irrigant pushed past the foramen
	Rinsed      float64 // ml of NaOCl used
	Since       int     // shaping actions since the last rinse
	Gauged      int     // apical size found by gauging, ISO, 0 none
	Last        int     // largest size that reached the working length, ISO
	Dressing    string
	DressDays   int
	Cone        MasterCone
	Fill        Filling
	Feel        Feel // of the instrument that worked in it last
	Care        CareState
}

// Fragment is a piece of an instrument left in a canal.
type Fragment struct {
	Item   string
	Tip    float64 // mm, arc length of its apical end
	Length float64
	Passed bool // a way beside it is open
	Left   bool // it was decided to leave it
}

// Perforation is a hole through a wall.
type Perforation struct {
	S    float64 // arc length
	Wall int
	Kind string // strip, apical, floor
}

// MasterCone is the cone tried last.
type MasterCone struct {
	Item     string
	Tip      float64 // mm, where its tip stands
	Grip     float64 // N
	Trim     float64 // mm cut off
	Made     float64 // mm at its tip, as it came out of the box
	Diameter float64 // mm at its tip, as it is
	Taper    float64
}

// Filling is the root filling.
type Filling struct {
	Technique, Sealer string
	Tip               float64   // mm, apical end
	Beyond            float64   // mm³ pushed past the foramen
	Solid             []float64 // share of each station's section filled by the core
	Paste             []float64 // by sealer; the rest is void
}

// ToolState is one instrument in use.
type ToolState struct {
	Item   string
	Tool   mechanics.Tool
	Canals int    // canals it has worked in
	In     string // canal it worked in last
	Broken bool
	Peak   float64 // largest fibre strain so far
	Torque float64 // largest torque share so far
	Off    float64 // mm by which this piece's diameters differ from nominal
}

// Event is something that happened during an action.
type Event struct {
	Action int       `json:"action"` // index of the action, from 0
	At     int       `json:"at_ms"`
	Kind   EventKind `json:"kind"`
	Canal  string    `json:"canal,omitempty"`
	Item   string    `json:"item,omitempty"`
	Wall   string    `json:"wall,omitempty"`
	Level  float64   `json:"level_mm"` // from the foramen; 0 where it has no place
	Value  float64   `json:"value"`
	Unit   string    `json:"unit,omitempty"`
	Force  float64   `json:"force_N,omitempty"`
	Detail string    `json:"detail,omitempty"` // one word that says which
}

// EventKind names a kind of event; EventKinds lists them with what Value means.
type EventKind string

// Metric is one measured figure of an outcome.
type Metric struct {
	Name  string  `json:"name"`
	Canal string  `json:"canal,omitempty"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Outcome is a state as figures, in the order of MetricTable, tooth first, then canal by canal.
type Outcome struct {
	Metrics []Metric `json:"metrics"`
}

// Definition documents one metric.
type Definition struct {
	Name      string
	Unit      string
	PerCanal  bool
	Low, High float64 // range it can take
	Text      string  // what it is, with its zero and sign
	Source    string
}
