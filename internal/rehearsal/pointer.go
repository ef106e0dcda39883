package rehearsal

import (
	"math"
	"strconv"
	"strings"
	"time"

	"tugback/internal/bench"
)

// mostTurns is above the number of values of any choice and of notches of any column.
const mostTurns = 60

// grain, px, is what places are rounded to: a host may draw at half density, and a pointer stands on whole
// pixels of the device.
const grain = 2

func onGrain(v float64) float64 { return grain * math.Round(v/grain) }

// spot returns where a part of a control can be pressed, after the wheel has brought it into sight; a
// share along it, 0.5 its middle.
func (r *Rehearsal) spot(id string, part int, share float64) (x, y float64) {
	r.t.Helper()
	for range mostTurns {
		sheet := r.sheet()
		hit, found := find(sheet, id, part)
		if !found {
			r.t.Fatalf("there is no %s (part %d) on %s", id, part, r.twin.Screen())
		}
		x, y = onGrain(hit.Box.X+share*hit.Box.W), onGrain(hit.Box.Y+hit.Box.H/2)
		if at, over := sheet.At(x, y); over && at.ID == id && at.Part == part {
			return x, y
		}
		if hit.Column < 0 {
			r.t.Fatalf("%s (part %d) is covered on %s", id, part, r.twin.Screen())
		}
		box := sheet.Columns[hit.Column].Box
		notches := 1
		if y < box.Y+box.H/2 {
			notches = -1
		}
		r.host.Wheel(onGrain(box.X+box.W/2), onGrain(box.Y+box.H/2), notches)
		r.twin.Scroll(hit.Column, float64(notches*WheelStep))
		r.host.Settle()
	}
	r.t.Fatalf("the wheel never brings %s into sight on %s", id, r.twin.Screen())
	return 0, 0
}

// find returns the place of a part of a control.
func find(sheet *bench.Sheet, id string, part int) (bench.Hit, bool) {
	for _, h := range sheet.Hits {
		if h.ID == id && h.Part == part {
			return h, true
		}
	}
	return bench.Hit{}, false
}

// Click presses a control and lets it go.
func (r *Rehearsal) Click(id string) { r.t.Helper(); r.click(id, 0) }

// click presses a part of a control: 0 all of it, −1 and 1 its arrows.
func (r *Rehearsal) click(id string, part int) {
	r.t.Helper()
	x, y := r.spot(id, part, 0.5)
	r.host.Press(x, y)
	r.host.Release(x, y)
	if part == 0 {
		r.twin.Press(id)
	} else {
		r.twin.Adjust(id, part, false)
	}
	r.listen("a press of " + id)
}

// Hold keeps the main act pressed for a while.
func (r *Rehearsal) Hold(held time.Duration) {
	r.t.Helper()
	x, y := r.spot("go", 0, 0.5)
	r.twin.SetFocus("go")
	r.held = held
	r.holdBy("the main act", func(held time.Duration) {
		r.host.Press(x, y)
		time.Sleep(held)
		r.host.Release(x, y)
	})
	r.held = 0
}

// Choose turns a choice by its arrow until it shows a value.
func (r *Rehearsal) Choose(id, want string) {
	r.t.Helper()
	for range mostTurns {
		if r.value(id) == want {
			return
		}
		r.click(id, 1)
	}
	r.t.Fatalf("%s never shows %q", id, want)
}

// Slide presses a slider where its value comes nearest to one wanted, and returns what it then shows.
func (r *Rehearsal) Slide(id string, want float64) float64 {
	r.t.Helper()
	x, y := r.spot(id, 2, 0.5)
	hit, _ := find(r.sheet(), id, 2)
	place := func(x float64) { r.twin.Slide(id, (x-hit.Box.X)/math.Max(hit.Box.W, 1)) }
	best, off := x, math.Inf(1)
	for at := onGrain(hit.Box.X + grain); at < hit.Box.Right()-1; at += grain {
		place(at)
		if d := math.Abs(r.number(id) - want); d < off {
			best, off = at, d
		}
	}
	place(best)
	r.host.Press(best, y)
	r.host.Release(best, y)
	r.twin.Tell(id)
	r.listen("a press on the slider " + id)
	return r.number(id)
}

func (r *Rehearsal) value(id string) string {
	for _, c := range r.twin.Page().Controls() {
		if c.ID == id {
			return c.Value
		}
	}
	return ""
}

// number returns the figure a slider shows, NaN where it shows a word.
func (r *Rehearsal) number(id string) float64 {
	figure, _, _ := strings.Cut(r.value(id), " ")
	v, err := strconv.ParseFloat(figure, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// Take takes an instrument from the tray: drawer by drawer, then size by size.
func (r *Rehearsal) Take(id string) {
	r.t.Helper()
	for range mostTurns {
		sizes := r.tray()
		if len(sizes) == 0 {
			r.t.Fatalf("there is no tray on %s", r.twin.Screen())
		}
		family, own := family(id), family(sizes[0])
		switch at := index(sizes, id); {
		case at >= 0:
			r.Click("item:" + id)
			return
		case own != family:
			r.click("family:", 1)
		case id < sizes[0]:
			r.Click("item:" + sizes[0])
		default:
			r.Click("item:" + sizes[len(sizes)-1])
		}
	}
	r.t.Fatalf("%s is not on the tray", id)
}

// tray returns the instruments in sight, by their names in the catalogue.
func (r *Rehearsal) tray() []string {
	var out []string
	for _, c := range r.twin.Page().Controls() {
		if id, found := strings.CutPrefix(c.ID, "item:"); found {
			out = append(out, id)
		}
	}
	return out
}

// family returns a name without its size: "hand-steel-10.02" is "hand-steel .02".
func family(id string) string {
	at := strings.LastIndexByte(id, '-')
	_, taper, _ := strings.Cut(id[at+1:], ".")
	return id[:max(at, 0)] + " ." + taper
}

func index(list []string, want string) int {
	for i, s := range list {
		if s == want {
			return i
		}
	}
	return -1
}
