package attempt

import (
	"math"

	"tugback/internal/treatment"
)

// asTold stands in the texts for an event that is perceived as Sentence tells it, without its place.
const asTold = "="

// Perceived says what a person at the chair perceives of an event by eye, ear and hand, and whether they
// perceive it at all: what an examination may show. What only the model knows is left out, whole events (a
// ledge, the share of a file's life) as well as parts of a sentence (levels from the foramen, walls, volumes
// and shares inside the tooth). What must be answered to, as a perforation or a broken file, shows by its
// sign. Which is which stands in the texts, felt.KIND: none, "=" as told, or words of its own. Checked by
// TestPerceived.
func Perceived(e treatment.Event) (string, bool) {
	words := english()
	text, found := words["felt."+string(e.Kind)+"."+e.Detail]
	if !found {
		text = words["felt."+string(e.Kind)]
	}
	if text == "" {
		return "", false
	}
	e.Level, e.Wall, e.Value = 0, "", ReadOff(e)
	if text == asTold {
		return Sentence(e), true
	}
	return fill(text, func(name string) (string, bool) { return eventValue(e, name) }), true
}

// What a hand reads off: lengths on a ruler to a quarter of a millimetre, a share of the flutes by eye to a
// quarter. Common practice, no source.
const quarter = 0.25

// ReadOff returns the figure of an event as it can be read off at the chair, in the event's own unit. What was set, or
// stands on a display, is told as it is. Checked by TestPerceived.
func ReadOff(e treatment.Event) float64 {
	switch e.Kind {
	case treatment.Halted, treatment.GaugedSize, treatment.NeedleBound, treatment.NeedleHeld, treatment.ConeOff, treatment.Broke,
		treatment.FragmentOut, treatment.PointBlood, treatment.SpreaderIn, treatment.Wiped:
		return ToQuarter(e.Value)
	default:
		return e.Value
	}
}

// ToQuarter rounds a figure to what a hand reads off.
func ToQuarter(x float64) float64 { return math.RoundToEven(x/quarter) * quarter }
