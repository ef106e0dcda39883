package cli

import (
	"fmt"
	"io"

	"tugback/internal/picture"
)

// toothCommand grows a tooth and shows it.
type toothCommand struct {
	Scenario string   `arg:"" help:"Scenario file, or the name of one that comes with the program."`
	Seed     seedFlag `placeholder:"N" help:"Seed of what the scenario leaves open (default: the scenario's)."`
	pictureFlags
	JSON     bool   `name:"json" help:"Print JSON."`
	Language string `placeholder:"TAG" help:"Texts of the scenario in this language, where the file has them."`
	Gallery  int    `placeholder:"N" help:"Draw N teeth of the scenario instead, from this seed on, side by side (with --svg or --png)."`
}

// Validate refuses a gallery that no sheet can hold; the parser calls it.
func (c *toothCommand) Validate() error {
	if c.Gallery < 0 || c.Gallery > picture.MostInGallery {
		return fmt.Errorf("--gallery is %d; allowed 1 to %d", c.Gallery, picture.MostInGallery)
	}
	return c.pictureFlags.Validate()
}

// pictureFlags are the pictures a command may write.
type pictureFlags struct {
	SVG   string `name:"svg" placeholder:"FILE" help:"Write the picture as SVG."`
	PNG   string `name:"png" placeholder:"FILE" help:"Write the picture as PNG."`
	Width int    `placeholder:"PX" default:"1600" help:"Width of the PNG, 64 to 8192 px (default: ${default})."`
}

// Validate refuses a width that no picture can have; the parser calls it.
func (f pictureFlags) Validate() error {
	if f.Width < picture.NarrowestPNG || f.Width > picture.WidestPNG {
		return fmt.Errorf("--width is %d px; allowed %d to %d px", f.Width, picture.NarrowestPNG, picture.WidestPNG)
	}
	return nil
}

// add makes the pictures that were asked for.
func (f pictureFlags) add(to *outputs, draw func() (picture.Drawing, error)) error {
	if f.SVG == "" && f.PNG == "" {
		return nil
	}
	drawing, err := draw()
	if err != nil {
		return err
	}
	if err := to.add("--svg", f.SVG, drawing.SVG); err != nil {
		return err
	}
	return to.add("--png", f.PNG, func(w io.Writer) error { return drawing.PNG(w, f.Width) })
}

// Run grows the tooth, writes its pictures and prints its measurements.
func (c *toothCommand) Run(s *session) error {
	from, err := s.loadIn(c.Scenario, c.Language)
	if err != nil {
		return err
	}
	if c.Gallery > 0 {
		return c.gallery(s, from)
	}
	grown, err := from.Case(c.Seed.or(nil, from.Seed()))
	if err != nil {
		return err
	}
	var files outputs
	err = c.add(&files, func() (picture.Drawing, error) {
		return picture.Plate(grown.Tooth, picture.Options{Title: from.Title()})
	})
	if err != nil {
		return err
	}
	if err := files.write(c.Scenario); err != nil {
		return err
	}
	report := newToothReport(from, grown)
	if c.JSON {
		return s.printJSON(report)
	}
	report.print(page{s.out}, from)
	return nil
}
