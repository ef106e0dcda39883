package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"

	"tugback/internal/marking"
	"tugback/internal/scenario"
)

// seedFlag is a seed on the command line.
type seedFlag struct {
	given bool
	value uint64
}

// UnmarshalText reads a seed: a whole number that 64 bits hold.
func (f *seedFlag) UnmarshalText(text []byte) error {
	value, err := strconv.ParseUint(string(text), 10, 64)
	if err != nil {
		return fmt.Errorf("seed is %q; expected a whole number from 0 to 18446744073709551615", text)
	}
	f.given, f.value = true, value
	return nil
}

// or returns the seed given, else the first of the others that there is.
func (f seedFlag) or(plan *uint64, scenario uint64) uint64 {
	switch {
	case f.given:
		return f.value
	case plan != nil:
		return *plan
	}
	return scenario
}

// missing reports whether nothing of a name is there to be opened.
func missing(name string) bool {
	_, err := os.Stat(name)
	return errors.Is(err, fs.ErrNotExist)
}

// loadScenario reads the scenario a person named: a file, or else one that comes with the program, by
// its short name.
func (s *session) loadScenario(name string) (scenario.Scenario, error) {
	if !missing(name) {
		return scenario.Load(name)
	}
	names := s.shippedNames("*.yaml")
	for _, known := range names {
		if name == known {
			return scenario.LoadFS(s.shipped, known+".yaml")
		}
	}
	return scenario.Scenario{}, noSuch("scenario", name, names)
}

// loadPlan reads the plan a person named: a file, or else one that comes with the program, by its name
// with or without that of the scenario.
func (s *session) loadPlan(name, of string) (scenario.Plan, error) {
	if !missing(name) {
		return scenario.LoadPlan(name)
	}
	names := s.shippedNames("plans/*.yaml")
	for _, known := range names {
		if name != known && of+"."+name != known {
			continue
		}
		file := "plans/" + known + ".yaml"
		text, err := fs.ReadFile(s.shipped, file)
		if err != nil {
			return scenario.Plan{}, fmt.Errorf("read %s: %w", file, err)
		}
		return scenario.ParsePlan(file, text)
	}
	return scenario.Plan{}, noSuch("plan", name, names)
}

// shippedNames returns the names of the files that come with the program and match a pattern.
func (s *session) shippedNames(pattern string) []string {
	files, err := fs.Glob(s.shipped, pattern)
	if err != nil {
		panic(fmt.Sprintf("cli: pattern %s: %v", pattern, err))
	}
	names := make([]string, len(files))
	for i, file := range files {
		names[i] = strings.TrimSuffix(path.Base(file), ".yaml")
	}
	return names
}

// noSuch says that a name is neither a file nor shipped, and what was probably meant.
func noSuch(what, name string, names []string) error {
	likely := ""
	if word := marking.Likely(name, names); word != "" {
		likely = fmt.Sprintf("did you mean %s? ", word)
	}
	return fmt.Errorf("%s: no such file, and no %s of this name comes with the program; %sthere are: %s",
		name, what, likely, strings.Join(names, ", "))
}

// loadIn is loadScenario with the texts in a language, those of the file for "".
func (s *session) loadIn(name, language string) (scenario.Scenario, error) {
	from, err := s.loadScenario(name)
	if err != nil || language == "" {
		return from, err
	}
	return from.In(language)
}
