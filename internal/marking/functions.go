package marking

import (
	"math"
	"slices"

	"tugback/internal/treatment"
)

// Function documents one function an expression may call.
type Function struct {
	Name    string
	Form    string // how it is called
	Text    string
	Example string

	takes    []argument
	required int // how many of takes must be given; the last may repeat when many is set
	many     bool
}

// argument is what an argument of a function must be.
type argument int

const (
	numberArgument argument = iota
	eventArgument
	deedArgument
	canalMetricArgument
	canalArgument
	agentArgument
)

// Functions returns every function of the rule language, in the order of the printed reference.
//
// In a rule about a canal, events and actions are those of that canal and those that name no canal;
// in a rule about the tooth they are all. A canal given as an argument narrows it to exactly that one.
// An action is named by its kind, or by its kind and one word: "irrigate edta", "work hand-steel".
// Checked by TestFunctions and TestFunctionExamplesCompile.
func Functions() []Function {
	return append(factFunctions(), numberFunctions()...)
}

func factFunctions() []Function {
	event, deeds := []argument{eventArgument, canalArgument}, []argument{deedArgument, canalArgument}
	metric := []argument{canalMetricArgument}
	return []Function{
		{"count", `count(event, canal?)`, "how often an event happened", `count("ledge") == 0`, event, 1, false},
		{"happened", `happened(event, canal?)`, "yes if an event happened at least once", `not happened("file-broken")`, event, 1, false},
		{"actions", `actions(action, canal?)`, "how often an action was done", `actions("wipe") >= 3`, deeds, 1, false},
		{"did", `did(action, canal?)`, "yes if an action was done at least once", `did("radiograph")`, deeds, 1, false},
		{"first", `first(action, canal?)`, "number of the first such action, the first of all being 1; 0 if never done", `first("gauge") > 0`, deeds, 1, false},
		{"last", `last(action, canal?)`, "number of the last such action; 0 if never done", `last("irrigate edta") > last("work")`, deeds, 1, false},
		{"before", `before(action, action)`, "yes if the first action was done and no second one came before it", `before("isolate", "open")`, []argument{deedArgument, deedArgument}, 2, false},
		{"between", `between(action, action, action)`, "yes if, whenever the second action came after the first, the third was done in between", `between("irrigate sodium-hypochlorite", "irrigate chlorhexidine", "irrigate water")`, []argument{deedArgument, deedArgument, deedArgument}, 3, false},
		{"volume", `volume(irrigant, canal?)`, "ml of an irrigant rinsed", `volume("sodium-hypochlorite") >= 10`, []argument{agentArgument, canalArgument}, 1, false},
		{"seconds", `seconds(action, canal?)`, "seconds spent in the time fields of an action", `seconds("irrigate edta") >= 60`, deeds, 1, false},
		{"clock", `clock(action, canal?)`, "seconds on the treatment's clock when such an action was first done; not measured, which meets no condition, if never", `clock("isolate") <= 600`, deeds, 1, false},
		{"last_agent", `last_agent(canal?)`, "the irrigant of the last rinse, \"\" if none", `last_agent() != "chlorhexidine"`, []argument{canalArgument}, 0, false},
		{"of", `of(metric, canal)`, "a canal metric of one canal", `of("length_error_mm", "MB") <= 0.5`, []argument{canalMetricArgument, canalArgument}, 2, false},
		{"max_of", `max_of(metric)`, "largest value over the canals", `max_of("transport_max_mm") <= 0.15`, metric, 1, false},
		{"min_of", `min_of(metric)`, "smallest value over the canals", `min_of("found") == 1`, metric, 1, false},
		{"sum_of", `sum_of(metric)`, "sum over the canals", `sum_of("debris_extruded_mm3") < 0.5`, metric, 1, false},
		{"any_of", `any_of(metric)`, "yes if the metric is not 0 in some canal", `not any_of("perforated")`, metric, 1, false},
		{"all_of", `all_of(metric)`, "yes if the metric is not 0 in every canal", `all_of("patent")`, metric, 1, false},
	}
}

func numberFunctions() []Function {
	n := numberArgument
	return []Function{
		{"abs", `abs(number)`, "the number without its sign", `abs(length_error_mm) <= 0.5`, []argument{n}, 1, false},
		{"min", `min(number, number…)`, "the smallest", `min(patent, found) == 1`, []argument{n}, 1, true},
		{"max", `max(number, number…)`, "the largest", `max(perforated, erosion) < 0.5`, []argument{n}, 1, true},
		{"clamp", `clamp(number, low, high)`, "the number, kept between low and high", `clamp(naocl_ml / 10, 0, 1) > 0.5`, []argument{n, n, n}, 3, false},
		{"ramp", `ramp(number, full, none)`, "1 at full, 0 at none, a straight line between, flat outside", `ramp(transport_max_mm, 0.1, 0.3) > 0`, []argument{n, n, n}, 3, false},
	}
}

func functionNamed(name string) (Function, bool) {
	for _, f := range Functions() {
		if f.Name == name {
			return f, true
		}
	}
	return Function{}, false
}

// scope is the facts as one rule sees them: the whole tooth (canal "") or one canal.
type scope struct {
	facts  *Facts
	canal  string
	canals []string // all canals of the outcome, in its order
	names  map[string]any
}

// newScope binds the metrics and functions an expression sees. A metric that the outcome lacks is NaN,
// which meets no condition.
func newScope(v *Vocabulary, facts *Facts, canals []string, canal string) *scope {
	s := &scope{facts: facts, canal: canal, canals: canals}
	s.names = map[string]any{
		"count": s.count, "happened": s.happened, "actions": s.actions, "did": s.did,
		"first": s.first, "last": s.last, "before": s.before, "between": s.between, "volume": s.volume, "seconds": s.seconds, "clock": s.clock,
		"last_agent": s.lastAgent, "of": s.of, "max_of": s.maxOf, "min_of": s.minOf, "sum_of": s.sumOf,
		"any_of": s.anyOf, "all_of": s.allOf,
		"abs": math.Abs, "min": least, "max": largest, "clamp": clamp, "ramp": ramp,
	}
	for _, d := range v.Metrics {
		if d.PerCanal && canal == "" {
			continue
		}
		where := ""
		if d.PerCanal {
			where = canal
		}
		s.names[d.Name] = s.of(d.Name, where)
	}
	return s
}

// of returns a metric of a canal ("" for the tooth), NaN when the outcome has none.
func (s *scope) of(metric, canal string) float64 {
	for _, m := range s.facts.Outcome.Metrics {
		if m.Name == metric && m.Canal == canal {
			return m.Value
		}
	}
	return math.NaN()
}

// sees reports whether something that happened at a canal ("" none) belongs to what is asked for.
func (s *scope) sees(at string, asked []string) bool {
	if len(asked) > 0 {
		return at == asked[0]
	}
	return s.canal == "" || at == "" || at == s.canal
}

func (s *scope) count(kind string, canal ...string) float64 {
	n := 0
	for i := range s.facts.Events {
		e := &s.facts.Events[i]
		if string(e.Kind) == kind && s.sees(e.Canal, canal) {
			n++
		}
	}
	return float64(n)
}

func (s *scope) happened(kind string, canal ...string) bool { return s.count(kind, canal...) > 0 }

// done returns the indices of the actions that are the deed.
func (s *scope) done(text string, canal []string) []int {
	var found []int
	d := readDeed(text)
	for i := range s.facts.Actions {
		a := &s.facts.Actions[i]
		if d.matches(a) && s.sees(a.Canal, canal) {
			found = append(found, i)
		}
	}
	return found
}

func (s *scope) actions(text string, canal ...string) float64 {
	return float64(len(s.done(text, canal)))
}

func (s *scope) did(text string, canal ...string) bool { return len(s.done(text, canal)) > 0 }

func (s *scope) first(text string, canal ...string) float64 {
	if found := s.done(text, canal); len(found) > 0 {
		return float64(found[0] + 1)
	}
	return 0
}

func (s *scope) last(text string, canal ...string) float64 {
	if found := s.done(text, canal); len(found) > 0 {
		return float64(found[len(found)-1] + 1)
	}
	return 0
}

func (s *scope) before(one, other string) bool {
	a, b := s.first(one), s.first(other)
	return a > 0 && (b == 0 || a < b)
}

// between reports whether no other came after the one without the needed in between.
func (s *scope) between(one, other, needed string) bool {
	before, after, cleared := readDeed(one), readDeed(other), readDeed(needed)
	open := false
	for i := range s.facts.Actions {
		a := &s.facts.Actions[i]
		switch {
		case !s.sees(a.Canal, nil):
		case cleared.matches(a):
			open = false
		case open && after.matches(a):
			return false
		case before.matches(a):
			open = true
		}
	}
	return true
}

// orderShare returns the share of the steps that were done, each first done after the last one before it
// that counts.
func (s *scope) orderShare(steps []string) float64 {
	good, last := 0, 0.0
	for _, step := range steps {
		if at := s.first(step); at > last {
			good++
			last = at
		}
	}
	return float64(good) / float64(len(steps))
}

func (s *scope) volume(agent string, canal ...string) float64 {
	microlitres := 0.0 // whole numbers, exact as floats where int has 32 bits too
	for i := range s.facts.Actions {
		a := &s.facts.Actions[i]
		if a.Do == treatment.Irrigate && a.Agent == agent && s.sees(a.Canal, canal) {
			microlitres += float64(a.Volume)
		}
	}
	return microlitres / 1000
}

func (s *scope) seconds(text string, canal ...string) float64 {
	milliseconds := 0.0
	for _, i := range s.done(text, canal) {
		milliseconds += float64(s.facts.Actions[i].Time)
	}
	return milliseconds / 1000
}

// clock returns when an action was first done, by the events of it or, where it has none, by the one before.
func (s *scope) clock(text string, canal ...string) float64 {
	found := s.done(text, canal)
	if len(found) == 0 {
		return math.NaN()
	}
	milliseconds := 0
	for i := range s.facts.Events {
		e := &s.facts.Events[i]
		if e.Action > found[0] {
			break
		}
		milliseconds = e.At
		if e.Action == found[0] {
			break
		}
	}
	return float64(milliseconds) / 1000
}

func (s *scope) lastAgent(canal ...string) string {
	agent := ""
	for _, i := range s.done(string(treatment.Irrigate), canal) {
		agent = s.facts.Actions[i].Agent
	}
	return agent
}

// values returns a metric of every canal.
func (s *scope) values(metric string) []float64 {
	values := make([]float64, len(s.canals))
	for i, canal := range s.canals {
		values[i] = s.of(metric, canal)
	}
	return values
}

func (s *scope) maxOf(metric string) float64 {
	if values := s.values(metric); len(values) > 0 {
		return largest(values[0], values[1:]...)
	}
	return math.NaN()
}

func (s *scope) minOf(metric string) float64 {
	if values := s.values(metric); len(values) > 0 {
		return least(values[0], values[1:]...)
	}
	return math.NaN()
}

func (s *scope) sumOf(metric string) float64 {
	sum := 0.0
	for _, x := range s.values(metric) {
		sum += x
	}
	return sum
}

// yes reports whether a flag or count is set; a figure that was not measured is not.
func yes(x float64) bool { return !math.IsNaN(x) && x != 0 }

func (s *scope) anyOf(metric string) bool { return slices.ContainsFunc(s.values(metric), yes) }

func (s *scope) allOf(metric string) bool {
	values := s.values(metric)
	return len(values) > 0 && !slices.ContainsFunc(values, func(x float64) bool { return !yes(x) })
}

func least(x float64, more ...float64) float64 {
	for _, y := range more {
		x = math.Min(x, y)
	}
	return x
}

func largest(x float64, more ...float64) float64 {
	for _, y := range more {
		x = math.Max(x, y)
	}
	return x
}

func clamp(x, low, high float64) float64 { return math.Max(low, math.Min(high, x)) }

func ramp(x, full, none float64) float64 { return share((none - x) / (none - full)) }
