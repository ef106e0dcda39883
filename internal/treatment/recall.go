package treatment

import "tugback/internal/detmath"

// Published shares of teeth without apical periodontitis after treatment, by the filling: 0–2 mm short and
// without voids 87 %, else 61 % (Liang 2012, films). They belong to groups: the draw stands for a film to
// decide on, never for what becomes of a tooth. uncertainShare is the part of the others whose area is
// shrinking within four years (assumed).
const (
	healedGood     = 0.87
	healedOther    = 0.61
	uncertainShare = 0.6
	soundLeak      = 0.1 // share come back from which the crown is no longer sound: 87 % is of sound ones too (Ng 2008, direction)
	earlyRecall    = 180 // d; before, an area is not yet judged
	lateRecall     = 4 * 365
)

// recall shows the film of the review. The finding is drawn by group figures from the seed.
func (t *turn) recall() error {
	if !t.Sealed {
		return refuse("nothing-to-review", "recall: the tooth is not finished yet")
	}
	t.spend(300_000)
	t.Films++
	leaked := t.leakFromCrown(float64(t.action.Days))
	s := detmath.NewStream(t.Case.Seed, "recall")
	healed := healedOther
	if t.fillSatisfactory() && leaked < soundLeak {
		healed = healedGood
	}
	draw := s.Float64()
	early := t.action.Days < earlyRecall && t.Case.Lesion
	switch {
	case !early && draw < healed:
		t.Recalled = "healed"
	case early, t.action.Days < lateRecall && draw < healed+float64(uncertainShare*(1-healed)):
		t.Recalled = "uncertain"
	default:
		t.Recalled = "failed"
	}
	t.happen(Event{Kind: RecallFilm, Value: float64(t.action.Days), Unit: "d", Detail: t.Recalled})
	return nil
}

// fillSatisfactory says whether every canal is filled to 0–2 mm short without voids worth the name (3 %).
func (s *State) fillSatisfactory() bool {
	for k := range s.Canals {
		c := &s.Canals[k]
		short := c.Foramen() - c.Fill.Tip
		if c.Fill.Technique == "" || short < 0 || short > 2 || c.voidShare() > 0.03 {
			return false
		}
	}
	return true
}

// decisionFits says whether what was decided fits the film: discharge what healed, watch what is uncertain,
// up to four years (European guideline 2006, from memory), retreat or refer what failed.
func (s *State) decisionFits() bool {
	switch s.Recalled {
	case "healed":
		return s.Decided == "discharge"
	case "uncertain":
		return s.Decided == "watch" && s.ReviewDays <= lateRecall
	}
	return s.Decided == "retreat" || s.Decided == "refer"
}
