package bench_test

import (
	"regexp"
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// pointed returns the control the guided case points to.
func (p student) pointed() string {
	p.t.Helper()
	id := ""
	for _, c := range p.s.Page().Controls() {
		if c.Next {
			if id != "" && id != c.ID {
				p.t.Fatalf("the lesson points to %s and to %s", id, c.ID)
			}
			id = c.ID
		}
	}
	if id == "" {
		p.t.Fatalf("the lesson points to nothing: %s", p.s.Page().Left[3].Text)
	}
	return id
}

// reading finds the last reading in the student's sheet.
var reading = regexp.MustCompile(`read ([0-9.]+) mm`)

// follow does what the lesson points to, once.
func (p student) follow() {
	p.t.Helper()
	switch id := p.pointed(); id {
	case "film:mark":
		state := p.s.Page().Centre.Film.State
		tooth := state.Case.Tooth
		beam := treatment.Paralleling()
		cusp, root := tooth.Crown.Cusps[0], tooth.Roots[0]
		u0, v0 := beam.Project(cusp.Point.X, cusp.Point.Y, cusp.Z)
		u1, v1 := beam.Project(root.Apex.X, root.Apex.Y, root.ApexZ)
		p.lay(geom.Point{X: u0, Y: v0}, geom.Point{X: u1, Y: v1})
	case "field:stop":
		found := reading.FindStringSubmatch(everything(p.s))
		if found == nil { // the sheet is behind the other side of the column
			p.press("side")
			found = reading.FindStringSubmatch(everything(p.s))
			p.press("side")
		}
		p.value(id, found[1]+" mm")
	case "go":
		if strings.Contains(everything(p.s), "size 15 to 17") {
			p.key("r")
			return
		}
		p.press(id)
	default:
		p.press(id)
	}
}

// TestLesson: the guided first case, offered first on an empty shelf, is done by following what it points
// to with the keyboard alone; its record is a whole treatment that runs again, and it can be left and taken
// up again at every step.
func TestLesson(t *testing.T) {
	s, k := open(t, nil)
	first := s.Page().Controls()[0]
	if first.ID != "lesson:first" || first.Kind != bench.Primary {
		t.Fatalf("the first control on an empty shelf is %s", first.ID)
	}
	p := newStudent(t, s)
	p.key("Enter")
	was := ""
	for step := 0; s.Screen() == bench.TreatmentScreen; step++ {
		if step > 60 {
			t.Fatalf("the lesson does not end: %v", lines(s.Page().Left))
		}
		p.follow()
		now := strings.Join(lines(s.Page().Left[:4]), "|")
		if len(k.current) > 0 && now != was && s.Page().Centre.Film == nil {
			was = now
			again, _ := open(t, k.current)
			if got := strings.Join(lines(again.Page().Left[:4]), "|"); got != now {
				t.Fatalf("taken up again it says %q, not %q", got, now)
			}
		}
	}
	record, err := attempt.Decode(k.records[0])
	if err != nil {
		t.Fatal(err)
	}
	done := map[treatment.Kind]bool{}
	for _, a := range record.Actions {
		done[a.Do] = true
	}
	for _, kind := range []treatment.Kind{treatment.Isolate, treatment.Open, treatment.Work, treatment.Fit, treatment.Fill, treatment.Review} {
		if !done[kind] {
			t.Errorf("the first case has no %s", kind)
		}
	}
	t.Logf("%d keys, %.1f of %.0f points", len(*p.list), record.Marks.Total, record.Marks.Available)
	if record.Marks.Total < 0.85*record.Marks.Available || record.Marks.Failed {
		t.Errorf("who follows the first case earns %.1f of %.0f", record.Marks.Total, record.Marks.Available)
	}
	s.Press("back")
	if c := s.Page().Controls()[0]; c.Kind == bench.Primary && c.ID == "lesson:first" {
		t.Error("the first case is still the first offer after a treatment")
	}
}

// TestLessonIsSeen: in the guided first case what is to be done next, and the words that say so, can be seen
// without scrolling, also where there is little room or the letters are large.
func TestLessonIsSeen(t *testing.T) {
	for _, z := range []size{{1024, 640, 100}, {1024, 640, 200}, {820, 1180, 100}, {820, 1180, 200}, {1440, 900, 125}} {
		s, _ := open(t, nil)
		s.SetComfort(bench.Settings{TextPercent: z.text, Palette: "light"})
		s.Compose(z.w, z.h)
		p := newStudent(t, s)
		p.key("Enter")
		for step := 0; s.Screen() == bench.TreatmentScreen; step++ {
			if step > 80 {
				t.Fatalf("%v: the lesson does not end", z)
			}
			sheet := s.Compose(z.w, z.h)
			id := p.pointed()
			for _, h := range sheet.Hits {
				if h.ID == id && h.Part == 0 && !inSight(sheet, h.Column, h.Box) {
					t.Errorf("%v: %s is next and not seen", z, id)
				}
			}
			if task := taskOf(sheet); !strings.HasSuffix(task, ".") && !strings.HasSuffix(task, "?") {
				t.Errorf("%v: of the task %q is seen", z, task)
			}
			if step%5 == 2 {
				s.Warn("A word from outside that takes two lines where there is little room for it.")
			}
			p.follow()
		}
	}
}

// inSight reports whether a box can be seen where its column stands.
func inSight(sheet *bench.Sheet, column int, box bench.Box) bool {
	if column < 0 {
		return true
	}
	c := sheet.Columns[column].Box
	return box.Y >= c.Y-1 && box.Bottom() <= c.Bottom()+1
}

// taskOf returns the lines of the task that are seen: those from "n of 14." on in the same place and letters.
func taskOf(sheet *bench.Sheet) string {
	var out []string
	var first *bench.Item
	for i := range sheet.Items {
		item := &sheet.Items[i]
		if item.Kind != bench.Letter || !inSight(sheet, item.Column, item.Box) {
			continue
		}
		switch {
		case first == nil && strings.Contains(item.Text, " of 14."):
			first = item
			out = append(out, item.Text)
		case first != nil && item.Column == first.Column && item.Role == first.Role && item.Size == first.Size && item.Ink == first.Ink:
			out = append(out, item.Text)
		case first != nil:
			return strings.Join(out, " ")
		}
	}
	return strings.Join(out, " ")
}

// TestLessonSlips: what the first case does not ask for is explained and not done.
func TestLessonSlips(t *testing.T) {
	s, k := open(t, nil)
	p := newStudent(t, s)
	p.press("lesson:first")
	told := func(what string) {
		t.Helper()
		if text := strings.Join(lines(s.Page().Tell), " "); !strings.Contains(text, what) {
			t.Errorf("told %q, want %q", text, what)
		}
	}
	before := k.saves
	p.key("3")
	p.press("go")
	told("Nobody drills")
	p.key("6", "Space")
	told("too early")
	p.key("F10")
	told("not at its end")
	p.key("i")
	told("Rinsing")
	if k.saves != before {
		t.Errorf("%d things were done and kept", k.saves-before)
	}
	for p.pointed() != "field:tested" {
		p.follow()
	}
	p.press("go")
	told("may leak")
	p.value("field:tooth", "12")
	p.press("go")
	told("neighbour")
}

// TestLessonByLines does the first case in the face of text, where a film cannot be looked at.
func TestLessonByLines(t *testing.T) {
	p, said := lessonByLines(t)
	if !strings.Contains(strings.Join(said, "\n"), "Take a film") {
		t.Fatalf("said %v", said)
	}
	for _, line := range []string{"radiograph", "isolate tested", "open deroofed", "find", "repeat", "measure", "set-length", "irrigate", "gauge", "dry", "fit", "fill", "finish"} {
		if line == "set-length" {
			line += " stop " + reading.FindStringSubmatch(strings.Join(p.Line("sheet"), " "))[1]
		}
		if out := p.Line(line); p.Wrong() {
			t.Fatalf("%s: %v", line, out)
		}
	}
	if _, record := p.Finished(); record == nil || record.Marks.Failed {
		t.Fatal("the first case is not finished")
	}
}

// lessonByLines begins the guided first case in the face of text.
func lessonByLines(t *testing.T) (*bench.Prompt, []string) {
	t.Helper()
	return bench.Sit(bench.Sitting{Scenario: specimen.Scenario(t, bench.LessonCase), Case: specimen.Paper(t, bench.LessonCase).Case,
		Plan: specimen.Plan(t, bench.LessonCase+".careful").Steps, Guided: true})
}
