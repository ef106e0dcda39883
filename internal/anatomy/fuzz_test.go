package anatomy_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/anatomy"
)

// rangeOf draws a Range: mostly unset, else within or somewhat outside of what is usual.
func rangeOf(t *rapid.T, label string, low, high float64) anatomy.Range {
	if rapid.IntRange(0, 3).Draw(t, label+" set") > 0 {
		return anatomy.Range{}
	}
	a := rapid.Float64Range(low, high).Draw(t, label)
	b := a
	if rapid.Bool().Draw(t, label+" open") {
		b = rapid.Float64Range(a, high).Draw(t, label+" high")
	}
	return anatomy.Range{Set: true, Low: a, High: b}
}

func canalOf(t *rapid.T, names []string) anatomy.CanalSpec {
	word := func(label string, words ...string) string {
		return rapid.SampledFrom(append(words, "", "", "")).Draw(t, label)
	}
	c := anatomy.CanalSpec{
		Name:           rapid.SampledFrom(names).Draw(t, "name"),
		Length:         rangeOf(t, "length", 3, 29),
		Angle:          rangeOf(t, "angle", 0, 1.32),
		Radius:         rangeOf(t, "radius", 1.5, 60),
		Towards:        word("towards", "mesial", "distal"),
		ApicalStraight: rangeOf(t, "straight", 0, 16),
		SecondAngle:    rangeOf(t, "second", 0, 1.3), SecondRadius: rangeOf(t, "second radius", 1.9, 20),
		ProximalAngle: rangeOf(t, "proximal", 0, 1.3), ProximalRadius: rangeOf(t, "proximal radius", 1.9, 40),
		ProximalTowards: word("proximal towards", "buccal", "lingual"),
		OrificeTilt:     rangeOf(t, "tilt", -0.8, 0.8),
		Constriction:    word("constriction", "single", "tapering", "multiple", "parallel"),
		Narrow:          rangeOf(t, "narrow", 0.05, 1.6), Wide: rangeOf(t, "wide", 0.05, 1.9),
		ConstrictionLevel: rangeOf(t, "level", 0, 2.1),
		ForamenOffset:     rangeOf(t, "offset", 0, 3.1),
		Taper:             rangeOf(t, "taper", 0, 0.2),
		Joins:             rapid.SampledFrom(append([]string{"", "", "", ""}, names...)).Draw(t, "joins"),
		JoinLevel:         rangeOf(t, "join level", 0.4, 12),
	}
	for range rapid.IntRange(0, 2).Draw(t, "narrowings") {
		c.Calcified = append(c.Calcified, anatomy.Narrowing{
			Level: rapid.Float64Range(0, 26).Draw(t, "at"), Length: rapid.Float64Range(0.1, 15).Draw(t, "long"), Share: rapid.Float64Range(0.1, 1).Draw(t, "share"),
		})
	}
	return c
}

// Whatever a spec says, Grow gives a sound tooth or a SpecError with all its parts; it never panics.
func TestAnySpec(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(anatomy.Kinds()).Draw(t, "kind")
		spec := anatomy.Spec{
			Kind: kind, Age: rangeOf(t, "age", 11, 91), Length: rangeOf(t, "tooth", 11, 37), Noise: rangeOf(t, "noise", 0, 2),
			Crown: rangeOf(t, "crown", 4, 14), ChamberHeight: rangeOf(t, "chamber", 0.3, 6), RoofDepth: rangeOf(t, "roof", 2.5, 10),
		}
		names := anatomy.CanalNames(kind)
		for range rapid.IntRange(0, 3).Draw(t, "canals") {
			spec.Canals = append(spec.Canals, canalOf(t, names))
		}
		tooth, err := anatomy.Grow(spec, rapid.Uint64().Draw(t, "seed"))
		if err != nil {
			var refused *anatomy.SpecError
			if tooth != nil || !errors.As(err, &refused) || refused.Field == "" || refused.Value == "" || refused.Allowed == "" {
				t.Fatalf("tooth %v, refusal %#v", tooth != nil, err)
			}
			return
		}
		if fault := finiteFault(tooth); fault != "" {
			t.Fatal(fault)
		}
		for i, c := range tooth.Canals {
			if fault := canalFault(c); fault != "" {
				t.Fatalf("%s: %s", c.Name, fault)
			}
			anatomy.Measure(tooth, i)
		}
	})
}
