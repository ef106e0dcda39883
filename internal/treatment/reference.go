package treatment

// cutCusp takes substance off the reference cusp. Every length is read from it, so what was written down
// before is too long from now on.
func (t *turn) cutCusp() error {
	cut := float64(t.action.Depth) / 1000
	if cut == 0 {
		return refuse("no-cut", "prepare: say how much is taken off the cusp, such as cut: 1 mm")
	}
	t.CuspCut += cut
	t.spend(30_000)
	t.happen(Event{Kind: CuspLowered, Value: cut, Unit: "mm"})
	return nil
}

// fromTop returns an action with its lengths counted from the reference point as it was at first, which is
// where the state counts from; what a person sets is counted from what is left of the cusp.
func (s *State) fromTop(a Action) Action {
	cut := int(s.CuspCut * 1000)
	if cut == 0 {
		return a
	}
	shift := func(v *int) {
		if *v > 0 {
			*v += cut
		}
	}
	switch a.Do {
	case Measure, SetLength, Work, Irrigate, Gauge, Dry, Fit:
		shift(&a.Stop)
	case Open:
		shift(&a.Depth)
	case Fill:
		shift(&a.Stop)
		shift(&a.Depth)
		shift(&a.Length)
	default: // has no length counted from the crown
	}
	return a
}

// toTop reports whether an event's value is a length read at the reference point.
func toTop(k EventKind) bool {
	switch k {
	case Reached, Halted, Reading, LengthSet, GaugedSize, Rinsed, NeedleBound, NeedleHeld, AirLocked, PointDry, SpreaderIn, Perforated, Opened:
		return true
	default:
		return false
	}
}
