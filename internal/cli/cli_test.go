package cli_test

import (
	"bytes"
	"strings"
	"testing"

	"tugback/internal/cli"
	"tugback/scenarios"
)

// broken is an output that panics: the nearest thing to a bug that a test can bring about.
type broken struct{}

func (broken) Write([]byte) (int, error) { panic("the pen broke") }

// TestBugIsTold holds that a bug ends in a short message and exit code 1, and shows the stack only on
// demand.
func TestBugIsTold(t *testing.T) {
	for _, debug := range []bool{false, true} {
		var complaints bytes.Buffer
		code := cli.Main([]string{"tooth", "lower-premolar"}, cli.Streams{Out: broken{}, Err: &complaints, Shipped: scenarios.Files, Debug: debug})
		told := complaints.String()
		if code != 1 || !strings.HasPrefix(told, "tugback: this is a bug in the program, please report it: the pen broke\n") {
			t.Errorf("debug %v: exit code %d, message %q", debug, code, told)
		}
		if got := strings.Contains(told, "goroutine"); got != debug {
			t.Errorf("debug %v: stack shown is %v", debug, got)
		}
	}
}
