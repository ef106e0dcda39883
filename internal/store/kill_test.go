package store_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tugback/internal/specimen"
	"tugback/internal/store"
)

// writerVariable names the file into which this test binary, started by a test, writes without end.
const writerVariable = "TUGBACK_TEST_WRITER"

func TestMain(m *testing.M) {
	if path := os.Getenv(writerVariable); path != "" {
		if err := writeForever(path, os.Args[1]); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// writeForever keeps one run under way after the other, numbered from first, and prints each number
// once the store has said that it is kept.
func writeForever(path, first string) error {
	s, err := store.Open(context.Background(), path)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(first)
	if err != nil {
		return err
	}
	for ; ; n++ {
		if err := s.SaveCurrent(context.Background(), numbered(n)); err != nil {
			return err
		}
		fmt.Println(n)
	}
}

// numbered returns a run under way of about the size of a real one.
func numbered(n int) []byte {
	return fmt.Appendf(nil, "%d %s", n, strings.Repeat(strconv.Itoa(n%10), 60_000))
}

// TestKilledWhileWriting kills a writer ten times at a random moment and holds that whatever it was told
// is kept is there afterwards, whole, and at most one version further.
func TestKilledWhileWriting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "practice.db")
	s := reopen(t, path)
	if _, _, err := s.Add(t.Context(), specimen.Record(t, 1)); err != nil {
		t.Fatal(err)
	}
	s.Close()
	last := 0
	for round := range 10 {
		told := killedWriter(t, path, last+1, time.Duration(5+rand.IntN(30))*time.Millisecond)
		s := reopen(t, path)
		text, err := s.Current(t.Context())
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		word, _, _ := strings.Cut(string(text), " ")
		kept, err := strconv.Atoi(word)
		if err != nil || string(text) != string(numbered(kept)) {
			t.Fatalf("round %d: what is kept is not whole", round)
		}
		if kept != told && kept != told+1 {
			t.Errorf("round %d: version %d is kept, the writer was told of %d", round, kept, told)
		}
		if list, err := s.List(t.Context()); err != nil || len(list) != 1 {
			t.Errorf("round %d: got %d records and error %v, want 1", round, len(list), err)
		}
		s.Close()
		last = kept
	}
}

// killedWriter starts a writer, kills it a while after its first version was kept, and returns the last
// version it was told is kept.
func killedWriter(t *testing.T, path string, first int, after time.Duration) int {
	t.Helper()
	cmd := exec.Command(os.Args[0], strconv.Itoa(first))
	cmd.Env = append(os.Environ(), writerVariable+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	told := 0
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if told == 0 {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
		if told, err = strconv.Atoi(lines.Text()); err != nil {
			t.Fatal(err)
		}
	}
	cmd.Wait()
	if told == 0 {
		t.Fatal("the writer kept nothing")
	}
	return told
}
