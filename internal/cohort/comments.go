package cohort

import (
	"errors"
	"fmt"

	"tugback/internal/comment"
)

// ReadComments reads comments on a class, in the format of package comment. Each must point at an action that
// the class has; all faults are told at once with file and line. Checked by TestReadComments.
func ReadComments(name string, text []byte, c Class) ([]comment.Comment, error) {
	list, err := comment.Parse(name, text)
	faults := []error{err}
	for _, one := range list {
		if err := c.pins(one); err != nil {
			faults = append(faults, fmt.Errorf("%s:%d: %w", name, one.Line, err))
		}
	}
	return list, errors.Join(faults...)
}

// pins says what is amiss with the moment a comment is about.
func (c Class) pins(k comment.Comment) error {
	for _, s := range c.Sittings {
		if s.Candidate != k.Candidate {
			continue
		}
		for _, one := range s.Cases {
			if one.ID != k.Case {
				continue
			}
			if k.Action > len(one.Actions) {
				return fmt.Errorf("action is %d; case %s of %s has actions 1 to %d", k.Action, k.Case, k.Candidate, len(one.Actions))
			}
			return nil
		}
		return fmt.Errorf("candidate %s has no case %q", k.Candidate, k.Case)
	}
	return fmt.Errorf("the class has no candidate %q", k.Candidate)
}
