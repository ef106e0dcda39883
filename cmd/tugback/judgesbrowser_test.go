package main_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// gradebookOf makes a class of three records and its gradebook, and returns the folders.
func gradebookOf(t *testing.T, program string) (records, book string) {
	t.Helper()
	records, book = filepath.Join(t.TempDir(), "in"), filepath.Join(t.TempDir(), "book")
	if err := os.Mkdir(records, 0o700); err != nil {
		t.Fatal(err)
	}
	for i, plan := range []string{"careful", "hurried", "single-cone"} {
		runProgram(t, program, "treat", "upper-central-incisor", "--plan", plan, "--seed", fmt.Sprint(i+1),
			"--record", filepath.Join(records, fmt.Sprintf("c%d.json", i+1)))
	}
	runProgram(t, program, "gradebook", records, "--out", book)
	return records, book
}

func runProgram(t *testing.T, program string, args ...string) {
	t.Helper()
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, out)
	}
}

// write sends keys to the page without waiting for it to draw.
func (b *tab) write(keys string) {
	b.t.Helper()
	for _, r := range keys {
		for _, event := range kb.Encode(r) {
			b.dispatch(event)
		}
	}
}

// judge fills the form in by keys alone as one judge does: a share for every item, the four limits of the
// exam as a whole, a grade for every candidate. It saves the entries and returns their file.
func (b *tab) judge(form, folder, name, share string) string {
	b.t.Helper()
	do(b, answerTime, "open the form", chromedp.Navigate("file://"+form))
	do(b, answerTime, "take downloads", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
			Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: folder})
		return err
	}))
	items := do(b, answerTime, "count the items", chromedp.Evaluate[int](`document.querySelectorAll("input[data-method=angoff]").length`))
	b.write(kb.Tab + name + kb.Tab + kb.Tab) // the round stays 1
	b.write(strings.Repeat(share+kb.Tab, items))
	for _, value := range []string{"50", "80", "0", "60", "5", "1", "4"} {
		b.write(value + kb.Tab)
	}
	b.write(kb.Enter)
	file := filepath.Join(folder, "judge-"+name+"-1.csv")
	for until := time.Now().Add(answerTime); ; time.Sleep(lookTime) {
		if _, err := os.Stat(file); err == nil {
			break
		}
		if time.Now().After(until) {
			b.picture("failed")
			b.t.Fatalf("%s was not saved; the form says %q", file, do(b, answerTime, "read the form",
				chromedp.Evaluate[string](`document.getElementById("said").textContent`)))
		}
	}
	said := do(b, answerTime, "read the form", chromedp.Evaluate[string](`document.getElementById("said").textContent`))
	if want := fmt.Sprintf("%d entries saved as judge-%s-1.csv.", items+7, name); said != want {
		b.t.Errorf("the form says %q, want %q", said, want)
	}
	return file
}

// TestBrowserJudges lets two judges fill in the form of a gradebook in a browser by keys alone, and holds
// that a gradebook made with what they saved shows the pass marks of three methods: by Angoff the mean of
// their estimates, since each estimated all items alike.
func TestBrowserJudges(t *testing.T) {
	program := browserTest(t)
	records, book := gradebookOf(t, program)
	b := openBrowser(t)
	folder := t.TempDir()
	form := filepath.Join(book, "judges.html")
	ann := b.judge(form, folder, "ann", "60")
	bo := b.judge(form, folder, "bo", "75")
	b.picture("judges")
	judged := filepath.Join(t.TempDir(), "judged")
	runProgram(t, program, "gradebook", records, "--out", judged, "--judges", ann, "--judges", bo)
	report, err := os.ReadFile(filepath.Join(judged, "class.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Modified Angoff, round 1, 2 judges: 67.5 %", "Hofstee, cut from 50.0 % to 80.0 %, failures from 0.0 % to 60.0 %: ",
		"Borderline regression on 3 global grades: "} {
		if !strings.Contains(string(report), want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	do(b, answerTime, "open the report", chromedp.Navigate("file://"+filepath.Join(judged, "class.html")))
	b.picture("class")
}
