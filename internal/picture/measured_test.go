package picture_test

import (
	"math"
	"testing"

	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// tipOn returns where a file's tip at a length in a canal stands on a film, dots, found in the picture itself as the
// last dot that differs from the same film without the file.
func tipOn(t *testing.T, s treatment.State, canal int, length float64, f picture.Film) (x, y float64, film picture.Radiogram) {
	t.Helper()
	with := s
	with.Held = treatment.Held{Canal: canal, Item: "hand-steel-40.02", Depth: length}
	a, err := picture.Radiograph(with, f)
	if err != nil {
		t.Fatal(err)
	}
	b, err := picture.Radiograph(s, f)
	if err != nil {
		t.Fatal(err)
	}
	x, y = lowest(a, b)
	return x, y, a
}

// G1, G3, G4 and G5 on the picture: the distance between two places of a file's tip, 11 mm apart along an upright canal,
// measured in dots, is 11 mm × M × cos(a − g)/cos g. G7: the tooth's length comes out of the picture by the file's
// ratio. Expected: derived (protocol facts 2.2); ± 0.25 mm, two cubes.
func TestFilmMeasuresByProjection(t *testing.T) {
	s := treatment.Start(&treatment.Case{Tooth: grown(t, "upper-central-incisor", 4), Settings: treatment.DefaultSettings()})
	rad := math.Pi / 180
	for _, c := range []struct{ a, g, source float64 }{{0, 0, 406.4}, {0, 10, 406.4}, {0, -10, 406.4}, {0, 0, 203.2}, {30, 0, 406.4}, {30, 15, 406.4}, {30, 30, 406.4}, {40, 10, 406.4}} {
		f := picture.DefaultFilm()
		f.Grain, f.Dot = 0, 0.1
		f.Beam = treatment.Beam{Receptor: c.a * rad, Vertical: c.g * rad, Source: c.source, Object: 20}
		x1, y1, _ := tipOn(t, s, 0, 10, f)
		x2, y2, film := tipOn(t, s, 0, 21, f)
		_, h1, z1 := s.Place(0, 10)
		_, h2, z2 := s.Place(0, 21)
		along := math.Hypot(h1-h2, z1-z2)
		want := along * c.source / (c.source - 20) * math.Cos((c.a-c.g)*rad) / math.Cos(c.g*rad)
		if got := film.Length(x1, y1, x2, y2); math.Abs(got-want) > 0.25 {
			t.Errorf("a = %g°, g = %g°, source %g mm: %.2f mm on the picture, want %.2f", c.a, c.g, c.source, got, want)
		}
		rx, ry := film.At(f.Beam.Project(s.Case.Tooth.Crown.Cusps[0].Point.X, s.Case.Tooth.Crown.Cusps[0].Point.Y, s.Case.Tooth.Crown.Cusps[0].Z))
		root := s.Case.Tooth.Roots[0]
		ax, ay := film.At(f.Beam.Project(root.Apex.X, root.Apex.Y, root.ApexZ))
		estimate := treatment.FileRatio(21, film.Length(rx, ry, ax, ay), film.Length(rx, ry, x2, y2))
		if math.Abs(estimate-s.Canals[0].Foramen()) > 1.2 { // the root tip lies up to a millimetre beyond the foramen
			t.Errorf("a = %g°, g = %g°: by the file's ratio %.2f mm, the canal is %.2f mm long", c.a, c.g, estimate, s.Canals[0].Foramen())
		}
	}
}

// G6 on the picture: when the tube is shifted, two tips one behind the other part by M·d·tan φ, the lingual one the way
// the tube went. Expected: derived; ± 0.25 mm.
func TestFilmParallax(t *testing.T) {
	s := treatment.Start(&treatment.Case{Tooth: grown(t, "upper-first-premolar", 4), Settings: treatment.DefaultSettings()})
	apart := func(shift float64) float64 {
		f := picture.DefaultFilm()
		f.Grain, f.Dot = 0, 0.1
		f.Beam.Shift = shift * math.Pi / 180
		x1, _, _ := tipOn(t, s, 0, 16, f)
		x2, _, _ := tipOn(t, s, 1, 16, f)
		return (x2 - x1) * f.Dot
	}
	_, _, buccal := s.Place(0, 16)
	_, _, palatal := s.Place(1, 16)
	straight := apart(0)
	for _, shift := range []float64{20, 30} {
		want := picture.DefaultFilm().Beam.Magnification() * (palatal - buccal) * math.Tan(shift*math.Pi/180)
		if got := apart(shift) - straight; math.Abs(got-want) > 0.25 || want <= 0 {
			t.Errorf("%g°: the palatal tip moves %.2f mm away, want %.2f", shift, got, want)
		}
	}
}

// The bone round the apex on the recall's film is what the recall showed: as dense as elsewhere where it healed, darker
// where it is uncertain, darkest where it failed; a restoration ends with the crown.
func TestRecallOnFilm(t *testing.T) {
	s := treatment.Start(&treatment.Case{Tooth: grown(t, "upper-central-incisor", 4), Settings: treatment.DefaultSettings(), Lesion: true})
	apex := s.Case.Tooth.Roots[0].Apex
	f := picture.DefaultFilm()
	f.Grain, f.Dot = 0, 0.1
	grey := func(word string) float64 {
		own := s
		own.Recalled = word
		r, err := picture.Radiograph(own, f)
		if err != nil {
			t.Fatal(err)
		}
		x, y := r.At(f.Beam.Project(apex.X, apex.Y-1, s.Case.Tooth.Roots[0].ApexZ))
		sum := 0.0
		for i := -3; i <= 3; i++ {
			for j := -3; j <= 3; j++ {
				sum += float64(r.Image.GrayAt(int(x)+i, int(y)+j).Y)
			}
		}
		return sum
	}
	healed, uncertain, failed, before := grey("healed"), grey("uncertain"), grey("failed"), grey("")
	if !(healed > uncertain && uncertain > failed) || failed != before {
		t.Errorf("brightness at the apex: healed %.0f, uncertain %.0f, failed %.0f, before %.0f", healed, uncertain, failed, before)
	}
	own := s
	own.Access.Opened, own.Access.Depth, own.Access.Extent = true, 9, [4]float64{1.4, 1.4, 1.2, 1.8}
	own.Restoration = "direct"
	r, err := picture.Radiograph(own, f)
	if err != nil {
		t.Fatal(err)
	}
	if x, y := r.At(f.Beam.Project(0, s.Case.Tooth.Crown.Height+0.8, 0)); r.Image.GrayAt(int(x), int(y)).Y > 10 {
		t.Error("the restoration stands out beyond the crown")
	}
}

// A perforation shows where it is: dark while it is open, light when it was closed with a dense cement.
func TestHolesOnFilm(t *testing.T) {
	s := treatment.Start(&treatment.Case{Tooth: grown(t, "lower-first-molar", 4), Settings: treatment.DefaultSettings()})
	s.Access.Through = true
	f := picture.DefaultFilm()
	f.Grain, f.Dot = 0, 0.1
	grey := func(closed bool) uint8 {
		s.HolesClosed = closed
		r, err := picture.Radiograph(s, f)
		if err != nil {
			t.Fatal(err)
		}
		h := s.HolePlaces()[0]
		x, y := r.At(f.Beam.Project(h.X, h.Y, h.Z))
		return r.Image.GrayAt(int(x), int(y)).Y
	}
	if open, closed := grey(false), grey(true); closed <= open+10 {
		t.Errorf("brightness at the hole: open %d, closed %d", open, closed)
	}
}
