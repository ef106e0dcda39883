package main_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tugback/internal/class"
	"tugback/internal/exam"
	"tugback/internal/handin"
)

// sealedClass seals a paper for two by the program, adds it to a class by the program, and returns a token.
func sealedClass(t *testing.T, program, place, name string, more ...string) string {
	t.Helper()
	folder := t.TempDir()
	roster, out := filepath.Join(folder, "roster.csv"), filepath.Join(folder, "exam")
	if err := os.WriteFile(roster, []byte("candidate,name\nALFA,Ada\nBRAVO,Bo\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	runProgram(t, program, "paper", "seal", "upper-central-incisor", "--roster", roster, "--out", out, "--id", name, "--ask", "open-no-drop=1", "--untried", "--progress", "no")
	runProgram(t, program, append([]string{"serve", "--class", place, "--add-paper", out}, more...)...)
	text, err := os.ReadFile(filepath.Join(out, "instructor", "class.json"))
	if err != nil {
		t.Fatal(err)
	}
	var upload class.Upload
	if err := json.Unmarshal(text, &upload); err != nil || upload.Candidates[0].ID != "ALFA" {
		t.Fatalf("class.json: %v", err)
	}
	return upload.Candidates[0].Token
}

// sit runs the program at a class server and returns what it says.
func sit(t *testing.T, program, token, lines string, args ...string) (string, int) {
	t.Helper()
	cmd := exec.Command(program, append([]string{"paper", "sit"}, args...)...)
	cmd.Env = append(os.Environ(), "TUGBACK_TOKEN="+token)
	cmd.Stdin = strings.NewReader(lines)
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return string(out), cmd.ProcessState.ExitCode()
}

// judgedBy waits until a candidate's hand-in is judged and returns the verdict.
func judgedBy(t *testing.T, place, paper string) class.Live {
	t.Helper()
	c, err := class.Open(t.Context(), place, class.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for range 200 {
		live, err := c.Live(t.Context(), paper)
		if err != nil {
			t.Fatal(err)
		}
		if live[0].Handed > 0 && live[0].Pending == 0 {
			return live[0]
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the hand-in is not judged")
	return class.Live{}
}

// TestSitServer sits a sealed paper at a class server by the program: begun at one machine, gone on with at
// another from the log that the server has, handed in against a receipt and verified; with a wrong token
// nothing is had.
func TestSitServer(t *testing.T) {
	program, place := build(t), filepath.Join(t.TempDir(), "class")
	token := sealedClass(t, program, place, "mid")
	s := serveClass(t, program, place)
	first, second := t.TempDir(), t.TempDir()
	if said, code := sit(t, program, "not-the-token-at-all", "", "--server", s.url, "--folder", first); code != 1 || !strings.Contains(said, "this token is not known") {
		t.Errorf("wrong token: code %d, %s", code, said)
	}
	if said, code := sit(t, program, token, "case 1\njudge choice treat difficulty low\nleave\nquit\n", "--server", s.url, "--folder", first); code != 0 || !strings.Contains(said, "1 actions done") {
		t.Fatalf("begin: code %d, %s", code, said)
	}
	said, code := sit(t, program, token, "list\nquestion 1\na\nsubmit yes\n", "--server", s.url, "--folder", second)
	for _, want := range []string{"You go on where you were", "1 actions done", "Handed in at ", "Receipt of the server: "} {
		if code != 0 || !strings.Contains(said, want) {
			t.Fatalf("at another machine: code %d, not %q in %s", code, want, said)
		}
	}
	if live := judgedBy(t, place, "mid"); live.Verdict != class.Verified || live.Lines < 5 {
		t.Errorf("live list: %+v", live)
	}
	taken, book := filepath.Join(t.TempDir(), "taken"), filepath.Join(t.TempDir(), "book")
	runProgram(t, program, "serve", "--class", place, "--take", "mid", "--out", taken)
	runProgram(t, program, "gradebook", taken, "--out", book)
	for _, name := range []string{"candidates/ALFA.html", "xapi.json"} {
		if _, err := os.Stat(filepath.Join(book, filepath.FromSlash(name))); err != nil {
			t.Errorf("the gradebook of what was taken: %v", err)
		}
	}
	again, code := sit(t, program, token, "", "--server", s.url, "--folder", second)
	if code != 0 || !strings.Contains(again, "Receipt of the server: ") {
		t.Errorf("again: code %d, %s", code, again)
	}
	if said, code := sit(t, program, token, "", filepath.Join(first, "x.json"), "--server", s.url); code != 2 || !strings.Contains(said, "leave") {
		t.Errorf("packet and server: code %d, %s", code, said)
	}
}

// TestSitStepped sits a paper step by step on the server by the program, by typed lines, then by a plan after
// the server was killed; no file with the tooth reaches this machine.
func TestSitStepped(t *testing.T) {
	program, place := build(t), filepath.Join(t.TempDir(), "class")
	token := sealedClass(t, program, place, "two", "--stepped")
	s := serveClass(t, program, place)
	folder := t.TempDir()
	lines := "case 1\nlook\nfinish\njudge choice treat difficulty low\nleave\nquestion 1\na\nlist\nquit\n"
	said, code := sit(t, program, token, lines, "--server", s.url, "--folder", folder)
	for _, want := range []string{"stepped on the server", "The case was judged", "1 actions done", "The answer is kept", "lines refused: 1"} {
		if code != 1 || !strings.Contains(said, want) {
			t.Fatalf("code %d, not %q in %s", code, want, said)
		}
	}
	if files, err := os.ReadDir(folder); err != nil || len(files) != 0 {
		t.Errorf("%d files reached this machine, error %v", len(files), err)
	}
	if said, code := sit(t, program, token, "", "--server", s.url, "--operator", "careful"); code != 2 {
		t.Errorf("an operator treats a tooth that nobody has: code %d, %s", code, said)
	}
	s.cmd.Process.Kill()
	s.cmd.Wait()
	s = serveClass(t, program, place)
	said, code = sit(t, program, token, "list\nsubmit\nsubmit yes\n", "--server", s.url)
	for _, want := range []string{"You go on where you were", "1 actions done", "Submit for good?", "Submitted. Receipt: ", "Handed in at "} {
		if code != 0 || !strings.Contains(said, want) {
			t.Fatalf("after the kill: code %d, not %q in %s", code, want, said)
		}
	}
	if live := judgedBy(t, place, "two"); live.Verdict != class.Verified {
		t.Errorf("live list: %+v", live)
	}
	packet, err := handin.Client{Base: strings.TrimSuffix(s.url, "/"), Token: token}.Packet(t.Context())
	if err != nil || !bytes.Contains(packet, []byte(exam.PacketSchema)) || bytes.Contains(packet, []byte(`"seed":"`)) || bytes.Contains(packet, []byte("tooth:")) {
		t.Errorf("the packet handed out holds a tooth, or there is none: error %v", err)
	}
}
