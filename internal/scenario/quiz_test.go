package scenario_test

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// shippedItems reads the items that come with the program.
func shippedItems(t testing.TB) []quiz.Item {
	t.Helper()
	items, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	return items
}

// TestShippedItems holds that the bank is large enough, covers every step, level and kind, and that the
// linter finds nothing in it, neither item by item (which reading does) nor over the whole.
func TestShippedItems(t *testing.T) {
	items := shippedItems(t)
	if len(items) < 150 {
		t.Errorf("%d items, want at least 150", len(items))
	}
	for _, f := range quiz.LintBank(items) {
		t.Error(f)
	}
	steps, levels, kinds := map[string]int{}, map[string]int{}, map[quiz.Kind]int{}
	for _, i := range items {
		steps[i.Step]++
		levels[i.Level]++
		kinds[i.Kind]++
	}
	for _, s := range quiz.Steps() {
		if steps[s] < 3 {
			t.Errorf("step %s has %d items", s, steps[s])
		}
	}
	for _, l := range quiz.Levels() {
		if levels[l] < 20 {
			t.Errorf("level %s has %d items", l, levels[l])
		}
	}
	for _, k := range quiz.Kinds() {
		if kinds[k] < 5 {
			t.Errorf("kind %s has %d items", k, kinds[k])
		}
	}
}

// TestEveryKeyFollows holds for every item of the bank that its key follows from the engine (a formula, a
// grown tooth, an action that is run: Check has compared them), from a row of facts, or from a source that
// can be named; and that a row of facts with a figure is quoted right: one of the figures of the rows that
// an item cites stands in its text.
func TestEveryKeyFollows(t *testing.T) {
	basis := map[string]int{}
	for _, i := range shippedItems(t) {
		switch {
		case i.Formula != nil, i.Subject != nil, i.Trial != nil:
			basis["engine"]++
		case len(i.Facts) > 0:
			basis["facts"]++
		case i.Source == quiz.CommonPractice:
			basis["common practice"]++
		case quiz.NamedSource(i.Source):
			basis["named source"]++
		default:
			t.Errorf("%s: nothing says why its key is right", i.ID)
		}
		if !quotes(i) {
			t.Errorf("%s: none of the figures of %v stands in it", i.ID, i.Facts)
		}
	}
	t.Logf("keys follow from: %v", basis)
	if basis["engine"]+basis["facts"] < 80 {
		t.Errorf("only %d keys follow from the engine or a row of facts", basis["engine"]+basis["facts"])
	}
}

var figures = regexp.MustCompile(`\d+(\.\d+)?`)

// quotes reports whether one of the figures of the facts an item cites stands in its text, rounded as it
// is written there; facts without a figure ask for none.
func quotes(i quiz.Item) bool {
	text := strings.Join([]string{i.Stem, i.Why, i.Key(), i.Other}, " ")
	for _, o := range i.Options {
		text += " " + o.Text + " " + o.Feedback
	}
	stated := figures.FindAllString(text, -1)
	wanted := false
	for _, id := range i.Facts {
		f, _ := quiz.FactByID(id)
		if f.Value == 0 && f.High == 0 {
			continue
		}
		wanted = true
		for _, s := range stated {
			_, after, _ := strings.Cut(s, ".")
			for _, v := range []float64{f.Value, f.High, f.Value / 100} {
				if strconv.FormatFloat(v, 'f', len(after), 64) == s {
					return true
				}
			}
		}
	}
	return !wanted
}

// TestBadItems holds the faults of each file in testdata/quiz/bad against the text beside it, and that
// nothing of such a file is used.
func TestBadItems(t *testing.T) {
	const folder = "../../testdata/quiz/bad"
	files, err := filepath.Glob(folder + "/*.yaml")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d files (%v)", len(files), err)
	}
	for _, file := range files {
		items, err := scenario.LoadItems(file)
		if items != nil {
			t.Errorf("%s: %d items were read", file, len(items))
		}
		compareFaults(t, file, err)
	}
}

// TestItemsOfFolders holds that a folder without items, a file that is none and a missing file are faults.
func TestItemsOfFolders(t *testing.T) {
	var faults scenario.Faults
	if _, err := scenario.LoadItemsFS(scenarios.Files, "plans-of-nobody"); !errors.As(err, &faults) {
		t.Errorf("an empty folder: %v", err)
	}
	if _, err := scenario.LoadItems("no-such-file.yaml"); !errors.As(err, &faults) {
		t.Errorf("a missing file: %v", err)
	}
	names, err := fs.Glob(scenarios.Files, "quiz/*.yaml")
	if err != nil || !slices.Contains(names, "quiz/rinse.yaml") {
		t.Errorf("shipped files of items: %v (%v)", names, err)
	}
}

// TestItemSources holds that an item without a source of its own gets those of its facts, each once.
func TestItemSources(t *testing.T) {
	text := fmt.Sprintf("format: 1\nstep: open\nitems:\n  - {id: a, kind: numeric, level: recall, difficulty: easy, stem: \"How deep?\", answer: 6.4 mm, tolerance: 0.2 mm, why: \"so\", other: \"no\", facts: [%s, %s]}\n", "roof-lower", "floor-lower")
	items, err := scenario.ParseItems("a.yaml", []byte(text))
	if err != nil || items[0].Source != "Deutsch and Musikant 2004, Journal of Endodontics 30:388" {
		t.Errorf("%+v, %v", items, err)
	}
}

// TestBankAsPackage holds that the bank goes out as a QTI package and comes back the same, but for the
// kinds that the standard does not have.
func TestBankAsPackage(t *testing.T) {
	items := shippedItems(t)
	data, left, err := quiz.ExportQTI(items)
	if err != nil {
		t.Fatal(err)
	}
	items = slices.DeleteFunc(items, func(i quiz.Item) bool {
		return i.Kind == quiz.Place || i.Kind == quiz.Measure || i.Kind == quiz.Predict
	})
	back, lost, err := quiz.ImportQTI(data)
	if err != nil || len(lost) > 0 || len(back) != len(items) || len(left) == 0 {
		t.Fatalf("%d of %d items came back, lost %v, left out %d: %v", len(back), len(items), lost, len(left), err)
	}
	for n := range items {
		if diff := cmp.Diff(items[n], back[n]); diff != "" {
			t.Errorf("%s differs:\n%s", items[n].ID, diff)
		}
	}
}

// FuzzParseItems holds that no text makes the reader panic and that what it accepts is fit to be asked.
func FuzzParseItems(f *testing.F) {
	names, err := fs.Glob(scenarios.Files, "quiz/*.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(scenarios.Files, name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text[:min(len(text), 1500)])
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		items, err := scenario.ParseItems("fuzz.yaml", text)
		if err != nil {
			return
		}
		for _, i := range items {
			if found := quiz.Check(i); len(found) > 0 {
				t.Errorf("unfit: %v", found)
			}
		}
	})
}
