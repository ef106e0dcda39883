package bench

import (
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// Page is what a screen shows, as plain data: two columns, what stands between them, and a foot.
type Page struct {
	Screen Screen
	Title  string // for the window and for people who cannot see it
	Left   []Block
	Centre Centre
	Act    []Block // pinned under the left column
	Right  []Block
	Tell   []Block // pinned under the right column
	Foot   []Block
}

// Centre is what stands in the middle of the sheet: a plate, cards, or text.
type Centre struct {
	Plate  *Scene
	Beside *Scene     // a second plate beside the first
	Names  [2]string  // of the two
	Film   *FilmScene // instead of a plate
	Cards  []Card
	Blocks []Block
	Clock  string       // lettered above the plate
	Zoom   float64      // how many times the plate is enlarged about At, 0 not
	At     geom.Point   // mm of the tooth
	Spot   *geom.Point  // place in hand, mm of the tooth or of the film; then it can be pointed at
	Marks  []geom.Point // marks of a measure, joined by lines
	Foot   string       // lettered under it
	Task   bool         // the foot is a task, which is shown whole
}

// Card is one case on the shelf.
type Card struct {
	Control Control
	Title   string
	Lines   []string
	Case    *treatment.Case
}

// BlockKind says how a block is set.
type BlockKind int

// The kinds of block.
const (
	Heading      BlockKind = iota // large serif
	Subhead                       // serif
	Text                          // sans, wrapped
	Quiet                         // sans, wrapped, quiet colour
	Said                          // serif italic, wrapped: what a colleague would say
	Warning                       // framed, in the colour of events
	Rule                          // hairline
	Gap                           // a little room
	Controls                      // one control a line
	Row                           // controls side by side, wrapped
	Curve                         // a graph
	LocatorScale                  // the scale of the apex locator
	Figures                       // up to three figures with their captions
	Pairs                         // lines of two texts: left and right
	FloorPlan                     // the crown from above
	SmallFilm                     // a film, small
	FeelStrip                     // what the hand feels, in bars and words
)

// Block is one piece of a column.
type Block struct {
	Kind     BlockKind
	Text     string
	Note     string // quiet text at the right of a subhead
	Controls []Control
	Graph    *Graph
	Scale    *Locator
	Pairs    [][2]string
	Plan     *Plan
	Film     *FilmScene
	Strip    *Strip
}

// ControlKind says how a control looks and what it takes.
type ControlKind int

// The kinds of control.
const (
	Button     ControlKind = iota // press
	Primary                       // press, framed, the main act
	Choice                        // adjust: one of several values
	Slider                        // adjust: a value in a range
	Toggle                        // press: on or off
	Pick                          // press: one line of a list
	Tab                           // press: one word of a row
	Instrument                    // press: one instrument of the tray
	StageLine                     // press: one stage of the procedure
	CardFace                      // press: a case on the shelf
	TimeLine                      // adjust: a moment of the treatment
)

// Control is something the student can operate.
type Control struct {
	ID       string
	Kind     ControlKind
	Label    string
	Value    string
	Detail   string // quiet, at the right
	Chosen   bool
	Done     bool
	Disabled bool
	Next     bool    // what a guided case asks for now
	Why      string  // why it is disabled
	Share    float64 // of a slider, 0 to 1
	Item     *treatment.Instrument
	Marks    []float64 // of a time line: shares at which something happened
	Pins     []float64 // of a time line: shares at which someone commented
}

// Spoken returns the control as a person would hear it.
func (c Control) Spoken() string {
	text := c.Label
	if c.Item != nil {
		text = instrumentName(*c.Item)
	}
	if c.Value != "" {
		text += ": " + c.Value
	}
	if c.Detail != "" {
		text += ", " + c.Detail
	}
	switch {
	case c.Disabled && c.Why != "":
		text += ", " + say("spoken.unavailable") + ": " + c.Why
	case c.Disabled:
		text += ", " + say("spoken.unavailable")
	case c.Next:
		text += ", " + say("spoken.next")
	case c.Chosen:
		text += ", " + say("spoken.chosen")
	case c.Done:
		text += ", " + say("spoken.done")
	}
	return text
}

// Graph is a curve block: lines over a range.
type Graph struct {
	Across, Up   string // what is drawn along and upwards, with unit
	Left, Right  float64
	Top          float64
	Bottom       float64
	Lines        []Line
	Marker       float64 // a place along, NaN none
	MarkerName   string  // lettered at it
	TicksX       []float64
	TicksY       []float64
	PlacesX      int
	PlacesY      int
	NoFigures    bool   // none upwards
	Empty        string // said when there is nothing to draw
	SmallPicture bool
}

// Line is one line of a graph.
type Line struct {
	Name   string
	Points []geom.Point
	Dashed bool
	Event  bool
}

// Plan is the crown from above: distal to the right, lingual up, mm.
type Plan struct {
	Tooth, Chamber []geom.Point
	Lines          [][2]geom.Point
	Orifices       []Orifice
	Done           *[4]float64 // the cavity as drilled: mesial, distal, buccal, lingual
	Wanted         *[4]float64 // as the hand would drill it now
	Upper          bool
}

// Orifice is a canal's mouth that was found.
type Orifice struct {
	Name string
	At   geom.Point
}
