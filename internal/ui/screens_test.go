package ui_test

import (
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/rehearsal"
	"tugback/internal/ui"
	"tugback/scenarios"
)

// station is one screen to be looked at: how a session gets there.
type station struct {
	name string
	walk func(t *testing.T) *bench.Session
}

func stations() []station {
	fresh := func(t *testing.T) *bench.Session {
		s, err := bench.New(bench.Opening{Cases: scenarios.Files, Quiz: bench.QuizOpening{Now: quizTime}})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	key := struck
	worked := func(t *testing.T) *bench.Session {
		s := opened(t, "lower-first-molar")
		key(s, "i", "r", "]", "]", "r", "]", "]", "r", "r", "PageDown", "PageDown", "r", "PageDown", "r", "r", "PageDown", "r", "w")
		return s
	}
	return append(append(quizStations(), examStations()...), []station{
		{"shelf", fresh},
		{"briefing", func(t *testing.T) *bench.Session {
			s := fresh(t)
			s.Press("case:lower-first-molar")
			return s
		}},
		{"open", func(t *testing.T) *bench.Session {
			s := fresh(t)
			s.Press("case:lower-first-molar")
			s.Press("begin")
			return key(s, "3")
		}},
		{"judge", func(t *testing.T) *bench.Session { return key(opened(t, "lower-first-molar"), "1", "Enter", "a") }},
		{"isolate", func(t *testing.T) *bench.Session { return key(opened(t, "lower-first-molar"), "2", "Enter") }},
		{"gauge", func(t *testing.T) *bench.Session { return key(worked(t), "a", "a", "a", "a", "a", "Enter") }},
		{"closer", func(t *testing.T) *bench.Session { return key(worked(t), "e", "e") }},
		{"live", func(t *testing.T) *bench.Session { return key(worked(t), "l") }},
		{"dry", func(t *testing.T) *bench.Session { return key(worked(t), "7", "Enter") }},
		{"fit", func(t *testing.T) *bench.Session { return key(worked(t), "8", "Enter") }},
		{"fill", func(t *testing.T) *bench.Session { return key(worked(t), "8", "Enter", "a", "Enter") }},
		{"seal", func(t *testing.T) *bench.Session { return key(worked(t), "9", "Enter") }},
		{"review", func(t *testing.T) *bench.Session { return key(worked(t), "0", "Enter") }},
		{"drill-measure", func(t *testing.T) *bench.Session { return pressed(fresh(t), "drill:drill-measure") }},
		{"drill-ledge", func(t *testing.T) *bench.Session { return pressed(fresh(t), "drill:drill-ledge") }},
		{"drill-cone", func(t *testing.T) *bench.Session { return pressed(fresh(t), "drill:drill-cone") }},
		{"drill-needle", func(t *testing.T) *bench.Session { return pressed(fresh(t), "drill:drill-needle") }},
		{"elsewhere", func(t *testing.T) *bench.Session { s := worked(t); s.Elsewhere(); return s }},
		{"find", func(t *testing.T) *bench.Session { return key(opened(t, "lower-first-molar"), "4", "Tab") }},
		{"work", worked},
		{"closed", func(t *testing.T) *bench.Session { return key(worked(t), "v", "h") }},
		{"measure", func(t *testing.T) *bench.Session { return key(opened(t, "upper-lateral-incisor"), "r", "5", "Enter") }},
		{"film", func(t *testing.T) *bench.Session { return ruled(t, "lower-first-molar") }},
		{"film-upper", func(t *testing.T) *bench.Session { return ruled(t, "upper-lateral-incisor") }},
		{"lesson", func(t *testing.T) *bench.Session { return key(fresh(t), "Enter") }},
		{"lesson-film", func(t *testing.T) *bench.Session { return key(fresh(t), "Enter", "Enter", "Enter", "Up", "m") }},
		{"lesson-dam", func(t *testing.T) *bench.Session {
			s := key(fresh(t), "Enter", "Enter")
			s.Spot(geom.Point{Y: 10.5})
			s.Spot(geom.Point{Y: -13})
			return key(s, "s", "3")
		}},
		{"rinse", func(t *testing.T) *bench.Session { return key(opened(t, "lower-premolar"), "a") }},
		{"own", func(t *testing.T) *bench.Session { return key(worked(t), "F10") }},
		{"debrief", func(t *testing.T) *bench.Session {
			s := key(worked(t), "F10")
			s.Press("show:")
			s.Press("rule:transportation")
			return s
		}},
		{"beside", func(t *testing.T) *bench.Session {
			s := key(worked(t), "F10")
			s.Press("show:")
			s.Press("rule:transportation")
			s.Press("beside:")
			s.Take("c.csv", []byte("candidate,case,action,by,comment\nc,lower-first-molar,4,E. Examiner,The bur went deeper than the roof here; look at the floor in the plan.\n"))
			return s
		}},
		{"over", func(t *testing.T) *bench.Session {
			s := key(worked(t), "F10", "v", "v")
			return s
		}},
		{"settings", func(t *testing.T) *bench.Session { return key(fresh(t), "F2", "Tab") }},
		{"help-first", func(t *testing.T) *bench.Session { return key(fresh(t), "F1") }},
		{"help-hand", func(t *testing.T) *bench.Session { return pressed(key(fresh(t), "F1"), "page:1") }},
		{"help-keys", func(t *testing.T) *bench.Session { return pressed(key(fresh(t), "F1"), "page:2") }},
		{"help-truth", func(t *testing.T) *bench.Session { return pressed(key(fresh(t), "F1"), "page:3") }},
		{"help-caution", func(t *testing.T) *bench.Session { return pressed(key(fresh(t), "F1"), "page:4") }},
	}...)
}

// struck types keys to a session.
func struck(s *bench.Session, keys ...string) *bench.Session {
	for _, k := range keys {
		s.Type(bench.Stroke{Key: k})
	}
	return s
}

// examStations are the screens of an examination.
func examStations() []station {
	key := struck
	return []station{
		{"exam-start", func(t *testing.T) *bench.Session { return examined(t) }},
		{"exam-desk", func(t *testing.T) *bench.Session { return key(examined(t), "Enter") }},
		{"exam-case", func(t *testing.T) *bench.Session {
			s := key(examined(t), "Enter", "Enter", "3")
			s.Press("field:deroofed")
			s.Slide("field:depth", 0.6)
			return key(s, "Enter", "4", "Enter", "6", "i", "r", "]", "]", "]", "r", "r")
		}},
		{"exam-film", func(t *testing.T) *bench.Session { return key(examined(t), "Enter", "Enter", "1", "a", "Enter") }},
		{"exam-question", func(t *testing.T) *bench.Session {
			s := key(examined(t), "Enter")
			s.Press("exam:question-1")
			return s
		}},
		{"exam-sure", func(t *testing.T) *bench.Session {
			s := key(examined(t), "Enter")
			s.Press("exam:submit")
			return s
		}},
		{"exam-receipt", func(t *testing.T) *bench.Session {
			s := key(examined(t), "Enter")
			s.Press("exam:submit")
			s.Press("exam:handin")
			return s
		}},
	}
}

// pressed presses controls of a session.
func pressed(s *bench.Session, ids ...string) *bench.Session {
	for _, id := range ids {
		s.Press(id)
	}
	return s
}

// ruled returns a session that exposed a shifted film of a case and laid the ruler on it.
func ruled(t *testing.T, name string) *bench.Session {
	s := opened(t, name)
	s.Type(bench.Stroke{Key: "x"})
	s.Adjust("field:angle", 4, false)
	s.Press("go")
	s.Spot(geom.Point{X: -1, Y: 7})
	s.Spot(geom.Point{X: -1.5, Y: -12})
	return s
}

// look is how a screen is looked at.
type look struct {
	w, h, text int
	palette    string
}

func (l look) String() string { return fmt.Sprintf("%dx%d-%d-%s", l.w, l.h, l.text, l.palette) }

// looks are all that a screen has to be good at: window, large window and tablet, each palette, and the
// largest text.
func looks() []look {
	var out []look
	for _, size := range [][2]int{{1024, 640}, {1440, 900}, {820, 1180}} {
		for _, palette := range []string{"light", "night", "high-contrast"} {
			out = append(out, look{size[0], size[1], 100, palette})
		}
		out = append(out, look{size[0], size[1], 200, "light"})
	}
	return out
}

// TestScreens looks at every screen: no letters overlap, are cut off or are drawn with too little contrast.
// With the variable TUGBACK_SCREENS it does so in every size and palette and writes a picture of each into
// the folder named; without it, it does a few.
func TestScreens(t *testing.T) {
	folder := os.Getenv("TUGBACK_SCREENS")
	only := os.Getenv("TUGBACK_SCREENS_ONLY")
	list := []look{{1440, 900, 100, "light"}}
	if folder != "" {
		list = looks()
	}
	count := 0
	for _, st := range stations() {
		if !slices.ContainsFunc(list, func(l look) bool { return strings.Contains(st.name+"."+l.String(), only) }) {
			continue
		}
		s := st.walk(t)
		for _, l := range list {
			name := st.name + "." + l.String()
			if !strings.Contains(name, only) {
				continue
			}
			count++
			s.SetComfort(bench.Settings{TextPercent: l.text, Palette: l.palette})
			g := ui.New(ui.Options{Session: s})
			img := shoot(g, l.w, l.h)
			if colours(img) < 8 {
				t.Errorf("%s is blank", name)
			}
			for _, fault := range append(rehearsal.Faults(g.Sheet()), illegible(img, g.Sheet(), s.Settings().Colours())...) {
				t.Errorf("%s: %s", name, fault)
			}
			if folder != "" {
				write(t, filepath.Join(folder, name+".png"), img)
			}
		}
	}
	t.Logf("%d pictures", count)
}

// Contrast asked of letters (Web Content Accessibility Guidelines 2.2, 1.4.3), and of the boldest pixel of a
// line against its ground, which smoothed edges of thin letters weaken: a line that is not drawn, or drawn
// over, has less.
const (
	leastContrast = 4.5
	leastDrawn    = 2
)

// illegible returns the letters of a sheet that a picture of it shows with too little contrast, or not.
func illegible(img *image.RGBA, sheet *bench.Sheet, palette picture.Palette) []string {
	var out []string
	for k := range sheet.Items {
		i := &sheet.Items[k]
		if i.Kind != bench.Letter || strings.TrimSpace(i.Text) == "" || !rehearsal.Seen(sheet, i) {
			continue
		}
		box := image.Rect(int(i.Box.X), int(i.Box.Y), int(i.Box.Right())+1, int(i.Box.Bottom())+1).Intersect(img.Bounds())
		count := map[picture.Colour]int{}
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				c := img.RGBAAt(x, y)
				count[picture.Colour{R: c.R, G: c.G, B: c.B, Set: true}]++
			}
		}
		ground, drawn := picture.Colour{}, 0.0
		for c, n := range count {
			if n > count[ground] {
				ground = c
			}
		}
		for c := range count {
			drawn = max(drawn, picture.Contrast(c, ground))
		}
		ink := map[bench.Ink]picture.Colour{bench.InkPlain: palette.Ink, bench.InkQuiet: palette.Quiet, bench.InkEvent: palette.Event}[i.Ink]
		if has := picture.Contrast(ink, ground); has < leastContrast {
			out = append(out, fmt.Sprintf("%q stands on its ground with a contrast of %.1f, want %.1f", i.Text, has, leastContrast))
		}
		if drawn < leastDrawn {
			out = append(out, fmt.Sprintf("%q is drawn with a contrast of %.1f, want %d", i.Text, drawn, leastDrawn))
		}
	}
	return out
}

// shoot draws a game until its plate is there and returns what the screen shows.
func shoot(g *ui.Game, w, h int) *image.RGBA {
	screen.show(g, w, h)
	for range 40 {
		screen.frames(2)
		ready := false
		screen.with(func() { ready = g.Ready() })
		if ready {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	screen.frames(2)
	shot := make(chan *image.RGBA, 1)
	screen.with(func() { screen.shot = shot })
	return <-shot
}

// colours counts the colours of a picture, up to some.
func colours(img *image.RGBA) int {
	seen := map[[3]byte]bool{}
	for i := 0; i+3 < len(img.Pix) && len(seen) < 64; i += 4 {
		seen[[3]byte(img.Pix[i:i+3])] = true
	}
	return len(seen)
}

func write(t *testing.T, name string, img *image.RGBA) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

// TestPartsEqualWhole: painting only what changed shows what painting everything would.
func TestPartsEqualWhole(t *testing.T) {
	s := opened(t, "lower-first-molar")
	one := ui.New(ui.Options{Session: s})
	shoot(one, 1280, 800)
	for _, keys := range [][]string{{"Tab", "Tab"}, {"r"}, {"PageDown", "]"}, {"i"}, {"v"}, {"v", "w"}, {"h"}, {"5"}, {"6", "a"}, {"F10"}} {
		screen.with(func() {
			for _, k := range keys {
				s.Type(bench.Stroke{Key: k})
			}
		})
		parts := shoot(one, 1280, 800)
		whole := shoot(ui.New(ui.Options{Session: s}), 1280, 800)
		if n, at := differing(parts, whole); n > 40 {
			t.Errorf("after %v %d pixels differ, the first at %v", keys, n, at)
			if folder := os.Getenv("TUGBACK_SCREENS"); folder != "" {
				write(t, filepath.Join(folder, "parts-"+keys[0]+".png"), parts)
				write(t, filepath.Join(folder, "whole-"+keys[0]+".png"), whole)
			}
		}
		shoot(one, 1280, 800)
	}
}

// TestNewScreenIsPainted: a screen that was never drawn on, as there is after a change of the window's
// size, gets the whole page although the page itself is as before.
func TestNewScreenIsPainted(t *testing.T) {
	g := ui.New(ui.Options{Session: opened(t, "lower-premolar")})
	g.SetSize(800, 600, 1)
	for range 2 {
		pixels := image.NewRGBA(image.Rect(0, 0, 800, 600))
		screen.with(func() {
			empty := ebiten.NewImage(800, 600)
			g.Draw(empty)
			empty.ReadPixels(pixels.Pix)
		})
		if colours(pixels) < 8 {
			t.Fatal("the screen is blank")
		}
	}
}

// differing counts the pixels in which two pictures differ clearly.
func differing(a, b *image.RGBA) (count int, first image.Point) {
	for i := range a.Pix {
		d := int(a.Pix[i]) - int(b.Pix[i])
		if d > 24 || d < -24 {
			if count == 0 {
				first = image.Pt(i/4%a.Bounds().Dx(), i/4/a.Bounds().Dx())
			}
			count++
		}
	}
	return count, first
}
