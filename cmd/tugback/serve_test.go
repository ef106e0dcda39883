package main_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tugback/internal/store"
)

// build builds the program as a person's go run does and returns its file.
func build(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "tugback.exe")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return program
}

// served is the program serving the bench.
type served struct {
	url  string
	cmd  *exec.Cmd
	said strings.Builder // what it printed after the address
	done chan struct{}   // closed when it has ended
}

// serve starts the program on a file of practice and waits for its address; the first time, the page is
// built before.
func serve(t *testing.T, program, data string) *served {
	t.Helper()
	s := &served{cmd: exec.Command(program, "--no-browser", "--data", data), done: make(chan struct{})}
	s.cmd.Stderr = t.Output()
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.kill)
	reader := bufio.NewReader(out)
	line, err := reader.ReadString('\n')
	url, found := strings.CutPrefix(line, "The bench is at ")
	if err != nil || !found {
		t.Fatalf("the program printed %q, error %v", line, err)
	}
	s.url = strings.TrimSpace(url)
	go func() {
		io.Copy(&s.said, reader)
		s.cmd.Wait()
		close(s.done)
	}()
	return s
}

// kill ends the program without a warning.
func (s *served) kill() {
	s.cmd.Process.Kill()
	<-s.done
}

// get returns what the server answers.
func (s *served) get(t *testing.T, path string) []byte {
	t.Helper()
	client := http.Client{Timeout: 10 * time.Second}
	answer, err := client.Get(s.url + path)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode >= 300 {
		t.Fatalf("%s: status %d, error %v", path, answer.StatusCode, err)
	}
	return data
}

// list returns the kept records.
func (s *served) list(t *testing.T) (entries []store.Entry) {
	t.Helper()
	if err := json.Unmarshal(s.get(t, "practice"), &entries); err != nil {
		t.Fatal(err)
	}
	return entries
}

// TestInterrupt holds that the program ends with exit code 0 when it is interrupted, and that what was
// kept is there the next time.
func TestInterrupt(t *testing.T) {
	program, data := browserTest(t), filepath.Join(t.TempDir(), "practice.db")
	for round, want := range []string{"", `{"round":0}`} {
		s := serve(t, program, data)
		if got := string(s.get(t, "practice/current")); got != want {
			t.Errorf("round %d: the run under way is %q, want %q", round, got, want)
		}
		request, err := http.NewRequest(http.MethodPut, s.url+"practice/current", strings.NewReader(fmt.Sprintf(`{"round":%d}`, round)))
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Origin", strings.TrimSuffix(s.url, "/"))
		if answer, err := http.DefaultClient.Do(request); err != nil || answer.StatusCode != http.StatusNoContent {
			t.Fatalf("round %d: answer %v, error %v", round, answer, err)
		}
		if err := s.cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		select {
		case <-s.done:
		case <-time.After(10 * time.Second):
			t.Fatal("it does not end")
		}
		if code := s.cmd.ProcessState.ExitCode(); code != 0 {
			t.Errorf("round %d: exit code %d", round, code)
		}
		if !strings.Contains(s.said.String(), data) {
			t.Errorf("round %d: it printed %q, which does not name the file of practice", round, s.said.String())
		}
	}
}
