package marking

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/vm"

	"tugback/internal/treatment"
)

// maxLiteral bounds a number written in an expression, so that it fits an int of 32 bits and is read
// alike on every target.
const maxLiteral = 1e9

// operators are those of the language. Powers are left out because they are not the same on every
// target, remainders and ranges because they need whole numbers.
func operators() []string {
	return []string{"+", "-", "*", "/", "==", "!=", "<", "<=", ">", ">=", "and", "&&", "or", "||", "not", "!", "in"}
}

// problem is a fault within a text.
type problem struct {
	line, column int
	message      string
}

// expression is a compiled expression and what it speaks of.
type expression struct {
	text     string
	program  *vm.Program
	gives    reflect.Kind // Bool, Float64 or String
	unit     string       // of a bare metric or of a function that returns one metric
	constant bool         // it reads no fact
	events   []treatment.EventKind
	deeds    []deed
	tree     ast.Node // as read, for Lint
}

// language compiles the expressions of a set of rules.
type language struct {
	words *Vocabulary
	canal bool           // metrics of a canal are in sight
	names map[string]any // what stands for what, for types only
	shape *conf.Config   // for reading a text
	done  map[string]translated
}

// translated is what came of a text: rules of a set often say the same.
type translated struct {
	expression *expression
	problems   []problem
}

func newLanguage(words *Vocabulary, canal bool) *language {
	at := ""
	if canal {
		at = "?"
	}
	l := &language{words: words, canal: canal, names: newScope(words, &Facts{}, nil, at).names, shape: conf.CreateNew(), done: map[string]translated{}}
	for _, o := range l.options() {
		o(l.shape)
	}
	l.shape.Check()
	return l
}

// compile turns a text into an expression, or into what is wrong with it.
func (l *language) compile(text string) (*expression, []problem) {
	t, known := l.done[text]
	if !known {
		t.expression, t.problems = l.translate(text)
		l.done[text] = t
	}
	return t.expression, t.problems
}

func (l *language) translate(text string) (*expression, []problem) {
	if len(text) > maxExpression {
		return nil, []problem{{0, 0, "longer than " + strconv.Itoa(maxExpression) + " characters"}}
	}
	tree, err := parser.ParseWithConfig(text, l.shape)
	if err != nil {
		return nil, []problem{problemOf(err)}
	}
	r := &reader{language: l, source: []rune(text), found: &expression{text: text, constant: true}}
	r.read(tree.Node)
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	program, err := expr.Compile(text, l.options()...)
	if err != nil {
		return nil, []problem{problemOf(err)}
	}
	r.found.program, r.found.tree = program, tree.Node
	r.found.gives = program.Node().Type().Kind()
	r.found.unit = l.unitOf(tree.Node)
	return r.found, nil
}

func (l *language) options() []expr.Option {
	return []expr.Option{
		expr.Env(l.names), expr.DisableAllBuiltins(), expr.DisableIfOperator(), expr.MaxNodes(maxNodes),
		expr.Optimize(false), expr.Patch(decimals{}),
	}
}

// decimals makes every whole number a decimal: the language has one kind of number, since the width
// of int differs between targets.
type decimals struct{}

// Visit replaces the node if it is a whole number.
func (decimals) Visit(node *ast.Node) {
	if n, whole := (*node).(*ast.IntegerNode); whole {
		ast.Patch(node, &ast.FloatNode{Value: float64(n.Value)})
	}
}

// problemOf places an error of the expression library and says it in our words.
func problemOf(err error) problem {
	var placed *file.Error
	if !errors.As(err, &placed) {
		return problem{1, 1, plainly(err.Error())}
	}
	return problem{placed.Line, placed.Column + 1, plainly(placed.Message)}
}

func plainly(message string) string {
	switch {
	case strings.HasPrefix(message, `unexpected token Operator("=")`):
		return "one = compares nothing; write == for equal"
	case strings.HasPrefix(message, "unexpected token EOF"):
		return "the expression ends too early"
	case strings.Contains(message, "exceeds maximum allowed nodes"):
		return "more than " + strconv.Itoa(maxNodes) + " parts"
	}
	text := strings.NewReplacer("float64", "number", "interface {}", "value", "string", "word", "bool", "yes/no").Replace(message)
	before, types, found := strings.Cut(strings.TrimSuffix(text, ")"), " (mismatched types ")
	one, other, _ := strings.Cut(types, " and ")
	if !found || other == "" {
		return text
	}
	operator := strings.TrimPrefix(before, "invalid operation: ")
	return fmt.Sprintf("a %s and a %s cannot go together with %s: use two of a kind, as in minutes < 90 or last_agent() == \"edta\"", one, other, operator)
}

// reader walks over a parsed expression, allows only what the language has, and notes what is named.
type reader struct {
	*language
	source   []rune
	local    []string // names made by let
	found    *expression
	problems []problem
}

func (r *reader) fault(n ast.Node, message string) {
	from := min(n.Location().From, len(r.source))
	line, column := 1, 1
	for _, c := range r.source[:from] {
		column++
		if c == '\n' {
			line, column = line+1, 1
		}
	}
	r.problems = append(r.problems, problem{line, column, message})
}

// read checks a node and what is under it; the depth is bounded by maxNodes and maxExpression.
func (r *reader) read(node ast.Node) {
	switch n := node.(type) {
	case *ast.IntegerNode:
		r.literal(n, float64(n.Value))
	case *ast.FloatNode:
		r.literal(n, n.Value)
	case *ast.BoolNode, *ast.StringNode:
	case *ast.IdentifierNode:
		r.name(n)
	case *ast.UnaryNode:
		r.read(n.Node)
	case *ast.BinaryNode:
		r.binary(n)
	case *ast.CallNode:
		r.call(n)
	case *ast.ConditionalNode:
		r.choice(n)
	case *ast.VariableDeclaratorNode:
		r.read(n.Value)
		r.local = append(r.local, n.Name)
		r.read(n.Expr)
	case *ast.BuiltinNode:
		r.fault(n, unknown("function", n.Name, r.functionNames()))
	case *ast.ArrayNode:
		r.fault(n, "a list may stand only after in, as in last_agent() in [\"water\", \"saline\"]")
	default:
		r.fault(node, "rules have no "+describe(node))
	}
}

func describe(node ast.Node) string {
	switch node.(type) {
	case *ast.MemberNode, *ast.ChainNode, *ast.SliceNode:
		return "parts of names (a.b, a[b])"
	case *ast.SequenceNode:
		return "sequences (a; b)"
	case *ast.MapNode:
		return "maps"
	case *ast.NilNode:
		return "nil"
	}
	return "such expression"
}

func (r *reader) literal(n ast.Node, value float64) {
	if math.Abs(value) > maxLiteral {
		r.fault(n, "a number may be at most 1000000000")
	}
}

func (r *reader) binary(n *ast.BinaryNode) {
	if !slices.Contains(operators(), n.Operator) {
		message := "rules have no operator " + n.Operator
		switch n.Operator {
		case "**", "^":
			message += ": a power is not the same on every machine; write x * x"
		case "|":
			message += "; write or"
		}
		r.fault(n, message)
		return
	}
	r.read(n.Left)
	list, isList := n.Right.(*ast.ArrayNode)
	if n.Operator != "in" || !isList {
		if n.Operator == "in" {
			r.fault(n.Right, "after in stands a list, as in last_agent() in [\"water\", \"saline\"]")
		}
		r.read(n.Right)
		return
	}
	for _, item := range list.Nodes {
		r.read(item)
	}
}

// choice checks c ? a : b. In the short form a ?: b the parser puts the very same node in two places,
// so that a chain of them takes time that doubles with each; it is refused before anything walks it.
func (r *reader) choice(n *ast.ConditionalNode) {
	if n.Cond == n.Exp1 {
		r.fault(n, "rules have no short choice ?:, write condition ? this : that")
		return
	}
	r.read(n.Cond)
	r.read(n.Exp1)
	r.read(n.Exp2)
}

// name checks a bare name: a local one or a metric in sight.
func (r *reader) name(n *ast.IdentifierNode) {
	if slices.Contains(r.local, n.Value) {
		return
	}
	r.found.constant = false
	d, known := r.words.metric(n.Value)
	if _, isFunction := functionNamed(n.Value); isFunction {
		r.fault(n, n.Value+" is a function: "+formOf(n.Value))
		return
	}
	if !known {
		r.fault(n, unknown("name", n.Value, append(r.words.metricNames(r.inSight), r.functionNames()...)))
		return
	}
	if !r.inSight(d) {
		r.fault(n, n.Value+" is measured in each canal: give the rule a canal (each, worst or a name), or write max_of(\""+n.Value+"\")")
		return
	}
	r.found.events = append(r.found.events, shownBy(n.Value)...)
}

func (r *reader) inSight(d treatment.Definition) bool { return r.canal || !d.PerCanal }

func (r *reader) functionNames() []string {
	var names []string
	for _, f := range Functions() {
		names = append(names, f.Name)
	}
	return names
}

func formOf(name string) string {
	f, _ := functionNamed(name)
	return f.Form
}

// call checks a call of a function and each of its arguments.
func (r *reader) call(n *ast.CallNode) {
	callee, named := n.Callee.(*ast.IdentifierNode)
	if !named {
		r.fault(n, "only a function can be called")
		return
	}
	f, known := functionNamed(callee.Value)
	if !known {
		r.fault(n, unknown("function", callee.Value, r.functionNames()))
		return
	}
	if len(n.Arguments) < f.required || !f.many && len(n.Arguments) > len(f.takes) {
		r.fault(n, "it is called so: "+f.Form)
		return
	}
	if f.takes[0] != numberArgument { // it reads facts, also where it is called without a word
		r.found.constant = false
	}
	for i, a := range n.Arguments {
		r.argument(f, f.takes[min(i, len(f.takes)-1)], a)
	}
}

func (r *reader) argument(f Function, kind argument, node ast.Node) {
	if kind == numberArgument {
		r.read(node)
		return
	}
	word, literal := node.(*ast.StringNode)
	if !literal {
		r.fault(node, "here stands a word in quotes: "+f.Form+", for instance "+f.Example)
		return
	}
	if message := r.wordFault(kind, word.Value); message != "" {
		r.fault(node, message)
		return
	}
	switch kind {
	case eventArgument:
		r.found.events = append(r.found.events, treatment.EventKind(word.Value))
	case deedArgument:
		r.found.deeds = append(r.found.deeds, readDeed(word.Value))
	case canalMetricArgument:
		r.found.events = append(r.found.events, shownBy(word.Value)...)
	default: // the other arguments point to no event
	}
}

// wordFault returns what is wrong with a word given to a function, or "".
func (r *reader) wordFault(kind argument, word string) string {
	what, allowed := "", []string(nil)
	switch kind {
	case eventArgument:
		what, allowed = "event", r.words.eventNames()
	case deedArgument:
		return r.words.deedFault(word)
	case canalMetricArgument:
		what, allowed = "canal metric", r.words.metricNames(canalMetric)
	case canalArgument:
		if len(r.words.Canals) == 0 && word != "" {
			return ""
		}
		what, allowed = "canal", r.words.Canals
	case agentArgument:
		what, allowed = "irrigant", agentNames()
	default: // a number is checked by its type
	}
	if slices.Contains(allowed, word) {
		return ""
	}
	if d, known := r.words.metric(word); known && kind == canalMetricArgument && !d.PerCanal {
		return word + " is measured on the whole tooth: write it by itself"
	}
	return unknown(what, word, allowed)
}

// unitOf returns the unit of an expression that is one metric, else "".
func (l *language) unitOf(node ast.Node) string {
	name := ""
	switch n := node.(type) {
	case *ast.IdentifierNode:
		name = n.Value
	case *ast.CallNode:
		callee, _ := n.Callee.(*ast.IdentifierNode)
		if len(n.Arguments) == 0 || callee == nil {
			return ""
		}
		switch callee.Value {
		case "volume":
			return "ml"
		case "seconds", "clock":
			return "s"
		case "abs":
			return l.unitOf(n.Arguments[0])
		}
		if word, literal := n.Arguments[0].(*ast.StringNode); literal {
			name = word.Value
		}
	}
	d, _ := l.words.metric(name)
	return unitShown(d)
}

// value runs the expression in a scope. The error is one that no check could foresee; none is known.
func (e *expression) value(s *scope) (any, error) {
	return expr.Run(e.program, s.names)
}

// yes reports whether a condition is true.
func (e *expression) yes(s *scope) bool {
	v, err := e.value(s)
	is, isBool := v.(bool)
	return err == nil && isBool && is
}

// share returns the value of a credit, cut to [0, 1].
func (e *expression) share(s *scope) float64 {
	v, err := e.value(s)
	x, isNumber := v.(float64)
	if err != nil || !isNumber {
		return 0
	}
	return share(x)
}
