package cohort

import (
	"math"
	"slices"

	"tugback/internal/psychometrics"
	"tugback/internal/quiz"
)

// Column is one thing that was marked, with what each candidate of the class got.
type Column struct {
	ID    string // "case/rule" or "quiz/item"
	Part  string // case id, or "quiz"
	Stage string
	Title string
	Max   float64
	// Scores holds points by sitting; NaN where the candidate did not meet it.
	Scores []float64
	// Happened counts a critical error.
	Happened int
	Critical bool
	// Excused counts sittings in which an earlier rule had taken the points already; they get the mean share
	// of the others, which neither helps nor harms the column.
	Excused int
	// Lost is the mean of the points a deduction took; Max is then 0.
	Lost float64
}

// Whole reports whether the column can be used in a matrix: everybody met it and it gives points.
func (c Column) Whole() bool {
	return c.Max > 0 && !slices.ContainsFunc(c.Scores, math.IsNaN)
}

// Met returns the scores of those who met the column.
func (c Column) Met() []float64 {
	return slices.DeleteFunc(slices.Clone(c.Scores), math.IsNaN)
}

// Share returns the mean share of the maximum of those who met the column, NaN when nobody did or it gives
// nothing.
func (c Column) Share() float64 {
	sum, n := 0.0, 0
	for _, x := range c.Scores {
		if !math.IsNaN(x) {
			sum += x
			n++
		}
	}
	return sum / float64(n) / c.Max
}

// Columns returns what was marked in a class: the rules of each case in the order of the marking, then the
// quiz items by the order in which they were first met.
func (c Class) Columns() []Column {
	var columns []Column
	place := map[string]int{}
	column := func(id, part, stage, title string) *Column {
		i, known := place[id]
		if !known {
			i = len(columns)
			place[id] = i
			scores := make([]float64, len(c.Sittings))
			for s := range scores {
				scores[s] = math.NaN()
			}
			columns = append(columns, Column{ID: id, Part: part, Stage: stage, Title: title, Scores: scores})
		}
		return &columns[i]
	}
	excused := map[[2]int]bool{}
	for s, sitting := range c.Sittings {
		for _, one := range sitting.Cases {
			for _, rule := range one.Marks.Rules {
				col := column(one.ID+"/"+rule.ID, one.ID, rule.Stage, rule.Title)
				col.Critical = col.Critical || rule.Critical
				col.Max = max(col.Max, rule.Available)
				col.Scores[s] = rule.Points
				if rule.Happened {
					col.Happened++
				}
				if rule.Excused {
					col.Excused++
					excused[[2]int{place[col.ID], s}] = true
				}
			}
		}
	}
	for s, sitting := range c.Sittings {
		for _, a := range sitting.Answers {
			col := column("quiz/"+a.Item.ID, "quiz", a.Item.Step, a.Item.Stem)
			col.Max = max(col.Max, a.Available)
			col.Scores[s] = a.Points
		}
	}
	settle(columns, excused)
	return columns
}

// settle fills in what an excused rule counts for, and what deductions took.
func settle(columns []Column, excused map[[2]int]bool) {
	for i := range columns {
		col := &columns[i]
		sum, n := 0.0, 0
		for s, x := range col.Scores {
			if !excused[[2]int{i, s}] && !math.IsNaN(x) {
				sum += x
				n++
			}
		}
		if n == 0 {
			continue
		}
		for s := range col.Scores {
			if excused[[2]int{i, s}] {
				col.Scores[s] = sum / float64(n)
			}
		}
		if col.Max == 0 {
			col.Lost = -sum / float64(n)
		}
	}
}

// matrix returns the columns that everybody met as a matrix, with their maxima and their places in the list.
func matrix(columns []Column) (m psychometrics.Matrix, maximum []float64, places []int) {
	for i, col := range columns {
		if !col.Whole() {
			continue
		}
		if m == nil {
			m = make(psychometrics.Matrix, len(col.Scores))
		}
		for s, x := range col.Scores {
			m[s] = append(m[s], x)
		}
		maximum = append(maximum, col.Max)
		places = append(places, i)
	}
	return m, maximum, places
}

// optionUse returns how the answers of each question with options were used. rest holds each sitting's total
// points; the item's own points are taken off.
func (c Class) optionUse(totals []float64) []OptionUse {
	var uses []OptionUse
	place := map[string]int{}
	choices, rests := [][][]string{}, [][]float64{}
	for s, sitting := range c.Sittings {
		for _, a := range sitting.Answers {
			if !a.Item.Chosen() {
				continue
			}
			i, known := place[a.Item.ID]
			if !known {
				i = len(uses)
				place[a.Item.ID] = i
				uses = append(uses, OptionUse{Item: a.Item})
				choices, rests = append(choices, nil), append(rests, nil)
			}
			choices[i] = append(choices[i], a.Response.Chosen)
			rests[i] = append(rests[i], totals[s]-a.Points)
		}
	}
	for i := range uses {
		keys := map[string]bool{}
		var ids []string
		for _, o := range uses[i].Item.Options {
			ids = append(ids, o.ID)
			keys[o.ID] = o.Right
		}
		uses[i].N = len(choices[i])
		uses[i].Options = psychometrics.Options(ids, keys, choices[i], rests[i])
	}
	return uses
}

// OptionUse is how the options of one question were chosen.
type OptionUse struct {
	Item    quiz.Item
	N       int
	Options []psychometrics.Option
}

// Text returns what an option says.
func (u OptionUse) Text(id string) string {
	for _, o := range u.Item.Options {
		if o.ID == id {
			return o.Text
		}
	}
	return ""
}
