package bench_test

import (
	"math"
	"strings"
	"testing"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// lay puts the two ends of the ruler with the keyboard alone.
func (p student) lay(from, to geom.Point) {
	p.t.Helper()
	for _, end := range []geom.Point{from, to} {
		p.focus("film:across")
		p.creep("film:across", end.X)
		p.focus("film:up")
		p.creep("film:up", end.Y)
		p.key("m")
	}
}

// creep turns a control of the cross to a value, to a tenth.
func (p student) creep(id string, want float64) {
	p.t.Helper()
	for range 600 {
		var now float64
		if _, err := sscan(p.shown(id), &now); err != nil {
			p.t.Fatal(err)
		}
		key := map[bool]string{true: "Right", false: "Left"}[want > now]
		if id == "film:up" { // the film of an upper tooth hangs on its crown
			key = map[bool]string{true: "Down", false: "Up"}[want > now]
		}
		switch off := math.Abs(want - now); {
		case off < 0.05:
			return
		case off < 0.45:
			p.key("+" + key)
		default:
			p.key(key)
		}
	}
	p.t.Fatalf("%s never shows %.1f", id, want)
}

// TestFilmsOfARun: a film is an action; with the ruler, by keys alone, the student measures on it what the
// projection formulas say stands there, uncorrected, to the tenth the cross moves by (0.15 mm over two
// ends); the measure stands in the sheet and in the kept record, and the digest is that of the actions.
func TestFilmsOfARun(t *testing.T) {
	s, k := open(t, nil)
	p := newStudent(t, s)
	p.press("case:upper-lateral-incisor")
	p.press("begin")
	p.key("x")
	if s.Page().Centre.Film != nil {
		t.Fatal("there is a film before one was exposed")
	}
	p.value("field:angle", "15 deg")
	p.value("field:vertical", "10 deg")
	p.press("go")
	film := s.Page().Centre.Film
	if film == nil {
		t.Fatal("no film hangs on the light box after the exposure")
	}
	state := film.State
	tooth := state.Case.Tooth
	cusp, apex := tooth.Crown.Cusps[tooth.Canals[0].Cusp], tooth.Roots[0]
	beam := treatment.BeamOf(treatment.Action{Angle: 150, Tilt: 100})
	u0, v0 := beam.Project(cusp.Point.X, cusp.Point.Y, cusp.Z)
	u1, v1 := beam.Project(apex.Apex.X, apex.Apex.Y, apex.ApexZ)
	p.lay(geom.Point{X: u0, Y: v0}, geom.Point{X: u1, Y: v1})
	var shows float64
	if _, err := sscan(s.Page().Centre.Foot, &shows); err != nil {
		t.Fatalf("%q: %v", s.Page().Centre.Foot, err)
	}
	if want := state.ToothImage(0, beam); math.Abs(shows-want) > 0.15 {
		t.Errorf("the ruler shows %.2f mm, the formulas say %.2f mm", shows, want)
	}
	p.key("s")
	if text := strings.Join(lines(s.Page().Right), "\n"); strings.Contains(text, "from cusp to apex") {
		t.Errorf("the record tells what the student is to measure: %s", text)
	}
	p.key("x")
	p.key("F10")
	record, err := attempt.Decode(k.records[len(k.records)-1])
	if err != nil {
		t.Fatal(err)
	}
	if a := record.Actions[0]; a.Do != treatment.Radiograph || a.Angle != 150 || a.Tilt != 100 {
		t.Errorf("recorded %+v, want a film shifted by 15° and 10° flatter", a)
	}
	last := record.Notes[len(record.Notes)-1]
	if last.Kind != attempt.NoteRuler || !strings.HasPrefix(last.Detail, "canal-2") {
		t.Errorf("the last note is %+v, want the measure", last)
	}
}

// lines returns the texts of blocks.
func lines(blocks []bench.Block) []string {
	var out []string
	for _, b := range blocks {
		out = append(out, b.Text)
		for _, pair := range b.Pairs {
			out = append(out, pair[0]+" "+pair[1])
		}
	}
	return out
}

// TestFilmKeepsItsMoment: a film shows what stood in the tooth when it was exposed and does not change
// with what is done later; the next one does.
func TestFilmKeepsItsMoment(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.key("x")
	p.press("go")
	first := s.Page().Centre.Film
	p.key("x", "i", "r", "x")
	if again := s.Page().Centre.Film; again.Key != first.Key || again.State.Elapsed != first.State.Elapsed {
		t.Errorf("the film changed from %s to %s", first.Key, again.Key)
	}
	p.press("go")
	if next := s.Page().Centre.Film; next.Key == first.Key || next.State.Elapsed <= first.State.Elapsed {
		t.Error("the second film is the first one")
	}
	p.key("[")
	if back := s.Page().Centre.Film; back.Key != first.Key {
		t.Error("[ does not go back to the first film")
	}
	p.key("6")
	if s.Page().Centre.Plate == nil {
		t.Error("going to a step does not take the film down")
	}
}

// TestCutCusp: cutting the cusp moves the point lengths are read at: the sheet shows every length shorter by
// what was cut, and a file worked to the length as it is read now stands where it stood before.
func TestCutCusp(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.act("5", "measure")
	p.press("go")
	p.act("5", "set-length")
	p.value("field:stop", "20.0 mm")
	p.press("go")
	p.act("6", "work")
	p.value("field:stop", "18.0 mm")
	p.key("r")
	tip := s.Page().Centre.Plate.Live.File.Axis[0]
	p.act("2", "prepare")
	p.value("field:what", "cusp-cut")
	p.value("field:cut", "1 mm")
	p.press("go")
	chart := strings.Join(lines(s.Page().Right), " ")
	if !strings.Contains(chart, "length 19.00 mm") || !strings.Contains(chart, "cut by 1.0 mm") {
		t.Errorf("the sheet does not subtract the cut: %s", chart)
	}
	p.act("6", "work")
	p.value("field:stop", "17.0 mm")
	p.key("r")
	if now := s.Page().Centre.Plate.Live.File.Axis[0]; now.Sub(tip).Norm() > 0.15 {
		t.Errorf("17 mm from the cut cusp the tip stands at %v, 18 mm from the whole one at %v", now, tip)
	}
}
