package quiz_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// grounds are teeth of every kind.
func grounds(t testing.TB, seeds int) []quiz.Ground {
	t.Helper()
	var all []quiz.Ground
	for _, kind := range anatomy.Kinds() {
		for seed := range seeds {
			tooth, err := anatomy.Grow(anatomy.Spec{Kind: kind}, uint64(seed+1))
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, quiz.Ground{Scenario: string(kind), Tooth: tooth})
		}
	}
	return all
}

// stated are the figures that a generated item's stem gives.
type stated map[string]float64

// independent holds for each generator whose answer is a number another way to it: plain arithmetic on
// what the stem states. Sources stand at the generators.
var independent = map[string]func(g stated) float64{
	"judge-positive": func(g stated) float64 { // counted in a thousand teeth
		ill := 1000 * g["prevalence"]
		right, wrong := ill*g["sensitivity"], (1000-ill)*(1-g["specificity"])
		return right / (right + wrong) * 100
	},
	"judge-negative": func(g stated) float64 {
		ill := 1000 * g["prevalence"]
		right, wrong := (1000-ill)*g["specificity"], ill*(1-g["sensitivity"])
		return right / (right + wrong) * 100
	},
	"open-roof":   func(g stated) float64 { return g["image"] / g["magnification"] },
	"open-floor":  func(g stated) float64 { return g["roof"] + g["height"] },
	"open-left":   func(g stated) float64 { return g["furcation"] - g["depth"] },
	"find-shift":  func(g stated) float64 { a := g["shift"] * math.Pi / 180; return g["gap"] * math.Sin(a) / math.Cos(a) },
	"find-mirror": func(g stated) float64 { return 2 * g["off"] },
	"measure-magnified": func(g stated) float64 { // similar triangles
		return g["image"] * (g["source"] - g["object"]) / g["source"]
	},
	"measure-ratio": func(g stated) float64 { return g["tooth on film"] / (g["file on film"] / g["file"]) },
	"measure-foreshortened": func(g stated) float64 {
		a := g["tilt"] * math.Pi / 180
		return math.Sqrt(1-math.Sin(a)*math.Sin(a)) * g["length"]
	},
	"measure-locator": func(g stated) float64 { return g["reading"] - g["short"] },
	"measure-cusp":    func(g stated) float64 { return g["length"] - g["cut"] },
	"measure-tooth":   func(g stated) float64 { return g["foramen"] - g["level"] },
	"measure-straightening": func(g stated) float64 { // law of cosines: chord of the arc, then the tail
		a, r, t := g["bend"]*math.Pi/180, g["radius"], g["tail"]
		chord := 2 * r * math.Sin(a/2)
		whole := math.Sqrt(chord*chord + t*t + 2*chord*t*math.Cos(a/2))
		return r*a + t - whole
	},
	"shape-diameter":  func(g stated) float64 { return g["size"]/100 + g["taper"]*g["at"] },
	"shape-d16":       func(g stated) float64 { return g["size"]/100 + 16*g["taper"] },
	"shape-step":      func(g stated) float64 { return (g["to"]/g["from"] - 1) * 100 },
	"shape-trimmed":   func(g stated) float64 { return g["size"]/100 + g["cut"]*g["taper"] },
	"shape-step-back": func(g stated) float64 { return g["growth"] / g["step"] },
	"shape-cycles":    func(g stated) float64 { return g["cutting"] - g["releasing"] },
	"shape-stiffness": func(g stated) float64 {
		return math.Pow((g["to"]/100+0.02*g["at"])/(g["from"]/100+0.02*g["at"]), 4)
	},
	"shape-torque": func(g stated) float64 { return g["torque"] * 10 },
	"shape-bottleneck": func(g stated) float64 {
		if g["width"] <= g["size"]/100 {
			return g["level"]
		}
		return g["level"] - (g["width"]-g["size"]/100)/g["taper"]
	},
	"shape-schneider":      func(g stated) float64 { return g["bend"] / 2 },
	"shape-arc":            func(g stated) float64 { return 2 * math.Pi * g["radius"] * g["bend"] / 360 },
	"shape-strain":         func(g stated) float64 { return 50 * g["diameter"] / g["radius"] },
	"shape-strain-compare": func(g stated) float64 { return (1 / g["second"]) / (1 / g["first"]) },
	"shape-transport": func(g stated) float64 {
		return math.Abs((g["inner before"] - g["inner after"]) - (g["outer before"] - g["outer after"]))
	},
	"shape-centring": func(g stated) float64 {
		a, b := g["inner before"]-g["inner after"], g["outer before"]-g["outer after"]
		return math.Min(a/b, b/a)
	},
	"shape-dentine": func(g stated) float64 { return g["wall"] - g["width after"]/2 + g["width before"]/2 },
	"shape-fit":     func(g stated) float64 { return g["width"] - g["taper"]*g["level"] },
	"rinse-reach":   func(g stated) float64 { return math.Max(0, (g["needle"]-g["size"]/100)/g["taper"]) },
	"rinse-time":    func(g stated) float64 { return g["volume"] / (g["flow"] / 60) },
	"rinse-dilute":  func(g stated) float64 { return g["wanted"] / g["stock"] * g["volume"] },
	"rinse-bore":    func(g stated) float64 { return math.Pow(g["wide"], 4) / math.Pow(g["fine"], 4) },
	"rinse-volume": func(g stated) float64 { // Simpson's rule, exact for a quadratic section
		area := func(x float64) float64 { d := g["size"]/100 + g["taper"]*x; return math.Pi * d * d / 4 }
		l := g["length"]
		return l / 6 * (area(0) + 4*area(l/2) + area(l))
	},
	"rinse-stop":      func(g stated) float64 { return g["length"] - g["short"] },
	"dry-point":       func(g stated) float64 { return g["held"] - g["bloody"] },
	"dress-temporary": func(g stated) float64 { return g["pellet"] + 3.5 },
	"fit-tolerance":   func(g stated) float64 { return g["too thick"] / g["taper"] },
	"fit-trim":        func(g stated) float64 { return (g["wanted"]/100 - g["size"]/100) / g["taper"] },
	"fill-share": func(g stated) float64 {
		area := func(taper float64) float64 { d := g["size"]/100 + taper*g["at"]; return math.Pi * d * d / 4 }
		return 100 * area(0.02) / area(g["taper"])
	},
	"fill-spreader": func(g stated) float64 { return g["length"] - 1 - g["depth"] },
	"seal-post":     func(g stated) float64 { return g["canal"] - g["left"] },
	"seal-cut":      func(g stated) float64 { return g["orifice"] + g["barrier"] },
	"restore-tube": func(g stated) float64 {
		i := func(d float64) float64 { return math.Pi / 64 * (math.Pow(g["outer"], 4) - math.Pow(d, 4)) }
		return 100 * (i(g["before"]) - i(g["after"])) / i(g["before"])
	},
	"review-survival":       func(g stated) float64 { return g["teeth"] * (1 - 0.954) },
	"mishap-fragment":       func(g stated) float64 { return g["whole"] - g["rest"] },
	"mishap-fragment-width": func(g stated) float64 { return g["size"]/100 + g["taper"]*g["length"] },
}

// classes holds for the generators whose answer is a word another way to it.
var classes = map[string]func(g stated, item quiz.Item) string{
	"judge-sum": func(g stated, _ quiz.Item) string {
		table := map[[2]float64]string{{0, 0}: "low", {1, 0}: "moderate", {2, 0}: "moderate"}
		if word, found := table[[2]float64{g["moderate"], g["high"]}]; found {
			return word
		}
		return "high"
	},
	"judge-form-curve": func(g stated, _ quiz.Item) string { return band(g["angle"], 10, 30, "low", "moderate", "high") },
	"judge-schneider":  func(g stated, _ quiz.Item) string { return band(g["angle"], 5.1, 24, "easy", "moderate", "difficult") },
	"isolate-number": func(g stated, item quiz.Item) string {
		upper := strings.Contains(item.Stem, " upper ")
		quadrant := map[bool]map[float64]int{true: {0: 10, 1: 20}, false: {0: 40, 1: 30}}[upper][g["quadrant"]]
		return fmt.Sprint(quadrant + int(g["place"]))
	},
	"find-side": func(g stated, item quiz.Item) string {
		tube := strings.Contains(item.Stem, "tube is moved mesially")
		image := strings.Contains(item.Stem, "image has moved mesially")
		if tube == image {
			return "lingual of the other"
		}
		return "buccal of the other"
	},
	"shape-colour": func(g stated, _ quiz.Item) string {
		words := strings.Fields("6:pink 8:grey 10:purple 15:white 20:yellow 25:red 30:blue 35:green 40:black 45:white 50:yellow 55:red 60:blue 70:green 80:black 90:white 100:yellow 110:red 120:blue 130:green 140:black")
		for _, w := range words {
			if size, colour, _ := strings.Cut(w, ":"); size == fmt.Sprint(g["size"]) {
				return colour
			}
		}
		return ""
	},
	"shape-next": func(g stated, _ quiz.Item) string { // all within the part that rises by fives
		return fmt.Sprintf("size %.0f", g["first"]+5*g["steps"])
	},
	"rinse-gauge": func(g stated, _ quiz.Item) string {
		width := g["size"]/100 + g["taper"]*g["from the end"]
		table := [][2]float64{{25, .5144}, {27, .4128}, {28, .3620}, {30, .3112}, {31, .2604}}
		for _, row := range table {
			if row[1] < width {
				return fmt.Sprintf("%.0f gauge, %.2f mm outside", row[0], row[1])
			}
		}
		return ""
	},
	"fill-length": func(g stated, _ quiz.Item) string { return band(g["short"], 0, 2, "long", "adequate", "short") },
}

func band(v, low, high float64, below, between, above string) string {
	switch {
	case v < low:
		return below
	case v <= high:
		return between
	}
	return above
}

// TestGenerators holds that every generator has a second way to its answer, a step, a level and a source,
// and that together they cover all steps.
func TestGenerators(t *testing.T) {
	steps := map[string]bool{}
	names := map[string]bool{}
	for _, g := range quiz.Generators() {
		if names[g.Name] {
			t.Errorf("%s stands twice", g.Name)
		}
		names[g.Name], steps[g.Step] = true, true
		if independent[g.Name] == nil && classes[g.Name] == nil {
			t.Errorf("%s has no independent calculation", g.Name)
		}
		if found, ok := quiz.GeneratorNamed(g.Name); !ok || found.Step != g.Step {
			t.Errorf("%s is not found by its name", g.Name)
		}
	}
	if len(names) < 25 {
		t.Errorf("%d generators, want at least 25", len(names))
	}
	for _, step := range quiz.Steps() {
		if !steps[step] {
			t.Errorf("no generator for step %s", step)
		}
	}
	if _, found := quiz.GeneratorNamed("no-such"); found {
		t.Error("a generator that does not exist was found")
	}
}

// TestGeneratedItems draws 10,000 items over teeth and seeds (fewer with -short) and holds each against
// the independent calculation: one right answer, others apart from it and from each other, no figure that
// is not finite, units as asked.
func TestGeneratedItems(t *testing.T) {
	rounds := 173 // × 58 generators
	if testing.Short() {
		rounds = 12
	}
	teeth := grounds(t, 2)
	kinds := map[quiz.Kind]int{}
	drawn := 0
	for _, g := range quiz.Generators() {
		for seed := range rounds {
			item := g.Make(teeth[(seed*7+len(g.Name))%len(teeth)], uint64(seed))
			drawn++
			kinds[item.Kind]++
			if complaint := examine(item); complaint != "" {
				t.Fatalf("%s, %s: %s\n%s\n%+v", item.ID, item.Made.Scenario, complaint, item.Stem, item.Options)
			}
		}
	}
	if !testing.Short() && drawn < 10000 {
		t.Errorf("only %d items drawn", drawn)
	}
	if kinds[quiz.Single] == 0 || kinds[quiz.Numeric] == 0 {
		t.Errorf("kinds drawn: %v", kinds)
	}
}

// examine returns what is wrong with a generated item.
func examine(item quiz.Item) string {
	for _, f := range append(quiz.Check(item), quiz.Lint(item)...) {
		return f.String()
	}
	g := stated{}
	text := item.Stem + item.Why + item.Other
	for _, o := range item.Options {
		text += o.Text + o.Feedback
	}
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "%!") || strings.Contains(text, "-0 ") {
		return "a figure is not finite or not written"
	}
	for _, given := range item.Made.Given {
		if math.IsNaN(given.Value) || math.IsInf(given.Value, 0) {
			return given.Name + " is not finite"
		}
		g[given.Name] = given.Value
	}
	if word := classes[item.Made.Generator]; word != nil {
		if got, want := item.Key(), word(g, item); got != want {
			return fmt.Sprintf("the key is %q, want %q", got, want)
		}
		return ""
	}
	return examineNumber(item, independent[item.Made.Generator](g))
}

// examineNumber holds a numeric answer against the independent one.
func examineNumber(item quiz.Item, want float64) string {
	made := item.Made.Value
	if math.Abs(made-want) > 1e-6*math.Max(1, math.Abs(want)) {
		return fmt.Sprintf("the answer is %.8g, want %.8g", made, want)
	}
	if item.Kind == quiz.Numeric {
		if item.Unit != item.Made.Unit || math.Abs(item.Answer-want) > item.Tolerance {
			return fmt.Sprintf("answer %g %s with tolerance %g, want %g", item.Answer, item.Unit, item.Tolerance, want)
		}
		for _, m := range item.Mistakes {
			if math.Abs(m.Value-want) <= 1.5*item.Tolerance {
				return fmt.Sprintf("the mistake %g is as good as the answer %g", m.Value, want)
			}
		}
		return ""
	}
	if len(item.Options) != 4 {
		return fmt.Sprintf("%d options", len(item.Options))
	}
	var nearest string
	least := math.Inf(1)
	for n, o := range item.Options {
		number, unit, _ := strings.Cut(strings.Replace(o.Text, "°", " deg", 1), " ")
		var value float64
		if _, err := fmt.Sscan(number, &value); err != nil || unit != item.Made.Unit {
			return fmt.Sprintf("option %q is no number in %s", o.Text, item.Made.Unit)
		}
		if slices.ContainsFunc(item.Options[:n], func(other quiz.Option) bool { return other.Text == o.Text }) {
			return fmt.Sprintf("option %q stands twice", o.Text)
		}
		if d := math.Abs(value - want); d < least {
			least, nearest = d, o.Text
		}
	}
	if nearest != item.Key() {
		return fmt.Sprintf("the key is %q, but %q is nearest to %g", item.Key(), nearest, want)
	}
	return ""
}

// TestMakeRepeats holds that the same seed makes the same item and other seeds others.
func TestMakeRepeats(t *testing.T) {
	teeth := grounds(t, 1)
	for _, g := range quiz.Generators() {
		stems := map[string]bool{}
		for seed := range uint64(20) {
			ground := teeth[seed%uint64(len(teeth))]
			item := g.Make(ground, seed)
			if again := g.Make(ground, seed); fmt.Sprintf("%+v", again.Options) != fmt.Sprintf("%+v", item.Options) || again.Stem != item.Stem {
				t.Errorf("%s with seed %d differs the second time", g.Name, seed)
			}
			stems[item.Stem] = true
		}
		if len(stems) < 3 {
			t.Errorf("%s makes only %d stems out of 20 seeds", g.Name, len(stems))
		}
	}
}

// TestWorkingLengthReading holds the reading against the path measured by hand: reference cusp level to
// orifice along the axis' first direction, then the polyline to the constriction.
func TestWorkingLengthReading(t *testing.T) {
	for _, ground := range grounds(t, 1) {
		for i, c := range ground.Tooth.Canals {
			got, found := quiz.Read(ground.Tooth, i, "working-length", 0)
			if !found {
				t.Fatalf("%s %s: no working length", ground.Scenario, c.Name)
			}
			state := treatment.Start(&treatment.Case{Tooth: ground.Tooth, Settings: treatment.DefaultSettings()})
			want := state.Canals[i].Orifice() + c.Length - c.Constriction.Level
			if math.Abs(got-want) > 0.2 {
				t.Errorf("%s %s: working length %.2f mm, want %.2f", ground.Scenario, c.Name, got, want)
			}
		}
	}
}
