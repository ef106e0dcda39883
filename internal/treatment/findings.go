package treatment

// Findings are what history and examination of the invented patient bring out. The zero value is an
// uncomplicated patient.
type Findings struct {
	Metal       bool   // a metal restoration borders the cavity
	Restoration string // none, filling, crown
}
