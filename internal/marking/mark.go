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
	for _, r := range m.rules {
		mark := r.mark(tooth, inside)
		total += inMillionths(mark.Points)
		available += inMillionths(mark.Available)
		if mark.Happened {
			marks.Failed = true
			marks.Critical = append(marks.Critical, mark.Title+": "+mark.Evidence)
		}
		marks.Rules = append(marks.Rules, mark)
	}
	marks.Total, marks.Available = total.points(), available.points()
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
	evidence string
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
	if c.when != nil {
		is := c.when.yes(s)
		v.happened = c.Critical && is
		if is == c.Critical {
			v.credit = 0
		}
	}
	if c.Metric == "" {
		v.value = v.credit
	}
	if math.IsNaN(v.value) {
		v.value = 0 // the evidence says that it was not measured
	}
	return v
}

// measured is the value of the rule's metric.
func (c *compiled) measured(s *scope) float64 {
	where := s.canal
	if c.Canal == "" {
		where = ""
	}
	return s.of(c.Metric, where)
}

// mark decides the rule.
func (c *compiled) mark(tooth *scope, canals []*scope) RuleMark {
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
	decisive := c.decisive(judged)
	mark.Happened = judged[decisive].happened
	credit := judged[decisive].credit
	if c.Canal == EachCanal {
		credit = meanCredit(judged)
	}
	mark.Points = inMillionths(c.Points * credit).points()
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
		if v.credit < judged[least].credit {
			least = i
		}
	}
	return least
}

func meanCredit(judged []verdict) float64 {
	sum := 0.0
	for _, v := range judged {
		sum += v.credit
	}
	return sum / float64(len(judged))
}

// parts shares the points over the canals. With EachCanal shares are differences of running sums, so
// that they add up to the rule's points although a third of ten is no whole number of millionths.
func (c *compiled) parts(judged []verdict) []Part {
	parts := make([]Part, len(judged))
	n := float64(len(judged))
	credit, earned, offered := 0.0, millionths(0), millionths(0)
	for i, v := range judged {
		part := Part{Canal: v.scope.canal, Value: v.value, Evidence: v.evidence}
		if c.Canal == WorstCanal {
			part.Points, part.Available = inMillionths(c.Points*v.credit).points(), inMillionths(c.Points).points()
			parts[i] = part
			continue
		}
		credit += v.credit
		upTo, of := inMillionths(c.Points*(credit/n)), inMillionths(c.Points*(float64(i+1)/n))
		part.Points, part.Available = (upTo - earned).points(), (of - offered).points()
		earned, offered = upTo, of
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
