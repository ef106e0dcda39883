package anatomy

import (
	_ "embed" // the norms are part of the program
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tugback/internal/detmath"
)

// Norm is one published value.
type Norm struct {
	Tooth, Canal string  // a kind and a canal or root name; "any" stands for all that have no line of their own
	Quantity     string  // what is measured, as the generator asks for it
	Unit         string  // mm, deg, share, years …, as published
	Mean, SD     float64 // SD 0: not given
	Low, High    float64 // limits of the draw; both 0: not given
	N            int     // sample size, 0: not given
	Standing     string  // confirmed | memory | common practice | derived
	Source       string  // author, year, journal; what was done to it if derived
}

//go:embed norms.csv
var normsFile string

// normKey finds a norm.
type normKey struct{ tooth, canal, quantity string }

// normTable is the parsed data file.
type normTable struct {
	rows  []Norm
	index map[normKey]int
}

var norms = sync.OnceValue(func() normTable { return parseNorms(normsFile) })

// Norms returns the whole table in file order. It is a copy, so callers may sort it. Checked by
// TestNormsHaveSources.
func Norms() []Norm { return slices.Clone(norms().rows) }

// parseNorms reads the embedded table; a fault in it is a broken build and panics.
func parseNorms(text string) normTable {
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("anatomy: norms.csv: " + err.Error())
	}
	table := normTable{index: make(map[normKey]int, len(records))}
	for _, record := range records[1:] {
		norm := Norm{
			Tooth: record[0], Canal: record[1], Quantity: record[2], Unit: record[3],
			Mean: parseCell(record[4]), SD: parseCell(record[5]), Low: parseCell(record[6]), High: parseCell(record[7]),
			N: int(parseCell(record[8])), Standing: record[9], Source: record[10],
		}
		key := normKey{norm.Tooth, norm.Canal, norm.Quantity}
		if _, twice := table.index[key]; twice {
			panic("anatomy: norms.csv: a value stands twice: " + strings.Join(record[:3], ","))
		}
		table.index[key] = len(table.rows)
		table.rows = append(table.rows, norm)
	}
	return table
}

func parseCell(cell string) float64 {
	if cell == "" {
		return 0
	}
	value, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic("anatomy: norms.csv: " + err.Error())
	}
	return value
}

// findNorm returns the nearest line for a quantity: of this canal of this tooth, of the whole tooth,
// of this canal in any tooth, of any; angles in rad.
func findNorm(kind Kind, canal, quantity string) (Norm, bool) {
	table := norms()
	for _, key := range [4]normKey{
		{string(kind), canal, quantity}, {string(kind), "any", quantity},
		{"any", canal, quantity}, {"any", "any", quantity},
	} {
		if i, ok := table.index[key]; ok {
			return table.rows[i].radians(), true
		}
	}
	return Norm{}, false
}

// norm is findNorm for a quantity that must have a line.
func norm(kind Kind, canal, quantity string) Norm {
	found, ok := findNorm(kind, canal, quantity)
	if !ok {
		panic("anatomy: no norm for " + string(kind) + " " + canal + " " + quantity)
	}
	return found
}

// radians returns the norm in engine units.
func (n Norm) radians() Norm {
	if n.Unit != "deg" {
		return n
	}
	n.Unit = "rad"
	n.Mean, n.SD, n.Low, n.High = n.Mean*degree, n.SD*degree, n.Low*degree, n.High*degree
	return n
}

const degree = math.Pi / 180

// limits returns the range of draws: the given limits, or three standard deviations about the mean.
func (n Norm) limits() (low, high float64) {
	if n.Low == 0 && n.High == 0 {
		return n.Mean - float64(3*n.SD), n.Mean + float64(3*n.SD)
	}
	return n.Low, n.High
}

// draw returns a normal variable within the limits of the norm.
func (n Norm) draw(s *detmath.Stream) float64 {
	if n.SD == 0 {
		return n.Mean
	}
	low, high := n.limits()
	return s.Truncated(n.Mean, n.SD, low, high)
}

// logNormal returns the median and the sigma of the log-normal variable with the norm's mean and SD.
func (n Norm) logNormal() (median, sigma float64) {
	ratio := n.SD / n.Mean
	square := 1 + float64(ratio*ratio)
	return n.Mean / math.Sqrt(square), math.Sqrt(detmath.Log(square))
}
