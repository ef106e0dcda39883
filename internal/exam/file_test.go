package exam_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tugback/internal/exam"
)

func TestFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.jsonl")
	f := must(exam.CreateFile(path))
	must(0, f.Append([][]byte{[]byte("one"), []byte("two")}))
	if _, err := exam.CreateFile(path); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a second log under one name: %v", err)
	}
	other, lines, err := exam.OpenFile(path)
	if err != nil || len(lines) != 2 || string(lines[1]) != "two" {
		t.Fatalf("got %q, %v", lines, err)
	}
	must(0, other.Append([][]byte{[]byte("three")}))
	if err := f.Append([][]byte{[]byte("four")}); err == nil || !strings.Contains(err.Error(), "another program") {
		t.Errorf("two programs write to one log: %v", err)
	}
	must(0, errors.Join(f.Close(), other.Close()))
	if got := string(must(os.ReadFile(path))); got != "one\ntwo\nthree\n" {
		t.Errorf("the file holds %q", got)
	}
}

// A line torn anywhere is cut off, and the sitting goes on.
func TestTornLine(t *testing.T) {
	d := sealed(t, nil)
	packet := d.packet(t, "ALFA")
	path := filepath.Join(t.TempDir(), "log.jsonl")
	f := must(exam.CreateFile(path))
	sit(t, packet, newWatch(), f, 2)
	must(0, f.Close())
	whole := must(os.ReadFile(path))
	for cut := len(whole) - 1; cut > len(whole)-400; cut -= 37 {
		must(0, os.WriteFile(path, whole[:cut], 0o600))
		f, lines, err := exam.OpenFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := must(exam.Resume(packet, lines, exam.Options{Clock: newWatch().read, Log: f}))
		must(d.examiner(t).Verify(must(s.Submit())))
		must(0, f.Close())
	}
}

// On a device that is always full nothing begins and the reason is told.
func TestFileFull(t *testing.T) {
	file, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("this system has no device that is always full: ", err)
	}
	defer file.Close()
	_, err = exam.Begin(sealed(t, nil).packet(t, "ALFA"), 1, exam.Options{Clock: newWatch().read, Log: exam.FileOn(file)})
	if !errors.Is(err, exam.ErrNotKept) || !strings.Contains(err.Error(), "space") {
		t.Errorf("got %v, want ErrNotKept for want of space", err)
	}
}
