package quiz

import (
	"fmt"

	"tugback/internal/treatment"
)

// rinseGenerators make items on irrigants and needles.
func rinseGenerators() []Generator {
	gauge := "gauge table of regular-wall needles; geometry"
	return []Generator{
		{"rinse-reach", "rinse", "apply", "moderate", gauge, []string{"needle-bound"}, rinseReach},
		{"rinse-gauge", "rinse", "apply", "moderate", gauge, []string{"needle-bound"}, rinseGauge},
		{"rinse-time", "rinse", "apply", "easy", "arithmetic", []string{"irrigant-escaped"}, rinseTime},
		{"rinse-dilute", "rinse", "apply", "easy", "arithmetic", []string{"rinsed"}, rinseDilute},
		{"rinse-bore", "rinse", "analyse", "hard", "Hagen–Poiseuille", []string{"irrigant-escaped"}, rinseBore},
		{"rinse-volume", "rinse", "analyse", "hard", "geometry", []string{"rinsed"}, rinseVolume},
		{"rinse-stop", "rinse", "apply", "easy", "common practice", []string{"needle-bound", "rinsed"}, rinseStop},
	}
}

// gauges are the needles that are used in canals, with their outer diameter and bore, mm: the nominal
// regular-wall gauge table.
var gauges = []struct {
	gauge       int
	outer, bore float64
}{{25, 0.5144, 0.260}, {27, 0.4128, 0.210}, {28, 0.3620, 0.184}, {30, 0.3112, 0.159}, {31, 0.2604, 0.133}}

func rinseReach(d *draft) {
	g := gauges[d.stream.Intn(4)]
	outer := d.state("needle", "mm", round(g.outer, 2))
	size := d.state("size", "", pick(d, 20.0, 25, 30))
	taper := d.taper(0.04, 0.06)
	if outer < size/100+0.02 { // a needle that fits to the end asks for nothing
		size = 20
		d.item.Made.Given = d.item.Made.Given[:1]
		d.state("size", "", size)
		d.state("taper", "", taper)
	}
	d.stem("A canal is shaped to size %s, taper %s, and is round and straight. How close to its end can a %d gauge needle (%.2f mm outside) come before it binds?", sizeWord(size), taperWord(taper), g.gauge, outer)
	reach := d.call("needle-reach", outer, size, taper)
	d.ask(figure{reach, "mm", 1,
		"The needle binds where the canal is as narrow as the needle: (needle − apical size)/taper from the end. Stay a little above, so that liquid can flow back.",
		[]slip{
			{(outer - size/100) / (0.1 - taper), "The other taper was used."},
			{(outer - size/100) / 0.02, "The standard taper was used, but the canal is wider."},
			{outer / taper, "The apical size was left out."},
			{size / 100 / taper, "The needle's diameter was left out."},
			{reach / 2, "Half of that depth lies where the needle is already wedged."},
		}, 0})
}

func rinseGauge(d *draft) {
	size := d.size(25, 35)
	taper := d.taper(0.04, 0.06)
	room := d.draw("from the end", "mm", 2, 3, 1)
	width := size/100 + taper*room
	best := -1
	for n, g := range gauges { // the widest needle that is loose
		if g.outer < width-0.005 && best < 0 {
			best = n
		}
	}
	if best < 0 || width-gauges[best].outer < 0.008 || (best > 0 && gauges[best-1].outer-width < 0.008) {
		size, taper, room, width, best = 30, 0.04, 2, 0.38, 2
		d.item.Made.Given = nil
		d.state("size", "", size)
		d.state("taper", "", taper)
		d.state("from the end", "mm", room)
	}
	d.item.Made.Value = float64(gauges[best].gauge)
	d.stem("A round canal is shaped to size %s, taper %s. Which of these needles is the thickest that does NOT bind at %.0f mm from its end?", sizeWord(size), taperWord(taper), room)
	var options []Option
	for n, g := range gauges {
		o := Option{Text: fmt.Sprintf("%d gauge, %.2f mm outside", g.gauge, g.outer)}
		switch {
		case n < best:
			o.Feedback = fmt.Sprintf("The canal is %.2f mm wide there: %d gauge is wedged, and liquid pressed out of a wedged needle goes past the foramen.", width, g.gauge)
		case n == best:
			o.Feedback = fmt.Sprintf("The canal is %.2f mm wide there, so this needle is just free.", width)
		default:
			o.Feedback = fmt.Sprintf("%d gauge is free too, but a thicker one also is, and a finer bore needs more pressure.", g.gauge)
		}
		options = append(options, o)
	}
	d.classes(options[best].Text, "Width of the canal at that level is the apical size plus taper times the distance; the needle must be thinner.", options...)
	d.item.Keep = true
}

func rinseTime(d *draft) {
	volume := d.draw("volume", "ml", 2, 6, 1)
	flow := d.draw("flow", "ml/min", 3, 8, 1)
	d.stem("You rinse with %.0f ml at a flow of %.0f ml/min. How many seconds does it take?", volume, flow)
	minutes := d.call("rinse-time", volume, flow)
	d.item.Formula = nil
	d.ask(figure{60 * minutes, "s", 0,
		"Volume over flow gives minutes; times 60 gives seconds. Who is quicker has pressed harder.",
		[]slip{
			{60 * flow / volume, "The ratio is upside down."},
			{100 * minutes, "A minute has 60 seconds, not 100."},
			{volume * flow, "Volume and flow were multiplied."},
			{6 * minutes * 5, "Half a minute was taken for a minute."},
		}, 0})
}

func rinseDilute(d *draft) {
	stock := d.state("stock", "%", pick(d, 4.0, 5, 6))
	wanted := d.state("wanted", "%", pick(d, 1.0, 2, 3))
	volume := d.state("volume", "ml", pick(d, 30.0, 60, 120))
	d.stem("Of a fresh solution of %.0f %% NaOCl you want to make %.0f ml of %.0f %%. How much of the strong solution do you take before water is added?", stock, volume, wanted)
	d.ask(figure{d.call("dilute", stock, wanted, volume), "ml", 0,
		"Strength times volume stays: wanted strength × wanted volume ÷ strength of the stock.",
		[]slip{
			{volume - volume*wanted/stock, "This is the amount of water to add."},
			{volume / stock, "The wanted strength was left out."},
			{volume * wanted / 10, "This would hold for a stock of 10 %."},
			{volume * wanted / (stock + wanted), "The parts are counted against the stock, not against both strengths."},
		}, volume})
}

func rinseBore(d *draft) {
	a := d.stream.Intn(3)
	wide, fine := gauges[a], gauges[a+1+d.stream.Intn(len(gauges)-a-1)]
	d.state("wide", "mm", wide.bore)
	d.state("fine", "mm", fine.bore)
	d.stem("At the same flow of the same liquid through needles of equal length: how many times the pressure does a %d gauge needle (bore %.3f mm) need against a %d gauge one (bore %.3f mm)?", fine.gauge, fine.bore, wide.gauge, wide.bore)
	ratio := wide.bore / fine.bore
	d.ask(figure{d.call("bore-ratio", wide.bore, fine.bore), "", 1,
		"In laminar flow pressure goes with one over the fourth power of the bore. A fine needle therefore means a small flow, not a strong thumb.",
		[]slip{
			{ratio, "The bore does not count in proportion."},
			{ratio * ratio, "The square belongs to the speed of the liquid."},
			{ratio * ratio * ratio, "The third power belongs to the shear at the wall."},
			{1 / ratio, "A finer bore needs more, not less."},
		}, 0})
}

func rinseVolume(d *draft) {
	size := d.size(25, 40)
	taper := d.taper(0.04, 0.06)
	length := d.draw("length", "mm", 12, 16, 1)
	d.stem("What is the volume of a round canal %.0f mm long, shaped to size %s, taper %s? (1 mm³ is 1 µl.)", length, sizeWord(size), taperWord(taper))
	tip, top := size/100, size/100+taper*length
	d.ask(figure{d.call("canal-volume", size, taper, length), "µl", 1,
		"A cone cut off at its tip: π/12 × length × (d² + d·D + D²). A few microlitres: a rinse of 2 ml fills the canal hundreds of times, so that reach limits, not volume.",
		[]slip{
			{3.14159265 / 4 * tip * tip * length, "This is a cylinder as narrow as the apex."},
			{3.14159265 / 4 * top * top * length, "This is a cylinder as wide as the orifice."},
			{3.14159265 / 3 * length * (tip*tip + tip*top + top*top), "Diameters were taken for radii."},
			{3.14159265 / 12 * length * top * top, "This cone ends in a point: the apical size was left out."},
		}, 0})
}

func rinseStop(d *draft) {
	index, words := d.canal()
	length := d.state("length", "mm", round(workingLength(d.ground.Tooth, index)*2, 0)/2)
	short := d.draw("short", "mm", 1, 3, 0.5)
	d.stem("The working length of %s is %.1f mm. The side-vented needle is to reach no deeper than %.1f mm short of it. Where do you bend or mark the needle?", words, length, short)
	d.ask(figure{d.call("difference", length, short), "mm", 1,
		"Working length less the distance to be kept; the needle is marked before it goes in, and moves all the time.",
		[]slip{
			{length, "At working length nothing keeps the needle from wedging or the liquid from going beyond."},
			{length + short, "The distance is taken away."},
			{short, "That is the distance itself."},
			{length - short - 4, "So far from the end little of the irrigant is renewed there."},
		}, 0})
}

// coneSizes are the sizes a cone of the catalogue may have within limits.
func coneSizes(low, high int) []float64 {
	var sizes []float64
	for _, i := range treatment.Catalogue() {
		if i.Family == "cone" && i.Taper == 2 && i.Size >= low && i.Size <= high {
			sizes = append(sizes, float64(i.Size))
		}
	}
	return sizes
}
