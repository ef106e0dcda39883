package picture_test

import (
	"bytes"
	"strings"
	"testing"

	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// TestLevelPlot: the plot over level is drawn for every canal in every palette, shows its figures, stays on the
// sheet, and is refused without a level.
func TestLevelPlot(t *testing.T) {
	s := treatment.StartBlock(treatment.DefaultBlock(), treatment.DefaultSettings(), 1)
	rows := []picture.LevelRow{{Name: "MB", Levels: s.Levels(0)}, {Name: "ML", Levels: s.Levels(0)}}
	rows[1].Levels[3].Transport, rows[1].Levels[3].Outer = 99, 99 // far off the scale
	for _, p := range picture.Palettes() {
		d, err := picture.LevelPlot(rows, picture.Options{Palette: p, Title: "Levels"})
		if err != nil {
			t.Fatal(err)
		}
		var svg, png bytes.Buffer
		if err := d.SVG(&svg); err != nil {
			t.Fatal(err)
		}
		if err := d.PNG(&png, 900); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(svg.String(), "<svg") || png.Len() < 1000 || d.Description == "" {
			t.Errorf("%s: %d bytes of SVG, %d of PNG", p.Name, svg.Len(), png.Len())
		}
	}
	if _, err := picture.LevelPlot(nil, picture.Options{}); err == nil {
		t.Error("a plot of nothing")
	}
	if _, err := picture.LevelPlot([]picture.LevelRow{{Name: "MB"}}, picture.Options{}); err == nil {
		t.Error("a plot without levels")
	}
}
