package cli

import (
	"errors"
	"fmt"

	"tugback/internal/attempt"
	"tugback/internal/picture"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// treatCommand carries out a plan, or treats line by line.
type treatCommand struct {
	Scenario string   `arg:"" help:"Scenario file, or the name of one that comes with the program."`
	Plan     string   `placeholder:"PLAN" help:"Plan file, or the name of one that comes with the program (default: lines that are typed or piped in)."`
	Seed     seedFlag `placeholder:"N" help:"Seed of what the scenario leaves open (default: the plan's, else the scenario's)."`
	Record   string   `placeholder:"FILE" help:"Write the record, which verify carries out again."`
	Levels   string   `placeholder:"FILE" help:"Write a plot of what was cut by level, as .svg or .png."`
	Access   string   `name:"access" placeholder:"FILE" help:"Write the access on two plates as SVG."`
	pictureFlags
	JSON     bool   `name:"json" help:"Print JSON."`
	Data     string `placeholder:"FILE" help:"Without a plan: file in which practice is kept (default: as for bench; piped lines are kept only with it)."`
	Language string `placeholder:"TAG" help:"Texts of the scenario in this language, where the file has them."`
	Guided   bool   `help:"Without a plan: the guided first case (upper-central-incisor)."`
	New      bool   `help:"Without a plan: begin anew, not where the treatment under way stands."`
}

// treated is a plan carried out.
type treated struct {
	from   scenario.Scenario
	plan   scenario.Plan
	start  *treatment.Case
	steps  []doneStep
	run    *attempt.Run
	record attempt.Record
}

// doneStep is one action and what came of it.
type doneStep struct {
	action treatment.Action
	at     int // ms, when it began
	events []treatment.Event
}

// Run carries the plan out, writes record and pictures and prints what happened; without a plan it treats
// line by line.
func (c *treatCommand) Run(s *session) error {
	if c.Plan == "" {
		return c.lines(s)
	}
	if c.Data != "" || c.New || c.Guided {
		return usage("--data, --new and --guided are for a treatment without --plan")
	}
	done, err := c.treat(s)
	if err != nil {
		return err
	}
	if err := c.writeFiles(done); err != nil {
		return err
	}
	if c.JSON {
		return s.printJSON(newTreatReport(done))
	}
	done.print(page{s.out})
	return nil
}

// writeFiles writes record and pictures as far as they were asked for.
func (c *treatCommand) writeFiles(done treated) error {
	var files outputs
	if err := files.add("--record", c.Record, encoded(done.record)); err != nil {
		return err
	}
	options := picture.Options{Title: done.from.Title()}
	if err := files.add("--access", c.Access, picture.AccessPlate(done.run.State(), options).SVG); err != nil {
		return err
	}
	err := c.add(&files, func() (picture.Drawing, error) {
		return picture.TreatmentPlate(done.run.State(), done.run.Events(), picture.Options{Title: done.from.Title(), Before: true})
	})
	if err != nil {
		return err
	}
	if err := c.addLevels(&files, done); err != nil {
		return err
	}
	if c.Plan == "" {
		return files.write(c.Scenario)
	}
	return files.write(c.Scenario, c.Plan)
}

// treat reads the files and does every step of the plan.
func (c *treatCommand) treat(s *session) (treated, error) {
	from, plan, err := s.loadBoth(c.Scenario, c.Plan)
	if err != nil {
		return treated{}, err
	}
	if c.Language != "" {
		if from, err = from.In(c.Language); err != nil {
			return treated{}, err
		}
	}
	start, err := from.Case(c.Seed.or(plan.Seed, from.Seed()))
	if err != nil {
		return treated{}, err
	}
	if err := plan.CheckAgainst(start); err != nil {
		return treated{}, err
	}
	done := treated{from: from, plan: plan, start: start, run: attempt.Begin(attempt.Paper{Case: start, Marker: from.Marker()})}
	drill, _ := from.Drill()
	for n, action := range append(drill.Steps, plan.Steps...) {
		i := n - len(drill.Steps)
		at := done.run.State().Elapsed
		events, err := done.run.Do(action)
		var refused *attempt.ActionError
		if errors.As(err, &refused) && i >= 0 {
			return treated{}, scenario.Faults{plan.Fault(i, refused.Err)}
		}
		if err != nil {
			return treated{}, fmt.Errorf("step %d: %w", n+1, err)
		}
		done.steps = append(done.steps, doneStep{action, at, events})
	}
	done.record = done.run.Close()
	return done, nil
}

// loadBoth reads a scenario and a plan; with both at fault, all faults of both are told.
func (s *session) loadBoth(scenarioName, planName string) (scenario.Scenario, scenario.Plan, error) {
	from, err := s.loadScenario(scenarioName)
	plan, planErr := s.loadPlan(planName, from.Name())
	var first, second scenario.Faults
	if errors.As(err, &first) && errors.As(planErr, &second) {
		return from, plan, append(first, second...)
	}
	if err == nil {
		err = planErr
	}
	return from, plan, err
}
