package treatment_test

import (
	"math"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// Every kind of event happens in some treatment below, so that no kind is declared and never told, and
// every event is told with a finite value and a declared kind.
func TestEveryEventHappens(t *testing.T) {
	seen := map[treatment.EventKind]bool{}
	for _, history := range histories(t) {
		for _, e := range history {
			seen[e.Kind] = true
			if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) || math.IsNaN(e.Level) {
				t.Errorf("%s at action %d: value %v, level %v", e.Kind, e.Action, e.Value, e.Level)
			}
		}
	}
	declared := map[treatment.EventKind]bool{}
	for _, d := range treatment.EventKinds() {
		if declared[d.Kind] {
			t.Errorf("%s is declared twice", d.Kind)
		}
		declared[d.Kind] = true
		if !seen[d.Kind] {
			t.Errorf("%s never happens", d.Kind)
		}
	}
	for kind := range seen {
		if !declared[kind] {
			t.Errorf("%s happens but is not declared", kind)
		}
	}
}

// histories are the events of treatments that between them do everything right and wrong.
func histories(t *testing.T) [][]treatment.Event {
	all := append(aroundHistories(t), [][]treatment.Event{
		happenings(t, coronalFaults(t)), happenings(t, wholeTreatment(t)), happenings(t, rinsingFaults(t)),
		happenings(t, forcedFiles(t)), happenings(t, boundFiles(t)), happenings(t, pastTheEnd(t)), happenings(t, wornOut(t)), happenings(t, sharpBend(t)),
		happenings(t, wideAngles(t)), happenings(t, tornApex(t)), happenings(t, dryFiling(t)),
	}...)
	for _, story := range fragments() {
		all = append(all, happenings(t, story))
	}
	return all
}

// tale is a state and what is done from it on.
type tale struct {
	state   treatment.State
	actions []treatment.Action
}

func happenings(t *testing.T, story tale) []treatment.Event {
	t.Helper()
	_, events := runEvents(t, story.state, story.actions...)
	return events
}

func coronalFaults(t *testing.T) tale {
	c := molar(t, 3, 30, 8)
	c.Vital = true
	open := treatment.Action{Do: treatment.Open, Depth: 3000, Mesial: 1000, Distal: 1000, Buccal: 1000, Lingual: 1000, Choice: "round"}
	deep := open
	deep.Depth = 8200
	through := open
	through.Depth = 14000
	return tale{treatment.Start(c), []treatment.Action{
		{Do: treatment.Judge, Choice: "treat", Agent: "moderate"},
		{Do: treatment.Radiograph, Angle: 200},
		{Do: treatment.Isolate, Tooth: 45},
		{Do: treatment.Isolate, Tooth: 46, Tested: 1},
		open, deep,
		{Do: treatment.Find, Canal: "MB"},
		through,
		{Do: treatment.Report, Choice: "perforation"},
		{Do: treatment.Wait, Time: 60_000},
		{Do: treatment.Review, Days: 365},
	}}
}

func wholeTreatment(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	mb := func(a treatment.Action) treatment.Action {
		a.Canal = "MB"
		return a
	}
	actions := sequence(s, 20, "watch-winding", 1.5, 25)
	actions = append(actions,
		mb(treatment.Action{Do: treatment.Measure, Choice: "locator", Item: "hand-steel-10.02"}),
		mb(treatment.Action{Do: treatment.Measure, Choice: "film", Item: "hand-steel-15.02"}),
		mb(treatment.Action{Do: treatment.Measure, Choice: "touch", Item: "hand-steel-15.02"}),
		mb(treatment.Action{Do: treatment.SetLength, Stop: stop}),
		mb(treatment.Action{Do: treatment.Gauge, Item: "hand-steel-20.02", Stop: stop}),
		mb(treatment.Action{Do: treatment.Dry, Stop: stop, Count: 1}),
		mb(treatment.Action{Do: treatment.Dress, Agent: "calcium-hydroxide", Days: 10}),
		treatment.Action{Do: treatment.Temporise, Depth: 4000},
		mb(treatment.Action{Do: treatment.Dry, Stop: stop, Count: 10}),
		mb(treatment.Action{Do: treatment.Fit, Item: "cone-60.02", Stop: stop}),
	)
	for trim := range 16 {
		for _, id := range []string{"cone-15.04", "cone-20.04", "cone-25.04"} {
			actions = append(actions, mb(treatment.Action{Do: treatment.Fit, Item: id, Stop: stop, Length: 250 * trim}))
		}
	}
	return tale{s, append(actions,
		mb(treatment.Action{Do: treatment.Fill, Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 6}),
		treatment.Action{Do: treatment.Seal, Depth: 1000, Length: 2000},
		treatment.Action{Do: treatment.Restore, Choice: "cuspal-cover", Days: 14},
		treatment.Action{Do: treatment.Recall, Days: 365})}
}

func rinsingFaults(t *testing.T) tale {
	c := molar(t, 3, 20, 10)
	c.Vital = true
	s := opened(t, c)
	deep := rinse(s)
	deep.Stop = int(1000 * s.Canals[0].Foramen())
	deep.Flow = 300
	with := func(agent string, percent, time int) treatment.Action {
		a := rinse(s)
		a.Agent, a.Percent, a.Time = agent, percent, time
		return a
	}
	small := with("sodium-hypochlorite", 30, 0)
	small.Volume = 50
	return tale{s, []treatment.Action{
		{Do: treatment.Find, Canal: "ML"},
		deep, with("edta", 170, 900_000), small, with("chlorhexidine", 20, 0),
		{Do: treatment.Dry, Canal: "MB", Stop: int(1000*s.Canals[0].Foramen()) + 500, Count: 2},
		{Do: treatment.Bend, Item: "hand-steel-10.02", Radius: 4000, Length: 3000, Wall: "distal"},
		{Do: treatment.Bend, Item: "hand-niti-20.02", Radius: 4000, Length: 3000, Wall: "distal"},
	}}
}

// forcedFiles pushes ever stiffer steel round a bend, dry and unwiped.
func forcedFiles(t *testing.T) tale {
	s := opened(t, molar(t, 3, 40, 5))
	return tale{s, []treatment.Action{
		file(s, "hand-steel-10.02", "push-pull", 0.2, 3, 60),
		file(s, "hand-steel-15.02", "push-pull", 0.5, 5, 120),
		file(s, "hand-steel-20.02", "quarter-turn-pull", 0.5, 8, 120),
		file(s, "hand-steel-30.02", "quarter-turn-pull", 0.5, 8, 120),
		{Do: treatment.Measure, Canal: "MB", Choice: "locator", Item: "hand-steel-40.02"},
		file(s, "hand-steel-40.02", "reaming", 0.5, 10, 200),
	}}
}

// boundFiles screws thin files into a calcified canal.
func boundFiles(t *testing.T) tale {
	mb := anatomy.CanalSpec{Name: "MB", Narrow: fixed(0.2), Wide: fixed(0.2),
		Calcified: []anatomy.Narrowing{{Level: 6, Length: 6, Share: 0.25}}}
	spec := anatomy.Spec{Kind: "lower-first-molar", Canals: []anatomy.CanalSpec{mb}}
	tooth, err := anatomy.Grow(spec, 3)
	if err != nil {
		t.Fatal(err)
	}
	c := molar(t, 3, 20, 10)
	c.Tooth = tooth
	s := opened(t, c)
	var actions []treatment.Action
	for _, id := range []string{"hand-steel-06.02", "hand-steel-08.02", "hand-steel-10.02", "hand-niti-10.06"} {
		a := file(s, id, "reaming", 1, 8, 60)
		a.Forward = 3600
		actions = append(actions, a)
	}
	turned := file(s, "reamer-25.02", "reaming", 1, 10, 20)
	turned.Forward = 3600
	return tale{s, append(actions, turned)}
}

func pastTheEnd(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	actions := []treatment.Action{}
	for _, id := range []string{"hand-steel-10.02", "hand-steel-15.02", "hand-steel-20.02", "hand-steel-25.02", "hand-steel-30.02"} {
		actions = append(actions, file(s, id, "quarter-turn-pull", -1, 3, 40))
	}
	stop := int(1000 * (s.Canals[0].Foramen() + 0.8))
	return tale{s, append(actions,
		treatment.Action{Do: treatment.Fit, Canal: "MB", Item: "cone-20.02", Stop: stop},
		treatment.Action{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "zinc-oxide-eugenol"})}
}

// wornOut turns one file in a bend until it breaks.
func wornOut(t *testing.T) tale {
	s := opened(t, molar(t, 3, 45, 5))
	actions := sequence(s, 20, "watch-winding", 1.5, 40)
	for range 12 {
		a := file(s, "rotary-25.06", "rotation", 1, 3, 100)
		a.Speed = 500
		actions = append(actions, a)
	}
	return tale{s, actions}
}

// sharpBend rasps the inside of a bend until the wall is through.
func sharpBend(t *testing.T) tale {
	s := opened(t, molar(t, 3, 20, 10))
	actions := sequence(s, 15, "watch-winding", 1.5, 25)
	for _, id := range []string{"hand-h-40.02", "hand-h-45.02", "hand-h-50.02", "hand-h-55.02", "hand-h-60.02"} {
		for range 3 {
			a := file(s, id, "push-pull", 5, 4, 400)
			a.Press, a.Wall = 8000, "distal"
			actions = append(actions, a, treatment.Action{Do: treatment.Wipe, Item: id})
		}
	}
	return tale{s, actions}
}
