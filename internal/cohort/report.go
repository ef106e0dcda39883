package cohort

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strconv"
	"strings"
	texttemplate "text/template"

	"tugback/assets"
	"tugback/internal/attempt"
	"tugback/internal/comment"
	"tugback/internal/picture"
	"tugback/internal/psychometrics"
)

//go:embed sheets
var sheets embed.FS

var pages = template.Must(template.ParseFS(sheets, "sheets/*.html"))

// style returns the style of every sheet, the typefaces in it, so that a page stands by itself.
func style() (template.CSS, error) {
	text, err := sheets.ReadFile("sheets/style.css")
	if err != nil {
		return "", err
	}
	var b bytes.Buffer
	for _, face := range []struct{ family, form, file string }{
		{"EB Garamond", "normal", "EBGaramond12-Regular.otf"}, {"EB Garamond", "italic", "EBGaramond12-Italic.otf"}, {"Inter", "normal", "Inter-Regular.otf"},
	} {
		font, err := assets.Fonts.ReadFile("fonts/" + face.file)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&b, "@font-face{font-family:'%s';font-style:%s;src:url(data:font/otf;base64,%s)}\n", face.family, face.form, base64.StdEncoding.EncodeToString(font))
	}
	parsed, err := texttemplate.New("style").Parse(string(text))
	if err != nil {
		return "", err
	}
	if err := parsed.Execute(&b, struct{ Palette picture.Palette }{picture.Light()}); err != nil {
		return "", err
	}
	return template.CSS(b.String()), nil //nolint:gosec // our own style with our own colours
}

// stepLine is a step of the procedure on a sheet.
type stepLine struct{ Stage, Points, Possible, Share, Usual, Width string }

// stepLines writes steps; usual holds the class's share, which may be missing.
func stepLines(rows []StageRow, usual []StageRow) []stepLine {
	var lines []stepLine
	for _, r := range rows {
		line := stepLine{Stage: strings.ReplaceAll(r.Stage, "-", " "), Points: short(r.Points), Possible: short(r.Possible),
			Share: percent(r.Share), Width: number(100 * max(0, min(1, r.Share)))}
		for _, u := range usual {
			if u.Stage == r.Stage {
				line.Usual = percent(u.Share)
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// short writes points with at most two decimals.
func short(x float64) string {
	return strings.TrimSuffix(strings.TrimRight(psychometrics.Number(x, 2), "0"), ".")
}

func percent(share float64) string {
	text := psychometrics.Number(100*share, 1)
	if text == "–" {
		return text
	}
	return text + " %"
}

// ruleLine is a rule on a candidate's sheet.
type ruleLine struct {
	Title, Stage, Points, Available, Evidence, At string
	Happened, Excused                             bool
}

// commentLine is a comment on a candidate's sheet.
type commentLine struct{ Text, At, By string }

// caseSheet is a treatment on a candidate's sheet.
type caseSheet struct {
	Case          Case
	Line          string
	Plate, Levels template.HTML
	NotDrawn      string
	Rules         []ruleLine
	Comments      []commentLine
}

// answerLine is a question on a candidate's sheet.
type answerLine struct{ Stem, Response, Key, Why, Source, Points, Available string }

// candidateSheet is what the template of a candidate lays out.
type candidateSheet struct {
	Class               Class
	Sitting             Sitting
	Name, When, Verdict string
	Critical            []string
	Steps               []stepLine
	Cases               []caseSheet
	Answers             []answerLine
	Style               template.CSS
}

// CandidateHTML writes the report of one candidate as a page that stands by itself and prints on A4: the
// result, the marks step by step beside those of the class, each case with its plate, its plot by level and
// every rule with its evidence, the comments at their moments, the questions with their reasons. Checked by
// TestReports.
func CandidateHTML(w io.Writer, a Analysis, s Sitting, comments []comment.Comment) error {
	look, err := style()
	if err != nil {
		return err
	}
	points, available := s.Total()
	sheet := candidateSheet{Class: a.Class, Sitting: s, Name: a.Class.Name(s.Candidate), Critical: s.Critical(), Style: look,
		Verdict: fmt.Sprintf("%s of %s points, %s; the pass mark is %s: %s.", short(points), short(available), percent(s.Share()),
			percent(a.Class.Pass), verdict(s.Passed(a.Class.Pass)))}
	if !s.Ended.IsZero() {
		sheet.When = s.Ended.UTC().Format("2 January 2006, 15:04 UTC")
	}
	alone := Class{Sittings: []Sitting{s}}
	sheet.Steps = stepLines(stages(alone.Columns()), a.Stages)
	for _, one := range s.Cases {
		sheet.Cases = append(sheet.Cases, newCaseSheet(s.Candidate, one, comments, len(sheet.Cases)))
	}
	for _, answer := range s.Answers {
		line := answerLine{Stem: answer.Item.Stem, Response: responseText(answer), Key: answer.Item.Key(), Why: answer.Item.Why,
			Source: answer.Item.Source, Points: short(answer.Points), Available: short(answer.Available)}
		if line.Response == "" {
			line.Response = "not answered"
		}
		sheet.Answers = append(sheet.Answers, line)
	}
	return pages.ExecuteTemplate(w, "candidate.html", sheet)
}

func verdict(passed bool) string {
	if passed {
		return "passed"
	}
	return "not passed"
}

// newCaseSheet lays out a treatment.
func newCaseSheet(candidate string, one Case, comments []comment.Comment, n int) caseSheet {
	sheet := caseSheet{Case: one, Line: fmt.Sprintf("%s of %s points, %s · %d actions in %s on the treatment's clock · seed %d",
		short(one.Marks.Total), short(one.Marks.Available), percent(one.Marks.Total/one.Marks.Available), len(one.Actions), minutes(one.Elapsed), one.Seed)}
	if one.Draw != nil {
		pictures, err := one.Draw()
		if err != nil {
			sheet.NotDrawn = "The pictures could not be drawn: " + err.Error()
		}
		sheet.Plate = inline(pictures.Plate, fmt.Sprintf("p%d-", n))
		sheet.Levels = inline(pictures.Levels, fmt.Sprintf("l%d-", n))
	}
	for _, r := range one.Marks.Rules {
		line := ruleLine{Title: r.Title, Stage: strings.ReplaceAll(r.Stage, "-", " "), Points: short(r.Points), Available: short(r.Available),
			Evidence: r.Evidence, Happened: r.Happened, Excused: r.Excused}
		if r.Action >= 0 && r.Action < len(one.Actions) {
			line.At = moment(one, r.Action)
		}
		sheet.Rules = append(sheet.Rules, line)
	}
	for _, k := range comments {
		if k.Candidate != candidate || k.Case != one.ID {
			continue
		}
		at := "On the case as a whole"
		if k.Action > 0 {
			at = moment(one, k.Action-1)
		}
		sheet.Comments = append(sheet.Comments, commentLine{k.Text, at, k.By})
	}
	return sheet
}

// moment says which action is meant.
func moment(one Case, index int) string {
	return fmt.Sprintf("Action %d: %s", index+1, attempt.Say(one.Actions[index]))
}

func minutes(ms int) string {
	return strconv.Itoa((ms+30000)/60000) + " min"
}

var (
	idAttribute = regexp.MustCompile(`\b(id|aria-labelledby|aria-describedby)="([^"]*)"`)
	idReference = regexp.MustCompile(`(url\(#|href="#)`)
)

// inline returns an SVG drawing to stand within a page: the XML head is gone and its ids begin with a text of
// their own, so that two drawings on one page do not meet.
func inline(svg, prefix string) template.HTML {
	if at := strings.Index(svg, "<svg"); at > 0 {
		svg = svg[at:]
	}
	svg = idAttribute.ReplaceAllStringFunc(svg, func(found string) string {
		name, value, _ := strings.Cut(strings.TrimSuffix(found, `"`), `="`)
		parts := strings.Fields(value)
		for i := range parts {
			parts[i] = prefix + parts[i]
		}
		return name + `="` + strings.Join(parts, " ") + `"`
	})
	svg = idReference.ReplaceAllString(svg, "${1}"+prefix)
	return template.HTML(svg) //nolint:gosec // drawn by package picture, which escapes its texts
}
