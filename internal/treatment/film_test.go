package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/treatment"
)

// A film shows how far short of the root's tip a filling ends, whatever the magnification: drawn back by 2 mm it ends
// 2 mm further short, less what the canal's lean takes off (within 10 %); at the foramen it ends short by no more
// than the foramen lies beside the tip. Expected: derived.
func TestFilmShort(t *testing.T) {
	s := carved(t, 30, 0.06, 1)
	short := func(back float64, b treatment.Beam) float64 {
		s.Canals[0].Fill = treatment.Filling{Technique: "single-cone", Tip: s.Canals[0].Foramen() - back}
		return s.FilmShort(0, b)
	}
	plain, near2 := treatment.Paralleling(), treatment.Paralleling()
	near2.Source = 200
	near(t, "2 mm back", short(2, plain)-short(0, plain), 2, 0.2)
	near(t, "source nearer", short(2, near2), short(2, plain), 1e-9)
	if got, most := short(0, plain), s.Case.Tooth.Canals[0].Foramen.Offset; got < 0 || got > most {
		t.Errorf("filled to the foramen it ends %.2f mm short, the foramen is %.2f mm from the tip", got, most)
	}
	s.Canals[0].Fill = treatment.Filling{}
	if got := s.FilmShort(0, plain); got < 8 {
		t.Errorf("not filled at all it ends %.2f mm short", got)
	}
}

// A film shows the worst millimetre: half a millimetre of a canal that is empty makes a half, a millimetre with a third
// missing a third, in a canal 0.6 mm wide. A third of a canal 0.4 mm wide is a hole of 0.23 mm, which no film shows.
// Expected: derived, 0.4·√⅓; 0.3 mm: Huybrechts 2009, from memory.
func TestFilmVoid(t *testing.T) {
	with := func(size, long, share float64) float64 {
		s := carved(t, size, 0, 1)
		c := &s.Canals[0]
		n := len(c.Space.Packed)
		c.Fill = treatment.Filling{Technique: "single-cone", Tip: c.Foramen(), Solid: make([]float64, n), Paste: make([]float64, n)}
		for i := range n {
			c.Fill.Solid[i] = 1
			if back := float64(c.Space.Foramen-i) * c.Space.Step; back > 4 && back < 4+long {
				c.Fill.Solid[i] = 1 - share
			}
		}
		return c.FilmVoid()
	}
	near(t, "half a millimetre", with(60, 0.5, 1), 0.5, 0.06)
	near(t, "a third", with(60, 1.5, 1.0/3), 1.0/3, 1e-9)
	near(t, "a third of a narrow one", with(40, 1.5, 1.0/3), 0, 0)
	near(t, "none", with(60, 0, 0), 0, 0)
}

// The sealer that a dipped cone carries fills no wide gap: beside a cone of taper .02 in a canal of taper .06 it covers
// coat·π·(cone + canal) of the room and no more, a needle all of it; twice the coat fills twice as much. Expected:
// derived; the share 0.92 less a tenth of half the gap is that of a clean dry wall.
func TestSealerCoat(t *testing.T) {
	s := carved(t, 30, 0.06, 1)
	fill := func(motion string, coat float64) treatment.CanalState {
		one := *s.Case
		one.Settings.Around.SealerCoat = coat
		state := s
		state.Case = &one
		state = run(t, state,
			treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: short(s, 0.5)},
			treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "epoxy-resin", Motion: motion, Depth: short(s, 2)})
		return state.Canals[0]
	}
	c := fill("cone", 0.05)
	i := c.Space.Orifice + 5
	width := c.Space.Wall[0][i] + c.Space.Wall[1][i]
	cone := c.Cone.Diameter + 0.02*(c.Cone.Tip-float64(i)*c.Space.Step)
	room := math.Pi / 4 * (width*width - cone*cone)
	gap := 1 - c.Fill.Solid[i]
	want := gap * (0.92 - 0.1*1.5*gap) * 0.05 * math.Pi * (cone + width) / room
	near(t, "beside a dipped cone", c.Fill.Paste[i], want, 1e-6)
	near(t, "twice the coat", fill("cone", 0.1).Fill.Paste[i], 2*want, 1e-6)
	near(t, "by needle", fill("needle", 0.05).Fill.Paste[i], gap*(0.96-0.1*1.5*gap), 1e-6)
}
