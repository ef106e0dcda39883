package cohort

import (
	"errors"
	"fmt"
	"io"
	"strconv"
)

// Comment is what an examiner says about a moment of a sitting.
type Comment struct {
	Candidate string
	Case      string
	Action    int // from 1; 0: the case as a whole
	By        string
	Text      string
}

// ReadComments reads comments from CSV with the head candidate,case,action,by,comment. Each must point at an
// action that the class has; all faults are told at once with file and line. Checked by TestReadComments.
func ReadComments(name string, from io.Reader, c Class) ([]Comment, error) {
	rows, err := readTable(name, from, []string{"candidate", "case", "action", "by", "comment"})
	if err != nil {
		return nil, err
	}
	var comments []Comment
	var faults []error
	for _, row := range rows {
		one := Comment{Candidate: row.cells[0], Case: row.cells[1], By: row.cells[3], Text: row.cells[4]}
		if err := one.pin(row.cells[2], c); err != nil {
			faults = append(faults, fmt.Errorf("%s:%d: %w", name, row.line, err))
			continue
		}
		comments = append(comments, one)
	}
	return comments, errors.Join(faults...)
}

// pin finds the moment a comment is about.
func (k *Comment) pin(action string, c Class) error {
	if k.Text == "" {
		return errors.New("the comment is empty")
	}
	for _, s := range c.Sittings {
		if s.Candidate != k.Candidate {
			continue
		}
		for _, one := range s.Cases {
			if one.ID != k.Case {
				continue
			}
			if action == "" {
				return nil
			}
			n, err := strconv.Atoi(action)
			if err != nil || n < 0 || n > len(one.Actions) {
				return fmt.Errorf("action is %q; case %s of %s has actions 1 to %d", action, k.Case, k.Candidate, len(one.Actions))
			}
			k.Action = n
			return nil
		}
		return fmt.Errorf("candidate %s has no case %q", k.Candidate, k.Case)
	}
	return fmt.Errorf("the class has no candidate %q", k.Candidate)
}
