package main_test

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tugback/internal/scenario"
)

// preview starts the page for cases in a folder and opens it in a browser.
func preview(t *testing.T, folder string, args ...string) *tab {
	t.Helper()
	cmd := exec.Command(browserTest(t), append([]string{"preview", "--no-browser"}, args...)...)
	cmd.Dir, cmd.Stderr = folder, t.Output()
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	reader := bufio.NewReader(out)
	line, err := reader.ReadString('\n')
	url, found := strings.CutPrefix(strings.TrimSpace(line), "The case is at ")
	if err != nil || !found {
		t.Fatalf("the program printed %q, error %v", line, err)
	}
	go io.Copy(io.Discard, reader)
	b := openBrowser(t)
	do(b, answerTime, "open the page", chromedp.Navigate(url))
	return b
}

// on waits until something is true in the page.
func (b *tab) on(what, condition string) {
	b.t.Helper()
	do(b, openingTime, "wait until "+what, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(openingTime)))
}

// tabTo moves the keyboard by the Tab key alone to the element with an id.
func (b *tab) tabTo(id string) {
	b.t.Helper()
	for range 400 {
		if do(b, answerTime, "look at the focus", chromedp.Evaluate[string](`document.activeElement?.id ?? ""`)) == id {
			return
		}
		b.press(kb.Tab)
	}
	b.picture("failed")
	b.t.Fatalf("Tab never reaches %s", id)
}

// focus moves the keyboard to an element, opening what it is folded in.
func (b *tab) focus(id string) {
	b.t.Helper()
	b.on("there is "+id, fmt.Sprintf(`!!document.getElementById(%q)`, id))
	do(b, answerTime, "focus "+id, chromedp.Evaluate[bool](fmt.Sprintf(
		`(() => { const e = document.getElementById(%q); for (let d = e.closest("details"); d; d = d.parentElement.closest("details")) d.open = true; e.closest(".body")?.classList.add("all"); e.focus(); e.select?.(); return document.activeElement === e; })()`, id)))
}

// fillIn types a value into a field over what stood there, and waits for the text of the file to hold something.
func (b *tab) fillIn(id, value, holds string) {
	b.t.Helper()
	b.focus(id)
	for _, r := range value {
		for _, event := range kb.Encode(r) {
			b.dispatch(event)
		}
	}
	b.on("the text holds "+holds, fmt.Sprintf(`document.getElementById("yaml").value.includes(%q)`, holds))
}

// text returns what an element shows, or its value.
func (b *tab) text(id string) string {
	b.t.Helper()
	return do(b, answerTime, "read "+id, chromedp.Evaluate[string](fmt.Sprintf(`(() => { const e = document.getElementById(%q); return e.value ?? e.innerText; })()`, id)))
}

// drawn waits for a picture other than a known one and returns it.
func (b *tab) drawn(id, other string) string {
	b.t.Helper()
	b.on(id+" is drawn anew", fmt.Sprintf(`(() => { const i = document.getElementById(%q); return i.complete && i.naturalWidth > 0 && i.src !== %q; })()`, id, other))
	return do(b, answerTime, "read the picture's address", chromedp.Evaluate[string](fmt.Sprintf(`document.getElementById(%q).src`, id)))
}

// TestBrowserPreview makes a new case in the page by real input: fields change, tooth and marks follow, a
// fault is told at its field, what is saved passes check and has its comments, and a file that another
// program changes is taken over or shown beside the page's text.
func TestBrowserPreview(t *testing.T) {
	folder := t.TempDir()
	b := preview(t, folder, "--new", "upper-first-molar", "my-case.yaml")
	begin := time.Now()
	b.forgive("status of 409") // by which the page learns that another program wrote the file
	b.on("the marks are there", `document.getElementById("sheet").childElementCount > 0`)
	t.Logf("form, tooth and marks of a new case in %.1f s", time.Since(begin).Seconds())
	b.picture("new")
	starter := b.text("yaml")

	plate := b.drawn("plate", "")
	canals := b.text("canals")
	b.fillIn("f-tooth/canals/MB/angle", "44..46 deg", "angle: 44..46 deg       # of the bend")
	b.drawn("plate", plate)
	if now := b.text("canals"); now == canals {
		t.Errorf("the bend changed, the tooth measures as before: %s", now)
	}
	verdict := b.text("verdict")
	b.fillIn("f-rules/0/full", "<= 0.01 mm", `full: "<= 0.01 mm"`)
	b.on("the marks change", fmt.Sprintf(`document.getElementById("verdict").innerText !== %q`, verdict))

	b.fillIn("f-tooth/canals/MB/radius", "nine", "radius: nine")
	b.on("the fault is told", `document.getElementById("e-tooth/canals/MB/radius").innerText.includes("not a number") && document.getElementById("f-tooth/canals/MB/radius").getAttribute("aria-invalid") === "true" && document.querySelector("#lines .bad").innerText !== ""`)
	b.on("the tooth is called old", `!document.querySelector("#tooth .stale").hidden`)
	b.picture("fault")
	b.fillIn("f-tooth/canals/MB/radius", "9 mm", "radius: 9 mm")
	b.on("no fault is left", `document.querySelectorAll(".fault").length === 0 && document.querySelector("#tooth .stale").hidden`)

	b.fillIn("f-title", "A molar that bends late", "title: A molar that bends late")
	b.focus("after")
	before := b.drawn("plate", "")
	b.press(kb.Enter)
	b.drawn("plate", before)
	if seed := b.text("seed"); seed != "2" {
		t.Errorf("the next seed is %s, want 2", seed)
	}
	b.rename()
	b.addRules()
	b.save(t, folder, starter)
	b.elsewhere(t, folder)
}

// rename misspells a key in the text and mends it by the word that the form offers; comments stay.
func (b *tab) rename() {
	b.t.Helper()
	do(b, answerTime, "misspell a key", chromedp.Evaluate[bool](`(() => { const y = document.getElementById("yaml"), at = y.value.indexOf("lesion:") + 6; y.focus(); y.setSelectionRange(at, at); return true; })()`))
	b.press("s")
	b.on("another name is offered", `document.getElementById("rl-lesions")?.innerText === "Rename to lesion" && document.getElementById("wrong").innerText === "1 fault: show"`)
	b.focus("rl-lesions")
	b.press(kb.Enter)
	b.on("the key is renamed", `document.getElementById("yaml").value.includes("\nlesion: no\n# difficulty: moderate") && document.getElementById("wrong").hidden`)
	b.focus("w-findings")
	for _, r := range "One line" {
		for _, event := range kb.Encode(r) {
			b.dispatch(event)
		}
	}
	b.press(kb.Enter)
	b.on("Enter adds a line", `document.getElementById("yaml").value.includes("findings:\n  - One line\n") && document.activeElement.id === "w-findings" && document.activeElement.value === ""`)
}

// addRules adds a rule by the form and mends the total with the word that the fault proposes.
func (b *tab) addRules() {
	b.t.Helper()
	b.focus("a-rules")
	b.press(kb.Enter)
	b.on("the total no longer fits", `document.getElementById("e-total").innerText.includes("add up to 105")`)
	do(b, answerTime, "find the proposal", chromedp.Evaluate[bool](`(() => { const e = document.querySelector("#e-total .likely"); e.focus(); return true; })()`))
	b.press(kb.Enter)
	b.on("the total fits", `document.getElementById("yaml").value.includes("total: 105                    # check compares") && document.querySelectorAll(".fault").length === 0`)
}

// ctrlS presses Control and S.
func (b *tab) ctrlS() {
	b.t.Helper()
	control := kb.Encode([]rune(kb.Control)[0])
	b.dispatch(control[0])
	for _, event := range kb.Encode('s') {
		event.Modifiers, event.Text, event.UnmodifiedText = 2, "", ""
		b.dispatch(event)
	}
	b.dispatch(control[len(control)-1])
}

// save saves by Ctrl+S and checks what was written with the program.
func (b *tab) save(t *testing.T, folder, starter string) {
	t.Helper()
	b.ctrlS()
	b.on("it is saved", `document.getElementById("state").innerText === "saved"`)
	file := filepath.Join(folder, "my-case.yaml")
	saved, err := os.ReadFile(file)
	if err != nil || string(saved) != b.text("yaml") {
		t.Fatalf("the file is not the page's text (%v)", err)
	}
	for line := range strings.Lines(starter) {
		if _, comment, found := strings.Cut(line, "# "); found && !strings.Contains(string(saved), strings.TrimSpace(comment)) {
			t.Errorf("the comment %q is lost", strings.TrimSpace(comment))
		}
	}
	out, err := exec.Command(browserTest(t), "check", file).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "ok: ") {
		t.Errorf("check: %v\n%s", err, out)
	}
	if s, err := scenario.Load(file); err != nil || s.Title() != "A molar that bends late" || len(s.Rules()) != 7 {
		t.Errorf("got %q with %d rules, %v", s.Title(), len(s.Rules()), err)
	}
}

// elsewhere changes the file by another program, once while the page has no change of its own and once
// while it has.
func (b *tab) elsewhere(t *testing.T, folder string) {
	t.Helper()
	file := filepath.Join(folder, "my-case.yaml")
	change := func(from, to string) {
		t.Helper()
		text, err := os.ReadFile(file)
		if err == nil {
			err = os.WriteFile(file, []byte(strings.Replace(string(text), from, to, 1)), 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	plate := b.drawn("plate", "")
	change("lesion: no", "lesion: yes")
	b.on("the change is taken over", `document.getElementById("f-lesion").value === "yes" && document.getElementById("state").innerText === "saved"`)
	b.drawn("plate", plate)
	b.fillIn("f-title", "Mine", "title: Mine")
	change("lesion: yes", "lesion: no")
	b.on("both are shown", `document.getElementById("both").open && document.querySelectorAll("#mine mark").length > 0`)
	b.picture("both")
	b.focus("keep")
	b.press(kb.Enter)
	b.on("the page's text stays", `!document.getElementById("both").open && document.getElementById("f-title").value === "Mine"`)
	b.ctrlS()
	b.on("it is saved", `document.getElementById("state").innerText === "saved"`)
	if text, err := os.ReadFile(file); err != nil || !strings.Contains(string(text), "title: Mine") || !strings.Contains(string(text), "lesion: yes") {
		t.Errorf("got %s, %v", text, err)
	}
}

// TestBrowserPreviewByKeyboard begins a case from the first page by keys alone, and holds that the page fits
// every size of screen and text: nothing is wider than the screen, and every field is named.
func TestBrowserPreviewByKeyboard(t *testing.T) {
	b := preview(t, t.TempDir())
	b.on("the first page asks", `!document.getElementById("begin").hidden`)
	b.tabTo("kind")
	b.tabTo("file")
	b.press(kb.Enter)
	b.on("the form is there", `document.getElementById("fields").childElementCount > 5`)
	b.tabTo("f-name")
	b.tabTo("f-seed")
	b.press("3")
	b.on("the text follows", `/^seed: \d*3/m.test(document.getElementById("yaml").value)`)
	for _, c := range []struct {
		width, height int64
		text          int
	}{{1440, 900, 100}, {1024, 640, 100}, {820, 1180, 100}, {1440, 900, 200}, {1024, 640, 200}, {400, 800, 100}} {
		name := fmt.Sprintf("%dx%d-%d", c.width, c.height, c.text)
		if _, err := chromedp.Call(b.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: c.width, Height: c.height, DeviceScaleFactor: 1}); err != nil {
			t.Fatal(err)
		}
		for _, pane := range []string{"form", "text", "tooth", "marks", "gallery"} {
			wide := do(b, answerTime, "show "+pane, chromedp.Evaluate[int](fmt.Sprintf(`(() => {
				document.documentElement.style.fontSize = "%d%%";
				pane(%q);
				for (const d of document.querySelectorAll("#fields details")) d.open = true;
				const over = [document.documentElement, ...document.querySelectorAll("main > section")].map((e) => e.scrollWidth - e.clientWidth);
				return Math.max(...over);
			})()`, c.text, pane)))
			if wide > 1 {
				b.picture(name + "-" + pane)
				t.Errorf("%s, %s: %d px wider than there is room", name, pane, wide)
			}
		}
		b.picture(name)
	}
	unnamed := do(b, answerTime, "find fields without name", chromedp.Evaluate[string](
		`[...document.querySelectorAll("input, select, textarea")].filter((e) => !e.labels?.length && !e.getAttribute("aria-label")).map((e) => e.id).join(" ")`))
	if unnamed != "" {
		t.Errorf("without a label: %s", unnamed)
	}
}
