package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tugback/internal/cohort"
	"tugback/internal/exam"
	"tugback/internal/handin"
)

// sitting verifies one sitting of a paper and says what it is worth, or why it is refused.
func (c *verifyCommand) sitting(s *session, name string, data []byte, h *hall) error {
	if c.Scenario != "" {
		return usage("--scenario is for records; a sitting is verified by its paper (--paper)")
	}
	v, err := h.verify(data)
	if err != nil {
		return refusal(name, err)
	}
	if c.ServerLog != "" {
		lines, err := os.ReadFile(c.ServerLog)
		if err != nil {
			return fmt.Errorf("--server-log %s: %w", c.ServerLog, cause(err))
		}
		if refused := v.Export.Follows(bytes.Split(bytes.TrimSpace(lines), []byte{'\n'})); refused != nil {
			return refusal(name, refused)
		}
	}
	received, err := c.received(v.Export, data)
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "verified: %s\n", name)
	tellVerified(page{s.out}, v, exam.Spoken(data))
	if received != "" {
		page{s.out}.table("ll", [][]string{{"received", received}})
	}
	return nil
}

// receiptLimit is above the size of any receipt, in bytes.
const receiptLimit = 64 << 10

// received holds a sitting against the receipt of a class server and says when it came, "" without one.
func (c *verifyCommand) received(e exam.Export, data []byte) (string, error) {
	if c.Receipt == "" {
		return "", nil
	}
	refuse := func(why string) (string, error) {
		return "", &ending{exitRefused, fmt.Sprintf("--receipt %s: %s", c.Receipt, why)}
	}
	text, err := os.ReadFile(c.Receipt)
	if err != nil {
		return "", fmt.Errorf("--receipt %s: %w", c.Receipt, cause(err))
	}
	var r handin.Receipt
	if len(text) > receiptLimit || json.Unmarshal(text, &r) != nil {
		return refuse("is no receipt")
	}
	key, by := c.ServerKey, "the key of the class"
	if key == "" {
		key, by = r.Key, "the key that the receipt names itself"
	}
	if err := r.Check(key); err != nil {
		return refuse(err.Error())
	}
	if r.Digest != exam.Digest(data) || r.Paper != e.Paper || r.Candidate != e.Candidate {
		return refuse("is for another sitting")
	}
	late := ""
	if r.Late {
		late = ", after the paper had closed"
	}
	return time.Unix(r.Received, 0).UTC().Format("2006-01-02 15:04:05 UTC") + late + ", signed by " + by, nil
}

// tellVerified prints what a sitting is worth.
func tellVerified(p page, v *exam.Verified, spoken string) {
	e := v.Export
	rows := [][]string{
		{"paper", e.Paper}, {"candidate", fmt.Sprintf("%s, attempt %d", e.Candidate, e.Attempt)}, {"receipt", spoken}, {"engine", e.Engine},
		{"began", v.Started.Format("2006-01-02 15:04:05 UTC")},
		{"time used", (time.Duration(v.UsedMs) * time.Millisecond).Round(time.Second).String()},
	}
	for n, t := range v.Cases {
		text := fmt.Sprintf("%s, seed %s, %d actions: %s of %s", t.Case.Name, t.Case.Seed, len(t.Run.Actions()), points(t.Marks.Total), points(t.Marks.Available))
		if t.Marks.Failed {
			text += "; critical error: " + strings.Join(t.Marks.Critical, " ")
		}
		rows = append(rows, []string{fmt.Sprintf("case %d", n+1), text})
	}
	if len(v.Answers) > 0 {
		given, earned, all := 0, 0.0, 0.0
		for _, a := range v.Answers {
			if a.Given {
				given++
			}
			earned, all = earned+a.Points, all+a.Available
		}
		rows = append(rows, []string{"questions", fmt.Sprintf("%d of %d answered: %s of %s", given, len(v.Answers), points(earned), points(all))})
	}
	rows = append(rows, []string{"marks", points(v.Points) + " of " + points(v.Available)})
	for _, note := range v.Notes {
		rows = append(rows, []string{"noted", note})
	}
	p.table("ll", rows)
}

// many verifies files and folders and prints a line for each.
func (c *verifyCommand) many(s *session) error {
	if c.Scenario != "" || c.ServerLog != "" || c.Receipt != "" {
		return usage("--scenario, --server-log and --receipt are for one file")
	}
	files, err := c.all()
	if err != nil {
		return err
	}
	h, err := openHall(filepath.Dir(files[0]), c.Paper)
	if err != nil {
		return err
	}
	begun := s.now()
	all := make([]handedIn, len(files))
	s.inParallel(c.Progress, "verifying", len(files), func(i int) {
		all[i] = s.readOne(filepath.Dir(files[i]), filepath.Base(files[i]), h, nil)
	})
	took := s.now().Sub(begun)
	all, files = withoutPapers(all, files)
	if len(all) == 0 {
		return fmt.Errorf("there is nothing to verify: only papers and packets")
	}
	oneAttempt(all)
	return c.tell(s, files, all, took)
}

// all lists the files that are named, and those in the folders that are.
func (c *verifyCommand) all() ([]string, error) {
	var files []string
	for _, name := range c.Files {
		info, err := os.Stat(name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, cause(err))
		}
		if !info.IsDir() {
			files = append(files, name)
			continue
		}
		inside, err := filesIn(name)
		if err != nil {
			return nil, err
		}
		for _, one := range inside {
			files = append(files, filepath.Join(name, one))
		}
	}
	return files, nil
}

// tell prints what came of many files and ends with the exit code of the first refusal.
func (c *verifyCommand) tell(s *session, files []string, all []handedIn, took time.Duration) error {
	rows := [][]string{{"file", "candidate", "marks"}}
	var refused []*cohort.Refused
	for i, one := range all {
		if one.refused != nil {
			refused = append(refused, one.refused)
			continue
		}
		earned, available := one.sitting.Total()
		rows = append(rows, []string{filepath.Base(files[i]), one.sitting.Candidate, points(earned) + " of " + points(available)})
	}
	p := page{s.out}
	if len(rows) > 1 {
		p.table("llr", rows)
	}
	for _, r := range refused {
		p.paragraph("  refused: ", fmt.Sprintf("%s: %s: %s", r.File, r.Class, r.Reason))
	}
	verified := len(all) - len(refused)
	fmt.Fprintf(s.out, "%d verified, %d refused", verified, len(refused))
	if len(all) >= 20 {
		fmt.Fprintf(s.out, ", in %.1f s: %.2f s each on all processors", took.Seconds(), took.Seconds()/float64(len(all)))
	}
	fmt.Fprintln(s.out)
	if len(refused) == 0 {
		return nil
	}
	code := exitVersion
	for _, r := range refused {
		if r.Class != string(exam.OtherEngine) {
			code = exitRefused
		}
	}
	return &ending{code, ""}
}
