package cli

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// filmCommand takes a computed radiograph of a case, untreated or at any moment of a plan.
type filmCommand struct {
	Scenario  string    `arg:"" help:"Scenario file, or the name of one that comes with the program."`
	Plan      string    `placeholder:"PLAN" help:"Carry out this plan first."`
	After     int       `placeholder:"STEP" help:"Stop the plan after this step (default: the last)."`
	Seed      seedFlag  `placeholder:"N" help:"Seed of what the scenario leaves open (default: the plan's, else the scenario's)."`
	Vertical  angleFlag `placeholder:"DEG" help:"Vertical error of the beam, such as 10deg; flatter positive."`
	Shift     angleFlag `aliases:"angle" placeholder:"DEG" help:"Horizontal shift of the tube, such as 20deg; towards distal positive."`
	Technique string    `enum:"paralleling,bisecting" default:"paralleling" help:"How the receptor stands: paralleling or bisecting."`
	PNG       string    `name:"png" placeholder:"FILE" help:"Write the radiograph as PNG."`
	JSON      bool      `name:"json" help:"Print JSON."`
}

// angleFlag is an angle in degrees, with or without "deg" behind it.
type angleFlag float64

// mostAngle is the steepest angle of a film, degrees.
const mostAngle = 50.0

// UnmarshalText reads "10", "10deg", "10 deg" or "10°".
func (a *angleFlag) UnmarshalText(text []byte) error {
	plain := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(string(text), "°"), "deg"))
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.Abs(v) > mostAngle || math.IsNaN(v) {
		return fmt.Errorf("%q is not an angle between -%g and %g deg", text, mostAngle, mostAngle)
	}
	*a = angleFlag(v)
	return nil
}

// beam returns the beam of the flags.
func (c *filmCommand) beam() treatment.Beam {
	b := treatment.Paralleling()
	if c.Technique == "bisecting" {
		b = treatment.Bisecting()
	}
	b.Vertical += float64(c.Vertical) * math.Pi / 180
	b.Shift = float64(c.Shift) * math.Pi / 180
	return b
}

// filmReport is a film in figures, as JSON.
type filmReport struct {
	Scenario      string      `json:"scenario"`
	Seed          uint64      `json:"seed"`
	Steps         int         `json:"steps"`
	Magnification float64     `json:"magnification"`
	Ratio         float64     `json:"ratio"`
	Canals        []filmCanal `json:"canals"`
	Held          string      `json:"instrument,omitempty"`
}

// filmCanal is one canal on a film, mm; lengths from its reference cusp.
type filmCanal struct {
	Name       string  `json:"name"`
	ToothImage float64 `json:"tooth_image_mm"`
	Foramen    float64 `json:"foramen_image_mm"`
	Length     float64 `json:"file_length_mm,omitempty"`
	FileImage  float64 `json:"file_image_mm,omitempty"`
	Estimate   float64 `json:"estimate_mm,omitempty"`
}

// Run treats the case as far as asked, takes the film and prints what can be measured on it.
func (c *filmCommand) Run(s *session) error {
	state, title, err := c.state(s)
	if err != nil {
		return err
	}
	film := picture.DefaultFilm()
	film.Beam, film.Seed = c.beam(), state.Case.Seed
	radiogram, err := picture.Radiograph(state, film)
	if err != nil {
		return err
	}
	var files outputs
	err = files.add("--png", c.PNG, func(w io.Writer) error { return radiogram.PNG(w, state.Case.Tooth.Upper) })
	if err != nil {
		return err
	}
	if err := files.write(c.Scenario, c.Plan); err != nil {
		return err
	}
	report := newFilmReport(state, film.Beam)
	if c.JSON {
		return s.printJSON(report)
	}
	report.print(page{s.out}, title)
	return nil
}

// state carries the plan out as far as the film.
func (c *filmCommand) state(s *session) (treatment.State, string, error) {
	if c.Plan == "" {
		if c.After != 0 {
			return treatment.State{}, "", usage("--after needs --plan")
		}
		from, err := s.loadScenario(c.Scenario)
		if err != nil {
			return treatment.State{}, "", err
		}
		start, err := from.Case(c.Seed.or(nil, from.Seed()))
		if err != nil {
			return treatment.State{}, "", err
		}
		return treatment.Start(start), from.Title(), nil
	}
	from, plan, err := s.loadBoth(c.Scenario, c.Plan)
	if err != nil {
		return treatment.State{}, "", err
	}
	if c.After < 0 || c.After > len(plan.Steps) {
		return treatment.State{}, "", usage("--after is %d; the plan has %d steps", c.After, len(plan.Steps))
	}
	start, err := from.Case(c.Seed.or(plan.Seed, from.Seed()))
	if err != nil {
		return treatment.State{}, "", err
	}
	steps := plan.Steps
	if c.After > 0 {
		steps = steps[:c.After]
	}
	run := attempt.Begin(attempt.Paper{Case: start, Marker: from.Marker()})
	for i, action := range steps {
		if _, err := run.Do(action); err != nil {
			return treatment.State{}, "", fmt.Errorf("step %d: %w", i+1, err)
		}
	}
	return run.State(), from.Title(), nil
}

func newFilmReport(state treatment.State, b treatment.Beam) filmReport {
	r := filmReport{Scenario: state.Case.Scenario, Seed: state.Case.Seed, Steps: state.Done, Magnification: tidy(b.Magnification()), Ratio: tidy(b.Ratio()), Held: state.Held.Item}
	for k := range state.Canals {
		canal := &state.Canals[k]
		one := filmCanal{Name: canal.Name, ToothImage: tidy(state.ToothImage(k, b)), Foramen: tidy(state.FileImage(k, b, canal.Foramen()))}
		if state.Held.Item != "" && state.Held.Canal == k {
			one.Length, one.FileImage = tidy(state.Held.Depth), tidy(state.FileImage(k, b, state.Held.Depth))
			one.Estimate = tidy(treatment.FileRatio(one.Length, one.ToothImage, math.Max(1, one.FileImage)))
		}
		r.Canals = append(r.Canals, one)
	}
	return r
}

// print lays the film out for a terminal.
func (r filmReport) print(p page, title string) {
	p.paragraph("", title)
	p.paragraph("", fmt.Sprintf("%s · seed %d · after %d actions", r.Scenario, r.Seed, r.Steps))
	p.section("Film", fmt.Sprintf("magnified %.3f times; along the tooth %.3f", r.Magnification, r.Ratio))
	rows := [][]string{{"canal", "cusp to root tip", "cusp to foramen", "file in place", "its image", "estimate"}}
	for _, c := range r.Canals {
		row := []string{c.Name, quantity(c.ToothImage, "mm"), quantity(c.Foramen, "mm"), "", "", ""}
		if c.Length > 0 {
			row[3], row[4], row[5] = quantity(c.Length, "mm"), quantity(c.FileImage, "mm"), quantity(c.Estimate, "mm")
		}
		rows = append(rows, row)
	}
	p.table("lrrrrr", rows)
	fmt.Fprintln(p.to)
	p.paragraph("", "Lengths are those on the receptor. The estimate is file × tooth image / file image; the root tip is not the foramen, and curves show as chords.")
}
