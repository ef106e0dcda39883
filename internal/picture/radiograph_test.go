package picture_test

import (
	"bytes"
	"math"
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// held returns an untreated case with an instrument standing in its first canal, and one without.
func held(t *testing.T, item string, depth float64) (with, without treatment.State) {
	t.Helper()
	without = treatment.Start(&treatment.Case{Tooth: grown(t, "upper-central-incisor", 4), Settings: treatment.DefaultSettings()})
	with = without
	with.Held = treatment.Held{Item: item, Depth: depth}
	return with, without
}

// lowest returns where the difference of two films ends apically: the middle of its lowest dots.
func lowest(a, b picture.Radiogram) (x, y float64) {
	rect := a.Image.Rect
	for py := rect.Max.Y - 1; py >= 0; py-- {
		sum, n := 0.0, 0.0
		for px := range rect.Max.X {
			if int(a.Image.GrayAt(px, py).Y)-int(b.Image.GrayAt(px, py).Y) > 12 {
				sum += float64(px) + 0.5
				n++
			}
		}
		if n > 0 {
			return sum / n, float64(py) + 0.5
		}
	}
	return math.NaN(), math.NaN()
}

// What is measured on the picture is what the projection formulas say: a steel file's tip, found as the
// last dot that differs from the film without it, stands where Beam.Project puts it. Tolerance 0.25 mm:
// a cube of 0.12 mm and the file's thin tip.
func TestRadiographObeysProjection(t *testing.T) {
	with, without := held(t, "hand-steel-40.02", 20)
	for _, turn := range []struct{ vertical, shift float64 }{{0, 0}, {-10, 0}, {10, 20}} {
		f := picture.DefaultFilm()
		f.Grain, f.Dot = 0, 0.1
		f.Beam.Vertical, f.Beam.Shift = turn.vertical*math.Pi/180, turn.shift*math.Pi/180
		f.Beam.Receptor = 15 * math.Pi / 180
		a, err := picture.Radiograph(with, f)
		if err != nil {
			t.Fatal(err)
		}
		b, err := picture.Radiograph(without, f)
		if err != nil {
			t.Fatal(err)
		}
		gotX, gotY := lowest(a, b)
		x, y, z := with.Place(0, 20)
		wantX, wantY := a.At(f.Beam.Project(x, y, z))
		if off := a.Length(gotX, gotY, wantX, wantY); !(off < 0.25) {
			t.Errorf("%+v: tip on the picture %.2f mm from where it is projected", turn, off)
		}
	}
}

// What attenuates more is lighter: enamel above dentine, dentine above the pulp, metal above all. The
// thicknesses of the crown are alike at the heights compared. Source: Beer–Lambert.
func TestRadiographContrast(t *testing.T) {
	with, _ := held(t, "hand-steel-40.02", 20)
	f := picture.DefaultFilm()
	f.Grain = 0
	film, err := picture.Radiograph(with, f)
	if err != nil {
		t.Fatal(err)
	}
	grey := func(x, y, z float64) int {
		px, py := film.At(f.Beam.Project(x, y, z))
		return int(film.Image.GrayAt(int(px), int(py)).Y)
	}
	x, y, z := with.Place(0, 17)
	file, beside := grey(x, y, z), grey(x+0.9, y, z)
	if file <= beside {
		t.Errorf("file %d, dentine beside it %d", file, beside)
	}
	x, y, z = with.Place(0, 11.5)
	empty := treatment.Start(with.Case)
	bare, err := picture.Radiograph(empty, f)
	if err != nil {
		t.Fatal(err)
	}
	px, py := bare.At(f.Beam.Project(x, y, z))
	pulp := int(bare.Image.GrayAt(int(px), int(py)).Y)
	qx, qy := bare.At(f.Beam.Project(x+1.2, y, z))
	if dentine := int(bare.Image.GrayAt(int(qx), int(qy)).Y); pulp >= dentine {
		t.Errorf("pulp %d, dentine %d", pulp, dentine)
	}
}

// The same case and film give the same bytes; the noise has its seed; the state is only read.
func TestRadiographSameBytes(t *testing.T) {
	with, _ := held(t, "cone-30.04", 18)
	before := detmath.Digest(with)
	render := func(seed uint64) []byte {
		f := picture.DefaultFilm()
		f.Seed, f.Dot = seed, 0.1
		r, err := picture.Radiograph(with, f)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := r.PNG(&out, true); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	if !bytes.Equal(render(1), render(1)) || bytes.Equal(render(1), render(2)) {
		t.Error("the bytes of a film do not follow its seed")
	}
	if detmath.Digest(with) != before {
		t.Error("a film changed the state")
	}
}

func TestRadiographRefusals(t *testing.T) {
	with, _ := held(t, "cone-30.04", 18)
	for name, change := range map[string]func(*picture.Film){
		"dot":    func(f *picture.Film) { f.Dot = 0 },
		"grain":  func(f *picture.Film) { f.Grain = -1 },
		"angle":  func(f *picture.Film) { f.Beam.Shift = 1.5 },
		"source": func(f *picture.Film) { f.Beam.Source = 10 },
		"nan":    func(f *picture.Film) { f.Beam.Vertical = math.NaN() },
	} {
		f := picture.DefaultFilm()
		change(&f)
		if _, err := picture.Radiograph(with, f); err == nil {
			t.Errorf("%s: no refusal", name)
		}
	}
}

// The frame a film is laid out in before it is exposed is the one it has then: the picture's dots cover it.
func TestRadiographFrame(t *testing.T) {
	state, _ := held(t, "hand-steel-20.02", 15)
	f := picture.DefaultFilm()
	f.Beam.Shift = 0.3
	left, right, low, high := f.Frame(state.Case.Tooth)
	r, err := picture.Radiograph(state, f)
	if err != nil {
		t.Fatal(err)
	}
	wide, tall := float64(r.Image.Rect.Dx())*f.Dot, float64(r.Image.Rect.Dy())*f.Dot
	if math.Abs(wide-(right-left)) > f.Dot || math.Abs(tall-(high-low)) > f.Dot {
		t.Errorf("the film is %.2f by %.2f mm, its frame %.2f by %.2f", wide, tall, right-left, high-low)
	}
}
