package cli

import (
	"encoding/json"
	"fmt"
)

// printJSON prints a value as JSON: fields in the order of the struct, numbers in shortest form, a
// newline at the end.
func (s *session) printJSON(value any) error {
	encoder := json.NewEncoder(s.out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(value); err != nil {
		return fmt.Errorf("the result cannot be written as JSON: %w", err)
	}
	return nil
}
