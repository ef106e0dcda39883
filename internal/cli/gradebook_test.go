package cli_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"tugback/internal/cohort"
)

// officeCondition answers the condition [office] of a script: whether tables are to be opened in
// LibreOffice, which takes seconds, so that the gate asks for it.
func officeCondition(name string) (bool, error) {
	if name != "office" {
		return false, fmt.Errorf("unknown condition %q", name)
	}
	return os.Getenv("TUGBACK_OFFICE") != "", nil
}

// csvFilter tells LibreOffice to read and write commas, quotes and UTF-8.
const csvFilter = "Text - txt - csv (StarCalc):44,34,76"

// office opens CSV files in LibreOffice without a window, saves them as spreadsheets and these as CSV
// again, and holds that every cell came back: nothing is lost and nothing was taken for a formula. With
// the word text before the files every column is opened as text: what the files of a school's system need,
// whose ids may be numbers with zeros in front, which no mark in the file may change.
func office(ts *testscript.TestScript, _ bool, args []string) {
	before, after := ts.MkAbs("office-ods"), ts.MkAbs("office-csv")
	filter := csvFilter + ",1"
	if args[0] == "text" {
		args = args[1:]
		filter += ","
		for column := range 20 {
			filter += fmt.Sprintf("%d/2/", column+1)
		}
	}
	var names, sheets []string
	for i, name := range args { // names that stay apart in one folder
		flat := fmt.Sprintf("%d-%s", i, filepath.Base(name))
		ts.Check(os.WriteFile(ts.MkAbs(flat), []byte(ts.ReadFile(name)), 0o600))
		names = append(names, ts.MkAbs(flat))
		sheets = append(sheets, filepath.Join(before, strings.TrimSuffix(flat, ".csv")+".ods"))
	}
	profile := "-env:UserInstallation=file://" + ts.MkAbs("office-profile")
	convert := func(more []string, files []string) {
		if out, err := exec.Command("soffice", slices.Concat([]string{profile, "--headless"}, more, files)...).CombinedOutput(); err != nil {
			ts.Fatalf("soffice: %v\n%s", err, out)
		}
	}
	convert([]string{"--infilter=" + filter, "--convert-to", "ods", "--outdir", before}, names)
	convert([]string{"--convert-to", "csv:" + csvFilter, "--outdir", after}, sheets)
	for i, name := range args {
		sameCells(ts, name, readCells(ts, names[i]), readCells(ts, filepath.Join(after, filepath.Base(names[i]))))
	}
}

func readCells(ts *testscript.TestScript, name string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(name))).ReadAll()
	ts.Check(err)
	return rows
}

// sameCells fails at the first cell that came back another. LibreOffice takes the apostrophe of a defused
// cell as the mark of a text, so that it may come back without.
func sameCells(ts *testscript.TestScript, name string, want, got [][]string) {
	if len(got) != len(want) {
		ts.Fatalf("%s: %d rows came back, %d went", name, len(got), len(want))
	}
	for i, row := range want {
		for k, cell := range row {
			if cohort.Fuse(got[i][k]) != cohort.Fuse(cell) {
				ts.Fatalf("%s: row %d, %s: %q came back as %q", name, i+1, want[0][k], cell, got[i][k])
			}
		}
	}
}

// angoff writes judges' estimates, the same for every item of items.csv that gives points:
// angoff items.csv OUT JUDGE PERCENT.
func angoff(ts *testscript.TestScript, _ bool, args []string) {
	rows := readCells(ts, args[0])
	id, most := slices.Index(rows[0], "item"), slices.Index(rows[0], "max")
	text := "method,judge,round,item,value\n"
	for _, row := range rows[1:] {
		if row[most] != "0" {
			text += fmt.Sprintf("angoff,%s,1,%s,%s\n", args[2], row[id], args[3])
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(text), 0o600))
}
