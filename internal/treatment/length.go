package treatment

import (
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/mechanics"
)

// measure reads a length with a hand file in the canal: by locator, by film or by touch.
func (t *turn) measure() error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-h", "reamer", "hand-niti")
	if err != nil {
		return err
	}
	stop := t.canal().Foramen()
	if t.action.Choice == "film" {
		if stop = t.filmStop(); stop == 0 {
			return refuse("no-stop", "measure: say where the file's stop stands on the film, such as stop: 20 mm")
		}
	}
	reach := t.slide(item, probePush, stop)
	t.spend(60_000)
	t.hold(item.ID, reach.Depth)
	t.drop()
	switch t.action.Choice {
	case "locator":
		t.readLocator(item, reach)
	case "film":
		t.readFilm(item, reach)
	case "touch":
		t.readTouch(item, reach)
	}
	return nil
}

// filmStop returns where the file's stop stands for a film: as said, else at the length written down or read
// last; 0 where there is none.
func (t *turn) filmStop() float64 {
	c := t.canal()
	switch {
	case t.action.Stop > 0:
		return float64(t.action.Stop) / 1000
	case c.Length > 0:
		return c.Length
	}
	return c.Reading
}

// slide pushes an instrument into the action's canal without cutting and returns where it stops.
func (t *turn) slide(item Instrument, push, stop float64) mechanics.Stroke {
	c := t.canal()
	rod := t.memory.rod(rodKey{item: item.ID, step: c.Space.Step}, item.Blank)
	tool := t.pieceOf(item, rod)
	return t.memory.slide(c, rod, &tool.Tool, mechanics.Hand{
		Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: push, Stop: stop}, c.Orifice())
}

// readLocator gives the foramen mark's length: right on average when the file nears the foramen, early
// in blood or a wet chamber or at a perforation, unsteady in a wide foramen, at once where the file
// touches metal, none when the file is stuck far from the end or the canal is dry.
func (t *turn) readLocator(item Instrument, reach mechanics.Stroke) {
	c := t.canal()
	if why := t.silence(reach.Depth); why != "" {
		t.happen(Event{Kind: NoReading, Level: c.Level(reach.Depth), Detail: why})
		return
	}
	l := t.locating(item)
	if l.Metal {
		t.happen(Event{Kind: NoReading, Level: c.Level(reach.Depth), Detail: "metal"})
		return
	}
	early, sd := l.Spread()
	s := t.drawIn("locator")
	t.reading(t.mark()-early+s.Normal(0, sd), "locator")
}

// bleeds says whether a vital pulp or a fresh hole still bleeds into the canals.
func (t *turn) bleeds() bool {
	return t.Case.Vital && t.Pulp > 0.2 || t.holesOpen() && !t.Holes.Quiet
}

// readFilm estimates the length from a film with the file in place: file length times image ratio, so
// magnification cancels, but the tip of the root is taken for the foramen, and curves are seen as their
// chords. A file below size 15 is hard to see at its tip (common practice): twice the error.
func (t *turn) readFilm(item Instrument, reach mechanics.Stroke) {
	k := t.index(t.action.Canal)
	t.Films++
	b := BeamOf(Action{Angle: t.action.Angle, Tilt: t.action.Tilt})
	sd := t.Case.Settings.FilmError
	if item.Size < 15 {
		sd = float64(2 * sd)
	}
	length := FileRatio(reach.Depth, t.ToothImage(k, b), math.Max(1, t.FileImage(k, b, reach.Depth)))
	s := t.drawIn("film")
	t.reading(length+s.Normal(0, sd), "film")
}

// readTouch takes the place where the file meets its last resistance for the constriction.
func (t *turn) readTouch(item Instrument, reach mechanics.Stroke) {
	c, grown := t.canal(), t.grown()
	felt := math.Min(reach.Depth, c.Foramen()-grown.Constriction.Level)
	if float64(item.Size)/100 < grown.Constriction.Narrow {
		felt = reach.Depth // slips through: nothing is felt
	}
	s := t.drawIn("touch")
	t.reading(felt+s.Normal(0, 0.5), "touch")
}

func (t *turn) reading(length float64, how string) {
	c := t.canal()
	c.Reading = detmath.Quantise(length, 0.1)
	c.Care.ReadAt = t.memory.shortening(c, c.Foramen()) + t.CuspCut
	t.happen(Event{Kind: Reading, Value: c.Reading, Unit: "mm", Level: c.Level(c.Reading), Detail: how})
}

func (t *turn) setLength() error {
	c := t.canal()
	c.Length = float64(t.action.Stop) / 1000
	t.spend(10_000)
	t.happen(Event{Kind: LengthSet, Value: c.Length, Unit: "mm", Level: c.Level(c.Length)})
	return nil
}

// between takes the smaller of two neighbouring sizes for the apex's where it slips past its stop and the larger
// stops short: the apex lies between.
func (t *turn) between(c *CanalState, size int, detail string) {
	switch i := slices.Index(Sizes(), size); {
	case detail == "passes":
		c.Care.Slipped = size
	case detail == "short" && i > 0 && c.Care.Slipped == Sizes()[i-1]:
		c.Gauged = c.Care.Slipped
	}
}

// narrowAt returns the narrower width of the canal at a length, mm.
func (c *CanalState) narrowAt(length float64) float64 {
	i := min(c.station(length), c.Space.Foramen)
	return math.Min(c.width(0, i), c.width(1, i))
}

// gaugePush is the gentle push with which a gauging file is brought to where it binds, N, when none is said: more
// than a passive probe, half of what files are worked with (common practice, no source).
const gaugePush = 1.5

// tipRoom is how much wider than a gauging file's tip the canal must be where it stops, mm, for the bend to be
// what holds it and not the width.
const tipRoom = 0.02

// gauge slides a hand file in and feels where it binds: snug at the stop, past it, or short of it. A straight
// steel file of a large size is held by the bend before its tip binds ("stiff"); a NiTi one follows it. Checked by
// TestGaugingByAlloy.
func (t *turn) gauge() error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-niti")
	if err != nil {
		return err
	}
	push := float64(t.action.Push) / 1000
	if push == 0 {
		push = gaugePush
	}
	c, stop := t.canal(), float64(t.action.Stop)/1000
	reach := t.slide(item, push, stop+1)
	t.spend(30_000)
	detail := "snug"
	switch off := reach.Depth - stop; {
	case off > 0.25:
		detail = "passes"
	case off < -0.25 && reach.Halt == mechanics.HaltTight && c.narrowAt(reach.Depth+0.1) > float64(item.Size)/100+tipRoom:
		detail = "stiff"
	case off < -0.25:
		detail = "short"
	default:
		c.Gauged = item.Size
	}
	t.between(c, item.Size, detail)
	t.happen(Event{Kind: GaugedSize, Item: item.ID, Value: reach.Depth, Unit: "mm", Level: c.Level(reach.Depth), Detail: detail})
	return nil
}
