// Package psychometrics computes what is said about an exam from its marks: how hard and how telling an
// item is, how far a mark can be trusted, where the pass mark lies, who stands out.
//
// The main idea: marks come as a Matrix, one row a person and one column an item, and numbers go out.
// Nothing is known of teeth, rules or files, and nothing here is part of the deterministic engine.
//
// Conventions, which differ between textbooks and are held everywhere here: a standard deviation is taken
// with 1/n unless it says Sample, which is 1/(n−1); difficulty is the mean share of the maximum, so that
// a high difficulty means an easy item; discrimination is that of an item against the rest, the item itself
// left out of the total. What is not defined (a spread of nothing, one item, one person) is NaN and never
// a guess; Number writes a NaN as a dash.
//
// Formulas and worked data are those of the sources named at the functions; reference numbers of the tests
// are from R (packages psych, psychometric and lme4), whose script stands in
// testdata/reference/psychometrics. Begin reading at Matrix, then Items.
package psychometrics

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"
)

// Matrix holds scores: one row a person, one column an item. A NaN is not allowed; an item that was not
// answered is scored before it comes here.
type Matrix [][]float64

// Check returns what is wrong with a matrix: rows of different length, no row, no column, a score that is
// not finite.
func (m Matrix) Check() error {
	if len(m) == 0 || len(m[0]) == 0 {
		return fmt.Errorf("a matrix of scores needs at least one person and one item")
	}
	for p, row := range m {
		if len(row) != len(m[0]) {
			return fmt.Errorf("person %d has %d scores, person 1 has %d", p+1, len(row), len(m[0]))
		}
		for i, x := range row {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("the score of person %d in item %d is not finite", p+1, i+1)
			}
		}
	}
	return nil
}

// Column returns the scores of item i.
func (m Matrix) Column(i int) []float64 {
	column := make([]float64, len(m))
	for p, row := range m {
		column[p] = row[i]
	}
	return column
}

// Totals returns the sum of each person's scores.
func (m Matrix) Totals() []float64 {
	totals := make([]float64, len(m))
	for p, row := range m {
		for _, x := range row {
			totals[p] += x
		}
	}
	return totals
}

// Without returns the matrix with item i left out.
func (m Matrix) Without(i int) Matrix {
	less := make(Matrix, len(m))
	for p, row := range m {
		less[p] = append(append(make([]float64, 0, len(row)-1), row[:i]...), row[i+1:]...)
	}
	return less
}

// Correlation returns Pearson's correlation of two lists of equal length, NaN when one does not vary.
func Correlation(x, y []float64) float64 {
	if len(x) < 2 || flat(x) || flat(y) {
		return math.NaN()
	}
	return stat.Correlation(x, y, nil)
}

// flat reports whether all values are the same but for rounding.
func flat(x []float64) bool {
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return high-low <= 1e-12*max(1, math.Abs(low), math.Abs(high))
}

// spread returns the variance of a list with 1/n and with 1/(n−1).
func spread(x []float64) (population, sample float64) {
	if flat(x) {
		return 0, 0
	}
	return stat.PopVariance(x, nil), stat.Variance(x, nil)
}

// Number writes a figure for people with a number of decimals, and what is not defined as a dash.
func Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if zero, _ := strconv.ParseFloat(text, 64); zero == 0 && text[0] == '-' {
		return text[1:]
	}
	return text
}
