package cli

import (
	"fmt"
	"io"
	"path/filepath"

	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// canalLevels is what shaping did to one canal by level.
type canalLevels struct {
	Canal         string            `json:"canal"`
	Straightening float64           `json:"straightening_deg"` // loss of Schneider's angle, straighter positive
	LengthChange  float64           `json:"length_change_mm"`  // shorter negative
	Levels        []treatment.Level `json:"levels"`
}

// levels measures every canal.
func (t treated) levels() []canalLevels {
	s := t.run.State()
	out := []canalLevels{}
	for k, c := range s.Canals {
		out = append(out, canalLevels{c.Name, round6(radian * s.Straightening(k)), round6(s.LengthChange(k)), s.Levels(k)})
	}
	return out
}

// checkLevels refuses a name whose ending says no form.
func (c *treatCommand) checkLevels() error {
	if ending := filepath.Ext(c.Levels); c.Levels != "" && ending != ".svg" && ending != ".png" {
		return usage("--levels %s: the name ends in .svg or .png", c.Levels)
	}
	return nil
}

// addLevels makes the plot over level when it was asked for; the name's ending says in which form.
func (c *treatCommand) addLevels(to *outputs, done treated) error {
	if c.Levels == "" {
		return nil
	}
	if err := c.checkLevels(); err != nil {
		return err
	}
	ending := filepath.Ext(c.Levels)
	var rows []picture.LevelRow
	for _, l := range done.levels() {
		rows = append(rows, picture.LevelRow{Name: l.Canal, Levels: l.Levels})
	}
	drawing, err := picture.LevelPlot(rows, picture.Options{Title: done.from.Title()})
	if err != nil {
		return fmt.Errorf("--levels: %w", err)
	}
	return to.add("--levels", c.Levels, func(w io.Writer) error {
		if ending == ".png" {
			return drawing.PNG(w, c.Width)
		}
		return drawing.SVG(w)
	})
}
