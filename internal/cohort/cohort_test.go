package cohort_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"tugback/internal/cohort"
	"tugback/internal/comment"
	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// nasty holds what tables break on: accents, commas, quotes, a line break, a formula.
const nasty = "=1+1, Bjørn \"Žofie\" Müller;\nsecond line – ½"

// invented is a class of six made by hand: candidate k earns k of 5 points in one rule of each case, all or
// nothing in another, and answers a question rightly from the fourth on.
func invented() cohort.Class {
	start := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	item := quiz.Item{ID: "q-1", Kind: quiz.Single, Step: "measure", Stem: "Which length counts?", Why: "Because.", Source: quiz.CommonPractice,
		Options: []quiz.Option{{ID: "a", Text: "the right one", Right: true}, {ID: "b", Text: "another"}, {ID: "c", Text: "nobody's"}}}
	number := quiz.Item{ID: "q-2", Kind: quiz.Numeric, Step: "measure", Stem: "How long?", Answer: 20, Unit: "mm", Tolerance: 0.5}
	var sittings []cohort.Sitting
	for k := range 6 {
		s := cohort.Sitting{File: fmt.Sprintf("c%d.json", k), Digest: strings.Repeat(fmt.Sprint(k), 64), Size: 100 + k, Candidate: fmt.Sprintf("c%d", k),
			Engine: "1", Started: start, Ended: start.Add(90*time.Minute + 345*time.Millisecond)}
		for _, id := range []string{"molar", "incisor"} {
			all := 0.0
			if k >= 3 {
				all = 5
			}
			marks := marking.Marks{Total: float64(k) + all, Available: 10, Rules: []marking.RuleMark{
				{ID: "length", Stage: "measure", Title: nasty, Points: float64(k), Available: 5, Evidence: nasty, Action: 0},
				{ID: "seal", Stage: "seal", Title: "Sealed", Points: all, Available: 5, Evidence: "as seen", Action: -1},
				{ID: "hole", Title: "Perforation", Critical: true, Happened: k == 0, Action: -1}}}
			if k == 0 {
				marks.Failed, marks.Critical = true, []string{"Perforation"}
			}
			s.Cases = append(s.Cases, cohort.Case{ID: id, Title: id, Scenario: id, Digest: "d", Seed: uint64(k), Pass: 0.6, Marks: marks, Elapsed: 60000,
				Actions: []treatment.Action{{Do: treatment.Kinds()[0], Stop: 100 * k}, {Do: treatment.Kinds()[1], Stop: 7}}})
		}
		choice, credit := "b", 0.0
		if k >= 3 {
			choice, credit = "a", 1
		}
		s.Answers = []cohort.Answer{
			{Item: item, Given: true, Response: quiz.Response{Chosen: []string{choice}}, Result: quiz.Result{Credit: credit, Right: credit == 1}, Points: credit, Available: 1, At: start.Add(time.Minute)},
			{Item: number, Given: true, Response: quiz.Response{Value: 20.25}, Result: quiz.Result{Credit: 1, Right: true}, Points: 1, Available: 1},
		}
		sittings = append(sittings, s)
	}
	return cohort.NewClass("P-1", "Endodontics, summer", 0.6, sittings, []cohort.Refused{{File: "x.json", Class: "marks-differ", Reason: "=cmd"}},
		cohort.Roster{"c1": {Name: nasty, SourceID: "s-1"}})
}

// table writes a table and reads it back.
func table(t *testing.T, write func(io.Writer) error) [][]string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestNewClass: two sittings of one candidate are never both counted.
func TestNewClass(t *testing.T) {
	c := cohort.NewClass("P", "T", 0.6, []cohort.Sitting{{File: "b", Candidate: "x"}, {File: "a", Candidate: "x"}}, nil, nil)
	if len(c.Sittings) != 1 || c.Sittings[0].File != "a" || len(c.Refused) != 1 || c.Refused[0].Class != "duplicate" {
		t.Errorf("got %+v", c)
	}
}

// TestAnalyse: figures of the invented class worked by hand. Candidate k earns 2k, 10 from the fourth on, 1 for
// the first question from the fourth on and 1 for the second, of 22; candidates 3 to 5 pass with 18, 20, 22.
func TestAnalyse(t *testing.T) {
	a, err := cohort.Analyse(invented(), cohort.Judges{})
	if err != nil {
		t.Fatal(err)
	}
	mean := (1 + 3 + 5 + 18 + 20 + 22) / 6.0 / 22
	if math.Abs(a.Mean-mean) > 1e-12 || a.Passed != 3 {
		t.Errorf("mean %g, want %g; passed %d, want 3", a.Mean, mean, a.Passed)
	}
	if got := a.Items[0].Stat.Difficulty; math.Abs(got-0.5) > 1e-12 { // 0 … 5 of 5
		t.Errorf("difficulty %g, want 0.5", got)
	}
	if a.Items[2].Happened != 1 || a.Items[2].Max != 0 || a.Left != 2 {
		t.Errorf("critical rule: %+v, left out %d, want 2", a.Items[2].Column, a.Left)
	}
	if last := a.Items[len(a.Items)-1]; !math.IsNaN(last.Stat.ItemRest) || len(last.Flags) == 0 {
		t.Errorf("everybody had the second question right, which must be said: %+v", last)
	}
	// Each candidate does the same in both cases, so all spread lies in persons and Eρ² is 1.
	if math.Abs(a.Crossed.General-1) > 1e-9 {
		t.Errorf("Eρ² %g, want 1", a.Crossed.General)
	}
	if use := a.Options[0]; use.Options[0].Chosen != 3 || !use.Options[2].Idle || use.Options[0].PointBis <= 0 {
		t.Errorf("use of answers: %+v", use.Options)
	}
	empty, err := cohort.Analyse(cohort.NewClass("P", "T", 0.6, nil, nil, nil), cohort.Judges{})
	if err != nil || !math.IsNaN(empty.Mean) {
		t.Errorf("a class of nobody: %v, mean %g", err, empty.Mean)
	}
}

// TestQuizTrust: KR-20 of the questions alone, by hand: of three questions that 3, 2 and 1 of four persons
// answer rightly, each a step further, p·q adds up to 0.625, the totals 3, 2, 1, 0 have the variance 1.25, and
// 3/2 · (1 − 0.625/1.25) = 0.75. The table of answers says who chose what.
func TestQuizTrust(t *testing.T) {
	var sittings []cohort.Sitting
	for k := range 4 {
		s := cohort.Sitting{File: fmt.Sprintf("c%d.json", k), Candidate: fmt.Sprintf("c%d", k)}
		for q := range 3 {
			item := quiz.Item{ID: fmt.Sprintf("q-%d", q), Kind: quiz.Single, Options: []quiz.Option{{ID: "a", Text: nasty, Right: true}, {ID: "b", Text: "no"}}}
			a := cohort.Answer{Item: item, Given: true, Available: 2, Response: quiz.Response{Chosen: []string{"b"}}}
			if k > q {
				a.Points, a.Response.Chosen = 2, []string{"a"}
			}
			s.Answers = append(s.Answers, a)
		}
		sittings = append(sittings, s)
	}
	a, err := cohort.Analyse(cohort.NewClass("P", "T", 0.6, sittings, nil, nil), cohort.Judges{})
	if err != nil || math.Abs(a.Quiz.Alpha-0.75) > 1e-12 || !a.QuizExact {
		t.Errorf("KR-20 %g, exact %v, error %v; want 0.75", a.Quiz.Alpha, a.QuizExact, err)
	}
	rows := table(t, func(w io.Writer) error { return cohort.OptionsCSV(w, a) })
	if len(rows) != 7 || rows[1][0] != "q-0" || rows[1][3] != "yes" || rows[1][5] != "3" || cohort.Fuse(rows[1][2]) != nasty || rows[6][5] != "3" {
		t.Errorf("got %q", rows)
	}
	var page bytes.Buffer
	if err := cohort.ClassHTML(&page, a); err != nil || !strings.Contains(page.String(), "KR-20 of the questions") {
		t.Errorf("the report does not tell it, error %v", err)
	}
}

// TestLikeness: longest common subsequences by hand.
func TestLikeness(t *testing.T) {
	log := func(stops ...int) (list []treatment.Action) {
		for _, stop := range stops {
			list = append(list, treatment.Action{Stop: stop})
		}
		return list
	}
	for _, c := range []struct {
		a, b []treatment.Action
		want float64
	}{
		{log(1, 2, 3), log(1, 2, 3), 1}, {log(1, 2, 3), log(4, 5), 0}, {nil, nil, 0},
		{log(1, 2, 3, 4), log(1, 3, 4, 9), 0.75}, {log(1, 2), log(2, 1), 0.5},
	} {
		if got := cohort.Likeness(c.a, c.b); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v and %v: got %g, want %g", c.a, c.b, got, c.want)
		}
	}
}

// TestReadJudges reads entries, computes pass marks from them, and tells every fault with its line.
func TestReadJudges(t *testing.T) {
	text := "\ufeffmethod,judge,round,item,value\n"
	for _, item := range []string{"molar/length", "molar/seal", "incisor/length", "incisor/seal", "quiz/q-1", "quiz/q-2"} {
		text += "angoff,A,1," + item + ",50\n"
	}
	text += "hofstee,A,1,cut-low,40\nhofstee,A,1,cut-high,90\nhofstee,A,1,fail-low,10\nhofstee,A,1,fail-high,60\n"
	text += "global,A,1,c0,1\nglobal,A,1,c2,2\nglobal,A,1,c5,5\n"
	judges, err := cohort.ReadJudges("j.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	a, err := cohort.Analyse(invented(), judges)
	if err != nil {
		t.Fatal(err)
	}
	if a.Standard.Angoff == nil || math.Abs(a.Standard.Angoff.Cut-11) > 1e-12 { // half of 22
		t.Errorf("Angoff: %+v, want 11", a.Standard.Angoff)
	}
	if a.Standard.Hofstee == nil || a.Standard.Borderline == nil || a.Standard.Borderline.N != 3 {
		t.Errorf("Hofstee %+v, borderline %+v", a.Standard.Hofstee, a.Standard.Borderline)
	}
	_, err = cohort.ReadJudges("j.csv", strings.NewReader("method,judge,round,item,value\nangof,A,1,x,5\nangoff,A,1,x,200\nhofstee,A,1,low,5\nglobal,A,x,c0,2\n"))
	for line := 2; line <= 5; line++ {
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("j.csv:%d: ", line)) {
			t.Errorf("line %d is not told: %v", line, err)
		}
	}
	judges.Angoff = judges.Angoff[1:]
	if _, err := cohort.Analyse(invented(), judges); err == nil || !strings.Contains(err.Error(), "molar/length") {
		t.Errorf("an item without rating: %v", err)
	}
}

// TestReadRoster reads names and refuses a candidate twice.
func TestReadRoster(t *testing.T) {
	r, err := cohort.ReadRoster("r.csv", strings.NewReader("name,candidate,sourced_id\nŽofie,c1,s9\n"))
	if err != nil || r["c1"] != (cohort.Person{Name: "Žofie", SourceID: "s9"}) {
		t.Errorf("got %+v, %v", r, err)
	}
	if _, err := cohort.ReadRoster("r.csv", strings.NewReader("candidate,name\nc1,A\nc1,B\n")); err == nil || !strings.Contains(err.Error(), "r.csv:3") {
		t.Errorf("a candidate twice: %v", err)
	}
}

// TestReadComments pins comments and tells those that point nowhere.
func TestReadComments(t *testing.T) {
	head := "candidate,case,action,by,comment\n"
	got, err := cohort.ReadComments("k.csv", []byte(head+"c1,molar,2,Examiner,\"Well seen, \"\"really\"\"\"\n"), invented())
	if err != nil || len(got) != 1 || got[0].Action != 2 || got[0].Text != `Well seen, "really"` {
		t.Errorf("got %+v, %v", got, err)
	}
	_, err = cohort.ReadComments("k.csv", []byte(head+"c1,molar,3,E,x\nc9,molar,1,E,x\nc1,canine,1,E,x\nc1,molar,1,E,\n"), invented())
	for line := 2; line <= 5; line++ {
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("k.csv:%d: ", line)) {
			t.Errorf("line %d is not told: %v", line, err)
		}
	}
}

// TestDefuse: what may run as a formula is text, everything else unchanged, and all comes back.
func TestDefuse(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+A1": "'+A1", "-2": "'-2", "@x": "'@x", "  =1": "'  =1", "\t=1": "'\t=1", "\r\n=": "'\r\n=",
		"007": "'007", "0": "0", "12": "12", "20.25": "20.25", "0012.5": "'0012.5", "12345678901234567890": "'12345678901234567890", "1E5": "'1E5", "3e2x": "3e2x",
		"1-2": "'1-2", "2030-01-15": "'2030-01-15", "1/2": "'1/2", "MAR1": "'MAR1", "Sept 2": "'Sept 2", "3 may": "'3 may", "MARA": "MARA", "12:30": "'12:30", "TRUE": "'TRUE", "C007": "C007",
		"": "", "a=1": "a=1", "Žofie, \"x\"": "Žofie, \"x\"", "'x": "'x",
	} {
		if got := cohort.Defuse(text); got != want {
			t.Errorf("Defuse(%q): got %q, want %q", text, got, want)
		}
		if got := cohort.Fuse(cohort.Defuse(text)); got != text {
			t.Errorf("%q comes back as %q", text, got)
		}
	}
}

// TestLongCSV: a row for each candidate and thing marked; nasty texts come back.
func TestLongCSV(t *testing.T) {
	c := invented()
	rows := table(t, func(w io.Writer) error { return cohort.LongCSV(w, c) })
	if len(rows) != 1+6*8 {
		t.Fatalf("%d rows, want a head and 48", len(rows))
	}
	if got := cohort.Fuse(rows[1][7]); got != nasty {
		t.Errorf("title %q", got)
	}
	if rows[1][7][0] != '\'' {
		t.Errorf("a formula is not defused: %q", rows[1][7])
	}
}

// TestWideCSV: totals are the sums of the columns.
func TestWideCSV(t *testing.T) {
	rows := table(t, func(w io.Writer) error { return cohort.WideCSV(w, invented()) })
	if len(rows) != 8 || rows[7][2] != "22" || rows[7][5] != "yes" || rows[2][5] != "no" {
		t.Errorf("got %v", rows)
	}
}

// TestOneRoster holds the heads of the standard, links between the files, and the words for a status.
func TestOneRoster(t *testing.T) {
	c := invented()
	ids := cohort.OneRoster{Class: "k1", School: "s1"}
	items := table(t, func(w io.Writer) error { return cohort.LineItemsCSV(w, c, ids) })
	results := table(t, func(w io.Writer) error { return cohort.ResultsCSV(w, c, ids) })
	if strings.Join(items[0], ",") != "sourcedId,status,dateLastModified,title,description,assignDate,dueDate,classSourcedId,categorySourcedId,academicSessionSourcedId,resultValueMin,resultValueMax,schoolSourcedId" {
		t.Errorf("head of lineItems: %v", items[0])
	}
	if strings.Join(results[0], ",") != "sourcedId,status,dateLastModified,lineItemSourcedId,studentSourcedId,scoreStatus,score,scoreDate,comment,textScore,classSourcedId,inProgress,incomplete,late,missing" {
		t.Errorf("head of results: %v", results[0])
	}
	known, seen := map[string]bool{}, map[string]bool{}
	for _, row := range items[1:] {
		known[row[0]] = true
	}
	for _, row := range results[1:] {
		if !known[row[3]] || seen[row[0]] || row[5] != "fully graded" {
			t.Errorf("row %v", row)
		}
		seen[row[0]] = true
	}
	if len(items) != 5 || len(results) != 1+6*4 || results[5][4] != "s-1" {
		t.Errorf("%d line items, %d results, student %q", len(items)-1, len(results)-1, results[5][4])
	}
}

// TestReports: every page stands by itself, escapes what people wrote, and says what matters.
func TestReports(t *testing.T) {
	c := invented()
	c.Sittings[1].Cases[0].Draw = func() (cohort.Pictures, error) {
		return cohort.Pictures{Plate: `<?xml version="1.0"?><svg><g id="a"/><use href="#a"/></svg>`}, nil
	}
	c.Sittings[1].Cases[0].Marks.Rules[0].Evidence = "<script>alert(1)</script>"
	a, err := cohort.Analyse(c, cohort.Judges{})
	if err != nil {
		t.Fatal(err)
	}
	var page, class, form bytes.Buffer
	comments := []comment.Comment{{Candidate: "c1", Case: "molar", Action: 2, By: "E", Text: "Well <seen>"}}
	for _, err := range []error{cohort.CandidateHTML(&page, a, c.Sittings[1], comments), cohort.ClassHTML(&class, a), cohort.JudgesHTML(&form, a)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for what, text := range map[string]string{"candidate": page.String(), "class": class.String(), "form": form.String()} {
		if strings.Contains(text, "http://") || strings.Contains(text, "https://") || strings.Contains(text, "src=\"") || strings.Contains(text, "<script>alert") {
			t.Errorf("the page of the %s needs something from outside, or runs what a person wrote", what)
		}
	}
	for _, want := range []string{"Well &lt;seen&gt;", `id="p0-a"`, `href="#p0-a"`, "not passed", "Action 2:"} {
		if !strings.Contains(page.String(), want) {
			t.Errorf("the candidate's page lacks %q", want)
		}
	}
	for _, want := range []string{"3 of 6 passed", "marks-differ", cohort.ReportFile("c1")} {
		if !strings.Contains(class.String(), want) {
			t.Errorf("the class's page lacks %q", want)
		}
	}
	if name := cohort.ReportFile("../../etc/passwd"); strings.Contains(name, "..") || strings.Count(name, "/") != 1 {
		t.Errorf("an id leads out of the folder: %s", name)
	}
}

// TestCompare: a rule that gives less turns a result, and the reason is said.
func TestCompare(t *testing.T) {
	before, after := invented(), invented()
	for i := range after.Sittings {
		for k := range after.Sittings[i].Cases {
			m := &after.Sittings[i].Cases[k].Marks
			m.Total -= m.Rules[1].Points
			m.Rules[1].Points = 0
		}
	}
	r, err := cohort.Compare(before, after)
	if err != nil {
		t.Fatal(err)
	}
	up, down := r.Turned()
	if len(up) != 0 || len(down) != 3 || r.Why(down[0]) == "" || len(down[0].Changes) != 2 {
		t.Errorf("up %d, down %d: %+v", len(up), len(down), down)
	}
	var page bytes.Buffer
	if err := cohort.RevisionHTML(&page, r); err != nil || !strings.Contains(page.String(), "3 no longer pass") {
		t.Errorf("the page does not say it: %v", err)
	}
	after.Sittings = after.Sittings[1:]
	if _, err := cohort.Compare(before, after); err == nil {
		t.Error("classes of different candidates are compared")
	}
}

// TestNumbersApart holds that numbers in a scatter lie neither on one another nor on a mark, that a mark
// with room about it has its number, and that of many marks in one place some go without.
func TestNumbersApart(t *testing.T) {
	var at [][2]float64
	for i := range 10 { // a heap, and three with room
		at = append(at, [2]float64{400 + float64(i%3)*5, 100 + float64(i/3)*4})
	}
	at = append(at, [2]float64{100, 60}, [2]float64{880, 60}, [2]float64{600, 202})
	places := cohort.Numbered(at)
	if len(places) < 5 || len(places) > 12 {
		t.Errorf("%d of %d numbers are placed", len(places), len(at))
	}
	meets := func(a, b cohort.Place) bool {
		return a.Left < b.Right && b.Left < a.Right && a.Top < b.Bottom && b.Top < a.Bottom
	}
	for i, a := range places {
		for k, b := range places {
			if i != k && meets(a, b) {
				t.Errorf("%s and %s lie on one another: %v, %v", i, k, a, b)
			}
		}
		for _, p := range at {
			if meets(a, cohort.Place{Left: p[0] - 3, Top: p[1] - 3, Right: p[0] + 3, Bottom: p[1] + 3}) {
				t.Errorf("%s lies on the mark at %v", i, p)
			}
		}
	}
}

// TestMarksJoined holds that marks of a scatter that lie on one another become one with all their numbers, and that
// others stay apart.
func TestMarksJoined(t *testing.T) {
	got := cohort.Joined([][2]float64{{100, 50}, {300, 50}, {101, 51}, {100, 50}, {110, 50}})
	if want := []string{"1, 3, 4", "2", "5"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
