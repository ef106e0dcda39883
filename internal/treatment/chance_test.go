package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// One action more shifts nothing elsewhere: what was drawn for each cone, reading, piece and rinse stays what it was
// when a file is gauged, a film taken, a length read or another canal rinsed before it. A second draw of the same
// thing differs from the first. Expected: the same to the bit.
func TestDrawsStandApart(t *testing.T) {
	s := carved(t, 30, 0.06, 1.6)
	s.Case.Settings.Around.Cone, s.Canals[0].Wet = 0.075, 1
	end := short(s, 0)
	measure := treatment.Action{Do: treatment.Measure, Canal: "MB", Choice: "locator", Item: "hand-steel-15.02"}
	fit := treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-30.06", Stop: end}
	work := treatment.Action{Do: treatment.Work, Canal: "MB", Item: "hand-steel-20.02", Motion: "watch-winding", Stop: end - 3000, Push: 500, Strokes: 1}
	type drawn struct{ cone, reading, life, off, escaped float64 }
	look := func(before ...treatment.Action) drawn {
		after := run(t, s, append(before, measure, work, rinse(s), fit)...)
		d := drawn{cone: after.Canals[0].Cone.Made, reading: after.Canals[0].Reading, escaped: after.Canals[0].Escaped}
		for _, tool := range after.Tools {
			if tool.Item == "hand-steel-20.02" {
				d.life, d.off = tool.Tool.Endurance, tool.Off
			}
		}
		return d
	}
	plain := look()
	for name, before := range map[string][]treatment.Action{
		"gauged":       {{Do: treatment.Gauge, Canal: "MB", Item: "hand-steel-25.02", Stop: end}},
		"film":         {{Do: treatment.Radiograph}},
		"touch":        {{Do: treatment.Measure, Canal: "MB", Choice: "touch", Item: "hand-steel-10.02"}},
		"another cone": {{Do: treatment.Fit, Canal: "MB", Item: "cone-25.06", Stop: end}},
		"numbed":       {{Do: treatment.Anaesthetise, Choice: "block"}},
	} {
		if got := look(before...); got != plain {
			t.Errorf("%s before: %+v, without %+v", name, got, plain)
		}
	}
	if again := look(measure); again.reading == plain.reading || again.cone != plain.cone {
		t.Errorf("a second reading: %+v after %+v", again, plain)
	}
}

// The cone tried in a canal is the same cone at the next try, trimmed or not; another one, another size and one that
// would have to grow back come out of the box. Expected: derived, diameter + trim × taper.
func TestConeIsKept(t *testing.T) {
	s := carved(t, 30, 0.06, 1.6)
	s.Case.Settings.Around.Cone = 0.075
	fit := func(s treatment.State, trim, another int) treatment.State {
		return run(t, s, treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-25.04", Stop: short(s, 0), Length: trim, Tested: another})
	}
	first := fit(s, 0, 0)
	made := first.Canals[0].Cone.Made
	cut := fit(first, 1500, 0)
	near(t, "trimmed", cut.Canals[0].Cone.Diameter, made+1.5*0.04, 1e-9)
	if fit(first, 0, 0).Canals[0].Cone.Made != made {
		t.Error("tried again it is another cone")
	}
	if fit(first, 0, 1).Canals[0].Cone.Made == made || fit(cut, 0, 0).Canals[0].Cone.Made == made {
		t.Error("no other cone came out of the box")
	}
}
