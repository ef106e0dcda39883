package main_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tugback/internal/class"
)

// TestBrowserExam sits a sealed paper in the page that a class server serves, by real keys: the paper comes by the
// token in the address, the tab is closed in the middle and the sitting goes on in another, it is handed in
// with the server's receipt, and the server verifies it.
func TestBrowserExam(t *testing.T) {
	program, place := browserTest(t), filepath.Join(t.TempDir(), "class")
	token := sealedClass(t, program, place, "page")
	s := startClass(t, program, place)
	address := strings.TrimSuffix(s.url, "/") + "/#token=" + token
	b := openBrowser(t)
	b.forgive("404") // a class server keeps no practice, and no log before the first line
	b.visit(address)
	b.choose("Begin: the clock starts")
	b.waitFor("The clock runs.")
	b.picture("exam-desk")
	b.choose("Treat this case")
	b.press("1")
	b.choose("Judge the case")
	b.waitFor("The case was judged")
	do(b, answerTime, "leave the page", chromedp.Navigate("about:blank"))
	b.visit(address)
	b.choose("Go on where it stood")
	b.waitFor("The clock runs.")
	b.to("1. Upper right central incisor with a dead pulp, 1 action")
	b.handIn()
	b.waitFor("The class server has it and its receipt is the same.")
	b.picture("exam-receipt")
	if live := judgedBy(t, place, "page"); live.Verdict != class.Verified || live.Lines < 5 {
		t.Errorf("live list: %+v", live)
	}
}

// TestBrowserStepped sits, by real keys in the page of a class server, a paper that the server steps: no tooth of it
// comes to the page. The server is killed in the middle; the page says that it does not answer, nothing is lost, and
// at another process the sitting goes on where it was, is handed in against the server's receipt, and verified.
func TestBrowserStepped(t *testing.T) {
	program, place := browserTest(t), filepath.Join(t.TempDir(), "class")
	token := sealedClass(t, program, place, "stepped", "--stepped")
	s := startClass(t, program, place)
	b := openBrowser(t)
	b.forgive("404", "503", "ERR_CONNECTION", "ERR_EMPTY_RESPONSE", "ERR_SOCKET_NOT_CONNECTED")
	b.visit(strings.TrimSuffix(s.url, "/") + "/#token=" + token)
	b.choose("Begin: the clock starts")
	b.waitFor("The clock runs.")
	b.frames(20)
	b.picture("stepped-desk")
	b.choose("Treat this case")
	b.press("1")
	b.choose("Judge the case")
	b.waitFor("The case was judged")
	b.choose("Film")
	b.choose("Take the film")
	b.waitFor("Film 1 of 1")
	b.frames(30)
	b.picture("stepped-film")
	b.press("x")
	b.frames(5)
	b.picture("stepped-case")
	if err := s.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	b.press("2")
	b.choose("Place the dam")
	b.waitFor("does not answer")
	b.picture("stepped-unanswered")
	s = startClass(t, program, place)
	b.visit(strings.TrimSuffix(s.url, "/") + "/#token=" + token)
	b.choose("Go on where it stood")
	b.waitFor("The clock runs.")
	b.to("1. Upper right central incisor with a dead pulp, 2 actions")
	b.choose("Go on with this case")
	b.press("2")
	b.choose("Place the dam")
	b.waitFor("The dam is on")
	b.press("3")
	b.choose("Drill")
	b.frames(5)
	b.picture("stepped-open")
	b.press(kb.Escape)
	b.handIn()
	b.waitFor("The class server has your sitting and keeps it.")
	b.frames(5)
	b.picture("stepped-receipt")
	if live := judgedBy(t, place, "stepped"); live.Verdict != class.Verified || live.Lines < 6 {
		t.Errorf("live list: %+v", live)
	}
}

// handIn answers the only question of a sitting and hands it in.
func (b *tab) handIn() {
	b.t.Helper()
	b.choose("Question 1")
	b.waitFor("Question 1 of 1")
	b.press("a" + kb.Enter)
	b.waitFor("All questions are answered.")
	b.choose("Hand in")
	b.choose("Yes, hand in")
}
