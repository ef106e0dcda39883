package scenario

import "tugback/internal/anatomy"

// SpecOf gives tests what a scenario says of its tooth, in the units of the engine.
func SpecOf(s Scenario) anatomy.Spec { return s.spec }
