package treatment_test

import (
	"math"
	"strconv"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// level returns the measures at a level.
func level(s treatment.State, mm int) treatment.Level { return s.Levels(0)[mm] }

// TestStraightBlock: with curvature 0 there is no transportation, ledge or straightening, whatever the file,
// motion and push (control).
func TestStraightBlock(t *testing.T) {
	for _, f := range []filed{
		{family: "hand-steel", sizes: fileSizes, strokes: 40, push: 2, motion: "quarter-turn-pull"},
		{family: "hand-steel", sizes: []int{15, 40}, strokes: 40, push: 12, motion: "reaming"},
		{family: "hand-niti", sizes: fileSizes, strokes: 40, push: 3, motion: "watch-winding"},
		{family: "rotary", sizes: fileSizes, strokes: 20, push: 1.5, motion: "rotation"},
	} {
		s, events := onBlock(t, block(0, 8, 0), f)
		for _, l := range s.Levels(0) {
			if math.Abs(l.Transport) > 1e-9 || l.Cut[2] != l.Cut[3] {
				t.Errorf("%s: level %g: transport %g", f.family, l.Level, l.Transport)
			}
		}
		for _, kind := range []treatment.EventKind{treatment.Ledge, treatment.Transported, treatment.Straightened, treatment.WallWorn} {
			if n := count(events, kind); n > 0 {
				t.Errorf("%s: %d times %s in a straight canal", f.family, n, kind)
			}
		}
	}
}

// TestWearByMaterial is C6 and M5's like: at the same files and strokes steel cuts the outer wall at the apex
// (0–2 mm) and the inner wall at mid-curve (Weine 1975, Elemam 2016), NiTi less than half as unevenly there
// (Schäfer & Florek 2003: less at the outer apical wall, order).
func TestWearByMaterial(t *testing.T) {
	for _, b := range []treatment.Block{block(40, 6, 0), block(30, 10, 1)} {
		middle := int(math.Round(b.Tail + b.Radius*b.Angle*0.6))
		f := filed{family: "hand-steel", sizes: fileSizes, strokes: 40, push: 3, motion: "quarter-turn-pull"}
		steel, _ := onBlock(t, b, f)
		f.family = "hand-niti"
		niti, _ := onBlock(t, b, f)
		if level(steel, 1).Transport < 0.1 || level(steel, middle).Transport > -0.05 {
			t.Errorf("R %g: steel transports %.3f mm at 1 mm and %.3f at %d mm", b.Radius, level(steel, 1).Transport, level(steel, middle).Transport, middle)
		}
		if n := level(niti, 1).Transport; n > 0.5*level(steel, 1).Transport || n < 0.02 || n > 0.4 {
			t.Errorf("R %g: NiTi transports %.3f mm at 1 mm, steel %.3f; C8: 0.02 to 0.40 (Peters 2003)", b.Radius, n, level(steel, 1).Transport)
		}
	}
}

// TestWearBySize is C7: steel transports the apex more with the sizes 30, 35, 40 (2008 J Endod).
func TestWearBySize(t *testing.T) {
	last := 0.0
	for n := 4; n <= 6; n++ {
		s, _ := onBlock(t, block(30, 10, 1), filed{family: "hand-steel", sizes: []int{15, 20, 25, 30, 35, 40}[:n], strokes: 40, push: 3, motion: "quarter-turn-pull"})
		if got := level(s, 1).Transport; got <= last {
			t.Errorf("%d files: %.3f mm after %.3f", n, got, last)
		} else {
			last = got
		}
	}
}

// TestWearByRadius is C9 and the control on bends: at equal angle, files and strokes the smaller radius
// leaves the bend's own levels less centred (Christofzik 2018).
func TestWearByRadius(t *testing.T) {
	last := 0.0
	for _, radius := range []float64{5, 9, 18} {
		s, _ := onBlock(t, block(30, radius, 1), filed{family: "hand-steel", sizes: []int{15, 20, 25}, strokes: 40, push: 3, motion: "quarter-turn-pull"})
		off, whole := 0.0, 0.0
		for mm := 1; mm <= 1+int(math.Ceil(radius*30*deg)); mm++ {
			l := level(s, mm)
			off, whole = off+math.Abs(l.Transport), whole+l.Inner+l.Outer
		}
		if got := 1 - off/whole; got <= last {
			t.Errorf("R %g mm: %.3f of the cut is centred, at the smaller radius %.3f", radius, got, last)
		} else {
			last = got
		}
	}
}

// TestTooLargeBinds: a file far too large for the canal binds and does not slide to length (control).
func TestTooLargeBinds(t *testing.T) {
	s, events := onBlock(t, block(30, 8, 1), filed{family: "hand-steel", sizes: []int{60}, strokes: 5, push: 3, motion: "push-pull"})
	if f := s.Canals[0].Feel; f.Why == "stop" || f.Loose || s.Canals[0].Foramen()-f.Depth < 2 || count(events, treatment.Halted) == 0 {
		t.Errorf("a size 60 in a canal of 0.18 mm: %+v", f)
	}
}

// TestCarefulHand: in the same canal a hand that pre-curves, takes every size, stops when loose and changes
// to NiTi loses less than one that skips sizes with steel and force: less transportation, less straightening,
// no ledge (order; C15: novice more than expert, Kapalas 2000).
func TestCarefulHand(t *testing.T) {
	for _, b := range []treatment.Block{block(40, 5, 1.5), block(56, 8, 0)} {
		s, quiet := onBlock(t, b, filed{family: "hand-steel", sizes: []int{10, 15, 20}, strokes: 40, push: 1.5, motion: "watch-winding", loose: true, bend: 6})
		careful, _ := onBlock(t, b, filed{family: "hand-niti", sizes: []int{15, 20, 25, 30}, strokes: 60, push: 2, motion: "watch-winding", loose: true})
		hurried, loud := onBlock(t, b, filed{family: "hand-steel", sizes: []int{15, 30, 40}, strokes: 40, push: 8, motion: "quarter-turn-pull"})
		worst := func(s treatment.State) float64 {
			most := 0.0
			for _, l := range s.Levels(0) {
				most = math.Max(most, math.Abs(l.Transport))
			}
			return most
		}
		if a, c, h := worst(s), worst(careful), worst(hurried); !(a < 0.2 && c < 0.6*h) {
			t.Errorf("R %g: largest transportation: glide path %.3f, careful %.3f, hurried %.3f mm", b.Radius, a, c, h)
		}
		if careful.Straightening(0) >= hurried.Straightening(0) {
			t.Errorf("R %g: straightening careful %.2f, hurried %.2f deg", b.Radius, careful.Straightening(0)/deg, hurried.Straightening(0)/deg)
		}
		if count(quiet, treatment.Ledge) > 0 || count(loud, treatment.Ledge) == 0 {
			t.Errorf("R %g: ledges: careful %d, hurried %d", b.Radius, count(quiet, treatment.Ledge), count(loud, treatment.Ledge))
		}
	}
}

// TestLedgeByCurvature is C15: ledges come in sharp bends and not in gentle ones at the same files, push and
// strokes (Kapalas & Lambrianidis 2000: curvature is the strongest factor; order only), and C9: at equal angle in
// those of small radius, also without a skipped size (Christofzik 2018, order only).
func TestLedgeByCurvature(t *testing.T) {
	f := filed{family: "hand-steel", sizes: []int{15, 25, 35}, strokes: 40, push: 3, motion: "quarter-turn-pull"}
	_, gentle := onBlock(t, block(12, 20, 1), f)
	_, sharp := onBlock(t, block(50, 5, 1.5), f)
	if a, b := count(gentle, treatment.Ledge), count(sharp, treatment.Ledge); a != 0 || b == 0 {
		t.Errorf("ledges: %d in 12 deg at 20 mm, %d in 50 deg at 5 mm", a, b)
	}
	for _, push := range []float64{2, 3} {
		f.sizes, f.push = fileSizes, push
		_, sharp := onBlock(t, block(40, 5, 1.5), f)
		_, wide := onBlock(t, block(40, 16, 1.5), f)
		if a, b := count(wide, treatment.Ledge), count(sharp, treatment.Ledge); a != 0 || b == 0 {
			t.Errorf("ledges in 40 deg with %g N: %d at 16 mm, %d at 5 mm", push, a, b)
		}
	}
}

// TestZip: filing in and out with steel makes the hourglass of the most curved canals, an apex wider than the
// elbow above it (Dummer 1989, Weine 1975); a canal that widens crownwards has none.
func TestZip(t *testing.T) {
	figure := func(s treatment.State, name string) float64 {
		v, found := treatment.MeasureOutcome(s).Value(name, treatment.BlockCanal)
		if !found {
			t.Fatalf("no metric %s", name)
		}
		return v
	}
	s, events := onBlock(t, block(45, 5, 0), filed{family: "hand-steel", sizes: []int{15, 20, 25, 30, 35}, strokes: 40, push: 4, motion: "quarter-turn-pull"})
	if zip, elbow := figure(s, "zip_mm"), figure(s, "elbow_level_mm"); zip < 0.03 || elbow < 0.5 || count(events, treatment.Zipped) == 0 {
		t.Errorf("zip %.3f mm with its elbow at %.1f mm, told %d times", zip, elbow, count(events, treatment.Zipped))
	}
	none := treatment.StartBlock(block(45, 5, 0), treatment.DefaultSettings(), 1)
	if zip := figure(none, "zip_mm"); zip != 0 {
		t.Errorf("untouched canal has a zip of %g mm", zip)
	}
}

// TestAnticurvature is the order of M4 and C13 (the amounts: TestFurcalShare): with three strokes on each other wall for one on the furcal wall less of
// the furcal wall at 8 mm is lost than with even filing, and both take more from the furcal than from the
// mesial wall there (Lim & Stock 1987: 41 against 56 %; ratio 0.73 ± 0.25).
func TestAnticurvature(t *testing.T) {
	lost := map[string]float64{}
	for _, motion := range []string{"circumferential", "anticurvature"} {
		s := opened(t, molar(t, 3, 25, 12))
		back := 0.5
		for _, size := range []int{15, 20, 25, 30, 35, 40, 50, 60} {
			id := "hand-h-" + strconv.Itoa(size) + ".02"
			a := file(s, id, motion, back, 1.5, 25)
			a.Press = 4000
			wipe := treatment.Action{Do: treatment.Wipe, Item: id}
			s = run(t, s, a, wipe, a, wipe, rinse(s))
			if size >= 25 {
				back++
			}
		}
		l := level(s, 8)
		lost[motion] = l.Inner
		if l.Inner <= l.Outer {
			t.Errorf("%s: furcal wall %.3f mm, mesial %.3f at 8 mm", motion, l.Inner, l.Outer)
		}
	}
	if r := lost["anticurvature"] / lost["circumferential"]; !(r > 0.48 && r < 0.98) {
		t.Errorf("furcal wall lost at 8 mm: anticurvature %.3f, even %.3f mm, ratio %.2f", lost["anticurvature"], lost["circumferential"], r)
	}
}

// TestConventions is C2 and C14: the limits that are conventions are the published ones (transportation 0.30 mm,
// Wu 2000, a leakage convention; a wall of 0.3 mm, Lim & Stock 1987), and shaping a block tells of them in the
// action in which the wall passes them, not before and not without.
func TestConventions(t *testing.T) {
	settings := treatment.DefaultSettings()
	if settings.TransportLimit != 0.30 || settings.StripThickness != 0.3 {
		t.Errorf("transportation %g mm, strip %g mm", settings.TransportLimit, settings.StripThickness)
	}
	settings.BreakageDrawn = false
	b := block(50, 5, 0.5)
	b.Wall = 0.75
	s := treatment.StartBlock(b, settings, 1)
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	measure := func() (apical, least float64) {
		c := &s.Canals[0]
		least = math.Inf(1)
		for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
			level := c.Foramen() - float64(i)*c.Space.Step
			for p := range 2 {
				if d := c.Space.Wall[2*p+1][i] - c.First[2*p+1][i] - c.Space.Wall[2*p][i] + c.First[2*p][i]; level <= 3 {
					apical = math.Max(apical, math.Abs(d))
				}
			}
			for side := range 4 {
				if level >= 2 {
					least = math.Min(least, c.Space.Surface[side][i]-c.Space.Wall[side][i])
				}
			}
		}
		return apical, least
	}
	told := map[treatment.EventKind]int{}
	for _, size := range []string{"15", "20", "25", "30", "35", "40", "45", "50"} {
		for range 6 {
			wide, thin := measure()
			next, events := runEvents(t, s, treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: "hand-steel-" + size + ".02", Motion: "quarter-turn-pull",
				Stop: stop, Push: 4000, Strokes: 10}, treatment.Action{Do: treatment.Wipe, Item: "hand-steel-" + size + ".02"})
			s = next
			wider, thinner := measure()
			for kind, want := range map[treatment.EventKind]bool{treatment.Transported: wider > 0.30 && wider > wide+1e-3, treatment.StripRisk: thinner < 0.3 && thinner < thin-1e-6} {
				if got := count(events, kind) > 0; got != want {
					t.Errorf("size %s: %s told: %t; transportation %.4f after %.4f, wall %.4f after %.4f mm", size, kind, got, wider, wide, thinner, thin)
				}
				told[kind] += count(events, kind)
			}
		}
	}
	if told[treatment.Transported] == 0 || told[treatment.StripRisk] == 0 {
		t.Errorf("nothing to tell: %v", told)
	}
}

// TestLedgeByCanal is the order of C15 by canal: the same skipped sizes of steel with the same force meet steps and
// leave ledges in more of the mesial canals of lower first molars than of the distal ones (Kapalas & Lambrianidis
// 2000: MB, ML, DB before D, P), as grown from the norms, without a word of which canal is which.
func TestLedgeByCanal(t *testing.T) {
	ledged := map[string]int{}
	for seed := range uint64(8) {
		grown, err := anatomy.Grow(anatomy.Spec{Kind: "lower-first-molar", Canals: []anatomy.CanalSpec{{Name: "MB"}, {Name: "ML"}, {Name: "D"}}}, seed)
		if err != nil {
			continue
		}
		s := opened(t, &treatment.Case{Scenario: "test", Seed: seed, Number: 46, Tooth: grown, Settings: treatment.DefaultSettings()})
		for k, name := range []string{"MB", "ML", "D"} {
			s.Canals[k].Found = true
			met := false
			for _, size := range []string{"15", "25", "35"} {
				next, events := runEvents(t, s, treatment.Action{Do: treatment.Work, Canal: name, Item: "hand-steel-" + size + ".02", Motion: "quarter-turn-pull",
					Stop: int(1000 * (s.Canals[k].Foramen() - 1)), Push: 3000, Strokes: 25})
				s = next
				met = met || count(events, treatment.Ledge) > 0 || s.Canals[k].Feel.Why == "step"
			}
			if met {
				ledged[name]++
			}
		}
	}
	t.Logf("canals with a step or ledge: %v", ledged)
	if mesial := float64(ledged["MB"]+ledged["ML"]) / 2; mesial < float64(ledged["D"])+1 {
		t.Errorf("canals with a step or ledge: %v", ledged)
	}
}

// TestBalancedForceAngles is M2: at most 180° clockwise and at least 120° back are as published (Roane 1985),
// anything else is flagged and done all the same.
func TestBalancedForceAngles(t *testing.T) {
	for _, c := range []struct {
		forward, back int
		flagged       bool
	}{{90, 120, false}, {180, 270, false}, {90, 110, true}, {190, 150, true}, {90, 180, false}} {
		s := treatment.StartBlock(block(20, 10, 1), treatment.DefaultSettings(), 1)
		_, events := runEvents(t, s, treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: "hand-flex-20.02", Motion: "balanced-force",
			Stop: 21500, Push: 1500, Strokes: 3, Forward: 10 * c.forward, Back: 10 * c.back})
		if got := count(events, treatment.AnglesOutside) > 0; got != c.flagged || count(events, treatment.Reached)+count(events, treatment.Halted) != 1 {
			t.Errorf("%d/%d: flagged %v, want %v", c.forward, c.back, got, c.flagged)
		}
	}
}

// TestFeel: the hand is told how far, why, and how the resistance changes; a loose file meets little.
func TestFeel(t *testing.T) {
	s := treatment.StartBlock(block(20, 12, 1), treatment.DefaultSettings(), 1)
	work := treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: "hand-steel-25.02", Motion: "quarter-turn-pull", Stop: 21500, Push: 2000, Strokes: 4}
	s, first := runEvents(t, s, work)
	f := s.Canals[0].Feel
	if f.Depth <= 0 || f.Why == "" || f.Now <= 0 || f.Tug < 0 || f.Strokes != 4 || count(first, treatment.Felt) != 1 {
		t.Errorf("after four strokes: %+v", f)
	}
	for range 15 {
		s = run(t, s, treatment.Action{Do: treatment.Wipe, Item: work.Item}, work)
	}
	if g := s.Canals[0].Feel; !g.Loose || g.Now >= f.Now || g.Why != "stop" {
		t.Errorf("after sixty strokes: %+v", g)
	}
}
