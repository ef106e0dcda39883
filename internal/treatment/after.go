package treatment

import "slices"

// seal cuts the filling back and covers the orifices with a barrier.
func (t *turn) seal() error {
	for _, c := range t.Canals {
		if c.Found && c.Fill.Technique == "" {
			return refuse("not-filled", "seal: %s is not filled yet", c.Name)
		}
	}
	t.CutBack, t.Barrier = float64(t.action.Depth)/1000, float64(t.action.Length)/1000
	t.Sealed = true
	t.spend(180_000)
	t.bond()
	t.happen(Event{Kind: CoronalSeal, Value: t.Barrier, Unit: "mm"})
	if !t.Case.Settings.Around.BarrierTight(t.Barrier) {
		t.happen(Event{Kind: ThinCover, Value: t.Barrier, Unit: "mm", Detail: "barrier"})
	}
	return nil
}

func (t *turn) restore() error {
	if !t.Sealed {
		return refuse("not-sealed", "restore: the orifices are not sealed yet")
	}
	if err := t.post(); err != nil {
		return err
	}
	t.Restoration, t.RestoreDays = t.action.Choice, t.action.Days
	t.spend(60_000)
	t.happen(Event{Kind: Restored, Value: float64(t.RestoreDays), Unit: "d", Detail: t.Restoration})
	if t.Restoration != "none" && !t.covered() {
		t.happen(Event{Kind: RestorationLost, Detail: t.Restoration})
	}
	t.PostLeaves = float64(t.action.Depth) / 1000
	if left := t.PostLeaves; left > 0 && !t.Case.Settings.Around.PostTight(left) {
		t.happen(Event{Kind: ThinCover, Value: left, Unit: "mm", Detail: "post"})
	}
	return nil
}

func (t *turn) review() error {
	if t.action.Choice != "" && t.Recalled == "" {
		return refuse("no-recall", "review: there is no recall's film to decide on yet")
	}
	if t.action.Days == 0 && t.action.Choice == "" {
		return refuse("no-days", "review: neither when the next review is nor what is decided was said")
	}
	t.Decided = t.action.Choice
	if t.action.Days > 0 {
		t.ReviewDays = t.action.Days
	}
	t.spend(30_000)
	t.happen(Event{Kind: ReviewSet, Value: float64(t.action.Days), Unit: "d", Detail: t.Decided})
	return nil
}

func (t *turn) wait() error {
	t.spend(t.action.Time)
	t.happen(Event{Kind: Waited, Value: float64(t.action.Time) / 1000, Unit: "s"})
	return nil
}

// report tells, images and records a mishap; reporting what did not happen changes nothing but the record.
func (t *turn) report() error {
	if err := t.decideHole(); err != nil {
		return err
	}
	if !slices.Contains(t.Reports, t.action.Choice) {
		t.Reports = append(t.Reports, t.action.Choice)
	}
	t.spend(120_000)
	t.happen(Event{Kind: Reported, Detail: t.action.Choice})
	return nil
}

// unreported counts the kinds of mishap that happened and were not reported.
func (s *State) unreported() int {
	n := 0
	for _, m := range s.Mishaps {
		if !slices.Contains(s.Reports, m) {
			n++
		}
	}
	return n
}
