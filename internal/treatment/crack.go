package treatment

import (
	"math"
	"slices"
)

// A crack in the crown. It begins half way from the chewing surface to the chamber's floor and is deepened by
// chewing; from leaksFrom on it leads under the barrier. Direction: cracks deepen under load and cuspal cover
// stops them (common practice); sizes assumed, no source; how fast is CrackRate.
const (
	crackStart   = 0.5
	crackLeaks   = 0.7
	crackFurther = 1 - crackLeaks
)

// crackKnown says whether the crack was looked for: by light or by biting on something.
func (s *State) crackKnown() bool {
	return slices.Contains(s.Exam.Tests, "light") || slices.Contains(s.Exam.Tests, "bite")
}

// crackAt returns how far the crown's crack has gone some days after the treatment, as a share of the way from
// the chewing surface to the chamber's floor; 0 without a crack. A tooth whose crack was found is taken out of
// the bite until its cusps are covered; one whose crack nobody looked for is chewed on. Checked by
// TestCrackIsFoundOrDeepens.
func (s *State) crackAt(days float64) float64 {
	if !s.Case.Findings.Crack {
		return 0
	}
	covered := s.Restoration == "cuspal-cover" || s.Restoration == "crown"
	chewed := 0.0
	switch {
	case !s.crackKnown() && covered:
		chewed = float64(s.Days) + math.Min(days, float64(s.RestoreDays))
	case !s.crackKnown():
		chewed = float64(s.Days) + days
	case !covered:
		chewed = days
	}
	return math.Min(1, crackStart+float64(s.Case.Settings.Around.Assumed.CrackRate*chewed))
}

// crackOpen is the share of the mouth's bacteria that find their way along the crack under the barrier.
func (s *State) crackOpen(days float64) float64 {
	return math.Max(0, s.crackAt(days)-crackLeaks) / crackFurther
}

// tellCrack says at the recall that a crack has gone under the barrier.
func (t *turn) tellCrack(days float64) {
	if t.crackOpen(days) == 0 {
		return
	}
	detail := "unseen"
	if t.crackKnown() {
		detail = "seen"
	}
	t.happen(Event{Kind: CrackDeep, Value: t.crackAt(days), Detail: detail})
}

// covered says whether a definitive restoration is decided that the tooth can hold.
func (s *State) covered() bool {
	return s.Restoration != "" && s.Restoration != "none" && !s.Case.Findings.Hopeless
}
