package trial

// SpreadOf returns the summary of some minutes.
func SpreadOf(minutes []int) Summary {
	h := newHistogram(minuteBins)
	for _, m := range minutes {
		h.put(m)
	}
	return h.summary(1)
}
