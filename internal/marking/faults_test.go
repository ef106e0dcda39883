package marking_test

import (
	"math"
	"strings"
	"testing"

	"tugback/internal/marking"
)

// TestFaults holds the message for each thing that can be wrong with a rule. Each case begins with a
// good rule and spoils it.
func TestFaults(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(r *marking.Rule)
		where string // field line:column
		say   string
	}{
		{"no id", func(r *marking.Rule) { r.ID = "" }, "id 0:0", "missing: a short word by which marks name the rule"},
		{"same id", func(r *marking.Rule) { r.ID = "good" }, "id 0:0", `"good" is also the id of rule 1`},
		{"stage", func(r *marking.Rule) { r.Stage = "shapes" }, "stage 0:0", `unknown stage "shapes", did you mean "shape"?`},
		{"stage far off", func(r *marking.Rule) { r.Stage = "obturation" }, "stage 0:0", `unknown stage "obturation", allowed: judge, isolate, open, find, measure, shape, rinse, dry, dress, fit, fill, seal, restore, review`},
		{"no points", func(r *marking.Rule) { r.Points = 0 }, "points 0:0", "missing: the rule can never pay (only a critical rule may do without)"},
		{"negative points", func(r *marking.Rule) { r.Points = -1 }, "points 0:0", "negative: a rule gives points; write deduct: 1 to take them away"},
		{"NaN points", func(r *marking.Rule) { r.Points = math.NaN() }, "points 0:0", "not a number between 0 and 10000"},
		{"canal", func(r *marking.Rule) { r.Canal = "eack" }, "canal 0:0", `unknown canal "eack", did you mean "each"?`},
		{"tooth metric in a canal", func(r *marking.Rule) { r.Metric = "minutes" }, "canal 0:0", "minutes is measured on the whole tooth: leave canal out"},
		{"canal metric on the tooth", func(r *marking.Rule) { r.Canal = "" }, "canal 0:0", "transport_max_mm is measured in each canal: write canal: each, worst or a canal's name"},
		{"unknown metric", func(r *marking.Rule) { r.Metric = "transport_mx_mm" }, "metric 0:0", `unknown canal metric "transport_mx_mm", did you mean "transport_max_mm"?`},
		{"band without metric", func(r *marking.Rule) { r.Metric, r.When = "", "found == 1" }, "metric 0:0", "missing: full and none are bounds of a metric"},
		{"no full", func(r *marking.Rule) { r.Full = marking.Bound{} }, "full 0:0", "missing: the bound within which all points are given, for instance <= 0.1"},
		{"operator", func(r *marking.Rule) { r.Full.Op = "=<" }, "full 0:0", `unknown comparison "=<", allowed: < <= >= > ==`},
		{"NaN bound", func(r *marking.Rule) { r.Full.Value = math.NaN() }, "full 0:0", "the bound is not a number"},
		{"infinite bound", func(r *marking.Rule) { r.None.Value = math.Inf(1) }, "none 0:0", "the bound is not a number"},
		{"same way", func(r *marking.Rule) { r.None.Op = "<=" }, "none 0:0", "must point the other way than full, as in full <= 0.1 and none >= 0.3"},
		{"none inside full", func(r *marking.Rule) { r.None.Value = 0.05 }, "none 0:0", "lies inside full, where all points are given already"},
		{"no room", func(r *marking.Rule) { r.None.Value = 0.1 }, "none 0:0", "the same value as full: leave it out for all or nothing"},
		{"equal with none", func(r *marking.Rule) { r.Full.Op = "==" }, "none 0:0", "== gives all or nothing: leave none out"},
		{"never reached", func(r *marking.Rule) { r.Full = at("<", 0) }, "full 0:0", "can never pay: transport_max_mm lies between 0 and 5.000 mm"},
		{"two ways", func(r *marking.Rule) { r.Credit = "found" }, "credit 0:0", "the rule has a metric too: keep the one or the other"},
		{"critical with band", func(r *marking.Rule) { r.Critical, r.When = true, "found == 0" }, "critical 0:0", "a critical rule has only when: true means that the error happened"},
		{"deduct beside points", func(r *marking.Rule) { r.Deduct = 2 }, "deduct 0:0", "the rule gives points too: keep the one or the other"},
		{"deduct below zero", func(r *marking.Rule) { r.Points, r.Deduct = 0, -2 }, "deduct 0:0", "not a number above 0 and up to 10000: it says how many points are taken away"},
		{"order of one", func(r *marking.Rule) {
			r.Metric, r.Full, r.None, r.Order = "", marking.Bound{}, marking.Bound{}, []string{"open"}
		}, "order 0:0", "is one step: an order needs two or more"},
		{"order with an unknown step", func(r *marking.Rule) {
			r.Metric, r.Full, r.None, r.Order = "", marking.Bound{}, marking.Bound{}, []string{"open", "isolat"}
		}, "order 0:0", `step 2: unknown action "isolat", did you mean "isolate"?`},
		{"order and band", func(r *marking.Rule) { r.Order = []string{"open", "find"} }, "order 0:0", "the rule has a metric or a credit too: keep one of them"},
		{"follows nothing", func(r *marking.Rule) { r.Follows = "goood" }, "follows 0:0", `unknown earlier rule "goood", did you mean "good"?`},
		{"instead alone", func(r *marking.Rule) { r.Instead = "found" }, "instead 0:0", "is the credit when an earlier rule lost points: name that rule with follows"},
		{"empty", func(r *marking.Rule) { r.Metric, r.Full, r.None = "", marking.Bound{}, marking.Bound{} }, "when 0:0", "missing: a rule needs metric and full, or credit, or order, or when"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			rule := marking.Rule{ID: "spoilt", Stage: "shape", Points: 5, Canal: "each", Metric: "transport_max_mm", Full: at("<=", 0.1), None: at(">=", 0.3)}
			c.spoil(&rule)
			words := marking.Standard()
			words.Canals = []string{"MB", "ML", "D"}
			wantFault(t, words, rule, c.where, c.say)
		})
	}
}

// TestExpressionFaults holds the message and the place for each fault an expression can have.
func TestExpressionFaults(t *testing.T) {
	cases := []struct{ name, canal, when, where, say string }{
		{"unknown name", "each", "transport_max_m <= 0.1", "when 1:1", `unknown name "transport_max_m", did you mean "transport_max_mm"?`},
		{"unknown name on a second line", "each", "found == 1\n  and patnet == 1", "when 2:7", `unknown name "patnet", did you mean "patent"?`},
		{"canal metric on the tooth", "", "minutes < 9 and patent == 1", "when 1:17", `patent is measured in each canal: give the rule a canal (each, worst or a name), or write max_of("patent")`},
		{"unknown function", "", `counts("ledge") == 0`, "when 1:1", `unknown function "counts", did you mean "count"?`},
		{"function of the library", "", `len("ledge") == 0`, "when 1:1", `unknown function "len"`},
		{"loop", "", `sum([1, 2]) == 3`, "when 1:1", `unknown function "sum"`},
		{"unknown event", "", `count("legde") == 0`, "when 1:7", `unknown event "legde", did you mean "ledge"?`},
		{"unknown action", "", `did("irigate")`, "when 1:5", `unknown action "irigate", did you mean "irrigate"?`},
		{"unknown word of an action", "", `did("irrigate edtaa")`, "when 1:5", `unknown word of the action irrigate "edtaa", did you mean "edta"?`},
		{"word of an action without words", "", `did("wait long")`, "when 1:5", `the action wait has no words to choose from; write "wait"`},
		{"unknown canal", "", `count("ledge", "BM") == 0`, "when 1:16", `unknown canal "BM", did you mean "MB"?`},
		{"unknown irrigant", "", `volume("water2") > 1`, "when 1:8", `unknown irrigant "water2", did you mean "water"?`},
		{"tooth metric over canals", "", `max_of("minutes") > 1`, "when 1:8", "minutes is measured on the whole tooth: write it by itself"},
		{"computed word", "", `count("led" + "ge") == 0`, "when 1:13", `here stands a word in quotes: count(event, canal?), for instance count("ledge") == 0`},
		{"too few arguments", "", `before("isolate")`, "when 1:1", "it is called so: before(action, action)"},
		{"function without brackets", "", "count == 0", "when 1:1", "count is a function: count(event, canal?)"},
		{"power", "each", "transport_max_mm ** 2 < 1", "when 1:18", "rules have no operator **: a power is not the same on every machine; write x * x"},
		{"power by caret", "each", "transport_max_mm ^ 2 < 1", "when 1:18", "rules have no operator ^: a power is not the same on every machine; write x * x"},
		{"remainder", "", "minutes % 2 == 0", "when 1:9", "rules have no operator %"},
		{"member", "", "minutes.x == 0", "when 1:9", "rules have no parts of names (a.b, a[b])"},
		{"ends early", "", "minutes <", "when 1:9", "the expression ends too early"},
		{"list alone", "", "[1, 2] == minutes", "when 1:1", `a list may stand only after in, as in last_agent() in ["water", "saline"]`},
		{"in a word", "", `"a" in last_agent()`, "when 1:8", `after in stands a list, as in last_agent() in ["water", "saline"]`},
		{"large number", "", "minutes < 2000000000", "when 1:11", "a number may be at most 1000000000"},
		{"number as condition", "each", "found", "when 1:1", "found is a number: compare it, as in found == 1"},
		{"word against number", "", `last_agent() < 3`, "when 1:14", "a word and a number cannot go together with <: use two of a kind, as in minutes < 90 or last_agent() == \"edta\""},
		{"short choice, whose cost would double with each", "", "true" + strings.Repeat(" ?: true", 100), "when 1:804", "rules have no short choice ?:, write condition ? this : that"},
		{"never", "", "1 > 2", "when 0:0", "never true: the rule can never pay"},
		{"long", "", strings.Repeat("(", 3000), "when 0:0", "longer than 2000 characters"},
		{"many parts", "", strings.Repeat("1+", 600) + "1 > minutes", "when 1:502", "more than 500 parts"},
	}
	words := marking.Standard()
	words.Canals = []string{"MB", "ML", "D"}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			wantFault(t, words, marking.Rule{ID: "spoilt", Points: 5, Canal: c.canal, When: c.when}, c.where, c.say)
		})
	}
	wantFault(t, words, marking.Rule{ID: "spoilt", Points: 5, Credit: "minutes > 3"}, "credit 1:1", "must be a number from 0 to 1, as in ramp(transport_max_mm, 0.1, 0.3)")
	wantFault(t, words, marking.Rule{ID: "spoilt", Points: 5, Credit: "0 - 1"}, "credit 0:0", "always 0: the rule can never pay")
	wantFault(t, words, marking.Rule{ID: "spoilt", Critical: true, When: "true"}, "when 0:0", "always true: the critical error would happen to everyone")
	wantFault(t, words, marking.Rule{ID: "spoilt", Critical: true}, "when 0:0", "missing: a critical rule says here when the error happened")
}

// TestEvidenceFaults holds that placeholders are checked when rules are compiled.
func TestEvidenceFaults(t *testing.T) {
	cases := []struct{ evidence, where, say string }{
		{"took {minuets}", "evidence 1:7", `unknown name "minuets", did you mean "minutes"?`},
		{"größer als {count(\"ledge\")} und {", "evidence 1:33", "a brace without its fellow: placeholders are written {transport_max_mm}"},
		{"größer als {count(\"ledg\")}", "evidence 1:19", `unknown event "ledg", did you mean "ledge"?`},
		{"a } b", "evidence 1:3", "a brace without its fellow: placeholders are written {transport_max_mm}"},
		{"in {canal}", "evidence 1:5", "{canal} in a rule without a canal"},
		{"{value}", "evidence 1:2", "{value} in a rule without such a bound"},
		{"{}", "evidence 1:2", "an empty placeholder"},
	}
	for _, c := range cases {
		wantFault(t, marking.Standard(), marking.Rule{ID: "a", Points: 1, When: "minutes < 60", Evidence: c.evidence}, c.where, c.say)
	}
}

// TestAllFaultsAtOnce holds that one look shows everything that is wrong.
func TestAllFaultsAtOnce(t *testing.T) {
	m, faults := marking.Compile([]marking.Rule{
		{ID: "a", Points: -1, When: "minutse < 1 and cuont(\"ledge\") == 0"},
		{ID: "a", Stage: "x", Points: 1, Metric: "minutes", Full: at("~", 1), Evidence: "{x}"},
	})
	if m != nil || len(faults) != 7 {
		t.Errorf("got a marker %t and %d faults, want none and 7: %+v", m != nil, len(faults), faults)
	}
}

// TestLikely holds which word is taken as meant.
func TestLikely(t *testing.T) {
	words := []string{"ledge", "loose", "perforated", "MB"}
	cases := []struct{ word, want string }{
		{"legde", "ledge"}, {"LEDGE", "ledge"}, {"perfrated", "perforated"}, {"bm", "MB"}, {"zzzzz", ""}, {"", ""},
	}
	for _, c := range cases {
		if got := marking.Likely(c.word, words); got != c.want {
			t.Errorf("%q: got %q, want %q", c.word, got, c.want)
		}
	}
}

// FuzzExpression looks for a text that the language takes but that panics or has no value.
func FuzzExpression(f *testing.F) {
	for _, function := range marking.Functions() {
		f.Add(function.Example)
	}
	f.Add("let a = minutes; a > 1 ? patent == 1 : a in [1, 2]")
	f.Add("minutes | max(2) > 1 ?: false")
	f.Add("not in [")
	f.Fuzz(func(t *testing.T, text string) {
		m, faults := marking.Compile([]marking.Rule{{ID: "a", Points: 1, Canal: "each", When: text, Evidence: text}})
		if (m == nil) == (len(faults) == 0) {
			t.Fatalf("got a marker %t with %d faults", m != nil, len(faults))
		}
		if m != nil {
			m.Mark(molar())
		}
	})
}

// wantFault compiles a good rule and a spoilt one and expects one fault, in the second.
func wantFault(t *testing.T, words marking.Vocabulary, spoilt marking.Rule, where, say string) {
	t.Helper()
	good := marking.Rule{ID: "good", Points: 1, When: "minutes < 60"}
	m, faults := words.Compile([]marking.Rule{good, spoilt})
	if m != nil || len(faults) != 1 {
		t.Fatalf("got a marker %t and faults %+v, want one fault", m != nil, faults)
	}
	f := faults[0]
	if got := place(f); f.Rule != 1 || got != where || f.Message != say {
		t.Errorf("got rule %d, %s: %s\nwant rule 1, %s: %s", f.Rule, got, f.Message, where, say)
	}
}
