package psychometrics_test

import (
	"math"
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/psychometrics"
)

// TestCrossed holds persons × cases against R (lme4, psych ICC) on Shrout and Fleiss 1979 and against the
// worked mean squares of the ten students.
func TestCrossed(t *testing.T) {
	ref := reference(t)
	s := psychometrics.Crossed(psychometrics.Matrix{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	near(t, "persons", s.Person, ref["crossed.components"][0], 2e-5) // lme4 stops within 1e-5
	near(t, "cases", s.Case, ref["crossed.components"][1], 2e-5)
	near(t, "rest", s.PersonCase, ref["crossed.components"][2], 2e-5)
	near(t, "dependability is ICC(2,k)", s.Dependable, ref["crossed.icc2k_icc3k"][0], 1e-9)
	near(t, "generalisability is ICC(3,k)", s.General, ref["crossed.icc2k_icc3k"][1], 1e-9)
	near(t, "MS persons", s.MeanSquares["p"], 11.242, 5e-4)
	near(t, "MS cases", s.MeanSquares["c"], 32.486, 5e-4)

	s = psychometrics.Crossed(ten())
	near(t, "ten: persons", s.Person, 0.0451852, 1e-7)
	near(t, "ten: rest", s.PersonCase, 0.197037, 1e-6)
	near(t, "ten: Eρ² is alpha", s.General, psychometrics.Alpha(ten()).Alpha, 1e-12)
	near(t, "ten: Φ after cutting at zero", s.Dependable, 0.696347, 1e-6)
	if len(s.Negative) != 1 || s.Negative[0] != "cases" {
		t.Errorf("the component of the cases is below zero: %v", s.Negative)
	}
	if got := s.CasesFor(0.80); got != 18 { // 17.44 items by Spearman-Brown
		t.Errorf("cases for 0.80: %d, want 18", got)
	}
	if one := psychometrics.Crossed(psychometrics.Matrix{{1}, {2}}); one.NotEstimable == "" || !math.IsNaN(one.General) {
		t.Errorf("one case allows no study: %+v", one)
	}
}

// TestNested holds persons × (items within cases) against R lme4; with equal numbers and all components
// above zero, mean squares and restricted likelihood agree.
func TestNested(t *testing.T) {
	ref := reference(t)
	data := ref["nested.data"]
	scores := make([][][]float64, 12)
	for p := range scores {
		for c := range 3 {
			scores[p] = append(scores[p], data[(p*3+c)*4:(p*3+c)*4+4])
		}
	}
	s := psychometrics.Nested(scores)
	want := ref["nested.components"]
	for i, got := range []float64{s.Person, s.Case, s.Item, s.PersonCase, s.Residual} {
		near(t, "component", got, want[i], 2e-3*want[i]+1e-4) // lme4's optimum is flat
	}
	near(t, "MS persons", s.MeanSquares["p"], ref["nested.mean_squares_p_c"][0], 1e-7)
	near(t, "MS cases", s.MeanSquares["c"], ref["nested.mean_squares_p_c"][1], 1e-6)
	relative := want[3]/3 + want[4]/12
	near(t, "Eρ²", s.General, want[0]/(want[0]+relative), 1e-3)
	near(t, "Φ", s.Dependable, want[0]/(want[0]+relative+want[1]/3+want[2]/12), 1e-3)
	if alpha := psychometrics.Alpha(flattened(scores)).Alpha; alpha <= s.General {
		t.Errorf("alpha over all items (%g) should promise more than the study (%g): cases bind their items", alpha, s.General)
	}
}

// TestNestedUnequal: the estimates for unequal numbers of items are unbiased. Over 300 made classes the mean
// of each must meet the component it was made with, within four standard errors of that mean.
func TestNestedUnequal(t *testing.T) {
	stream := detmath.NewStream(7, "nested")
	normal := func(sd float64) float64 { return stream.Normal(0, sd) }
	made := []float64{4, 2.25, 1.5, 1.44, 1}
	const classes = 300
	var sum, squares [5]float64
	for range classes {
		s := psychometrics.Nested(class(normal, made, []int{2, 5, 3, 8}))
		// A component cut at zero would bias the mean: these sizes keep all but the cases above it.
		for i, x := range []float64{s.Person, s.Case, s.Item, s.PersonCase, s.Residual} {
			sum[i] += x / classes
			squares[i] += x * x / classes
		}
	}
	for i, want := range made {
		if i == 1 {
			continue // four cases scatter so that many estimates are cut at zero
		}
		near(t, "mean of the estimates", sum[i], want, 4*math.Sqrt((squares[i]-sum[i]*sum[i])/classes))
	}
}

// class makes the scores of 20 persons.
func class(normal func(float64) float64, variances []float64, items []int) [][][]float64 {
	sd := func(i int) float64 { return math.Sqrt(variances[i]) }
	var cases []float64
	var within [][]float64
	for _, k := range items {
		cases = append(cases, normal(sd(1)))
		var row []float64
		for range k {
			row = append(row, normal(sd(2)))
		}
		within = append(within, row)
	}
	scores := make([][][]float64, 20)
	for p := range scores {
		person := normal(sd(0))
		for c, k := range items {
			both := normal(sd(3))
			var row []float64
			for i := range k {
				row = append(row, person+cases[c]+within[c][i]+both+normal(sd(4)))
			}
			scores[p] = append(scores[p], row)
		}
	}
	return scores
}

func flattened(scores [][][]float64) psychometrics.Matrix {
	m := make(psychometrics.Matrix, len(scores))
	for p, cases := range scores {
		for _, row := range cases {
			m[p] = append(m[p], row...)
		}
	}
	return m
}
