package treatment

import "math"

// Locating is what a locator's reading hangs on.
type Locating struct {
	Foramen    float64 // mm, largest width now
	File       float64 // mm, tip diameter
	Narrow     float64 // mm, constriction
	Blood      bool    // blood or a pulp in the way
	Flooded    bool    // the chamber stands full and touches metal or gum
	Metal      bool    // the file touches a metal restoration or the clamp
	Error      float64 // mm, standard deviation of a good reading
	Perforated bool
}

// Spread returns how far early a reading is on average and its standard deviation, mm. Good conditions:
// none and Error (0.25 mm keeps 95 % within 0.5 mm of the foramen, 87–100 % published; the old
// resistance type needs 0.6: 60 %, 44–72 % published). What upsets it, by direction: a foramen beyond
// 0.6 mm lowers accuracy, beyond 0.9 mm whatever the file; blood, a flooded chamber and a wide canal with
// a thin file read short. Sizes assumed. Checked by TestLocator (P19, P22).
func (l Locating) Spread() (early, sd float64) {
	sd = l.Error
	if l.Blood {
		early += 1
	}
	if l.Flooded {
		early += 0.4
		sd = float64(1.3 * sd)
	}
	if l.Foramen > 0.6 {
		sd = float64(2 * sd)
	}
	if l.Foramen > 0.9 {
		early += 0.5
		sd = float64(1.5 * sd)
	}
	if l.File < float64(0.5*l.Narrow) {
		sd = float64(1.5 * sd)
	}
	return early, sd
}

// locating gathers what upsets a reading now.
func (t *turn) locating(item Instrument) Locating {
	c, grown := t.canal(), t.grown()
	f := c.Space.Foramen
	return Locating{
		Foramen: math.Max(grown.Foramen.Diameter, math.Max(c.width(0, f), c.width(1, f))),
		File:    float64(item.Size) / 100, Narrow: grown.Constriction.Narrow,
		Blood: t.bleeds() || c.Care.Accident, Flooded: c.Wet > float64(1.5*c.volume()),
		Metal: t.Case.Findings.Metal && t.Access.Opened && !t.Access.Trimmed,
		Error: t.Case.Settings.LocatorError, Perforated: c.Perforation != nil,
	}
}

// silence says why a locator gives no reading, "" when it does.
func (t *turn) silence(depth float64) string {
	c := t.canal()
	mark := t.mark()
	switch {
	case mark-depth > 2:
		return "blocked"
	case c.Wet < 0.05 && !t.bleeds() && c.mean(c.Tissue) < 0.3:
		return "dry"
	}
	return ""
}

// mark returns where a locator sees the ligament: the foramen, or a hole above it.
func (t *turn) mark() float64 {
	c := t.canal()
	mark := c.Foramen()
	if t.HolesClosed {
		return mark
	}
	if c.Perforation != nil {
		mark = math.Min(mark, c.Perforation.S)
	}
	if t.Access.Through {
		mark = math.Min(mark, c.Orifice())
	}
	return mark
}
