package quiz

import (
	"fmt"
	"slices"

	"tugback/internal/treatment"
)

// fileGenerators make items on sizes, tapers and motions.
func fileGenerators() []Generator {
	iso := "ISO 3630-1"
	return []Generator{
		{"shape-diameter", "shape", "apply", "moderate", iso, []string{"taper"}, shapeDiameter},
		{"shape-d16", "shape", "apply", "easy", iso, []string{"taper"}, shapeD16},
		{"shape-colour", "shape", "recall", "easy", iso, []string{"sizes"}, shapeColour},
		{"shape-next", "shape", "apply", "easy", iso + "; common practice", []string{"sizes", "gauged"}, shapeNext},
		{"shape-step", "shape", "understand", "moderate", iso, []string{"sizes"}, shapeStep},
		{"shape-trimmed", "shape", "apply", "moderate", iso, []string{"taper"}, shapeTrimmed},
		{"shape-step-back", "shape", "apply", "moderate", "geometry", []string{"taper", "step-back"}, shapeStepBack},
		{"shape-cycles", "shape", "apply", "moderate", "arithmetic", []string{"reciprocation"}, shapeCycles},
		{"shape-stiffness", "shape", "analyse", "hard", "engine: stiffness of the catalogue's files; beam theory", []string{"ledge", "stiffness"}, shapeStiffness},
		{"shape-torque", "shape", "apply", "easy", "arithmetic", []string{"torque-risk"}, shapeTorque},
		{"shape-bottleneck", "shape", "apply", "hard", iso + "; geometry", []string{"halted", "taper"}, shapeBottleneck},
	}
}

func shapeDiameter(d *draft) {
	size := d.size(15, 40)
	taper := d.taper(0.02, 0.04, 0.06)
	at := d.draw("at", "mm", 3, 13, 1)
	d.stem("What is the diameter of a file of size %s and taper %s at %.0f mm behind its tip?", sizeWord(size), taperWord(taper), at)
	other := map[float64]float64{0.02: 0.04, 0.04: 0.02, 0.06: 0.02}[taper]
	d.ask(figure{d.call("diameter", size, taper, at), "mm", 2,
		"Tip diameter plus taper times the distance from the tip.",
		[]slip{
			{size/100 + other*at, "Here the taper " + taperWord(other) + " was used."},
			{size/100 + taper*(16-at), "The distance was counted from the handle end of the working part."},
			{size/100 + taper, "The taper is the growth for each millimetre, not for the whole file."},
			{taper * at, "The tip's own diameter was left out."},
		}, 0})
}

func shapeD16(d *draft) {
	size := d.size(10, 60)
	taper := d.taper(0.02, 0.04, 0.06)
	d.stem("The working part of a file of size %s and taper %s is 16 mm long. What is its diameter at the end towards the handle (D16)?", sizeWord(size), taperWord(taper))
	wrong := 0.02
	if taper == 0.02 {
		wrong = 0.04
	}
	d.ask(figure{d.call("diameter", size, taper, 16), "mm", 2,
		"D16 is D0 plus 16 times the taper; for the standard taper that is D0 plus 0.32 mm.",
		[]slip{
			{size/100 + wrong*16, "D16 with the taper " + taperWord(wrong) + "."},
			{size/100 + taper*15, "Only 15 mm of taper were added."},
			{size / 100, "This is D0."},
			{taper * 16, "This is the growth alone, without D0."},
		}, 0})
}

func shapeColour(d *draft) {
	size := d.size(6, 140)
	right := treatment.Colour(int(size))
	d.stem("Which colour has the handle of a file of size %s?", sizeWord(size))
	cycle := []string{"white", "yellow", "red", "blue", "green", "black"}
	if size < 15 {
		cycle = []string{"pink", "grey", "purple", "white"}
	}
	i := slices.Index(cycle, right)
	options := []Option{{Text: right, Feedback: "Pink, grey and purple for 06, 08 and 10; then white, yellow, red, blue, green, black over and over."}}
	for n := 1; n <= 3; n++ {
		c := cycle[(i+n)%len(cycle)]
		options = append(options, Option{Text: c, Feedback: fmt.Sprintf("Count again from white at size 15: %s is %d further on.", c, n)})
		if size < 15 {
			options[n].Feedback = "The fine sizes have colours of their own: " + c + " belongs to another."
		}
	}
	d.classes(right, "The colours run through the sizes in a fixed order, so the size is printed as well and is what counts.", options...)
}

func shapeNext(d *draft) {
	sizes := treatment.Sizes()
	from := d.stream.Intn(5) + 3
	first := d.state("first", "", float64(sizes[from]))
	steps := d.draw("steps", "", 2, 3, 1)
	d.stem("The first file that binds at working length is a size %s. Your school finishes %.0f sizes above it. Which size is the last apical file?", sizeWord(first), steps)
	at := func(n int) string { return "size " + sizeWord(float64(sizes[max(0, min(len(sizes)-1, n))])) }
	right := from + int(steps)
	d.item.Made.Value = float64(sizes[right])
	d.classes(at(right), "Sizes between 10 and 60 rise by 5; count sizes, not millimetres.",
		Option{Text: at(right - 1), Feedback: "This is one size too few: the file that binds first is not counted."},
		Option{Text: at(right), Feedback: "Counted upwards from the size after the first binder."},
		Option{Text: at(right + 1), Feedback: "This is one size too many; every size more makes the file stiffer."},
		Option{Text: at(right + 3), Feedback: "Steps are sizes of the series, not ten hundredths each."})
}

func shapeStep(d *draft) {
	sizes := treatment.Sizes()
	i := 2 + d.stream.Intn(len(sizes)-3)
	from, to := d.state("from", "", float64(sizes[i])), d.state("to", "", float64(sizes[i+1]))
	d.stem("By what share does the tip grow from size %s to size %s?", sizeWord(from), sizeWord(to))
	d.ask(figure{d.call("relative-step", from, to), "%", 0,
		"The step divided by the smaller size. The steps are even in hundredths of a millimetre, so the small sizes make the greatest leaps.",
		[]slip{
			{to - from, "This is the step in hundredths of a millimetre."},
			{100 * (to - from) / to, "The step was divided by the greater size."},
			{100 * from / to, "This is the share the smaller has of the greater."},
		}, 0})
}

func shapeTrimmed(d *draft) {
	size := d.size(10, 40)
	cut := d.draw("cut", "mm", 1, 3, 1)
	taper := d.taper(0.02, 0.04)
	d.stem("You cut %.0f mm off the tip of an instrument of size %s and taper %s. How wide is its new tip?", cut, sizeWord(size), taperWord(taper))
	d.ask(figure{d.call("trimmed", size, taper, cut), "mm", 2,
		"Every millimetre cut off raises the tip by the taper.",
		[]slip{
			{size / 100, "The tip was conical: further up the instrument is wider."},
			{size/100 + 0.05*cut, "The growth from size to size was taken for the taper."},
			{size/100 + (0.06-taper)*cut, "This is the other taper."},
			{size/100 - taper*cut, "Cutting cannot make the tip narrower."},
		}, 0})
}

func shapeStepBack(d *draft) {
	step := pick(d, 0.5, 1.0, 2.0)
	growth := pick(d, 0.05, 0.1)
	d.state("step", "mm", step)
	d.state("growth", "mm", growth)
	d.stem("Above the apical size you step back by %.1f mm with each file, and each file is %.2f mm wider than the last. Which taper, in mm per mm, does the stepped part get?", step, growth)
	d.ask(figure{d.call("step-back-taper", step, growth), "", 3,
		"Growth of the diameter over the length it takes.",
		[]slip{
			{growth * step, "Growth and step were multiplied; taper is growth for each millimetre."},
			{0.02, "That is the taper of the files, not of the steps they leave."},
			{growth, "This holds for steps of 1 mm only."},
			{step / growth / 100, "The ratio is upside down."},
		}, 0})
}

func shapeCycles(d *draft) {
	forward := d.state("cutting", "deg", pick(d, 120.0, 150, 170, 180, 210, 270))
	back := d.state("releasing", "deg", pick(d, 30.0, 50, 60, 90))
	d.stem("A file reciprocates %.0f° in the cutting direction and %.0f° back. By how much has it turned on after one cycle?", forward, back)
	d.ask(figure{d.call("net-turn", forward, back), "deg", 0,
		"Cutting turn less the turn back; what is left over adds up to full turns.",
		[]slip{
			{forward + back, "This is the whole way the file went; the turn back takes it away again."},
			{forward, "The turn back was forgotten."},
			{(forward - back) / 2, "Nothing is halved here."},
			{360 - forward, "This is what the cutting turn lacks of a full turn."},
		}, 0})
}

func shapeStiffness(d *draft) {
	sizes := []int{15, 20, 25, 30, 35, 40}
	i := d.stream.Intn(len(sizes) - 1)
	from := d.state("from", "", float64(sizes[i]))
	to := d.state("to", "", float64(sizes[min(len(sizes)-1, i+1+d.stream.Intn(2))]))
	at := d.draw("at", "mm", 3, 5, 1)
	a, b := from/100+0.02*at, to/100+0.02*at
	d.stem("Two steel K-files of the same section have taper .02: sizes %s and %s. How many times stiffer in bending is the larger at %.0f mm behind the tip?", sizeWord(from), sizeWord(to), at)
	ratio := b / a
	d.ask(figure{d.call("stiffness-ratio", to, from, at), "", 1,
		"Bending stiffness goes with the fourth power of the diameter, and the diameter at that place counts, not the size number.",
		[]slip{
			{ratio, "Stiffness does not grow in proportion to the diameter."},
			{ratio * ratio, "The square belongs to the area, not to the stiffness."},
			{fourth(to / from), "The tip sizes were compared; where the file bends it is wider."},
			{ratio * ratio * ratio, "The third power belongs to the moment at yield."},
		}, 0})
}

func shapeTorque(d *draft) {
	torque := d.draw("torque", "N·cm", 0.5, 3, 0.5)
	d.stem("A motor's limit is set to %.1f N·cm. How much is that in N·mm?", torque)
	d.ask(figure{10 * torque, "N·mm", 1,
		"A centimetre has ten millimetres, so the same moment has ten times the figure.",
		[]slip{
			{torque / 10, "Divided instead of multiplied."},
			{100 * torque, "A hundred belongs to areas, or to metres."},
			{torque, "The figure depends on the unit of length."},
		}, 0})
}

func shapeBottleneck(d *draft) {
	size := d.size(15, 30)
	taper := d.taper(0.04, 0.06)
	level := d.draw("level", "mm", 2, 6, 1)
	width := d.state("width", "mm", round(size/100+taper*level-pick(d, 0.04, 0.06, 0.08, 0.1), 2))
	beyond := (size/100 + taper*level - width) / taper
	d.stem("A canal is %.2f mm wide at %.0f mm from its end and wider everywhere above. A file of size %s and taper %s that does not cut is slid in. How far from the end does its tip stop if only this place holds it?", width, level, sizeWord(size), taperWord(taper))
	if width <= size/100 {
		// the tip itself is wider than the narrow place
		beyond = level
	}
	d.ask(figure{beyond, "mm", 1,
		"The file is held where its own diameter equals the width: its tip is then (width − tip)/taper below the narrow place.",
		[]slip{
			{level, "Only a tip as wide as the narrow place would stop there; the tip is narrower."},
			{(width - size/100) / taper, "This is how far the tip gets beyond the narrow place, not what is left to the end."},
			{(size/100 + 0.02*level - width) / 0.02, "The standard taper was used."},
			{level / 2, "Half the way has no reason."},
		}, 0})
}
