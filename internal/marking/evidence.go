package marking

import (
	"cmp"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"tugback/internal/treatment"
)

// shareUnit stands for the unit of a metric that is a share of one: it is shown in per cent.
const shareUnit = "share"

// unitShown returns the unit in which a metric is shown.
func unitShown(d treatment.Definition) string {
	if d.Unit == "" && strings.HasSuffix(d.Name, "_share") {
		return shareUnit
	}
	return d.Unit
}

// places is how many decimals a figure of a unit is shown with in evidence: a µm, and finer than any
// instrument reads for the rest.
func places(unit string) int {
	switch unit {
	case "mm", "mm³", "N":
		return 3
	case "deg", "%", "min":
		return 1
	case "d", "s":
		return 0
	}
	return 2
}

// figure writes a value with its unit; a whole number without a unit stands without decimals.
func figure(x float64, unit string) string {
	switch {
	case math.IsNaN(x):
		return "not measured"
	case math.IsInf(x, 0):
		return "without bound"
	case unit == shareUnit:
		return figure(100*x, "%")
	case unit == "" && x == math.Trunc(x) && math.Abs(x) < 1e15:
		return strconv.FormatFloat(x+0, 'f', 0, 64)
	}
	text := strconv.FormatFloat(x, 'f', places(unit), 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return withUnit(text, unit)
}

// bare writes a value as it would be typed, to a millionth.
func bare(x float64) string {
	text := strconv.FormatFloat(x, 'f', 6, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

func withUnit(figure, unit string) string {
	if unit == "" {
		return figure
	}
	return figure + " " + unit
}

// piece is a part of an evidence sentence: plain text, one of the rule's own words, or an expression.
type piece struct {
	text  string
	word  string
	asked *expression
}

// compileEvidence splits a sentence into pieces. Braces always hold a placeholder.
func (c *compiled) compileEvidence(l *language) ([]piece, []problem) {
	var pieces []piece
	var problems []problem
	rest, column := c.Evidence, 1
	for rest != "" {
		open := strings.IndexAny(rest, "{}")
		if open < 0 {
			return append(pieces, piece{text: rest}), problems
		}
		end := strings.IndexByte(rest[open:], '}')
		if rest[open] == '}' || end < 0 {
			at := column + utf8.RuneCountInString(rest[:open])
			return nil, append(problems, problem{1, at, "a brace without its fellow: placeholders are written {transport_max_mm}"})
		}
		if open > 0 {
			pieces = append(pieces, piece{text: rest[:open]})
		}
		inside := rest[open+1 : open+end]
		p, faults := c.compilePlaceholder(l, inside)
		for _, f := range faults {
			f.column = column + utf8.RuneCountInString(rest[:open+1]) + max(f.column, 1) - 1
			problems = append(problems, problem{1, f.column, f.message})
		}
		pieces = append(pieces, p)
		column += utf8.RuneCountInString(rest[:open+end+1])
		rest = rest[open+end+1:]
	}
	return pieces, problems
}

func (c *compiled) compilePlaceholder(l *language, inside string) (piece, []problem) {
	word := strings.TrimSpace(inside)
	switch word {
	case "canal":
		if c.Canal == "" {
			return piece{}, []problem{{1, 1, "{canal} in a rule without a canal"}}
		}
		return piece{word: word}, nil
	case "value", "full", "none":
		if c.Metric == "" || word == "none" && !c.None.set() {
			return piece{}, []problem{{1, 1, "{" + word + "} in a rule without such a bound"}}
		}
		return piece{word: word}, nil
	case "":
		return piece{}, []problem{{1, 1, "an empty placeholder"}}
	}
	asked, faults := l.compile(inside)
	return piece{asked: asked}, faults
}

// evidence fills the rule's sentence in a scope, or states plainly what was compared.
func (c *compiled) evidence(s *scope) string {
	if c.Evidence == "" {
		return c.statement(s)
	}
	var text strings.Builder
	for _, p := range c.pieces {
		switch {
		case p.asked != nil:
			text.WriteString(p.asked.show(s))
		case p.word != "":
			text.WriteString(c.own(p.word, s))
		default:
			text.WriteString(p.text)
		}
	}
	return text.String()
}

// own fills a placeholder that names a part of the rule.
func (c *compiled) own(word string, s *scope) string {
	switch word {
	case "canal":
		return s.canal
	case "value":
		return c.shown(s)
	case "full":
		return c.Full.text(c.unit)
	}
	return c.None.text(c.unit)
}

// show writes the value of an expression for a person.
func (e *expression) show(s *scope) string {
	v, err := e.value(s)
	if err != nil {
		return "not measured"
	}
	switch v := v.(type) {
	case float64:
		return figure(v, e.unit)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case string:
		if v == "" {
			return "none"
		}
		return v
	}
	return "not measured"
}

// statement is the evidence of a rule that brings no sentence.
func (c *compiled) statement(s *scope) string {
	var parts []string
	if c.when != nil {
		parts = append(parts, c.when.text+": "+c.when.show(s))
	}
	if len(c.Order) > 0 {
		parts = append(parts, s.orderText(c.Order))
	}
	if c.credit != nil {
		parts = append(parts, c.credit.text+" = "+c.credit.show(s))
	}
	if c.Metric != "" {
		parts = append(parts, c.about+": "+c.shown(s)+" ("+c.limits()+")")
	}
	return strings.Join(parts, "; ")
}

// orderText says when each step of an order was first done.
func (s *scope) orderText(steps []string) string {
	texts := make([]string, len(steps))
	for i, step := range steps {
		texts[i] = step + " never"
		if at := s.first(step); at > 0 {
			texts[i] = step + " as step " + strconv.Itoa(int(at))
		}
	}
	return strings.Join(texts, ", ")
}

// inWords returns what a metric is, in words that a figure can follow, and whether it is yes or no.
func inWords(d treatment.Definition) (text string, flag bool) {
	text, flag = strings.CutPrefix(d.Text, "1 when ")
	flag = flag && d.Unit == "" && d.High == 1
	text, _, _ = strings.Cut(text, ";")
	return cmp.Or(text, d.Name), flag
}

// shown is the figure of the rule's metric.
func (c *compiled) shown(s *scope) string {
	x := c.measured(s)
	switch {
	case c.flag && x == 0:
		return "no"
	case c.flag && x == 1:
		return "yes"
	}
	return figure(x, c.unit)
}

// limits says the rule's band.
func (c *compiled) limits() string {
	if c.flag && c.Full.Op == "==" {
		return "full marks for " + map[bool]string{true: "yes", false: "no"}[c.Full.Value == 1]
	}
	if !c.None.set() {
		return "full marks " + c.Full.text(c.unit)
	}
	return "full marks " + c.Full.text(c.unit) + ", none " + c.None.text(c.unit)
}

// led is the evidence of a canal, led by its name unless it names the canal itself.
func (v *verdict) led() string {
	if strings.Contains(v.evidence, v.scope.canal) {
		return v.evidence
	}
	return v.scope.canal + ": " + v.evidence
}

// joined is the evidence of all canals. A band without a sentence says its limits once.
func (c *compiled) joined(judged []verdict) string {
	texts := make([]string, len(judged))
	short := c.Evidence == "" && c.when == nil && c.Metric != ""
	for i, v := range judged {
		texts[i] = v.led()
		if short {
			texts[i] = v.scope.canal + " " + c.shown(v.scope)
		}
	}
	if short {
		return c.about + ": " + strings.Join(texts, ", ") + " (" + c.limits() + ")"
	}
	return strings.Join(texts, "; ")
}
