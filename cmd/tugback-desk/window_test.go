package main_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/scenario"
	"tugback/internal/store"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// Times of a finger: how long it is on a key, and how long it waits for the bench to say something.
const (
	held     = "0.05"
	patience = 4 * time.Second
	pause    = 60 * time.Millisecond
)

// keysyms are the names X knows the keys of the list by.
func keysyms() map[string]string {
	return map[string]string{"Enter": "Return", "Space": "space", "PageUp": "Prior", "PageDown": "Next",
		"[": "bracketleft", "]": "bracketright", "-": "minus", "=": "equal"}
}

// TestWindow treats the upper lateral incisor in the window, from the shelf to the debrief, by real key
// events with the list of keys that the test of package bench keeps; the record that is then in the
// practice runs again to the same digest.
func TestWindow(t *testing.T) {
	if os.Getenv("TUGBACK_WINDOW") == "" || os.Getenv("DISPLAY") == "" {
		t.Skip("takes minutes and a display: TUGBACK_WINDOW=1 xvfb-run -s '-screen 0 1280x800x24' go test ./cmd/tugback-desk")
	}
	if _, err := exec.LookPath("xdotool"); err != nil {
		t.Skip("not checked: xdotool is not installed")
	}
	folder := t.TempDir()
	program := filepath.Join(folder, "desk")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	practice := filepath.Join(folder, "practice.db")
	window := exec.Command(program, "-practice", practice, "-say")
	window.Env = append(os.Environ(), "HOME="+folder, "XDG_CONFIG_HOME="+folder)
	out, err := window.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := window.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { window.Process.Kill(); window.Wait() }()
	said := make(chan string, 1000)
	go func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			said <- lines.Text()
		}
	}()
	tool(t, "search --sync --onlyvisible --name tugback windowmove 0 0 windowsize 1280 800 mousemove 640 795 windowfocus sleep 2")
	for _, key := range keys(t) {
		press(t, key, said)
	}
	checkRecord(t, waitForRecord(t, practice))
}

// keys returns the list of keys, as X names them.
func keys(t *testing.T) []string {
	t.Helper()
	list, err := os.ReadFile("../../testdata/keys/upper-lateral-incisor.txt")
	if err != nil {
		t.Fatal(err)
	}
	out := strings.Fields(string(list))
	names := keysyms()
	for i, key := range out {
		plain, shift := strings.CutPrefix(key, "+")
		if name, ok := names[plain]; ok {
			plain = name
		}
		out[i] = plain
		if shift {
			out[i] = "shift+" + plain
		}
	}
	return out
}

// press presses a key and waits until the bench has said what came of it.
func press(t *testing.T, key string, said chan string) {
	t.Helper()
	for len(said) > 0 {
		<-said
	}
	plain, shift := strings.CutPrefix(key, "shift+")
	script := fmt.Sprintf("keydown %s sleep %s keyup %s", plain, held, plain)
	if shift {
		script = "keydown shift " + script + " keyup shift"
	}
	tool(t, script)
	select {
	case <-said:
	case <-time.After(patience):
	}
	time.Sleep(pause) // for what else it says: two presses of one key within a frame would be one
}

// tool has xdotool do a script.
func tool(t *testing.T, script string) {
	t.Helper()
	cmd := exec.Command("xdotool", "-")
	cmd.Stdin = strings.NewReader(script + "\n")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("xdotool: %v\n%s", err, out)
	}
}

// waitForRecord returns the first record of the practice.
func waitForRecord(t *testing.T, path string) []byte {
	t.Helper()
	for range 100 {
		time.Sleep(100 * time.Millisecond)
		s, err := store.Open(context.Background(), path)
		if err != nil {
			continue
		}
		data, err := s.Record(context.Background(), 1)
		s.Close()
		if err == nil {
			return data
		}
	}
	t.Fatal("no record was kept")
	return nil
}

// checkRecord runs a record again.
func checkRecord(t *testing.T, data []byte) {
	t.Helper()
	record, err := attempt.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	sc, err := scenario.LoadFS(scenarios.Files, "upper-lateral-incisor.yaml")
	if err != nil {
		t.Fatal(err)
	}
	kase, err := sc.Case(record.Seed)
	if err != nil {
		t.Fatal(err)
	}
	run, err := attempt.Treat(attempt.Paper{Case: kase, Marker: sc.Marker()}, record.Actions)
	if err != nil {
		t.Fatal(err)
	}
	if got := run.Close().Digest; got != record.Digest {
		t.Errorf("run again the digest is %s, want %s", got, record.Digest)
	}
	did := map[treatment.Kind]bool{}
	for _, a := range record.Actions {
		did[a.Do] = true
	}
	for _, kind := range []treatment.Kind{treatment.Isolate, treatment.Open, treatment.SetLength, treatment.Work, treatment.Irrigate,
		treatment.Fit, treatment.Fill, treatment.Seal, treatment.Restore, treatment.Review} {
		if !did[kind] {
			t.Errorf("the treatment lacks %s", kind)
		}
	}
	t.Logf("%d actions, %.1f of %.0f points", len(record.Actions), record.Marks.Total, record.Marks.Available)
}
