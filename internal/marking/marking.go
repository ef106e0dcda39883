// Package marking holds the instructor's rules over an outcome, its actions and its events: points,
// evidence and critical errors.
//
// The main idea: Compile turns a list of Rules into a Marker, or into all the Faults the list has;
// Marker.Mark reads the Facts of one finished run and returns Marks in which every rule carries the
// figures it was decided on. A rule is best written as a band on one metric (full marks at one bound,
// none at another, a straight ramp between); an expression is there for what a band cannot say.
//
// Metrics are in the units of treatment.MetricTable. Points are kept to a millionth and summed as
// whole millionths, so neither the order of rules nor the target changes a total. Expressions know
// only numbers, yes/no and words; they have no loop, no power and no clock, at most 500 parts, and so
// always end with the same bits everywhere.
//
// The package reads no file: package scenario turns YAML into Rules and places Faults in the file.
// Begin reading at compile.go for what a rule may be and at mark.go for how it is decided;
// Functions lists what an expression may call.
package marking

import "tugback/internal/treatment"

// Canal words of a rule that is not about one named canal.
const (
	EachCanal  = "each"  // the points are shared equally over the canals
	WorstCanal = "worst" // the canal with the least credit decides
)

// Rule is one line of the instructor's marking sheet. It earns in exactly one of four ways:
//
//   - a band: Metric with Full and perhaps None;
//   - Credit, a share of the points from 0 to 1;
//   - Order: the share of the steps that were done, each after those before it;
//   - When alone: all points when it is true.
//
// When beside a band or Credit is a gate: while it is false nothing is earned. With Critical the sense
// turns: When true means that the critical error happened. A critical rule needs When, takes neither
// band nor Credit, and may carry points, which are earned by staying clear of the error.
//
// With Deduct the rule takes points away instead: as many as its credit falls short of one, and with
// When alone all of them when it is true. Nothing is taken below zero in all.
//
// With Follows a later step is judged on the state the student had, so that one error is not punished
// again and again. When the earlier rule lost points in the same canal, Instead is a second credit and
// the better of the two counts; without Instead the rule is left out of the marks, earned and available
// alike, when it lost points itself and the earlier rule earned less than half.
type Rule struct {
	ID     string
	Stage  string // a stage of the procedure as in treatment.Kind.Stage, or ""
	Title  string
	Points float64 // > 0; 0 only with Critical

	// Canal is "" for a rule about the tooth, EachCanal, WorstCanal, or a canal's name.
	Canal  string
	Metric string
	Full   Bound // condition for all the points
	None   Bound // condition for none of them; unset: all or nothing

	When     string // expression, yes/no
	Credit   string // expression, number; below 0 counts as 0 and above 1 as 1
	Critical bool

	Deduct  float64  // points taken away, > 0; Points is then 0
	Order   []string // actions in the order in which they are first to be done
	Follows string   // id of an earlier rule
	Instead string   // expression, number: the credit when Follows lost points

	// Evidence is a sentence with placeholders in braces: a metric or any expression, and canal,
	// value, full and none. Empty: a plain statement of what was compared.
	Evidence string
	Source   string // where the standard the rule sets comes from
}

// Facts are what a run leaves for marking.
type Facts struct {
	Outcome treatment.Outcome
	Actions []treatment.Action
	Events  []treatment.Event
}

// Marks are the marks of one run. Total is at least 0 and at most Available; both are multiples of a
// millionth.
type Marks struct {
	Total     float64    `json:"total"`
	Available float64    `json:"available"`
	Failed    bool       `json:"failed"`   // a critical error happened; Total stays as earned
	Critical  []string   `json:"critical"` // why, one sentence for each critical error
	Rules     []RuleMark `json:"rules"`
}

// RuleMark is what one rule gave and why.
type RuleMark struct {
	ID        string  `json:"id"`
	Stage     string  `json:"stage"`
	Title     string  `json:"title"`
	Points    float64 `json:"points"`
	Available float64 `json:"available"`
	Evidence  string  `json:"evidence"`
	Action    int     `json:"action"` // index of the action the evidence points to, -1 none
	Critical  bool    `json:"critical"`
	Happened  bool    `json:"happened,omitempty"` // the critical error happened
	Excused   bool    `json:"excused,omitempty"`  // left out: an earlier rule has taken the points already
	Parts     []Part  `json:"parts,omitempty"`    // with EachCanal and WorstCanal
}

// Part is one canal's share in a rule. With EachCanal the points of the parts add up to the rule's;
// with WorstCanal every part shows what the rule would have given had that canal decided.
type Part struct {
	Canal     string  `json:"canal"`
	Points    float64 `json:"points"`
	Available float64 `json:"available"`
	Value     float64 `json:"value"` // the metric of a band, else the credit
	Evidence  string  `json:"evidence"`
}

// Fault is one thing wrong with a list of rules.
type Fault struct {
	Rule    int    // index of the rule
	Field   string // field in lower case, as a scenario writes it
	Line    int    // line within the field's text, from 1; 0 when the whole field is meant
	Column  int    // character within that line, from 1; 0 when the whole field is meant
	Message string // what is wrong, what is allowed, the likely word
}

// limits of a list of rules, far above what a marking sheet holds.
const (
	maxRules      = 500
	maxPoints     = 10000
	maxExpression = 2000 // bytes; it also bounds how deeply brackets can nest
	maxNodes      = 500
)
