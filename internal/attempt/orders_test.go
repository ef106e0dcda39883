package attempt_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/attempt"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

// carefulUntil carries the careful plan of a scenario out as far as its first action of a kind; "" to its end.
func carefulUntil(t testing.TB, scenarioName string, kind treatment.Kind) treatment.State {
	t.Helper()
	state := treatment.Start(specimen.Paper(t, scenarioName).Case)
	for _, a := range specimen.Plan(t, scenarioName+".careful").Steps {
		if a.Do == kind {
			return state
		}
		var err error
		if state, _, err = treatment.Step(state, a); err != nil {
			t.Fatal(err)
		}
	}
	return state
}

// badOrder is something done at the wrong time or that can't be done.
type badOrder struct {
	name    string
	tooth   string         // the scenario, the incisor when not given
	at      treatment.Kind // the careful plan is carried out up to its first action of this kind
	first   []treatment.Action
	do      treatment.Action
	refused bool
	says    string // the refusal, or what is told of the consequence
}

const c11 = "canal"

// rinsing is a rinse of the incisor's canal.
func rinsing(change func(*treatment.Action)) treatment.Action {
	a := treatment.Action{Do: treatment.Irrigate, Canal: c11, Agent: "sodium-hypochlorite", Percent: 30, Volume: 2000, Flow: 67, Item: "needle-30-side", Stop: 17000}
	change(&a)
	return a
}

func keep(*treatment.Action) {}

// filing is a small file at work in the incisor's canal.
func filing(change func(*treatment.Action)) treatment.Action {
	a := treatment.Action{Do: treatment.Work, Canal: c11, Item: "hand-steel-15.02", Motion: "watch-winding", Stop: 21700, Push: 1000, Strokes: 5}
	change(&a)
	return a
}

// earlyOrders are those of the order of the procedure.
func earlyOrders() []badOrder {
	film := treatment.Action{Do: treatment.Measure, Canal: c11, Choice: "film", Item: "hand-steel-15.02"}
	fit := treatment.Action{Do: treatment.Fit, Canal: c11, Item: "cone-45.04", Stop: 21700}
	fill := treatment.Action{Do: treatment.Fill, Canal: c11, Choice: "warm-vertical", Agent: "epoxy-resin"}
	open := treatment.Action{Do: treatment.Open, Depth: 9000, Mesial: 1400, Distal: 1400, Buccal: 1200, Lingual: 1800, Choice: "round", Tested: 1}
	return []badOrder{
		{name: "shape before access", at: treatment.Open, do: filing(keep), refused: true,
			says: "work: the chamber is not open yet"},
		{name: "fill a wet canal", at: treatment.Dry, first: []treatment.Action{fit}, do: fill,
			says: "0.044 mm³ of sealer went past the foramen of canal. canal filled, warm-vertical, to 0.5 mm from the foramen; 25 % of it is void. The sealer in canal takes about 8 h to set."},
		{name: "needle thicker than the orifice", tooth: "upper-second-molar", at: treatment.Irrigate, do: rinsing(func(a *treatment.Action) { a.Canal, a.Item = "MB", "needle-23-open" }), refused: true,
			says: "irrigate: needle-23-open is 0.64 mm thick and does not enter the orifice of MB; take a finer one or open the canal"},
		{name: "needle thicker than the canal below", at: treatment.Measure, do: rinsing(func(a *treatment.Action) { a.Item = "needle-23-open" }),
			says: "canal rinsed with sodium-hypochlorite; the liquid was renewed down to 16.17 mm, 6.0 mm from the foramen. The needle binds in canal at 16.17 mm, 6.0 mm from the foramen. 0.95 ml of sodium-hypochlorite went past the foramen of canal."},
		{name: "cone longer than the tooth", at: treatment.Fit, do: treatment.Action{Do: treatment.Fit, Canal: c11, Item: "cone-45.04", Stop: 29000}, refused: true,
			says: "fit: held at 29.0 mm the cone would stand far outside the root; look at the film again"},
		{name: "second dam", at: treatment.Open, do: treatment.Action{Do: treatment.Isolate, Tooth: 12, Tested: 1},
			says: "The dam is on tooth 12 and does not leak. The dam is on tooth 12, which is not the tooth to be treated."},
		{name: "open under a dam on the neighbour", at: treatment.Open, first: []treatment.Action{{Do: treatment.Isolate, Tooth: 12, Tested: 1}}, do: open, refused: true,
			says: "open: the dam is on tooth 12, the patient's tooth is 11"},
		{name: "x-ray without saying where the file stands", at: treatment.Measure, do: film, refused: true,
			says: "measure: say where the file's stop stands on the film, such as stop: 20 mm"},
		{name: "dressing after the filling", at: treatment.Seal, do: treatment.Action{Do: treatment.Dress, Canal: c11, Agent: "calcium-hydroxide"}, refused: true,
			says: "dress: canal is already filled"},
		{name: "post before the filling", at: treatment.Dry, do: treatment.Action{Do: treatment.Restore, Choice: "crown", Days: 14, Depth: 4000}, refused: true,
			says: "restore: the orifices are not sealed yet"},
		{name: "post that leaves more than there is", at: treatment.Restore, do: treatment.Action{Do: treatment.Restore, Choice: "crown", Days: 14, Depth: 18000}, refused: true,
			says: "restore: a post cannot leave 18.0 mm; the longest filling is 9.9 mm"},
		{name: "post without a crown", at: treatment.Restore, do: treatment.Action{Do: treatment.Restore, Choice: "none", Depth: 4000}, refused: true,
			says: "restore: a post holds a restoration, and none was chosen"},
		{name: "restore an open tooth", at: treatment.Dry, do: treatment.Action{Do: treatment.Restore, Choice: "direct", Days: 14}, refused: true,
			says: "restore: the orifices are not sealed yet"},
	}
}

// laterOrders are those of the review, and of instruments and liquids used for what they are not.
func laterOrders() []badOrder {
	fill := treatment.Action{Do: treatment.Fill, Canal: c11, Choice: "warm-vertical", Agent: "epoxy-resin"}
	open := treatment.Action{Do: treatment.Open, Depth: 9000, Mesial: 1400, Distal: 1400, Buccal: 1200, Lingual: 1800, Choice: "round", Tested: 1}
	temporary := treatment.Action{Do: treatment.Temporise, Depth: 4000}
	return []badOrder{
		{name: "recall before the end", at: treatment.Dry, do: treatment.Action{Do: treatment.Recall, Days: 365}, refused: true,
			says: "recall: the tooth is not finished yet"},
		{name: "extract, then shape", at: treatment.Judge, first: []treatment.Action{{Do: treatment.Judge, Choice: "extract"}}, do: open, refused: true,
			says: "open: the case was judged not to be treated here"},
		{name: "decide without a recall", at: treatment.Recall, do: treatment.Action{Do: treatment.Review, Choice: "discharge"}, refused: true,
			says: "review: there is no recall's film to decide on yet"},
		{name: "review of no date", at: treatment.Review, do: treatment.Action{Do: treatment.Review}, refused: true,
			says: "review: neither when the next review is nor what is decided was said"},
		{name: "recall into the past", at: "", do: treatment.Action{Do: treatment.Recall, Days: 30}, refused: true,
			says: "recall: the patient was already here after 365 days"},
		{name: "seal before the filling", at: treatment.Dry, do: treatment.Action{Do: treatment.Seal, Length: 3000}, refused: true,
			says: "seal: canal is not filled yet"},
		{name: "fill without a cone", at: treatment.Fit, do: fill, refused: true,
			says: "fill: no cone was fitted in canal"},
		{name: "needle of a sealer nowhere", at: treatment.Fill, do: treatment.Action{Do: treatment.Fill, Canal: c11, Choice: "single-cone", Agent: "epoxy-resin", Motion: "needle"}, refused: true,
			says: "fill: the sealer needle's depth is not said"},
		{name: "look for a canal in a closed tooth", at: treatment.Open, do: treatment.Action{Do: treatment.Find, Canal: c11}, refused: true,
			says: "find: the chamber is not open yet"},
		{name: "a canal this tooth has not", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Canal = "MB2" }), refused: true,
			says: "work: this tooth has no canal \"MB2\", only canal"},
		{name: "a canal not found yet", at: treatment.Find, do: filing(keep), refused: true,
			says: "work: canal has not been found yet"},
		{name: "shape after the filling", at: treatment.Seal, do: filing(keep), refused: true,
			says: "work: canal is already filled"},
		{name: "open again after the seal", at: treatment.Restore, do: open, refused: true,
			says: "open: the orifices are already sealed"},
		{name: "rinse a restored tooth", at: treatment.Review, do: rinsing(keep), refused: true,
			says: "irrigate: the tooth is already restored"},
		{name: "cut the cusp of a restored tooth", at: treatment.Review, do: treatment.Action{Do: treatment.Prepare, Choice: "cusp-cut", Depth: 1000}, refused: true,
			says: "prepare: the tooth is already restored"},
		{name: "test an open tooth", at: treatment.Find, do: treatment.Action{Do: treatment.Test, Choice: "cold"}, refused: true,
			says: "test: the tooth is already open"},
		{name: "judge an open tooth", at: treatment.Find, do: treatment.Action{Do: treatment.Judge, Choice: "refer"}, refused: true,
			says: "judge: the case is judged before treatment begins"},
		{name: "diagnose an open tooth", at: treatment.Find, do: treatment.Action{Do: treatment.Diagnose, Choice: "pulp-necrosis", Agent: "normal-apical-tissues"}, refused: true,
			says: "diagnose: the diagnosis comes before the tooth is opened"},
		{name: "a tooth that is none", at: treatment.Test, do: treatment.Action{Do: treatment.Test, Choice: "cold", Tooth: 29}, refused: true,
			says: "test: there is no tooth 29; the second figure runs from 1 to 8"},
		{name: "floss on a clamp that is on", at: treatment.Open, do: treatment.Action{Do: treatment.Prepare, Choice: "floss"}, refused: true,
			says: "prepare: the clamp is already on; floss is tied before"},
		{name: "supplement first", at: treatment.Anaesthetise, do: treatment.Action{Do: treatment.Anaesthetise, Choice: "supplement"}, refused: true,
			says: "anaesthetise: a supplement comes after a first injection"},
		{name: "a file of forty millimetres", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Stop = 40000 }), refused: true,
			says: "work: the stop cannot stand at 40.0 mm; files and needles are 31 mm long at most"},
		{name: "paper points through the jaw", at: treatment.Dry, do: treatment.Action{Do: treatment.Dry, Canal: c11, Stop: 32000, Count: 2}, refused: true,
			says: "dry: at 32.0 mm the paper points would stand far outside the root; look at the film again"},
		{name: "shape with a cone", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Item = "cone-30.02" }), refused: true,
			says: "work: cone-30.02 is a gutta-percha cone and does not shape a canal"},
		{name: "rinse through a file", at: treatment.Measure, do: rinsing(func(a *treatment.Action) { a.Item = "hand-steel-15.02" }), refused: true,
			says: "irrigate: hand-steel-15.02 is a steel K-type hand file and cannot be used for this"},
		{name: "a motor on a hand file", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Motion = "rotation" }), refused: true,
			says: "work: hand-steel-15.02 is a hand instrument and is not driven by a motor"},
		{name: "a rotary file by hand", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Item = "rotary-25.04" }), refused: true,
			says: "work: rotary-25.04 is driven by a motor, not by watch-winding"},
		{name: "an instrument there is not", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Item = "hand-steel-17.02" }), refused: true,
			says: "work: no \"hand-steel-17.02\" in the catalogue: hand-steel comes in sizes 6 8 10 15 20 25 30 35 40 45 50 55 60 70 80 90 100 110 120 130 140, written hand-steel-06.02"},
		{name: "water of three per cent", at: treatment.Measure, do: rinsing(func(a *treatment.Action) { a.Agent = "water" }), refused: true,
			says: "irrigate: water has no concentration; give 0 %"},
		{name: "hypochlorite of none", at: treatment.Measure, do: rinsing(func(a *treatment.Action) { a.Percent = 0 }), refused: true,
			says: "irrigate: sodium-hypochlorite of 0 % is water; give its concentration"},
		{name: "wipe what was not used", at: treatment.Measure, do: treatment.Action{Do: treatment.Wipe, Item: "hand-steel-60.02"}, refused: true,
			says: "wipe: hand-steel-60.02 has not been used"},
		{name: "remove a piece there is not", at: treatment.Measure, do: treatment.Action{Do: treatment.Retrieve, Canal: c11, Choice: "remove"}, refused: true,
			says: "fragment: there is no broken piece in canal"},
		{name: "repair a hole there is not", at: treatment.Measure, do: treatment.Action{Do: treatment.Report, Choice: "perforation", Agent: "repair"}, refused: true,
			says: "report: no perforation is there to repair"},
		{name: "come back before anything was begun", at: treatment.Open, do: treatment.Action{Do: treatment.Return, Days: 7}, refused: true,
			says: "return: nothing was begun yet"},
		{name: "rinse through the temporary", at: treatment.Dry, first: []treatment.Action{temporary}, do: rinsing(keep),
			says: "The temporary filling, 4.00 mm thick, is taken out first. canal rinsed with sodium-hypochlorite; the liquid was renewed down to 18.30 mm, 3.9 mm from the foramen."},
		{name: "come back to an open tooth", at: treatment.Dry, do: treatment.Action{Do: treatment.Return, Days: 7},
			says: "The patient comes back after 7 days; dam and temporary are off. Nothing closed the tooth between the visits: 65 % of the bacteria came back."},
		{name: "length never measured", at: treatment.Measure, do: treatment.Action{Do: treatment.SetLength, Canal: c11, Stop: 23000},
			says: "Working length of canal written down: 23.00 mm, 0.8 mm past the foramen."},
		{name: "locator in a dry canal", at: treatment.Fit, do: treatment.Action{Do: treatment.Measure, Canal: c11, Choice: "locator", Item: "hand-steel-15.02"},
			says: "No reading in canal: it is dry."},
		{name: "needle to the end and held there", at: treatment.Measure, do: rinsing(func(a *treatment.Action) { a.Item, a.Stop = "needle-27-open", 23000 }),
			says: "canal rinsed with sodium-hypochlorite; the liquid was renewed down to 18.97 mm, 3.2 mm from the foramen. The needle binds in canal at 18.97 mm, 3.2 mm from the foramen. 0.95 ml of sodium-hypochlorite went past the foramen of canal."},
		{name: "chlorhexidine on hypochlorite", at: treatment.Dry, do: rinsing(func(a *treatment.Action) { a.Agent, a.Percent = "chlorhexidine", 20 }),
			says: "Precipitate in canal: chlorhexidine with sodium-hypochlorite, with 3.0 % of the first still standing there. canal rinsed with chlorhexidine; the liquid was renewed down to 18.30 mm, 3.9 mm from the foramen."},
		{name: "bend a NiTi file", at: treatment.Measure, do: treatment.Action{Do: treatment.Bend, Item: "hand-niti-20.02", Radius: 5000, Length: 3000, Wall: "distal"},
			says: "hand-niti-20.02 sprang back straight: its alloy does not keep a curve."},
		{name: "dry past the end", at: treatment.Dry, do: treatment.Action{Do: treatment.Dry, Canal: c11, Stop: 24000, Count: 2},
			says: "The paper point came out of canal red over 1.84 mm, from 1.8 mm past the foramen."},
		{name: "a file past the end", at: treatment.Measure, do: filing(func(a *treatment.Action) { a.Stop = 24000 }),
			says: "hand-steel-15.02 reached its stop in canal at 24.00 mm, 1.8 mm past the foramen. hand-steel-15.02 is loose in canal: it meets 1 % of the push. hand-steel-15.02 meets 0.01 N in canal, 1.8 mm past the foramen, against 0.0 N the stroke before: same. hand-steel-15.02 went 1.84 mm past the foramen of canal."},
		{name: "open without a dam", at: treatment.Isolate, do: open,
			says: "The chamber is open, drilled 9.00 mm deep from the cusp. Tooth 11 stands open without a dam on it: saliva gets in, and what slips goes down the throat."},
		{name: "bond on sealer", at: treatment.Seal, do: treatment.Action{Do: treatment.Seal, Length: 3000, Count: 1},
			says: "Sealer was not cleaned off: the barrier does not bond. The orifices are sealed, 3.00 mm thick."},
	}
}

// What is done at the wrong time or can't be done is either refused with a reason or allowed with what comes of it,
// each in a sentence for the student, word for word. Order of the procedure: protocol facts 1.1.
func TestBadOrdersAreAnswered(t *testing.T) {
	states := map[string]treatment.State{}
	rows := append(earlyOrders(), laterOrders()...)
	if len(rows) < 30 {
		t.Fatalf("only %d bad orders", len(rows))
	}
	for _, c := range rows {
		tooth := c.tooth
		if tooth == "" {
			tooth = "upper-central-incisor"
		}
		key := tooth + string(c.at)
		s, known := states[key]
		if !known {
			s = carefulUntil(t, tooth, c.at)
			states[key] = s
		}
		for _, a := range c.first {
			var err error
			if s, _, err = treatment.Step(s, a); err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
		}
		_, events, err := treatment.Step(s, c.do)
		var refusal *treatment.Refusal
		if errors.As(err, &refusal) != c.refused {
			t.Errorf("%s: refused %t, want %t (%v)", c.name, !c.refused, c.refused, err)
			continue
		}
		if said := answer(events, err); said != c.says {
			t.Errorf("%s:\n\tsays %q\n\twant %q", c.name, said, c.says)
		}
	}
}

// answer is what the student is told of an action: why not, or what came of it.
func answer(events []treatment.Event, err error) string {
	if err != nil {
		return err.Error()
	}
	var told []string
	for _, e := range events {
		told = append(told, attempt.Sentence(e))
	}
	return strings.Join(told, " ")
}

// Whatever is tried in whatever order, on instruments there are and there are not: no panic, no figure that is
// none, and always a sentence.
func TestAnyOrderIsAnswered(t *testing.T) {
	starts := []treatment.State{
		carefulUntil(t, "upper-central-incisor", treatment.Test), carefulUntil(t, "lower-first-molar", treatment.Measure),
		carefulUntil(t, "upper-central-incisor", treatment.Dry), carefulUntil(t, "upper-first-premolar", treatment.Seal),
	}
	runs := 0
	rapid.Check(t, func(t *rapid.T) {
		if runs++; runs > 25 {
			return
		}
		s := rapid.SampledFrom(starts).Draw(t, "start")
		for range rapid.IntRange(1, 8).Draw(t, "actions") {
			a := anyAction(t, s)
			next, events, err := treatment.Step(s, a)
			said := answer(events, err)
			if len(said) < 8 || strings.Contains(said, "NaN") || strings.Contains(said, "Inf") || strings.ContainsAny(said, "{[") {
				t.Fatalf("%+v is answered by %q", a, said)
			}
			if err == nil {
				s = next
			}
		}
		for _, m := range treatment.MeasureOutcome(s).Metrics {
			if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
				t.Fatalf("%s %s is %g", m.Name, m.Canal, m.Value)
			}
		}
	})
}

// anyAction draws an action whose fields are within their limits, most of them senseless where the state is.
func anyAction(t *rapid.T, s treatment.State) treatment.Action {
	a := treatment.Action{Do: rapid.SampledFrom(treatment.Kinds()).Draw(t, "do")}
	items := []string{"hand-steel-15.02", "rotary-heat-25.04", "needle-30-side", "needle-23-open", "cone-45.04", "opener-25.08", "hand-steel-17.02"}
	canals := []string{s.Canals[0].Name, s.Canals[len(s.Canals)-1].Name, "X"}
	for _, f := range treatment.Fields(a.Do) {
		switch {
		case !f.Needed && rapid.Bool().Draw(t, f.Key+" left out"):
		case f.Form == treatment.Word:
			*f.Str(&a) = rapid.SampledFrom(f.Words).Draw(t, f.Key)
		case f.Key == "canal":
			*f.Str(&a) = rapid.SampledFrom(canals).Draw(t, f.Key)
		case f.Form == treatment.Name:
			*f.Str(&a) = rapid.SampledFrom(items).Draw(t, f.Key)
		default:
			*f.Int(&a) = rapid.IntRange(f.Min, f.Max).Draw(t, f.Key)
		}
	}
	a.Strokes = min(a.Strokes, 3) // many strokes take long and show nothing more
	return a
}
