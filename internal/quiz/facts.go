package quiz

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Fact is a published figure or finding from which the key of an item may follow.
type Fact struct {
	ID       string
	Value    float64 // the figure, where there is one; Low and High where it is a range
	Low      float64
	High     float64
	Unit     string
	Text     string
	Standing string // confirmed | memory | common practice | derived
	Source   string
}

//go:embed facts.csv
var factsText string

// facts is the table, read once.
var facts = sync.OnceValue(readFacts)

// Facts returns the table in file order. It is a copy. It panics when the table is broken, which TestFacts
// would show.
func Facts() []Fact { return slices.Clone(facts()) }

// readFacts reads the table.
func readFacts() []Fact {
	rows, err := csv.NewReader(strings.NewReader(factsText)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("quiz: facts.csv: %v", err))
	}
	table := make([]Fact, 0, len(rows))
	for n, row := range rows[1:] {
		f := Fact{ID: row[0], Unit: row[2], Text: row[3], Standing: row[4], Source: row[5]}
		low, high, isRange := strings.Cut(row[1], "..")
		if row[1] != "" {
			f.Low, err = strconv.ParseFloat(low, 64)
			f.Value, f.High = f.Low, f.Low
			if isRange && err == nil {
				f.High, err = strconv.ParseFloat(high, 64)
			}
			if err != nil {
				panic(fmt.Sprintf("quiz: facts.csv, row %d: %v", n+2, err))
			}
		}
		table = append(table, f)
	}
	return table
}

// FactByID returns a row of the table.
func FactByID(id string) (Fact, bool) {
	for _, f := range facts() {
		if f.ID == id {
			return f, true
		}
	}
	return Fact{}, false
}
