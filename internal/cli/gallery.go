package cli

import (
	"fmt"
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
	"tugback/internal/scenario"
)

// gallery draws the teeth of a row of seeds on one sheet and prints a line for each.
func (c *toothCommand) gallery(s *session, from scenario.Scenario) error {
	var teeth []*anatomy.Tooth
	var rows [][]string
	first := c.Seed.or(nil, from.Seed())
	for i := range c.Gallery {
		seed := first + uint64(i) //nolint:gosec // i is at most a few hundred
		grown, err := from.Case(seed)
		if err != nil {
			rows = append(rows, []string{whole(seed), "cannot be grown", "", ""})
			continue
		}
		teeth = append(teeth, grown.Tooth)
		for k, canal := range grown.Tooth.Canals {
			m := anatomy.Measure(grown.Tooth, k)
			rows = append(rows, []string{whole(seed), canal.Name, quantity(m.Length, "mm"), quantity(m.Schneider*180/math.Pi, "deg")})
		}
	}
	var files outputs
	err := c.add(&files, func() (picture.Drawing, error) {
		title := from.Title()
		if title == "" {
			title = from.Name()
		}
		return picture.Gallery(teeth, picture.Options{Title: title})
	})
	if err != nil {
		return err
	}
	if err := files.write(c.Scenario); err != nil {
		return err
	}
	if c.JSON {
		return s.printJSON(rows)
	}
	p := page{s.out}
	p.title(fmt.Sprintf("%d teeth of %s", len(teeth), from.Name()))
	p.table("rlrr", append([][]string{{"seed", "canal", "length", "Schneider"}}, rows...))
	return nil
}
