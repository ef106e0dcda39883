package bench

import (
	"strings"

	"tugback/internal/exam"
	"tugback/internal/treatment"
)

// hearing says how much of an event a candidate is told.
type hearing int

const (
	hidden    hearing = iota // nobody knows it in the mouth
	plain                    // as in practice, without the level from the foramen and without newtons
	own                      // in words of its own, without figures that only the model knows
	risk                     // as plain where the paper lets the risk be seen, else hidden
	undecided                // of a kind that nobody thought of: hidden too
)

// heardAs returns how an event is told in an examination; what is not listed is hidden. Checked by
// TestHearing, which holds that every kind of event is decided on.
func heardAs(k treatment.EventKind) hearing {
	switch k {
	case treatment.Judged, treatment.TestDone, treatment.Diagnosed, treatment.Prepared, treatment.CuspLowered, treatment.FilesCounted,
		treatment.Numbed, treatment.Painful, treatment.Splashed, treatment.DamLeaks, treatment.Swallowed, treatment.Dammed, treatment.Opened,
		treatment.Reading, treatment.NoReading, treatment.LengthSet, treatment.Reached, treatment.Halted, treatment.Wiped,
		treatment.PreCurved, treatment.NoCurve, treatment.GaugedSize, treatment.FragmentOut, treatment.FragmentLeft, treatment.NeedleBound,
		treatment.NeedleHeld, treatment.FlowLimited, treatment.Coloured, treatment.PointDry, treatment.PointBlood, treatment.Dressed,
		treatment.Temporised, treatment.CameBack, treatment.SpreaderIn, treatment.SealerSets, treatment.CoronalSeal, treatment.Restored,
		treatment.ReviewSet, treatment.Waited, treatment.HoleDecided, treatment.Reported, treatment.RecallFilm, treatment.ConeOff:
		return plain
	case treatment.FilmTaken, treatment.NotThrough, treatment.CrownHole, treatment.FloorHole, treatment.Bleeding, treatment.Located,
		treatment.NotFound, treatment.Loose, treatment.Felt, treatment.Tugged, treatment.Perforated, treatment.Broke, treatment.ScrewIn,
		treatment.FragmentStays, treatment.FragmentPassed, treatment.Rinsed, treatment.IrrigantOut, treatment.Precipitated,
		treatment.PointWet, treatment.ConeFits, treatment.Filled:
		return own
	case treatment.Strained, treatment.Bound, treatment.Unwound:
		return risk
	case treatment.Harder, treatment.SyringeSwapped, treatment.WrongTooth, treatment.RoofLeft, treatment.HornsLeft, treatment.OverOpened,
		treatment.WallGouged, treatment.FloorCut, treatment.Ledge, treatment.WallWorn, treatment.StripRisk, treatment.PastForamen,
		treatment.DebrisOut, treatment.Packed, treatment.AnglesOutside, treatment.Zipped, treatment.ForamenTorn, treatment.Straightened,
		treatment.Transported, treatment.DentineSpent, treatment.IrrigantSeeped, treatment.PressureHigh, treatment.AirLocked,
		treatment.ChlorineLost, treatment.Eroded, treatment.ThinCover, treatment.Leaked, treatment.RootLoaded, treatment.RootHeated,
		treatment.SealerOut, treatment.ShortFill, treatment.Overfilled, treatment.BondSpoiled, treatment.CrownLeaked:
		return hidden
	default:
		return undecided
	}
}

// hears returns what is told of an event, and whether anything is. In practice all is told.
func (r *treating) hears(e treatment.Event) (string, bool) {
	if r.exam == nil {
		return sentence(e), true
	}
	switch heardAs(e.Kind) {
	case risk:
		if !r.sees(exam.SeeRisk) {
			return "", false
		}
	case own:
		item := e.Item
		if i, err := lookup(e.Item); err == nil {
			item = shortName(i)
		}
		key := "exam.event." + string(e.Kind)
		text := sayOr(key+"."+e.Detail, "")
		if text == "" {
			text = say(key)
		}
		for place, word := range map[string]string{"{canal}": canalName(e.Canal), "{item}": item, "{detail}": wordText(e.Detail)} {
			text = strings.ReplaceAll(text, place, word)
		}
		return capital(text), true
	case hidden, undecided:
		return "", false
	case plain:
	}
	e.Level, e.Force, e.Wall = 0, 0, ""
	return sentence(e), true
}
