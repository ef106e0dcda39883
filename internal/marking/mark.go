package marking

import (
	"math"
	"slices"
)

// millionths is a number of points in whole millionths. Sums of them are exact, so the order of rules
// does not matter.
type millionths int64

func inMillionths(points float64) millionths {
	return millionths(math.RoundToEven(points * 1e6))
}

// points returns the float nearest to the decimal number.
func (m millionths) points() float64 { return float64(m) / 1e6 }

// Mark decides every rule on the facts of a run. The facts are not changed. A canal a rule names but
// the outcome lacks earns nothing. Checked by TestMark and, as properties (points between 0 and those
// available, order irrelevant), by TestMarksProperties.
func (m *Marker) Mark(facts Facts) Marks {
	marks := Marks{Critical: []string{}, Rules: []RuleMark{}}
	canals := canalsOf(&facts)
	tooth := newScope(&m.words, &facts, canals, "")
	inside := make([]*scope, len(canals))
	for i, canal := range canals {
		inside[i] = newScope(&m.words, &facts, canals, canal)
	}
	var total, available millionths
	earlier := credits{}
	for _, r := range m.rules {
		mark := r.mark(tooth, inside, earlier)
		total += inMillionths(mark.Points)
		available += inMillionths(mark.Available)
		if mark.Happened {
			marks.Failed = true
			marks.Critical = append(marks.Critical, mark.Title+": "+mark.Evidence)
		}
		marks.Rules = append(marks.Rules, mark)
	}
	marks.Total, marks.Available = max(total, 0).points(), available.points()
	return marks
}

// canalsOf returns the canals of an outcome in its order.
func canalsOf(facts *Facts) []string {
	var canals []string
	for _, metric := range facts.Outcome.Metrics {
		if metric.Canal != "" && !slices.Contains(canals, metric.Canal) {
			canals = append(canals, metric.Canal)
		}
	}
	return canals
}

// verdict is a rule decided in one scope.
type verdict struct {
	scope    *scope
	credit   float64
	value    float64
	happened bool
	excused  bool
	evidence string
}

// credits is what rules earned so far, by id and canal ("" the rule as a whole).
type credits map[string]map[string]float64

// of returns what a rule earned in a canal, or as a whole when it is not about canals.
func (e credits) of(id, canal string) float64 {
	if share, found := e[id][canal]; found {
		return share
	}
	return e[id][""]
}

// excuseBelow is the share from which an earlier rule counts as earned, so that what follows from it is
// judged again: common practice, no source.
const excuseBelow = 0.5

// follow judges a rule again on the state that an earlier error left.
func (c *compiled) follow(v *verdict, earlier credits) {
	before := earlier.of(c.Follows, v.scope.canal)
	if c.Follows == "" || before >= 1 || v.credit >= 1 {
		return
	}
	if c.instead == nil {
		v.excused = before < excuseBelow
		if v.excused {
			v.evidence += "; not counted, since " + c.Follows + " has lost its points"
		}
		return
	}
	if share := c.instead.share(v.scope); share > v.credit {
		v.credit = share
		v.evidence += "; judged on what " + c.Follows + " left: " + c.instead.text + " = " + c.instead.show(v.scope)
	}
}

func (c *compiled) judge(s *scope) verdict {
	v := verdict{scope: s, credit: 1, evidence: c.evidence(s)}
	if c.Metric != "" {
		v.value = c.measured(s)
		v.credit = Ramp(c.Full, c.None, v.value)
	}
	if c.credit != nil {
		v.credit = c.credit.share(s)
	}
	if len(c.Order) > 0 {
		v.credit = s.orderShare(c.Order)
	}
	if c.when != nil {
		v.credit = c.gate(&v)
	}
	if c.Metric == "" {
		v.value = v.credit
	}
	if math.IsNaN(v.value) {
		v.value = 0 // the evidence says that it was not measured
	}
	return v
}

// gate returns the credit that When leaves. It opens a rule that gives points and one that takes them by
// a band; alone it says that a critical error, or what points are taken for, happened.
func (c *compiled) gate(v *verdict) float64 {
	is := c.when.yes(v.scope)
	v.happened = c.Critical && is
	alone := c.Metric == "" && c.credit == nil && len(c.Order) == 0
	switch {
	case c.Deduct > 0 && !alone && !is:
		return 1
	case c.Deduct > 0 && !alone:
		return v.credit
	case is == (c.Critical || c.Deduct > 0):
		if !is && !alone && c.Evidence != "" { // the figure alone would not tell why
			v.evidence += "; nothing is earned unless " + c.when.text
		}
		return 0
	}
	return v.credit
}

// measured is the value of the rule's metric.
func (c *compiled) measured(s *scope) float64 {
	where := s.canal
	if c.Canal == "" {
		where = ""
	}
	return s.of(c.Metric, where)
}

// mark decides the rule. What it earned is noted for the rules that follow from it.
func (c *compiled) mark(tooth *scope, canals []*scope, earlier credits) RuleMark {
	mark := RuleMark{
		ID: c.ID, Stage: c.Stage, Title: c.Title, Critical: c.Critical,
		Available: inMillionths(c.Points).points(), Action: -1,
	}
	judged := c.everywhere(tooth, canals)
	if len(judged) == 0 {
		mark.Evidence = "no canal " + c.Canal + " in this tooth"
		if c.Canal == EachCanal || c.Canal == WorstCanal {
			mark.Evidence = "no canal was measured"
		}
		return mark
	}
	for i := range judged {
		c.follow(&judged[i], earlier)
	}
	earlier[c.ID] = creditsOf(judged)
	decisive := c.decisive(judged)
	mark.Happened, mark.Excused = judged[decisive].happened, !slices.ContainsFunc(judged, counted)
	mark.Points, mark.Available = c.worth(judged, decisive)
	mark.Evidence = judged[decisive].evidence
	switch c.Canal {
	case EachCanal:
		mark.Evidence = c.joined(judged)
	case WorstCanal:
		mark.Evidence = judged[decisive].led()
	}
	if c.Canal == EachCanal || c.Canal == WorstCanal {
		mark.Parts = c.parts(judged)
	}
	if mark.Happened || !c.Critical {
		mark.Action = c.pointsTo(judged[decisive].scope)
	}
	return mark
}

func counted(v verdict) bool { return !v.excused }

// creditsOf returns the credits of a rule by canal, and their mean under "".
func creditsOf(judged []verdict) map[string]float64 {
	shares := map[string]float64{}
	sum := 0.0
	for _, v := range judged {
		shares[v.scope.canal] = v.credit
		sum += v.credit
	}
	shares[""] = sum / float64(len(judged))
	return shares
}

// give returns the points of a credit when so many of the rule's points are at stake.
func (c *compiled) give(credit, stake float64) millionths {
	if c.Deduct > 0 {
		return -inMillionths(c.Deduct * (stake - credit))
	}
	return inMillionths(c.Points * credit)
}

// worth returns the points of the rule and those available, excused canals left out.
func (c *compiled) worth(judged []verdict, decisive int) (points, available float64) {
	if c.Canal != EachCanal {
		if judged[decisive].excused {
			return 0, 0
		}
		return c.give(judged[decisive].credit, 1).points(), inMillionths(c.Points).points()
	}
	sum, n := 0.0, 0.0
	for _, v := range judged {
		if !v.excused {
			sum += v.credit
			n++
		}
	}
	all := float64(len(judged))
	return c.give(sum/all, n/all).points(), inMillionths(c.Points * (n / all)).points()
}

// everywhere judges the rule in each scope it speaks of.
func (c *compiled) everywhere(tooth *scope, canals []*scope) []verdict {
	if c.Canal == "" {
		return []verdict{c.judge(tooth)}
	}
	var judged []verdict
	for _, s := range canals {
		if c.Canal == EachCanal || c.Canal == WorstCanal || c.Canal == s.canal {
			judged = append(judged, c.judge(s))
		}
	}
	return judged
}

// decisive returns the first canal in which a critical error happened, else the first with the least
// credit.
func (c *compiled) decisive(judged []verdict) int {
	least := 0
	for i, v := range judged {
		if v.happened {
			return i
		}
		if judged[least].excused && !v.excused || v.credit < judged[least].credit && !v.excused {
			least = i
		}
	}
	return least
}

// parts shares the points over the canals. With EachCanal shares are differences of running sums, so
// that they add up to the rule's points although a third of ten is no whole number of millionths.
func (c *compiled) parts(judged []verdict) []Part {
	parts := make([]Part, len(judged))
	n := float64(len(judged))
	credit, stake, earned, offered := 0.0, 0.0, millionths(0), millionths(0)
	for i, v := range judged {
		part := Part{Canal: v.scope.canal, Value: v.value, Evidence: v.evidence}
		switch {
		case c.Canal == WorstCanal && !v.excused:
			part.Points, part.Available = c.give(v.credit, 1).points(), inMillionths(c.Points).points()
		case c.Canal == EachCanal && !v.excused:
			credit += v.credit
			stake++
			upTo, of := c.give(credit/n, stake/n), inMillionths(c.Points*(stake/n))
			part.Points, part.Available = (upTo - earned).points(), (of - offered).points()
			earned, offered = upTo, of
		}
		parts[i] = part
	}
	return parts
}

// pointsTo returns the action that the evidence is about: that of the first event which explains the
// rule's figures, else the first action the rule names, else −1.
func (c *compiled) pointsTo(s *scope) int {
	for i := range s.facts.Events {
		e := &s.facts.Events[i]
		if slices.Contains(c.events, e.Kind) && s.sees(e.Canal, nil) {
			return e.Action
		}
	}
	for i := range s.facts.Actions {
		a := &s.facts.Actions[i]
		if s.sees(a.Canal, nil) && slices.ContainsFunc(c.deeds, func(d deed) bool { return d.matches(a) }) {
			return i
		}
	}
	return -1
}
