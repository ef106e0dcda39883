package trial

import (
	"math"
	"slices"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// What is counted as an acceptable filling: it ends 0 to 2 mm short of the root's tip on the film, as
// most audits of students had it, and shows no void.
const (
	filmShort = 2.0  // mm
	filmVoid  = 0.15 // share of void in the worst millimetre from which an auditor marks it; common practice, no source
)

// Tally is what is kept of a trial: whole numbers only, which add up alike in every order.
type Tally struct {
	Cases    int64 `json:"cases"`
	NotGrown int64 `json:"not_grown,omitempty"`
	Refused  int64 `json:"refused_actions,omitempty"`
	Passed   int64 `json:"passed"`
	Critical int64 `json:"critical"`

	FillTeeth  int64 `json:"acceptable_teeth"`
	BrokeTeeth int64 `json:"fractured_teeth"`
	HoleTeeth  int64 `json:"perforated_teeth"`

	Canals     int64 `json:"canals"`
	Shown      int64 `json:"shown_canals"` // those whose filling, or want of one, a film shows
	Missed     int64 `json:"missed_canals"`
	Ledges     int64 `json:"ledged_canals"`
	Holes      int64 `json:"perforated_canals"`
	Fragments  int64 `json:"fragment_canals"`
	FillCanals int64 `json:"acceptable_canals"`
	Short      int64 `json:"short_canals"`
	Long       int64 `json:"long_canals"`
	Voids      int64 `json:"void_canals"`

	Marks   Histogram   `json:"marks"`   // thousandths of the marks available
	Minutes Histogram   `json:"minutes"` // whole minutes
	Rules   []RuleTally `json:"rules"`
}

// RuleTally is what is kept of one rule. Points are in millionths.
type RuleTally struct {
	ID       string `json:"id"`
	Earned   int64  `json:"earned"`
	Offered  int64  `json:"offered"`
	Full     int64  `json:"full"`
	None     int64  `json:"none"`
	Happened int64  `json:"happened,omitempty"`
}

func newTally(rules []marking.Rule) Tally {
	t := Tally{Marks: newHistogram(marksBins), Minutes: newHistogram(minuteBins)}
	for _, r := range rules {
		t.Rules = append(t.Rules, RuleTally{ID: r.ID})
	}
	return t
}

// Bins of the histograms; what lies beyond falls into the last.
const (
	marksBins  = 1001
	minuteBins = 1441
)

// add adds another tally of the same trial.
func (t *Tally) add(o Tally) {
	mine, theirs := t.counts(), o.counts()
	for i := range mine {
		*mine[i] += *theirs[i]
	}
	t.Marks.add(o.Marks)
	t.Minutes.add(o.Minutes)
	for i := range t.Rules {
		a, b := &t.Rules[i], o.Rules[i]
		a.Earned, a.Offered = a.Earned+b.Earned, a.Offered+b.Offered
		a.Full, a.None, a.Happened = a.Full+b.Full, a.None+b.None, a.Happened+b.Happened
	}
}

func (t *Tally) counts() []*int64 {
	return []*int64{&t.Cases, &t.NotGrown, &t.Refused, &t.Passed, &t.Critical, &t.FillTeeth, &t.BrokeTeeth,
		&t.HoleTeeth, &t.Canals, &t.Shown, &t.Missed, &t.Ledges, &t.Holes, &t.Fragments, &t.FillCanals, &t.Short, &t.Long, &t.Voids}
}

// count counts one treatment.
func (t *Tally) count(done Treated, outcome treatment.Outcome, marks marking.Marks, pass float64) {
	t.Cases++
	t.Refused += int64(done.Refused)
	share := 0.0
	if marks.Available > 0 {
		share = marks.Total / marks.Available
	}
	if marks.Failed {
		t.Critical++
	} else if share >= pass {
		t.Passed++
	}
	t.Marks.put(int(math.Floor(share * 1000)))
	minutes, _ := outcome.Value("minutes", "")
	t.Minutes.put(int(minutes))
	t.countCanals(done)
	for i, r := range marks.Rules {
		t.Rules[i].count(r)
	}
}

func (r *RuleTally) count(m marking.RuleMark) {
	r.Earned += int64(math.RoundToEven(m.Points * 1e6))
	r.Offered += int64(math.RoundToEven(m.Available * 1e6))
	switch {
	case m.Points >= m.Available:
		r.Full++
	case m.Points <= 0:
		r.None++
	}
	if m.Happened {
		r.Happened++
	}
}

// countCanals counts what an audit of films and records would.
func (t *Tally) countCanals(done Treated) {
	good, broke, hole := true, false, done.State.Access.Through
	for i, c := range done.State.Canals {
		t.Canals++
		if !c.Found {
			t.Missed++
		}
		if ledged(done.Events, c.Name) {
			t.Ledges++
		}
		if c.Perforation != nil {
			t.Holes++
			hole = true
		}
		if c.Fragment != nil {
			t.Fragments++
			broke = true
		}
		if hidden(&done.State, i) {
			continue
		}
		t.Shown++
		short, void := done.State.FilmShort(i, treatment.Paralleling()), c.FilmVoid()
		ok := c.Fill.Technique != "" && short >= 0 && short <= filmShort && void <= filmVoid
		good = good && ok
		tick(&t.FillCanals, ok)
		tick(&t.Short, short > filmShort)
		tick(&t.Long, short < 0)
		tick(&t.Voids, c.Fill.Technique != "" && void > filmVoid)
	}
	tick(&t.FillTeeth, good)
	tick(&t.BrokeTeeth, broke)
	tick(&t.HoleTeeth, hole)
}

// hidden reports whether a canal was missed beside one of the same root that was found: a film shows the filling
// of that root, and an audit of films, as the published ones are, cannot miss the other.
func hidden(s *treatment.State, k int) bool {
	if s.Canals[k].Found {
		return false
	}
	for beside := range s.Canals {
		if s.Canals[beside].Found && s.Case.Tooth.Canals[beside].Root == s.Case.Tooth.Canals[k].Root {
			return true
		}
	}
	return false
}

func tick(count *int64, is bool) {
	if is {
		*count++
	}
}

// ledged reports whether a ledge was cut in a canal.
func ledged(events []treatment.Event, canal string) bool {
	return slices.ContainsFunc(events, func(e treatment.Event) bool { return e.Kind == treatment.Ledge && e.Canal == canal })
}
