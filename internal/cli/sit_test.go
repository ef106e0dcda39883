package cli_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"tugback/internal/exam"
	"tugback/internal/handin"
)

// run runs the program and returns what it said.
func run(t *testing.T, args ...string) (out string, code int) {
	t.Helper()
	said, err := exec.Command("tugback", args...).CombinedOutput()
	if exit, failed := err.(*exec.ExitError); failed { //nolint:errorlint // as Cmd.Wait returns it
		return string(said), exit.ExitCode()
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(said), 0
}

// sealedPaper seals a paper of one incisor for one candidate and returns its folder.
func sealedPaper(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	roster := filepath.Join(folder, "roster.csv")
	if err := os.WriteFile(roster, []byte("candidate\nALFA\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	paper := filepath.Join(folder, "exam")
	if out, code := run(t, "paper", "seal", "upper-central-incisor", "--roster", roster, "--out", paper, "--untried", "--ask", "open=2"); code != 0 {
		t.Fatal(out)
	}
	return paper
}

// A sitting that is killed in the midst of an action, several times, loses nothing that was kept, and ends
// as one that was not killed.
func TestSittingKilled(t *testing.T) {
	paper := sealedPaper(t)
	packet := filepath.Join(paper, "candidates", "ALFA.packet.json")
	log := filepath.Join(paper, "candidates", "ALFA.1.log.jsonl")
	lines := func() int {
		text, _ := os.ReadFile(log)
		return bytes.Count(text, []byte{'\n'})
	}
	for _, until := range []int{12, 40} {
		cmd := exec.Command("tugback", "paper", "sit", packet, "--operator", "careful", "--guess")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		for deadline := time.Now().Add(time.Minute); lines() < until && time.Now().Before(deadline); {
			time.Sleep(time.Millisecond)
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait() // it was killed
	}
	before := lines()
	if out, code := run(t, "paper", "sit", packet, "--operator", "careful", "--guess"); code != 0 || before < 40 {
		t.Fatalf("after %d lines: %s", before, out)
	}
	straight := t.TempDir()
	if out, code := run(t, "paper", "sit", packet, "--operator", "careful", "--guess", "--folder", straight); code != 0 {
		t.Fatal(out)
	}
	killed := readExport(t, filepath.Join(paper, "candidates", "ALFA.1.sitting.json"))
	whole := readExport(t, filepath.Join(straight, "ALFA.1.sitting.json"))
	if killed.Cases[0].Digest != whole.Cases[0].Digest || fmt.Sprint(killed.Answers) != fmt.Sprint(whole.Answers) {
		t.Error("the killed sitting ended otherwise than the other")
	}
	if out, code := run(t, "verify", filepath.Join(paper, "candidates")); code != 0 || !strings.Contains(out, "1 verified, 0 refused") {
		t.Error(out)
	}
}

func readExport(t *testing.T, name string) exam.Export {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exam.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// On a disk that fills up the action is not done and the reason told; once there is room the sitting goes on.
func TestSittingDiskFull(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("not checked: only root on Linux can mount a disk in memory")
	}
	paper := sealedPaper(t)
	packet := filepath.Join(paper, "candidates", "ALFA.packet.json")
	disk := filepath.Join(t.TempDir(), "disk")
	if err := os.Mkdir(disk, 0o700); err != nil {
		t.Fatal(err)
	}
	mount := func(options string) bool {
		out, err := exec.Command("mount", "-t", "tmpfs", "-o", options, "tmpfs", disk).CombinedOutput()
		if err != nil {
			t.Logf("%s", out)
		}
		return err == nil
	}
	if !mount("size=16k") {
		t.Skip("not checked: no disk in memory can be mounted here")
	}
	t.Cleanup(func() { _ = exec.Command("umount", "-l", disk).Run() })
	sit := []string{"paper", "sit", packet, "--operator", "careful", "--guess", "--folder", disk}
	out, code := run(t, sit...)
	if code != 1 || !strings.Contains(out, "no space left on device") || !strings.Contains(out, "done and kept") {
		t.Fatalf("exit code %d: %s", code, out)
	}
	if !mount("remount,size=4m") {
		t.Fatal("the disk cannot be made larger")
	}
	if out, code = run(t, sit...); code != 0 {
		t.Fatal(out)
	}
	if out, code = run(t, "verify", filepath.Join(disk, "ALFA.1.sitting.json"), "--paper", filepath.Join(paper, "instructor", "paper.json")); code != 0 {
		t.Error(out)
	}
}

// A receipt of a class server is for the bytes of one sitting and signed by the server's key.
func TestVerifyReceipt(t *testing.T) {
	paper := sealedPaper(t)
	packet := filepath.Join(paper, "candidates", "ALFA.packet.json")
	if out, code := run(t, "paper", "sit", packet, "--guess"); code != 0 {
		t.Fatal(out)
	}
	file := filepath.Join(paper, "candidates", "ALFA.1.sitting.json")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	e := readExport(t, file)
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{3}, ed25519.SeedSize))
	good := handin.Receipt{Paper: e.Paper, Candidate: e.Candidate, Attempt: "1", Digest: exam.Digest(data), Received: 1_893_456_000, Key: exam.PublicKey(key)}
	other := good
	other.Digest = exam.Digest([]byte("other"))
	unsigned := good
	for _, c := range []struct {
		name    string
		receipt handin.Receipt
		sign    bool
		key     string
		code    int
		says    string
	}{
		{"good", good, true, exam.PublicKey(key), 0, "received  2030-01-01 00:00:00 UTC, signed by the key of the class"},
		{"key not told", good, true, "", 0, "the key that the receipt names itself"},
		{"other key", good, true, strings.Repeat("0", 64), 3, "not signed by this class"},
		{"other sitting", other, true, "", 3, "is for another sitting"},
		{"unsigned", unsigned, false, "", 3, "not signed by this class"},
	} {
		if c.sign {
			text, err := json.Marshal(c.receipt)
			if err != nil {
				t.Fatal(err)
			}
			c.receipt.Signature = hex.EncodeToString(ed25519.Sign(key, text))
		}
		text, err := json.Marshal(c.receipt)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), "receipt.json")
		if err := os.WriteFile(name, text, 0o600); err != nil {
			t.Fatal(err)
		}
		args := []string{"verify", file, "--receipt", name}
		if c.key != "" {
			args = append(args, "--server-key", c.key)
		}
		if out, code := run(t, args...); code != c.code || !strings.Contains(out, c.says) {
			t.Errorf("%s: exit code %d, %s", c.name, code, out)
		}
	}
}

// Every example of a refusal is refused for its reason when all are verified at once beside the sitting they
// were forged from; two need more than the file itself.
func TestVerifyRefusals(t *testing.T) {
	from := "../exam/testdata/"
	out, code := run(t, "verify", from+"honest.json", from+"refusals", "--paper", from+"paper-quiz.json", "--paper", from+"paper-case.json")
	if code != 3 {
		t.Errorf("exit code %d, want 3", code)
	}
	flat := strings.Join(strings.Fields(out), " ")
	for _, c := range exam.Codes() {
		if want := fmt.Sprintf("refused: %s.json: %s:", c, c); c != exam.TooLarge && c != exam.ServerLog && !strings.Contains(flat, want) {
			t.Errorf("does not say %q", want)
		}
	}
	server := []string{"verify", from + "refusals/server-log.json", "--paper", from + "paper-quiz.json", "--server-log", from + "server-log.jsonl"}
	if out, code := run(t, server...); code != 3 || !strings.Contains(out, "server-log: line 2") {
		t.Errorf("exit code %d, %s", code, out)
	}
	if out, code := run(t, "verify", from+"refusals/other-engine.json", "--paper", from+"paper-quiz.json"); code != 4 {
		t.Errorf("other engine: exit code %d, want 4: %s", code, out)
	}
}
