package cli

import (
	"errors"
	"fmt"

	"tugback/internal/scenario"
)

// The exit codes. The help lists them.
const (
	exitFine    = 0
	exitFault   = 1 // in the input, or a file that cannot be written
	exitUsage   = 2
	exitRefused = 3 // a record did not stand verification
	exitVersion = 4 // a record of another engine version
)

// ending is an error with an exit code of its own.
type ending struct {
	code int
	text string // one or more lines for the person; "" when all has been said
}

// Error returns the text for the person.
func (e *ending) Error() string { return e.text }

// usage returns an error of the command line.
func usage(format string, args ...any) error {
	return &ending{exitUsage, fmt.Sprintf(format, args...) + "\nsee: tugback --help"}
}

// end tells an error and returns the exit code. Faults of a file name their place themselves, so
// the program's name is not put before them.
func (s *session) end(err error) int {
	var own *ending
	var faults scenario.Faults
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &faults):
		fmt.Fprintln(s.err, faults.Error())
		return exitFault
	case errors.As(err, &own):
		if own.text != "" {
			fmt.Fprintln(s.err, "tugback: "+own.text)
		}
		return own.code
	}
	fmt.Fprintln(s.err, "tugback: "+err.Error())
	return exitFault
}
