package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"tugback/internal/cohort"
	"tugback/internal/marking"
	"tugback/internal/scenario"
)

// remarkCommand marks a class or one candidate again by other rules.
type remarkCommand struct {
	classFlags        // Pass is that under the new rules
	Rules      string `required:"" placeholder:"FILE" help:"Rule set, a file or one that comes with the program: formative, competence, strict."`
	Candidate  string `placeholder:"ID" help:"Only this candidate."`
}

// Run verifies, marks by both sets of rules and writes both with their comparison.
func (c *remarkCommand) Run(s *session) error {
	if c.Pass < 0 || c.Pass > 100 {
		return usage("--pass is %g; allowed 0 to 100", c.Pass)
	}
	rules, err := s.ruleSet(c.Rules)
	if err != nil {
		return err
	}
	asBefore := c.classFlags
	asBefore.Pass = 0
	before, err := s.classOf(asBefore, c.Candidate, nil)
	if err != nil {
		return err
	}
	after, err := s.classOf(c.classFlags, c.Candidate, rules)
	if err != nil {
		return err
	}
	if len(before.Sittings) == 0 {
		return &ending{exitRefused, "nothing in " + c.Folder + " stood verification"}
	}
	revision, err := cohort.Compare(before, after)
	if err != nil {
		return err
	}
	out, err := c.files(s, revision)
	if err != nil {
		return err
	}
	if err := out.write(c.Out); err != nil {
		return err
	}
	s.tellRevision(revision, c.Out)
	return nil
}

// classOf verifies a folder and makes the class of it, or of one candidate.
func (s *session) classOf(c classFlags, candidate string, again remarker) (cohort.Class, error) {
	sittings, refused, err := s.readRecords(c.Folder, c.Progress, c.Paper, again)
	if err != nil {
		return cohort.Class{}, err
	}
	if candidate != "" {
		var only []cohort.Sitting
		for _, one := range sittings {
			if one.Candidate == candidate {
				only = append(only, one)
			}
		}
		if len(only) == 0 {
			return cohort.Class{}, fmt.Errorf("%s: holds no verified sitting of candidate %q", c.Folder, candidate)
		}
		sittings = only
	}
	return s.newClass(c, sittings, refused)
}

// ruleSet reads a set of rules and returns how a case is marked by it. Rules may name canals, so they are
// compiled for the tooth of each case.
func (s *session) ruleSet(name string) (remarker, error) {
	files, inside := s.shipped, "rules/"+name+".yaml"
	if !missing(name) {
		if err := checkRules(name); err != nil {
			return nil, err
		}
		root, err := os.OpenRoot(filepath.Dir(name))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, cause(err))
		}
		files, inside = root.FS(), filepath.Base(name)
	} else if known := s.shippedNames("rules/*.yaml"); !slices.Contains(known, name) {
		return nil, noSuch("rule set", name, known)
	}
	return func(from scenario.Scenario) (*marking.Marker, float64, error) {
		text := bareScenario(from.Kind(), inside)
		used, err := scenario.LoadFS(host{files, text}, hostName)
		var faults scenario.Faults
		if errors.As(err, &faults) {
			return nil, 0, fmt.Errorf("the rules do not fit a %s: %s", from.Kind(), faults[0].Message)
		}
		if err != nil {
			return nil, 0, err
		}
		return used.Marker(), used.PassMark(), nil
	}, nil
}

// files makes both gradebooks and their comparison.
func (c *remarkCommand) files(s *session, r cohort.Revision) (*folder, error) {
	to, one := &folder{}, gradebookCommand{classFlags: c.classFlags}
	to.add("revision.html", func(w io.Writer) error { return cohort.RevisionHTML(w, r) })
	to.add("results.csv", func(w io.Writer) error { return cohort.ResultsBesideCSV(w, r) })
	to.add("changes.csv", func(w io.Writer) error { return cohort.ChangesCSV(w, r) })
	for _, version := range []struct {
		name  string
		class cohort.Class
	}{{"before", r.Old}, {"after", r.New}} {
		comments, err := readComments(c.Comments, version.class)
		if err != nil {
			return nil, err
		}
		analysis, err := cohort.Analyse(version.class, cohort.Judges{})
		if err != nil {
			return nil, err
		}
		files, err := one.files(s, analysis, comments)
		if err != nil {
			return nil, err
		}
		for i := range files.names {
			files.names[i] = version.name + "/" + files.names[i]
		}
		to.join(*files)
	}
	return to, to.failed
}

// tellRevision prints what other rules did.
func (s *session) tellRevision(r cohort.Revision, out string) {
	to := page{s.out}
	to.title(r.Old.Title + ", marked again")
	up, down := r.Turned()
	to.table("ll", [][]string{
		{"sittings", fmt.Sprint(len(r.All))},
		{"pass mark before, after", percent(r.Old.Pass) + ", " + percent(r.New.Pass)},
		{"now pass", fmt.Sprint(len(up))},
		{"no longer pass", fmt.Sprint(len(down))},
	})
	for _, one := range append(up, down...) {
		fmt.Fprintf(s.out, "  %s: %s\n", r.Old.Name(one.Candidate), r.Why(one))
	}
	fmt.Fprintf(s.out, "\n  both versions are in %s; begin with %s\n", out, filepath.Join(out, "revision.html"))
}
