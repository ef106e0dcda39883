package cli

import (
	"fmt"
	"slices"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// treatReport is a plan carried out, as JSON.
type treatReport struct {
	Scenario       string            `json:"scenario"`
	ScenarioDigest string            `json:"scenario_digest"`
	Plan           string            `json:"plan"`
	Seed           uint64            `json:"seed"`
	Engine         string            `json:"engine"`
	Digest         string            `json:"digest"`
	Actions        int               `json:"actions"`
	Elapsed        int               `json:"elapsed_ms"`
	Events         []treatment.Event `json:"events"`
	Outcome        treatment.Outcome `json:"outcome"`
	Levels         []canalLevels     `json:"levels"`
	Marks          marking.Marks     `json:"marks"`
}

// newTreatReport reports a treatment; lists without entries are written as such and not as null.
func newTreatReport(t treated) treatReport {
	r := treatReport{
		Scenario: t.start.Scenario, ScenarioDigest: t.start.Digest, Plan: t.plan.Name, Seed: t.start.Seed,
		Engine: treatment.Engine, Digest: t.record.Digest, Actions: len(t.steps), Elapsed: t.run.State().Elapsed,
		Events: t.run.Events(), Outcome: t.record.Outcome, Marks: t.record.Marks, Levels: t.levels(),
	}
	r.Events = append([]treatment.Event{}, r.Events...)
	r.Marks.Critical = append([]string{}, r.Marks.Critical...)
	r.Marks.Rules = append([]marking.RuleMark{}, r.Marks.Rules...)
	return r
}

// print lays a treatment out for a terminal.
func (t treated) print(p page) {
	heading(p, t.from)
	p.paragraph("", strings.Join([]string{
		t.start.Scenario, fmt.Sprintf("tooth %d", t.start.Number), "plan " + t.plan.Name, "seed " + whole(t.start.Seed), "engine " + treatment.Engine,
	}, " · "))
	brief(p, t.from)
	t.printSteps(p)
	t.printMishaps(p)
	t.printOutcome(p)
	t.printMarks(p)
	t.printContext(p)
	fmt.Fprintln(p.to)
	p.paragraph("digest ", t.record.Digest)
	p.paragraph("", "A training aid: it predicts nothing about a patient, and the marks are the instructor's rules.")
}

// brief tells what is known of a case and what is taught for it.
func brief(p page, from scenario.Scenario) {
	if summary := from.Summary(); summary != "" {
		fmt.Fprintln(p.to)
		p.paragraph("", summary)
	}
	for _, finding := range from.Findings() {
		p.paragraph("· ", finding)
	}
	if ms := from.Time(); ms > 0 {
		p.paragraph("", "Time allowed: "+clock(ms))
	}
	if len(from.Protocol()) == 0 {
		return
	}
	p.paragraph("", "Taught for this case, in this order:")
	for i, step := range from.Protocol() {
		text := step.Text
		if text == "" {
			text = step.Do
		}
		p.paragraph(fmt.Sprintf("%3d  ", i+1), text)
	}
}

// printSteps prints each action as a sentence with the time it began, and under it what happened.
func (t treated) printSteps(p page) {
	p.section("Treatment", fmt.Sprintf("actions: %d, time: %s", len(t.steps), clock(t.run.State().Elapsed)))
	faults, told := mishaps(), map[string]bool{}
	for i, step := range t.steps {
		p.paragraph(fmt.Sprintf("%3d  %s  ", i+1, clock(step.at)), attempt.Say(step.action))
		caution(p, told, attempt.CautionBefore(step.action))
		for _, e := range step.events {
			p.paragraph(bullet(faults[e.Kind]), attempt.Sentence(e))
			caution(p, told, attempt.CautionOf(e))
		}
	}
}

// caution prints a caution where it belongs, once in a treatment.
func caution(p page, told map[string]bool, text string) {
	if text != "" && !told[text] {
		told[text] = true
		p.paragraph("                Caution: ", text)
	}
}

// printContext prints what the model leaves out and what is published for the stages of a treatment.
func (t treated) printContext(p page) {
	var stages []string
	for _, step := range t.steps {
		if s := step.action.Do.Stage(); !slices.Contains(stages, s) {
			stages = append(stages, s)
		}
	}
	p.section("To bear in mind", "simplifications of the model; published figures of groups, not of this tooth")
	for _, text := range attempt.Limits(stages) {
		p.paragraph("· ", text)
	}
	for _, text := range attempt.Cited(stages) {
		p.paragraph("“ ", text)
	}
}

// bullet is the beginning of an event's line; a mishap has a mark that does not need colour.
func bullet(mishap bool) string {
	if mishap {
		return "              ! "
	}
	return "              · "
}

// mishaps tells which kinds of event are mishaps.
func mishaps() map[treatment.EventKind]bool {
	faults := map[treatment.EventKind]bool{}
	for _, d := range treatment.EventKinds() {
		faults[d.Kind] = d.Fault
	}
	return faults
}

// printMishaps lists what went wrong, with where and by what.
func (t treated) printMishaps(p page) {
	faults := mishaps()
	rows := [][]string{{"step", "what", "canal", "level", "wall", "instrument", "force", "", "detail"}}
	for _, e := range t.run.Events() {
		if faults[e.Kind] {
			rows = append(rows, mishapRow(e))
		}
	}
	if len(rows) == 1 {
		p.section("Mishaps", "none")
		return
	}
	p.section("Mishaps", fmt.Sprintf("%d; level from the foramen", len(rows)-1))
	p.table("rllrllrrl", rows)
}

// mishapRow is one event as a row.
func mishapRow(e treatment.Event) []string {
	level, force := "", ""
	if e.Level != 0 {
		level = quantity(e.Level, "mm")
	}
	if e.Force != 0 {
		force = quantity(e.Force, "N")
	}
	return []string{
		fmt.Sprint(e.Action + 1), string(e.Kind), e.Canal, level, e.Wall, e.Item, force, quantity(e.Value, e.Unit), e.Detail,
	}
}

// printOutcome prints the metrics: the tooth's, then the canals' with one column each.
func (t treated) printOutcome(p page) {
	p.section("Outcome", "")
	rows := [][]string{}
	canals := []string{}
	for _, c := range t.start.Tooth.Canals {
		canals = append(canals, c.Name)
	}
	out := t.record.Outcome
	for _, d := range treatment.MetricTable() {
		if v, found := out.Value(d.Name, ""); found && !d.PerCanal {
			rows = append(rows, []string{d.Name, metric(v, d), unitOf(d)})
		}
	}
	p.table("lrl", rows)
	fmt.Fprintln(p.to)
	rows = [][]string{append(append([]string{""}, canals...), "")}
	for _, d := range treatment.MetricTable() {
		if !d.PerCanal {
			continue
		}
		row := []string{d.Name}
		for _, c := range canals {
			v, found := out.Value(d.Name, c)
			if !found {
				row = append(row, "–")
				continue
			}
			row = append(row, metric(v, d))
		}
		rows = append(rows, append(row, unitOf(d)))
	}
	p.table("l"+strings.Repeat("r", len(canals))+"l", rows)
}

// share reports whether a metric is a share, which is printed in per cent.
func share(d treatment.Definition) bool { return strings.HasSuffix(d.Name, "_share") }

// metric writes a metric's value.
func metric(v float64, d treatment.Definition) string {
	switch {
	case share(d):
		return number(100*v, "%")
	case strings.HasPrefix(d.Text, "1 when ") && v == 1:
		return "yes"
	case strings.HasPrefix(d.Text, "1 when ") && v == 0:
		return "no"
	}
	return number(v, d.Unit)
}

// unitOf is the unit a metric is printed in.
func unitOf(d treatment.Definition) string {
	if share(d) {
		return "%"
	}
	return d.Unit
}

// printMarks prints the marks by stage with their evidence, critical errors last.
func (t treated) printMarks(p page) {
	m := t.record.Marks
	if len(m.Rules) == 0 {
		p.section("Marks", "the scenario has no rules")
		return
	}
	p.section("Marks", fmt.Sprintf("%s of %s points", points(m.Total), points(m.Available)))
	stage := ""
	for _, r := range m.Rules {
		if r.Critical {
			continue
		}
		if r.Stage != stage {
			stage = r.Stage
			fmt.Fprintf(p.to, "%s\n", stage)
		}
		printRule(p, r, fmt.Sprintf("%6s / %-4s", points(r.Points), points(r.Available)))
	}
	printCritical(p, m)
}

// printCritical prints the rules about critical errors.
func printCritical(p page, m marking.Marks) {
	headed := false
	for _, r := range m.Rules {
		if !r.Critical {
			continue
		}
		if !headed {
			fmt.Fprintln(p.to, "critical errors")
			headed = true
		}
		verdict := "      clear  "
		if r.Happened {
			verdict = "  ! HAPPENED "
		}
		printRule(p, r, verdict)
	}
	if m.Failed {
		fmt.Fprintln(p.to)
		p.paragraph("", "Not passed: a critical error happened, whatever the points.")
	}
}

// printRule prints a rule's title behind its score, and the evidence under it.
func printRule(p page, r marking.RuleMark, score string) {
	title := r.Title
	if title == "" {
		title = r.ID
	}
	p.paragraph(score+"  ", title)
	indent := strings.Repeat(" ", len(score)+2)
	if len(r.Parts) > 0 {
		printParts(p, r.Parts, indent)
		return
	}
	evidence := r.Evidence
	if r.Action >= 0 {
		evidence += fmt.Sprintf(" (step %d)", r.Action+1)
	}
	if evidence != "" {
		p.paragraph(indent, evidence)
	}
}

// printParts prints the share of each canal; canals with the same share and evidence go together.
func printParts(p page, parts []marking.Part, indent string) {
	type group struct{ canals, share, evidence string }
	var groups []group
	widest := [2]int{}
	for _, part := range parts {
		g := group{part.Canal, points(part.Points) + " of " + points(part.Available), strings.TrimPrefix(part.Evidence, part.Canal+": ")}
		if last := len(groups) - 1; last >= 0 && groups[last].share == g.share && groups[last].evidence == g.evidence {
			groups[last].canals += ", " + g.canals
			g = groups[last]
		} else {
			groups = append(groups, g)
		}
		widest[0], widest[1] = max(widest[0], len(g.canals)), max(widest[1], len(g.share))
	}
	for _, g := range groups {
		p.paragraph(fmt.Sprintf("%s%-*s  %-*s  ", indent, widest[0], g.canals, widest[1], g.share), g.evidence)
	}
}

// points writes marks with at most two decimals.
func points(v float64) string {
	text := fmt.Sprintf("%.2f", v)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
