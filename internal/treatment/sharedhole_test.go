package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// TestSharedHole: a hole that a file makes in an apex common to two canals is a hole of both, at the same
// level, and is counted once (derived).
func TestSharedHole(t *testing.T) {
	spec := anatomy.Spec{Kind: "lower-first-molar", Canals: []anatomy.CanalSpec{
		{Name: "MB", Angle: fixed(45 * math.Pi / 180), Radius: fixed(4), Towards: "distal"}, {Name: "ML", Joins: "MB", JoinLevel: fixed(4)}, {Name: "D"}}}
	grown, err := anatomy.Grow(spec, 3)
	if err != nil {
		t.Fatal(err)
	}
	s := opened(t, &treatment.Case{Scenario: "test", Seed: 3, Number: 46, Tooth: grown, Difficulty: "high", Settings: treatment.DefaultSettings()})
	for side := range 4 { // leave a skin of dentine
		c := &s.Canals[0]
		for i := c.Space.Foramen - 30; i <= c.Space.Foramen; i++ {
			c.Space.Surface[side][i] = c.Space.Wall[side][i] + 0.06
			at := s.Canals[1].Space.Foramen - (c.Space.Foramen - i)
			s.Canals[1].Space.Surface[side][at] = c.Space.Surface[side][i]
		}
	}
	for _, id := range []string{"hand-steel-15.02", "hand-steel-25.02", "hand-steel-40.02"} {
		for range 4 {
			s = run(t, s, file(s, id, "quarter-turn-pull", 0.5, 4, 20))
		}
	}
	mb, ml := &s.Canals[0], &s.Canals[1]
	if mb.Perforation == nil || ml.Perforation == nil {
		t.Fatalf("holes: %v and %v, want one in both", mb.Perforation, ml.Perforation)
	}
	if a, b := mb.Level(mb.Perforation.S), ml.Level(ml.Perforation.S); math.Abs(a-b) > 1e-6 || a > 2 && mb.Perforation.Kind == "apical" || a < 2 && mb.Perforation.Kind == "strip" {
		t.Errorf("%s at %.2f and %s at %.2f mm from the foramen", mb.Perforation.Kind, a, ml.Perforation.Kind, b)
	}
	s.Access.Sideways = false // the bur's own hole is not meant here
	_, events, err := treatment.Step(s, treatment.Action{Do: treatment.Report, Choice: "perforation", Agent: "repair"})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		if e.Kind == treatment.HoleDecided && e.Value != 1 {
			t.Errorf("%g holes counted", e.Value)
		}
	}
}
