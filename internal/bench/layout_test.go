package bench_test

import (
	"fmt"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/picture"
	"tugback/internal/rehearsal"
)

// size is a sheet a page is laid out on.
type size struct {
	w, h float64
	text int
}

func sizes() []size {
	return []size{{1024, 640, 100}, {1440, 900, 100}, {3840, 2160, 100}, {768, 1024, 100}, {1024, 640, 150},
		{1024, 640, 200}, {1440, 900, 200}, {3840, 2160, 200}}
}

// walks are the screens with what is done to come to them.
func walks(t *testing.T) map[string]*bench.Session {
	out := map[string]*bench.Session{}
	at := func(name string, keys ...string) {
		s, _ := open(t, nil)
		p := newStudent(t, s)
		p.press("case:lower-first-molar")
		if name != "briefing" {
			p.press("begin")
			for _, k := range keys {
				p.key(k)
			}
		}
		out[name] = s
	}
	shelf, _ := open(t, nil)
	out["shelf"] = shelf
	settings, _ := open(t, nil)
	settings.Type(bench.Stroke{Key: "F2"})
	out["settings"] = settings
	for i := range 5 {
		help, _ := open(t, nil)
		help.Type(bench.Stroke{Key: "F1"})
		help.Press(fmt.Sprintf("page:%d", i))
		out[fmt.Sprintf("help %d", i)] = help
	}
	at("briefing")
	for i := range 10 {
		at(fmt.Sprintf("step %d", i), fmt.Sprint(i))
	}
	at("refused", "1", "Enter", "2", "Enter", "3", "Enter", "h")
	at("own", "1", "Enter", "F10")
	at("marks", "1", "Enter", "F10")
	out["marks"].Press("show:")
	at("film", "x", "Enter", "1", "a", "Enter", "m", "Up", "Up", "m", "s")
	at("no film", "x")
	found := []string{"3", "Enter", "4", "Enter"}
	at("locator", append(found, "5", "Enter", "Enter")...)
	at("worked", append(found, "6", "i", "Space", "e")...)
	at("live film", append(found, "6", "i", "Space", "l", "e")...)
	at("gauged", append(found, "6", "a", "a", "a", "a", "a", "Enter")...)
	at("cone", append(found, "8", "Enter")...)
	at("plates", "1", "Enter", "F10")
	out["plates"].Press("show:")
	out["plates"].Press("beside:")
	out["plates"].Take("c.csv", []byte("candidate,case,action,by,comment\nc,lower-first-molar,1,E. Examiner,A word or two on what was judged here\n"))
	lesson, _ := open(t, nil)
	lesson.Press("lesson:first")
	out["lesson"] = lesson
	examWalks(t, out)
	return out
}

// examWalks are the screens of an examination.
func examWalks(t *testing.T, out map[string]*bench.Session) {
	_, packet := sealedPaper(t)
	for name, presses := range map[string][]string{
		"exam start": nil, "exam desk": {"exam:begin"}, "exam case": {"exam:begin", "exam:enter-0"}, "exam rest": {"exam:begin", "exam:rest"},
		"exam question": {"exam:begin", "exam:question-3"}, "exam sure": {"exam:begin", "exam:submit"},
		"exam receipt": {"exam:begin", "exam:submit", "exam:handin"},
	} {
		s, _ := examSession(t, newMemory(), packet)
		for _, id := range presses {
			s.Press(id)
		}
		out[name] = s
	}
}

// TestNothingOverlaps lays every screen out at every size: no two letterings share a place, none leaves
// its column or the sheet, and every place to point at is at least 24 px high and wide (Web Content
// Accessibility Guidelines 2.2, 2.5.8).
func TestNothingOverlaps(t *testing.T) {
	for name, s := range walks(t) {
		for _, z := range sizes() {
			t.Run(fmt.Sprintf("%s at %.0f×%.0f, text %d %%", name, z.w, z.h, z.text), func(t *testing.T) {
				s.SetComfort(bench.Settings{TextPercent: z.text, Palette: "light"})
				checkSheet(t, s.Compose(z.w, z.h))
			})
		}
	}
}

func checkSheet(t *testing.T, sheet *bench.Sheet) {
	t.Helper()
	for _, fault := range rehearsal.Faults(sheet) {
		t.Error(fault)
	}
}

// TestContrastOfInks: letters on paper, 4.5 to 1 at least in every palette (Web Content Accessibility
// Guidelines 2.2, 1.4.3).
func TestContrastOfInks(t *testing.T) {
	for _, p := range picture.Palettes() {
		for name, ink := range map[string]picture.Colour{"ink": p.Ink, "quiet": p.Quiet, "event": p.Event} {
			for ground, paper := range map[string]picture.Colour{"paper": p.Paper, "chosen": p.Chosen} {
				if c := picture.Contrast(ink, paper); c < 4.5 {
					t.Errorf("%s: %s on %s has a contrast of %.2f, want 4.5", p.Name, name, ground, c)
				}
			}
		}
	}
}

// TestFocusIsSeen tabs through a page and looks that the control with the keyboard is inside its column.
func TestFocusIsSeen(t *testing.T) {
	for name, s := range walks(t) {
		s.SetComfort(bench.Settings{TextPercent: 150, Palette: "light"})
		for range len(s.Page().Controls()) {
			s.Type(bench.Stroke{Key: "Tab"})
			sheet := s.Compose(1024, 640)
			found := s.Focus() == ""
			for _, h := range sheet.Hits {
				if h.ID != s.Focus() || h.Part != 0 {
					continue
				}
				found = true
				if h.Column >= 0 {
					c := sheet.Columns[h.Column].Box
					if h.Box.Y < c.Y-1 || h.Box.Bottom() > c.Bottom()+1 && h.Box.H < c.H {
						t.Errorf("%s: %s has the keyboard and is not seen", name, h.ID)
					}
				}
			}
			if !found {
				t.Errorf("%s: %s has the keyboard and no place", name, s.Focus())
			}
		}
	}
}
