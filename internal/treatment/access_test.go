package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// B14. Drilling deeper than from cusp to furcation perforates, not before; the mean roof lies 6.36 mm and the
// mean floor 7.95 mm below the cusp in lower molars, ± 0.3 mm. Source: Deutsch & Musikant 2004, J Endod
// 30:388.
func TestFloorPerforation(t *testing.T) {
	roof, floor := 0.0, 0.0
	const n = 40
	for seed := range uint64(n) {
		grown, err := anatomy.Grow(anatomy.Spec{Kind: "lower-first-molar"}, seed)
		if err != nil {
			t.Fatal(err)
		}
		top := 0.0
		for _, c := range grown.Crown.Cusps {
			top = math.Max(top, c.Point.Y)
		}
		roof += (top - grown.Chamber.Roof) / n
		floor += (top - grown.Chamber.Floor) / n
		c := &treatment.Case{Seed: seed, Number: 46, Tooth: grown, Settings: treatment.DefaultSettings()}
		for _, over := range []float64{-0.1, 0.1} {
			depth := int(1000 * (top - grown.Furcation.Y + over))
			s := run(t, treatment.Start(c), treatment.Action{Do: treatment.Open, Depth: depth, Mesial: 2000, Distal: 2000, Buccal: 2000, Lingual: 2000, Choice: "round", Tested: 1})
			if s.Access.Through != (over > 0) {
				t.Errorf("seed %d: %+.1f mm beyond the furcation perforates: %t", seed, over, s.Access.Through)
			}
			safe := run(t, treatment.Start(c), treatment.Action{Do: treatment.Open, Depth: depth, Mesial: 2000, Distal: 2000, Buccal: 2000, Lingual: 2000, Choice: "safe-ended", Tested: 1})
			if safe.Access.FloorCut > 0 {
				t.Errorf("seed %d: a safe-ended bur cut %.2f mm into the floor", seed, safe.Access.FloorCut)
			}
		}
	}
	near(t, "cusp to roof", roof, 6.36, 0.3)
	near(t, "cusp to floor", floor, 7.95, 0.3)
}

// The bur's direction matters: off the axis it gouges and at last perforates a wall; along it, the same
// depth and outline do not.
func TestBurDirection(t *testing.T) {
	c := molar(t, 3, 20, 10)
	drill := func(lean int) (treatment.State, []treatment.Event) {
		return runEvents(t, treatment.Start(c), treatment.Action{Do: treatment.Open, Depth: 7500, Mesial: 2500, Distal: 2000, Buccal: 2000, Lingual: 2000, Choice: "round", Tested: 1, Angle: lean})
	}
	straight, _ := drill(0)
	last := straight.Access.WallLeft
	for _, lean := range []int{50, 100, 200, 300} {
		s, _ := drill(lean)
		if s.Access.WallLeft >= last && s.Access.WallLeft > 1e-5 {
			t.Errorf("leaning %d deg leaves %.2f mm, not less than %.2f", lean/10, s.Access.WallLeft, last)
		}
		last = s.Access.WallLeft
	}
	s, events := drill(300)
	if !s.Access.Sideways || len(events) == 0 {
		t.Errorf("30 deg off the axis, 7.5 mm deep: perforated %t", s.Access.Sideways)
	}
}

// A narrow opening bends the file, leaves horns and hides canals; a wide one does none of that but costs
// tooth. Source: published directions, protocol facts 5.4.
func TestAccessAngle(t *testing.T) {
	c := molar(t, 3, 20, 10)
	open := func(width int) treatment.State {
		return run(t, treatment.Start(c), treatment.Action{Do: treatment.Open, Depth: 8500, Mesial: width, Distal: width, Buccal: width, Lingual: width, Choice: "round", Tested: 1})
	}
	narrow, wide := open(800), open(3400)
	if a, b := narrow.AccessAngle(0), wide.AccessAngle(0); a <= b || a < 0.05 {
		t.Errorf("a narrow opening bends by %.2f rad, a wide one by %.2f", a, b)
	}
	if narrow.Access.Horns <= wide.Access.Horns || narrow.Access.DentineLost >= wide.Access.DentineLost {
		t.Errorf("horns %d and %d, dentine lost %.1f and %.1f mm³", narrow.Access.Horns, wide.Access.Horns, narrow.Access.DentineLost, wide.Access.DentineLost)
	}
}

// The second mesiobuccal canal lies under dentine: without troughing it is not found, with it it is.
func TestHiddenCanal(t *testing.T) {
	grown, err := anatomy.Grow(anatomy.Spec{Kind: "upper-first-molar", Canals: []anatomy.CanalSpec{{Name: "MB"}, {Name: "MB2"}, {Name: "DB"}, {Name: "P"}}}, 5)
	if err != nil {
		t.Fatal(err)
	}
	c := &treatment.Case{Seed: 5, Number: 16, Tooth: grown, Settings: treatment.DefaultSettings()}
	s := run(t, treatment.Start(c), treatment.Action{Do: treatment.Open, Depth: 7500, Mesial: 4000, Distal: 3500, Buccal: 4500, Lingual: 4500, Choice: "round", Tested: 1})
	look := func(trough int) bool {
		after := run(t, s, treatment.Action{Do: treatment.Find, Canal: "MB2", Depth: trough})
		for _, canal := range after.Canals {
			if canal.Name == "MB2" {
				return canal.Found
			}
		}
		return false
	}
	if look(0) || !look(3000) {
		t.Errorf("second mesiobuccal canal: found without troughing %t, with 3 mm %t", look(0), look(3000))
	}
}
