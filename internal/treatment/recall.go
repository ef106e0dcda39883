package treatment

import "tugback/internal/detmath"

// Published shares of teeth without apical periodontitis by root filling and crown, good or poor: 91.4, 44.1, 67.6
// and 18.1 % (Ray & Trope 1995, 1,010 teeth, films); a meta-analysis found the two mixed groups alike (Gillen
// 2011). They belong to groups: the draw stands for a film to decide on, never for what becomes of a tooth.
// uncertainShare is the part of the others whose area is shrinking within four years (assumed); noLesion halves
// the share that is not well where there was no area before (direction: Ng 2008; size assumed).
const (
	healedGood     = 0.914
	healedFill     = 0.441 // good filling under a poor crown
	healedCrown    = 0.676 // poor filling under a good crown
	healedNeither  = 0.181
	noLesion       = 0.5
	uncertainShare = 0.6
	soundLeak      = 0.1 // share come back from which the crown counts as poor (assumed)
	earlyRecall    = 180 // d; before, an area is not yet judged
	lateRecall     = 4 * 365
)

// healedShare returns the share of the group a tooth belongs to, by its filling and what leaked from the crown.
func (s *State) healedShare(leaked float64) float64 {
	fill, crown := s.fillSatisfactory(), leaked < soundLeak
	share := healedNeither
	switch {
	case fill && crown:
		share = healedGood
	case fill:
		share = healedFill
	case crown:
		share = healedCrown
	}
	if !s.Case.Lesion {
		share = 1 - float64(noLesion*(1-share))
	}
	return share
}

// recall shows the film of the review. The finding is drawn by group figures from the seed; whether an area
// shrinks can be told only against a film from before the treatment. Checked by TestRecallGroups.
func (t *turn) recall() error {
	if !t.Sealed {
		return refuse("nothing-to-review", "recall: the tooth is not finished yet")
	}
	if t.action.Days < t.RecallDays {
		return refuse("earlier", "recall: the patient was already here after %d days", t.RecallDays)
	}
	t.spend(300_000)
	t.Films++
	days := float64(t.action.Days)
	t.tellCrack(days)
	healed := t.healedShare(t.leakFromCrown(days))
	s := detmath.NewStream(t.Case.Seed, "recall")
	draw := s.Float64()
	early := t.action.Days < earlyRecall && t.Case.Lesion
	detail := ""
	switch {
	case !early && draw < healed:
		t.Recalled = "healed"
	case t.Case.Lesion && !t.FirstFilm:
		t.Recalled, detail = "uncertain", "uncertain-no-first-film"
	case early, t.action.Days < lateRecall && draw < healed+float64(uncertainShare*(1-healed)):
		t.Recalled = "uncertain"
	default:
		t.Recalled = "failed"
	}
	if detail == "" {
		detail = t.Recalled
	}
	t.happen(Event{Kind: RecallFilm, Value: days, Unit: "d", Detail: detail})
	return nil
}

// fillSatisfactory says whether every canal is filled to 0–2 mm short without voids worth the name (3 %).
func (s *State) fillSatisfactory() bool {
	for k := range s.Canals {
		c := &s.Canals[k]
		short := s.fillShort(k)
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
