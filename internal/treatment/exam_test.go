package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// Sensitivity and specificity are those published; errors of tests on one tooth hang together. Source:
// Mainkar & Kim 2018, J Endod.
func TestPulpTests(t *testing.T) {
	around := treatment.DefaultParameters()
	s := detmath.NewStream(11, "pulp")
	for _, c := range []struct {
		name  string
		right [2]float64
		want  [2]float64
	}{{"cold", around.ColdRight, [2]float64{0.87, 0.84}}, {"electric", around.ElectricRight, [2]float64{0.72, 0.93}}, {"heat", around.HeatRight, [2]float64{0.78, 0.67}}} {
		const n = 20000
		silent, felt := 0, 0
		for range n {
			if !treatment.PulpAnswer(false, c.right, 0.3, s.Normal(0, 1), s.Normal(0, 1)) {
				silent++
			}
			if treatment.PulpAnswer(true, c.right, 0.3, s.Normal(0, 1), s.Normal(0, 1)) {
				felt++
			}
		}
		near(t, c.name+" sensitivity", float64(silent)/n, c.want[0], 0.01)
		near(t, c.name+" specificity", float64(felt)/n, c.want[1], 0.01)
	}
	// two tests wrong on one tooth more often than if they were independent
	both, one, other := 0, 0, 0
	for range 20000 {
		common := s.Normal(0, 1)
		a := !treatment.PulpAnswer(true, around.ColdRight, 0.3, common, s.Normal(0, 1))
		b := !treatment.PulpAnswer(true, around.HeatRight, 0.3, common, s.Normal(0, 1))
		if a {
			one++
		}
		if b {
			other++
		}
		if a && b {
			both++
		}
	}
	if got, free := float64(both)/20000, float64(one)/20000*float64(other)/20000; got < 1.15*free {
		t.Errorf("both wrong in %.4f, independent would be %.4f", got, free)
	}
}

// The same test on the same tooth gives the same answer; a control tooth has its own.
func TestTestsRepeat(t *testing.T) {
	s := treatment.Start(molar(t, 3, 20, 10))
	a := treatment.Action{Do: treatment.Test, Choice: "cold"}
	s, first := runEvents(t, s, a, treatment.Action{Do: treatment.Test, Choice: "cold", Tooth: 36})
	_, again := runEvents(t, s, a)
	if first[0].Detail != again[0].Detail {
		t.Errorf("cold: %s, then %s", first[0].Detail, again[0].Detail)
	}
	if len(s.Exam.Controls) != 1 || len(s.Exam.Tests) != 1 {
		t.Errorf("tests %v, controls %v", s.Exam.Tests, s.Exam.Controls)
	}
}

// G14. Exact rule of the case difficulty form 2022.
func TestDifficulty(t *testing.T) {
	for in, want := range map[[2]int]string{{0, 0}: "low", {1, 0}: "moderate", {2, 0}: "moderate", {3, 0}: "high", {0, 1}: "high", {2, 1}: "high"} {
		if got := treatment.DifficultyClass(in[0], in[1]); got != want {
			t.Errorf("%v: %s, want %s", in, got, want)
		}
	}
}

// The grown tooth gives its own factors: a sharp bend counts more than a gentle one; limits from memory.
func TestFactors(t *testing.T) {
	degree := func(angle, radius float64) int {
		grown, err := anatomy.Grow(anatomy.Spec{Kind: "upper-canine", Canals: []anatomy.CanalSpec{{Name: "canal",
			Angle: fixed(angle * math.Pi / 180), Radius: fixed(radius), Towards: "distal"}}}, 2)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range (&treatment.Case{Tooth: grown}).Factors() {
			if f.What == "curvature" {
				if f.High {
					return 2
				}
				return 1
			}
		}
		return 0
	}
	if gentle, sharp := degree(25, 12), degree(70, 5); gentle != 1 || sharp != 2 {
		t.Errorf("curvature counts %d at 25°, %d at 70°, want 1 and 2", gentle, sharp)
	}
	c := molar(t, 3, 25, 8)
	c.Findings = treatment.Findings{ASA: 4}
	if got := c.Class(); got != "high" {
		t.Errorf("physical status 4: %s", got)
	}
}

func TestDiagnosis(t *testing.T) {
	for _, c := range []struct {
		vital, lesion bool
		findings      treatment.Findings
		pulp, apical  string
	}{
		{true, false, treatment.Findings{Symptoms: true}, "symptomatic-irreversible-pulpitis", "normal-apical-tissues"},
		{true, false, treatment.Findings{}, "asymptomatic-irreversible-pulpitis", "normal-apical-tissues"},
		{false, true, treatment.Findings{}, "pulp-necrosis", "asymptomatic-apical-periodontitis"},
		{false, true, treatment.Findings{Tender: true}, "pulp-necrosis", "symptomatic-apical-periodontitis"},
		{false, true, treatment.Findings{Sinus: true}, "pulp-necrosis", "chronic-apical-abscess"},
		{false, true, treatment.Findings{Swollen: true}, "pulp-necrosis", "acute-apical-abscess"},
	} {
		k := molar(t, 3, 20, 10)
		k.Vital, k.Lesion, k.Findings = c.vital, c.lesion, c.findings
		if pulp, apical := k.Diagnosis(); pulp != c.pulp || apical != c.apical {
			t.Errorf("%+v: %s, %s", c, pulp, apical)
		}
	}
}

// An inflamed pulp is harder to numb: 15 % normal, 44–81 % inflamed (protocol facts [64]).
func TestNumbing(t *testing.T) {
	normal, inflamed := treatment.NumbFails(false, "block", false), treatment.NumbFails(true, "block", false)
	if math.Abs(normal-0.15) > 1e-9 || inflamed < 0.44 || inflamed > 0.81 {
		t.Errorf("block fails in %.2f normal, %.2f inflamed", normal, inflamed)
	}
	if treatment.NumbFails(true, "supplement", false) >= inflamed {
		t.Error("a supplement helps nothing")
	}
	c := molar(t, 3, 20, 10)
	c.Vital = true
	drill := treatment.Action{Do: treatment.Open, Depth: 8500, Mesial: 2000, Distal: 2000, Buccal: 2000, Lingual: 2000, Choice: "round", Tested: 1}
	felt := run(t, treatment.Start(c), drill)
	if !felt.Exam.Felt {
		t.Error("a vital pulp was opened without anaesthesia and nobody felt it")
	}
}

// P32. Leakage conventions, instructor's parameters. Sources: protocol facts [42], [45], [45b].
func TestSealConventions(t *testing.T) {
	p := treatment.DefaultParameters()
	if p.TemporaryTight(3.4) || !p.TemporaryTight(3.5) || p.BarrierTight(1.9) || !p.BarrierTight(2) || p.PostTight(3.9) || !p.PostTight(4) {
		t.Error("a convention has another limit than its source")
	}
}

// A thin temporary leaks between the visits and a thick one does not within a week.
func TestTemporaryLeaks(t *testing.T) {
	s := opened(t, molar(t, 3, 20, 10))
	for mm, leaks := range map[int]bool{1500: true, 4000: false} {
		_, events := runEvents(t, s, treatment.Action{Do: treatment.Temporise, Depth: mm}, treatment.Action{Do: treatment.Return, Days: 7})
		got := false
		for _, e := range events {
			got = got || e.Kind == treatment.Leaked
		}
		if got != leaks {
			t.Errorf("%.1f mm of temporary for a week leaks: %t", float64(mm)/1000, got)
		}
	}
}

// Every new kind refuses what cannot be.
func TestAroundRefusals(t *testing.T) {
	s := treatment.Start(molar(t, 3, 20, 10))
	open := opened(t, molar(t, 3, 20, 10))
	for i, c := range []struct {
		s treatment.State
		a treatment.Action
	}{
		{open, treatment.Action{Do: treatment.Test, Choice: "cold"}},
		{open, treatment.Action{Do: treatment.Diagnose, Choice: "pulp-necrosis", Agent: "normal-apical-tissues"}},
		{open, treatment.Action{Do: treatment.Prepare, Choice: "floss"}},
		{s, treatment.Action{Do: treatment.Anaesthetise, Choice: "supplement"}},
		{s, treatment.Action{Do: treatment.Return, Days: 7}},
	} {
		if _, _, err := treatment.Step(c.s, c.a); err == nil {
			t.Errorf("case %d: %s was not refused", i, c.a.Do)
		}
	}
}
