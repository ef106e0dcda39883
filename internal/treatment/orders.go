package treatment

import "slices"

// longestFile is the longest handle-to-tip length files and needles are made in, mm: 21, 25 and 31 mm (from
// memory, high certainty). pastEnd is how far beyond the foramen a paper point or a cone may be asked to stand
// before it is no slip but nonsense, mm.
const (
	longestFile = 31.0
	pastEnd     = 5.0
)

// afterwards says whether an action belongs to a tooth that is restored: counting the files, films, the review.
func (t *turn) afterwards() bool {
	if t.action.Do == Prepare {
		return t.action.Choice == "files-out"
	}
	return slices.Contains([]Kind{Review, Recall, Wait, Report, Radiograph}, t.action.Do)
}

// possible refuses what no operator could do, whatever the state of the canal.
func (t *turn) possible() error {
	a := t.action
	stop := float64(a.Stop) / 1000
	switch {
	case slices.Contains([]Kind{Work, Gauge, Measure, Irrigate}, a.Do) && stop > longestFile:
		return refuse("too-long", "%s: the stop cannot stand at %.1f mm; files and needles are %.0f mm long at most", a.Do, stop, longestFile)
	case (a.Do == Test || a.Do == Isolate) && a.Tooth != 0 && !isTooth(a.Tooth):
		return refuse("no-such-tooth", "%s: there is no tooth %d; the second figure runs from 1 to 8", a.Do, a.Tooth)
	case a.Do == Irrigate && (a.Agent == "water") && a.Percent > 0:
		return refuse("plain-water", "irrigate: water has no concentration; give 0 %%")
	case a.Do == Irrigate && a.Agent != "water" && a.Agent != "saline" && a.Percent == 0:
		return refuse("no-percent", "irrigate: %s of 0 %% is water; give its concentration", a.Agent)
	}
	return nil
}

// post checks the post of a restoration: it needs one to hold, and filling to leave.
func (t *turn) post() error {
	left := float64(t.action.Depth) / 1000
	switch {
	case left == 0:
		return nil
	case t.action.Choice == "none":
		return refuse("post-alone", "restore: a post holds a restoration, and none was chosen")
	case left > t.longestFill():
		return refuse("post-leaves", "restore: a post cannot leave %.1f mm; the longest filling is %.1f mm", left, t.longestFill())
	}
	return nil
}

// isTooth says whether a number names a permanent tooth (ISO 3950).
func isTooth(number int) bool {
	quadrant, place := number/10, number%10
	return quadrant >= 1 && quadrant <= 4 && place >= 1 && place <= 8
}

// longestFill returns the length of the longest root filling, mm.
func (s *State) longestFill() float64 {
	longest := 0.0
	for k := range s.Canals {
		if c := &s.Canals[k]; c.Fill.Technique != "" {
			longest = max(longest, c.Fill.Tip-c.Orifice())
		}
	}
	return longest
}

// bare says that the tooth stands open without the dam on it: once when it is opened, and once in each later
// visit; every action in its canals is counted.
func (t *turn) bare() {
	if t.Isolated == t.Case.Number || t.Sealed || t.action.Do != Open && !needsCanal(t.action.Do) {
		return
	}
	t.Bare++
	if t.BareVisit {
		return
	}
	t.BareVisit = true
	t.happen(Event{Kind: NoDam, Value: float64(t.Case.Number)})
}

// uncover takes the temporary filling out before something is done in the canals in the same visit.
func (t *turn) uncover() {
	if t.Temporary == 0 || !needsAccess(t.action.Do) || t.action.Do == Temporise {
		return
	}
	t.spend(60_000)
	t.happen(Event{Kind: Uncovered, Value: t.Temporary, Unit: "mm"})
	t.Temporary = 0
}
