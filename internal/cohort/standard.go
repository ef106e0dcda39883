package cohort

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/psychometrics"
)

// Judges holds what judges and examiners entered: for each method a list of entries.
type Judges struct {
	Angoff  []Entry // share of an item's points a barely competent candidate earns
	Hofstee []Entry // item is cut-low, cut-high, fail-low or fail-high, in per cent
	Global  []Entry // examiners' global grades: candidate and grade
}

// Entry is one figure that one judge entered.
type Entry struct {
	Judge string
	Round int
	Item  string // item, limit or candidate
	Value float64
	Line  int // of the file
}

// Standard holds the pass marks that were computed, as shares of the points; a method without entries is
// nil.
type Standard struct {
	Angoff     *psychometrics.AngoffResult
	Round      int // of Angoff, the last that was entered
	Hofstee    *psychometrics.HofsteeResult
	Borderline *psychometrics.BorderlineResult
	Grade      float64 // the borderline grade
}

// BorderlineGrade is the global grade that means borderline: 1 fail, 2 borderline, 3 pass, 4 good, 5
// excellent.
const BorderlineGrade = 2

// judgeHeader is the head of the file of judges' entries.
var judgeHeader = []string{"method", "judge", "round", "item", "value"}

// ReadJudges reads judges' entries from CSV with the head method,judge,round,item,value. method is angoff
// (item: an id of the item list; value: per cent), hofstee (item: cut-low, cut-high, fail-low, fail-high;
// value: per cent) or global (item: a candidate; value: 1 to 5). All faults are told at once, each with the
// name of the file and the line. Checked by TestReadJudges.
func ReadJudges(name string, from io.Reader) (Judges, error) {
	rows, err := readTable(name, from, judgeHeader)
	if err != nil {
		return Judges{}, err
	}
	var judges Judges
	var faults []error
	seen := map[string]int{}
	for _, row := range rows {
		entry, fault := judgeEntry(row)
		key := strings.Join(row.cells[:4], "\x00")
		if first, twice := seen[key]; twice && fault == nil {
			fault = fmt.Errorf("is entered in line %d already", first)
		}
		seen[key] = row.line
		if fault != nil {
			faults = append(faults, fmt.Errorf("%s:%d: %w", name, row.line, fault))
			continue
		}
		switch row.cells[0] {
		case "angoff":
			entry.Value /= 100
			judges.Angoff = append(judges.Angoff, entry)
		case "hofstee":
			entry.Value /= 100
			judges.Hofstee = append(judges.Hofstee, entry)
		case "global":
			judges.Global = append(judges.Global, entry)
		}
	}
	return judges, errors.Join(faults...)
}

// limits are the words of Hofstee's four questions.
var limits = []string{"cut-low", "cut-high", "fail-low", "fail-high"}

// judgeEntry reads one line.
func judgeEntry(row tableRow) (Entry, error) {
	method, judge, round, item, value := row.cells[0], row.cells[1], row.cells[2], row.cells[3], row.cells[4]
	low, high := 0.0, 100.0
	switch method {
	case "angoff":
	case "hofstee":
		if !slices.Contains(limits, item) {
			return Entry{}, fmt.Errorf("item is %q; allowed: %s", item, strings.Join(limits, ", "))
		}
	case "global":
		low, high = 1, 5
	default:
		return Entry{}, fmt.Errorf("method is %q; allowed: angoff, hofstee, global", method)
	}
	if judge == "" || item == "" {
		return Entry{}, errors.New("judge and item must not be empty")
	}
	number := 1
	if round != "" {
		var err error
		if number, err = strconv.Atoi(round); err != nil || number < 1 || number > 9 {
			return Entry{}, fmt.Errorf("round is %q; allowed 1 to 9", round)
		}
	}
	x, err := strconv.ParseFloat(value, 64)
	if err != nil || !(x >= low && x <= high) {
		return Entry{}, fmt.Errorf("value is %q; allowed %g to %g", value, low, high)
	}
	return Entry{judge, number, item, x, row.line}, nil
}

// standard computes the pass marks from the entries.
func (c Class) standard(judges Judges, columns []Column, shares []float64) (Standard, error) {
	s := Standard{Grade: BorderlineGrade}
	var faults []error
	if len(judges.Angoff) > 0 {
		result, round, err := angoff(judges.Angoff, columns)
		if err != nil {
			faults = append(faults, fmt.Errorf("angoff: %w", err))
		} else {
			s.Angoff, s.Round = &result, round
		}
	}
	if len(judges.Hofstee) > 0 {
		result, err := hofstee(judges.Hofstee, shares)
		if err != nil {
			faults = append(faults, fmt.Errorf("hofstee: %w", err))
		} else {
			s.Hofstee = &result
		}
	}
	if len(judges.Global) > 0 {
		result, err := c.borderline(judges.Global, shares)
		if err != nil {
			faults = append(faults, fmt.Errorf("global grades: %w", err))
		} else {
			s.Borderline = &result
		}
	}
	return s, errors.Join(faults...)
}

// angoff puts the entries of the last round into a matrix, judges by items, and returns the pass mark as a
// share of the points rated.
func angoff(entries []Entry, columns []Column) (psychometrics.AngoffResult, int, error) {
	round := 0
	for _, e := range entries {
		round = max(round, e.Round)
	}
	var names []string
	for _, e := range entries {
		if e.Round == round && !slices.Contains(names, e.Judge) {
			names = append(names, e.Judge)
		}
	}
	var maximum []float64
	var ids []string
	for _, col := range columns {
		if col.Max > 0 {
			ids = append(ids, col.ID)
			maximum = append(maximum, col.Max)
		}
	}
	ratings := make(psychometrics.Matrix, len(names))
	missing := map[string][]string{}
	for j, name := range names {
		ratings[j] = make([]float64, len(ids))
		for i, id := range ids {
			at := slices.IndexFunc(entries, func(e Entry) bool { return e.Round == round && e.Judge == name && e.Item == id })
			if at < 0 {
				missing[name] = append(missing[name], id)
				continue
			}
			ratings[j][i] = entries[at].Value
		}
	}
	for _, e := range entries {
		if !slices.Contains(ids, e.Item) {
			return psychometrics.AngoffResult{}, 0, fmt.Errorf("line %d: the exam has no item %q", e.Line, e.Item)
		}
	}
	for _, name := range names {
		if lost := missing[name]; len(lost) > 0 {
			return psychometrics.AngoffResult{}, 0, fmt.Errorf("judge %s has not rated %d items in round %d, %s first", name, len(lost), round, lost[0])
		}
	}
	result, err := psychometrics.Angoff(ratings, maximum)
	return result, round, err
}

// hofstee puts the four answers of each judge together.
func hofstee(entries []Entry, shares []float64) (psychometrics.HofsteeResult, error) {
	var names []string
	answers := map[string]map[string]float64{}
	for _, e := range entries {
		if answers[e.Judge] == nil {
			answers[e.Judge] = map[string]float64{}
			names = append(names, e.Judge)
		}
		answers[e.Judge][e.Item] = e.Value
	}
	var judges []psychometrics.HofsteeJudge
	for _, name := range names {
		a := answers[name]
		for _, limit := range limits {
			if _, given := a[limit]; !given {
				return psychometrics.HofsteeResult{}, fmt.Errorf("judge %s has not answered %s", name, limit)
			}
		}
		judges = append(judges, psychometrics.HofsteeJudge{CutLow: a["cut-low"], CutHigh: a["cut-high"], FailLow: a["fail-low"], FailHigh: a["fail-high"]})
	}
	return psychometrics.Hofstee(shares, judges)
}

// borderline joins each global grade to the candidate's share of the points; a candidate graded by several
// examiners counts once, with the mean grade.
func (c Class) borderline(entries []Entry, shares []float64) (psychometrics.BorderlineResult, error) {
	for _, e := range entries {
		if !c.knows(e.Item) {
			return psychometrics.BorderlineResult{}, fmt.Errorf("line %d: the class has no candidate %q", e.Line, e.Item)
		}
	}
	var grades, scores []float64
	for i, s := range c.Sittings {
		sum, n := 0.0, 0
		for _, e := range entries {
			if e.Item == s.Candidate {
				sum += e.Value
				n++
			}
		}
		if n > 0 {
			grades, scores = append(grades, sum/float64(n)), append(scores, shares[i])
		}
	}
	return psychometrics.Borderline(grades, scores, BorderlineGrade)
}

// knows reports whether a candidate handed something in, refused or not.
func (c Class) knows(candidate string) bool {
	return slices.ContainsFunc(c.Sittings, func(s Sitting) bool { return s.Candidate == candidate }) ||
		slices.ContainsFunc(c.Refused, func(r Refused) bool { return strings.HasPrefix(r.File, candidate+".") })
}

// tableRow is a line of a CSV file with the columns asked for, in the order asked for.
type tableRow struct {
	line  int
	cells []string
}

// readTable reads CSV whose head holds the columns wanted, in any order and among others.
func readTable(name string, from io.Reader, wanted []string) ([]tableRow, error) {
	reader := csv.NewReader(from)
	head, err := reader.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: the first line must hold %s: %w", name, strings.Join(wanted, ","), err)
	}
	head[0] = strings.TrimPrefix(head[0], "\ufeff")
	places := make([]int, len(wanted))
	for i, want := range wanted {
		places[i] = slices.IndexFunc(head, func(h string) bool { return strings.EqualFold(strings.TrimSpace(h), want) })
		if places[i] < 0 {
			return nil, fmt.Errorf("%s:1: there is no column %q; the columns are %s", name, want, strings.Join(head, ", "))
		}
	}
	var rows []tableRow
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		row := tableRow{cells: make([]string, len(wanted))}
		row.line, _ = reader.FieldPos(0)
		for i, at := range places {
			row.cells[i] = Fuse(strings.TrimSpace(record[at]))
		}
		rows = append(rows, row)
	}
}

// ReadRoster reads the instructor's list of names from CSV with the columns candidate and name; a column
// sourced_id holds the school's ids for OneRoster. Checked by TestReadRoster.
func ReadRoster(name string, from io.Reader) (Roster, error) {
	text, err := io.ReadAll(from)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	wanted := []string{"candidate", "name"}
	first, _, _ := strings.Cut(string(text), "\n")
	if strings.Contains(strings.ToLower(first), "sourced_id") {
		wanted = append(wanted, "sourced_id")
	}
	rows, err := readTable(name, strings.NewReader(string(text)), wanted)
	if err != nil {
		return nil, err
	}
	roster := Roster{}
	for _, row := range rows {
		id := row.cells[0]
		if _, twice := roster[id]; twice || id == "" {
			return nil, fmt.Errorf("%s:%d: candidate %q is empty or stands twice", name, row.line, id)
		}
		person := Person{Name: row.cells[1]}
		if len(wanted) > 2 {
			person.SourceID = row.cells[2]
		}
		roster[id] = person
	}
	return roster, nil
}
