package cohort

import (
	"cmp"
	"math"
	"slices"

	"tugback/internal/psychometrics"
)

// ItemRow is a column with its statistics. Stat is of the matrix of columns that everybody met; for a column
// outside it only N, Mean and Difficulty are set and the rest is NaN.
type ItemRow struct {
	Column
	Stat psychometrics.Item
	// Flags are what an instructor should look at, in sentences.
	Flags []string
}

// StageRow is how a class did in one step of the procedure.
type StageRow struct {
	Stage            string
	Points, Possible float64 // means per candidate
	Share            float64
}

// Analysis is what the marks of a class are worth.
type Analysis struct {
	Class     Class
	Shares    []float64 // per sitting, 0 … 1
	Mean      float64
	SD        float64
	Median    float64
	Passed    int
	Items     []ItemRow
	Left      int // columns left out of the matrix, since not everybody met them or they give no points
	Trust     psychometrics.Reliability
	Exact     bool                      // all items are 0 or full: alpha is KR-20
	Quiz      psychometrics.Reliability // of the questions alone
	QuizExact bool                      // all questions are 0 or full: Quiz is KR-20
	SEMShare  float64                   // SEM as a share of the points of the matrix
	Crossed   psychometrics.Study
	Nested    psychometrics.Study
	Near      psychometrics.NearCut
	Kappa     float64 // Livingston's k² at the pass mark
	Stages    []StageRow
	Options   []OptionUse
	Outliers  []psychometrics.Outlier
	Alike     []Pair
	Typical   float64 // median likeness of two logs of the same case
	Standard  Standard
}

// WeakRest is the discrimination below which an item is flagged: common practice, no source.
const WeakRest = 0.15

// Analyse computes all statistics of a class. judges may be empty. Checked by TestAnalyse.
func Analyse(class Class, judges Judges) (Analysis, error) {
	a := Analysis{Class: class}
	for _, s := range class.Sittings {
		a.Shares = append(a.Shares, s.Share())
		if s.Passed(class.Pass) {
			a.Passed++
		}
	}
	a.Mean, a.SD = moments(a.Shares)
	a.Median = psychometrics.Median(a.Shares)
	columns := class.Columns()
	m, maximum, places := matrix(columns)
	a.Left = len(columns) - len(places)
	a.items(columns, m, maximum, places)
	a.trust(m, maximum)
	a.quizTrust(columns)
	a.Crossed, a.Nested = class.studies(columns)
	a.Stages = stages(columns)
	totals := make([]float64, len(class.Sittings))
	for i, s := range class.Sittings {
		totals[i], _ = s.Total()
	}
	a.Options = class.optionUse(totals)
	a.Outliers = psychometrics.Outliers(a.Shares)
	a.Alike, a.Typical = class.alike()
	var err error
	a.Standard, err = class.standard(judges, columns, a.Shares)
	return a, err
}

// items computes what is said about each column.
func (a *Analysis) items(columns []Column, m psychometrics.Matrix, maximum []float64, places []int) {
	var stats []psychometrics.Item
	if len(places) > 0 {
		stats = psychometrics.Items(m, maximum)
	}
	for i, col := range columns {
		met := col.Met()
		mean, sd := moments(met)
		row := ItemRow{Column: col, Stat: psychometrics.Item{N: len(met), Mean: mean, SD: sd, Difficulty: mean / col.Max,
			ItemTotal: math.NaN(), ItemRest: math.NaN(), UpperLower: math.NaN(), Dropped: math.NaN()}}
		if k := slices.Index(places, i); k >= 0 {
			row.Stat = stats[k]
		}
		row.Flags = flags(row)
		a.Items = append(a.Items, row)
	}
}

// flags says what an instructor should look at.
func flags(row ItemRow) []string {
	var all []string
	s := row.Stat
	switch {
	case row.Max == 0:
		return nil
	case s.Difficulty > 0.999:
		all = append(all, "everybody earned all of it")
	case s.Difficulty < 0.001:
		all = append(all, "nobody earned anything")
	case s.ItemRest < 0:
		all = append(all, "the weaker did better: is the key or the band right?")
	case s.ItemRest < WeakRest:
		all = append(all, "hardly tells strong from weak")
	}
	if row.Excused > 0 {
		all = append(all, "left out for some, an earlier rule having taken the points")
	}
	return all
}

// trust computes reliability and what it means at the pass mark.
func (a *Analysis) trust(m psychometrics.Matrix, maximum []float64) {
	a.SEMShare, a.Kappa = math.NaN(), math.NaN()
	a.Trust = psychometrics.Reliability{Alpha: math.NaN(), Low: math.NaN(), High: math.NaN(), SEM: math.NaN(), SampleSEM: math.NaN()}
	if m == nil {
		return
	}
	a.Trust, a.Exact = psychometrics.Alpha(m), allOrNothing(m, maximum)
	all := 0.0
	for _, most := range maximum {
		all += most
	}
	a.SEMShare = a.Trust.SEM / all
	a.Near = psychometrics.Near(a.Shares, a.Class.Pass, a.SEMShare)
	a.Kappa = psychometrics.Livingston(a.Trust, a.Class.Pass*all)
}

// quizTrust computes the reliability of the questions by themselves: unlike the rules of a case they do not
// hang on one another. Checked by TestQuizTrust.
func (a *Analysis) quizTrust(columns []Column) {
	m, maximum, _ := matrix(slices.DeleteFunc(slices.Clone(columns), func(c Column) bool { return c.Part != "quiz" }))
	a.Quiz = psychometrics.Reliability{Alpha: math.NaN()}
	if m != nil {
		a.Quiz, a.QuizExact = psychometrics.Alpha(m), allOrNothing(m, maximum)
	}
}

// allOrNothing reports whether every score is 0 or full.
func allOrNothing(m psychometrics.Matrix, maximum []float64) bool {
	for _, row := range m {
		for i, x := range row {
			if x != 0 && x != maximum[i] {
				return false
			}
		}
	}
	return true
}

// studies computes the generalisability studies: persons × cases on each case's share of its points, and
// persons × (rules within cases) on each rule's share of its own, so that no rule weighs more because it
// gives more points. Only rules that everybody met count.
func (c Class) studies(columns []Column) (crossed, nested psychometrics.Study) {
	var parts []string
	for _, col := range columns {
		if col.Whole() && col.Part != "quiz" && !slices.Contains(parts, col.Part) {
			parts = append(parts, col.Part)
		}
	}
	if len(parts) == 0 || len(c.Sittings) == 0 {
		none := psychometrics.Nested(nil)
		return none, none
	}
	each := make(psychometrics.Matrix, len(c.Sittings))
	deep := make([][][]float64, len(c.Sittings))
	for s := range c.Sittings {
		for _, part := range parts {
			points, most := 0.0, 0.0
			var rules []float64
			for _, col := range columns {
				if col.Part == part && col.Whole() {
					points += col.Scores[s]
					most += col.Max
					rules = append(rules, col.Scores[s]/col.Max)
				}
			}
			each[s] = append(each[s], points/most)
			deep[s] = append(deep[s], rules)
		}
	}
	return psychometrics.Crossed(each), psychometrics.Nested(deep)
}

// stages adds up the steps of the procedure, the weakest first.
func stages(columns []Column) []StageRow {
	var rows []StageRow
	for _, col := range columns {
		if col.Max == 0 || math.IsNaN(col.Share()) {
			continue
		}
		name := col.Stage
		if name == "" {
			name = "overall"
		}
		i := slices.IndexFunc(rows, func(r StageRow) bool { return r.Stage == name })
		if i < 0 {
			i = len(rows)
			rows = append(rows, StageRow{Stage: name})
		}
		rows[i].Points += col.Share() * col.Max
		rows[i].Possible += col.Max
	}
	for i := range rows {
		rows[i].Share = rows[i].Points / rows[i].Possible
	}
	slices.SortStableFunc(rows, func(a, b StageRow) int { return cmp.Compare(a.Share, b.Share) })
	return rows
}

// moments returns mean and standard deviation with 1/n, NaN of nothing.
func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	if len(x) == 0 {
		return math.NaN(), math.NaN()
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x))
	}
	return mean, math.Sqrt(sd)
}
