package author

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/picture"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// tooth is a case's tooth, drawn and measured.
type tooth struct {
	SVG    string     `json:"svg"`
	Seed   string     `json:"seed"`
	Title  string     `json:"title"`
	Canals [][]string `json:"canals"` // name, length, Schneider's angle, the bend a film hides
	Alt    string     `json:"alt"`
}

// palette returns a palette by its name, else the light one.
func palette(name string) picture.Palette {
	for _, p := range picture.Palettes() {
		if p.Name == name {
			return p
		}
	}
	return picture.Light()
}

// tooth grows and draws the tooth of the case.
func (o opened) tooth(r request) (tooth, error) {
	from, err := o.caseOf(r.Texts)
	if err != nil {
		return tooth{}, err
	}
	grown, err := from.Case(seedOf(r.Seed, nil, from))
	if err != nil {
		return tooth{}, err
	}
	plate, err := picture.Plate(grown.Tooth, picture.Options{Title: from.Title(), Palette: palette(r.Palette)})
	if err != nil {
		return tooth{}, err
	}
	out := tooth{Seed: fmt.Sprint(grown.Seed), Title: from.Title(), Canals: [][]string{}, Alt: plate.Description}
	if out.SVG, err = drawn(plate, r.Width); err != nil {
		return tooth{}, err
	}
	for i, c := range grown.Tooth.Canals {
		m := anatomy.Measure(grown.Tooth, i)
		out.Canals = append(out.Canals, []string{c.Name, fmt.Sprintf("%.1f mm", m.Length), degrees(m.Schneider), degrees(m.ProximalSchneider)})
	}
	return out, nil
}

func degrees(angle float64) string { return fmt.Sprintf("%.0f°", angle*180/math.Pi) }

// drawn returns a drawing as SVG, lettered for the width at which the page shows it.
func drawn(d picture.Drawing, width float64) (string, error) {
	var to bytes.Buffer
	err := d.SVGFor(&to, width)
	return to.String(), err
}

// mostShown is the most teeth of a gallery in the page.
const mostShown = 24

// gallery draws the teeth of some seeds from one on. Seeds that grow no tooth are left out and told.
func (o opened) gallery(r request) (tooth, error) {
	from, err := o.caseOf(r.Texts)
	if err != nil {
		return tooth{}, err
	}
	first := seedOf(r.Seed, nil, from)
	var teeth []*anatomy.Tooth
	out := tooth{Seed: fmt.Sprint(first), Canals: [][]string{}}
	for i := range uint64(max(1, min(r.Count, mostShown))) { //nolint:gosec // at most 24
		grown, err := from.Case(first + i)
		if err != nil {
			out.Canals = append(out.Canals, []string{fmt.Sprint(first + i), "no tooth can be grown from this seed"})
			continue
		}
		teeth = append(teeth, grown.Tooth)
	}
	if len(teeth) == 0 {
		return out, nil
	}
	sheet, err := picture.Gallery(teeth, picture.Options{Title: from.Title(), Palette: palette(r.Palette)})
	if err != nil {
		return tooth{}, err
	}
	out.Alt = sheet.Description
	out.SVG, err = drawn(sheet, r.Width)
	return out, err
}

// marks is a treatment of the case, marked.
type marks struct {
	Marks  marking.Marks `json:"marks"`
	Pass   float64       `json:"pass"` // points from which it passes
	Passed bool          `json:"passed"`
	Steps  []string      `json:"steps"` // what was done, a sentence each
	SVG    string        `json:"svg"`
	Alt    string        `json:"alt"`
	Note   string        `json:"note"` // who did it
	Seed   string        `json:"seed"`
}

// marks treats the case by the plan or an operator and marks it. ctx ends it early.
func (s *Site) marks(ctx context.Context, o opened, r request) (marks, error) {
	from, err := o.caseOf(r.Texts)
	if err != nil {
		return marks{}, err
	}
	actions, seed, note, err := s.actions(o, r, from)
	if err != nil {
		return marks{}, err
	}
	start, err := from.Case(seed)
	if err != nil {
		return marks{}, err
	}
	run := attempt.Begin(attempt.Paper{Case: start, Marker: from.Marker()})
	out := marks{Steps: []string{}, Note: note, Seed: fmt.Sprint(seed)}
	for i, a := range actions.list {
		if ctx.Err() != nil {
			return marks{}, ctx.Err()
		}
		_, err := run.Do(a)
		var refused *attempt.ActionError
		if errors.As(err, &refused) && actions.plan != nil && i >= actions.drill {
			return marks{}, scenario.Faults{actions.plan.Fault(i-actions.drill, refused.Err)}
		}
		if err != nil {
			return marks{}, err
		}
		out.Steps = append(out.Steps, attempt.Say(a))
	}
	out.Marks = run.Marks()
	out.Pass = from.PassMark() * out.Marks.Available
	out.Passed = !out.Marks.Failed && out.Marks.Total >= out.Pass
	plate, err := picture.TreatmentPlate(run.State(), run.Events(), picture.Options{Title: note, Palette: palette(r.Palette)})
	if err != nil {
		return marks{}, err
	}
	out.Alt = plate.Description
	out.SVG, err = drawn(plate, r.Width)
	return out, err
}

// planned are the actions to be marked; plan is nil when an operator chose them.
type planned struct {
	list  []treatment.Action
	drill int // how many of them a drill begins with
	plan  *scenario.Plan
}

// actions returns what is to be done, on which seed and by whom.
func (s *Site) actions(o opened, r request, from scenario.Scenario) (planned, uint64, string, error) {
	if r.Who == planID {
		plan, err := o.planOf(r.Texts)
		if err != nil {
			return planned{}, 0, "", err
		}
		seed := seedOf(r.Seed, plan.Seed, from)
		grown, err := from.Case(seed)
		if err == nil {
			err = plan.CheckAgainst(grown)
		}
		if d, drill := from.Drill(); drill {
			return planned{append(d.Steps, plan.Steps...), len(d.Steps), &plan}, seed, "by the plan " + plan.Name + ", after what the drill begins with", err
		}
		return planned{plan.Steps, 0, &plan}, seed, "by the plan " + plan.Name, err
	}
	file := "operators/" + path.Base(r.Who) + ".yaml"
	text, err := fs.ReadFile(s.shipped, file)
	if err != nil {
		return planned{}, 0, "", fmt.Errorf("there is no operator %q", r.Who)
	}
	operator, err := scenario.ParseOperator(file, text)
	if err != nil {
		return planned{}, 0, "", err
	}
	seed := seedOf(r.Seed, nil, from)
	grown, err := from.Case(seed)
	if err != nil {
		return planned{}, 0, "", err
	}
	note := "by the operator " + operator.Name
	d, drill := from.Drill()
	if drill {
		note += ", after what the drill begins with"
	}
	return planned{trial.TakeOver(grown, d.Steps, operator, seed).Actions, len(d.Steps), nil}, seed, note, nil
}

// operators lists the scripted operators that come with the program.
func (s *Site) operators() []string {
	names, _ := fs.Glob(s.shipped, "operators/*.yaml")
	for i, name := range names {
		names[i] = strings.TrimSuffix(path.Base(name), ".yaml")
	}
	return names
}
