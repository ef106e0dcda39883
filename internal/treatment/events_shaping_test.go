package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// wideAngles turns a balanced force too far forward and too little back.
func wideAngles(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	a := file(s, "hand-flex-15.02", "balanced-force", 1, 2, 10)
	a.Forward, a.Back = 2700, 600
	return tale{s, []treatment.Action{a}}
}

// tornApex files a sharp bend with stiff steel at and past the foramen.
func tornApex(t *testing.T) tale {
	s := opened(t, molar(t, 3, 40, 5))
	var actions []treatment.Action
	for _, id := range []string{"hand-steel-10.02", "hand-steel-15.02", "hand-steel-20.02", "hand-steel-25.02", "hand-steel-30.02"} {
		actions = append(actions, file(s, id, "push-pull", -0.5, 6, 150), rinse(s), treatment.Action{Do: treatment.Wipe, Item: id})
	}
	return tale{s, actions}
}

// dryFiling files a dry canal with flutes nobody wipes.
func dryFiling(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	var actions []treatment.Action
	for _, id := range []string{"hand-h-15.02", "hand-h-20.02", "hand-h-25.02"} {
		a := file(s, id, "circumferential", 2, 4, 300)
		a.Press = 5000
		actions = append(actions, a, a)
	}
	return tale{s, actions}
}

// fragments try what a specialist and one without skill can do with a broken piece: pass it, remove it,
// leave it.
func fragments() []tale {
	skilled, clumsy := withPiece(1, 0.3), withPiece(1, 0.3)
	clumsy.Case.Settings.RemovalSkill = 0
	return []tale{
		{skilled, []treatment.Action{piece("bypass", "hand-steel-08.02"), piece("remove", "")}},
		{clumsy, []treatment.Action{piece("remove", ""), piece("leave", "")}},
	}
}
