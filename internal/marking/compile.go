package marking

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/treatment"
)

// Marker is a list of rules found to be without fault. It is never changed and may be used by many at
// once.
type Marker struct {
	words Vocabulary
	rules []*compiled
}

// compiled is a rule ready to be decided.
type compiled struct {
	Rule
	unit         string // of the metric
	about        string // the metric in words
	flag         bool   // the metric is yes or no
	when, credit *expression
	instead      *expression
	pieces       []piece
	events       []treatment.EventKind // that the evidence points to
	deeds        []deed
}

// Compile checks rules against the engine's own vocabulary and makes a Marker of them. All faults of
// all rules are returned at once, in the order of the rules; with any fault the Marker is nil. A list
// without rules is good and marks nothing. Checked by TestFaults.
func Compile(rules []Rule) (*Marker, []Fault) { return Standard().Compile(rules) }

// Compile is the function Compile with another vocabulary, for instance one that knows the canals of
// the tooth.
func (v Vocabulary) Compile(rules []Rule) (*Marker, []Fault) {
	if len(rules) > maxRules {
		return nil, []Fault{{Rule: maxRules, Field: "id", Message: "more than " + strconv.Itoa(maxRules) + " rules"}}
	}
	m := &Marker{words: v}
	var faults []Fault
	tooth, canal := newLanguage(&m.words, false), newLanguage(&m.words, true)
	for i := range rules {
		c := &checker{words: &m.words, language: tooth, index: i, rule: &compiled{Rule: rules[i]}}
		if rules[i].Canal != "" {
			c.language = canal
		}
		c.check(rules[:i])
		faults = append(faults, c.faults...)
		m.rules = append(m.rules, c.rule)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return m, nil
}

// Rules returns the rules in their order.
func (m *Marker) Rules() []Rule {
	rules := make([]Rule, len(m.rules))
	for i, r := range m.rules {
		rules[i] = r.Rule
	}
	return rules
}

// checker gathers the faults of one rule while it is compiled.
type checker struct {
	words    *Vocabulary
	language *language
	index    int
	rule     *compiled
	faults   []Fault
}

func (c *checker) add(field, message string) {
	c.faults = append(c.faults, Fault{Rule: c.index, Field: field, Message: message})
}

func (c *checker) addAll(field string, problems []problem) {
	for _, p := range problems {
		c.faults = append(c.faults, Fault{c.index, field, p.line, p.column, p.message})
	}
}

func (c *checker) check(earlier []Rule) {
	c.identity(earlier)
	c.points()
	c.taking()
	c.canal()
	c.way()
	c.band()
	c.order()
	c.following(earlier)
	c.expressions()
}

func (c *checker) identity(earlier []Rule) {
	r := c.rule
	if r.ID == "" {
		c.add("id", "missing: a short word by which marks name the rule")
	}
	if i := slices.IndexFunc(earlier, func(e Rule) bool { return e.ID == r.ID }); i >= 0 && r.ID != "" {
		c.add("id", "\""+r.ID+"\" is also the id of rule "+strconv.Itoa(i+1))
	}
	if r.Stage != "" && !slices.Contains(stageNames(), r.Stage) {
		message := unknown("stage", r.Stage, stageNames())
		if !strings.Contains(message, "did you mean") {
			message = "unknown stage \"" + r.Stage + "\", allowed: " + strings.Join(stageNames(), ", ")
		}
		c.add("stage", message)
	}
	if r.Title == "" {
		r.Title = r.ID
	}
}

func (c *checker) points() {
	switch p := c.rule.Points; {
	case math.IsNaN(p) || p > maxPoints:
		c.add("points", "not a number between 0 and "+strconv.Itoa(maxPoints))
	case p < 0:
		c.add("points", "negative: a rule gives points; write deduct: "+strconv.FormatFloat(-p, 'g', -1, 64)+" to take them away")
	case p > 0 && c.rule.Deduct != 0:
		c.add("deduct", "the rule gives points too: keep the one or the other")
	case p == 0 && !c.rule.Critical && c.rule.Deduct == 0:
		c.add("points", "missing: the rule can never pay (only a critical rule may do without)")
	}
}

// taking checks what points are taken away.
func (c *checker) taking() {
	switch d := c.rule.Deduct; {
	case d == 0:
	case math.IsNaN(d) || d < 0 || d > maxPoints:
		c.add("deduct", "not a number above 0 and up to "+strconv.Itoa(maxPoints)+": it says how many points are taken away")
	case c.rule.Critical:
		c.add("deduct", "a critical rule fails the run: leave deduct out")
	}
}

// following checks the rule that this one follows from.
func (c *checker) following(earlier []Rule) {
	r := c.rule
	var ids []string
	for _, e := range earlier {
		ids = append(ids, e.ID)
	}
	switch {
	case r.Follows == "" && r.Instead == "":
	case r.Follows == "":
		c.add("instead", "is the credit when an earlier rule lost points: name that rule with follows")
	case r.Critical || r.Deduct > 0:
		c.add("follows", "only a rule that gives points can follow from another")
	case !slices.Contains(ids, r.Follows):
		c.add("follows", unknown("earlier rule", r.Follows, ids))
	}
}

// order checks the steps of an order.
func (c *checker) order() {
	r := c.rule
	if len(r.Order) == 1 {
		c.add("order", "is one step: an order needs two or more")
	}
	for i, step := range r.Order {
		if fault := c.words.deedFault(step); fault != "" {
			c.add("order", "step "+strconv.Itoa(i+1)+": "+fault)
			continue
		}
		r.deeds = append(r.deeds, readDeed(step))
	}
}

func (c *checker) canal() {
	switch canal := c.rule.Canal; {
	case canal == "" || canal == EachCanal || canal == WorstCanal || len(c.words.Canals) == 0:
	case !slices.Contains(c.words.Canals, canal):
		c.add("canal", unknown("canal", canal, append([]string{EachCanal, WorstCanal}, c.words.Canals...)))
	}
}

// way checks that the rule earns in exactly one way.
func (c *checker) way() {
	r := c.rule
	switch {
	case r.Critical && (r.Metric != "" || r.Credit != "" || len(r.Order) > 0):
		c.add("critical", "a critical rule has only when: true means that the error happened")
	case r.Critical && r.When == "":
		c.add("when", "missing: a critical rule says here when the error happened")
	case r.Metric != "" && r.Credit != "":
		c.add("credit", "the rule has a metric too: keep the one or the other")
	case len(r.Order) > 0 && (r.Metric != "" || r.Credit != ""):
		c.add("order", "the rule has a metric or a credit too: keep one of them")
	case r.Metric == "" && r.Credit == "" && r.When == "" && len(r.Order) == 0:
		c.add("when", "missing: a rule needs metric and full, or credit, or order, or when")
	}
}

func (c *checker) band() {
	r := c.rule
	if r.Metric == "" {
		if r.Full.set() || r.None.set() {
			c.add("metric", "missing: full and none are bounds of a metric")
		}
		return
	}
	d, known := c.words.metric(r.Metric)
	switch {
	case !known && r.Canal == "":
		c.add("metric", unknown("metric", r.Metric, c.words.metricNames(anyMetric)))
	case !known:
		c.add("metric", unknown("canal metric", r.Metric, c.words.metricNames(canalMetric)))
	case d.PerCanal && r.Canal == "":
		c.add("canal", r.Metric+" is measured in each canal: write canal: each, worst or a canal's name")
	case !d.PerCanal && r.Canal != "":
		c.add("canal", r.Metric+" is measured on the whole tooth: leave canal out")
	}
	r.unit = unitShown(d)
	r.about, r.flag = inWords(d)
	r.events = append(r.events, shownBy(r.Metric)...)
	if c.bounds() && known && d.Low < d.High && !r.Full.reachable(d.Low, d.High) {
		c.add("full", "can never pay: "+r.Metric+" lies between "+figure(d.Low, "")+" and "+figure(d.High, d.Unit))
	}
}

// bounds checks full and none and reports whether both are sound.
func (c *checker) bounds() bool {
	full, none := c.rule.Full, c.rule.None
	before := len(c.faults)
	if !full.set() {
		c.add("full", "missing: the bound within which all points are given, for instance <= 0.1")
	} else if fault := full.fault(); fault != "" {
		c.add("full", fault)
	}
	if none.set() && none.fault() != "" {
		c.add("none", none.fault())
	}
	if len(c.faults) > before || !none.set() {
		return len(c.faults) == before
	}
	wider := none.Value - full.Value
	switch direction := full.direction(); {
	case direction == 0 || none.direction() == 0:
		c.add("none", "== gives all or nothing: leave none out")
	case direction == none.direction():
		c.add("none", "must point the other way than full, as in full <= 0.1 and none >= 0.3")
	case wider == 0:
		c.add("none", "the same value as full: leave it out for all or nothing")
	case (wider > 0) != (direction < 0):
		c.add("none", "lies inside full, where all points are given already")
	}
	return len(c.faults) == before
}

func (c *checker) expressions() {
	r := c.rule
	l := c.language
	if r.When != "" {
		r.when = c.expression(l, "when", r.When, reflect.Bool)
	}
	if r.Credit != "" {
		r.credit = c.expression(l, "credit", r.Credit, reflect.Float64)
	}
	if r.Instead != "" {
		r.instead = c.expression(l, "instead", r.Instead, reflect.Float64)
	}
	c.constants()
	pieces, problems := r.compileEvidence(l)
	c.addAll("evidence", problems)
	r.pieces = pieces
	for _, e := range []*expression{r.when, r.credit} {
		if e != nil {
			r.events = append(r.events, e.events...)
			r.deeds = append(r.deeds, e.deeds...)
		}
	}
	for _, p := range pieces {
		if p.asked != nil {
			r.events = append(r.events, p.asked.events...)
		}
	}
}

func (c *checker) expression(l *language, field, text string, want reflect.Kind) *expression {
	e, problems := l.compile(text)
	c.addAll(field, problems)
	if e == nil {
		return nil
	}
	if e.gives == want {
		return e
	}
	message := "must be a condition, as in count(\"ledge\") == 0"
	if want == reflect.Float64 {
		message = "must be a number from 0 to 1, as in ramp(transport_max_mm, 0.1, 0.3)"
	}
	if _, bare := c.words.metric(text); bare && want == reflect.Bool {
		message = text + " is a number: compare it, as in " + text + " == 1"
	}
	c.addAll(field, []problem{{1, 1, message}})
	return nil
}

// constants refuses rules that always give the same, whatever was done.
func (c *checker) constants() {
	nothing := newScope(c.words, &Facts{}, nil, "")
	r := c.rule
	if r.when != nil && r.when.constant {
		if happens := r.when.yes(nothing); happens == r.Critical {
			c.add("when", map[bool]string{
				true:  "always true: the critical error would happen to everyone",
				false: "never true: the rule can never pay",
			}[happens])
		}
	}
	if r.credit != nil && r.credit.constant && r.credit.share(nothing) == 0 {
		c.add("credit", "always 0: the rule can never pay")
	}
}
