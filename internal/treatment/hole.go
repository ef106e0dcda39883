package treatment

import "slices"

// holes counts the perforations: canals', one of a common apex once, the floor's, the crown's wall.
func (s *State) holes() int {
	n := 0
	for i := range s.Canals {
		hole := s.Canals[i].Perforation
		if to := s.Case.Tooth.Canals[i].Joins; hole != nil && to >= 0 && s.Canals[to].Perforation != nil &&
			s.Canals[i].Level(hole.S) < s.Case.Tooth.Canals[i].Length-s.Case.Tooth.Canals[i].JoinS {
			hole = nil // counted with the canal it joins
		}
		if hole != nil {
			n++
		}
	}
	if s.Access.Through {
		n++
	}
	if s.Access.Sideways {
		n++
	}
	return n
}

// holeDecided says whether a perforation, if there is one, was told and not just left: referred, which is
// a student's default and stands when nothing else is said, or repaired.
func (s *State) holeDecided() bool {
	if s.holes() == 0 {
		return true
	}
	return slices.Contains(s.Reports, "perforation") && s.HoleChoice != "leave"
}

// decideHole carries out what follows from a perforation: referral ends the treatment here, repair closes
// the holes, so that a locator no longer sees them.
func (t *turn) decideHole() error {
	choice := t.action.Agent
	if choice == "" {
		return nil
	}
	if t.action.Choice != "perforation" {
		return refuse("decision", "report: a decision goes with a perforation, not with %s", t.action.Choice)
	}
	if t.holes() == 0 {
		return refuse("no-perforation", "report: no perforation is there to %s", choice)
	}
	t.HoleChoice = choice
	switch choice {
	case "refer":
		t.Referred = true
	case "repair":
		t.spend(900_000)
		t.HolesClosed = true
	}
	t.happen(Event{Kind: HoleDecided, Value: float64(t.holes()), Detail: choice})
	return nil
}
