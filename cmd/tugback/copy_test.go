package main_test

import (
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserCopy serves a copy of the page as a web space does, in a folder of it and without our server: the
// bench opens, a run under way is there when the page is opened again, and the record of a finished one is a download
// that stands verification.
func TestBrowserCopy(t *testing.T) {
	program := browserTest(t)
	folder, downloads := filepath.Join(t.TempDir(), "page"), t.TempDir()
	if out, err := exec.Command(program, "page", folder).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	const place = "/school/dentistry/"
	site := httptest.NewServer(http.StripPrefix(place, http.FileServer(http.Dir(folder))))
	t.Cleanup(site.Close)
	b := openBrowser(t)
	b.forgive("status of 404") // by which the page learns that nobody keeps practice here
	if _, err := chromedp.Call(b.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: downloads}); err != nil {
		t.Fatal(err)
	}
	b.visit(site.URL + place)
	b.begin()
	b.press(kb.Enter)
	b.waitFor("judged")
	b.visit(site.URL + place)
	b.waitFor("Taken up where it was left: 1 actions")
	b.press(kb.F10)
	b.waitFor("Debrief")
	file := waitForFile(t, downloads)
	if out, err := exec.Command(program, "verify", file).CombinedOutput(); err != nil {
		t.Errorf("verify: %v\n%s", err, out)
	}
}

// waitForFile returns the first whole download in a folder.
func waitForFile(t *testing.T, folder string) string {
	t.Helper()
	for until := time.Now().Add(answerTime); time.Now().Before(until); time.Sleep(lookTime) {
		files, err := filepath.Glob(filepath.Join(folder, "*.json"))
		if err != nil {
			t.Fatal(err)
		}
		if len(files) > 0 {
			if info, err := os.Stat(files[0]); err == nil && info.Size() > 0 {
				return files[0]
			}
		}
	}
	t.Fatal("no record is offered as a download")
	return ""
}
