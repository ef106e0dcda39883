package scenario

import (
	"encoding/json"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// Drill is what makes a case a drill: steps that are done before the student takes over, and for what.
type Drill struct {
	Goal   string             // what the student is to do, a sentence; may be empty
	Steps  []treatment.Action // done for the student, one at least
	Before string             // first step left to the student, as rules name it; "" not said
}

// drill is a Drill as it was written.
type drill struct {
	Drill
	plan Plan // holds the steps with their places
}

// Drill returns what is done before the student takes over, and whether the case is a drill at all. Checked
// by TestDrill.
func (s Scenario) Drill() (Drill, bool) {
	d := s.drill.Drill
	d.Steps = slices.Clone(d.Steps)
	return d, len(d.Steps) > 0
}

// drillEntries are the keys of a drill.
func drillEntries() []Entry {
	return []Entry{
		proseEntry("goal", "what the student is to do, in a sentence", "Find the working length."),
		{Key: "plan", Value: "a file in the folder", Text: "plan whose first steps are done for the student", Example: "plans/my-case.yaml", Shape: Shape{Kind: TextShape, From: "plans"}, schema: stringSchema},
		{Key: "before", Value: "an action, or an action and one of its words", Text: "first step of the plan that is left to the student", Example: "measure", Shape: Shape{Kind: TextShape, From: "deeds"}, schema: stringSchema},
		{Key: "steps", Value: "a list of actions", Text: "what is done for the student, as in a plan, in place of one", Example: "[{isolate: {tooth: 46}}]",
			Shape: Shape{Kind: ListShape, Of: "step"}, schema: listOf(stepSchema)},
	}
}

// drill reads what is done before the student takes over.
func (rr *ruleReader) drill(r *reader, base string, node *yaml.Node) (d drill) {
	var plan Plan
	var before string
	var beforeNode, planNode *yaml.Node
	own := &planReader{reader: reader{src: r.src}, plan: &d.plan}
	d.plan.src = r.src
	ok := r.group(node, "drill", []key{
		{"goal", false, func(n *yaml.Node) { d.Goal, _ = r.text(n, "goal") }},
		{"plan", false, func(n *yaml.Node) {
			planNode = n
			if name, ok := r.text(n, "plan"); ok {
				plan = rr.planFile(r, base, name, n)
			}
		}},
		{"before", false, func(n *yaml.Node) {
			beforeNode = n
			before, _ = r.text(n, "before")
			d.Before = before
			if fault := marking.DeedFault(before); before != "" && fault != "" {
				r.note(n, "action", "%s", fault)
				before = ""
			}
		}},
		{"steps", false, func(n *yaml.Node) { own.list(n, "steps", actionLimit, own.step) }},
	})
	r.faults = append(r.faults, own.faults...)
	switch {
	case !ok:
		return d
	case planNode == nil && beforeNode != nil:
		r.note(beforeNode, "drill", "before names a step of a plan, but the drill lacks plan")
	case planNode != nil && beforeNode == nil:
		r.note(planNode, "drill", "the plan's steps are done as far as before says; the drill lacks before")
	case planNode != nil && len(d.plan.Steps) > 0:
		r.note(planNode, "drill", "the drill has a plan and steps of its own; write one of them")
	case planNode == nil && len(d.plan.Steps) == 0 && len(own.faults) == 0:
		r.note(node, "drill", "the drill lacks what is done for the student: plan and before, or steps")
	case before != "" && len(plan.Steps) > 0:
		d.cut(r, plan, before, beforeNode)
	}
	d.Steps = d.plan.Steps
	rr.prepared = d.content()
	return d
}

// cut takes the steps of a plan as far as the one that is left to the student.
func (d *drill) cut(r *reader, plan Plan, before string, node *yaml.Node) {
	n := slices.IndexFunc(plan.Steps, func(a treatment.Action) bool { return marking.IsDeed(before, &a) })
	switch {
	case n < 0:
		r.note(node, "drill", "the plan has no step %q; it has %s", before, kindsOf(plan.Steps))
	case n == 0:
		r.note(node, "drill", "%q is the plan's first step, so that nothing is done for the student", before)
	default:
		d.plan = plan
		d.plan.Steps, d.plan.steps = plan.Steps[:n:n], plan.steps[:n:n]
	}
}

// kindsOf lists the kinds of a list of actions, each once.
func kindsOf(steps []treatment.Action) string {
	text := ""
	var seen []treatment.Kind
	for _, a := range steps {
		if !slices.Contains(seen, a.Do) {
			seen = append(seen, a.Do)
			text += ", " + string(a.Do)
		}
	}
	return text[min(2, len(text)):]
}

// planFile reads a plan of the folder.
func (rr *ruleReader) planFile(r *reader, from, name string, node *yaml.Node) Plan {
	target, ok := rr.target(r, from, name, node)
	if !ok {
		return Plan{}
	}
	used, root := rr.open(r, target, node, "tugback new plan")
	if root == nil {
		return Plan{}
	}
	plan, err := readPlan(used.src, "")
	if faults, ok := err.(Faults); ok { //nolint:errorlint // the contract is the type itself
		used.faults = faults
	}
	return plan
}

// fits puts at their places the steps that name a canal the tooth does not have or an instrument that is
// not on the tray.
func (d drill) fits(c *treatment.Case) error {
	if len(d.Steps) == 0 {
		return nil
	}
	plan := d.plan
	plan.For = "" // a drill may take over the plan of another case on the same tooth
	return plan.CheckAgainst(c)
}

// content is what of a drill belongs to the digest of a case, "" when it has no steps.
func (d drill) content() string {
	if len(d.Steps) == 0 {
		return ""
	}
	text, err := json.Marshal(d.Steps)
	if err != nil {
		panic(fmt.Sprintf("scenario: the steps of a drill are not encoded: %v", err))
	}
	return string(text)
}

// lintDrill finds a step of a drill that the engine refuses on the case's own tooth.
func (s Scenario) lintDrill() Faults {
	c, err := s.Case(s.seed)
	if err != nil || len(s.drill.Steps) == 0 {
		return nil
	}
	state := treatment.Start(c)
	for i, a := range s.drill.Steps {
		next, _, err := treatment.Step(state, a)
		if err != nil {
			f := s.drill.plan.Fault(i, fmt.Errorf("drill: this step is refused on the tooth of seed %d: %w", s.seed, err))
			f.Rule = "lint"
			return Faults{f}
		}
		state = next
	}
	return nil
}
