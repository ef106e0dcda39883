package quiz

import "tugback/internal/anatomy"

// curveGenerators make items on bends and on what instruments do to the wall.
func curveGenerators() []Generator {
	return []Generator{
		{"shape-schneider", "shape", "understand", "hard", "Schneider 1971, Oral Surgery 32:271; geometry", []string{"curvature"}, shapeSchneider},
		{"shape-arc", "shape", "apply", "moderate", "Pruett 1997, Journal of Endodontics 23:77; geometry", []string{"curvature"}, shapeArc},
		{"shape-strain", "shape", "apply", "hard", "beam theory", []string{"fatigue-risk"}, shapeStrain},
		{"shape-strain-compare", "shape", "analyse", "hard", "beam theory; Pruett 1997, Journal of Endodontics 23:77", []string{"fatigue-risk"}, shapeStrainCompare},
		{"shape-transport", "shape", "apply", "hard", "Gambill 1996, Journal of Endodontics (definition from memory)", []string{"ledge"}, shapeTransport},
		{"shape-centring", "shape", "apply", "hard", "Gambill 1996, Journal of Endodontics (definition from memory)", []string{"ledge"}, shapeCentring},
		{"shape-dentine", "shape", "apply", "moderate", "Lim and Stock 1987, International Endodontic Journal; geometry", []string{"strip-risk"}, shapeDentine},
		{"shape-fit", "shape", "analyse", "hard", "engine: widths of the tooth as grown; ISO 3630-1", []string{"gauged", "taper"}, shapeFit},
	}
}

func shapeSchneider(d *draft) {
	index, words := d.canal()
	radius, angle := d.bend(index)
	d.stem("The main bend of %s follows a circle of %.1f mm radius and turns by %.0f° (Pruett). Suppose it ran right up to the foramen. What would Schneider's angle be?", words, radius, angle)
	d.ask(figure{d.call("schneider", radius, angle, 0), "deg", 0,
		"Schneider's second line is the chord from the beginning of the bend to the foramen, and a chord makes half the angle of its arc with the tangent. With straight canal behind the bend the angle lies between half and the whole.",
		[]slip{
			{angle, "This is Pruett's angle: the whole turn. Schneider's chord sees half of it."},
			{angle / 3, "Chord and tangent enclose half the angle of the arc, not a third."},
			{radius * angle * degree, "This is the length of the arc in millimetres."},
			{90 - angle/2, "This is the angle to the horizontal."},
		}, 90})
}

func shapeArc(d *draft) {
	index, words := d.canal()
	radius, angle := d.bend(index)
	d.stem("The bend of %s has a radius of %.1f mm and an angle of %.0f°. How long is the bent part of the canal?", words, radius, angle)
	d.ask(figure{d.call("arc-length", radius, angle), "mm", 1,
		"Radius times angle, the angle in radians (degrees × π/180).",
		[]slip{
			{radius * angle / 100, "Degrees were not turned into radians."},
			{2 * radius * sine(angle/2), "This is the chord, the straight way between its ends."},
			{radius * angle / 90, "A right angle is π/2, not 1."},
			{2 * radius * angle * degree, "The diameter was taken for the radius."},
			{radius, "Only an angle of 57° gives an arc as long as its radius."},
		}, 0})
}

func shapeStrain(d *draft) {
	index, words := d.canal()
	radius, _ := d.bend(index)
	diameter := d.draw("diameter", "mm", 0.3, 0.7, 0.05)
	d.stem("A file that turns in the bend of %s (radius %.1f mm) is %.2f mm thick there. How far are its outermost fibres stretched at each turn?", words, radius, diameter)
	d.ask(figure{d.call("strain", diameter, radius), "%", 1,
		"Strain is the diameter over twice the radius of the bend. At every turn each fibre goes from stretched to squeezed and back.",
		[]slip{
			{100 * diameter / radius, "The fibre lies half a diameter from the middle of the file, not a whole one."},
			{100 * diameter / (4 * radius), "A quarter of the diameter counts for nothing here."},
			{100 * diameter * radius / 10, "A tighter bend strains more, so the radius divides."},
			{100 * diameter / 2, "The radius was left out."},
		}, 0})
}

func shapeStrainCompare(d *draft) {
	first := d.draw("first", "mm", 5, 10, 1)
	second := d.draw("second", "mm", 2, 4, 1)
	d.stem("The same file turns in two canals with equal angles of bend, one of radius %.0f mm and one of %.0f mm. How many times greater is the strain of its fibres in the tighter one?", first, second)
	d.ask(figure{first / second, "", 2,
		"Strain goes with one over the radius. The cycles to fracture fall much faster than the strain grows, which is why the radius matters as much as the angle.",
		[]slip{
			{1, "Equal angles do not make equal strain: the angle says nothing of how abruptly the canal bends."},
			{(first / second) * (first / second), "The square is nearer to what happens to the life of the file than to its strain."},
			{second / first, "The tighter bend strains more, not less."},
			{first - second, "The difference of the radii is a length."},
		}, 0})
}

// cuts draws dentine thickness before and after on the two sides of a canal and notes them.
func (d *draft) cuts() (inner0, inner1, outer0, outer1, inner, outer float64) {
	inner0 = d.draw("inner before", "mm", 1.0, 1.4, 0.05)
	outer0 = d.draw("outer before", "mm", 1.0, 1.4, 0.05)
	inner = 0.05 * float64(1+d.stream.Intn(4))
	outer = inner + 0.05*float64(2+d.stream.Intn(5))
	if d.stream.Intn(2) == 0 {
		inner, outer = outer, inner
	}
	inner1 = d.state("inner after", "mm", round(inner0-inner, 2))
	outer1 = d.state("outer after", "mm", round(outer0-outer, 2))
	return inner0, inner1, outer0, outer1, inner, outer
}

func shapeTransport(d *draft) {
	a, b, e, f, inner, outer := d.cuts()
	d.stem("At one level the inner wall of a curved root measured %.2f mm before and %.2f mm after shaping, the outer wall %.2f mm before and %.2f mm after. How great is the transportation as Gambill counts it?", a, b, e, f)
	d.ask(figure{d.call("transportation", a, b, e, f), "mm", 2,
		"What was cut on one side less what was cut on the other. The centre of the canal has moved by half of it.",
		[]slip{
			{inner + outer, "The two cuts were added: that is the growth of the canal's width."},
			{max(inner, outer) - min(inner, outer)/2 + 0.03, "Only the whole difference of the two cuts counts."},
			{(max(inner, outer) - min(inner, outer)) / 2, "This is the shift of the centre, half the transportation."},
			{max(inner, outer), "This is the cut on the side that lost more."},
			{min(inner, outer), "This is the cut on the side that lost less."},
		}, 0})
}

func shapeCentring(d *draft) {
	a, b, e, f, inner, outer := d.cuts()
	d.stem("Shaping took the inner wall of a curved root from %.2f mm to %.2f mm and the outer wall from %.2f mm to %.2f mm at the same level. What is the centring ratio?", a, b, e, f)
	d.ask(figure{d.call("centring", a, b, e, f), "", 2,
		"The smaller of the two cuts over the larger: 1 is perfectly centred, 0 means one side was not touched.",
		[]slip{
			{max(inner, outer) / min(inner, outer), "The smaller cut goes on top; the ratio does not exceed 1."},
			{max(inner, outer) - min(inner, outer), "This is the transportation, in millimetres."},
			{min(b, f) / max(b, f), "The walls that are left were compared, not what was cut off them."},
			{min(inner, outer) / (inner + outer), "This is the share of the smaller cut in both."},
		}, 1.5})
}

func shapeDentine(d *draft) {
	wall := 1.1
	index := -1
	for i := range d.ground.Tooth.Canals {
		if m := anatomy.Measure(d.ground.Tooth, i); m.DangerThickness > 0.7 && m.DangerThickness < 1.6 {
			wall, index = round(m.DangerThickness, 2), i
			break
		}
	}
	words := "a canal of a lower molar"
	if index >= 0 {
		words = "the " + d.ground.Tooth.Canals[index].Name + " canal of this " + d.tooth()
	}
	d.state("wall", "mm", wall)
	before := d.draw("width before", "mm", 0.3, 0.45, 0.05)
	after := d.state("width after", "mm", round(before+0.1*float64(2+d.stream.Intn(3)), 2))
	d.stem("In the danger zone %s has %.2f mm of dentine towards the furcation. There the canal is widened from %.2f mm to %.2f mm, evenly on both sides. How thick is the furcal wall afterwards?", words, wall, before, after)
	d.ask(figure{wall - (after-before)/2, "mm", 2,
		"Evenly widened, each side gives half of the growth. Brushing away from the furcation spares this wall; less than 0.3 mm is at risk of a strip.",
		[]slip{
			{wall - (after - before), "The whole growth was taken from one side; only half falls on it."},
			{wall - after, "The whole width was taken away."},
			{wall - after/2, "Half of the new width was taken away; the canal was there before."},
			{wall, "Widening the canal takes dentine from this wall too."},
		}, 0})
}

func shapeFit(d *draft) {
	index, words := d.canal()
	c := d.ground.Tooth.Canals[index]
	level := d.draw("level", "mm", 3, 6, 1)
	j := stationAt(&c, c.Length-level)
	width := d.state("width", "mm", max(0.25, round(min(c.Wall[0][j]+c.Wall[1][j], c.Wall[2][j]+c.Wall[3][j]), 2)))
	taper := d.taper(0.04, 0.06)
	d.stem("At %.0f mm from its end the narrow width of %s is %.2f mm. A file of taper %s is to touch both walls just there when its tip stands at the end. Which diameter has its tip?", level, words, width, taperWord(taper))
	tip := width - taper*level
	if tip < 0.08 {
		width = round(0.2+taper*level, 2)
		tip = width - taper*level
		d.item.Made.Given = d.item.Made.Given[:0]
		d.state("level", "mm", level)
		d.state("width", "mm", width)
		d.state("taper", "", taper)
		d.stem("At %.0f mm from its end a canal is %.2f mm wide. A file of taper %s is to touch both walls just there when its tip stands at the end. Which diameter has its tip?", level, width, taperWord(taper))
	}
	d.ask(figure{tip, "mm", 2,
		"The file is as wide as the canal at that level; on the way to the tip it loses the taper for each millimetre.",
		[]slip{
			{width, "A tip this wide would be stopped at that level: the file grows wider above its tip."},
			{width - 0.02*level, "The standard taper was used."},
			{width - taper, "The taper is for each millimetre; there are more of them."},
			{width + taper*level, "The file becomes narrower towards its tip."},
		}, 0})
}
