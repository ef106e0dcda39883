package trial

import (
	"encoding/json"
	"fmt"
	"math"
)

// Histogram counts whole numbers from 0 upwards; what lies beyond the last bin falls into it. In JSON it
// is a list of pairs: bin and count, empty bins left out.
type Histogram struct{ Bins []int64 }

func newHistogram(bins int) Histogram { return Histogram{make([]int64, bins)} }

func (h *Histogram) put(bin int) { h.Bins[min(max(bin, 0), len(h.Bins)-1)]++ }

func (h *Histogram) add(o Histogram) {
	for i, n := range o.Bins {
		h.Bins[i] += n
	}
}

// sum returns how many were counted.
func (h Histogram) sum() int64 {
	n := int64(0)
	for _, c := range h.Bins {
		n += c
	}
	return n
}

// quantile returns the bin in which the value of rank ⌈q·n⌉ lies, the smallest being rank 1; 0 when
// nothing was counted. Checked by TestSummary.
func (h Histogram) quantile(q float64) int {
	rank := max(int64(math.Ceil(q*float64(h.sum()))), 1)
	for bin, n := range h.Bins {
		if rank -= n; rank <= 0 {
			return bin
		}
	}
	return 0
}

// Summary is a spread of values: mean, standard deviation (of the whole, not of a sample) and quantiles
// by nearest rank.
type Summary struct {
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
	Min    float64 `json:"min"`
	P05    float64 `json:"p05"`
	P25    float64 `json:"p25"`
	Median float64 `json:"median"`
	P75    float64 `json:"p75"`
	P95    float64 `json:"p95"`
	Max    float64 `json:"max"`
}

// summary returns the spread with bins scaled to a unit.
func (h Histogram) summary(unit float64) Summary {
	n, sum, squares := h.sum(), 0.0, 0.0
	for bin, c := range h.Bins {
		sum += float64(int64(bin) * c)
		squares += float64(int64(bin) * int64(bin) * c)
	}
	mean := sum / float64(max(n, 1))
	variance := math.Max(0, squares/float64(max(n, 1))-float64(mean*mean))
	at := func(q float64) float64 { return tidy(float64(h.quantile(q)) * unit) }
	return Summary{
		Mean: tidy(mean * unit), SD: tidy(math.Sqrt(variance) * unit),
		Min: at(0), P05: at(0.05), P25: at(0.25), Median: at(0.5), P75: at(0.75), P95: at(0.95), Max: at(1),
	}
}

// tidy rounds to a millionth.
func tidy(x float64) float64 { return math.RoundToEven(x*1e6) / 1e6 }

// MarshalJSON writes the bins that are not empty.
func (h Histogram) MarshalJSON() ([]byte, error) {
	pairs := [][2]int64{}
	for bin, n := range h.Bins {
		if n > 0 {
			pairs = append(pairs, [2]int64{int64(bin), n})
		}
	}
	return json.Marshal(pairs)
}

// mostBins bounds what is read.
const mostBins = 10_000

// UnmarshalJSON reads pairs of bin and count.
func (h *Histogram) UnmarshalJSON(text []byte) error {
	var pairs [][2]int64
	if err := json.Unmarshal(text, &pairs); err != nil {
		return err
	}
	last := int64(-1)
	h.Bins = nil
	for _, p := range pairs {
		if p[0] <= last || p[0] >= mostBins || p[1] < 1 || p[1] > MostCases {
			return fmt.Errorf("histogram: bin %d with count %d; bins rise from 0, counts are above 0", p[0], p[1])
		}
		for int64(len(h.Bins)) < p[0] {
			h.Bins = append(h.Bins, 0)
		}
		h.Bins = append(h.Bins, p[1])
		last = p[0]
	}
	return nil
}
