package ui_test

import (
	"math"
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/quiz"
	"tugback/internal/ui"
)

// handheld opens a case on a tablet held upright and returns a finger on it.
func handheld(t *testing.T, name string) mouse {
	t.Helper()
	s := opened(t, name)
	s.SetComfort(bench.Settings{TextPercent: 150, Palette: "light"})
	g := ui.New(ui.Options{Session: s})
	g.SetSize(820, 1180, 1)
	return mouse{t, s, g, true}
}

// swipe puts the finger down, moves it and lifts it, and returns how far the column under it was scrolled.
func (m mouse) swipe(x, y, dx, dy float64) float64 {
	m.t.Helper()
	at := func() (float64, int) {
		for i, c := range m.g.Sheet().Columns {
			if c.Box.Contains(x, y) {
				return c.Scroll, i
			}
		}
		m.t.Fatal("there is no column under the finger")
		return 0, 0
	}
	before, _ := at()
	m.point(x, y, true)
	for k := 1; k <= 10; k++ {
		m.point(x+dx*float64(k)/10, y+dy*float64(k)/10, true)
	}
	m.point(x+dx, y+dy, false)
	after, _ := at()
	return after - before
}

// TestFingerScrolls: a finger that goes up or down scrolls the column as far as it goes, whatever it was put on,
// and presses and slides nothing; one that goes across slides a slider; a tap sets it.
func TestFingerScrolls(t *testing.T) {
	m := handheld(t, "lower-premolar")
	m.s.Type(bench.Stroke{Key: "3"})
	was := m.value("field:depth")
	x, y := m.spot("field:depth", 2)
	if got := m.swipe(x, y, 2, -60); math.Abs(got-60) > 1 {
		t.Errorf("60 px on a slider scroll %.1f px", got)
	}
	if now := m.value("field:depth"); now != was {
		t.Errorf("scrolling slides from %s to %s", was, now)
	}
	x, y = m.spot("field:deroofed", 0)
	before := m.value("field:deroofed")
	m.swipe(x, y, 0, -40)
	if m.value("field:deroofed") != before {
		t.Error("scrolling presses what is under the finger")
	}
	x, y = m.spot("field:depth", 2)
	if got := m.swipe(x, y, 60, 6); got != 0 {
		t.Errorf("sliding scrolls %.1f px", got)
	}
	slid := m.value("field:depth")
	if slid == was {
		t.Error("a finger across a slider does not slide it")
	}
	x, y = m.spot("field:depth", 2)
	m.point(x-30, y, true)
	m.point(x-30, y, false)
	if m.value("field:depth") == slid {
		t.Error("a tap does not set a slider")
	}
}

// TestTrackpad: many small turns of the wheel scroll as far as one large one, and nothing beyond the end.
func TestTrackpad(t *testing.T) {
	m := handheld(t, "lower-premolar")
	m.s.Type(bench.Stroke{Key: "6"})
	x, y := m.spot("family:", 0)
	column := -1
	for i, c := range m.g.Sheet().Columns {
		if c.Box.Contains(x, y) {
			column = i
		}
	}
	m.s.Scroll(column, -1e6)
	m.g.Sheet()
	for range 40 {
		m.g.Wheel(x, y, 0.5)
	}
	if got := m.g.Sheet().Columns[column].Scroll; math.Abs(got-20) > 0.01 {
		t.Errorf("40 turns of 0.5 px scroll %.2f px", got)
	}
	m.g.Wheel(x, y, 1e5)
	if c := m.g.Sheet().Columns[column]; c.Scroll > c.Content-c.Box.H+0.01 {
		t.Errorf("scrolled to %.0f of %.0f px", c.Scroll, c.Content-c.Box.H)
	}
}

// TestFingerQuiz answers questions of a short sitting with a finger and reads why.
func TestFingerQuiz(t *testing.T) {
	s := openedQuiz(t, quiz.NewPractice())
	g := ui.New(ui.Options{Session: s})
	g.SetSize(820, 1180, 1)
	m := mouse{t, s, g, true}
	m.click("quiz:open", 0)
	m.click("quiz:begin", 0)
	for range 3 {
		m.answer()
		m.click("quiz:next", 0)
	}
	if text := strings.Join(s.Said(), " "); !strings.Contains(text, "ight") {
		t.Errorf("three answers were told as %q", text)
	}
}

// answer answers the question on the page by tapping whatever it offers.
func (m mouse) answer() {
	m.t.Helper()
	for range 60 {
		next, there := "", map[string]bool{}
		for _, c := range m.s.Page().Controls() {
			there[c.ID] = !c.Disabled
			if next == "" && !c.Disabled && !c.Chosen && (strings.HasPrefix(c.ID, "quiz:opt-") || c.Value == "–" || c.ID == "quiz:key-2") {
				next = c.ID
			}
		}
		switch {
		case there["quiz:next"]:
			return
		case there["quiz:sure-75"]:
			m.click("quiz:sure-75", 0)
		case there["quiz:answer"]:
			m.click("quiz:answer", 0)
		case next != "":
			m.click(next, 0)
			if m.has("quiz:side-0") {
				m.click("quiz:side-0", 0)
			}
		default:
			for _, part := range []int{1, 1} {
				m.click("quiz:across", part)
			}
		}
	}
	m.t.Fatalf("the question is never answered: %v", m.s.Page().Title)
}

func (m mouse) has(id string) bool {
	for _, c := range m.s.Page().Controls() {
		if c.ID == id && !c.Disabled {
			return true
		}
	}
	return false
}

// TestFingerDebrief scrubs through a treatment with a finger and goes to the moment of a mark.
func TestFingerDebrief(t *testing.T) {
	m := handheld(t, "lower-premolar")
	m.click("go", 0)
	m.s.Type(bench.Stroke{Key: "x"})
	m.click("go", 0)
	m.click("film:close", 0)
	m.s.Type(bench.Stroke{Key: "F10"})
	if m.s.Screen() != bench.DebriefScreen {
		t.Fatalf("the screen is %s", m.s.Screen())
	}
	for _, h := range m.g.Sheet().Hits {
		if h.Part == 2 && strings.HasPrefix(h.ID, "time") {
			y := h.Box.Y + h.Box.H/2
			m.point(h.Box.Right()-2, y, true)
			m.point(h.Box.X+h.Box.W/2, y+3, true)
			m.point(h.Box.X+1, y+3, false)
		}
	}
	if at := m.s.Page().Centre.Plate.State.Elapsed; at != 0 {
		t.Errorf("scrubbed to the beginning the clock stands at %d ms", at)
	}
	m.click("show:", 0)
	if text := strings.Join(m.s.Said(), " "); !strings.Contains(text, "points") {
		t.Errorf("the marks are told as %q", text)
	}
}
