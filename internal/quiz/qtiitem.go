package quiz

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
)

// qtiItem is an assessment item of QTI 3.0, as far as our kinds need it.
type qtiItem struct {
	XMLName       xml.Name      `xml:"qti-assessment-item"`
	Namespace     string        `xml:"xmlns,attr"`
	Identifier    string        `xml:"identifier,attr"`
	Title         string        `xml:"title,attr"`
	Adaptive      bool          `xml:"adaptive,attr"`
	TimeDependent bool          `xml:"time-dependent,attr"`
	Language      string        `xml:"http://www.w3.org/XML/1998/namespace lang,attr,omitempty"`
	Responses     []qtiResponse `xml:"qti-response-declaration"`
	Outcomes      []qtiOutcome  `xml:"qti-outcome-declaration"`
	Body          qtiBody       `xml:"qti-item-body"`
	Processing    *node         `xml:"qti-response-processing"`
	Modal         []qtiModal    `xml:"qti-modal-feedback"`
}

type qtiResponse struct {
	Identifier  string    `xml:"identifier,attr"`
	Cardinality string    `xml:"cardinality,attr"`
	BaseType    string    `xml:"base-type,attr"`
	Correct     []string  `xml:"qti-correct-response>qti-value"`
	Mapping     *qtiTable `xml:"qti-mapping"`
}

type qtiTable struct {
	Default float64    `xml:"default-value,attr"`
	Entries []qtiEntry `xml:"qti-map-entry"`
}

type qtiEntry struct {
	Key   string  `xml:"map-key,attr"`
	Value float64 `xml:"mapped-value,attr"`
}

type qtiOutcome struct {
	Identifier  string   `xml:"identifier,attr"`
	Cardinality string   `xml:"cardinality,attr"`
	BaseType    string   `xml:"base-type,attr"`
	Maximum     string   `xml:"normal-maximum,attr,omitempty"`
	Default     *qtiText `xml:"qti-default-value"`
}

type qtiText struct {
	Value string `xml:"qti-value"`
}

type qtiBody struct {
	Rubric *qtiRubric `xml:"qti-rubric-block"`
	Stem   string     `xml:"p,omitempty"`
	Choice *qtiChoice `xml:"qti-choice-interaction"`
	Order  *qtiChoice `xml:"qti-order-interaction"`
	Match  *qtiMatch  `xml:"qti-match-interaction"`
	Number *qtiNumber `xml:"div"`
}

// qtiRubric tells authors what the standard has no place for.
type qtiRubric struct {
	Use   string    `xml:"use,attr"`
	View  string    `xml:"view,attr"`
	Notes []qtiNote `xml:"qti-content-body>ul>li"`
}

type qtiNote struct {
	Class string `xml:"class,attr"`
	Text  string `xml:",chardata"`
}

type qtiChoice struct {
	Response string      `xml:"response-identifier,attr"`
	Shuffle  bool        `xml:"shuffle,attr"`
	Max      *int        `xml:"max-choices,attr,omitempty"`
	Prompt   string      `xml:"qti-prompt"`
	Choices  []qtiOption `xml:"qti-simple-choice"`
}

type qtiOption struct {
	Identifier string     `xml:"identifier,attr"`
	Text       string     `xml:",chardata"`
	Feedback   *qtiInline `xml:"qti-feedback-inline"`
}

type qtiInline struct {
	Outcome    string `xml:"outcome-identifier,attr"`
	Identifier string `xml:"identifier,attr"`
	Show       string `xml:"show-hide,attr"`
	Text       string `xml:",chardata"`
}

type qtiMatch struct {
	Response string   `xml:"response-identifier,attr"`
	Shuffle  bool     `xml:"shuffle,attr"`
	Max      int      `xml:"max-associations,attr"`
	Prompt   string   `xml:"qti-prompt"`
	Sets     []qtiSet `xml:"qti-simple-match-set"`
}

type qtiSet struct {
	Choices []qtiSide `xml:"qti-simple-associable-choice"`
}

type qtiSide struct {
	Identifier string `xml:"identifier,attr"`
	Max        int    `xml:"match-max,attr"`
	Text       string `xml:",chardata"`
}

type qtiNumber struct {
	Entry struct {
		Response string `xml:"response-identifier,attr"`
		Length   int    `xml:"expected-length,attr"`
	} `xml:"qti-text-entry-interaction"`
	Unit string `xml:"span,omitempty"`
}

type qtiModal struct {
	Outcome    string `xml:"outcome-identifier,attr"`
	Identifier string `xml:"identifier,attr"`
	Show       string `xml:"show-hide,attr"`
	Text       string `xml:"qti-content-body>p"`
}

// node is any element, for rules of response processing.
type node struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []node     `xml:",any"`
}

// element makes a node; attributes are given as name and value in turn.
func element(name string, attributes []string, children ...node) node {
	n := node{XMLName: xml.Name{Local: name}, Children: children}
	for i := 0; i+1 < len(attributes); i += 2 {
		n.Attrs = append(n.Attrs, xml.Attr{Name: xml.Name{Local: attributes[i]}, Value: attributes[i+1]})
	}
	return n
}

// base is a constant in a rule.
func base(kind, value string) node {
	n := element("qti-base-value", []string{"base-type", kind})
	n.Text = value
	return n
}

// variable is a variable in a rule.
func variable(kind, name string) node { return element(kind, []string{"identifier", name}) }

// set sets an outcome.
func set(name string, value node) node {
	return element("qti-set-outcome-value", []string{"identifier", name}, value)
}

// when is a condition with what follows from it and, if there is any, what else.
func when(condition, then node, otherwise ...node) node {
	parts := []node{element("qti-response-if", nil, condition, then)}
	return element("qti-response-condition", nil, append(parts, otherwise...)...)
}

// newQTIItem turns an item of a kind that can be mapped into one of the standard.
func newQTIItem(i Item) qtiItem {
	q := qtiItem{Namespace: qtiItems, Identifier: identifier(i.ID), Title: i.ID, Language: "en",
		Outcomes: []qtiOutcome{
			{Identifier: "SCORE", Cardinality: "single", BaseType: "float", Maximum: "1", Default: &qtiText{"0"}},
			{Identifier: "SOLUTION", Cardinality: "single", BaseType: "identifier", Default: &qtiText{"why"}},
		},
		Modal: []qtiModal{modal("SOLUTION", "why", i.Why)},
	}
	q.Body.Rubric = &qtiRubric{Use: "scoring", View: "author tutor", Notes: notes(i)}
	switch i.Kind {
	case Single, Several:
		q.choice(i)
	case Ordering:
		q.order(i)
	case Matching:
		q.match(i)
	case Numeric:
		q.number(i)
	case Place, Measure, Predict:
		panic("quiz: the standard has no " + string(i.Kind))
	}
	return q
}

func modal(outcome, id, text string) qtiModal {
	return qtiModal{Outcome: outcome, Identifier: id, Show: "show", Text: text}
}

// notes are what the standard has no place for, one note a value.
func notes(i Item) []qtiNote {
	list := []qtiNote{{"kind", string(i.Kind)}, {"step", i.Step}, {"level", i.Level}, {"difficulty", i.Difficulty}, {"source", i.Source}}
	add := func(class, text string) {
		if text != "" {
			list = append(list, qtiNote{class, text})
		}
	}
	for _, t := range i.Tags {
		add("tag", t)
	}
	for _, f := range i.Facts {
		add("fact", f)
	}
	if i.Formula != nil {
		words := []string{i.Formula.Name}
		for _, a := range i.Formula.Args {
			words = append(words, figure64(a))
		}
		add("formula", strings.Join(words, " "))
	}
	for _, x := range i.Excuses {
		add("excuse", x.Rule+" "+x.Why)
	}
	if i.Kind == Numeric {
		add("tolerance", figure64(i.Tolerance))
		for _, m := range i.Mistakes {
			add("mistake", figure64(m.Value))
		}
	}
	if i.Made != nil {
		made, err := json.Marshal(i.Made)
		if err != nil {
			panic(fmt.Sprintf("quiz: plain figures are not encoded: %v", err))
		}
		add("made", string(made))
	}
	return list
}

// figure64 writes a number so that it reads back the same.
func figure64(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func (q *qtiItem) choice(i Item) {
	several := i.Kind == Several
	most, cardinality := 1, "single"
	if several {
		most, cardinality = 0, "multiple"
	}
	r := qtiResponse{Identifier: "RESPONSE", Cardinality: cardinality, BaseType: "identifier", Correct: i.RightOptions()}
	c := &qtiChoice{Response: "RESPONSE", Shuffle: !i.Keep, Max: &most, Prompt: i.Stem}
	for _, o := range i.Options {
		c.Choices = append(c.Choices, qtiOption{o.ID, o.Text, &qtiInline{"FEEDBACK", o.ID, "show", o.Feedback}})
	}
	score := when(element("qti-match", nil, variable("qti-variable", "RESPONSE"), variable("qti-correct", "RESPONSE")),
		set("SCORE", base("float", "1")))
	if several {
		right := i.RightOptions()
		r.Mapping = &qtiTable{}
		for _, id := range right {
			r.Mapping.Entries = append(r.Mapping.Entries, qtiEntry{id, 1})
		}
		n := strconv.Itoa(len(right))
		score = when(element("qti-lte", nil, element("qti-container-size", nil, variable("qti-variable", "RESPONSE")), base("integer", n)),
			set("SCORE", element("qti-divide", nil, variable("qti-map-response", "RESPONSE"), base("float", n))))
	}
	q.Responses, q.Body.Choice = []qtiResponse{r}, c
	q.feedback(cardinality, set("FEEDBACK", variable("qti-variable", "RESPONSE")), score)
}

// feedback declares the outcome that shows feedback and adds the rules.
func (q *qtiItem) feedback(cardinality string, rules ...node) {
	q.Outcomes = append(q.Outcomes, qtiOutcome{Identifier: "FEEDBACK", Cardinality: cardinality, BaseType: "identifier"})
	p := element("qti-response-processing", nil, rules...)
	q.Processing = &p
}

// shown sets the feedback to a list of identifiers.
func shown(ids []string) node {
	list := element("qti-multiple", nil)
	for _, id := range ids {
		list.Children = append(list.Children, base("identifier", id))
	}
	return set("FEEDBACK", list)
}

func (q *qtiItem) order(i Item) {
	r := qtiResponse{Identifier: "RESPONSE", Cardinality: "ordered", BaseType: "identifier"}
	c := &qtiChoice{Response: "RESPONSE", Shuffle: true, Prompt: i.Stem}
	for _, o := range i.Options {
		r.Correct = append(r.Correct, o.ID)
		c.Choices = append(c.Choices, qtiOption{Identifier: o.ID, Text: o.Text})
		q.Modal = append(q.Modal, modal("FEEDBACK", o.ID, o.Feedback))
	}
	q.Responses, q.Body.Order = []qtiResponse{r}, c
	q.feedback("multiple", shown(r.Correct), when(
		element("qti-match", nil, variable("qti-variable", "RESPONSE"), variable("qti-correct", "RESPONSE")), set("SCORE", base("float", "1"))))
}

func (q *qtiItem) match(i Item) {
	r := qtiResponse{Identifier: "RESPONSE", Cardinality: "multiple", BaseType: "directedPair", Mapping: &qtiTable{}}
	m := &qtiMatch{Response: "RESPONSE", Shuffle: true, Max: len(i.Pairs), Prompt: i.Stem, Sets: make([]qtiSet, 2)}
	sides := RightSides(i)
	place := map[string]string{}
	for n, side := range sides {
		place[side] = fmt.Sprintf("r%d", n+1)
		m.Sets[1].Choices = append(m.Sets[1].Choices, qtiSide{place[side], len(i.Pairs), side})
	}
	var ids []string
	for _, p := range i.Pairs {
		m.Sets[0].Choices = append(m.Sets[0].Choices, qtiSide{p.ID, 1, p.Left})
		key := p.ID + " " + place[p.Right]
		r.Correct = append(r.Correct, key)
		r.Mapping.Entries = append(r.Mapping.Entries, qtiEntry{key, 1})
		q.Modal = append(q.Modal, modal("FEEDBACK", p.ID, p.Feedback))
		ids = append(ids, p.ID)
	}
	for _, o := range i.Spare {
		q.Modal = append(q.Modal, modal("FEEDBACK", place[o.Text], o.Feedback))
		ids = append(ids, place[o.Text])
	}
	q.Responses, q.Body.Match = []qtiResponse{r}, m
	q.feedback("multiple", shown(ids),
		set("SCORE", element("qti-divide", nil, variable("qti-map-response", "RESPONSE"), base("float", strconv.Itoa(len(i.Pairs))))))
}

func (q *qtiItem) number(i Item) {
	q.Responses = []qtiResponse{{Identifier: "RESPONSE", Cardinality: "single", BaseType: "float", Correct: []string{figure64(i.Answer)}}}
	q.Body.Stem = i.Stem
	q.Body.Number = &qtiNumber{Unit: i.Unit}
	q.Body.Number.Entry.Response, q.Body.Number.Entry.Length = "RESPONSE", 8
	equal := func(value node) node {
		t := figure64(i.Tolerance)
		return element("qti-equal", []string{"tolerance-mode", "absolute", "tolerance", t + " " + t}, variable("qti-variable", "RESPONSE"), value)
	}
	is := func(id string) node { return set("FEEDBACK", base("identifier", id)) }
	right := element("qti-response-if", nil, equal(variable("qti-correct", "RESPONSE")), set("SCORE", base("float", "1")), is("right"))
	condition := element("qti-response-condition", nil, right)
	for n, m := range i.Mistakes {
		id := fmt.Sprintf("m%d", n+1)
		q.Modal = append(q.Modal, modal("FEEDBACK", id, m.Feedback))
		condition.Children = append(condition.Children, element("qti-response-else-if", nil, equal(base("float", figure64(m.Value))), is(id)))
	}
	condition.Children = append(condition.Children, element("qti-response-else", nil, is("other")))
	q.Modal = append(q.Modal, modal("FEEDBACK", "other", i.Other))
	q.feedback("single", condition)
}
