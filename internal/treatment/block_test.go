package treatment_test

import (
	"math"
	"strconv"
	"testing"

	"tugback/internal/geom"
	"tugback/internal/treatment"
)

const deg = math.Pi / 180

// block returns a bare canal bent by an angle (deg) at a radius (mm).
func block(angleDeg, radius, tail float64) treatment.Block {
	b := treatment.DefaultBlock()
	b.Angle, b.Radius, b.Tail = angleDeg*deg, radius, tail
	return b
}

// filed is a way of filing a block.
type filed struct {
	family  string // "hand-steel"
	sizes   []int
	strokes int
	push    float64
	motion  string
	loose   bool // stop with a file when it is loose
	bend    int  // mm, radius of a pre-curve of steel files, 0 none
}

// onBlock files a block to half a millimetre short and returns its state and what happened. The flutes are
// wiped every five strokes and the canal is rinsed after each file.
func onBlock(t testing.TB, b treatment.Block, f filed) (treatment.State, []treatment.Event) {
	t.Helper()
	settings := treatment.DefaultSettings()
	settings.BreakageDrawn = false
	s := treatment.StartBlock(b, settings, 1)
	stop := int(math.Round(1000 * (s.Canals[0].Foramen() - 0.5)))
	var all []treatment.Event
	for _, size := range f.sizes {
		id := f.family + "-" + strconv.Itoa(size) + ".02"
		a := treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: id, Motion: f.motion, Stop: stop, Push: int(1000 * f.push), Strokes: 5}
		if f.loose {
			a.Choice = "loose"
		}
		if f.bend > 0 {
			s = run(t, s, treatment.Action{Do: treatment.Bend, Item: id, Radius: 1000 * f.bend, Length: 4000, Wall: "distal"})
		}
		for range f.strokes / 5 {
			next, events := runEvents(t, s, a, treatment.Action{Do: treatment.Wipe, Item: id})
			s, all = next, append(all, events...)
			if f.loose && s.Canals[0].Feel.Loose {
				break
			}
		}
		s = run(t, s, treatment.Action{Do: treatment.Irrigate, Canal: treatment.BlockCanal, Agent: "water", Volume: 2000, Flow: 67, Percent: 0,
			Item: "needle-30-side", Stop: stop - 2000})
	}
	return s, all
}

func count(events []treatment.Event, kind treatment.EventKind) int {
	n := 0
	for _, e := range events {
		if e.Kind == kind {
			n++
		}
	}
	return n
}

var fileSizes = []int{15, 20, 25, 30}

// TestFromSchneider: the arc that has a Schneider angle: 2·S where it ends at the foramen, rows 2, 4, 8 and 10
// of the worked examples else (derived, exact; to 1e-4 rad since those rows are rounded).
func TestFromSchneider(t *testing.T) {
	for _, c := range []struct{ schneider, radius, tail, want float64 }{
		{30, 5, 0, 60}, {20, 8, 0, 40}, {38.449, 5, 2, 60}, {48.068, 2, 3, 60}, {40.478, 4.5, 1, 70}, {22.517, 5, 0.5, 40}, {0, 5, 1, 0},
	} {
		got := treatment.FromSchneider(c.schneider*deg, c.radius, c.tail)
		if math.Abs(got-c.want*deg) > 1e-4 {
			t.Errorf("Schneider %g deg, R %g, t %g: arc %.4f deg, want %g", c.schneider, c.radius, c.tail, got/deg, c.want)
		}
		b := treatment.DefaultBlock()
		b.Angle, b.Radius, b.Tail, b.Length = got, c.radius, c.tail, 18
		if c.schneider == 0 {
			continue
		}
		s := treatment.StartBlock(b, treatment.DefaultSettings(), 1)
		if back := geom.Schneider(s.MiddleLine(0, false)); math.Abs(back-c.schneider*deg) > 0.2*deg {
			t.Errorf("Schneider %g deg reads back as %.3f", c.schneider, back/deg)
		}
	}
}

// TestBlockSpace: a block has the width and taper it was asked for, nothing cut, no pulp, and its faults are
// all told.
func TestBlockSpace(t *testing.T) {
	s := treatment.StartBlock(block(40, 6, 1), treatment.DefaultSettings(), 1)
	for _, l := range s.Levels(0) {
		if want := 0.18 + 0.03*l.Level; math.Abs(l.Before[0]-want) > 1e-3 || l.Transport != 0 || l.Centring != 1 || l.After != l.Before || l.Untouched != 1 {
			t.Errorf("level %g: %+v, want %g wide and untouched", l.Level, l, want)
		}
	}
	if s.Straightening(0) != 0 || s.LengthChange(0) != 0 {
		t.Errorf("untouched: straightening %g, length change %g", s.Straightening(0), s.LengthChange(0))
	}
	bad := block(200, 90, 1)
	bad.Width = 3
	if err := bad.Check(); err == nil || len(err.Error()) < 100 {
		t.Errorf("a block with four faults: %v", err)
	}
}

// TestLevels is C1: T = outer − inner, C = smaller/larger, the centre's shift T/2, on the three worked
// examples (the project's table of published numbers, anatomy 3.1, derived): to 1e-6, the rounding of the measures.
func TestLevels(t *testing.T) {
	for _, c := range []struct{ inner, outer, transport, centring, shift float64 }{
		{0.20, 0.35, 0.15, 0.20 / 0.35, 0.075}, {0.10, 0.10, 0, 1, 0}, {0, 0.30, 0.30, 0, 0.15}, {0, 0, 0, 1, 0},
	} {
		s := treatment.StartBlock(block(30, 8, 1), treatment.DefaultSettings(), 1)
		for i := range s.Canals[0].Space.Soft {
			s.Canals[0].Space.Wall[1][i] += c.inner // distal is inner of a distal bend
			s.Canals[0].Space.Wall[0][i] += c.outer
		}
		for _, l := range s.Levels(0) {
			if math.Abs(l.Transport-c.transport) > 1e-6 || math.Abs(l.Centring-c.centring) > 1e-6 || math.Abs(l.Shift-c.shift) > 1e-6 {
				t.Fatalf("%+v: got T %g, C %g, shift %g", c, l.Transport, l.Centring, l.Shift)
			}
		}
	}
}

// TestStraighteningSign: steel files straighten a bend, NiTi files less (Schäfer & Florek 2003, order), a
// straight block has nothing to lose; the middle moved outwards at the end by a known amount turns the
// second line by that amount over its length (derived, 5 %).
func TestStraighteningSign(t *testing.T) {
	steel, _ := onBlock(t, block(40, 6, 0), filed{family: "hand-steel", sizes: fileSizes, strokes: 40, push: 3, motion: "quarter-turn-pull"})
	niti, _ := onBlock(t, block(40, 6, 0), filed{family: "hand-niti", sizes: fileSizes, strokes: 40, push: 3, motion: "quarter-turn-pull"})
	straight, _ := onBlock(t, block(0, 6, 0), filed{family: "hand-steel", sizes: fileSizes, strokes: 40, push: 3, motion: "quarter-turn-pull"})
	a, b, c := steel.Straightening(0)/deg, niti.Straightening(0)/deg, straight.Straightening(0)/deg
	if !(a > b && b > 0 && a > 1) || c != 0 {
		t.Errorf("straightening: steel %.2f, NiTi %.2f, straight %.2f deg", a, b, c)
	}
	s := treatment.StartBlock(block(30, 10, 2), treatment.DefaultSettings(), 1)
	canal := &s.Canals[0]
	canal.Deepest = canal.Foramen()
	for i := canal.Space.Foramen - 12; i <= canal.Space.Foramen; i++ {
		canal.Space.Wall[0][i] += 0.2 // the middle moves outwards by 0.1 mm
	}
	line := 10*30*deg + 2 - 0.5
	if got, want := s.Straightening(0), 0.1/line; math.Abs(got-want) > 0.05*want {
		t.Errorf("moved by 0.1 mm over %.2f mm: %.4f rad, want %.4f", line, got, want)
	}
}

// TestLengthChange is C11 and C12: filing a bend costs length, something, up to 0.4 mm (Schroeder 2002,
// Tang 2018), and never more than straightening the whole bend to its chord would (derived); nothing in a
// straight canal.
func TestLengthChange(t *testing.T) {
	for _, c := range []struct{ angle, radius, tail float64 }{{30, 10, 1}, {60, 5, 1}} {
		s, _ := onBlock(t, block(c.angle, c.radius, c.tail), filed{family: "hand-steel", sizes: []int{15, 25, 35}, strokes: 40, push: 3, motion: "quarter-turn-pull"})
		most := math.Min(0.4, geom.StraighteningLoss(c.radius, c.angle*deg, c.tail))
		if got := s.LengthChange(0); got >= 0 || -got > most {
			t.Errorf("%g deg at %g mm: change %.3f mm, want below 0, to -%.3f", c.angle, c.radius, got, most)
		}
	}
	s, _ := onBlock(t, block(0, 6, 0), filed{family: "hand-steel", sizes: fileSizes, strokes: 20, push: 3, motion: "quarter-turn-pull"})
	if got := s.LengthChange(0); math.Abs(got) > 1e-9 {
		t.Errorf("straight: change %g mm", got)
	}
}
