package treatment

import "slices"

// The agents whose concentration is followed by station, in the order of CareState.Standing. Water
// takes all of them away.
const (
	naocl = iota
	edta
	chlorhexidine
	chloride
	agents
)

// agentIndex returns the place of an irrigant in CareState.Standing, −1 for water.
func agentIndex(word string) int {
	return slices.Index([]string{"sodium-hypochlorite", "edta", "chlorhexidine", "saline"}, word)
}

// CareState is what irrigation, drying and dressing leave in one canal, by station of its space.
type CareState struct {
	Standing [agents][]float64 // concentration of each agent standing there, %
	Chelated []float64         // s that EDTA has acted
	Deposit  []float64         // share of the wall covered by a precipitate
	Recess   []float64         // shavings packed into fins and recesses, share
	AirLock  float64           // length at which air keeps the liquid out, mm; 0 none
	Pressure float64           // largest pressure at the foramen of a free needle, Pa
	Syringe  float64           // largest pressure behind the needle, Pa
	Seeped   float64           // ml past the foramen that nobody felt
	ReadAt   float64           // mm the path had shortened when a length was last read
	Spreader float64           // length the spreader reached, mm
	ConeFilm bool              // a film was taken with the cone in place
	Slipped  int               // ISO, last gauging file that slipped past its stop since the canal was shaped
	Trough   float64           // mm drilled along the developmental line for this orifice
	Accident bool              // irrigant past the foramen that the patient felt
	Tried    []MasterCone      // cones laid ready for it, one of a size
}

func newCare(n int) CareState {
	c := CareState{Chelated: make([]float64, n), Deposit: make([]float64, n), Recess: make([]float64, n)}
	for k := range c.Standing {
		c.Standing[k] = make([]float64, n)
	}
	return c
}

// clone copies the slices.
func (c CareState) clone() CareState {
	for k := range c.Standing {
		c.Standing[k] = slices.Clone(c.Standing[k])
	}
	c.Tried = slices.Clone(c.Tried)
	c.Chelated, c.Deposit, c.Recess = slices.Clone(c.Chelated), slices.Clone(c.Deposit), slices.Clone(c.Recess)
	return c
}
