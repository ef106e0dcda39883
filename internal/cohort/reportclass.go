package cohort

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"tugback/internal/psychometrics"
)

// classSheet is what the template of a class lays out.
type classSheet struct {
	Class          Class
	Line, Verdict  string
	Histogram      template.HTML
	Scatter        template.HTML
	Weakest        string
	Steps          []stepLine
	Trust          []string
	Figures        [][2]string
	Near, NearLine string
	PassLines      []string
	Items          []itemLine
	Questions      []questionSheet
	Standing       []string
	Alike          []alikeLine
	Candidates     []candidateLine
	Conventions    []string
	Style          template.CSS
}

type itemLine struct {
	Number                                                          int
	ID, Title, Max, N, Difficulty, Rest, UpperLower, Dropped, Flags string
	Earned                                                          string
}

type questionSheet struct {
	Stem    string
	Options []optionLine
}

type optionLine struct{ Text, Chosen, Share, Mean, R, UpperLower, Note string }

type alikeLine struct{ Case, Who, Likeness, Actions string }

type candidateLine struct {
	Name, Link, Points, Available, Share, Width, Result string
	Critical                                            bool
}

// ReportFile returns the name of a candidate's report within the folder of a gradebook: letters, digits,
// dash and underscore of the id, the rest written out, so that no id leads out of the folder.
func ReportFile(candidate string) string {
	return "candidates/" + NCName(strings.ReplaceAll(candidate, ".", "_2e_")) + ".html"
}

// ClassHTML writes the report of a class as a page that stands by itself and prints on A4. Checked by
// TestReports.
func ClassHTML(w io.Writer, a Analysis) error {
	look, err := style()
	if err != nil {
		return err
	}
	c := a.Class
	sheet := classSheet{Class: c, Style: look, Steps: stepLines(a.Stages, nil), Conventions: conventions()}
	sheet.Line = fmt.Sprintf("%d candidates · %d files refused · pass mark %s", len(c.Sittings), len(c.Refused), percent(c.Pass))
	if len(c.Sittings) > 0 {
		sheet.Verdict = fmt.Sprintf("%d of %d passed. Mean %s, median %s, standard deviation %s.", a.Passed, len(c.Sittings), percent(a.Mean), percent(a.Median), percent(a.SD))
		sheet.Histogram, sheet.Scatter = histogram(a), scatter(a)
	} else {
		sheet.Verdict = "No sitting stood verification."
	}
	if len(a.Stages) > 0 {
		sheet.Weakest = fmt.Sprintf("The class earned least in %s: %s of the points.", strings.ReplaceAll(a.Stages[0].Stage, "-", " "), percent(a.Stages[0].Share))
	}
	sheet.Trust, sheet.Figures = a.trustLines()
	if len(a.Near.Within) > 0 {
		var names []string
		for _, i := range a.Near.Within {
			names = append(names, c.Name(c.Sittings[i].Candidate)+" ("+percent(a.Shares[i])+")")
		}
		sheet.Near = strings.Join(names, ", ")
		sheet.NearLine = fmt.Sprintf("%d of %d results lie within one standard error of measurement (%s) of the pass mark; with such an error about %s of all are expected on the wrong side of it.",
			len(names), len(c.Sittings), percent(a.SEMShare), psychometrics.Number(a.Near.Wrong, 1))
	}
	sheet.PassLines = a.passLines()
	sheet.Items = a.itemLines()
	sheet.Questions = a.questions()
	sheet.Standing, sheet.Alike = a.standing()
	sheet.Candidates = a.candidates()
	return pages.ExecuteTemplate(w, "class.html", sheet)
}

// conventions says how the figures were computed.
func conventions() []string {
	return []string{
		"Difficulty is the mean share of an item's points, so a high figure is an easy item.",
		"Rest r is the correlation of an item with the total of all other items. Upper–lower compares the best and the worst 27 % by total, those tied at the border with shared weight.",
		"Alpha and KR-20 take variances with 1/n throughout; the standard error of measurement uses the standard deviation with 1/n. The interval is Feldt's, 95 %.",
		"Rules of one case depend on one another, so alpha alone promises too much; the study of persons, cases and rules within cases does not. It takes each rule as a share of its own points, by mean squares; components below zero are set to zero.",
		"A rule left out because an earlier one has taken the points counts as the mean of the others. Items that not everybody met, and deductions, are left out of alpha and the studies.",
		"A dash means that a figure is not defined, for instance because everybody earned the same.",
		"Outliers have a robust standard score of 3.5 or more from the median. Likeness of logs is 2·L/(m+n), L the longest common sequence of actions with all settings equal: a reason to look, never a proof.",
	}
}

// trustLines says what the figures of reliability mean.
func (a Analysis) trustLines() (lines []string, figures [][2]string) {
	r := a.Trust
	figures = append(figures, reliabilityFigure("", r, a.Exact),
		[2]string{"standard error of measurement", fmt.Sprintf("%s points, %s of the points", psychometrics.Number(r.SEM, 2), percent(a.SEMShare))},
		[2]string{"agreement on passing (Livingston k²)", psychometrics.Number(a.Kappa, 2)},
	)
	if !math.IsNaN(a.Quiz.Alpha) {
		figures = append(figures, reliabilityFigure(" of the questions", a.Quiz, a.QuizExact))
	}
	if why := a.Crossed.NotEstimable; why != "" {
		lines = append(lines, "How marks would hold over other cases cannot be said: "+why+".")
		return lines, figures
	}
	n, deep := a.Crossed, a.Nested
	figures = append(figures, studyFigures("persons × cases", n)...)
	if deep.NotEstimable == "" {
		figures = append(figures, studyFigures("persons × (rules in cases)", deep)...)
		n = deep
	}
	switch cases := n.CasesFor(0.8); {
	case cases == 0:
		lines = append(lines, "The candidates do not differ beyond what the cases do to them: no number of such cases would rank them.")
	case cases <= n.Cases:
		lines = append(lines, fmt.Sprintf("The %d cases are enough to rank candidates with a coefficient of 0.80 or more.", n.Cases))
	default:
		lines = append(lines, fmt.Sprintf("With %d cases the coefficient for ranking candidates is %s; about %d such cases would bring it to 0.80.", n.Cases, psychometrics.Number(n.General, 2), cases))
	}
	if len(n.Negative) > 0 {
		lines = append(lines, "Estimated below zero and set to zero: "+strings.Join(n.Negative, ", ")+". With so few data this is no finding.")
	}
	return lines, figures
}

// reliabilityFigure writes a coefficient under its right name.
func reliabilityFigure(of string, r psychometrics.Reliability, exact bool) [2]string {
	name := "Cronbach's alpha"
	if exact {
		name = "KR-20"
	}
	return [2]string{name + of, fmt.Sprintf("%s (95 %%: %s to %s), %d items, %d persons", psychometrics.Number(r.Alpha, 2),
		psychometrics.Number(r.Low, 2), psychometrics.Number(r.High, 2), r.Items, r.Persons)}
}

// studyFigures writes a study as rows.
func studyFigures(name string, s psychometrics.Study) [][2]string {
	parts := fmt.Sprintf("persons %s, cases %s, persons × cases %s", psychometrics.Number(s.Person, 4), psychometrics.Number(s.Case, 4), psychometrics.Number(s.PersonCase, 4))
	if s.Items != nil {
		parts += fmt.Sprintf(", rules %s, rest %s", psychometrics.Number(s.Item, 4), psychometrics.Number(s.Residual, 4))
	}
	return [][2]string{
		{name, fmt.Sprintf("Eρ² %s (ranking), Φ %s (against a fixed mark)", psychometrics.Number(s.General, 2), psychometrics.Number(s.Dependable, 2))},
		{"its variances", parts},
	}
}

// passLines says which pass marks the methods give.
func (a Analysis) passLines() []string {
	c, s := a.Class, a.Standard
	lines := []string{fmt.Sprintf("The paper's pass mark is %s. A critical error fails whatever the points.", percent(c.Pass))}
	failing := func(cut float64) string {
		return fmt.Sprintf("%s of the candidates are below it by points", percent(psychometrics.Failing(a.Shares, cut)))
	}
	if s.Angoff != nil {
		cut := s.Angoff.Cut / s.Angoff.Highest
		lines = append(lines, fmt.Sprintf("Modified Angoff, round %d, %d judges: %s (%s of %s points; between judges SD %s, standard error %s points); %s.", s.Round, s.Angoff.Judges,
			percent(cut), short(s.Angoff.Cut), short(s.Angoff.Highest), psychometrics.Number(s.Angoff.SD, 2), psychometrics.Number(s.Angoff.SE, 2), failing(cut)))
	}
	if h := s.Hofstee; h != nil {
		lines = append(lines, fmt.Sprintf("Hofstee, cut from %s to %s, failures from %s to %s: %s; %s. %s.", percent(h.Mean.CutLow), percent(h.Mean.CutHigh),
			percent(h.Mean.FailLow), percent(h.Mean.FailHigh), percent(h.Cut), failing(h.Cut), sentence(h.Story)))
	}
	if b := s.Borderline; b != nil {
		text := fmt.Sprintf("Borderline regression on %d global grades: %s (standard error %s, RMSE %s, R² %s, %s of the points a grade); %s.", b.N, percent(b.Cut), percent(b.SE),
			percent(b.RMSE), psychometrics.Number(b.R2, 2), percent(b.Slope), failing(b.Cut))
		if !math.IsNaN(b.GroupMean) {
			text += fmt.Sprintf(" The borderline group's mean is %s, its median %s.", percent(b.GroupMean), percent(b.GroupMedian))
		}
		if b.Small {
			text += " With fewer than 50 grades the error of this cut is large."
		}
		lines = append(lines, text)
	}
	if s.Angoff == nil && s.Hofstee == nil && s.Borderline == nil {
		lines = append(lines, "No judges' entries were given. The form judges.html collects them and saves them as CSV, which the gradebook reads with --judges.")
	}
	return lines
}

// sentence begins a text with a capital.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func (a Analysis) itemLines() []itemLine {
	var lines []itemLine
	for i, r := range a.Items {
		s := r.Stat
		line := itemLine{Number: i + 1, ID: r.ID, Title: clip(r.Title), Max: short(r.Max), N: fmt.Sprint(s.N), Difficulty: psychometrics.Number(s.Difficulty, 2),
			Rest: psychometrics.Number(s.ItemRest, 2), UpperLower: psychometrics.Number(s.UpperLower, 2), Dropped: psychometrics.Number(s.Dropped, 2),
			Earned: percent(s.Difficulty), Flags: sentence(strings.Join(r.Flags, "; "))}
		if r.Max == 0 {
			line.Max, line.Difficulty = "–", "–"
		}
		if r.Lost > 0 {
			line.Flags = fmt.Sprintf("Takes %s points on average", short(r.Lost))
		}
		if r.Critical {
			line.Flags = strings.TrimSuffix(fmt.Sprintf("Critical error in %d; %s", r.Happened, line.Flags), "; ")
		}
		lines = append(lines, line)
	}
	return lines
}

// clip shortens a title to a line or two.
func clip(text string) string {
	const most = 110
	if letters := []rune(text); len(letters) > most {
		return strings.TrimSpace(string(letters[:most-1])) + "…"
	}
	return text
}

func (a Analysis) questions() []questionSheet {
	var sheets []questionSheet
	for _, use := range a.Options {
		sheet := questionSheet{Stem: use.Item.Stem}
		for _, o := range use.Options {
			line := optionLine{Text: use.Text(o.ID), Chosen: fmt.Sprint(o.Chosen), Share: percent(o.Share), Mean: psychometrics.Number(o.MeanTotal, 1),
				R: psychometrics.Number(o.PointBis, 2), UpperLower: psychometrics.Number(o.UpperLower, 1)}
			switch {
			case o.Key && o.PointBis < 0:
				line.Note = "key, but the weak choose it"
			case o.Key:
				line.Note = "key"
			case o.Idle:
				line.Note = "does nothing"
			case o.PointBis > 0.1:
				line.Note = "draws the strong"
			}
			sheet.Options = append(sheet.Options, line)
		}
		sheets = append(sheets, sheet)
	}
	return sheets
}

// standing says who is far from the others and whose logs are alike.
func (a Analysis) standing() (lines []string, alike []alikeLine) {
	if len(a.Outliers) == 0 {
		lines = append(lines, "Nobody's total is far from the others.")
	}
	for _, o := range a.Outliers {
		s := a.Class.Sittings[o.Index]
		lines = append(lines, fmt.Sprintf("%s, %s, is far from the median (robust standard score %s).", a.Class.Name(s.Candidate), percent(a.Shares[o.Index]), psychometrics.Number(o.Z, 1)))
	}
	if len(a.Alike) == 0 {
		text := "No two logs of the same case are nearly the same."
		if !math.IsNaN(a.Typical) {
			text += fmt.Sprintf(" Usual for two candidates: %s of the actions in common.", percent(a.Typical))
		}
		return append(lines, text), nil
	}
	lines = append(lines, fmt.Sprintf("Logs that are nearly the same, of at least %s; usual are %s of the actions in common. Teeth differ between candidates, so equal settings want an explanation.", percent(AlikeFrom), percent(a.Typical)))
	for _, p := range a.Alike {
		alike = append(alike, alikeLine{p.Case, a.Class.Name(p.First) + " and " + a.Class.Name(p.Second), percent(p.Likeness), fmt.Sprint(p.Actions)})
	}
	return lines, alike
}

// candidates lists the class, the best first.
func (a Analysis) candidates() []candidateLine {
	order := make([]int, len(a.Class.Sittings))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case a.Shares[i] > a.Shares[j]:
			return -1
		case a.Shares[i] < a.Shares[j]:
			return 1
		}
		return 0
	})
	var lines []candidateLine
	for _, i := range order {
		s := a.Class.Sittings[i]
		points, available := s.Total()
		lines = append(lines, candidateLine{a.Class.Name(s.Candidate), ReportFile(s.Candidate), short(points), short(available), percent(a.Shares[i]),
			number(100 * max(0, min(1, a.Shares[i]))), verdict(s.Passed(a.Class.Pass)), len(s.Critical()) > 0})
	}
	return lines
}

// JudgesHTML writes a form that collects judges' entries and saves them as the CSV that ReadJudges reads. It
// can be printed and filled in by hand.
func JudgesHTML(w io.Writer, a Analysis) error {
	look, err := style()
	if err != nil {
		return err
	}
	var items []itemLine
	for i, line := range a.itemLines() {
		if a.Items[i].Max > 0 {
			items = append(items, line)
		}
	}
	var candidates []string
	for _, s := range a.Class.Sittings {
		candidates = append(candidates, s.Candidate)
	}
	return pages.ExecuteTemplate(w, "judges.html", struct {
		Class      Class
		Items      []itemLine
		Candidates []string
		Style      template.CSS
	}{a.Class, items, candidates, look})
}
