package marking_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// TestMark holds what each kind of rule gives on the made-up molar. Points are worked out by hand from
// the figures in molar: transportation 0.25, 0.1 and 0.04 mm.
func TestMark(t *testing.T) {
	band := func(where string) marking.Rule {
		return marking.Rule{Metric: "transport_max_mm", Canal: where, Full: at("<=", 0.1), None: at(">=", 0.3)}
	}
	gated := band("MB")
	gated.When = "found == 1 and patent == 1"
	said := gated
	said.Evidence = "moved by {value}"
	cases := []struct {
		name     string
		rule     marking.Rule
		points   float64
		evidence string
		action   int
	}{
		{"band in one canal: (0.3−0.25)/(0.3−0.1) = 1/4", band("MB"), 2.5,
			"largest difference of the cuts on opposite walls, 0 to 10 mm from the foramen, either plane: 0.250 mm (full marks <= 0.1 mm, none >= 0.3 mm)", 2},
		{"worst canal decides", band("worst"), 2.5,
			"MB: largest difference of the cuts on opposite walls, 0 to 10 mm from the foramen, either plane: 0.250 mm (full marks <= 0.1 mm, none >= 0.3 mm)", 2},
		{"each canal: 10·(1/4+1+1)/3", marking.Rule{Metric: "transport_max_mm", Canal: "each", Full: at("<=", 0.1), None: at(">=", 0.3), Evidence: "{value}"}, 7.5,
			"MB: 0.250 mm; ML: 0.100 mm; D: 0.040 mm", 2},
		{"each canal without a sentence", marking.Rule{Metric: "ledge_depth_mm", Canal: "each", Full: at("<=", 0.05)}, 6.666667,
			"largest one-sided step of a wall, away from the working length: MB 0.140 mm, ML 0.000 mm, D 0.000 mm (full marks <= 0.05 mm)", 2},
		{"share in per cent", marking.Rule{Metric: "roof_left_share", Full: at("<=", 0.07), None: at(">=", 0.3)}, 0,
			"share of the chamber roof left: 30.0 % (full marks <= 7 %, none >= 30 %)", -1},
		{"canal that is not there", band("DL"), 0, "no canal DL in this tooth", -1},
		{"gate shut", gated, 0, "found == 1 and patent == 1: no; largest difference of the cuts on opposite walls, 0 to 10 mm from the foramen, either plane: 0.250 mm (full marks <= 0.1 mm, none >= 0.3 mm)", 2},
		{"gate shut, in the rule's own words", said, 0, "moved by 0.250 mm; nothing is earned unless found == 1 and patent == 1", 2},
		{"all or nothing, met", marking.Rule{Metric: "canals_missed", Full: at("==", 0)}, 10, "canals that were not found: 0 (full marks == 0)", -1},
		{"all or nothing, missed", marking.Rule{Metric: "minutes", Full: at("<", 42)}, 0, "time taken: 42.0 min (full marks < 42 min)", -1},
		{"flag, all canals", marking.Rule{Metric: "patent", Canal: "each", Full: at("==", 1)}, 6.666667,
			"a size 10 steel file reaches the foramen without force: MB no, ML yes, D yes (full marks for yes)", -1},
		{"metric that was not measured", marking.Rule{Metric: "barrier_mm", Full: at(">=", 1)}, 0, "thickness of the orifice barrier: not measured (full marks >= 1 mm)", -1},
		{"condition on events", marking.Rule{When: `count("ledge") == 0`, Evidence: `{count("ledge")} ledge, deepest {max_of("ledge_depth_mm")}`}, 0, "1 ledge, deepest 0.140 mm", 2},
		{"condition on order", marking.Rule{When: `before("isolate", "open")`, Evidence: "the dam came first: {before(\"isolate\", \"open\")}"}, 10, "the dam came first: yes", 0},
		{"credit", marking.Rule{Credit: "ramp(minutes, 30, 60)"}, 6, "ramp(minutes, 30, 60) = 0.60", -1},
		{"credit above 1", marking.Rule{Credit: "minutes"}, 10, "minutes = 42.0 min", -1},
		{"credit below 0", marking.Rule{Credit: "-minutes"}, 0, "-minutes = -42", -1},
		{"credit without a value", marking.Rule{Credit: "canals_missed / canals_missed"}, 0, "canals_missed / canals_missed = not measured", -1},
		{"evidence names the canal", marking.Rule{When: "ledge_depth_mm < 0.05", Canal: "worst", Evidence: "{canal}: step {ledge_depth_mm}, full at {max(0, 1)}"}, 0, "MB: step 0.140 mm, full at 1", 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := one(t, c.rule)
			if got.Points != c.points || got.Available != 10 {
				t.Errorf("got %v of %v points, want %v of 10", got.Points, got.Available, c.points)
			}
			if got.Evidence != c.evidence {
				t.Errorf("got evidence %q, want %q", got.Evidence, c.evidence)
			}
			if got.Action != c.action {
				t.Errorf("got action %d, want %d", got.Action, c.action)
			}
		})
	}
}

// TestParts holds how points are shared over the canals: 10 points in three parts that add up.
func TestParts(t *testing.T) {
	got := one(t, marking.Rule{Metric: "found", Canal: "each", Full: at("==", 1)})
	var points, available float64
	for _, p := range got.Parts {
		points += p.Points
		available += p.Available
	}
	if len(got.Parts) != 3 || math.Abs(points-10) > 1e-9 || math.Abs(available-10) > 1e-9 || got.Points != 10 {
		t.Errorf("got parts %+v of a rule of %v points", got.Parts, got.Points)
	}
	if want := 3.333333; got.Parts[0].Points != want {
		t.Errorf("got %v points for the first canal, want %v", got.Parts[0].Points, want)
	}
	worst := one(t, marking.Rule{Metric: "found", Canal: "worst", Full: at("==", 1)})
	if worst.Parts[2].Points != 10 || worst.Parts[2].Canal != "D" {
		t.Errorf("got %+v, want every part with what it would have given", worst.Parts)
	}
}

// TestCritical holds that a critical error fails the run, says why, and leaves the points as earned.
func TestCritical(t *testing.T) {
	rules := []marking.Rule{
		{ID: "time", Points: 4, When: "minutes < 60"},
		{ID: "ledge", Title: "Ledge", Critical: true, Canal: "each", When: "ledge_depth_mm > 0.1", Evidence: "{canal}: a step of {ledge_depth_mm}"},
		{ID: "hole", Title: "Perforation", Critical: true, Points: 1, When: `happened("perforated")`},
	}
	got := compile(t, rules...).Mark(molar())
	if !got.Failed || got.Total != 5 || got.Available != 5 {
		t.Errorf("got failed %t, %v of %v points, want true, 5 of 5", got.Failed, got.Total, got.Available)
	}
	if want := []string{"Ledge: MB: a step of 0.140 mm; ML: a step of 0.000 mm; D: a step of 0.000 mm"}; !slices.Equal(got.Critical, want) {
		t.Errorf("got reasons %q, want %q", got.Critical, want)
	}
	if r := got.Rules[1]; !r.Happened || r.Action != 2 {
		t.Errorf("got %+v, want an error that points to action 2", r)
	}
	if r := got.Rules[2]; r.Happened || r.Action != -1 || r.Points != 1 {
		t.Errorf("got %+v, want an error stayed clear of", r)
	}
	clean := compile(t, rules[0]).Mark(molar())
	if clean.Failed || clean.Critical == nil {
		t.Errorf("got failed %t and reasons %v, want a run without error", clean.Failed, clean.Critical)
	}
}

// TestJSONNames holds the names under which marks are printed.
func TestJSONNames(t *testing.T) {
	text, err := json.Marshal(compile(t, marking.Rule{ID: "a", Stage: "shape", Points: 2, Canal: "MB", When: "found == 1", Evidence: "seen"}).Mark(molar()))
	want := `{"total":2,"available":2,"failed":false,"critical":[],"rules":[{"id":"a","stage":"shape","title":"a",` +
		`"points":2,"available":2,"evidence":"seen","action":-1,"critical":false}]}`
	if err != nil || string(text) != want {
		t.Errorf("got %s (%v), want %s", text, err, want)
	}
}

// TestFunctions holds the value of every function on the made-up molar, at the tooth and in a canal.
func TestFunctions(t *testing.T) {
	cases := []struct{ name, canal, when string }{
		{"count", "", `count("ledge") == 1 and count("ledge", "MB") == 1 and count("ledge", "D") == 0`},
		{"count", "D", `count("ledge") == 0 and count("isolated") == 1 and count("isolated", "D") == 0`},
		{"happened", "MB", `happened("ledge") and not happened("file-broken")`},
		{"actions", "", `actions("irrigate") == 3 and actions("irrigate edta") == 1 and actions("irrigate", "D") == 1`},
		{"actions", "D", `actions("irrigate") == 1 and actions("open") == 1`},
		{"did", "", `did("work hand-steel") and did("work hand-steel-35.02") and did("work reaming") and not did("work rotary")`},
		{"first", "", `first("isolate") == 1 and first("irrigate") == 4 and first("seal") == 0`},
		{"last", "", `last("irrigate") == 6 and last("seal") == 0`},
		{"before", "", `before("isolate", "open") and not before("open", "isolate") and before("open", "seal") and not before("seal", "open")`},
		{"between", "", `between("irrigate edta", "irrigate sodium-hypochlorite", "wipe") and not between("irrigate sodium-hypochlorite", "irrigate edta", "wipe") and between("isolate", "work", "open")`},
		{"volume", "", `volume("sodium-hypochlorite") == 8 and volume("sodium-hypochlorite", "D") == 5`},
		{"volume", "MB", `volume("sodium-hypochlorite") == 3 and volume("water") == 0`},
		{"seconds", "", `seconds("irrigate") == 150 and seconds("irrigate edta") == 60`},
		{"clock", "", `clock("isolate") == 60 and clock("work") == 300 and clock("open") == 60 and not (clock("seal") < 1000)`},
		{"last_agent", "MB", `last_agent() == "edta" and last_agent() in ["edta", "water"]`},
		{"last_agent", "D", `last_agent() == "sodium-hypochlorite" and last_agent("ML") == ""`},
		{"of", "", `of("transport_max_mm", "ML") == 0.1`},
		{"max_of", "", `max_of("transport_max_mm") == 0.25`},
		{"min_of", "", `min_of("transport_max_mm") == 0.04`},
		{"sum_of", "", `sum_of("found") == 3`},
		{"any_of", "", `any_of("patent") and not any_of("erosion") and not any_of("perforated")`},
		{"all_of", "", `all_of("found") and not all_of("patent")`},
		{"abs", "", `abs(-3) == 3 and abs(minutes - 50) == 8`},
		{"min", "", `min(3, 1, 2) == 1 and min(4) == 4`},
		{"max", "", `max(3, 1, 2) == 3`},
		{"clamp", "", `clamp(5, 0, 1) == 1 and clamp(-5, 0, 1) == 0 and clamp(0.5, 0, 1) == 0.5`},
		{"ramp", "", `ramp(0.2, 0.1, 0.3) > 0.499999 and ramp(0.05, 0.1, 0.3) == 1 and ramp(9, 0.1, 0.3) == 0`},
		{"let and choice", "", `let late = minutes - 30; (late > 0 ? late : 0) / 12 == 1`},
	}
	var tested []string
	for _, c := range cases {
		tested = append(tested, c.name)
		// minutes keeps the expression from being refused as one that is always the same
		got := one(t, marking.Rule{Canal: c.canal, When: "(" + c.when + ") and minutes > 0"})
		if got.Points != 10 {
			t.Errorf("%s in %q: %s is false", c.name, c.canal, c.when)
		}
	}
	for _, f := range marking.Functions() {
		if !slices.Contains(tested, f.Name) {
			t.Errorf("function %s is not tested", f.Name)
		}
	}
}

// TestFunctionExamplesCompile holds that the printed reference shows what the language takes.
func TestFunctionExamplesCompile(t *testing.T) {
	for _, f := range marking.Functions() {
		if !strings.HasPrefix(f.Form, f.Name+"(") || f.Text == "" || !strings.Contains(f.Example, f.Name) {
			t.Errorf("function %s is poorly documented: %+v", f.Name, f)
		}
		compile(t, marking.Rule{ID: "a", Points: 1, Canal: "each", When: f.Example})
	}
}

// TestMetricsPointToEvents holds that the table of events which explain a metric names only metrics
// and events there are, seen from outside: a band on any metric compiles, and points to an action if
// an event of each kind happened, for all but the metrics that no single event explains.
func TestMetricsPointToEvents(t *testing.T) {
	unexplained := []string{"dentine_lost_mm3", "mishaps_unreported", "minutes", "transport_1mm", "centring_1mm",
		"length_loss_mm", "length_drift_mm", "apical_size_iso", "taper_share", "untouched_share", "patent",
		"tissue_left_share", "smear_left_share", "flora_left_share", "naocl_ml",
		"consent", "eyewear", "syringes_labelled", "clamp_flossed", "access_angle_deg", "recess_debris_share",
		"flora_apical_share"}
	facts := molar()
	for _, e := range treatment.EventKinds() {
		facts.Events = append(facts.Events, treatment.Event{Kind: e.Kind, Action: 1})
	}
	for _, d := range treatment.MetricTable() {
		rule := marking.Rule{ID: "a", Points: 1, Metric: d.Name, Full: at(">=", d.High)}
		if d.PerCanal {
			rule.Canal = "ML"
		}
		points := compile(t, rule).Mark(facts).Rules[0].Action >= 0
		if points == slices.Contains(unexplained, d.Name) {
			t.Errorf("%s points to an action: %t", d.Name, points)
		}
	}
}

// drawRules draws a marking sheet of bands on canals whose values are drawn too.
func drawRules(t *rapid.T) ([]marking.Rule, marking.Facts) {
	values := func() map[string]float64 {
		return map[string]float64{"transport_max_mm": rapid.Float64Range(0, 1).Draw(t, "transport"), "patent": 1}
	}
	facts := marking.Facts{Outcome: outcome(nil, canal{"A", values()}, canal{"B", values()}, canal{"C", values()})}
	rules := make([]marking.Rule, rapid.IntRange(1, 12).Draw(t, "rules"))
	for i := range rules {
		full := rapid.Float64Range(0, 0.5).Draw(t, "full")
		rules[i] = marking.Rule{
			ID: string(rune('a' + i)), Points: rapid.Float64Range(0.001, 100).Draw(t, "points"),
			Canal:  rapid.SampledFrom([]string{"each", "worst", "A", "B", "Z"}).Draw(t, "canal"),
			Metric: "transport_max_mm", Full: at("<=", full),
			None: at(">=", full+rapid.Float64Range(0.001, 0.5).Draw(t, "width")),
		}
	}
	return rules, facts
}

// TestMarksProperties holds for any rules and values: every rule gives between nothing and what it
// offers, parts add up, totals are the sums, marking twice gives the same, and turning the order of the
// rules round changes no total.
func TestMarksProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rules, facts := drawRules(t)
		m, _ := marking.Compile(rules)
		marks := m.Mark(facts)
		if diff := cmp.Diff(marks, m.Mark(facts)); diff != "" {
			t.Fatalf("marking twice differs: %s", diff)
		}
		where := map[string]string{}
		for _, r := range rules {
			where[r.ID] = r.Canal
		}
		slices.Reverse(rules)
		turned, _ := marking.Compile(rules)
		if other := turned.Mark(facts); other.Total != marks.Total || other.Available != marks.Available {
			t.Fatalf("turned round: got %v of %v, want %v of %v", other.Total, other.Available, marks.Total, marks.Available)
		}
		sum := 0.0
		for _, r := range marks.Rules {
			sum += r.Points
			if r.Points < 0 || r.Points > r.Available {
				t.Fatalf("got %v of %v points", r.Points, r.Available)
			}
			parts := 0.0
			for _, p := range r.Parts {
				parts += p.Points
			}
			if where[r.ID] == "each" && math.Abs(parts-r.Points) > 1e-9 {
				t.Fatalf("parts add up to %v, the rule gives %v", parts, r.Points)
			}
		}
		if math.Abs(sum-marks.Total) > 1e-9 {
			t.Fatalf("got total %v, the rules add up to %v", marks.Total, sum)
		}
	})
}

// TestRamp holds the band at its ends and between, worked out by hand.
func TestRamp(t *testing.T) {
	cases := []struct {
		full, none marking.Bound
		x, want    float64
	}{
		{at("<=", 0.1), at(">=", 0.3), 0.1, 1},
		{at("<=", 0.1), at(">=", 0.3), 0.2, 0.5},
		{at("<=", 0.1), at(">=", 0.3), 0.3, 0},
		{at("<", 0.1), at(">", 0.3), 0.1, 1}, // the ramp begins where full ends
		{at(">=", 10), at("<=", 2), 4, 0.25},
		{at(">=", 10), at("<=", 2), -1, 0},
		{at("==", 3), marking.Bound{}, 3, 1},
		{at("==", 3), marking.Bound{}, 3.1, 0},
		{at(">", 3), marking.Bound{}, 3, 0},
		{at("<=", 0.1), at(">=", 0.3), math.NaN(), 0},
		{at("<=", 0.1), at(">=", 0.3), math.Inf(1), 0},
	}
	for _, c := range cases {
		if got := marking.Ramp(c.full, c.none, c.x); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("full %v none %v at %v: got %v, want %v", c.full, c.none, c.x, got, c.want)
		}
	}
}

// TestRampIsMonotone holds that coming nearer to full never costs.
func TestRampIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(-10, 10)
		full, none := value.Draw(t, "full"), value.Draw(t, "none")
		if full == none {
			return
		}
		a, b := at("<=", full), at(">=", none)
		if full > none {
			a, b = at(">=", full), at("<=", none)
		}
		x, y := value.Draw(t, "x"), value.Draw(t, "y")
		if (x < y) != (full < none) {
			x, y = y, x
		}
		if near, far := marking.Ramp(a, b, x), marking.Ramp(a, b, y); near < far {
			t.Fatalf("full %v none %v: %v at %v, %v at %v", a, b, near, x, far, y)
		}
	})
}
