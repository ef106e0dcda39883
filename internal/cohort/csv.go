package cohort

import (
	"encoding/csv"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Defuse returns a text that a spreadsheet takes for text and leaves as it is. A cell that begins, after spaces,
// with one of = + - @ or with a tab or a line break may be run as a formula; one that looks like a number with zeros
// in front, with more digits than a float64 holds or with an exponent, like a date, a time or a fraction, is turned
// into another: 007 into 7, 1E5 into 100000, 1-2 into a day. Both get an apostrophe in front, which spreadsheets
// understand as "this is text". Everything else is unchanged. Numbers are written by the program itself and never
// pass here. Source: the rule against formula injection of the Open Worldwide Application Security Project (from
// memory). Checked by TestDefuse and TestSpreadsheet.
func Defuse(text string) string {
	if turned.MatchString(text) {
		return "'" + text
	}
	return defuseFormula(text)
}

// turned are the texts, no formulas, that a spreadsheet turns into others.
var turned = regexp.MustCompile(`(?i)^\s*(0\d+([.,]\d*)?|\d{16,}|\d+([.,]\d+)?e\d+|\d{1,4}[-/]\d{1,2}([-/]\d{1,4})?|\d{1,2}\.\d{1,2}\.\d{2,4}|\d{1,4}:\d{2}(:\d{2})?|` +
	`(\d{1,2}[- ]?)?(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[- ]?\d{1,4}|\d{1,2}[- ]?(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*|true|false)\s*$`)

// defuseFormula is Defuse for files that programs alone read, in which an id must stand as it is.
func defuseFormula(text string) string {
	if text == "" {
		return text
	}
	if strings.ContainsAny(text[:1], "\t\r\n") || strings.IndexAny(strings.TrimLeft(text, " \u00a0"), "=+-@") == 0 {
		return "'" + text
	}
	return text
}

// Fuse undoes Defuse.
func Fuse(cell string) string {
	if rest, quoted := strings.CutPrefix(cell, "'"); quoted && Defuse(rest) == cell {
		return rest
	}
	return cell
}

// number writes a figure with a point and at most 6 decimals; what is not defined is an empty cell.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 6, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// stamp writes a time as RFC 3339 in UTC, an unknown one as nothing.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z")
}

// writeTable writes rows as CSV of RFC 4180 with lines ended by CR LF.
func writeTable(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.WriteAll(rows); err != nil {
		return err
	}
	return out.Error()
}

// LongHeader is the head of the long table.
var LongHeader = []string{"paper", "candidate", "name", "part", "kind", "item", "stage", "title", "points", "available",
	"critical", "happened", "excused", "action", "evidence", "response", "key"}

// LongCSV writes one row for each candidate and thing marked, UTF-8 with commas: what statistics programs
// read. Texts are defused. Checked by TestLongCSV and TestSpreadsheet.
func LongCSV(w io.Writer, c Class) error {
	rows := [][]string{LongHeader}
	for _, s := range c.Sittings {
		start := []string{Defuse(c.Paper), Defuse(s.Candidate), Defuse(c.rosterName(s.Candidate))}
		for _, one := range s.Cases {
			for _, r := range one.Marks.Rules {
				action := ""
				if r.Action >= 0 {
					action = strconv.Itoa(r.Action + 1)
				}
				rows = append(rows, append(append([]string(nil), start...), Defuse(one.ID), "rule", Defuse(r.ID), Defuse(r.Stage),
					Defuse(r.Title), number(r.Points), number(r.Available), yesNo(r.Critical), yesNo(r.Happened), yesNo(r.Excused),
					action, Defuse(r.Evidence), "", ""))
			}
		}
		for _, a := range s.Answers {
			rows = append(rows, append(append([]string(nil), start...), "quiz", string(a.Item.Kind), Defuse(a.Item.ID), Defuse(a.Item.Step),
				Defuse(a.Item.Stem), number(a.Points), number(a.Available), "", "", "", "", "", Defuse(responseText(a)), Defuse(a.Item.Key())))
		}
	}
	return writeTable(w, rows)
}

// rosterName returns the name of the roster, "" without one.
func (c Class) rosterName(candidate string) string { return c.Roster[candidate].Name }

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// WideCSV writes one row for each candidate: totals, then the points in each column. Checked by
// TestWideCSV.
func WideCSV(w io.Writer, c Class) error {
	columns := c.Columns()
	head := []string{"candidate", "name", "total", "available", "per_cent", "passed", "critical_errors", "started", "ended", "file", "sha256"}
	most := []string{"(most)", "", "", "", "", "", "", "", "", "", ""}
	for _, col := range columns {
		head = append(head, Defuse(col.ID))
		most = append(most, number(col.Max))
	}
	rows := [][]string{head, most}
	for i, s := range c.Sittings {
		points, available := s.Total()
		row := []string{Defuse(s.Candidate), Defuse(c.rosterName(s.Candidate)), number(points), number(available), number(100 * s.Share()),
			yesNo(s.Passed(c.Pass)), strconv.Itoa(len(s.Critical())), stamp(s.Started), stamp(s.Ended), Defuse(s.File), s.Digest}
		for _, col := range columns {
			row = append(row, number(col.Scores[i]))
		}
		rows = append(rows, row)
	}
	return writeTable(w, rows)
}

// ItemsCSV writes one row for each thing marked with its statistics.
func ItemsCSV(w io.Writer, a Analysis) error {
	rows := [][]string{{"item", "part", "stage", "title", "max", "n", "mean", "sd", "difficulty", "item_total_r", "item_rest_r",
		"upper_lower", "alpha_if_dropped", "critical_happened", "excused", "look_at"}}
	for _, r := range a.Items {
		s := r.Stat
		rows = append(rows, []string{Defuse(r.ID), Defuse(r.Part), Defuse(r.Stage), Defuse(r.Title), number(r.Max), strconv.Itoa(s.N),
			number(s.Mean), number(s.SD), number(s.Difficulty), number(s.ItemTotal), number(s.ItemRest), number(s.UpperLower),
			number(s.Dropped), strconv.Itoa(r.Happened), strconv.Itoa(r.Excused), Defuse(strings.Join(r.Flags, "; "))})
	}
	return writeTable(w, rows)
}

// OptionsCSV writes one row for each answer of each question with options: who chose it, and whether it
// draws the strong, as a key should, or the weak, as a distractor should. Checked by TestQuizTrust.
func OptionsCSV(w io.Writer, a Analysis) error {
	rows := [][]string{{"item", "option", "text", "key", "n", "chosen", "share", "mean_total", "r", "upper_lower", "idle"}}
	for _, use := range a.Options {
		for _, o := range use.Options {
			rows = append(rows, []string{Defuse(use.Item.ID), Defuse(o.ID), Defuse(use.Text(o.ID)), yesNo(o.Key), strconv.Itoa(use.N), strconv.Itoa(o.Chosen),
				number(o.Share), number(o.MeanTotal), number(o.PointBis), number(o.UpperLower), yesNo(o.Idle)})
		}
	}
	return writeTable(w, rows)
}

// RefusedCSV writes the files that were refused, each with its reason.
func RefusedCSV(w io.Writer, c Class) error {
	rows := [][]string{{"file", "class", "reason"}}
	for _, r := range c.Refused {
		rows = append(rows, []string{Defuse(r.File), Defuse(r.Class), Defuse(r.Reason)})
	}
	return writeTable(w, rows)
}
