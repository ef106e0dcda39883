package marking

import "tugback/internal/treatment"

// IsDeed reports whether an action is what rules name by a text such as "work" or "irrigate edta". Checked by
// TestIsDeed.
func IsDeed(text string, a *treatment.Action) bool { return readDeed(text).matches(a) }
