package bench

import "tugback/internal/treatment"

// Decided reports whether it is decided how a kind of event is told in an examination.
func Decided(k treatment.EventKind) bool { return heardAs(k) != undecided }
