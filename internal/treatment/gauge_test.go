package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/treatment"
)

// A canal of size 35 three quarters of a millimetre from its end, where the shoulder of a file's tip comes to lie, is
// told by a size 35 file that stands snug half a millimetre from it. In a
// straight canal steel tells it; round a bend of 30° and 8 mm steel is held before its tip binds and says so,
// while NiTi follows and tells it. Direction: NiTi bends with a fifth of steel's modulus (instruments facts);
// that large steel files are too stiff to gauge in bends is common practice, no source.
func TestGaugingByAlloy(t *testing.T) {
	gauge := func(angle float64, item string) (string, treatment.State) {
		b := treatment.DefaultBlock()
		b.Angle, b.Tail, b.Width, b.Taper = angle*math.Pi/180, 2, 0.32, 0.04
		s := treatment.StartBlock(b, treatment.DefaultSettings(), 1)
		s, events := runEvents(t, s, treatment.Action{Do: treatment.Gauge, Canal: treatment.BlockCanal, Item: item,
			Stop: int(1000 * (s.Canals[0].Foramen() - 0.5))})
		return events[0].Detail, s
	}
	for _, c := range []struct {
		angle      float64
		item, want string
		size       int
	}{
		{0, "hand-steel-35.02", "snug", 35}, {0, "hand-niti-35.02", "snug", 35}, {0, "hand-steel-25.02", "passes", 0}, {0, "hand-steel-45.02", "short", 0},
		{30, "hand-steel-35.02", "stiff", 0}, {30, "hand-niti-35.02", "snug", 35}, {30, "hand-niti-25.02", "passes", 0}, {30, "hand-niti-45.02", "short", 0},
	} {
		got, s := gauge(c.angle, c.item)
		if got != c.want || s.Canals[0].Gauged != c.size {
			t.Errorf("%g°, %s: %s, size %d written down; want %s, %d", c.angle, c.item, got, s.Canals[0].Gauged, c.want, c.size)
		}
	}
}

// Where one size slips past its stop and the next stops short, the apex lies between and the smaller is told; a size
// further on tells nothing. Derived.
func TestGaugingBetweenSizes(t *testing.T) {
	b := treatment.DefaultBlock()
	b.Width, b.Taper = 0.37, 0.02
	s := treatment.StartBlock(b, treatment.DefaultSettings(), 1)
	gauge := func(s treatment.State, size string) treatment.State {
		return run(t, s, treatment.Action{Do: treatment.Gauge, Canal: treatment.BlockCanal, Item: "hand-niti-" + size + ".02",
			Stop: int(1000 * (s.Canals[0].Foramen() - 0.5))})
	}
	slipped := gauge(s, "35")
	if slipped.Canals[0].Gauged != 0 {
		t.Fatal("a size that slips past is no size")
	}
	if got := gauge(slipped, "40").Canals[0].Gauged; got != 35 {
		t.Errorf("35 slips, 40 stops short: size %d", got)
	}
	if got := gauge(gauge(s, "25"), "40").Canals[0].Gauged; got != 0 {
		t.Errorf("25 slips, 40 stops short: size %d of what lies between", got)
	}
	if got := gauge(s, "40").Canals[0].Gauged; got != 0 {
		t.Errorf("40 stops short, nothing else was tried: size %d", got)
	}
}
