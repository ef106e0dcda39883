package psychometrics_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/psychometrics"
)

// reference reads what R computed; reference.R beside the file made it.
func reference(t *testing.T) map[string][]float64 {
	t.Helper()
	file, err := os.Open("../../testdata/reference/psychometrics/reference.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	values := map[string][]float64{}
	for _, row := range rows[1:] {
		for _, field := range strings.Fields(row[1]) {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatal(err)
			}
			values[row[0]] = append(values[row[0]], x)
		}
	}
	return values
}

// near fails when a figure is further from its reference than a tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.8g, want %.8g ± %g", what, got, want, tolerance)
	}
}

// bits reads a matrix of 0 and 1, one word a person.
func bits(rows ...string) psychometrics.Matrix {
	var m psychometrics.Matrix
	for _, row := range rows {
		var scores []float64
		for _, r := range row {
			scores = append(scores, float64(r-'0'))
		}
		m = append(m, scores)
	}
	return m
}

// ten is Wuensch's data, East Carolina University, StatHelp/KR20.
func ten() psychometrics.Matrix {
	return bits("1111110110", "1011011101", "1111011001", "0010001000", "0000010010",
		"1110111111", "1101110111", "1111111101", "0101111101", "1101101110")
}

// lsat6 is section 6 of the LSAT: counts of the patterns 00000, 00001 … 11111 (Bock and Lieberman 1970).
func lsat6() psychometrics.Matrix {
	counts := []int{3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15, 10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21, 173, 11, 61, 28, 298}
	var m psychometrics.Matrix
	for pattern, n := range counts {
		for range n {
			row := make([]float64, 5)
			for i := range row {
				row[i] = float64(pattern >> (4 - i) & 1)
			}
			m = append(m, row)
		}
	}
	return m
}

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}
