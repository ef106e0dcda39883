package bench

import (
	"math"
	"strings"

	"tugback/internal/exam"
	"tugback/internal/treatment"
)

// Locator is the apex locator's scale: where the pointer stands, −1 far short … 0 the foramen mark … 1
// beyond, how far it swings, and what it says. The scale is not in millimetres.
type Locator struct {
	Pointer float64 // NaN where nothing was read yet
	Swing   float64 // to either side, on the same scale; 0 steady
	Reading bool    // whether a length was read
	State   string  // in a word or two
	Says    string
}

// Swing of the pointer: a reading's scatter of steadyScatter mm (a good reading's, with some room) or less
// is seen as a pointer that stands still; mostSwing is as far as it goes either way.
const (
	steadyScatter = 0.3
	mostSwing     = 0.5
)

// readingsShown is how many readings of a canal are listed, so that their scatter is seen.
const readingsShown = 4

// locatorBlocks are the apex locator: its scale, with the pointer where the last reading left it, and the
// readings of the canal so far. Checked by TestLocatorScale.
func (r *treating) locatorBlocks() []Block {
	c := &r.now().Canals[r.canal]
	l := &Locator{Pointer: math.NaN(), State: say("locator.idle"), Says: say("locator.none")}
	var read []string
	var last treatment.Event
	for _, e := range r.events() {
		switch {
		case e.Canal != c.Name:
		case e.Kind == treatment.Reading && e.Detail == "locator":
			l.read(r, e)
			read, last = append(read, figure(r.readNow(e), 1)), e
		case e.Kind == treatment.NoReading:
			why := e.Detail
			if r.perceived {
				why = perceivedWhy(why)
			}
			l.silent(why)
		}
	}
	blocks := []Block{{Kind: Subhead, Text: say("locator.title"), Note: l.State}, {Kind: LocatorScale, Scale: l}, {Kind: Said, Text: l.Says}}
	if len(read) > 1 {
		read = read[max(0, len(read)-readingsShown):]
		blocks = append(blocks, Block{Kind: Quiet, Text: say("locator.readings", "list", strings.Join(read, " · "))})
	}
	if l.Reading && r.section && r.sees(exam.SeeSection) {
		blocks = append(blocks, Block{Kind: Quiet, Text: say("locator.truth", "off", ofForamen(last.Level))})
	}
	return append(blocks, Block{Kind: Gap})
}

// read sets the pointer to a reading: at the mark, as steady as the engine has it.
func (l *Locator) read(r *treating, e treatment.Event) {
	l.Reading, l.Pointer, l.Swing = true, 0, 0
	l.State, l.Says = say("locator.steady"), say("locator.mark", "length", figure(r.readNow(e), 1))
	if scatter := r.scatterOf(e); scatter > steadyScatter {
		l.Swing = min(mostSwing, scatter)
		l.State, l.Says = say("locator.unsteady"), say("locator.swings", "length", figure(r.readNow(e), 1))
	}
}

// silent sets the pointer to where it stands when nothing can be read.
func (l *Locator) silent(why string) {
	l.Reading, l.Swing, l.Pointer = false, 0, -1
	if why == "metal" {
		l.Pointer = 1
	}
	l.State, l.Says = say("locator.noreading"), sayOr("locator.no."+why, say("locator.lost"))
}

// ofForamen says how far short of the foramen a length ends.
func ofForamen(short float64) string {
	if math.Abs(short) < 0.05 {
		return say("locator.at")
	}
	if short < 0 {
		return say("locator.past", "mm", figure(-short, 1))
	}
	return say("locator.before", "mm", figure(short, 1))
}

// scatterOf returns the scatter of a reading in the canal in which it was taken, mm.
func (r *treating) scatterOf(e treatment.Event) float64 {
	if c := r.far(); c != nil {
		return c.told[e].Swing
	}
	before := r.states[min(e.Action, len(r.states)-1)]
	return before.LocatorScatter(max(0, r.canalNamed(e.Canal)), r.actions()[e.Action].Item)
}

// perceivedWhy returns why nothing could be read where that is perceived: a file is felt to be held up, metal
// sounds at once; of the rest the locator shows nothing.
func perceivedWhy(why string) string {
	if why == "blocked" || why == "metal" {
		return why
	}
	return ""
}
