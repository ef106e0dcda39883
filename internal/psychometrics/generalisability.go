package psychometrics

import (
	"fmt"
	"math"
)

// Study is a generalisability study: how much of the spread of marks lies in the persons, and how much in
// the cases they were given. Components are estimated from mean squares; those that came out below zero are
// set to zero and named in Negative.
type Study struct {
	Persons, Cases int
	Items          []int // in each case; nil where each case gives one score

	Person       float64 // σ²(p)
	Case         float64 // σ²(c)
	Item         float64 // σ²(i:c)
	PersonCase   float64 // σ²(pc), with one score a case the residual in it
	Residual     float64 // σ²(pi:c)
	Negative     []string
	MeanSquares  map[string]float64
	General      float64 // Eρ², the generalisability coefficient: ranking persons
	Dependable   float64 // Φ, the index of dependability: holding persons against a fixed mark
	RelativeSEM  float64 // √ of the relative error variance, per mean score
	AbsoluteSEM  float64 // √ of the absolute error variance, per mean score
	PersonShare  float64 // of the total variance of one observation
	CaseShares   float64 // σ²(c) and σ²(pc) together, of the same
	NotEstimable string  // why there is no result, "" when there is
}

// Crossed returns the study persons × cases: each person did each case and has one score for each.
//
//	σ²(p) = (MS_p − MS_pc)/n_c, σ²(c) = (MS_c − MS_pc)/n_p, σ²(pc) = MS_pc
//	Eρ² = σ²(p)/(σ²(p) + σ²(pc)/n_c), Φ = σ²(p)/(σ²(p) + (σ²(c)+σ²(pc))/n_c)
//
// Eρ² at the number of cases observed equals alpha over the cases. Source: Brennan 2001, Generalizability
// Theory, chapter 2 (from memory). Checked by TestCrossed against R.
func Crossed(m Matrix) Study {
	np, nc := len(m), len(m[0])
	s := Study{Persons: np, Cases: nc}
	if np < 2 || nc < 2 {
		s.undefined(fmt.Sprintf("persons: %d, cases: %d; at least two of each are needed", np, nc))
		return s
	}
	rows, columns, grand := means(m)
	ssp, ssc, sse := 0.0, 0.0, 0.0
	for p := range np {
		ssp += float64(nc) * square(rows[p]-grand)
		for c := range nc {
			sse += square(m[p][c] - rows[p] - columns[c] + grand)
		}
	}
	for c := range nc {
		ssc += float64(np) * square(columns[c]-grand)
	}
	msp, msc := ssp/float64(np-1), ssc/float64(nc-1)
	mspc := sse / float64((np-1)*(nc-1))
	s.MeanSquares = map[string]float64{"p": msp, "c": msc, "pc": mspc}
	s.Person = s.keep("persons", (msp-mspc)/float64(nc))
	s.Case = s.keep("cases", (msc-mspc)/float64(np))
	s.PersonCase = mspc
	s.decide(float64(nc), 0)
	return s
}

// Nested returns the study persons × (items within cases): scores holds persons × cases × items, and each
// person has the same items. Cases may differ in their number of items; then the coefficients of the
// expected mean squares are those of Brennan's analogous analysis of variance:
//
//	r = Σ n_i²/n₊, t = (n₊ − r)/(n_c − 1)
//	E MS_p = σ²(pi:c) + r σ²(pc) + n₊ σ²(p)
//	E MS_c = σ²(pi:c) + n_p σ²(i:c) + t σ²(pc) + n_p t σ²(c)
//	E MS_i:c = σ²(pi:c) + n_p σ²(i:c), E MS_pc = σ²(pi:c) + t σ²(pc), E MS_pi:c = σ²(pi:c)
//
// which with equal numbers are the usual ones (r = t = n_i). Items within a case share the tooth and what
// was done to it, so alpha over all items promises too much; Eρ² here does not. Source: Brennan 2001,
// chapter 7 (from memory). Checked by TestNested against R lme4 and by TestNestedUnequal.
func Nested(scores [][][]float64) Study {
	s := Study{Persons: len(scores)}
	if len(scores) > 0 {
		s.Cases = len(scores[0])
	}
	if s.Persons < 2 || s.Cases < 2 {
		s.undefined(fmt.Sprintf("persons: %d, cases: %d; at least two of each are needed", s.Persons, s.Cases))
		return s
	}
	all, squares := 0, 0
	for _, items := range scores[0] {
		s.Items = append(s.Items, len(items))
		all += len(items)
		squares += len(items) * len(items)
	}
	if all <= s.Cases {
		s.undefined("each case has one item; study persons × cases instead")
		return s
	}
	ss := nestedSquares(scores, s.Items)
	np, nc, n := float64(s.Persons), float64(s.Cases), float64(all)
	ms := map[string]float64{
		"p": ss.p / (np - 1), "c": ss.c / (nc - 1), "i:c": ss.i / (n - nc),
		"pc": ss.pc / ((np - 1) * (nc - 1)), "pi:c": ss.pi / ((np - 1) * (n - nc)),
	}
	s.MeanSquares = ms
	r := float64(squares) / n
	t := (n - r) / (nc - 1)
	pc := (ms["pc"] - ms["pi:c"]) / t
	item := (ms["i:c"] - ms["pi:c"]) / np
	s.Residual = ms["pi:c"]
	s.PersonCase = s.keep("persons × cases", pc)
	s.Item = s.keep("items", item)
	s.Person = s.keep("persons", (ms["p"]-ms["pi:c"]-r*pc)/n)
	s.Case = s.keep("cases", (ms["c"]-ms["i:c"]-t*pc)/(np*t))
	s.decide(nc, n)
	return s
}

// sums are the sums of squares of a nested study.
type sums struct{ p, c, i, pc, pi float64 }

// nestedSquares adds up the squares. The mean of a person or of all weighs each item alike.
func nestedSquares(scores [][][]float64, items []int) sums {
	np, nc := len(scores), len(items)
	n := 0
	byPerson := make([]float64, np)
	byCase := make([]float64, nc)
	byBoth := make(Matrix, np)
	byItem := make([][]float64, nc)
	grand := 0.0
	for c, k := range items {
		n += k
		byItem[c] = make([]float64, k)
	}
	for p, cases := range scores {
		byBoth[p] = make([]float64, nc)
		for c, row := range cases {
			if len(row) != items[c] {
				panic("psychometrics: each person needs the same items")
			}
			for i, x := range row {
				byPerson[p] += x / float64(n)
				byCase[c] += x / float64(np*items[c])
				byBoth[p][c] += x / float64(items[c])
				byItem[c][i] += x / float64(np)
				grand += x / float64(np*n)
			}
		}
	}
	var ss sums
	for p, cases := range scores {
		ss.p += float64(n) * square(byPerson[p]-grand)
		for c, row := range cases {
			ss.pc += float64(items[c]) * square(byBoth[p][c]-byPerson[p]-byCase[c]+grand)
			for i, x := range row {
				ss.pi += square(x - byBoth[p][c] - byItem[c][i] + byCase[c])
			}
		}
	}
	for c := range items {
		ss.c += float64(np*items[c]) * square(byCase[c]-grand)
		for _, x := range byItem[c] {
			ss.i += float64(np) * square(x-byCase[c])
		}
	}
	return ss
}

// undefined says why there is no result.
func (s *Study) undefined(why string) {
	s.NotEstimable = why
	s.General, s.Dependable, s.RelativeSEM, s.AbsoluteSEM = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	s.PersonShare, s.CaseShares = math.NaN(), math.NaN()
}

// keep returns a component, zero for a negative one, which is named.
func (s *Study) keep(name string, component float64) float64 {
	if component >= 0 {
		return component
	}
	s.Negative = append(s.Negative, name)
	return 0
}

// decide computes the coefficients for the cases and items observed; items 0 means one score a case.
func (s *Study) decide(cases, items float64) {
	relative, absolute := s.PersonCase/cases, (s.Case+s.PersonCase)/cases
	if items > 0 {
		relative += s.Residual / items
		absolute += (s.Item + s.Residual) / items
	}
	all := s.Person + s.Case + s.Item + s.PersonCase + s.Residual
	s.General, s.Dependable = s.Person/(s.Person+relative), s.Person/(s.Person+absolute)
	s.RelativeSEM, s.AbsoluteSEM = math.Sqrt(relative), math.Sqrt(absolute)
	s.PersonShare, s.CaseShares = s.Person/all, (s.Case+s.PersonCase)/all
	if all == 0 {
		s.undefined("all scores are the same")
	}
}

// CasesFor returns how many cases of this kind would bring Eρ² to what is wanted, 0 < wanted < 1; 0 when
// no number would, since persons do not differ. Checked by TestCrossed.
func (s Study) CasesFor(wanted float64) int {
	if s.NotEstimable != "" || s.Person <= 0 {
		return 0
	}
	one := s.PersonCase
	if n := total(s.Items); n > 0 {
		one += s.Residual * float64(s.Cases) / float64(n)
	}
	return max(1, int(math.Ceil(wanted/(1-wanted)*one/s.Person-1e-9)))
}

func total(items []int) int {
	n := 0
	for _, k := range items {
		n += k
	}
	return n
}

// means returns the means of rows, columns and all.
func means(m Matrix) (rows, columns []float64, grand float64) {
	rows, columns = make([]float64, len(m)), make([]float64, len(m[0]))
	for p, row := range m {
		rows[p] = mean(row)
		grand += rows[p] / float64(len(m))
	}
	for c := range columns {
		columns[c] = mean(m.Column(c))
	}
	return rows, columns, grand
}

func square(x float64) float64 { return x * x }
