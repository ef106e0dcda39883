package rehearsal

import (
	"time"

	"tugback/internal/geom"
)

// Fingers works in the lower premolar with a finger alone, from the shelf to the debrief: a film is taken and
// measured, the tooth is opened with sliders, a file is chosen and worked by holding, and the treatment is
// scrubbed through. The host's presses are those of a finger.
func (r *Rehearsal) Fingers() {
	r.t.Helper()
	r.Click("case:lower-premolar")
	r.Click("begin")
	r.Click("kind:radiograph")
	r.Click("go")
	r.tap(geom.Point{X: 0.5, Y: 6})
	r.tap(geom.Point{X: 0, Y: -12})
	r.Click("film:write")
	r.Click("film:close")
	r.step(2)
	r.Choose("field:tooth", "35")
	r.Click("field:tested")
	r.Click("go")
	r.step(3)
	r.Slide("field:depth", 8.6)
	for _, side := range []string{"mesial", "buccal"} {
		r.Slide("field:"+side, 1.6)
	}
	r.Click("field:deroofed")
	r.Click("go")
	r.step(4)
	r.Click("go")
	r.step(6)
	r.rinse(12)
	r.Click("kind:work")
	r.Take("hand-steel-10.02")
	r.Slide("field:stop", 16)
	r.Hold(500 * time.Millisecond)
	r.loosen()
	r.Click("finish")
	r.Slide("time:", 3)
	r.Click("later:")
	r.Click("show:")
}

// tap puts the pointer on a place of the film, mm on the receptor, and lifts it.
func (r *Rehearsal) tap(at geom.Point) {
	r.t.Helper()
	film := r.sheet().Film
	if film == nil {
		r.t.Fatalf("no film hangs on the light box")
	}
	p := film.View.Point(at)
	x, y := onGrain(p.X), onGrain(p.Y)
	r.host.Press(x, y)
	r.host.Release(x, y)
	r.twin.Spot(film.View.Back(geom.Point{X: x, Y: y}))
	r.listen("a tap on the film")
}
