package treatment

import "slices"

// holes counts the perforations: canals', the floor's, the crown's wall.
func (s *State) holes() int {
	n := 0
	for i := range s.Canals {
		if s.Canals[i].Perforation != nil {
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
