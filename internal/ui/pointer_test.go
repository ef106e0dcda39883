package ui_test

import (
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/specimen"
	"tugback/internal/ui"
	"tugback/scenarios"
)

// mouse presses what a page shows, by place and not by name, with a mouse or with a finger.
type mouse struct {
	t      *testing.T
	s      *bench.Session
	g      *ui.Game
	finger bool
}

// point moves the mouse or the finger, down or up.
func (m mouse) point(x, y float64, down bool) {
	if m.finger {
		m.g.Touch(x, y, down)
		return
	}
	m.g.Point(x, y, down)
}

// spot returns the middle of a part of a control, scrolled into view.
func (m mouse) spot(id string, part int) (x, y float64) {
	m.t.Helper()
	m.s.SetFocus(id)
	for _, h := range m.g.Sheet().Hits {
		if h.ID == id && h.Part == part {
			return h.Box.X + h.Box.W/2, h.Box.Y + h.Box.H/2
		}
	}
	m.t.Fatalf("there is no %s (part %d) on %s", id, part, m.s.Screen())
	return 0, 0
}

// click presses and lets go.
func (m mouse) click(id string, part int) {
	m.t.Helper()
	x, y := m.spot(id, part)
	m.point(x, y, false)
	m.point(x, y, true)
	m.point(x, y, false)
}

// drag pulls a slider until it shows a value.
func (m mouse) drag(id, want string) {
	m.t.Helper()
	x, y := m.spot(id, 2)
	m.point(x, y, true)
	for at := x - 150; at < x+150; at += 0.25 {
		m.point(at, y, true)
		if m.value(id) == want {
			m.point(at, y, false)
			return
		}
	}
	m.t.Fatalf("%s shows %s and never %s", id, m.value(id), want)
}

func (m mouse) value(id string) string {
	for _, c := range m.s.Page().Controls() {
		if c.ID == id {
			return c.Value
		}
	}
	return ""
}

// choose clicks the right arrow of a choice until it shows a value.
func (m mouse) choose(id, want string) {
	m.t.Helper()
	for range 40 {
		if m.value(id) == want {
			return
		}
		m.click(id, 1)
	}
	m.t.Fatalf("%s never shows %s", id, want)
}

// hold keeps the button down for some frames.
func (m mouse) hold(id string, frames int) {
	m.t.Helper()
	x, y := m.spot(id, 0)
	m.point(x, y, true)
	for range frames {
		m.s.Tick(16)
	}
	m.point(x, y, false)
}

type keeper struct{ records [][]byte }

func (k *keeper) Keep(record []byte) { k.records = append(k.records, record) }

func (k *keeper) SaveCurrent([]byte) {}

// TestMouse works in the lower first molar with the mouse alone, and with a finger alone, from the shelf to the
// debrief: clicks, arrows, sliders, and the button held to work. The record runs again to the same digest.
func TestMouse(t *testing.T) {
	for _, finger := range []bool{false, true} {
		k := &keeper{}
		s, err := bench.New(bench.Opening{Cases: scenarios.Files, Keeper: k, Quiz: bench.QuizOpening{Now: quizTime}})
		if err != nil {
			t.Fatal(err)
		}
		g := ui.New(ui.Options{Session: s})
		g.SetSize(1440, 900, 1)
		beginMolar(mouse{t, s, g, finger})
		if s.Screen() != bench.DebriefScreen || len(k.records) != 1 {
			t.Fatalf("the screen is %s with %d records, want the debrief and one", s.Screen(), len(k.records))
		}
		checkMolar(t, k.records[0])
	}
}

// beginMolar opens the molar, finds its canals and works in one.
func beginMolar(m mouse) {
	m.t.Helper()
	m.click("case:lower-first-molar", 0)
	m.click("begin", 0)
	m.choose("field:difficulty", "moderate")
	m.click("go", 0)
	m.click("stage:1", 0)
	m.choose("field:tooth", "46")
	m.click("field:tested", 0)
	m.click("go", 0)
	m.click("stage:2", 0)
	m.drag("field:depth", "6.8 mm")
	for side, far := range map[string]string{"mesial": "3.2 mm", "distal": "2.8 mm", "buccal": "2.7 mm", "lingual": "2.7 mm"} {
		m.drag("field:"+side, far)
	}
	m.choose("field:with", "safe-ended")
	m.click("field:deroofed", 0)
	m.click("go", 0)
	m.click("stage:3", 0)
	for _, canal := range []string{"MB", "ML", "D"} {
		m.click("canal:"+canal, 0)
		m.click("go", 0)
	}
	m.click("stage:5", 0)
	m.click("canal:MB", 0)
	m.click("kind:irrigate", 0)
	m.click("go", 0)
	m.click("kind:work", 0)
	m.drag("field:stop", "15.4 mm")
	m.click("item:hand-steel-10.02", 0)
	m.hold("go", 60)
	m.click("repeat", 0)
	m.click("finish", 0)
}

// checkMolar runs a record again.
func checkMolar(t *testing.T, data []byte) {
	t.Helper()
	record, err := attempt.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	run := specimen.Treat(t, specimen.Seeded(t, "lower-first-molar", record.Seed), record.Actions)
	if got := run.Close().Digest; got != record.Digest {
		t.Errorf("run again the digest is %s, want %s", got, record.Digest)
	}
	found := 0
	for _, c := range run.State().Canals {
		if c.Found {
			found++
		}
	}
	if last := record.Actions[len(record.Actions)-2]; found != 3 || last.Strokes < 6 {
		t.Errorf("%d canals found and %d strokes made by holding, want 3 and several", found, last.Strokes)
	}
}

// TestRulerByPointer lays the ruler on a film with the mouse, by two clicks and by one stroke, and with a
// finger: the same places measure the same, mm on the film.
func TestRulerByPointer(t *testing.T) {
	s := opened(t, "lower-premolar")
	g := ui.New(ui.Options{Session: s})
	g.SetSize(1280, 800, 1)
	s.Type(bench.Stroke{Key: "x"})
	s.Press("go")
	film := g.Sheet().Film
	if film == nil {
		t.Fatal("no film hangs on the light box")
	}
	from, to := film.View.Point(geom.Point{X: 0, Y: 6}), film.View.Point(geom.Point{X: -3, Y: -10})
	const want = "16.28 mm on the film." // √(3² + 16²) = 16.279
	for name, lay := range map[string]func(){
		"two clicks": func() {
			for _, p := range []geom.Point{from, to} {
				g.Point(p.X, p.Y, true)
				g.Point(p.X, p.Y, false)
			}
		},
		"a stroke": func() {
			g.Point(from.X, from.Y, true)
			g.Point((from.X+to.X)/2, (from.Y+to.Y)/2, true)
			g.Point(to.X, to.Y, true)
			g.Point(to.X, to.Y, false)
		},
		"a finger": func() {
			g.Touch(from.X, from.Y, true)
			g.Touch(to.X, to.Y, true)
			g.Touch(to.X, to.Y, false)
		},
	} {
		s.Press("film:clear")
		lay()
		if got := s.Page().Centre.Foot; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
