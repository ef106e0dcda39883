package cli

import (
	"fmt"
	"time"

	"tugback/internal/quiz"
)

// quizReport is how a student stands.
type quizReport struct {
	Due         []string         `json:"due"`
	Steps       []quiz.Mastery   `json:"steps"`
	Calibration quiz.Calibration `json:"calibration"`
}

// quizStats prints what is due, mastery by step and calibration.
func (s *session) quizStats(p quiz.Practice, bank []quiz.Item, generators bool, now time.Time, asJSON bool) error {
	report := quizReport{Due: p.Due(now), Steps: p.Masteries(quiz.Entries(bank, generators), now), Calibration: p.Calibrate()}
	if asJSON {
		return s.printJSON(report)
	}
	to := page{s.out}
	to.title("Practice")
	to.section("Steps", fmt.Sprintf("%d due today", len(report.Due)))
	rows := [][]string{{"step", "met", "of", "recall", "credit", "mastery"}}
	for _, m := range report.Steps {
		rows = append(rows, []string{m.Step, fmt.Sprint(m.Met), fmt.Sprint(m.Items), percent(m.Recall), percent(m.Credit), percent(m.Mastery)})
	}
	to.table("lrrrrr", rows)
	to.section("Confidence", fmt.Sprintf("%d answers", report.Calibration.Answers))
	if report.Calibration.Answers == 0 {
		fmt.Fprintln(s.out, "  nothing answered yet")
		return nil
	}
	rows = [][]string{{"said", "answers", "mean said", "was right"}}
	for _, b := range report.Calibration.Bins {
		rows = append(rows, []string{fmt.Sprintf("%d to %d %%", b.Low, b.High), fmt.Sprint(b.Answers), percent(b.Confidence), percent(b.Credit)})
	}
	to.table("lrrr", rows)
	word := "too sure"
	over := report.Calibration.Over
	if over < 0 {
		word, over = "too modest", -over
	}
	fmt.Fprintf(s.out, "  on average %s %s; Brier score %.2f (0 is perfect)\n", percent(over), word, report.Calibration.Brier)
	return nil
}

// percent writes a share.
func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }
