package treatment

import (
	"math"

	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// measure reads a length with a hand file in the canal: by locator, by film or by touch.
func (t *turn) measure() error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-h", "reamer", "hand-niti")
	if err != nil {
		return err
	}
	reach := t.slide(item, probePush, t.canal().Foramen())
	t.spend(60_000)
	switch t.action.Choice {
	case "locator":
		t.readLocator(item, reach)
	case "film":
		t.readFilm(reach)
	case "touch":
		t.readTouch(item, reach)
	}
	return nil
}

// slide pushes an instrument into the action's canal without cutting and returns where it stops.
func (t *turn) slide(item Instrument, push, stop float64) mechanics.Stroke {
	c := t.canal()
	rod := mechanics.NewRod(item.Blank(), c.Space.Step)
	tool := t.pieceOf(item, rod)
	t.worker.Reset()
	return t.worker.Slide(&c.Space, rod, &tool.Tool, mechanics.Hand{
		Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: push, Stop: stop}, c.Orifice())
}

// readLocator gives the foramen mark's length: right on average when the file nears the foramen, early
// in blood or a wet chamber or at a perforation, unsteady in a wide foramen, none when the file is stuck
// far from the end.
func (t *turn) readLocator(item Instrument, reach mechanics.Stroke) {
	c, grown := t.canal(), t.grown()
	mark := c.Foramen()
	if c.Perforation != nil {
		mark = math.Min(mark, c.Perforation.S)
	}
	if mark-reach.Depth > 2 {
		t.happen(Event{Kind: NoReading, Level: c.Level(reach.Depth), Detail: "blocked"})
		return
	}
	early, sd := 0.0, t.Case.Settings.LocatorError
	if t.bleeds() {
		early += 1
	}
	if grown.Foramen.Diameter > 0.6 {
		sd = float64(2 * sd)
	}
	if float64(item.Size)/100 < float64(0.5*grown.Constriction.Narrow) {
		sd = float64(1.5 * sd)
	}
	reading := mark - early + t.Locator.Normal(0, sd)
	t.reading(reading, "locator")
}

// bleeds says whether a vital pulp still bleeds into the canals.
func (t *turn) bleeds() bool { return t.Case.Vital && t.Pulp > 0.2 }

// readFilm estimates the length from a film with the file in place: file length times image ratio, so
// magnification cancels, but the tip of the root is taken for the foramen.
func (t *turn) readFilm(reach mechanics.Stroke) {
	c, grown := t.canal(), t.grown()
	t.Films++
	gap := c.Foramen() + grown.Foramen.Offset - reach.Depth
	reading := reach.Depth + gap + t.Film.Normal(0, t.Case.Settings.FilmError)
	t.reading(reading, "film")
}

// readTouch takes the place where the file meets its last resistance for the constriction.
func (t *turn) readTouch(item Instrument, reach mechanics.Stroke) {
	c, grown := t.canal(), t.grown()
	felt := math.Min(reach.Depth, c.Foramen()-grown.Constriction.Level)
	if float64(item.Size)/100 < grown.Constriction.Narrow {
		felt = reach.Depth // slips through: nothing is felt
	}
	t.reading(felt+t.Locator.Normal(0, 0.5), "touch")
}

func (t *turn) reading(length float64, how string) {
	c := t.canal()
	c.Reading = detmath.Quantise(length, 0.1)
	t.happen(Event{Kind: Reading, Value: c.Reading, Unit: "mm", Level: c.Level(c.Reading), Detail: how})
}

func (t *turn) setLength() error {
	c := t.canal()
	c.Length = float64(t.action.Stop) / 1000
	t.spend(10_000)
	t.happen(Event{Kind: LengthSet, Value: c.Length, Unit: "mm", Level: c.Level(c.Length)})
	return nil
}

// gauge slides a hand file in and feels where it binds: snug at the stop, past it, or short of it.
func (t *turn) gauge() error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-niti")
	if err != nil {
		return err
	}
	push := float64(t.action.Push) / 1000
	if push == 0 {
		push = probePush
	}
	c, stop := t.canal(), float64(t.action.Stop)/1000
	reach := t.slide(item, push, stop+1)
	t.spend(30_000)
	detail := "snug"
	switch off := reach.Depth - stop; {
	case off > 0.25:
		detail = "passes"
	case off < -0.25:
		detail = "short"
	default:
		c.Gauged = item.Size
	}
	t.happen(Event{Kind: GaugedSize, Item: item.ID, Value: reach.Depth, Unit: "mm", Level: c.Level(reach.Depth), Detail: detail})
	return nil
}
