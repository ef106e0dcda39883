package cli

import (
	"bytes"
	"crypto/rand"
	"encoding/base32"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/cohort"
	"tugback/internal/exam"
)

// rosterLimit is above the size of any roster, in bytes.
const rosterLimit = 4 << 20

// enrolled is a line of the instructor's roster.
type enrolled struct {
	exam.Candidate
	name, sourceID string
}

// rosterColumns are the columns a roster may have.
func rosterColumns() []string {
	return []string{"candidate", "name", "sourced_id", "extra_time", "rest"}
}

// readEnrolled reads a roster with all its faults. Without a column candidate, or where it is empty, the
// candidate gets an id drawn by chance, which says nothing of the name.
func readEnrolled(file string) ([]enrolled, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, cause(err))
	}
	if len(text) > rosterLimit {
		return nil, fmt.Errorf("%s: longer than %d bytes", file, rosterLimit)
	}
	reader := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	head, err := reader.Read()
	if err != nil {
		return nil, fmt.Errorf("%s:1: the first line must name the columns, some of %s: %w", file, strings.Join(rosterColumns(), ","), err)
	}
	columns := make([]int, len(rosterColumns()))
	for i, want := range rosterColumns() {
		columns[i] = slices.IndexFunc(head, func(h string) bool { return strings.EqualFold(strings.TrimSpace(h), want) })
	}
	if columns[0] < 0 && columns[1] < 0 {
		return nil, fmt.Errorf("%s:1: there is neither a column candidate nor a column name; the columns are %s", file, strings.Join(head, ", "))
	}
	var out []enrolled
	var faults []error
	for {
		row, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		line, _ := reader.FieldPos(0)
		one, err := enrol(row, columns)
		if err != nil {
			faults = append(faults, fmt.Errorf("%s:%d: %w", file, line, err))
		}
		out = append(out, one)
	}
	if len(out) == 0 {
		faults = append(faults, fmt.Errorf("%s: it names nobody", file))
	}
	return out, errors.Join(faults...)
}

// enrol reads a line of a roster.
func enrol(row []string, columns []int) (enrolled, error) {
	cell := func(i int) string {
		if columns[i] < 0 {
			return ""
		}
		return cohort.Fuse(strings.TrimSpace(row[columns[i]]))
	}
	one := enrolled{Candidate: exam.Candidate{ID: cell(0), TimeFactor: 1}, name: cell(1), sourceID: cell(2)}
	if one.ID == "" {
		one.ID = newPseudonym()
	}
	faults := []error{exam.CheckID(one.ID)}
	if text := cell(3); text != "" {
		share, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
		if err != nil || !strings.HasSuffix(text, "%") || !(share >= 0 && share <= 300) {
			faults = append(faults, fmt.Errorf("extra_time is %.40q; expected per cent of the time, 0 %% to 300 %%, such as 25 %%", text))
		}
		one.TimeFactor = 1 + share/100
	}
	if text := cell(4); text != "" {
		rest, err := time.ParseDuration(strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "min", "m"))
		if err != nil || rest < 0 {
			faults = append(faults, fmt.Errorf("rest is %.40q; expected a time, such as 10 min", text))
		}
		one.RestS = int(rest.Seconds())
	}
	return one, errors.Join(faults...)
}

// newPseudonym draws an id of 80 bits by chance, led by a letter, since some formats want names to be.
func newPseudonym() string {
	bits := make([]byte, 10)
	_, _ = rand.Read(bits) // it never fails
	return "C" + base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").EncodeToString(bits)
}

// rosterCSV writes who is who, as gradebook --roster reads it; with the token that each gets for a class
// server.
func rosterCSV(list []enrolled, tokens []string) func(io.Writer) error {
	return func(w io.Writer) error {
		out := csv.NewWriter(w)
		rows := [][]string{{"candidate", "name", "sourced_id", "packet", "token"}}
		for i, one := range list {
			rows = append(rows, []string{cohort.Defuse(one.ID), cohort.Defuse(one.name), cohort.Defuse(one.sourceID), exam.PacketFile(one.ID), tokens[i]})
		}
		return out.WriteAll(rows)
	}
}
