package rehearsal

import (
	"strings"
	"time"
)

// canal is how the molar's treatment goes in one canal; lengths mm.
type canal struct {
	name    string
	scout   float64 // stop of the first file, in the coronal two thirds
	length  float64 // working length
	rotary  []string
	gauge   string
	cone    string
	needles float64 // how far the needle stays from the length
}

func canals() []canal {
	return []canal{
		{"MB", 15.4, 20.75, []string{"rotary-heat-15.04", "rotary-heat-20.04", "rotary-heat-25.04"}, "hand-steel-25.02", "cone-25.04", 2.5},
		{"ML", 15, 20.2, []string{"rotary-heat-20.04", "rotary-heat-25.04"}, "hand-steel-25.02", "cone-25.04", 2.8},
		{"D", 13.8, 18.3, []string{"rotary-heat-20.04", "rotary-heat-30.04"}, "hand-steel-30.02", "cone-30.04", 2},
	}
}

// Molar treats the lower first molar with the pointer alone, from the shelf to the debrief: all three
// canals are found, measured, shaped, dried and filled.
func (r *Rehearsal) Molar() {
	r.t.Helper()
	r.Click("case:lower-first-molar")
	r.Click("begin")
	r.Choose("field:difficulty", "moderate")
	r.Click("go")
	r.step(2)
	r.Choose("field:tooth", "46")
	r.Click("field:tested")
	r.Click("go")
	r.step(3)
	r.Slide("field:depth", 6.8)
	r.Slide("field:mesial", 3.2)
	r.Slide("field:distal", 2.8)
	r.Slide("field:buccal", 2.7)
	r.Slide("field:lingual", 2.7)
	r.Choose("field:with", "safe-ended")
	r.Click("field:deroofed")
	r.Click("go")
	r.step(4)
	for _, c := range canals() {
		r.Click("canal:" + c.name)
		r.Click("go")
	}
	for _, c := range canals() {
		r.shape(c)
		r.fill(c)
	}
	r.step(9)
	r.Click("go")
	r.Click("kind:restore")
	r.Click("go")
	r.step(10)
	r.Click("go")
	r.Click("finish")
}

// step goes to a step of the procedure, 1 the first.
func (r *Rehearsal) step(n int) {
	r.t.Helper()
	if _, found := find(r.sheet(), "stages", 1); !found {
		r.Click("stage:" + string(rune('0'+n-1)))
		return
	}
	for range mostTurns {
		if value := r.value("stages"); number(value) == n {
			return
		}
		r.click("stages", 1)
	}
	r.t.Fatalf("there is no step %d", n)
}

// number returns the number a text begins with, 0 none.
func number(text string) int {
	n := 0
	for _, c := range text {
		if c < '0' || c > '9' {
			break
		}
		n = 10*n + int(c-'0')
	}
	return n
}

// rinse rinses with the needle at a depth.
func (r *Rehearsal) rinse(stop float64) {
	r.t.Helper()
	r.Click("kind:irrigate")
	r.Slide("field:stop", stop)
	r.Click("go")
}

// mostRepeats is how often work is repeated for an instrument at most.
const mostRepeats = 8

// loosen repeats work until the instrument is loose at its stop.
func (r *Rehearsal) loosen() {
	r.t.Helper()
	for range mostRepeats {
		r.Click("repeat")
		if strings.Contains(r.last, "Loose at the stop") {
			return
		}
	}
}

// work works an instrument to a stop until it is loose.
func (r *Rehearsal) work(id string, stop float64) {
	r.t.Helper()
	r.Click("kind:work")
	r.Take(id)
	r.Slide("field:stop", stop)
	r.loosen()
}

// shape brings a canal to length and size, rinsed between the instruments. The first file is held.
func (r *Rehearsal) shape(c canal) {
	r.t.Helper()
	r.step(6)
	r.Click("canal:" + c.name)
	r.rinse(c.scout - 4)
	r.Click("kind:work")
	r.Take("hand-steel-10.02")
	r.Slide("field:stop", c.scout)
	r.Hold(400 * time.Millisecond)
	r.loosen()
	r.rinse(c.scout - 3)
	r.work("hand-steel-08.02", c.length)
	r.work("hand-steel-10.02", c.length)
	r.step(5)
	r.Click("go")
	r.Click("kind:set-length")
	r.Slide("field:stop", c.length)
	r.Click("go")
	r.step(6)
	r.work("hand-steel-15.02", c.length)
	for _, id := range c.rotary {
		r.work(id, c.length)
	}
	r.rinse(c.length - c.needles)
	r.Click("kind:gauge")
	r.Take(c.gauge)
	r.Slide("field:stop", c.length)
	r.Click("go")
	r.Click("kind:irrigate")
	r.Choose("field:irrigant", "EDTA")
	r.Click("go")
	r.Choose("field:irrigant", "NaOCl")
	r.Click("go")
}

// fill dries a canal, fits a cone and fills.
func (r *Rehearsal) fill(c canal) {
	r.t.Helper()
	r.step(7)
	r.Slide("field:stop", c.length)
	r.Click("go")
	r.step(8)
	r.Take(c.cone)
	r.Slide("field:stop", c.length)
	r.Click("go")
	r.Click("kind:fill")
	r.Slide("field:spreader", c.length-1)
	r.Click("go")
}
