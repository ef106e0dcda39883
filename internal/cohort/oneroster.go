package cohort

import (
	"fmt"
	"io"
)

// OneRoster holds what the school's system calls things. Empty fields take what the class itself is called.
type OneRoster struct {
	Class    string // sourcedId of the school's class
	School   string // sourcedId of the school
	Category string // sourcedId of the category of line items
	Session  string // sourcedId of the academic session
}

// lineItem is one thing of a paper with a result of its own.
type lineItem struct {
	id, title string
	most      float64
	score     func(Sitting) (points float64, met bool)
}

// lineItems are the paper as a whole, each case, and the quiz.
func (c Class) lineItems() []lineItem {
	items := []lineItem{{c.Paper, c.Title, 0, func(s Sitting) (float64, bool) { p, _ := s.Total(); return p, true }}}
	known := map[string]int{"": 0}
	for _, s := range c.Sittings {
		_, available := s.Total()
		items[0].most = max(items[0].most, available)
		for _, one := range s.Cases {
			at, met := known[one.ID]
			if !met {
				at = len(items)
				known[one.ID] = at
				items = append(items, lineItem{c.Paper + "-" + one.ID, c.Title + ": " + one.Title, 0, caseScore(one.ID)})
			}
			items[at].most = max(items[at].most, one.Marks.Available)
		}
	}
	quizMost := 0.0
	for _, s := range c.Sittings {
		_, available := quizScore(s)
		quizMost = max(quizMost, available)
	}
	if quizMost > 0 {
		items = append(items, lineItem{c.Paper + "-quiz", c.Title + ": questions", quizMost,
			func(s Sitting) (float64, bool) { p, a := quizScore(s); return p, a > 0 }})
	}
	return items
}

func caseScore(id string) func(Sitting) (float64, bool) {
	return func(s Sitting) (float64, bool) {
		for _, one := range s.Cases {
			if one.ID == id {
				return one.Marks.Total, true
			}
		}
		return 0, false
	}
}

func quizScore(s Sitting) (points, available float64) {
	for _, a := range s.Answers {
		points += a.Points
		available += a.Available
	}
	return points, available
}

// LineItemsHeader and ResultsHeader are the heads of two files of the OneRoster 1.2 gradebook in the exact
// order of the standard, as a public library has transcribed it.
var (
	LineItemsHeader = []string{"sourcedId", "status", "dateLastModified", "title", "description", "assignDate", "dueDate",
		"classSourcedId", "categorySourcedId", "academicSessionSourcedId", "resultValueMin", "resultValueMax", "schoolSourcedId"}
	ResultsHeader = []string{"sourcedId", "status", "dateLastModified", "lineItemSourcedId", "studentSourcedId", "scoreStatus",
		"score", "scoreDate", "comment", "textScore", "classSourcedId", "inProgress", "incomplete", "late", "missing"}
)

// LineItemsCSV writes lineItems.csv: the paper, each case, and the quiz.
func LineItemsCSV(w io.Writer, c Class, ids OneRoster) error {
	day := ""
	for _, s := range c.Sittings {
		if d := stamp(s.Ended); d != "" && (day == "" || d[:10] > day) {
			day = d[:10]
		}
	}
	rows := [][]string{LineItemsHeader}
	for _, item := range c.lineItems() {
		rows = append(rows, []string{defuseFormula(item.id), "", "", defuseFormula(item.title), "", day, day, defuseFormula(ids.Class), defuseFormula(ids.Category),
			defuseFormula(ids.Session), "0", number(item.most), defuseFormula(ids.School)})
	}
	return writeTable(w, rows)
}

// ResultsCSV writes results.csv. A student is named by the sourced id of the roster, else by the candidate's
// id. Status and dates of change are empty, as the standard asks of bulk files. Checked by TestOneRoster.
func ResultsCSV(w io.Writer, c Class, ids OneRoster) error {
	rows := [][]string{ResultsHeader}
	items := c.lineItems()
	for _, s := range c.Sittings {
		student := s.Candidate
		if id := c.Roster[s.Candidate].SourceID; id != "" {
			student = id
		}
		for i, item := range items {
			points, met := item.score(s)
			if !met {
				continue
			}
			comment, verdict := "", ""
			if i == 0 {
				verdict = "failed"
				if s.Passed(c.Pass) {
					verdict = "passed"
				}
				if n := len(s.Critical()); n > 0 {
					comment = fmt.Sprintf("critical errors: %d", n)
				}
			}
			day := ""
			if d := stamp(s.Ended); d != "" {
				day = d[:10]
			}
			rows = append(rows, []string{defuseFormula(item.id + "-" + s.Candidate), "", "", defuseFormula(item.id), defuseFormula(student), "fully graded",
				number(points), day, comment, verdict, defuseFormula(ids.Class), "false", "false", "false", "false"})
		}
	}
	return writeTable(w, rows)
}

// ManifestCSV writes manifest.csv: which files of the standard are in the package. The list of files is from
// memory.
func ManifestCSV(w io.Writer) error {
	rows := [][]string{{"propertyName", "value"}, {"manifest.version", "1.0"}, {"oneroster.version", "1.2"}}
	for _, file := range []string{"academicSessions", "categories", "classes", "classResources", "courses", "courseResources",
		"demographics", "enrollments", "lineItemLearningObjectiveIds", "lineItems", "lineItemScoreScales", "orgs", "resources",
		"resultLearningObjectiveIds", "results", "resultScoreScales", "roles", "scoreScales", "userProfiles", "userResources", "users"} {
		state := "absent"
		if file == "lineItems" || file == "results" {
			state = "bulk"
		}
		rows = append(rows, []string{"file." + file, state})
	}
	rows = append(rows, []string{"source.systemName", "tugback"}, []string{"source.systemCode", "tugback"})
	return writeTable(w, rows)
}
