package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// joinedMesial returns a lower first molar whose mesial canals share their last 4 mm, opened.
func joinedMesial(t *testing.T) treatment.State {
	t.Helper()
	spec := anatomy.Spec{Kind: "lower-first-molar", Canals: []anatomy.CanalSpec{
		{Name: "MB", Angle: fixed(45 * math.Pi / 180), Radius: fixed(4), Towards: "distal"}, {Name: "ML", Joins: "MB", JoinLevel: fixed(4)}, {Name: "D"}}}
	grown, err := anatomy.Grow(spec, 3)
	if err != nil {
		t.Fatal(err)
	}
	return opened(t, &treatment.Case{Scenario: "test", Seed: 3, Number: 46, Tooth: grown, Difficulty: "high", Settings: treatment.DefaultSettings()})
}

// thinEnd leaves a skin of dentine round the last millimetres of both mesial canals.
func thinEnd(s *treatment.State) {
	for side := range 4 {
		c := &s.Canals[0]
		for i := c.Space.Foramen - 30; i <= c.Space.Foramen; i++ {
			c.Space.Surface[side][i] = c.Space.Wall[side][i] + 0.06
			at := s.Canals[1].Space.Foramen - (c.Space.Foramen - i)
			s.Canals[1].Space.Surface[side][at] = c.Space.Surface[side][i]
		}
	}
}

// TestSharedHole: a hole that a file makes in an apex common to two canals is a hole of both, at the same
// level, and is counted once (derived).
func TestSharedHole(t *testing.T) {
	s := joinedMesial(t)
	thinEnd(&s)
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

// TestFreedInSharedEnd: a hole cut while a piece in an end common to two canals is freed, and what is cut to pass
// one, belong to both canals, like what a file cuts (derived).
func TestFreedInSharedEnd(t *testing.T) {
	for _, choice := range []string{"remove", "bypass"} {
		s := joinedMesial(t)
		thinEnd(&s)
		s.Case.Settings.RemovalSkill = 1.5 // nothing fails
		c := &s.Canals[0]
		c.Fragment = &treatment.Fragment{Item: "hand-steel-15.02", Tip: c.Foramen() - 0.5, Length: 2}
		item := ""
		if choice == "bypass" {
			item = "hand-steel-10.02"
		}
		s = run(t, s, treatment.Action{Do: treatment.Retrieve, Canal: "MB", Choice: choice, Item: item})
		mb, ml := &s.Canals[0], &s.Canals[1]
		if choice == "remove" && (mb.Perforation == nil || ml.Perforation == nil) {
			t.Errorf("removed: holes %v and %v, want one in both", mb.Perforation, ml.Perforation)
		}
		for side := range 4 {
			for k := 3; k < 20; k++ { // the upper half of the common end, where the piece lay
				if a, b := mb.Space.Wall[side][mb.Space.Foramen-k], ml.Space.Wall[side][ml.Space.Foramen-k]; b < a-1e-9 {
					t.Fatalf("%s: wall %d %d stations above the foramen at %.3f mm and %.3f mm", choice, side, k, a, b)
				}
			}
		}
	}
}

// TestRinsedSharedEnd: what a rinse dissolves in the common end through one canal is gone for the other, which
// keeps what it has above (derived).
func TestRinsedSharedEnd(t *testing.T) {
	s := joinedMesial(t)
	before := s.Canals[1].Tissue
	for _, id := range []string{"hand-niti-15.04", "hand-niti-25.06", "hand-niti-35.06"} {
		s = run(t, s, file(s, id, "watch-winding", 0.5, 2, 40))
	}
	mb := &s.Canals[0]
	worked := s.Canals[1].Tissue[s.Canals[1].Space.Foramen-30]
	s = run(t, s, treatment.Action{Do: treatment.Irrigate, Canal: "MB", Agent: "sodium-hypochlorite", Percent: 50, Volume: 5000, Flow: 67, Time: 600_000,
		Item: "needle-30-open", Stop: int(1000 * (mb.Foramen() - 1.5))})
	ml := &s.Canals[1]
	if got := ml.Tissue[ml.Space.Foramen-30]; !(got < worked) {
		t.Errorf("tissue in the common end %.3f after the rinse, %.3f before", got, worked)
	}
	if above := ml.Space.Orifice + 20; ml.Tissue[above] != before[above] {
		t.Errorf("tissue above the common end %.3f, %.3f before", ml.Tissue[above], before[above])
	}
}
