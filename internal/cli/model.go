package cli

import (
	"fmt"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// modelCommand tells where the model departs from the mouth.
type modelCommand struct{}

// Run prints the departures, each with its constant and file, and the techniques there are.
func (*modelCommand) Run(s *session) error {
	p := page{s.out}
	p.title("Where the model departs from the mouth")
	p.paragraph("", "On purpose, and each to be read before a number is believed.")
	for _, d := range treatment.Departures() {
		fmt.Fprintln(p.to)
		p.paragraph("· ", d.Text)
		where := d.File
		if d.Constant != "" {
			where = d.Constant + " in " + d.File
		}
		p.paragraph("  ", where)
	}
	p.section("Techniques that come with the program", "")
	for _, name := range scenario.Techniques() {
		technique, err := scenario.LoadTechnique(name)
		if err != nil {
			return err
		}
		p.paragraph(name+"  ", technique.Summary)
	}
	return nil
}
