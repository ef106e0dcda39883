package marking

import (
	"math"

	"github.com/expr-lang/expr/ast"
)

// span is where a number can lie.
type span struct{ low, high float64 }

// anything is a span of which nothing is known.
var anything = span{math.Inf(-1), math.Inf(1)}

// truth is what is known of a condition.
type truth int

const (
	maybe truth = iota
	never
	always
)

// not returns the truth of the opposite.
func (t truth) not() truth {
	switch t {
	case never:
		return always
	case always:
		return never
	case maybe:
	}
	return maybe
}

// reacher finds out where an expression can lie when every metric lies in its range, whatever was done. It knows
// nothing of how metrics and actions go together, so that what it says always or never of is so, and other
// conditions may be so too. Checked by TestReach.
type reacher struct{ words *Vocabulary }

// holds returns what is known of a condition.
func (r reacher) holds(node ast.Node) truth {
	switch n := node.(type) {
	case *ast.BoolNode:
		if n.Value {
			return always
		}
		return never
	case *ast.UnaryNode:
		if n.Operator == "not" || n.Operator == "!" {
			return r.holds(n.Node).not()
		}
	case *ast.BinaryNode:
		return r.binary(n)
	}
	return maybe
}

// binary returns what is known of two conditions joined, or of a comparison.
func (r reacher) binary(n *ast.BinaryNode) truth {
	switch n.Operator {
	case "and", "&&":
		a, b := r.holds(n.Left), r.holds(n.Right)
		switch {
		case a == never || b == never:
			return never
		case a == always && b == always:
			return always
		}
	case "or", "||":
		a, b := r.holds(n.Left), r.holds(n.Right)
		switch {
		case a == always || b == always:
			return always
		case a == never && b == never:
			return never
		}
	case "<", "<=", ">", ">=", "==", "!=":
		return compare(n.Operator, r.lies(n.Left), r.lies(n.Right))
	}
	return maybe
}

// compare returns what is known of a comparison of two numbers.
func compare(operator string, a, b span) truth {
	switch operator {
	case ">":
		return compare("<", b, a)
	case ">=":
		return compare("<=", b, a)
	case "!=":
		return compare("==", a, b).not()
	case "<":
		switch {
		case a.high < b.low:
			return always
		case a.low >= b.high:
			return never
		}
	case "<=":
		switch {
		case a.high <= b.low:
			return always
		case a.low > b.high:
			return never
		}
	case "==":
		switch {
		case a.low == a.high && a == b:
			return always
		case a.high < b.low || b.high < a.low:
			return never
		}
	}
	return maybe
}

// lies returns where a number can lie.
func (r reacher) lies(node ast.Node) span {
	switch n := node.(type) {
	case *ast.IntegerNode:
		return span{float64(n.Value), float64(n.Value)}
	case *ast.FloatNode:
		return span{n.Value, n.Value}
	case *ast.IdentifierNode:
		return r.metric(n.Value)
	case *ast.UnaryNode:
		if inner := r.lies(n.Node); n.Operator == "-" {
			return span{-inner.high, -inner.low}
		}
	case *ast.BinaryNode:
		a, b := r.lies(n.Left), r.lies(n.Right)
		switch n.Operator {
		case "+":
			return span{a.low + b.low, a.high + b.high}
		case "-":
			return span{a.low - b.high, a.high - b.low}
		}
	case *ast.CallNode:
		if callee, named := n.Callee.(*ast.IdentifierNode); named {
			return r.call(callee.Value, n.Arguments)
		}
	}
	return anything
}

// metric returns the range of a metric.
func (r reacher) metric(name string) span {
	if d, known := r.words.metric(name); known && d.Low < d.High {
		return span{d.Low, d.High}
	}
	return anything
}

// call returns where a function's value can lie. A clock is left out: never read, it meets no condition.
func (r reacher) call(name string, arguments []ast.Node) span {
	inner := make([]span, len(arguments))
	for i, a := range arguments {
		inner[i] = r.lies(a)
	}
	switch name {
	case "count", "actions", "first", "last", "volume", "seconds":
		return span{0, math.Inf(1)}
	case "of", "max_of", "min_of":
		if metric, named := arguments[0].(*ast.StringNode); named {
			return r.metric(metric.Value)
		}
	case "ramp":
		return span{0, 1}
	case "abs":
		a := inner[0]
		low := math.Max(0, math.Max(a.low, -a.high))
		return span{low, math.Max(math.Abs(a.low), math.Abs(a.high))}
	case "min", "max":
		all := inner[0]
		for _, s := range inner[1:] {
			if name == "min" {
				all = span{math.Min(all.low, s.low), math.Min(all.high, s.high)}
			} else {
				all = span{math.Max(all.low, s.low), math.Max(all.high, s.high)}
			}
		}
		return all
	}
	return anything
}

// lintReach finds conditions and credits that the ranges of the metrics decide, whatever is done.
func (c *compiled) lintReach(v *Vocabulary, add func(field, message string)) {
	r := reacher{v}
	alone := c.Metric == "" && c.Credit == "" && len(c.Order) == 0
	if c.when != nil && !c.when.constant {
		switch t := r.holds(c.when.tree); {
		case t == never && (c.Critical || c.Deduct > 0):
			add("when", "holds for no value that the metrics can have: it never happens")
		case t == never:
			add("when", "holds for no value that the metrics can have: nobody can earn the points")
		case t == always && c.Critical:
			add("when", "holds for every value that the metrics can have: every run fails")
		case t == always && c.Deduct > 0:
			add("when", "holds for every value that the metrics can have: everyone loses the points")
		case t == always && alone:
			add("when", "holds for every value that the metrics can have: nobody can lose the points")
		}
	}
	if c.credit != nil && !c.credit.constant {
		switch s := r.lies(c.credit.tree); {
		case s.high <= 0:
			add("credit", "is 0 for every value that the metrics can have: nobody can earn the points")
		case s.low >= 1:
			add("credit", "is 1 for every value that the metrics can have: nobody can lose the points")
		}
	}
}
