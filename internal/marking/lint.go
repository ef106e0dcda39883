package marking

import "strconv"

// Lint returns what is suspicious about rules that are otherwise without fault: one that nobody can lose
// or earn in full, one whose lower bound no value reaches, one whose condition the ranges of the metrics decide.
// Checked by TestLint and TestReach.
func (v Vocabulary) Lint(rules []Rule) []Fault {
	m, faults := v.Compile(rules)
	if len(faults) > 0 {
		return nil
	}
	var found []Fault
	for i, r := range m.rules {
		add := func(field, message string) {
			found = append(found, Fault{Rule: i, Field: field, Message: message})
		}
		r.lintBand(v, add)
		r.lintReach(&v, add)
		nothing := newScope(&v, &Facts{}, nil, "")
		if r.when != nil && r.when.constant && r.when.yes(nothing) != r.Critical {
			add("when", "is always the same, whatever was done: the rule decides nothing")
		}
		if r.credit != nil && r.credit.constant && r.credit.share(nothing) > 0 {
			add("credit", "is always the same, whatever was done: everyone earns it")
		}
	}
	return found
}

// lintBand finds bounds that the range of the metric makes idle.
func (c *compiled) lintBand(v Vocabulary, add func(field, message string)) {
	d, known := v.metric(c.Metric)
	if !known || d.Low >= d.High {
		return
	}
	between := d.Name + " lies between " + figure(d.Low, "") + " and " + figure(d.High, d.Unit)
	switch {
	case c.Full.holds(d.Low) && c.Full.holds(d.High) && c.Full.direction() != 0:
		add("full", "is met by every value: nobody can lose the points; "+between)
	case c.None.set() && !c.None.reachable(d.Low, d.High):
		add("none", "is met by no value: nobody can lose all the points; "+between)
	}
}

// Deeds returns the actions that rule i names, each as the rule writes it. It panics when there is no
// rule i.
func (m *Marker) Deeds(i int) []string {
	var names []string
	for _, d := range m.rules[i].deeds {
		name := string(d.kind)
		if d.word != "" {
			name += " " + d.word
		}
		names = append(names, name)
	}
	return names
}

// Explain returns in sentences how a rule is earned, for instructors and students.
func (r Rule) Explain() []string {
	var lines []string
	say := func(text string) { lines = append(lines, text) }
	switch {
	case r.Critical && r.Points > 0:
		say(points(r.Points) + " for staying clear of a critical error, which fails the run.")
	case r.Critical:
		say("A critical error: when it happens, the run fails, whatever else was earned.")
	case r.Deduct > 0:
		say("Takes up to " + points(r.Deduct) + " away; nothing falls below zero in all.")
	default:
		say(points(r.Points) + ".")
	}
	r.explainWay(say)
	switch r.Canal {
	case EachCanal:
		say("Judged in each canal; the points are shared equally over the canals.")
	case WorstCanal:
		say("The canal with the least credit decides.")
	case "":
	default:
		say("Judged in the canal " + r.Canal + ".")
	}
	switch {
	case r.Follows != "" && r.Instead != "":
		say("When the rule " + r.Follows + " has lost points, it is also judged by " + r.Instead + ", and the better counts.")
	case r.Follows != "":
		say("When the rule " + r.Follows + " has lost half its points or more, a loss here is not counted again.")
	}
	if r.Source != "" {
		say("Source: " + r.Source + ".")
	}
	return lines
}

// explainWay says what earns or loses.
func (r Rule) explainWay(say func(string)) {
	switch {
	case r.Metric != "":
		d, _ := (&Vocabulary{Metrics: Standard().Metrics}).metric(r.Metric)
		unit := unitShown(d)
		text := "All of it where " + r.Metric + " is " + r.Full.text(unit)
		if r.None.set() {
			text += ", none where it is " + r.None.text(unit) + ", a straight line between"
		} else {
			text += ", else none"
		}
		say(text + ". " + r.Metric + ": " + d.Text + ".")
	case r.Credit != "":
		say("The share of the points (0 to 1) is " + r.Credit + ".")
	case len(r.Order) > 0:
		say("The share of these steps that are done, each first done after the ones before it:")
		for i, step := range r.Order {
			say("  " + strconv.Itoa(i+1) + ". " + step)
		}
	}
	alone := r.Metric == "" && r.Credit == "" && len(r.Order) == 0
	switch {
	case r.When == "":
	case alone && (r.Critical || r.Deduct > 0):
		say("It happens when " + r.When + ".")
	case alone:
		say("Earned when " + r.When + ".")
	default:
		say("Only counted when " + r.When + ".")
	}
}

func points(p float64) string {
	if p == 1 {
		return "1 point"
	}
	return bare(p) + " points"
}
