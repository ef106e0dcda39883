package main_test

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/rehearsal"
	"tugback/internal/specimen"
	"tugback/internal/store"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// How long the window is given to draw when it says nothing, and after a notch of the wheel, which at the
// end of a column changes nothing.
const (
	settled  = 300 * time.Millisecond
	scrolled = 5 * time.Second
)

// Size of the window, px.
const (
	wide = 1280
	high = 800
)

// window is the program in a window, given real events of X; it is a rehearsal.Host.
type window struct {
	t        *testing.T
	x        *screen
	practice *store.Store
	folder   string
	process  *exec.Cmd

	mu   sync.Mutex
	said []string
}

// openWindow builds and starts the program with an empty practice.
func openWindow(t *testing.T) *window {
	t.Helper()
	if os.Getenv("TUGBACK_WINDOW") == "" || os.Getenv("DISPLAY") == "" {
		t.Skip("takes minutes and a display: TUGBACK_WINDOW=1 xvfb-run -s '-screen 0 1280x800x24' go test ./cmd/tugback-desk")
	}
	folder := t.TempDir()
	program, practice := filepath.Join(folder, "desk"), filepath.Join(folder, "practice.db")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	w := &window{t: t, folder: folder}
	var err error
	if w.practice, err = store.Open(context.Background(), practice); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.practice.Close() })
	t.Cleanup(w.kill)
	return w
}

// start starts the program with files to open.
func (w *window) start(files ...string) {
	w.t.Helper()
	cmd := exec.Command(filepath.Join(w.folder, "desk"), append([]string{"-practice", filepath.Join(w.folder, "practice.db"), "-say"}, files...)...)
	cmd.Env = append(os.Environ(), "HOME="+w.folder, "XDG_CONFIG_HOME="+w.folder)
	cmd.Stderr = w.t.Output()
	out, err := cmd.StdoutPipe()
	if err != nil {
		w.t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		w.t.Fatal(err)
	}
	w.process = cmd
	go w.listen(bufio.NewScanner(out))
	w.x = openScreen(w.t)
	w.x.place("tugback", wide, high)
}

// kill kills the program as it stands.
func (w *window) kill() {
	if w.process != nil {
		w.process.Process.Kill()
		w.process.Wait()
		w.process = nil
	}
}

// listen keeps what the window says.
func (w *window) listen(lines *bufio.Scanner) {
	for lines.Scan() {
		w.mu.Lock()
		w.said = append(w.said, lines.Text())
		w.mu.Unlock()
	}
}

func (w *window) KeyDown(key string) { w.t.Helper(); w.x.key(key, true) }

func (w *window) KeyUp(key string) { w.t.Helper(); w.x.key(key, false) }

func (w *window) Press(x, y float64) { w.t.Helper(); w.x.move(x, y); w.x.button(1, true) }

func (w *window) Release(x, y float64) { w.t.Helper(); w.x.move(x, y); w.x.button(1, false) }

func (w *window) Wheel(x, y float64, notches int) {
	w.t.Helper()
	w.x.move(x, y)
	button := byte(5)
	if notches < 0 {
		notches, button = -notches, 4
	}
	for range notches {
		before := w.x.picture(wide, high)
		w.x.button(button, true)
		w.x.button(button, false)
		for until := time.Now().Add(scrolled); time.Now().Before(until) && w.x.picture(wide, high) == before; {
			time.Sleep(20 * time.Millisecond) // it turns where the bench last saw the pointer, so this must not move on
		}
	}
}

func (w *window) Settle() { time.Sleep(settled) }

func (w *window) Heard() (last string, count int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return strings.Join(w.said, "\n"), len(w.said)
}

func (w *window) Actions() []treatment.Action {
	w.t.Helper()
	text, err := w.practice.Current(context.Background())
	if err != nil {
		w.t.Fatal(err)
	}
	var run struct{ Actions []treatment.Action }
	if err := json.Unmarshal(text, &run); len(text) > 0 && err != nil {
		w.t.Fatal(err)
	}
	return run.Actions
}

// record returns the first record of the practice.
func (w *window) record() attempt.Record {
	w.t.Helper()
	for until := time.Now().Add(10 * time.Second); time.Now().Before(until); time.Sleep(100 * time.Millisecond) {
		data, err := w.practice.Record(context.Background(), 1)
		if err != nil {
			continue
		}
		record, err := attempt.Decode(data)
		if err != nil {
			w.t.Fatal(err)
		}
		return record
	}
	w.t.Fatal("no record was kept")
	return attempt.Record{}
}

// TestWindow treats the upper lateral incisor in the window, from the shelf to the debrief, by real key
// events with the list of keys that the test of package bench keeps; the record that is then in the
// practice runs again to the same digest.
func TestWindow(t *testing.T) {
	w := openWindow(t)
	w.start()
	list, err := os.ReadFile("../../testdata/keys/upper-lateral-incisor.txt")
	if err != nil {
		t.Fatal(err)
	}
	r := rehearsal.New(t, w, scenarios.Files, false, wide, high)
	r.Incisor(string(list))
	if r.Screen() != bench.DebriefScreen {
		t.Fatalf("the treatment ends on the %s, want the debrief", r.Screen())
	}
	checkRecord(t, w.record(), "upper-lateral-incisor", "keyboard")
}

// TestWindowMouse treats the lower first molar with real events of the mouse alone.
func TestWindowMouse(t *testing.T) {
	w := openWindow(t)
	w.start()
	r := rehearsal.New(t, w, scenarios.Files, false, wide, high)
	r.Molar()
	if r.Screen() != bench.DebriefScreen {
		t.Fatalf("the treatment ends on the %s, want the debrief", r.Screen())
	}
	checkRecord(t, w.record(), "lower-first-molar", "mouse")
}

// checkRecord runs a record again and looks that it is a whole treatment of a case.
func checkRecord(t *testing.T, record attempt.Record, name, by string) {
	t.Helper()
	run := specimen.Treat(t, specimen.Seeded(t, name, record.Seed), record.Actions)
	if got := run.Close().Digest; got != record.Digest {
		t.Errorf("run again the digest is %s, want %s", got, record.Digest)
	}
	if lacking := rehearsal.Lacking(record.Actions); len(lacking) > 0 || record.Scenario.Name != name {
		t.Errorf("the treatment of %s lacks %v", record.Scenario.Name, lacking)
	}
	t.Logf("%s by %s: %d actions, %.1f of %.0f points, digest %s", name, by, len(record.Actions), record.Marks.Total, record.Marks.Available, record.Digest[:12])
}
