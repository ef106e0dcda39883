package trial

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"tugback/internal/picture"
)

// The sheet of a report, px at 100 %.
const (
	sheetWidth  = 960
	chartTop    = 96
	chartHeight = 220
	chartLeft   = 56
	chartRight  = sheetWidth - 24
	rowHeight   = 22
	shareLeft   = 520
	shareWidth  = 250
)

// SVG draws the spread of the marks and, below it, what each rule took from the class, in the look of
// the plates. The same result gives the same bytes. Checked by TestReports.
func (r Result) SVG(w io.Writer) error {
	return svgSheet.Execute(w, r.sheet())
}

// HTML writes the same as a page with all figures, which stands by itself.
func (r Result) HTML(w io.Writer) error {
	var drawing strings.Builder
	if err := svgSheet.Execute(&drawing, r.sheet()); err != nil {
		return err
	}
	return htmlSheet.Execute(w, struct {
		sheet
		Drawing template.HTML
	}{r.sheet(), template.HTML(drawing.String())}) //nolint:gosec // drawn by the template above, which escapes
}

// sheet is what the templates lay out.
type sheet struct {
	Result
	Palette       picture.Palette
	Heading, Line string
	Width, Height int
	Bars          []bar
	Ticks         []mark
	Grid          []mark
	PassX         float64
	PassText      string
	Base, RuleTop float64
	Rows          []row
	Figures       [][]string
}

type bar struct {
	X, Y, Width, Height float64
	Text                string
}

// mark is a mark on an axis of the chart.
type mark struct {
	At   float64
	Text string
}

type row struct {
	Y, Share, Left      float64
	Width, Height       float64
	Title, Lost, Points string
	Full, None          string
	Critical, Loss      bool // a bar of what was lost
}

// binWidth is the width of a bar, per cent of the marks.
const binWidth = 2

func (r Result) sheet() sheet {
	s := sheet{
		Result: r, Palette: picture.Light(), Width: sheetWidth, Base: chartTop + chartHeight,
		Heading: fmt.Sprintf("%s, treated %d times by the operator “%s”", r.Scenario, r.Cases, r.Operator),
		Line: fmt.Sprintf("passed %s · marks %.0f %% on average, standard deviation %.0f · seed %d · engine %s",
			percent(r.PassRate), r.Marks.Mean, r.Marks.SD, r.Seed, r.Engine),
		PassX:    chartLeft + float64(r.PassMark*(chartRight-chartLeft)),
		PassText: "pass mark " + percent(r.PassMark),
		RuleTop:  chartTop + chartHeight + 92,
	}
	s.histogram()
	s.rules()
	s.Figures = r.Figures()
	s.Height = int(s.RuleTop) + rowHeight*len(s.Rows) + 40
	return s
}

// histogram lays the bars out. The height is the share of the cases in a bin.
func (s *sheet) histogram() {
	counts := make([]int64, 100/binWidth)
	for bin, n := range s.Tally.Marks.Bins {
		counts[min(bin/(10*binWidth), len(counts)-1)] += n
	}
	most := int64(1)
	for _, n := range counts {
		most = max(most, n)
	}
	step := float64(chartRight-chartLeft) / float64(len(counts))
	for i, n := range counts {
		if n == 0 {
			continue
		}
		height := chartHeight * float64(n) / float64(most)
		s.Bars = append(s.Bars, bar{X: chartLeft + float64(step*float64(i)) + 1, Y: s.Base - height, Width: step - 2, Height: height,
			Text: fmt.Sprintf("%d to %d %% of the marks: %d cases", i*binWidth, (i+1)*binWidth, n)})
	}
	for at := 0; at <= 100; at += 10 {
		s.Ticks = append(s.Ticks, mark{chartLeft + float64(float64(at)/100*(chartRight-chartLeft)), fmt.Sprintf("%d %%", at)})
	}
	for _, part := range []float64{0.5, 1} {
		s.Grid = append(s.Grid, mark{s.Base - float64(part*chartHeight), fmt.Sprintf("%.0f", math.Round(part*float64(most)))})
	}
}

func (s *sheet) rules() {
	for i, rule := range s.Result.Rules {
		y := s.RuleTop + float64(rowHeight*(i+1))
		one := row{Y: y, Left: shareLeft, Height: rowHeight - 8, Title: rule.Title, Critical: rule.Critical,
			Share: rule.Share, Width: shareWidth * rule.Share, Points: fmt.Sprintf("%g", rule.Points), Lost: rule.Cost(), Loss: !rule.Earns()}
		switch {
		case rule.Critical:
			one.Width = shareWidth * rule.Happened
		case rule.Deduct > 0:
			one.Width = shareWidth * math.Min(1, rule.Lost/rule.Deduct)
		default:
			one.Full, one.None = percent(rule.Full), percent(rule.None)
		}
		s.Rows = append(s.Rows, one)
	}
}

// Biting returns the rules by what they took from the class, critical errors first by how often they
// happened; rules that took nothing are left out.
func (r Result) Biting() []RuleResult {
	rules := slices.DeleteFunc(slices.Clone(r.Rules), func(a RuleResult) bool { return a.Lost <= 0 && a.Happened <= 0 })
	slices.SortStableFunc(rules, func(a, b RuleResult) int {
		return cmp.Or(cmp.Compare(b.Happened, a.Happened), cmp.Compare(b.Lost, a.Lost))
	})
	return rules
}

// Figures returns the figures of a trial as rows of name and value.
func (r Result) Figures() [][]string {
	var rows [][]string
	add := func(name, value string) { rows = append(rows, []string{name, value}) }
	add("cases", fmt.Sprint(r.Cases))
	add("passed (at "+percent(r.PassMark)+" or more, no critical error)", percent(r.PassRate))
	add("critical error", percent(r.CriticalRate))
	add("marks: mean, 5th, 50th, 95th percentile", fmt.Sprintf("%.1f, %.1f, %.1f, %.1f %%", r.Marks.Mean, r.Marks.P05, r.Marks.Median, r.Marks.P95))
	add("minutes: mean, 5th, 95th percentile", fmt.Sprintf("%.0f, %.0f, %.0f", r.Minutes.Mean, r.Minutes.P05, r.Minutes.P95))
	add("teeth filled acceptably", percent(r.FillRate))
	add("canals filled acceptably; short; long; with voids", strings.Join([]string{percent(r.FillRateCanals), percent(r.ShortRate), percent(r.LongRate), percent(r.VoidRate)}, "; "))
	add("canals with a ledge", percent(r.LedgeRate))
	add("canals perforated", percent(r.PerforationRate))
	add("teeth with a broken instrument", percent(r.FractureRate))
	add("canals missed", percent(r.MissedRate))
	return rows
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }

var svgSheet = template.Must(template.New("svg").Parse(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {{.Width}} {{.Height}}" role="img" aria-labelledby="t d" font-family="Inter, Helvetica, Arial, sans-serif" font-size="14" fill="{{.Palette.Ink}}">
<title id="t">{{.Heading}}</title>
<desc id="d">{{.Line}}</desc>
<rect width="{{.Width}}" height="{{.Height}}" fill="{{.Palette.Paper}}"/>
<text x="24" y="42" font-family="'EB Garamond', Georgia, serif" font-size="25">{{.Heading}}</text>
<text x="24" y="68" fill="{{.Palette.Quiet}}">{{.Line}}</text>
<g stroke="{{.Palette.Hairline}}" stroke-width="0.7">{{range .Grid}}<path d="M56 {{.At}}H936"/>{{end}}</g>
<g fill="{{.Palette.Quiet}}" text-anchor="end" font-size="13">{{range .Grid}}<text x="50" y="{{.At}}" dy="4">{{.Text}}</text>{{end}}</g>
<g fill="{{.Palette.Tooth}}" stroke="{{.Palette.Ink}}" stroke-width="1.1">{{range .Bars}}
<rect x="{{.X}}" y="{{.Y}}" width="{{.Width}}" height="{{.Height}}"><title>{{.Text}}</title></rect>{{end}}
</g>
<path d="M56 {{.Base}}H936" stroke="{{.Palette.Ink}}" stroke-width="1.3"/>
<g fill="{{.Palette.Quiet}}" text-anchor="middle" font-size="13">{{$base := .Base}}{{range .Ticks}}<text x="{{.At}}" y="{{$base}}" dy="20">{{.Text}}</text>{{end}}</g>
<text x="496" y="{{.Base}}" dy="44" text-anchor="middle" font-family="'EB Garamond', Georgia, serif" font-style="italic" font-size="17">marks, share of those available; height: cases</text>
<path d="M{{.PassX}} 84V{{.Base}}" stroke="{{.Palette.Event}}" stroke-width="1.3" stroke-dasharray="5 3"/>
<text x="{{.PassX}}" y="88" dx="-6" text-anchor="end" fill="{{.Palette.Event}}">{{.PassText}}</text>
<text x="24" y="{{.RuleTop}}" font-family="'EB Garamond', Georgia, serif" font-size="17">Rules</text>
<text x="520" y="{{.RuleTop}}" font-family="'EB Garamond', Georgia, serif" font-style="italic" font-size="16">share earned; in red: lost</text>
<text x="936" y="{{.RuleTop}}" text-anchor="end" font-family="'EB Garamond', Georgia, serif" font-style="italic" font-size="16">points lost on average</text>
{{$p := .Palette}}{{range .Rows}}<text x="24" y="{{.Y}}">{{.Title}}</text><rect x="520" y="{{.Y}}" width="250" height="14" transform="translate(0 -12)" fill="none" stroke="{{$p.Hairline}}" stroke-width="0.7"/><rect x="520" y="{{.Y}}" width="{{.Width}}" height="14" transform="translate(0 -12)" fill="{{if .Loss}}{{$p.Wash}}{{else}}{{$p.Chosen}}{{end}}" stroke="{{$p.Ink}}" stroke-width="0.7"/><text x="936" y="{{.Y}}" text-anchor="end">{{.Lost}}</text>
{{end}}</svg>
`))

var htmlSheet = template.Must(template.New("html").Parse(`<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>{{.Heading}}</title>
<style>
body{background:{{.Palette.Paper}};color:{{.Palette.Ink}};font:16px/1.45 Inter,Helvetica,Arial,sans-serif;margin:0 auto;max-width:60rem;padding:1.5rem}
h1,h2{font-family:'EB Garamond',Georgia,serif;font-weight:normal}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th,td{text-align:left;padding:.25rem .75rem .25rem 0;border-bottom:1px solid {{.Palette.Hairline}}}
td.n,th.n{text-align:right}
svg{width:100%;height:auto}
p{color:{{.Palette.Quiet}}}
</style></head><body>
<h1>{{.Heading}}</h1>
<p>{{.Line}}</p>
<h2>Figures</h2>
<table>{{range .Figures}}<tr><th scope="row">{{index . 0}}</th><td class="n">{{index . 1}}</td></tr>{{end}}</table>
<h2>Marks and rules</h2>
{{.Drawing}}
<h2>Rule by rule</h2>
<table><tr><th>rule</th><th class="n">lost on average</th><th class="n">earned all</th><th class="n">earned none</th></tr>
{{range .Rows}}<tr><td>{{.Title}}{{if .Critical}} (critical){{end}}</td><td class="n">{{.Lost}}</td><td class="n">{{.Full}}</td><td class="n">{{.None}}</td></tr>
{{end}}</table>
<p>A scripted operator is a model of a hand, not of a person: the figures show how a case and its rules work, and predict no student's mark.</p>
</body></html>
`))
