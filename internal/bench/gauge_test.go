package bench_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tugback/internal/bench"
)

// panels returns the strip and the locator's scale that a page shows, nil where there is none.
func panels(s *bench.Session) (strip *bench.Strip, scale *bench.Locator) {
	page := s.Page()
	for _, b := range append(append([]bench.Block{}, page.Left...), page.Right...) {
		if b.Kind == bench.FeelStrip {
			strip = b.Strip
		}
		if b.Kind == bench.LocatorScale {
			scale = b.Scale
		}
	}
	return strip, scale
}

// TestFeelStrip: after work the strip shows what the engine felt: this stroke, the one before, and the push,
// within its scale, and exactly one word; a strip without work has neither bars nor word.
func TestFeelStrip(t *testing.T) {
	s, _ := begun(t)
	strip, _ := panels(s)
	if len(strip.Rows) != 0 || strip.Word != -1 {
		t.Fatalf("before any work the strip shows %+v", strip)
	}
	newStudent(t, s).key("i", "Space", "PageDown", "PageDown", "]", "]", "Space")
	strip, _ = panels(s)
	felt := s.Page().Centre.Plate.State.Canals[0].Feel
	if felt.Item == "" || len(strip.Rows) != 2 {
		t.Fatalf("after work the strip has %d bars; felt %+v", len(strip.Rows), felt)
	}
	if got := [3]float64{strip.Rows[0].Force, strip.Rows[1].Force, strip.Mark}; got != [3]float64{felt.Now, felt.Before, felt.Push} {
		t.Errorf("the strip shows %v, the engine felt %v, %v under a push of %v N", got, felt.Now, felt.Before, felt.Push)
	}
	if most := max(felt.Now, felt.Before, felt.Push); strip.Full < most {
		t.Errorf("the scale ends at %v N, below %v N", strip.Full, most)
	}
	if strip.Word < 0 || strip.Word >= len(strip.Words) {
		t.Errorf("no word of %v is chosen", strip.Words)
	}
	if strip.Rows[0].Open || !strip.Rows[1].Open {
		t.Error("what is over is not told from what is now without colour")
	}
}

// TestConeStrip: a cone is called tug-back exactly where the engine's grip is felt.
func TestConeStrip(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.key("8")
	if strip, _ := panels(s); len(strip.Rows) != 0 {
		t.Fatalf("before a cone was tried the strip shows %+v", strip)
	}
	p.key("Enter")
	strip, _ := panels(s)
	cone := s.Page().Centre.Plate.State.Canals[0].Cone
	if cone.Item == "" || len(strip.Rows) != 1 || strip.Rows[0].Force != cone.Grip {
		t.Fatalf("the strip shows %+v, the cone grips with %v N", strip, cone.Grip)
	}
	if grips := cone.Grip >= strip.Mark; grips != (strip.Word == 1) {
		t.Errorf("a grip of %v N is called %q", cone.Grip, strip.Words[strip.Word])
	}
}

// TestLocatorScale: without a reading there is no pointer; with one it stands at the mark, swings as far as
// the engine scatters, and where nothing can be read it stands at an end, open.
func TestLocatorScale(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.key("5")
	_, scale := panels(s)
	if scale == nil || !math.IsNaN(scale.Pointer) {
		t.Fatalf("before a reading the pointer stands: %+v", scale)
	}
	p.key("Enter")
	_, scale = panels(s)
	scene := s.Page().Centre.Plate
	last := scene.State
	switch scale.Reading {
	case true:
		scatter := last.LocatorScatter(0, last.Held.Item)
		if scale.Pointer != 0 || (scale.Swing > 0) != (scatter > 0.3) {
			t.Errorf("read with a scatter of %v mm the pointer is %+v", scatter, scale)
		}
		if scene.Live == nil || scene.Live.File == nil {
			t.Error("the file that reads is not shown in the canal")
		}
	case false:
		if math.Abs(scale.Pointer) != 1 || scale.Swing != 0 {
			t.Errorf("without a reading the pointer is %+v", scale)
		}
	}
	if scale.State == "" || !strings.HasSuffix(scale.Says, ".") {
		t.Errorf("the scale says %q, %q", scale.State, scale.Says)
	}
}

// TestStopAgainstReference: a file that went to its stop has the stop at the level of the reference point;
// one that was held up has it so much above.
func TestStopAgainstReference(t *testing.T) {
	s, _ := begun(t)
	newStudent(t, s).key("i", "Space")
	scene := s.Page().Centre.Plate
	file, from, state := scene.Live.File, scene.From, scene.State
	if from == nil || from.Name == "" {
		t.Fatal("no reference point is shown")
	}
	cusp := state.Case.Tooth.Crown.Cusps[state.Case.Tooth.Canals[0].Cusp].Point
	if from.At != cusp {
		t.Errorf("the reference point stands at %v, the cusp at %v", from.At, cusp)
	}
	felt := state.Canals[0].Feel
	want := math.Max(0, stopOf(t, s)-felt.Depth)
	got := file.Stop.Sub(file.Top).Dot(file.Up)
	if math.Abs(got-want) > 0.15 { // a station and a half of the axis
		t.Errorf("the stop stands %.2f mm above the reference level, want %.2f mm", got, want)
	}
}

// stopOf reads the stop off the hand's figures, mm.
func stopOf(t *testing.T, s *bench.Session) float64 {
	t.Helper()
	for _, b := range s.Page().Right {
		if b.Kind == bench.Figures {
			var mm float64
			if _, err := fmt.Sscan(b.Pairs[0][1], &mm); err != nil {
				t.Fatal(err)
			}
			return mm
		}
	}
	t.Fatal("no figures are shown")
	return 0
}
