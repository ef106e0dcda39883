package cohort

import (
	"fmt"
	"io"
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/quiz"
)

// XAPI says how statements are made.
type XAPI struct {
	// Home is an address under the school's control: the home page of candidates' accounts and the beginning
	// of every id that is ours. It needs a scheme and ends without a slash.
	Home string
	// Files is where the exports will be found, "" nowhere: each is then an attachment of the sitting's last
	// statement, with its address, length and SHA-256; else only its SHA-256 is stated.
	Files    string
	Language string // tag of the texts, "en"
}

// DefaultXAPI returns statements for a school that has not said its address: the domain "invalid" belongs to
// nobody, by RFC 2606.
func DefaultXAPI() XAPI { return XAPI{Home: "https://tugback.invalid", Language: "en"} }

// The vocabularies that statements use.
const (
	adlVerb  = "http://adlnet.gov/expapi/verbs/"
	adlType  = "http://adlnet.gov/expapi/activities/"
	itemType = adlType + "cmi.interaction"
)

// Statement is one xAPI statement, of the properties both 1.0.3 and 2.0 allow. What is empty is left out.
type Statement struct {
	ID          string       `json:"id"`
	Actor       xActor       `json:"actor"`
	Verb        xVerb        `json:"verb"`
	Object      xObject      `json:"object"`
	Result      *xResult     `json:"result,omitempty"`
	Context     xContext     `json:"context"`
	Timestamp   string       `json:"timestamp"`
	Attachments []attachment `json:"attachments,omitempty"`
}

type xActor struct {
	Type    string   `json:"objectType"`
	Account xAccount `json:"account"`
}

type xAccount struct {
	Home string `json:"homePage"`
	Name string `json:"name"`
}

type words2 map[string]string

type xVerb struct {
	ID      string `json:"id"`
	Display words2 `json:"display"`
}

type xObject struct {
	Type       string       `json:"objectType"`
	ID         string       `json:"id"`
	Definition *xDefinition `json:"definition,omitempty"`
}

type xDefinition struct {
	Name        words2       `json:"name,omitempty"`
	Description words2       `json:"description,omitempty"`
	Type        string       `json:"type,omitempty"`
	Interaction string       `json:"interactionType,omitempty"`
	Correct     []string     `json:"correctResponsesPattern,omitempty"`
	Choices     []xComponent `json:"choices,omitempty"`
	Source      []xComponent `json:"source,omitempty"`
	Target      []xComponent `json:"target,omitempty"`
	Steps       []xComponent `json:"steps,omitempty"`
}

type xComponent struct {
	ID          string `json:"id"`
	Description words2 `json:"description,omitempty"`
}

type xResult struct {
	Score      *xScore        `json:"score,omitempty"`
	Success    *bool          `json:"success,omitempty"`
	Completion *bool          `json:"completion,omitempty"`
	Response   string         `json:"response,omitempty"`
	Duration   string         `json:"duration,omitempty"`
	Extensions map[string]any `json:"extensions,omitempty"`
}

type xScore struct {
	Scaled float64 `json:"scaled"`
	Raw    float64 `json:"raw"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
}

type xContext struct {
	Registration string              `json:"registration"`
	Activities   map[string][]parent `json:"contextActivities,omitempty"`
	Revision     string              `json:"revision,omitempty"`
	Platform     string              `json:"platform,omitempty"`
	Extensions   map[string]any      `json:"extensions,omitempty"`
}

type parent struct {
	Type string `json:"objectType"`
	ID   string `json:"id"`
}

type attachment struct {
	Usage   string `json:"usageType"`
	Display words2 `json:"display"`
	Content string `json:"contentType"`
	Length  int    `json:"length"`
	SHA2    string `json:"sha2"`
	File    string `json:"fileUrl"`
}

// WriteXAPI writes the statements of a class as one canonical JSON array (RFC 8785), ready to be sent to a
// record store: the same class gives the same bytes and the same ids, so that sending twice does no harm.
// Checked by TestXAPI, TestXAPIAgainstSchema and TestXAPIRules.
func WriteXAPI(w io.Writer, c Class, x XAPI) error {
	all := []Statement{}
	for _, s := range c.Sittings {
		statements, err := x.Statements(c, s)
		if err != nil {
			return err
		}
		all = append(all, statements...)
	}
	canonical, err := attempt.Canonical(all)
	if err != nil {
		return fmt.Errorf("statements: %w", err)
	}
	_, err = w.Write(canonical)
	return err
}

// teller makes the statements of one sitting.
type teller struct {
	x            XAPI
	class        Class
	sitting      Sitting
	registration uuid.UUID
	paper        string // id of the paper's activity
	made         []Statement
}

// Statements returns the statements of one sitting in the order of time: initialized, answered for each
// question and for each step of each case, completed, passed or failed, terminated. A sitting without times
// is refused, since every statement needs one.
func (x XAPI) Statements(c Class, s Sitting) ([]Statement, error) {
	home, err := url.Parse(x.Home)
	if err != nil || home.Scheme == "" || strings.HasSuffix(x.Home, "/") {
		return nil, fmt.Errorf("home %q is not an address such as https://school.example", x.Home)
	}
	if s.Started.IsZero() || s.Ended.Before(s.Started) {
		return nil, fmt.Errorf("the sitting of %s has no beginning and end in order of time", s.Candidate)
	}
	t := &teller{x: x, class: c, sitting: s, paper: x.Home + "/papers/" + url.PathEscape(c.Paper)}
	t.registration = uuid.NewSHA1(uuid.NameSpaceURL, []byte(t.paper+"\n"+s.Candidate+"\n"+s.Digest))
	t.tell("initialized", xObject{Type: "Activity", ID: t.paper, Definition: t.paperDefinition()}, nil, s.Started, "")
	for _, one := range s.Cases {
		t.tellCase(one)
	}
	for _, a := range s.Answers {
		t.tellAnswer(a)
	}
	t.tellEnd()
	return t.made, nil
}

func (t *teller) text(s string) words2 { return words2{t.x.Language: s} }

// paperDefinition describes the paper.
func (t *teller) paperDefinition() *xDefinition {
	return &xDefinition{Name: t.text(t.class.Title), Type: adlType + "assessment"}
}

// tell adds a statement. under is the activity it is part of, "" for the paper itself.
func (t *teller) tell(verb string, object xObject, result *xResult, at time.Time, under string) {
	context := xContext{Registration: t.registration.String(), Revision: t.sitting.Digest, Platform: "tugback engine " + t.sitting.Engine}
	if under != "" {
		context.Activities = map[string][]parent{"parent": {{"Activity", under}}}
		if under != t.paper {
			context.Activities["grouping"] = []parent{{"Activity", t.paper}}
		}
	}
	t.made = append(t.made, Statement{
		ID:    uuid.NewSHA1(t.registration, []byte(strconv.Itoa(len(t.made)))).String(),
		Actor: xActor{"Agent", xAccount{t.x.Home, t.sitting.Candidate}},
		Verb:  xVerb{adlVerb + verb, words2{"en": verb}}, Object: object, Result: result, Context: context, Timestamp: stamp(at),
	})
}

// tellCase tells each step of a treatment as a performance whose steps are the rules.
func (t *teller) tellCase(one Case) {
	under := t.paper + "/cases/" + url.PathEscape(one.ID)
	var order []string
	by := map[string][]marking.RuleMark{}
	for _, r := range one.Marks.Rules {
		stage := r.Stage
		if stage == "" {
			stage = "overall"
		}
		if by[stage] == nil {
			order = append(order, stage)
		}
		by[stage] = append(by[stage], r)
	}
	for _, stage := range order {
		definition := &xDefinition{Name: t.text(one.Title + ": " + stage), Type: itemType, Interaction: "performance"}
		var responses []string
		points, most := 0.0, 0.0
		for _, r := range by[stage] {
			definition.Steps = append(definition.Steps, xComponent{r.ID, t.text(r.Title)})
			responses = append(responses, r.ID+"[.]"+number(r.Points))
			points += r.Points
			most += r.Available
		}
		result := &xResult{Score: score(points, most), Response: strings.Join(responses, "[,]")}
		t.tell("answered", xObject{Type: "Activity", ID: under + "/steps/" + url.PathEscape(stage), Definition: definition}, result, t.sitting.Ended, under)
	}
	completed := true
	result := &xResult{Score: score(one.Marks.Total, one.Marks.Available), Completion: &completed, Duration: duration(time.Duration(one.Elapsed) * time.Millisecond),
		Extensions: map[string]any{
			t.x.Home + "/extensions/actions":         len(one.Actions),
			t.x.Home + "/extensions/critical-errors": len(one.Marks.Critical),
			t.x.Home + "/extensions/seed":            strconv.FormatUint(one.Seed, 10),
			t.x.Home + "/extensions/scenario":        one.Scenario + " " + one.Digest,
		}}
	t.tell("completed", xObject{Type: "Activity", ID: under, Definition: &xDefinition{Name: t.text(one.Title), Type: adlType + "simulation"}}, result, t.sitting.Ended, t.paper)
}

// score returns a score of points; nothing is said where no points can be had. Deductions can bring the
// points of a step below zero, for which the least is lowered, since a score may not be below its least.
func score(points, most float64) *xScore {
	if most <= 0 {
		return nil
	}
	scaled := math.Max(-1, math.Min(1, points/most))
	return &xScore{Scaled: scaled, Raw: points, Min: math.Min(0, points), Max: math.Max(most, points)}
}

// tellAnswer tells a question with its response and the right one.
func (t *teller) tellAnswer(a Answer) {
	under := t.paper + "/questions"
	object := xObject{Type: "Activity", ID: t.x.Home + "/items/" + url.PathEscape(a.Item.ID), Definition: t.itemDefinition(a.Item)}
	at := a.At
	if at.Before(t.sitting.Started) || at.After(t.sitting.Ended) {
		at = t.sitting.Ended
	}
	right := a.Given && a.Result.Right
	result := &xResult{Score: score(a.Points, a.Available), Success: &right, Response: interactionResponse(a)}
	t.tell("answered", object, result, at, under)
}

// itemDefinition describes a question in the words of the standard.
func (t *teller) itemDefinition(item quiz.Item) *xDefinition {
	d := &xDefinition{Name: t.text(item.ID), Description: t.text(item.Stem), Type: itemType}
	var options []xComponent
	for _, o := range item.Options {
		options = append(options, xComponent{o.ID, t.text(o.Text)})
	}
	switch item.Kind {
	case quiz.Single, quiz.Several, quiz.Predict:
		d.Interaction, d.Choices, d.Correct = "choice", options, []string{strings.Join(item.RightOptions(), "[,]")}
	case quiz.Ordering:
		var ids []string
		for _, o := range item.Options {
			ids = append(ids, o.ID)
		}
		d.Interaction, d.Choices, d.Correct = "sequencing", options, []string{strings.Join(ids, "[,]")}
	case quiz.Matching:
		var pairs []string
		for _, p := range item.Pairs {
			d.Source = append(d.Source, xComponent{p.ID, t.text(p.Left)})
			pairs = append(pairs, p.ID+"[.]"+rightID(item, p.Right))
		}
		for _, side := range quiz.RightSides(item) {
			d.Target = append(d.Target, xComponent{rightID(item, side), t.text(side)})
		}
		d.Interaction, d.Correct = "matching", []string{strings.Join(pairs, "[,]")}
	case quiz.Numeric, quiz.Measure:
		d.Interaction = "numeric"
		d.Correct = []string{number(item.Answer-item.Tolerance) + "[:]" + number(item.Answer+item.Tolerance)}
	case quiz.Place:
		d.Interaction = "other"
	}
	return d
}

// interactionResponse writes a response as the standard asks for its type.
func interactionResponse(a Answer) string {
	if !a.Given {
		return ""
	}
	switch a.Item.Kind {
	case quiz.Single, quiz.Several, quiz.Predict, quiz.Ordering:
		return strings.Join(a.Response.Chosen, "[,]")
	case quiz.Matching:
		var pairs []string
		for _, j := range a.Response.Joined {
			pairs = append(pairs, j.Pair+"[.]"+rightID(a.Item, j.Right))
		}
		return strings.Join(pairs, "[,]")
	case quiz.Numeric, quiz.Measure:
		return number(a.Response.Value)
	case quiz.Place:
		return number(a.Response.Point.X) + " " + number(a.Response.Point.Y)
	}
	return ""
}

// tellEnd tells that the paper is done and how it went.
func (t *teller) tellEnd() {
	s := t.sitting
	object := xObject{Type: "Activity", ID: t.paper, Definition: t.paperDefinition()}
	took := duration(s.Ended.Sub(s.Started))
	yes := true
	t.tell("completed", object, &xResult{Completion: &yes, Duration: took}, s.Ended, "")
	points, most := s.Total()
	passed := s.Passed(t.class.Pass)
	verb := "failed"
	if passed {
		verb = "passed"
	}
	result := &xResult{Score: score(points, most), Success: &passed, Duration: took, Extensions: map[string]any{
		t.x.Home + "/extensions/pass-mark":       t.class.Pass,
		t.x.Home + "/extensions/critical-errors": len(s.Critical()),
	}}
	t.tell(verb, object, result, s.Ended, "")
	t.tell("terminated", object, &xResult{Duration: took}, s.Ended, "")
	last := &t.made[len(t.made)-1]
	last.Context.Extensions = map[string]any{t.x.Home + "/extensions/export": map[string]any{"sha256": s.Digest, "length": s.Size, "file": s.File}}
	if t.x.Files != "" {
		last.Attachments = []attachment{{t.x.Home + "/attachments/export", t.text("The signed export of the sitting"), "application/json",
			s.Size, s.Digest, strings.TrimSuffix(t.x.Files, "/") + "/" + url.PathEscape(s.File)}}
	}
}

// duration writes a duration of ISO 8601 with at most two decimals of a second.
func duration(d time.Duration) string {
	text := strconv.FormatFloat(math.Floor(d.Seconds()*100)/100, 'f', -1, 64)
	return "PT" + text + "S"
}
