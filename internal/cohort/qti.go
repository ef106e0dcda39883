package cohort

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// qtiNamespace is that of the QTI 3.0 results report.
const qtiNamespace = "http://www.imsglobal.org/xsd/imsqti_result_v3p0"

type qtiReport struct {
	XMLName xml.Name   `xml:"assessmentResult"`
	Space   string     `xml:"xmlns,attr"`
	Context qtiContext `xml:"context"`
	Test    qtiTest    `xml:"testResult"`
	Items   []qtiItem  `xml:"itemResult"`
}

type qtiContext struct {
	ID      string     `xml:"sourcedId,attr"`
	Session qtiSession `xml:"sessionIdentifier"`
}

type qtiSession struct {
	Source     string `xml:"sourceID,attr"`
	Identifier string `xml:"identifier,attr"`
}

type qtiTest struct {
	ID       string       `xml:"identifier,attr"`
	Date     string       `xml:"datestamp,attr"`
	Outcomes []qtiOutcome `xml:"outcomeVariable"`
}

type qtiItem struct {
	ID       string       `xml:"identifier,attr"`
	Sequence int          `xml:"sequenceIndex,attr"`
	Date     string       `xml:"datestamp,attr"`
	Status   string       `xml:"sessionStatus,attr"`
	Response *qtiResponse `xml:"responseVariable,omitempty"`
	Outcomes []qtiOutcome `xml:"outcomeVariable"`
}

type qtiResponse struct {
	ID          string     `xml:"identifier,attr"`
	Cardinality string     `xml:"cardinality,attr"`
	Base        string     `xml:"baseType,attr"`
	Correct     *qtiValues `xml:"correctResponse,omitempty"`
	Candidate   qtiValues  `xml:"candidateResponse"`
}

type qtiValues struct {
	Values []string `xml:"value"`
}

type qtiOutcome struct {
	ID          string   `xml:"identifier,attr"`
	Cardinality string   `xml:"cardinality,attr"`
	Base        string   `xml:"baseType,attr"`
	Maximum     string   `xml:"normalMaximum,attr,omitempty"`
	Minimum     string   `xml:"normalMinimum,attr,omitempty"`
	Mastery     string   `xml:"masteryValue,attr,omitempty"`
	Values      []string `xml:"value"`
}

// NCName returns a text as an identifier of XML: letters, digits, point, dash and underscore, not beginning
// with a digit; what is changed is changed the same way each time. Checked by TestNCName.
func NCName(text string) string {
	var b strings.Builder
	for i, r := range text {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '_'
		inside := r >= '0' && r <= '9' || r == '.' || r == '-'
		if i == 0 && !letter {
			b.WriteString("P-")
		}
		if letter || inside {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "_%x_", r)
		}
	}
	if b.Len() == 0 {
		return "P-"
	}
	return b.String()
}

// WriteQTI writes one sitting as a QTI 3.0 results report: each case and question as an item result, points
// as SCORE and MAXSCORE. Checked by TestQTI.
func WriteQTI(w io.Writer, c Class, s Sitting) error {
	date := stamp(s.Ended)
	points, most := s.Total()
	report := qtiReport{Space: qtiNamespace,
		Context: qtiContext{NCName(s.Candidate), qtiSession{"urn:tugback", s.Digest}},
		Test: qtiTest{NCName(c.Paper), date, append(scores(points, most, c.Pass*most),
			qtiOutcome{"PASSED", "single", "boolean", "", "", "", []string{fmt.Sprint(s.Passed(c.Pass))}},
			qtiOutcome{"duration", "single", "duration", "", "", "", []string{number(s.Ended.Sub(s.Started).Seconds())}})},
	}
	for _, one := range s.Cases {
		outcomes := scores(one.Marks.Total, one.Marks.Available, 0)
		for _, r := range one.Marks.Rules {
			outcomes = append(outcomes, qtiOutcome{"RULE_" + NCName(r.ID), "single", "float", number(max(0, r.Available)), "", "", []string{number(r.Points)}})
		}
		report.Items = append(report.Items, qtiItem{NCName(one.ID), len(report.Items) + 1, date, "final", nil, outcomes})
	}
	for _, a := range s.Answers {
		item := qtiItem{NCName(a.Item.ID), len(report.Items) + 1, date, "final", nil, scores(a.Points, a.Available, 0)}
		item.Response = qtiResponseOf(a)
		report.Items = append(report.Items, item)
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	out := xml.NewEncoder(w)
	out.Indent("", " ")
	if err := out.Encode(report); err != nil {
		return fmt.Errorf("results of %s: %w", s.Candidate, err)
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// scores returns SCORE and MAXSCORE.
func scores(points, most, mastery float64) []qtiOutcome {
	one := qtiOutcome{"SCORE", "single", "float", number(max(0, most)), "0", "", []string{number(points)}}
	if mastery > 0 {
		one.Mastery = number(mastery)
	}
	if points < 0 {
		one.Minimum = ""
	}
	return []qtiOutcome{one, {"MAXSCORE", "single", "float", "", "", "", []string{number(most)}}}
}

// qtiResponseOf returns what was answered, in the base type of the kind of question.
func qtiResponseOf(a Answer) *qtiResponse {
	d := (&teller{x: XAPI{Language: "en"}}).itemDefinition(a.Item)
	r := &qtiResponse{ID: "RESPONSE", Cardinality: "single", Base: "identifier"}
	response := interactionResponse(a)
	split := func(text string) []string {
		if text == "" {
			return nil
		}
		return strings.Split(text, "[,]")
	}
	switch d.Interaction {
	case "choice":
		if len(a.Item.RightOptions()) > 1 {
			r.Cardinality = "multiple"
		}
	case "sequencing":
		r.Cardinality = "ordered"
	case "matching":
		r.Cardinality, r.Base = "multiple", "directedPair"
	case "numeric":
		r.Base = "float"
	case "other":
		r.Base = "string"
	}
	clean := func(values []string) []string {
		for i, v := range values {
			values[i] = strings.ReplaceAll(v, "[.]", " ")
		}
		return values
	}
	r.Candidate.Values = clean(split(response))
	switch {
	case d.Interaction == "numeric":
		r.Correct = &qtiValues{[]string{number(a.Item.Answer)}}
	case len(d.Correct) > 0:
		r.Correct = &qtiValues{clean(split(d.Correct[0]))}
	}
	return r
}
