package trial

import (
	"fmt"
	"math"

	"tugback/internal/treatment"
)

// shape enlarges the canal at the working length from the first size that binds, some sizes up, and
// then steps back.
func (w *way) shape() {
	target := w.target()
	stopped := 0
	w.final = 10
	for size := 15; size <= target && stopped < 2 && !w.broken(); size = step(size, 1) {
		item := w.shaper(size)
		if item == "" {
			continue
		}
		if w.enlarge(item) {
			w.final = size
			stopped = 0
		} else {
			stopped++
		}
		w.between()
	}
	for n := 1; n <= w.StepBack && !w.broken(); n++ {
		stop := w.length - float64(n)
		if stop <= w.sight.orifice+2 {
			return
		}
		w.work(w.shaper(step(w.final, n)), w.Motion, stop, w.Push, w.Strokes)
		w.between()
		w.back()
	}
}

// back takes the master file to the working length again, as is taught after each step back (protocol 1.3).
func (w *way) back() {
	if !w.skips("recapitulation") {
		w.work(w.shaper(w.final), "watch-winding", w.length, w.Push, 10)
	}
}

// enlarge brings one instrument to the working length; a stop short is met with a smaller file first.
func (w *way) enlarge(item string) bool {
	push := w.Push
	for n := range 1 + w.Insists {
		if w.work(item, w.Motion, w.length, push, w.Strokes) {
			return true
		}
		if w.broken() {
			return false
		}
		if n < w.Insists && !w.skips("recapitulation") {
			w.work(w.file(10), "watch-winding", w.length, w.Push/2, 10)
			w.work(w.file(15), "watch-winding", w.length, w.Push/2, 10)
		}
		push += float64(push * w.Harder)
	}
	return w.reached >= w.length-0.5
}

// passivePush is that of a file that is to bind by itself, mN (common practice, "no force").
const passivePush = 600

// target chooses the final size: some sizes above the first that binds, fewer in a bend.
func (w *way) target() int {
	w.binds = 15
	for _, size := range []int{15, 20, 25, 30, 35, 40, 45, 50} {
		events := w.do(treatment.Action{Do: treatment.Gauge, Canal: w.name, Item: w.file(size), Stop: w.hand.length(w.length), Push: passivePush})
		w.binds = size
		if e := find(events, treatment.GaugedSize); e == nil || e.Detail != "passes" {
			break
		}
	}
	sizes := float64(w.Enlarge) + w.stream.Normal(0, w.SizeScatter)
	least := w.Least
	if w.sight.angle >= bentFrom {
		sizes -= float64(w.LessBent)
	}
	size := step(w.binds, int(math.Max(0, math.RoundToEven(sizes))))
	return min(max(size, least), 60)
}

// gauging returns the file that feels a size, a longer one in a long tooth. Straight steel of a middle size binds in
// a bend long before the end, however wide that is.
func (w *way) gauging(size int) string {
	return w.long(w.pick(fmt.Sprintf("hand-niti-%02d.02", size), w.hand.file(size)))
}

// gauge feels the apex for the size of the cone: the largest file that stands at the working length
// without falling through.
func (w *way) gauge() {
	if w.skips("gauging") || w.broken() {
		return
	}
	size := w.final
	for range 4 {
		e := find(w.do(treatment.Action{Do: treatment.Gauge, Canal: w.name, Item: w.gauging(size), Stop: w.hand.length(w.length)}), treatment.GaugedSize)
		switch {
		case e == nil:
			return
		case e.Detail == "passes":
			size = step(size, 1)
		case (e.Detail == "short" || e.Detail == "stiff") && size > w.final:
			w.final = step(size, -1)
			return
		default:
			w.final = size
			return
		}
	}
}

// lastRinse dissolves what is left and clears the smear layer.
func (w *way) lastRinse() {
	stop := w.needleTo()
	w.rinse("sodium-hypochlorite", 3, stop, 60, true)
	if w.skips("last-rinse") {
		return
	}
	w.rinse("sodium-hypochlorite", 3, stop, 120, true)
	w.rinse("edta", 17, stop, 30, false)
	w.rinse("sodium-hypochlorite", 3, stop, 0, false)
}

// dry takes paper points until the last is dry, or one round only.
func (w *way) dry() {
	rounds := 3
	if w.skips("drying") {
		rounds = 1
	}
	for n := range rounds {
		short := 0.25
		if n > 0 {
			short = 0 // the end is still wet
		}
		events := w.do(treatment.Action{Do: treatment.Dry, Canal: w.name, Stop: w.hand.length(w.length - short), Count: 3 + n})
		if find(events, treatment.PointDry) != nil {
			return
		}
	}
}

// fill fits a cone, tries others when it does not fit, and fills.
func (w *way) fill() {
	size, trim := min(max(w.final, 15), 140), 0.0
	best, off := treatment.Action{}, math.Inf(1)
	reopened := w.broken()
	for range w.ConeTries {
		a := treatment.Action{Do: treatment.Fit, Canal: w.name, Item: w.cone(size), Stop: w.hand.length(w.length), Length: micron(trim)}
		e := find(w.do(a), treatment.ConeFits, treatment.ConeOff)
		if e == nil {
			return
		}
		miss := coneMiss(e)
		if miss <= off {
			best, off = a, miss
		}
		switch {
		case e.Kind == treatment.ConeFits:
			size = -1
		case e.Detail == "short" && -e.Value > coneShort && !reopened:
			reopened = true
			w.reopen()
		case e.Detail == "short":
			size, trim = step(size, -1), 0
		default:
			trim += 0.5
			if trim > 1 {
				size, trim = step(size, 1), 0
			}
		}
		if size < 15 {
			break
		}
	}
	if size != -1 {
		w.do(best)
	}
	a := treatment.Action{Do: treatment.Fill, Canal: w.name, Choice: w.Technique, Agent: "epoxy-resin"}
	if w.Technique == "cold-lateral" {
		a.Stop, a.Count = w.hand.length(w.length-1), w.Accessory
	}
	w.do(a)
}

// coneShort is how much a cone may end above its length before the canal is shaped again, mm: a cone stands 0
// to 1 mm short (protocol 1.1, step 22).
const coneShort = 1.0

// reopen shapes the canal again where a cone has shown that its length is not free. More ill fits of students'
// cones were mended by shaping than by another cone (55.6 against 11.1 %; cones short at first 35.6, at last
// 11.1 %, BMC Med Educ 2024).
func (w *way) reopen() {
	push := math.Min(w.Push, scoutPush)
	w.insist(w.file(10), "watch-winding", w.length, push, 20)
	w.insist(w.file(15), "watch-winding", w.length, push, 20)
	w.enlarge(w.shaper(w.final))
	w.between()
	w.dry()
}

// coneMiss says how badly a cone sits: the distance from its length, a loose one counting a millimetre.
func coneMiss(e *treatment.Event) float64 {
	switch {
	case e.Kind == treatment.ConeFits:
		return 0
	case e.Detail == "loose":
		return 1
	}
	return math.Abs(e.Value)
}

// cone returns the cone of a size in the operator's taper, or what the tray has.
func (w *way) cone(size int) string {
	return w.pick(fmt.Sprintf("cone-%02d.%02d", size, w.Taper), fmt.Sprintf("cone-%02d.04", size),
		fmt.Sprintf("cone-%02d.02", size), fmt.Sprintf("cone-%02d.06", size))
}
