package main_test

import (
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// terminal is the program in a terminal that script(1) makes.
type terminal struct {
	t    *testing.T
	keys io.WriteCloser
	done chan struct{}

	mu   sync.Mutex
	said strings.Builder
}

// openTerminal starts the program with arguments in a terminal.
func openTerminal(t *testing.T, line string) *terminal {
	t.Helper()
	cmd := exec.Command("script", "-qefc", line, "/dev/null")
	cmd.Env = append(cmd.Environ(), "TERM=xterm")
	x := &terminal{t: t, done: make(chan struct{})}
	var err error
	if x.keys, err = cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	cmd.Stdout = x
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		cmd.Wait()
		close(x.done)
	}()
	t.Cleanup(func() { cmd.Process.Kill() })
	return x
}

// Write takes what the terminal shows.
func (x *terminal) Write(text []byte) (int, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.said.Write(text)
}

// shows waits until the terminal has shown a text since the last call.
func (x *terminal) shows(text string) {
	x.t.Helper()
	for until := time.Now().Add(answerTime); ; time.Sleep(lookTime) {
		x.mu.Lock()
		said := x.said.String()
		_, rest, found := strings.Cut(said, text)
		if found {
			x.said.Reset()
			x.said.WriteString(rest)
		}
		x.mu.Unlock()
		if found {
			return
		}
		if time.Now().After(until) {
			x.t.Fatalf("the terminal never shows %q; it shows\n%s", text, said)
		}
	}
}

// types types keys and waits for what is to come of them.
func (x *terminal) types(keys string, shows ...string) {
	x.t.Helper()
	if _, err := io.WriteString(x.keys, keys); err != nil {
		x.t.Fatal(err)
	}
	for _, text := range shows {
		x.shows(text)
	}
}

// TestTerminal types to the program in a terminal: Tab completes and lists, a wrong word is told with the likely
// one, an arrow brings a line back, Ctrl-C leaves, and the next time it goes on where it was.
func TestTerminal(t *testing.T) {
	if _, err := exec.LookPath("script"); err != nil {
		t.Skip("script(1), which makes a terminal, is not installed")
	}
	line := build(t) + " treat lower-premolar --data " + filepath.Join(t.TempDir(), "practice.db")
	x := openTerminal(t, line)
	x.shows("1 Judge> ")
	x.types("judg\t", "judge ")
	x.types("choice treat diff\t", "difficulty ")
	x.types("low\r", "The case was judged", "1 Judge> ")
	x.types("work with \t", "hand-steel-…", "rotary-heat-…")
	x.types("\x15hlep\r", "did you mean help?", "> ")
	x.types("\x1b[A\x1b[A\r", "The case was judged", "> ")
	x.types("\x03", "can be taken up here")
	<-x.done
	x = openTerminal(t, line)
	x.shows("Taken up where it was left: 2 actions.")
	x.types("record\r", "Judge the case", "Judge the case", "> ")
	x.types("quit\r", "can be taken up here")
	<-x.done
}
