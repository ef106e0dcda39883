package cli

import (
	"errors"
	"fmt"
	"os"
	"regexp"

	"tugback/internal/scenario"
)

// checkCommand checks files that people write.
type checkCommand struct {
	Files []string `arg:"" name:"file" help:"Scenarios, plans, techniques, rule sets, trays, operators, exams and quiz items; what each is shows from what is in it."`
}

// Run checks every file and tells all faults of all of them; each file without fault gets a line.
func (c *checkCommand) Run(s *session) error {
	known := map[string]scenario.Scenario{}
	plans := map[string]scenario.Plan{}
	faults := map[string]error{}
	for _, name := range c.Files {
		faults[name] = s.checkFile(name, known, plans)
	}
	failed := false
	for _, name := range c.Files {
		err := faults[name]
		if plan, isPlan := plans[name]; isPlan && err == nil {
			err = s.checkFor(plan, known)
		}
		if err != nil {
			failed = true
			if err := s.out.Flush(); err != nil {
				return fmt.Errorf("the output cannot be written: %w", err)
			}
			s.end(err)
			continue
		}
		fmt.Fprintf(s.out, "ok: %s\n", name)
		if err := s.tellDoubts(name, known, plans); err != nil {
			return err
		}
	}
	if failed {
		return &ending{code: exitFault}
	}
	return nil
}

// tellDoubts says what is suspicious about a file that has no fault; it does not change the exit code.
func (s *session) tellDoubts(name string, known map[string]scenario.Scenario, plans map[string]scenario.Plan) error {
	var doubts scenario.Faults
	if plan, isPlan := plans[name]; isPlan {
		if from, found, err := s.scenarioOf(plan, known); err == nil && found {
			grown, err := from.Case(seedFlag{}.or(plan.Seed, from.Seed()))
			if err != nil {
				return err
			}
			drill, _ := from.Drill()
			doubts = plan.Lint(grown, drill.Steps)
		}
	}
	if from, isScenario := known[name]; isScenario {
		doubts = from.Lint()
	}
	if len(doubts) == 0 {
		return nil
	}
	if err := s.out.Flush(); err != nil {
		return fmt.Errorf("the output cannot be written: %w", err)
	}
	fmt.Fprintln(s.err, doubts.Error())
	return nil
}

// checkFile reads one file as what it is.
func (s *session) checkFile(name string, known map[string]scenario.Scenario, plans map[string]scenario.Plan) error {
	switch sort := sortOf(name); sort {
	case "plan":
		plan, err := scenario.LoadPlan(name)
		plans[name] = plan
		return err
	case "technique":
		_, err := scenario.LoadTechnique(name)
		return err
	case "rules":
		return checkRules(name)
	case "items":
		_, err := scenario.LoadItems(name)
		return err
	case "operator":
		_, err := scenario.LoadOperator(name)
		return err
	case "exam":
		return s.checkBlueprint(name)
	case "tray":
		return checkUsed(name, bareTray)
	case "":
		return scenario.Faults{{File: name, Rule: "kind",
			Message: "is no scenario (which has the key tooth:), no plan (steps:), no technique (technique:), no rule set (rules:), no tray (tray:), no operator (operator:), no exam (exam:) and no file of items (items:)"}}
	}
	from, err := s.loadScenario(name)
	if err == nil {
		known[from.Name()], known[name] = from, from
	}
	return err
}

// checkFor checks a plan against the tooth of the scenario it is for, if that is among the files or
// comes with the program.
func (s *session) checkFor(plan scenario.Plan, known map[string]scenario.Scenario) error {
	from, found, err := s.scenarioOf(plan, known)
	if err != nil || !found {
		return err
	}
	grown, err := from.Case(seedFlag{}.or(plan.Seed, from.Seed()))
	if err != nil {
		return err
	}
	return plan.CheckAgainst(grown)
}

// scenarioOf returns the scenario a plan is for, when it is among the files or comes with the program.
func (s *session) scenarioOf(plan scenario.Plan, known map[string]scenario.Scenario) (scenario.Scenario, bool, error) {
	if from, found := known[plan.For]; found || plan.For == "" {
		return from, found, nil
	}
	for _, name := range s.shippedNames("*.yaml") {
		if name == plan.For {
			from, err := scenario.LoadFS(s.shipped, name+".yaml")
			return from, err == nil, err
		}
	}
	return scenario.Scenario{}, false, nil
}

// topKey finds the keys that tell what a file is.
var topKey = regexp.MustCompile(`(?m)^["']?(tooth|pulp|steps|for|rules|technique|tray|operator|exam|items)["']?[ \t]*:`)

// sortLimit is how much of a file is looked at to tell what it is, in bytes: all of any file that the
// readers accept.
const sortLimit = 1 << 20

// sortOf tells what a file is: scenario, plan, rules, tray, operator, exam, items, or "" for none of them. A file that cannot be
// read as text is left to the reader of scenarios, who says why.
func sortOf(name string) string {
	text, err := readText(name)
	if err != nil {
		return "scenario"
	}
	found := map[string]bool{}
	for _, match := range topKey.FindAllSubmatch(text, -1) {
		found[string(match[1])] = true
	}
	switch {
	case found["exam"]:
		return "exam"
	case found["tooth"], found["pulp"]:
		return "scenario"
	case found["technique"]:
		return "technique"
	case found["steps"], found["for"]:
		return "plan"
	case found["operator"]:
		return "operator"
	case found["rules"]:
		return "rules"
	case found["items"]:
		return "items"
	case found["tray"]:
		return "tray"
	}
	return ""
}

// errNoText is what readText says of a file that no reader takes.
var errNoText = errors.New("no text")

// readText reads a small text file.
func readText(name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() == 0 || info.Size() > sortLimit {
		return nil, errNoText
	}
	text, err := os.ReadFile(name)
	if err != nil || !isText(text) {
		return nil, errNoText
	}
	return text, nil
}
