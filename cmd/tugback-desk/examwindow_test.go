package main_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tugback/internal/exam"
	"tugback/internal/specimen"
)

// tap presses a key and waits until the window says something that holds a text.
func (w *window) tap(key, want string) string {
	w.t.Helper()
	w.Settle()
	_, before := w.Heard()
	w.KeyDown(key)
	time.Sleep(50 * time.Millisecond)
	w.KeyUp(key)
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(50 * time.Millisecond) {
		w.mu.Lock()
		said := strings.Join(w.said[min(before, len(w.said)):], "\n")
		w.mu.Unlock()
		if said != "" && strings.Contains(said, want) {
			return said
		}
	}
	all, _ := w.Heard()
	w.t.Fatalf("%s: the window does not say %q but\n%s", key, want, all)
	return ""
}

// tabTo gives the keyboard to a control by what is said of it.
func (w *window) tabTo(label string) {
	w.t.Helper()
	for range 40 {
		if strings.HasPrefix(w.tap("Tab", ""), label) {
			return
		}
	}
	w.t.Fatalf("the keyboard does not reach %q", label)
}

// sealed writes a candidate's packet of one case into a folder.
func sealed(t *testing.T, folder string) (exam.Paper, string) {
	t.Helper()
	paper := specimen.Seal(t, exam.Paper{ID: "window-1", Title: "A sitting in the window", Cases: specimen.Cases(t, "upper-central-incisor"),
		Terms: exam.Terms{LimitS: 3600, Attempts: 1}})
	path := filepath.Join(folder, exam.PacketFile("ALFA"))
	if err := os.WriteFile(path, specimen.Packet(t, paper, "ALFA"), 0o600); err != nil {
		t.Fatal(err)
	}
	return paper, path
}

// TestWindowExam sits a paper in the window by real keys: it begins, treats, is killed, goes on from the kept
// log, and hands in; the export is on the disk and the examiner verifies it.
func TestWindowExam(t *testing.T) {
	w := openWindow(t)
	paper, packet := sealed(t, w.folder)
	w.start(packet)
	w.tap("Enter", "The clock runs.")
	w.tap("Enter", "Upper right central incisor")
	w.tap("1", "Judge")
	w.tap("Enter", "The case was judged")
	w.tap("2", "Isolate")
	w.tap("Enter", "The dam is on tooth 11")
	w.kill()
	w.start(packet)
	w.tap("Enter", "The clock runs.")
	w.tabTo("1. Upper right central incisor with a dead pulp, 2 actions")
	w.tabTo("Hand in")
	w.tap("Enter", "Cases not begun: 0")
	w.tabTo("Yes, hand in")
	w.tap("Enter", "")
	var files []string
	for until := time.Now().Add(10 * time.Second); len(files) == 0 && time.Now().Before(until); time.Sleep(100 * time.Millisecond) {
		files, _ = filepath.Glob(filepath.Join(w.folder, "exams", "handed-in", "*.sitting.json"))
	}
	if len(files) != 1 {
		t.Fatalf("the export is not kept: %v", files)
	}
	export, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	v := specimen.Verify(t, paper, export)
	if n := len(v.Cases[0].Run.Actions()); n != 2 {
		t.Errorf("the export has %d actions, want 2", n)
	}
	t.Logf("verified: %.1f of %.0f points, receipt %s", v.Points, v.Available, exam.Spoken(export))
}
