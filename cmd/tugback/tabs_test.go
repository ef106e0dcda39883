package main_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserTabs opens the bench in a second tab amid a treatment: it goes on with what was done, the first
// says so and has nothing left to press, and comes back by reloading.
func TestBrowserTabs(t *testing.T) {
	program := browserTest(t)
	s := serve(t, program, filepath.Join(t.TempDir(), "practice.db"))
	first := openBrowser(t)
	first.visit(s.url)
	first.begin()
	first.press(kb.Enter)
	first.waitFor("judged")
	ctx, end := chromedp.NewContext(first.ctx)
	defer end()
	if err := chromedp.Do(ctx); err != nil { // opens the tab, for longer than the first step in it
		t.Fatal(err)
	}
	second := &tab{t: t, ctx: ctx, end: end}
	second.visit(s.url)
	second.waitFor("Taken up where it was left: 1 actions")
	const told = `document.getElementById("loading").hidden ? "" : document.getElementById("state").textContent`
	for until := time.Now().Add(answerTime); do(first, answerTime, "read the page", chromedp.Evaluate[string](told)) == ""; time.Sleep(lookTime) {
		if time.Now().After(until) {
			t.Fatal("the first tab is not told")
		}
	}
	if n := do(first, answerTime, "look for the bench", chromedp.Evaluate[int](`document.querySelectorAll("canvas").length`)); n != 0 {
		t.Error("the first tab still shows the bench")
	}
	first.visit(s.url)
	first.waitFor("Taken up where it was left: 1 actions")
}

// TestBrowserComfort holds that the settings of comfort are there when the program is started anew, at another
// address, by which a browser would have forgotten them.
func TestBrowserComfort(t *testing.T) {
	program, data := browserTest(t), filepath.Join(t.TempDir(), "practice.db")
	s := serve(t, program, data)
	b := openBrowser(t)
	b.visit(s.url)
	b.press(kb.F2)
	b.waitFor("Settings")
	b.press(kb.Tab + kb.ArrowRight)
	b.waitFor("125 %")
	for until := time.Now().Add(answerTime); len(s.get(t, "practice/comfort")) == 0; time.Sleep(lookTime) {
		if time.Now().After(until) {
			t.Fatal("the server keeps no settings")
		}
	}
	s.kill()
	s = serve(t, program, data)
	b.visit(s.url)
	b.press(kb.F2)
	b.waitFor("Settings")
	b.press(kb.Tab)
	b.waitFor("125 %")
}
