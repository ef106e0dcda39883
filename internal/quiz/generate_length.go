package quiz

// lengthGenerators make items on films and working length.
func lengthGenerators() []Generator {
	return []Generator{
		{"measure-magnified", "measure", "apply", "moderate", "geometry of projection", []string{"film"}, measureMagnified},
		{"measure-ratio", "measure", "apply", "moderate", "geometry of projection", []string{"film"}, measureRatio},
		{"measure-foreshortened", "measure", "analyse", "hard", "geometry of projection", []string{"film"}, measureForeshortened},
		{"measure-locator", "measure", "apply", "easy", "common practice", []string{"reading"}, measureLocator},
		{"measure-cusp", "measure", "understand", "easy", "common practice", []string{"length-set"}, measureCusp},
		{"measure-straightening", "measure", "analyse", "hard", "geometry", []string{"length-set", "curvature"}, measureStraightening},
		{"measure-tooth", "measure", "apply", "moderate", "engine: the tooth as grown; common practice", []string{"length-set"}, measureTooth},
	}
}

// toothLength returns the length of the tooth to the nearest half millimetre.
func (d *draft) toothLength() float64 { return round(d.ground.Tooth.Length*2, 0) / 2 }

func measureMagnified(d *draft) {
	source := d.draw("source", "mm", 200, 400, 50)
	object := d.draw("object", "mm", 10, 25, 5)
	m := source / (source - object)
	image := d.state("image", "mm", round(d.toothLength()*m, 1))
	d.stem("Focus and detector are %.0f mm apart, the tooth lies %.0f mm in front of the detector and parallel to it. Its image is %.1f mm long. How long is the tooth?", source, object, image)
	d.ask(figure{d.call("true-length", image, m), "mm", 1,
		"Magnification is the distance focus–detector over the distance focus–tooth; the image is divided by it.",
		[]slip{
			{image, "This is the tape measure on the film: not corrected for magnification."},
			{image * m, "The image is larger than the tooth: divide, do not multiply."},
			{image - object/10, "A fixed amount was taken away; magnification is a ratio."},
			{image * (1 - object/source) * (1 - object/source), "The correction was made twice."},
		}, 0})
}

func measureRatio(d *draft) {
	file := d.draw("file", "mm", 17, 21, 0.5)
	m := pick(d, 1.05, 1.08, 1.1, 0.95)
	onFilm := d.state("file on film", "mm", round(file*m, 1))
	toothOnFilm := d.state("tooth on film", "mm", round((file+d.stream.Range(1, 3))*m, 1))
	d.stem("A file is in the canal with its stop at %.1f mm. On the film it measures %.1f mm and the tooth %.1f mm. How long is the tooth?", file, onFilm, toothOnFilm)
	d.ask(figure{d.call("file-ratio", file, toothOnFilm, onFilm), "mm", 1,
		"File and tooth are enlarged alike, so the tooth over the file is the same in the mouth and on the film.",
		[]slip{
			{toothOnFilm, "This is the length on the film, though the file shows that the film does not show lengths true."},
			{file * onFilm / toothOnFilm, "The ratio is upside down."},
			{file + (toothOnFilm - onFilm) + 1, "A millimetre was added to the difference; nothing gives reason to."},
			{toothOnFilm * onFilm / file, "The correction goes the other way."},
		}, 0})
}

func measureForeshortened(d *draft) {
	length := d.state("length", "mm", d.toothLength())
	tilt := d.draw("tilt", "deg", 20, 40, 5)
	d.stem("A tooth of %.1f mm stands at %.0f° to the detector. The beam is square to the detector. How long is its image, magnification left out?", length, tilt)
	ratio := d.call("projection", tilt, 0)
	d.item.Formula = nil
	d.ask(figure{length * ratio, "mm", 1,
		"A beam square to the detector shows the tooth's shadow: length times the cosine of its tilt. The image is too short.",
		[]slip{
			{length / ratio, "That is the elongated image of a beam square to the tooth."},
			{length, "Only the beam square to the line that halves the angle gives the true length."},
			{length * sine(tilt), "The sine was taken: a tooth parallel to the detector would then vanish."},
		}, 0})
}

func measureLocator(d *draft) {
	reading := d.draw("reading", "mm", 18.5, 23.5, 0.5)
	short := d.draw("short", "mm", 0.5, 1, 0.5)
	d.stem("With the file at %.1f mm the apex locator shows the foramen, steadily. The school prepares to %.1f mm short of the foramen. What working length do you write down?", reading, short)
	d.ask(figure{d.call("difference", reading, short), "mm", 1,
		"The foramen mark is the one to trust; the working length is taken back from it.",
		[]slip{
			{reading, "This is the foramen itself: an instrument kept here tears the constriction."},
			{reading + short, "The distance is taken away, not added: this is outside the tooth."},
			{reading - short - 2, "This leaves more than two millimetres of canal unprepared."},
			{reading - 2*short - 1, "The distance was taken away twice over."},
		}, 0})
}

func measureCusp(d *draft) {
	length := d.draw("length", "mm", 19, 23, 0.5)
	cut := d.draw("cut", "mm", 1, 2, 0.5)
	d.stem("A working length of %.1f mm was measured to a cusp tip. Afterwards the cusp is reduced by %.1f mm. What is the working length to the new reference point?", length, cut)
	d.ask(figure{d.call("difference", length, cut), "mm", 1,
		"The apex stays, the reference point comes down: the length loses what was cut off.",
		[]slip{
			{length, "With this length the tip passes the constriction by what was cut off the cusp."},
			{length + cut, "The reference point came nearer to the apex, so the length is less."},
			{length - cut - 1, "Nothing asks for another millimetre."},
		}, 0})
}

func measureStraightening(d *draft) {
	index, words := d.canal()
	radius, angle := d.bend(index)
	tail := d.draw("tail", "mm", 1, 4, 0.5)
	d.stem("The bend of %s has a radius of %.1f mm over %.0f°, with %.1f mm of straight canal behind it. At most how much can the working length shrink if the bend were straightened out completely?", words, radius, angle, tail)
	arc := radius * angle * degree
	d.ask(figure{d.call("straightening", radius, angle, tail), "mm", 2,
		"Arc and straight end less the chord over both: the shortest way between the same two ends.",
		[]slip{
			{arc + tail, "This is the whole way along the bend; only its excess over the straight way can be lost."},
			{arc - 2*radius*sine(angle/2), "This is the loss of the arc by itself, without the straight end."},
			{radius * (1 - cosine(angle)), "This is how far the arc strays sideways, not what it is longer by."},
			{arc / 10, "A tenth of the arc is no measure of it."},
		}, 0})
}

func measureTooth(d *draft) {
	index, words := d.canal()
	tooth := d.ground.Tooth
	length := d.state("foramen", "mm", round(workingLength(tooth, index)+tooth.Canals[index].Constriction.Level, 1))
	level := d.state("level", "mm", round(tooth.Canals[index].Constriction.Level, 1))
	d.stem("From the reference point to the foramen %s measures %.1f mm; its constriction lies %.1f mm before the foramen. Where do you end the preparation?", words, length, level)
	d.ask(figure{d.call("difference", length, level), "mm", 1,
		"The preparation ends at the constriction: length to the foramen less the distance between the two.",
		[]slip{
			{length, "This is the foramen: preparing to it opens the canal to the tissue behind it."},
			{length + level, "Constriction lies before the foramen, seen from the crown."},
			{length - level - 2, "Two millimetres of canal would stay uncleaned."},
			{length - level - 3.5, "This stops in the middle of the apical third."},
		}, 0})
}
