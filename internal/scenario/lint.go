package scenario

import (
	"errors"
	"math"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// lintSeeds is how many seeds are tried to see whether a tooth can be grown from each.
const lintSeeds = 25

// Lint returns what is suspicious about a scenario that is otherwise without fault, in the order of the
// file: a rule that nobody can earn or lose, points that do not add up, a protocol or a rule that the tray
// cannot serve, a length far from the norm, a tooth that some seeds cannot grow. Checked by TestLints.
func (s Scenario) Lint() Faults {
	r := &reader{src: s.src}
	s.lintTooth(r)
	s.lintSeeds(r)
	s.lintReach(r)
	s.lintProtocol(r)
	s.lintTotal(r)
	s.lintLinks(r)
	found := r.faults
	found = append(found, s.lintRules()...)
	found = append(found, s.lintDrill()...)
	if found.err() == nil {
		return nil
	}
	return found
}

// lintRules puts what marking finds, and rules that the tray cannot serve, at their places.
func (s Scenario) lintRules() Faults {
	words := marking.Standard()
	words.Canals = anatomy.CanalNames(s.spec.Kind)
	byReader := map[*reader]*reader{}
	at := func(w written) *reader {
		if byReader[w.reader] == nil {
			byReader[w.reader] = &reader{src: w.reader.src}
		}
		return byReader[w.reader]
	}
	for _, f := range words.Lint(s.rules) {
		w := s.written[f.Rule]
		node := w.fields[f.Field]
		if node == nil {
			node = w.node
		}
		at(w).note(node, "lint", "rule %s: %s %s", shorten(w.rule.ID), f.Field, f.Message)
	}
	for i, w := range s.written {
		if w.derived {
			continue // told of the protocol itself
		}
		for _, deed := range s.marker.Deeds(i) {
			if lacks := s.trayLacks(deed); lacks != "" {
				at(w).note(w.node, "lint", "rule %s speaks of %q, but %s", shorten(w.rule.ID), deed, lacks)
			}
		}
	}
	var found Faults
	for _, w := range s.written { // in the order of the rules, each file once
		if own := byReader[w.reader]; own != nil {
			found = append(found, own.faults...)
			delete(byReader, w.reader)
		}
	}
	return found
}

// trayLacks says why an action cannot be done with the tray, "" when it can.
func (s Scenario) trayLacks(deed string) string {
	if len(s.tray) == 0 {
		return ""
	}
	kind, word, _ := strings.Cut(deed, " ")
	var have []treatment.Instrument
	for _, id := range s.tray {
		if item, err := treatment.Lookup(id); err == nil {
			have = append(have, item)
		}
	}
	if item, err := treatment.Lookup(word); err == nil && !slices.Contains(s.tray, item.ID) {
		return "the tray has no " + word
	}
	families := []string{}
	for _, i := range treatment.Catalogue() {
		if i.Family == word {
			families = []string{word}
		}
	}
	if len(families) == 0 {
		families = familiesFor(treatment.Kind(kind))
	}
	if len(families) == 0 || slices.ContainsFunc(have, func(i treatment.Instrument) bool { return slices.Contains(families, i.Family) }) {
		return ""
	}
	return "the tray has nothing it can be done with: " + strings.Join(families, ", ")
}

// familiesFor returns the families of instruments with which an action is done, nil when it needs none.
func familiesFor(kind treatment.Kind) []string {
	hand := []string{"hand-steel", "hand-flex", "hand-h", "reamer", "hand-niti"}
	switch kind { //nolint:exhaustive // the other actions need no instrument of the tray
	case treatment.Work:
		return append(hand, "rotary", "rotary-annealed", "rotary-heat", "reciprocating", "opener", "enlarger")
	case treatment.Measure:
		return hand
	case treatment.Gauge:
		return []string{"hand-steel", "hand-flex", "hand-niti"}
	case treatment.Bend:
		return []string{"hand-steel", "hand-flex", "hand-h", "reamer"}
	case treatment.Irrigate:
		return []string{"needle"}
	case treatment.Fit, treatment.Fill:
		return []string{"cone"}
	}
	return nil
}

// lintProtocol finds steps that the tray cannot serve and steps against the order of the procedure.
func (s Scenario) lintProtocol(r *reader) {
	for _, step := range s.protocol {
		if lacks := s.trayLacks(step.Do); lacks != "" {
			r.note(step.doNode, "lint", "protocol: %q, but %s", step.Do, lacks)
		}
	}
	opened := slices.IndexFunc(s.protocol, func(p ProtocolStep) bool { return strings.HasPrefix(p.Do, "open") })
	for i, step := range s.protocol {
		kind, _, _ := strings.Cut(step.Do, " ")
		inside := []string{"find", "measure", "set-length", "work", "irrigate", "gauge", "dry", "fit", "fill", "seal"}
		if i < opened && slices.Contains(inside, kind) {
			r.note(step.doNode, "lint", "protocol: %q stands before \"open\", but needs the chamber open", step.Do)
		}
	}
}

// lintTotal finds marks that do not add up to a hundred when no total is stated.
func (s Scenario) lintTotal(r *reader) {
	node := s.places[""].node
	sum := pointsOf(s.written)
	if s.totalNode == nil && len(s.written) > 0 && math.Abs(sum-100) > 1e-6 {
		r.note(node, "lint", "the points of all rules add up to %s, not to 100; if that is meant, write total: %s", show(sum, ""), show(sum, ""))
	}
}

// lintTooth finds a length that the norms of the tooth make unlikely.
func (s Scenario) lintTooth(r *reader) {
	place, given := s.places["Length"]
	if !given || !s.spec.Length.Set {
		return
	}
	for _, n := range anatomy.Norms() {
		if n.Tooth != string(s.spec.Kind) || n.Quantity != "length" || n.Canal != "any" || n.High <= n.Low {
			continue
		}
		if s.spec.Length.Low < n.Low || s.spec.Length.High > n.High {
			given := show(s.spec.Length.Low, "mm")
			if s.spec.Length.High > s.spec.Length.Low {
				given += " to " + show(s.spec.Length.High, "mm")
			}
			r.note(place.node, "lint", "length is %s; published lengths of this tooth run from %s to %s (%s)", given, show(n.Low, "mm"), show(n.High, "mm"), n.Source)
		}
	}
}

// lintReach finds canals that end further from their reference point than any file on offer is long.
func (s Scenario) lintReach(r *reader) {
	c, err := s.Case(s.seed)
	if err != nil {
		return
	}
	longest := 0.0
	for _, i := range treatment.Catalogue() {
		if i.Steel() && (len(s.tray) == 0 || slices.Contains(s.tray, i.ID)) {
			longest = math.Max(longest, i.Blank().Length)
		}
	}
	state := treatment.Start(c)
	for i := range state.Canals {
		if end := state.Canals[i].Foramen(); longest > 0 && end > longest {
			r.note(s.places[""].node, "lint", "%s ends %s from its reference point, but the longest hand file on offer is %s",
				state.Canals[i].Name, show(math.Round(end*10)/10, "mm"), show(longest, "mm"))
		}
	}
}

// lintSeeds finds seeds from which no tooth can be grown.
func (s Scenario) lintSeeds(r *reader) {
	failed := 0
	var first error
	for seed := range uint64(lintSeeds) {
		if _, err := s.Case(seed); err != nil {
			if failed == 0 {
				first = err
			}
			failed++
		}
	}
	if failed == 0 {
		return
	}
	reason := ""
	var faults Faults
	if errors.As(first, &faults) {
		reason = faults[0].Message
	}
	r.note(s.places[""].node, "lint", "from %d of %d seeds no tooth can be grown: %s", failed, lintSeeds, reason)
}

// beyondFurthest is how far past the foramen a stop may be meant to stand, mm: patency.
const beyondFurthest = 1.0

// Lint returns what in a plan is suspicious for a case: a stop beyond the end of the canal, a step that
// rinses or shapes a canal before it is looked for. done is what a drill has done before. Checked by
// TestPlanLints.
func (p Plan) Lint(c *treatment.Case, done []treatment.Action) Faults {
	r := &reader{src: p.src}
	state := treatment.Start(c)
	length := map[string]float64{}
	for i := range state.Canals {
		length[state.Canals[i].Name] = state.Canals[i].Foramen()
	}
	sought := map[string]bool{}
	told := map[string]bool{}
	for _, a := range done {
		sought[a.Canal] = sought[a.Canal] || a.Do == treatment.Find
	}
	for i, a := range p.Steps {
		if a.Do == treatment.Find {
			sought[a.Canal] = true
		}
		fields := p.steps[i].fields
		if end, known := length[a.Canal]; known && fields["stop"] != nil && float64(a.Stop)/1000 > end+beyondFurthest {
			r.note(fields["stop"], "lint", "stop is %s, but the canal %s ends %s from its reference point", show(float64(a.Stop)/1000, "mm"), a.Canal, show(math.Round(end*100)/100, "mm"))
		}
		inside := a.Do != treatment.Find && a.Do != treatment.Radiograph && a.Canal != ""
		if inside && !sought[a.Canal] && !told[a.Canal] && length[a.Canal] > 0 {
			told[a.Canal] = true
			r.note(p.steps[i].node, "lint", "%s in %s before the canal is looked for", a.Do, a.Canal)
		}
	}
	if r.faults.err() == nil {
		return nil
	}
	return r.faults
}
