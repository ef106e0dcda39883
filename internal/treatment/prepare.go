package treatment

import (
	"slices"
	"strings"
)

// Preparations are the steps of safety, consent and build-up that may be done.
func Preparations() []string {
	return []string{"history", "consent", "caries-removed", "build-up", "eyewear", "labelled-syringes", "floss",
		"files-in", "files-out", "chamber-dried", "metal-cut-back", "cusp-cut", "bleeding-stopped"}
}

// prepared says whether a preparation was made.
func (s *State) prepared(what string) bool { return slices.Contains(s.Exam.Prepared, what) }

// prepare does one step of safety, consent or build-up.
func (t *turn) prepare() error {
	what := t.action.Choice
	if what == "floss" && t.Isolated != 0 {
		return refuse("floss-late", "prepare: the clamp is already on; floss is tied before")
	}
	if what == "cusp-cut" {
		return t.cutCusp()
	}
	if t.action.Depth != 0 {
		return refuse("cut", "prepare: only cusp-cut takes a cut")
	}
	t.Exam.Prepared = add(t.Exam.Prepared, what)
	t.spend(30_000)
	e := Event{Kind: Prepared, Detail: what}
	switch what {
	case "files-in", "files-out":
		e.Kind, e.Value = FilesCounted, float64(t.filesWhole())
	case "bleeding-stopped":
		t.quiet()
	case "metal-cut-back":
		t.Access.Trimmed = true
	case "chamber-dried":
		for i := range t.Canals {
			t.Canals[i] = t.Canals[i].clone()
			c := &t.Canals[i]
			c.Wet = min(c.Wet, c.volume())
		}
	}
	t.happen(e)
	return nil
}

// filesWhole counts the instruments in use that are whole.
func (s *State) filesWhole() int {
	n := 0
	for _, t := range s.Tools {
		if !t.Broken {
			n++
		}
	}
	return n
}

// Chances of what safety prevents, per rinse or handled file (assumed: rare, so that most runs see none).
const (
	splashChance = 0.01
	swapChance   = 0.004
	leakChance   = 0.15 // of a dam nobody tested, once
	dropChance   = 0.01
)

// unsafe draws what befalls a rinse for want of a precaution. Marks go by the precaution, not by the draw.
func (t *turn) unsafe() {
	chance := func(of string) float64 {
		s := t.drawIn(of)
		return s.Float64()
	}
	splash, leak, swap := chance("splash"), chance("dam leak"), chance("swap")
	agent := t.action.Agent
	if agent == "sodium-hypochlorite" && !t.prepared("eyewear") && splash < splashChance {
		t.mishap("other")
		t.happen(Event{Kind: Splashed, Detail: agent})
	}
	if (t.Isolated == 0 || !t.LeakTest) && leak < leakChance/10 || t.Isolated == 0 && leak < leakChance {
		t.happen(Event{Kind: DamLeaks, Detail: agent})
		c := t.canal()
		for i := range c.Flora { // saliva comes in where irrigant goes out; size assumed
			c.Flora[i] += float64(0.1 * (1 - c.Flora[i]))
		}
	}
	if !t.prepared("labelled-syringes") && swap < swapChance {
		t.mishap("other")
		t.happen(Event{Kind: SyringeSwapped, Detail: agent})
		t.action.Agent, t.action.Percent = swapped(agent, t.action.Percent)
	}
}

// swapped is what was in the other syringe.
func swapped(agent string, percent int) (string, int) {
	if agent == "sodium-hypochlorite" {
		return "edta", 170
	}
	return "sodium-hypochlorite", 30
}

// drop draws whether a hand file without dam goes down the throat.
func (t *turn) drop() {
	s := t.draw("drop", t.action.Item)
	if t.Isolated != 0 || s.Float64() >= dropChance {
		return
	}
	t.mishap("other")
	t.happen(Event{Kind: Swallowed, Item: t.action.Item})
}

// NumbFails returns the chance that an injection leaves the pulp feeling: 15 % with a normal or dead pulp,
// 44–81 % in an inflamed one for a block (protocol facts 1.1 [64]; the middle is used); infiltration of
// upper teeth half of that (assumed); a supplement after it a third.
func NumbFails(inflamed bool, technique string, upper bool) float64 {
	fails := 0.15
	if inflamed {
		fails = 0.62
	}
	switch {
	case technique == "supplement":
		fails /= 3
	case technique == "infiltration" && upper:
		fails /= 2
	}
	return fails
}

// anaesthetise gives an injection; no agent, no dose: those are the licensed supervisor's.
func (t *turn) anaesthetise() error {
	what := t.action.Choice
	if what == "supplement" && t.Exam.Tried == 0 {
		return refuse("supplement-first", "anaesthetise: a supplement comes after a first injection")
	}
	t.Exam.Tried++
	pulp, _ := t.Case.Diagnosis()
	inflamed := t.Case.Vital && strings.Contains(pulp, "pulpitis")
	s := t.draw("numb", what)
	fails := s.Float64() < NumbFails(inflamed, what, t.Case.Tooth.Upper)
	t.Exam.Numb = t.Exam.Numb || !fails
	t.spend(600_000)
	detail := "untested"
	if t.action.Tested != 0 {
		detail = "works"
		if !t.Exam.Numb {
			detail = "fails"
		}
	}
	t.happen(Event{Kind: Numbed, Item: what, Detail: detail})
	return nil
}

// hurts tells that a vital pulp is cut without feeling taken away.
func (t *turn) hurts() {
	t.Exam.Felt = t.Case.Vital && !t.Exam.Numb
	if t.Exam.Felt {
		t.happen(Event{Kind: Painful})
	}
}
