package bench_test

import (
	"strings"
	"testing"

	"tugback/internal/bench"
)

// TestLiveFilm: in practice a film of the moment stands in the middle when asked for, with the instrument in
// hand in its canal; it is another one once the hand has worked, gives no dose, leaves the state as it is,
// and is noted.
func TestLiveFilm(t *testing.T) {
	s, k := begun(t)
	p := newStudent(t, s)
	p.key("i", "Space")
	plate := s.Page().Centre.Plate.State
	p.key("l")
	film := s.Page().Centre.Film
	if film == nil || !film.Live {
		t.Fatal("no live film is shown")
	}
	if held := film.State.Held; held.Item != plate.Canals[0].Feel.Item || held.Depth != plate.Canals[0].Feel.Depth {
		t.Errorf("on the film %+v stands in the canal, felt was %+v", held, plate.Canals[0].Feel)
	}
	if _, err := film.Expose(); err != nil {
		t.Error(err)
	}
	first := film.Key
	if s.Page().Centre.Film.Key != first {
		t.Error("the same moment gives another film")
	}
	p.key("PageDown", "PageDown", "]", "]", "Space")
	if after := s.Page().Centre.Film; after.Key == first || after.State.Films != plate.Films {
		t.Errorf("after work the film is %q, then %q, with %d films taken", first, after.Key, after.State.Films)
	}
	p.key("l")
	if now := s.Page().Centre; now.Film != nil || now.Plate == nil || now.Plate.State.Elapsed <= plate.Elapsed {
		t.Error("the plate does not come back with what was done before the film")
	}
	if !strings.Contains(string(k.current), "live-film-shown") {
		t.Error("it is not noted")
	}
}

// TestCloser: the plate is enlarged twice, four times and not at all about the place the instrument stands at,
// and stays where it is while the hand works.
func TestCloser(t *testing.T) {
	s, _ := begun(t)
	p := newStudent(t, s)
	p.key("i", "Space")
	scale := s.Compose(1024, 640).Plate.View.Scale
	for _, want := range []float64{2, 4, 1} {
		p.key("e")
		plate := s.Compose(1024, 640).Plate
		if got := plate.View.Scale / scale; got < want-0.01 || got > want+0.01 {
			t.Errorf("enlarged %.2f times, want %.0f", got, want)
		}
		tip := plate.View.Point(plate.Scene.Live.File.Axis[0])
		if !plate.Box.Contains(tip.X, tip.Y) {
			t.Errorf("× %.0f: the tip at %v is not on the plate", want, tip)
		}
	}
	p.key("e")
	before := s.Compose(1024, 640).Plate.View
	s.Hold(true)
	for range 30 {
		s.Tick(bench.BurstTime)
	}
	if now := s.Compose(1024, 640).Plate.View; now != before {
		t.Errorf("while the hand works the plate goes from %+v to %+v", before, now)
	}
	s.Hold(false)
}
