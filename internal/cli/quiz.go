package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
)

// quizCommand asks questions line by line.
type quizCommand struct {
	Files    []string `arg:"" optional:"" name:"file" help:"Files of items, or QTI packages (.zip); default: all that come with the program."`
	Due      bool     `help:"Ask only what is due by what was forgotten so far."`
	Count    int      `default:"10" placeholder:"N" help:"Ask at most N items (default: ${default}); 0 asks all."`
	Seed     seedFlag `placeholder:"N" help:"Seed of the choice and of generated items (default: from the time)."`
	Tooth    string   `default:"lower-first-molar" placeholder:"SCENARIO" help:"Scenario whose tooth generated items ask about (default: ${default})."`
	Written  bool     `help:"Ask only written items, none that the engine makes."`
	After    string   `placeholder:"RECORD" help:"First bring back the items that belong to the faults of a treatment's record."`
	Pictures string   `placeholder:"FOLDER" help:"Write the picture of each picture item into this folder."`
	Practice string   `placeholder:"FILE" help:"Where answers are kept (default: in your configuration folder)."`
	At       timeFlag `placeholder:"TIME" help:"Take this for the present time, such as 2026-03-01T08:00:00Z."`
	List     bool     `help:"List the items instead of asking them."`
	Stats    bool     `help:"Show mastery by step and how well confidence met the truth."`
	Export   string   `placeholder:"FILE" help:"Write the items as a QTI 3.0 package instead of asking them."`
	JSON     bool     `name:"json" help:"With --list and --stats: print JSON."`
}

// timeFlag is a time on the command line.
type timeFlag struct {
	given bool
	value time.Time
}

// UnmarshalText reads a time with date and zone.
func (f *timeFlag) UnmarshalText(text []byte) error {
	value, err := time.Parse(time.RFC3339, string(text))
	if err != nil {
		return fmt.Errorf("time is %q; expected one such as 2026-03-01T08:00:00Z", text)
	}
	f.given, f.value = true, value
	return nil
}

// Validate refuses what no sitting can have; the parser calls it.
func (c *quizCommand) Validate() error {
	if c.Count < 0 || c.Count > 1000 {
		return usage("--count is %d; allowed 0 to 1000", c.Count)
	}
	if c.JSON && !c.List && !c.Stats {
		return usage("--json goes with --list or --stats")
	}
	return nil
}

// Run lists, exports, shows or asks items.
func (c *quizCommand) Run(s *session) error {
	bank, err := s.loadBank(c.Files)
	if err != nil {
		return err
	}
	switch {
	case c.List:
		return s.listItems(bank, len(c.Files) == 0, c.JSON)
	case c.Export != "":
		return c.export(s, bank)
	}
	now := s.now()
	if c.At.given {
		now = c.At.value
	}
	keeper, err := openKeeper(c.Practice, s.quizPath)
	if err != nil {
		return err
	}
	if c.After != "" {
		if err := s.bringBack(keeper, bank, c.After, now); err != nil {
			return err
		}
	}
	if c.Stats {
		return s.quizStats(keeper.practice, bank, !c.Written, now, c.JSON)
	}
	return c.ask(s, bank, keeper, now)
}

// loadBank reads the items named, or all that come with the program.
func (s *session) loadBank(files []string) ([]quiz.Item, error) {
	if len(files) == 0 {
		return scenario.LoadItemsFS(s.shipped, "quiz")
	}
	var bank []quiz.Item
	var faults scenario.Faults
	for _, name := range files {
		items, err := loadItems(name)
		var more scenario.Faults
		switch {
		case err == nil:
			bank = append(bank, items...)
		case errors.As(err, &more):
			faults = append(faults, more...)
		default:
			return nil, err
		}
	}
	if len(faults) > 0 {
		return nil, faults
	}
	for _, f := range quiz.LintBank(bank) {
		if f.Rule == "duplicate" {
			return nil, fmt.Errorf("item %s stands in more than one of the files", f.Item)
		}
	}
	return bank, nil
}

// packageLimit is above the size of any package of items, in bytes.
const packageLimit = 16 << 20

// loadItems reads a file of items or a QTI package.
func loadItems(name string) ([]quiz.Item, error) {
	if !strings.EqualFold(filepath.Ext(name), ".zip") {
		return scenario.LoadItems(name)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, cause(err))
	}
	defer file.Close() //nolint:errcheck // only read
	data, err := io.ReadAll(io.LimitReader(file, packageLimit+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, cause(err))
	case len(data) > packageLimit:
		return nil, fmt.Errorf("%s is too large; allowed %d MiB", name, packageLimit>>20)
	}
	items, left, err := quiz.ImportQTI(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(left) > 0 {
		return nil, fmt.Errorf("%s: %s: %s (%d of its items cannot be read)", name, left[0].ID, left[0].Why, len(left))
	}
	return items, nil
}

// listedItem is what is told of an item in a list.
type listedItem struct {
	ID         string `json:"id"`
	Kind       string `json:"kind"`
	Step       string `json:"step"`
	Level      string `json:"level"`
	Difficulty string `json:"difficulty"`
	Source     string `json:"source"`
}

// listItems prints what there is: the items, and with the shipped bank the generators.
func (s *session) listItems(bank []quiz.Item, generators, asJSON bool) error {
	list := make([]listedItem, 0, len(bank))
	for _, i := range bank {
		list = append(list, listedItem{i.ID, string(i.Kind), i.Step, i.Level, i.Difficulty, i.Source})
	}
	if generators {
		for _, g := range quiz.Generators() {
			list = append(list, listedItem{g.Name, "generated", g.Step, g.Level, g.Difficulty, g.Source})
		}
	}
	if asJSON {
		return s.printJSON(list)
	}
	rows := [][]string{{"id", "kind", "step", "level", "difficulty"}}
	for _, i := range list {
		rows = append(rows, []string{i.ID, i.Kind, i.Step, i.Level, i.Difficulty})
	}
	page{s.out}.table("lllll", rows)
	return nil
}

// export writes the items as a QTI package and says what could not be put into it.
func (c *quizCommand) export(s *session, bank []quiz.Item) error {
	data, left, err := quiz.ExportQTI(bank)
	if err != nil {
		return err
	}
	var files outputs
	err = files.add("--export", c.Export, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
	if err != nil {
		return err
	}
	if err := files.write(c.Files...); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%d items in %s\n", len(bank)-len(left), c.Export)
	for _, l := range left {
		fmt.Fprintf(s.out, "left out: %s: %s\n", l.ID, l.Why)
	}
	return nil
}

// keeper keeps a practice in a file.
type keeper struct {
	path     string
	practice quiz.Practice
}

// practiceLimit is above the size of any practice, in bytes.
const practiceLimit = 64 << 20

// openKeeper reads the practice in a file, or in the usual one, or begins one.
func openKeeper(path string, usual func() (string, error)) (*keeper, error) {
	if path == "" {
		var err error
		if path, err = usual(); err != nil {
			return nil, fmt.Errorf("there is no place for your answers; name a file with --practice: %w", err)
		}
	}
	k := &keeper{path, quiz.NewPractice()}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return k, nil
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, cause(err))
	case !info.Mode().IsRegular() || info.Size() > practiceLimit:
		return nil, fmt.Errorf("%s is no file of answers", path)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, cause(err))
	}
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	k.practice = quiz.Practice{}
	if err := decoder.Decode(&k.practice); err != nil {
		return nil, fmt.Errorf("%s is no file of answers: %w", path, err)
	}
	if err := k.practice.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return k, nil
}

// save puts the practice in place of what the file held.
func (k *keeper) save() error {
	if err := os.MkdirAll(filepath.Dir(k.path), 0o700); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", k.path, cause(err))
	}
	var files outputs
	err := files.add("--practice", k.path, func(w io.Writer) error {
		encoder := json.NewEncoder(w)
		encoder.SetIndent("", " ")
		return encoder.Encode(k.practice)
	})
	if err != nil {
		return err
	}
	return files.write()
}

// bringBack makes due what belongs to the faults of a recorded treatment.
func (s *session) bringBack(k *keeper, bank []quiz.Item, name string, now time.Time) error {
	data, err := readRecord(name)
	if err != nil {
		return refusal(name, err)
	}
	record, err := attempt.Decode(data)
	if err != nil {
		return refusal(name, err)
	}
	from, err := s.recordScenario(record.Scenario.Name, true)
	if err != nil {
		return err
	}
	grown, err := from.Case(record.Seed)
	if err != nil {
		return err
	}
	run, err := attempt.Treat(attempt.Paper{Case: grown, Marker: from.Marker()}, record.Actions)
	if err != nil {
		return refusal(name, err)
	}
	practice, back := k.practice.BringBack(bank, run.Events(), now)
	practice, linked := practice.BringLinked(bank, from.QuizLinks(), run.Close().Marks, run.Events(), now)
	for _, id := range linked {
		if !slices.Contains(back, id) {
			back = append(back, id)
		}
	}
	k.practice = practice
	if err := k.save(); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%d items belong to what went wrong in that treatment and are due now.\n", len(back))
	return nil
}
