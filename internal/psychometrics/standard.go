package psychometrics

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// AngoffResult is a pass mark set by judges item by item.
type AngoffResult struct {
	Judges  int
	Sums    []float64 // each judge's pass mark
	Cut     float64   // mean of Sums
	SD      float64   // between judges, 1/(n−1); NaN with one judge
	SE      float64   // SD/√judges
	Highest float64   // most that can be had
}

// Angoff returns the pass mark of Angoff's method: each judge estimates, for each item, the share of its
// points a barely competent candidate earns; the pass mark is the mean over judges of the sum over items of
// share × maximum. In the modified method judges see how the class did and estimate again: the second
// round goes through the same function. Ratings are from 0 to 1. Source: Angoff 1971 (from memory).
// Checked by TestAngoff.
func Angoff(ratings Matrix, maximum []float64) (AngoffResult, error) {
	if err := ratings.Check(); err != nil {
		return AngoffResult{}, err
	}
	if len(maximum) != len(ratings[0]) {
		return AngoffResult{}, fmt.Errorf("%d items were rated, the exam has %d", len(ratings[0]), len(maximum))
	}
	result := AngoffResult{Judges: len(ratings)}
	for _, m := range maximum {
		result.Highest += m
	}
	for j, row := range ratings {
		sum := 0.0
		for i, share := range row {
			if share < 0 || share > 1 {
				return AngoffResult{}, fmt.Errorf("judge %d rates item %d as %g; allowed 0 to 1", j+1, i+1, share)
			}
			sum += share * maximum[i]
		}
		result.Sums = append(result.Sums, sum)
	}
	result.Cut = mean(result.Sums)
	result.SD = math.NaN()
	if len(ratings) > 1 {
		_, sample := spread(result.Sums)
		result.SD = math.Sqrt(sample)
	}
	result.SE = result.SD / math.Sqrt(float64(len(ratings)))
	return result, nil
}

// HofsteeJudge is one judge's compromise: the lowest and highest pass mark that would do, and the lowest
// and highest share of candidates who may fail.
type HofsteeJudge struct{ CutLow, CutHigh, FailLow, FailHigh float64 }

// HofsteeResult is a pass mark by compromise.
type HofsteeResult struct {
	Mean  HofsteeJudge // of the judges
	Cut   float64      // NaN when there is none
	Fail  float64      // share of candidates below Cut
	Met   bool         // the curve of failures meets the diagonal inside the box
	Story string       // how the cut was found
}

// Hofstee returns the pass mark of Hofstee's method: the diagonal of the judges' box runs from (lowest cut,
// most failures) to (highest cut, fewest failures); the pass mark lies where the share of candidates below
// a cut reaches it. Between two scores that share does not change, so the least score at which it is at or
// above the line is taken when the line is met there, else the place on the line. When the curve passes
// beside the box the nearest corner is taken and Met is false: the lowest cut when even that fails more than
// allowed, the highest when even that fails fewer. Source: Hofstee 1983; De Gruijter 1985 (from memory).
// Checked by TestHofstee.
func Hofstee(scores []float64, judges []HofsteeJudge) (HofsteeResult, error) {
	if len(scores) == 0 || len(judges) == 0 {
		return HofsteeResult{}, errors.New("the method needs scores and judges")
	}
	var mid HofsteeJudge
	n := float64(len(judges))
	for i, j := range judges {
		if !(j.CutLow < j.CutHigh && j.FailLow < j.FailHigh && j.FailLow >= 0 && j.FailHigh <= 1) {
			return HofsteeResult{}, fmt.Errorf("judge %d: the lowest must be below the highest, failures from 0 to 1", i+1)
		}
		mid.CutLow += j.CutLow / n
		mid.CutHigh += j.CutHigh / n
		mid.FailLow += j.FailLow / n
		mid.FailHigh += j.FailHigh / n
	}
	result := HofsteeResult{Mean: mid}
	result.Cut, result.Met, result.Story = mid.meet(scores)
	result.Fail = Failing(scores, result.Cut)
	return result, nil
}

// meet walks along the box until the curve of failures reaches the diagonal.
func (j HofsteeJudge) meet(scores []float64) (cut float64, met bool, story string) {
	line := func(k float64) float64 {
		return j.FailHigh - (k-j.CutLow)/(j.CutHigh-j.CutLow)*(j.FailHigh-j.FailLow)
	}
	if f := Failing(scores, j.CutLow); f > j.FailHigh {
		return j.CutLow, false, "no meeting: even the lowest pass mark fails more than the judges allow; the lowest is taken"
	}
	if f := Failing(scores, j.CutHigh); f < j.FailLow {
		return j.CutHigh, false, "no meeting: even the highest pass mark fails fewer than the judges expect; the highest is taken"
	}
	steps := []float64{j.CutLow, j.CutHigh}
	for _, x := range scores {
		if x > j.CutLow && x < j.CutHigh {
			steps = append(steps, x)
		}
	}
	slices.Sort(steps)
	for i, k := range steps {
		if Failing(scores, k) >= line(k)-1e-12 { // reached at this score, or on the level before it
			if i > 0 {
				level := Failing(scores, k) // those below k: constant over (steps[i−1], k]
				on := j.CutLow + (j.FailHigh-level)/(j.FailHigh-j.FailLow)*(j.CutHigh-j.CutLow)
				k = min(k, max(on, steps[i-1]))
			}
			return k, true, "the share of failures meets the judges' line"
		}
	}
	return j.CutHigh, true, "the share of failures meets the judges' line at the highest pass mark"
}

// Failing returns the share of scores below a cut.
func Failing(scores []float64, cut float64) float64 {
	below := 0
	for _, x := range scores {
		if x < cut {
			below++
		}
	}
	return float64(below) / float64(len(scores))
}

// BorderlineResult is a pass mark by examiners' global grades.
type BorderlineResult struct {
	N                int
	Intercept, Slope float64 // score = Intercept + Slope·grade; Slope is the discrimination between grades
	Cut              float64 // score on the line at the borderline grade
	R2               float64
	RMSE             float64 // of the residuals, with n − 2
	SE               float64 // of Cut: RMSE·√(1/n + (g − ḡ)²/Σ(g − ḡ)²)
	GroupMean        float64 // borderline group method: mean score of those graded borderline, NaN for none
	GroupMedian      float64
	Small            bool // fewer than 50: the error of the cut is large (Pell and others 2016, Medical Teacher)
}

// Borderline returns the pass mark of borderline regression: scores are regressed on the examiner's global
// grade of the same performance, and read off at the borderline grade. It needs three performances or more
// and two different grades. Checked by TestBorderline against R lm.
func Borderline(grades, scores []float64, borderline float64) (BorderlineResult, error) {
	if len(grades) != len(scores) {
		return BorderlineResult{}, fmt.Errorf("%d grades for %d scores", len(grades), len(scores))
	}
	if len(grades) < 3 || flat(grades) {
		return BorderlineResult{}, errors.New("at least three performances with two different grades are needed")
	}
	n := float64(len(grades))
	a, b := stat.LinearRegression(grades, scores, nil, false)
	centre, sxx, rest := mean(grades), 0.0, 0.0
	var group []float64
	for i, g := range grades {
		sxx += square(g - centre)
		rest += square(scores[i] - a - b*g)
		if math.Abs(g-borderline) < 1e-9 {
			group = append(group, scores[i])
		}
	}
	result := BorderlineResult{N: len(grades), Intercept: a, Slope: b, Cut: a + b*borderline, Small: len(grades) < 50}
	result.R2 = square(Correlation(grades, scores))
	result.RMSE = math.Sqrt(rest / (n - 2))
	result.SE = result.RMSE * math.Sqrt(1/n+square(borderline-centre)/sxx)
	result.GroupMean, result.GroupMedian = mean(group), Median(group)
	return result, nil
}

// Median returns the middle value, the mean of the two middle ones of an even number, NaN of nothing.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sorted := slices.Sorted(slices.Values(x))
	half := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[half]
	}
	return (sorted[half-1] + sorted[half]) / 2
}

// Outlier is a value far from the others.
type Outlier struct {
	Index int
	Z     float64 // robust standard score, below zero for low values
}

// OutlierLimit is the robust standard score from which a value is called an outlier: Iglewicz and Hoaglin
// 1993 (from memory).
const OutlierLimit = 3.5

// Outliers returns the values whose robust standard score is at least OutlierLimit in size, in the order
// of the list.
//
//	z = 0.6745 (x − median) / MAD
//
// with MAD the median distance from the median. When more than half of the values are the same, MAD is
// zero and nothing is called. Checked by TestOutliers.
func Outliers(x []float64) []Outlier {
	middle := Median(x)
	distances := make([]float64, len(x))
	for i, v := range x {
		distances[i] = math.Abs(v - middle)
	}
	mad := Median(distances)
	if math.IsNaN(mad) || mad == 0 {
		return nil
	}
	var found []Outlier
	for i, v := range x {
		if z := 0.6745 * (v - middle) / mad; math.Abs(z) >= OutlierLimit {
			found = append(found, Outlier{i, z})
		}
	}
	return found
}
