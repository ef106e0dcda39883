package scenario_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tugback/internal/scenario"
	"tugback/scenarios"
)

// TestBlueprint reads the shipped blueprint and one with every key, and holds that every fault of a bad one is told
// in one run with its place, what is allowed and the likely word.
func TestBlueprint(t *testing.T) {
	b, err := scenario.LoadBlueprint("mid-term")
	if err != nil || b.Limit != 5400 || b.Each != 1 || len(b.Cases) != 2 || len(b.Ask) != 3 || b.Ask[1].Points != 1.5 || len(b.Mark) != 4 || b.Band != 0.05 || b.Draws != 20 || !b.Drawn {
		t.Errorf("got %+v, error %v", b, err)
	}
	folder := t.TempDir()
	own := filepath.Join(folder, "mine.yaml")
	text, err := fs.ReadFile(scenarios.Files, "upper-canine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(own, string(text))
	file := filepath.Join(folder, "exam.yaml")
	write(file, "format: 1\nexam: all-keys\ntitle: All\nfrom: 2030-01-15T09:00:00Z\nuntil: 2030-01-15T13:00:00Z\nlimit: 1 h\nattempts: 2\nsee: [marks, hints]\n"+
		"extra-time: {ALFA: 25 %}\nrest: {ALFA: 10 min}\ncases: {of: [mine.yaml, lower-premolar], each: 2}\ntrial: no\nquestions: {ask: [{item: rinse-edta}]}\n")
	b, err = scenario.LoadBlueprint(file)
	if err != nil || b.From != 1894698000 || b.Until-b.From != 4*3600 || b.Limit != 3600 || b.Extra["ALFA"] != 0.25 || b.Rest["ALFA"] != 600 || b.Cases[0].Name != own || !b.Untried || b.Ask[0].Number != 1 {
		t.Errorf("got %+v, error %v", b, err)
	}
	write(file, "format: 1\nexam: Mid Term\nfrom: 2030-01-15 09:00\nuntil: 2030-01-15 08:00\nlimit: 90\nsee: [hint]\nextra-time: {ALFA: 25}\n"+
		"cases: {of: [lower-premolr, gone.yaml, ../out.yaml, lower-premolar, lower-premolar], each: 9, mark: [opening]}\ntrial: {operator: carefu, band: 0 %}\n"+
		"questions: {ask: [{step: opn, number: 0}, {item: rinse-edta, number: 2}, {points: -1}]}\nlimits: 3\n")
	_, err = scenario.LoadBlueprint(file)
	if err == nil {
		t.Fatal("a bad exam is read")
	}
	for _, want := range []string{":2:7: ", ":4:8: the exam closes before it opens", ":5:8: ", ":6:7: see is \"hint\"; did you mean \"hints\"?", ":7:20: ",
		":8:14: no case \"lower-premolr\" comes with the program; did you mean \"lower-premolar\"?", ":8:29: there is no file \"gone.yaml\"", ":8:40: \"../out.yaml\" leaves",
		":8:69: the case lower-premolar stands twice", ":8:92: ", ":8:102: mark is \"opening\"; did you mean \"open\"?", ":9:19: no operator \"carefu\"", ":9:33: band is 0 %, allowed 0.1 % to 100 %",
		":10:26: step is \"opn\"; did you mean \"open\"?", ":10:39: ", ":10:43: item asks one question", ":10:83: points is -1", ":11:1: an exam has no key \"limits\"; did you mean \"limit\"?"} {
		if !strings.Contains(err.Error(), file+want) {
			t.Errorf("not told: %s", want)
		}
	}
	if t.Failed() {
		t.Log(err)
	}
	if _, err := scenario.LoadBlueprint("mid-trm"); err == nil || !strings.Contains(err.Error(), "did you mean \"mid-term\"?") {
		t.Errorf("got %v", err)
	}
}

// Whatever a file holds, it is a blueprint or faults.
func FuzzParseBlueprint(f *testing.F) {
	text, err := fs.ReadFile(scenarios.Files, "exams/mid-term.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte("exam: [1]\nextra-time: {1: {2: 3}}\ncases: {of: {}}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if _, err := scenario.ParseBlueprint("x.yaml", text); err != nil && err.Error() == "" {
			t.Error("a fault without words")
		}
	})
}
