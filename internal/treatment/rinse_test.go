package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// jet returns a needle in a round cone of a size and taper (%), its tip a distance short of the end.
func jet(outer, bore float64, vent string, size, taper, short, flow float64) treatment.Jet {
	j := treatment.Jet{Outer: outer, Bore: bore, Vent: vent, Flow: flow, Short: short, Step: 0.1}
	at := func(x float64) float64 { return size/100 + taper/100*x }
	j.Narrow = at(math.Max(0, short-1))
	for x := short; x < 12; x += j.Step {
		j.Gaps = append(j.Gaps, math.Max(0, (at(x)-outer)/2))
	}
	return j
}

// thirty is a 30 gauge needle.
func thirty(vent string, size, taper, short, flow float64) treatment.Jet {
	return jet(0.3112, 0.159, vent, size, taper, short, flow)
}

// P5. Source: Boutsioukis 2010, J Endod 36:1664, 30 gauge, size 45 taper .06, 0.26 ml/s.
func TestExchange(t *testing.T) {
	for _, c := range []struct {
		vent  string
		short float64
		want  bool
	}{
		{"side", 1, true}, {"side", 2, false}, {"side", 3, false}, {"side", 4, false}, {"side", 5, false},
		{"open", 1, true}, {"open", 2, true}, {"open", 3, false}, {"open", 4, false}, {"open", 5, false},
	} {
		j := thirty(c.vent, 45, 6, c.short, 0.26)
		if got := j.Reach() >= c.short; got != c.want {
			t.Errorf("%s, %g mm short: renewed to the end %t (reach %.2f mm), want %t", c.vent, c.short, got, j.Reach(), c.want)
		}
	}
	if wide, narrow := thirty("side", 45, 6, 1, 0.26).Reach(), thirty("side", 25, 6, 2, 0.26).Reach(); narrow >= wide {
		t.Errorf("size 25 is rinsed as far as size 45: %.2f and %.2f mm", narrow, wide) // Boutsioukis 2010, apical size
	}
}

// P6. Order open > notched > side, falling with distance, faster than linear in flow. Sources:
// Boutsioukis 2010, J Endod 36:875 and 1664; Khan 2013.
func TestApicalPressure(t *testing.T) {
	open, notched, side := thirty("open", 45, 6, 1, 0.26).Pressure(), thirty("notched", 45, 6, 1, 0.26).Pressure(), thirty("side", 45, 6, 1, 0.26).Pressure()
	if !(open > notched && notched > side && side > 0) {
		t.Errorf("open %.0f, notched %.0f, side %.0f Pa", open, notched, side)
	}
	last := math.Inf(1)
	for short := 1.0; short <= 5; short++ {
		p := thirty("open", 45, 6, short, 0.26).Pressure()
		if p >= last {
			t.Errorf("%g mm short: %.0f Pa, not below %.0f", short, p, last)
		}
		last = p
	}
	for q := 0.02; q < 0.25; q += 0.02 {
		if one, two := thirty("open", 45, 6, 1, q).Pressure(), thirty("open", 45, 6, 1, 2*q).Pressure(); two <= 2*one {
			t.Errorf("%.2f ml/s: %.0f Pa, doubled %.0f Pa: not faster than linear", q, one, two)
		}
	}
	if thin, wide := thirty("side", 60, 2, 1, 0.26).Pressure(), thirty("side", 60, 6, 1, 0.26).Pressure(); wide >= thin {
		t.Errorf("taper .06 %.0f Pa, .02 %.0f Pa: more taper must press less", wide, thin) // Boutsioukis 2010, IEJ 43:909
	}
}

// P8. A side-vented needle 1 mm short against 30 mmHg lets nothing out up to 3 ml/min; without
// back-pressure more goes out at every flow. Source: protocol facts [10].
func TestEscape(t *testing.T) {
	const back = 3999.7
	for perMinute := 0.5; perMinute <= 3; perMinute += 0.5 {
		j := thirty("side", 35, 6, 1, perMinute/60)
		with, without := j.Escape(0.35, back, 1), j.Escape(0.35, 0, 1)
		if with != 0 || without <= with {
			t.Errorf("%g ml/min: %g ml/s against 30 mmHg, %g ml/s against none", perMinute, with, without)
		}
	}
	if small, large := thirty("open", 50, 6, 1, 0.26).Escape(0.3, back, 1), thirty("open", 50, 6, 1, 0.26).Escape(0.6, back, 1); large <= small {
		t.Errorf("a wide foramen lets out %g ml/s, a small one %g", large, small)
	}
}

// P9. Source: Mitchell 2011, J Endod: 36 % at size 35, 60 % at size 50.
func TestSeep(t *testing.T) {
	s := detmath.NewStream(1, "seep")
	for _, c := range []struct{ size, want float64 }{{0.35, 0.36}, {0.50, 0.60}} {
		n := 0
		for range 2000 {
			if s.Normal(0, 1) < treatment.SeepScore(c.size) {
				n++
			}
		}
		if got := float64(n) / 2000; math.Abs(got-c.want) > 0.04 {
			t.Errorf("apex %.2f mm: %.2f of canals, want %.2f", c.size, got, c.want)
		}
	}
}

// P10. 48 % over a balanced grid, four monotone trends. Source: Boutsioukis 2014, Int Endod J.
func TestAirLock(t *testing.T) {
	sum, n := 0.0, 0.0
	for _, vent := range []string{"open", "side"} {
		for _, short := range []float64{1, 3} {
			for _, size := range []float64{30, 50} {
				for _, flow := range []float64{0.083, 0.26} {
					sum += thirty(vent, size, 4, short, flow).LockChance(0.48)
					n++
				}
			}
		}
	}
	if got := sum / n; math.Abs(got-0.48) > 0.1 {
		t.Errorf("air lock in %.2f of a balanced grid, want 0.48", got)
	}
	base := thirty("side", 35, 4, 2, 0.1).LockChance(0.48)
	for name, j := range map[string]treatment.Jet{"open end": thirty("open", 35, 4, 2, 0.1), "nearer": thirty("side", 35, 4, 1, 0.1),
		"wider apex": thirty("side", 50, 4, 2, 0.1), "more flow": thirty("side", 35, 4, 2, 0.26)} {
		if got := j.LockChance(0.48); got >= base {
			t.Errorf("%s: %.2f, not below %.2f", name, got, base)
		}
	}
	if got := thirty("side", 35, 4, 2, 0.1).LockChance(0); got != 0 {
		t.Errorf("air lock switched off: %g", got)
	}
}

// P11, P12. Source: Stojicic 2010, J Endod: almost linear in 1, 2, 4, 5.8 %; agitation above
// temperature; best to worst about fiftyfold.
func TestDissolution(t *testing.T) {
	one := treatment.Dissolved(1, 5, 22, "none")
	for _, c := range []float64{2, 4, 5.8} {
		if got := treatment.Dissolved(c, 5, 22, "none") / one; math.Abs(got/c-1) > 0.15 {
			t.Errorf("%g %% dissolves %.2f times as much as 1 %%", c, got)
		}
	}
	warm, stirred := treatment.Dissolved(1, 5, 45, "none")/treatment.Dissolved(1, 5, 20, "none"), treatment.Dissolved(1, 5, 20, "ultrasonic")/treatment.Dissolved(1, 5, 20, "none")
	if stirred <= warm || warm <= 1 {
		t.Errorf("agitation gains %.2f, warming %.2f", stirred, warm)
	}
	if best := treatment.Dissolved(5.8, 1, 45, "ultrasonic") / treatment.Dissolved(1, 1, 22, "none"); best < 35 || best > 65 {
		t.Errorf("best against worst %.0f, published about 50", best)
	}
}

// P13, P14. Sources: Zehnder 2005; Clarkson 2011; Basrani 2007.
func TestMixing(t *testing.T) {
	if got := 0.5 * treatment.ChlorineLeft(0.5); math.Abs(got-0.06) > 0.02 {
		t.Errorf("1:1 leaves %.3f %% chlorine of 0.50, want 0.06", got)
	}
	if lost := 1 - treatment.ChlorineLeft(0.1); lost < 0.08 || lost > 0.31 {
		t.Errorf("90:10 loses %.2f, measured 0.08 to 0.31", lost)
	}
	for percent, want := range map[float64]string{0: "", 0.022: "", 0.023: "colour", 0.18: "colour", 0.19: "precipitate", 3: "precipitate"} {
		if got := treatment.Meeting(percent); got != want {
			t.Errorf("%g %% NaOCl meets chlorhexidine: %q, want %q", percent, got, want)
		}
	}
}

// P15. Source: Calt & Serper 2002, J Endod 28:17, each followed by 10 ml of 5 % NaOCl.
func TestErosion(t *testing.T) {
	if one, ten := treatment.EtchedBy(60, 5*60), treatment.EtchedBy(600, 5*60); one != 0 || ten < 0.9 {
		t.Errorf("after 1 min %.2f, after 10 min %.2f", one, ten)
	}
	if got := treatment.EtchedBy(600, 0); got != 0 {
		t.Errorf("EDTA alone erodes %.2f", got)
	}
}

// P16. Source: Sjögren 1991, Int Endod J 24:119.
func TestDressing(t *testing.T) {
	if minutes, week := treatment.SurvivorsUnder(10.0/1440), treatment.SurvivorsUnder(7); minutes < 0.95 || week > 0.2 || week <= 0 {
		t.Errorf("ten minutes leave %.3f, a week %.3f", minutes, week)
	}
}

// P18. Bands 40–50 % for the syringe, 55–95 % with ultrasound. Sources: protocol facts [15c], [15d].
func TestRecess(t *testing.T) {
	syringe, ultrasonic := 1-treatment.RecessKept(5.5, 60, "none"), 1-treatment.RecessKept(5.5, 60, "ultrasonic")
	if syringe < 0.4 || syringe > 0.5 || ultrasonic < 0.55 || ultrasonic > 0.95 {
		t.Errorf("syringe takes %.2f, ultrasound %.2f", syringe, ultrasonic)
	}
	if more := 1 - treatment.RecessKept(5.5, 20, "ultrasonic"); more >= ultrasonic {
		t.Errorf("20 s take %.2f, 60 s %.2f: longer must take more", more, ultrasonic) // 15e
	}
}

// The order of irrigants shows on the wall: chlorhexidine straight after hypochlorite leaves a
// precipitate, after water it does not.
func TestOrderOfIrrigants(t *testing.T) {
	s := opened(t, molar(t, 3, 10, 20))
	s = run(t, s, sequence(s, 35, "quarter-turn-pull", 2, 20)...)
	at := func(agent string, percent int) treatment.Action {
		a := rinse(s)
		a.Agent, a.Percent, a.Time = agent, percent, 30_000
		return a
	}
	direct := run(t, s, at("sodium-hypochlorite", 30), at("chlorhexidine", 20))
	flushed := run(t, s, at("sodium-hypochlorite", 30), at("water", 0), at("chlorhexidine", 20))
	if a, b := metric(t, direct, "deposit_share"), metric(t, flushed, "deposit_share"); a < 0.5 || b > 0.2 {
		t.Errorf("wall covered: directly %.2f, after water %.2f", a, b)
	}
}

// A needle thicker than the orifice is refused with the reason; the state stays as it was.
func TestNeedleTooThick(t *testing.T) {
	s := opened(t, molar(t, 3, 20, 10))
	c := s.Canals[0]
	width := math.Min(c.Space.Wall[0][c.Space.Orifice]+c.Space.Wall[1][c.Space.Orifice], c.Space.Wall[2][c.Space.Orifice]+c.Space.Wall[3][c.Space.Orifice])
	for id, outer := range map[string]float64{"needle-23-open": 0.6414, "needle-30-side": 0.3112} {
		a := rinse(s)
		a.Item = id
		after, _, err := treatment.Step(s, a)
		if refused := err != nil; refused != (width < outer) {
			t.Errorf("%s into an orifice of %.2f mm: %v", id, width, err)
		} else if refused && after.Done != s.Done {
			t.Errorf("%s: a refused action changed the state", id)
		}
	}
}

// G8. A straight needle comes to max(0, (OD − size)/taper) of the end of a round cone. Expected: derived,
// all gauges and cones of protocol facts 3.1; tolerance: one station and what a needle needs to be loose.
func TestNeedleReach(t *testing.T) {
	for _, cone := range []struct{ size, taper float64 }{{25, 0.04}, {25, 0.06}, {30, 0.04}, {30, 0.06}, {35, 0.04}, {35, 0.06}, {40, 0.04}, {40, 0.06}} {
		s := carved(t, cone.size, cone.taper, 1)
		c := s.Canals[0]
		for id, outer := range map[string]float64{"needle-30-open": 0.3112, "needle-29-open": 0.3366, "needle-28-open": 0.3620,
			"needle-27-open": 0.4128, "needle-26-open": 0.4636, "needle-25-open": 0.5144, "needle-23-open": 0.6414} {
			want := math.Max(0, (outer-cone.size/100)/cone.taper)
			if want > c.Foramen()-c.Orifice()-0.5 {
				continue // this needle does not get into so short a canal
			}
			a := rinse(s)
			a.Item, a.Stop, a.Flow = id, int(1000*c.Foramen()), 20
			_, events := runEvents(t, s, a)
			got := 0.0
			for _, e := range events {
				if e.Kind == treatment.NeedleBound {
					got = e.Level
				}
			}
			near(t, id+" from the end", got, want, 0.22)
		}
	}
}

// The liquid in a full canal is its volume: a frustum. Expected: closed form, π·L/12·(d² + d·D + D²); the
// values of protocol facts 3.4 (G9) are that of 15 mm.
func TestCanalVolume(t *testing.T) {
	frustum := func(size, taper, length float64) float64 {
		d, big := size/100, size/100+taper*length
		return math.Pi * length / 12 * (d*d + d*big + big*big)
	}
	for _, g := range []struct{ size, taper, want float64 }{{25, 0.04, 3.917}, {25, 0.06, 6.568}, {30, 0.04, 4.595}, {30, 0.06, 7.422}, {35, 0.06, 8.335}, {40, 0.04, 6.126}} {
		near(t, "G9", frustum(g.size, g.taper, 15), g.want, 0.005)
		s := carved(t, g.size, g.taper, 1)
		s = run(t, s, rinse(s))
		c := s.Canals[0]
		near(t, "volume", c.Wet, frustum(g.size, g.taper, c.Foramen()-c.Orifice()), 0.15)
	}
}
