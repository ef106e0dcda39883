package treatment_test

import (
	"testing"

	"tugback/internal/treatment"
)

// aroundHistories are the events of what is done before, beside and after shaping, right and wrong.
func aroundHistories(t *testing.T) [][]treatment.Event {
	return [][]treatment.Event{
		happenings(t, examined(t)), happenings(t, reckless(t)), happenings(t, pressed(t)), happenings(t, covered(t)), happenings(t, held(t)), happenings(t, wedged(t)),
		happenings(t, filledHot(t)), happenings(t, filledShort(t)), happenings(t, drilledOff(t)), happenings(t, drilledWide(t)), happenings(t, decided(t)), happenings(t, overlooked(t)), happenings(t, uncovered(t)), happenings(t, holed(t)), happenings(t, undressed(t)),
	}
}

// overlooked restores a tooth whose crack nobody looked for and that holds no restoration.
func overlooked(t *testing.T) tale {
	s := finished(t, treatment.Findings{Crack: true, Hopeless: true}, treatment.Action{Do: treatment.Wait, Time: 1000})
	return tale{s, []treatment.Action{{Do: treatment.Restore, Choice: "direct", Days: 14}, {Do: treatment.Recall, Days: 365}}}
}

// holed rinses over a hole in the floor.
func holed(t *testing.T) tale {
	s := pierced(t, true, 0, 0)
	return tale{s, []treatment.Action{rinse(s), {Do: treatment.Report, Choice: "perforation", Agent: "repair"}}}
}

// undressed fills a canal with its dressing in.
func undressed(t *testing.T) tale {
	s := carved(t, 30, 0.06, 1)
	stop := short(s, 0.5)
	return tale{s, []treatment.Action{{Do: treatment.Dress, Canal: "MB", Agent: "calcium-hydroxide"}, {Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "epoxy-resin"}}}
}

// uncovered rinses through a temporary filling.
func uncovered(t *testing.T) tale {
	s := carved(t, 30, 0.06, 1)
	return tale{s, []treatment.Action{{Do: treatment.Temporise, Depth: 4000}, rinse(s)}}
}

// examined tests, diagnoses, prepares and numbs.
func examined(t *testing.T) tale {
	return tale{treatment.Start(molar(t, 3, 40, 6)), []treatment.Action{
		{Do: treatment.Test, Choice: "cold"}, {Do: treatment.Test, Choice: "cold", Tooth: 36},
		{Do: treatment.Diagnose, Choice: "pulp-necrosis", Agent: "normal-apical-tissues"}, {Do: treatment.Judge, Choice: "treat", Agent: "high"},
		{Do: treatment.Prepare, Choice: "eyewear"}, {Do: treatment.Prepare, Choice: "files-in"}, {Do: treatment.Anaesthetise, Choice: "block", Tested: 1},
	}}
}

// reckless opens a vital pulp without anaesthesia or dam and rinses and measures on without any care, so
// often that what is rare happens too.
func reckless(t *testing.T) tale {
	c := molar(t, 3, 20, 10)
	c.Vital = true
	s := run(t, treatment.Start(c))
	story := tale{s, []treatment.Action{
		{Do: treatment.Open, Depth: 8500, Mesial: 4500, Distal: 3500, Buccal: 3500, Lingual: 3500, Choice: "safe-ended", Tested: 1},
		{Do: treatment.Find, Canal: "MB"}}}
	quick := rinse(s)
	quick.Volume, quick.Stop = 50, 8000
	for range 900 {
		story.actions = append(story.actions, quick)
		if len(story.actions)%3 == 0 {
			story.actions = append(story.actions, treatment.Action{Do: treatment.Measure, Canal: "MB", Choice: "touch", Item: "hand-steel-10.02"})
		}
	}
	return story
}

// pressed rinses a shaped canal too fast, too deep, dry, and with chlorhexidine on traces.
func pressed(t *testing.T) tale {
	s := carved(t, 35, 0.04, 1)
	s.Case.Settings.Around.AirLock = 0.95
	deep := rinse(s)
	deep.Item, deep.Flow, deep.Stop = "needle-30-open", 1000, int(1000*(s.Canals[0].Foramen()-0.5))
	far := rinse(s)
	far.Stop = int(1000 * (s.Canals[0].Foramen() - 5))
	traces, brown := far, far
	traces.Percent = 1
	brown.Agent, brown.Percent = "chlorhexidine", 20
	story := tale{s, []treatment.Action{far, traces, brown, deep}}
	return story
}

// held pushes a thick needle round a sharp bend of a wide canal.
func held(t *testing.T) tale {
	bent := opened(t, molar(t, 3, 70, 4))
	thick := rinse(bent)
	thick.Item, thick.Stop = "needle-25-side", int(1000*(bent.Canals[0].Foramen()-1))
	for i := bent.Canals[0].Space.Orifice; i <= bent.Canals[0].Space.Foramen; i++ {
		for side := range 4 {
			bent.Canals[0].Space.Wall[side][i] = 0.4
		}
	}
	return tale{bent, []treatment.Action{thick}}
}

// covered leaves thin covers between and after the visits and looks at the recall's film.
func covered(t *testing.T) tale {
	s := carved(t, 30, 0.06, 1.6)
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	return tale{s, []treatment.Action{
		{Do: treatment.Temporise, Depth: 1500}, {Do: treatment.Return, Days: 7},
		{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 6, Press: 30000},
		{Do: treatment.Seal, Length: 1000}, {Do: treatment.Restore, Choice: "direct"}, {Do: treatment.Recall, Days: 400}, {Do: treatment.Review, Days: 365},
	}}
}

// filledHot heats long and brings sealer in beyond the end.
func filledHot(t *testing.T) tale {
	s := carved(t, 45, 0.06, 1.6)
	stop := int(1000 * s.Canals[0].Foramen())
	return tale{s, []treatment.Action{
		{Do: treatment.Fit, Canal: "MB", Item: "cone-45.04", Stop: stop},
		{Do: treatment.Fill, Canal: "MB", Choice: "warm-vertical", Agent: "calcium-silicate", Heat: 3000, Time: 30000, Motion: "needle", Depth: stop + 500},
	}}
}

// filledShort leaves the cone far from the end.
func filledShort(t *testing.T) tale {
	s := carved(t, 30, 0.06, 1)
	return tale{s, []treatment.Action{
		{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: int(1000 * (s.Canals[0].Foramen() - 3))},
		{Do: treatment.Fill, Canal: "MB", Choice: "single-cone", Agent: "epoxy-resin"},
	}}
}

// drilledOff drills off the axis, a little and then far.
func drilledOff(t *testing.T) tale {
	drill := treatment.Action{Do: treatment.Open, Depth: 8000, Mesial: 1000, Distal: 1000, Buccal: 1000, Lingual: 1000, Choice: "round", Angle: 90}
	further := drill
	further.Angle = 350
	return tale{treatment.Start(molar(t, 3, 20, 10)), []treatment.Action{drill, further}}
}

// drilledWide opens a cavity as wide as the crown.
func drilledWide(t *testing.T) tale {
	return tale{treatment.Start(molar(t, 3, 20, 10)), []treatment.Action{
		{Do: treatment.Open, Depth: 2500, Mesial: 4600, Distal: 3000, Buccal: 3000, Lingual: 3000, Choice: "tapered"},
		{Do: treatment.Open, Depth: 4500, Mesial: 4700, Distal: 3000, Buccal: 3000, Lingual: 3000, Choice: "tapered"},
	}}
}

// wedged pushes a thick needle into an unshaped canal, and lets EDTA stand before hypochlorite.
func wedged(t *testing.T) tale {
	s := opened(t, molar(t, 3, 0, 0))
	thick := rinse(s)
	thick.Item, thick.Stop, thick.Flow = "needle-25-open", int(1000*s.Canals[0].Foramen()), 300
	long := rinse(s)
	long.Agent, long.Percent, long.Time = "edta", 170, 900_000
	after := rinse(s)
	after.Time = 60_000
	return tale{s, []treatment.Action{thick, long, after}}
}

// decided cuts a cusp, spoils bonds, leaves the crown open and decides on a perforation.
func decided(t *testing.T) tale {
	s := carved(t, 30, 0.06, 1.6)
	s.Canals[0].Perforation = &treatment.Perforation{S: s.Canals[0].Foramen() - 3, Wall: 1, Kind: "strip"}
	stop := int(1000 * (s.Canals[0].Foramen() - 0.5))
	return tale{s, []treatment.Action{
		{Do: treatment.Fit, Canal: "MB", Item: "cone-30.02", Stop: stop},
		{Do: treatment.Fill, Canal: "MB", Choice: "cold-lateral", Agent: "epoxy-resin", Stop: stop - 1000, Count: 6},
		{Do: treatment.Prepare, Choice: "cusp-cut", Depth: 1000},
		{Do: treatment.Report, Choice: "perforation", Agent: "repair"},
		{Do: treatment.Seal, Length: 1000, Count: 1}, {Do: treatment.Restore, Choice: "none"}, {Do: treatment.Recall, Days: 400},
	}}
}
