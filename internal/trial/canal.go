package trial

import (
	"math"
	"slices"

	"tugback/internal/treatment"
)

// way is one canal under treatment.
type way struct {
	*hand
	index   int
	name    string
	sight   canalSight
	bent    []string // files already pre-curved
	curves  bool     // steel files are pre-curved
	reached float64  // where the last instrument came to, mm
	gaveUp  bool     // it is not forced on past a hard stop
	hard    int      // times in a row that a small file met a hard stop where it had met it before
	length  float64  // working length, mm
	binds   int      // first size that binds at the working length
	final   int      // last size that came to length
	free    float64  // down to where the needle is loose, mm
	stage   stage    // how far the canal has come before the operator took over
}

// canal treats one canal from scouting to filling.
func (h *hand) canal(i int) {
	if !h.state.Canals[i].Found {
		return
	}
	w := &way{hand: h, index: i, name: h.state.Canals[i].Name, sight: h.seen.canals[i]}
	w.curves = w.sight.angle >= 10*math.Pi/180 && !h.skips("pre-curve")
	trial := w.sight.length - 1 // the usual millimetre for safety
	if w.sight.length == 0 {
		trial = w.sight.orifice + 10
	}
	w.recall(trial)
	for _, part := range []struct {
		before stage // done unless the canal has come so far already
		do     func()
	}{
		{toMeasure, func() { w.scout(trial) }}, {toGlide, w.measure}, {toShape, w.glide}, {toRinse, w.enlarged},
		{toDry, w.lastRinse}, {toFit, w.dry}, {isFilled, w.fill},
	} {
		if w.stage < part.before {
			part.do()
		}
	}
}

// scout rinses, opens the coronal part and brings small files to a length.
func (w *way) scout(to float64) {
	w.rinse("sodium-hypochlorite", 3, w.sight.orifice-1, 0, false)
	if !w.skips("flare") {
		w.flare()
	}
	w.negotiate(to)
}

// enlarged shapes the canal and feels what size its end has.
func (w *way) enlarged() {
	w.shape()
	w.gauge()
}

// longFrom is how long a canal is on the film from which longer files are taken, mm: a file of 25 mm is held
// by its handle and needs some room above the reference point. Common practice, no source.
const longFrom = 24.0

// file returns the hand file of a size, a longer one in a long tooth.
func (w *way) file(size int) string { return w.long(w.hand.file(size)) }

// shaper returns the instrument of a size that shapes, a longer one in a long tooth.
func (w *way) shaper(size int) string { return w.long(w.hand.shaper(size)) }

// long returns the longer one of an instrument where the canal asks for it and the tray has it.
func (w *way) long(item string) string {
	if math.Max(w.sight.length, w.length) <= longFrom || item == "" {
		return item
	}
	return w.pick(item+"-31mm", item)
}

// state of the canal as the engine has it; only what a person could see of it is read.
func (w *way) broken() bool { return w.state.Canals[w.index].Fragment != nil }

// hold pre-curves a steel file for the bend seen on the film, once.
func (w *way) hold(item string) {
	if !w.curves || !w.catalogue[item].Steel() || slices.Contains(w.bent, item) {
		return
	}
	w.bent = append(w.bent, item)
	w.do(treatment.Action{Do: treatment.Bend, Item: item, Radius: 8000, Length: 3000, Wall: w.sight.towards})
}

// work works with an instrument to a stop and notes how far it came. It reports whether it came there.
func (w *way) work(item, motion string, stop, push float64, strokes int) bool {
	if item == "" || w.broken() {
		return false
	}
	w.hold(item)
	a := treatment.Action{Do: treatment.Work, Canal: w.name, Item: item, Motion: motion,
		Stop: w.hand.length(stop), Push: w.hand.push(push), Strokes: strokes}
	if w.catalogue[item].Powered {
		a.Motion, a.Speed, a.Torque = "rotation", 300, 20000
	} else {
		a.Forward, a.Back = w.turns(motion)
	}
	if w.habit.Float64() < w.Patient {
		a.Choice = "loose"
	}
	events := w.do(a)
	if e := find(events, treatment.Reached, treatment.Halted); e != nil {
		w.feel(e)
		w.opened(item)
	}
	if !w.skips("wipe") {
		w.do(treatment.Action{Do: treatment.Wipe, Item: item})
	}
	return find(events, treatment.Reached) != nil
}

// sameStop is how near two hard stops lie that a hand takes for the same, mm, and stuckAfter how many of them
// tell a patient hand not to force on. Common practice, no source.
const (
	sameStop   = 0.3
	stuckAfter = 2
)

// feel notes where an instrument came to, and whether it met the same hard stop again.
func (w *way) feel(e *treatment.Event) {
	switch {
	case e.Detail != "step":
		w.hard = 0
	case math.Abs(e.Value-w.reached) <= sameStop:
		w.hard++
	}
	w.reached = e.Value
}

// stuck reports whether the hand gives a hard stop up rather than dig on at it: a ledge, a sharp turn, or the
// place where the canal joins another. Once given up it stays so.
func (w *way) stuck() bool {
	if w.hard >= stuckAfter && !w.gaveUp {
		w.gaveUp, w.hard = w.habit.Float64() < w.Patient, 0
	}
	return w.gaveUp
}

// insist works with an instrument and pushes again, harder, while it stops short.
func (w *way) insist(item, motion string, stop, push float64, strokes int) bool {
	for range 1 + w.Insists {
		if w.work(item, motion, stop, push, strokes) {
			return true
		}
		if w.stuck() {
			return false
		}
		push += float64(push * w.Harder)
	}
	return false
}

// scoutPush is the most that a scouting file is pushed with, N, whatever the hand: it bends away.
const scoutPush = 2.0

// flare scouts the coronal part and opens it, the instrument leaning away from the middle of the tooth.
func (w *way) flare() {
	to := w.sight.orifice + 4
	if w.sight.length > 0 {
		to = w.sight.orifice + float64(0.55*(w.sight.length-w.sight.orifice))
	}
	w.work(w.file(10), "watch-winding", to, math.Min(w.Push, scoutPush), 20)
	opener := w.pick("opener-20.08", "opener-25.08", "enlarger-2", "enlarger-1")
	if opener == "" {
		return
	}
	a := treatment.Action{Do: treatment.Work, Canal: w.name, Item: opener, Motion: "brushing",
		Stop: w.hand.length(w.sight.orifice + 3), Push: 1000, Press: 1000, Wall: w.sight.side, Strokes: 20}
	w.do(a)
	w.between()
}

// negotiate brings small files to a length, smaller ones first when they stop short.
func (w *way) negotiate(to float64) {
	push := math.Min(w.Push, scoutPush)
	for _, size := range []int{8, 10} {
		if w.insist(w.file(size), "watch-winding", to, push, 30) {
			continue
		}
		if w.stuck() {
			return
		}
		w.between()
		w.work(w.file(6), "watch-winding", to, push, 30)
		w.work(w.file(size), "watch-winding", to, push, 30)
	}
}

// measure reads the length and writes the working length down. When there is no reading, the length is
// where the file came to or, for want of better, the film's.
func (w *way) measure() {
	for n := 0; n < 4 && w.bleeds() && !w.skips("rinse"); n++ {
		w.rinse("sodium-hypochlorite", 3, w.needleTo(), 0, false)
	}
	for attempt := range 3 {
		if w.stuck() {
			break
		}
		if reading, ok := w.read(); ok {
			w.set(reading - w.Short)
			return
		}
		if attempt < 2 {
			w.between()
			w.negotiate(math.Max(w.reached+1, w.sight.length-1))
		}
	}
	if w.gaveUp {
		w.set(w.reached - w.Short) // clear of the hard stop
		return
	}
	w.set(w.reached)
}

// bleeds reports whether blood stands in the canal, which the engine says of a vital pulp of which more
// than a fifth is left.
func (w *way) bleeds() bool { return w.state.Case.Vital && w.state.Pulp > 0.2 }

// read returns the mean of the operator's readings.
func (w *way) read() (float64, bool) {
	sum, n := 0.0, 0
	for range w.Readings {
		a := treatment.Action{Do: treatment.Measure, Canal: w.name, Choice: w.By, Item: w.file(10)}
		if w.By == "film" { // thinner tips are hard to see: common practice, protocol 2.2
			a.Item, a.Stop = w.file(15), micron(w.reached)
		}
		if e := find(w.do(a), treatment.Reading); e != nil {
			sum, n = sum+e.Value, n+1
		}
	}
	if n == 0 {
		return 0, false
	}
	reading := sum / float64(n)
	if w.By == "film" {
		reading -= filmApex
	}
	return reading, true
}

// filmApex is what every operator takes off a film's length, which ends at the root's tip and not at
// the foramen: the mean distance of the two, mm (anatomy's norms).
const filmApex = 0.3

func (w *way) set(length float64) {
	w.length = math.Max(w.sight.orifice+2, length)
	w.do(treatment.Action{Do: treatment.SetLength, Canal: w.name, Stop: w.hand.length(w.length)})
	w.length = w.state.Canals[w.index].Length // what was written down
}

// glide makes the way to the working length smooth for what follows.
func (w *way) glide() {
	push := math.Min(w.Push, scoutPush)
	w.insist(w.file(10), "watch-winding", w.length, push, w.Strokes)
	if w.skips("glide-path") {
		return
	}
	w.insist(w.file(15), "watch-winding", w.length, push, w.Strokes)
	w.between()
	if !w.skips("length-again") {
		if reading, ok := w.read(); ok && math.Abs(reading-w.Short-w.length) > 0.5 {
			w.set((reading - w.Short + w.length) / 2)
		}
	}
}

// between rinses and clears the way, unless left out.
func (w *way) between() {
	if !w.skips("rinse") {
		w.rinse("sodium-hypochlorite", 3, w.needleTo(), 0, false)
	}
	if w.length > 0 && !w.skips("recapitulation") {
		w.work(w.file(10), "watch-winding", w.length, w.Push/2, 5)
	}
}

// rinse rinses the canal; soak is in seconds.
func (w *way) rinse(agent string, percent, stop, soak float64, agitated bool) {
	a := treatment.Action{Do: treatment.Irrigate, Canal: w.name, Agent: agent, Percent: int(percent * 10),
		Volume: int(math.RoundToEven(w.Rinse * 1000)), Flow: int(math.RoundToEven(w.Flow * 1000 / 60)), Item: w.needle(),
		Stop: w.hand.length(stop), Time: int(soak * 1000)}
	if agitated {
		a.Choice = w.Agitation
	}
	if e := find(w.do(a), treatment.NeedleBound); e != nil {
		w.free = math.Min(w.free, e.Value-1)
	}
}

// needleWidth is the outside of a 30 gauge needle with a little play, mm.
const needleWidth = 0.36

// opened notes down to where an instrument has made room for the needle.
func (w *way) opened(item string) {
	i := w.catalogue[item]
	if i.Taper == 0 {
		return
	}
	short := math.Max(0, needleWidth-float64(i.Size)/100) / (float64(i.Taper) / 100)
	w.free = math.Max(w.free, w.reached-short)
}

// needleTo returns where the needle's tip goes: short of the working length, and no deeper than it is
// loose, unless the hand does not feel for that.
func (w *way) needleTo() float64 {
	to := math.Max(w.length, w.reached) - w.NeedleOff
	if w.skips("loose-needle") {
		return to
	}
	return math.Min(to, math.Max(w.free, w.sight.orifice-1))
}
