package quiz

// afterGenerators make items on everything from drying to mishaps.
func afterGenerators() []Generator {
	return []Generator{
		{"dry-point", "dry", "apply", "moderate", "common practice", []string{"point-bloody", "past-foramen"}, dryPoint},
		{"dress-temporary", "dress", "apply", "easy", "Webber 1978", []string{"temporised"}, dressTemporary},
		{"fit-tolerance", "fit", "apply", "hard", "ISO 6877 (tolerance from memory); geometry", []string{"cone-off"}, fitTolerance},
		{"fit-trim", "fit", "apply", "moderate", "geometry", []string{"cone-off"}, fitTrim},
		{"fill-share", "fill", "analyse", "hard", "geometry", []string{"filled"}, fillShare},
		{"fill-length", "fill", "apply", "easy", "Liang 2012", []string{"overfilled"}, fillLength},
		{"fill-spreader", "fill", "apply", "moderate", "Allison 1981, Journal of Endodontics; common practice", []string{"filled"}, fillSpreader},
		{"seal-post", "seal", "apply", "moderate", "studies of post space and leakage", []string{"sealed"}, sealPost},
		{"seal-cut", "seal", "apply", "moderate", "studies of orifice barriers; common practice", []string{"sealed"}, sealCut},
		{"restore-tube", "restore", "analyse", "hard", "beam theory", []string{"restored"}, restoreTube},
		{"review-survival", "review", "apply", "easy", "Ng 2011, International Endodontic Journal", []string{"review-set"}, reviewSurvival},
		{"mishap-fragment", "mishap", "apply", "easy", "arithmetic; common practice", []string{"file-broken"}, mishapFragment},
		{"mishap-fragment-width", "mishap", "analyse", "hard", "ISO 3630-1", []string{"file-broken", "taper"}, mishapFragmentWidth},
	}
}

func dryPoint(d *draft) {
	held := d.draw("held", "mm", 20, 23, 0.5)
	wet := d.draw("bloody", "mm", 0.5, 2, 0.5)
	d.stem("In a dried canal a paper point is held to %.1f mm. Every point comes back dry but for a red tip of %.1f mm. Where does the canal seem to end?", held, wet)
	d.ask(figure{d.call("difference", held, wet), "mm", 1,
		"What stood in tissue comes back red: the canal ends where the red begins. Check the working length before anything is fitted.",
		[]slip{
			{held, "Then the tip would be dry like the rest."},
			{held + wet, "The point was beyond the end, not short of it."},
			{held - 2*wet - 1, "More was taken off than was red."},
			{wet, "This is the part that was outside."},
		}, 0})
}

func dressTemporary(d *draft) {
	pellet := d.draw("pellet", "mm", 1, 2.5, 0.5)
	d.stem("Over the orifices lies a pellet %.1f mm thick. How deep must the access cavity be for a premixed temporary paste of sufficient thickness?", pellet)
	d.ask(figure{d.call("sum", 3.5, pellet), "mm", 1,
		"Premixed paste needs 3.5 mm (a leakage convention); the pellet takes its room besides.",
		[]slip{
			{3.5, "The pellet takes up some of this depth."},
			{3.5 - pellet, "Pellet and paste lie on each other: their heights add up."},
			{2 + pellet, "Two millimetres of paste are too thin."},
			{pellet, "This leaves no room for the paste at all."},
		}, 0})
}

func fitTolerance(d *draft) {
	excess := d.draw("too thick", "mm", 0.02, 0.07, 0.01)
	taper := d.taper(0.02, 0.04, 0.06)
	d.stem("A canal is shaped to the size of the cone on the label, with taper %s. The cone, of the same taper, is %.2f mm too thick, which its tolerance allows. How far short of the end does it stop?", taperWord(taper), excess)
	d.ask(figure{d.call("cone-short", excess, taper), "mm", 1,
		"Too thick by so much, it stops where the canal is wider by as much: excess over taper. Try another cone of the same size, or gauge and trim.",
		[]slip{
			{excess * taper * 1000, "Multiplied instead of divided."},
			{excess * 10, "The taper was taken for a tenth whatever it is."},
			{excess / 0.02, "The standard taper was used."},
			{excess / (2 * taper), "Half of it: but diameters are compared with diameters."},
			{2 * excess / taper, "Twice of it: but diameters are compared with diameters."},
			{0.5, "A rule of thumb does not know the taper."},
		}, 0})
}

func fitTrim(d *draft) {
	sizes := coneSizes(20, 35)
	size := d.state("size", "", pick(d, sizes...))
	wanted := d.state("wanted", "", size+pick(d, 2.0, 3, 4, 5))
	taper := d.taper(0.02, 0.04)
	d.stem("A cone of size %s and taper %s slips past the end. The foramen was gauged at %.2f mm. How much do you cut off its tip?", sizeWord(size), taperWord(taper), wanted/100)
	d.ask(figure{d.call("trim", size, wanted, taper), "mm", 2,
		"What the tip lacks, over the taper.",
		[]slip{
			{(wanted - size) / 100 / (0.06 - taper), "The other taper was used."},
			{(wanted - size) / 10, "Hundredths of a millimetre are not tenths."},
			{(wanted - size) * taper * 10, "Multiplied instead of divided."},
			{wanted / 100 / taper / 10, "The whole diameter was taken, not what is lacking."},
		}, 0})
}

func fillShare(d *draft) {
	size := d.size(25, 40)
	canal := d.taper(0.04, 0.06)
	at := d.draw("at", "mm", 3, 10, 1)
	d.stem("A cone of size %s and taper .02 reaches the end of a round canal of the same apical size and taper %s. What share of the section does it fill at %.0f mm from the end?", sizeWord(size), taperWord(canal), at)
	share := d.call("area-share", size, 0.02, canal, at)
	ratio := (size/100 + 0.02*at) / (size/100 + canal*at)
	d.ask(figure{share, "%", 0,
		"Diameters of cone and canal at that level, squared, because areas are compared. The rest is for accessory cones and sealer.",
		[]slip{
			{100 * ratio, "Diameters were compared, not areas."},
			{100 - share, "This is the share that is left open."},
			{100, "Only at the very end do the two have one diameter."},
			{100 * 0.02 / canal, "The tapers alone were compared."},
			{100 * 0.0004 / (canal * canal), "The squares of the tapers alone were compared; the tip counts too."},
		}, 100})
}

func fillLength(d *draft) {
	short := d.draw("short", "mm", -10, 40, 5) / 10
	d.item.Made.Given[0].Value, d.item.Made.Given[0].Unit = short, "mm"
	if short == 0 || short == 2 { // the limits themselves are no question
		short += 0.5
		d.item.Made.Given[0].Value = short
	}
	where := "short of"
	size := short
	if short < 0 {
		where, size = "beyond", -short
	}
	right := "adequate"
	switch {
	case short < 0:
		right = "long"
	case short > 2:
		right = "short"
	}
	d.stem("On the final film a void-free root filling ends %.1f mm %s the radiographic apex. How is its length judged by the usual band?", size, where)
	d.classes(right, "Satisfactory is 0 to 2 mm short of the radiographic apex, without voids.",
		Option{Text: "short", Feedback: "Short begins when more than 2 mm are left."},
		Option{Text: "adequate", Feedback: "Adequate reaches from the radiographic apex to 2 mm short of it."},
		Option{Text: "long", Feedback: "Long is what lies beyond the radiographic apex."})
}

func fillSpreader(d *draft) {
	length := d.draw("length", "mm", 19, 22, 0.5)
	depth := d.state("depth", "mm", length-pick(d, 3.0, 3.5, 4, 4.5, 5))
	d.stem("Working length is %.1f mm. Beside the master cone the spreader goes to %.1f mm. How much deeper should it reach to come within 1 mm of working length?", length, depth)
	d.ask(figure{length - 1 - depth, "mm", 1,
		"Spreaders within 1 mm of working length leaked less (a leakage convention). What holds the spreader back is mostly too little taper.",
		[]slip{
			{length - depth, "That would be all the way to working length, where the spreader can wedge the root apart."},
			{length - depth - 2, "This ends 2 mm short of working length."},
			{length - depth + 1, "This is beyond working length."},
		}, 0})
}

func sealPost(d *draft) {
	canal := d.draw("canal", "mm", 12, 17, 0.5)
	left := d.draw("left", "mm", 4, 5, 1)
	d.stem("The root filling of a canal measures %.1f mm from orifice to its apical end. Of it %.0f mm of gutta-percha must stay. How deep below the orifice may a post go?", canal, left)
	d.ask(figure{d.call("difference", canal, left), "mm", 1,
		"Length of the filling less the apical part that seals. With an error of ±1 mm in mind, 5 mm are safer than 4.",
		[]slip{
			{canal, "This would remove the whole filling."},
			{left, "This is the part that must stay."},
			{2 * canal / 3, "Two thirds of the root is a rule for the post's hold; the apical seal goes before it."},
			{canal - left + 2, "Too little gutta-percha would be left to seal."},
		}, 0})
}

func sealCut(d *draft) {
	orifice := d.draw("orifice", "mm", 7, 10, 0.5)
	barrier := d.draw("barrier", "mm", 2, 3, 0.5)
	d.stem("The orifice lies %.1f mm below the reference point. A barrier %.1f mm thick is to end flush with it. To which depth from the reference point is the gutta-percha taken down?", orifice, barrier)
	d.ask(figure{d.call("sum", orifice, barrier), "mm", 1,
		"Depth of the orifice plus the thickness of the barrier that sits below it.",
		[]slip{
			{orifice, "Then the barrier would stand in the chamber."},
			{orifice - barrier, "This leaves gutta-percha in the crown."},
			{barrier, "This is the thickness of the barrier."},
			{orifice + 2*barrier, "Twice the barrier's thickness takes away root filling for nothing."},
		}, 0})
}

func restoreTube(d *draft) {
	outer := d.draw("outer", "mm", 2, 4, 0.5)
	before := d.draw("before", "mm", 0.4, 0.6, 0.1)
	after := d.draw("after", "mm", 0.9, 1.4, 0.1)
	d.stem("Taken as a round tube of %.1f mm outside, how much of its bending stiffness does a root lose when its canal is widened from %.1f mm to %.1f mm?", outer, before, after)
	d.ask(figure{d.call("tube-loss", outer, before, after), "%", 1,
		"Stiffness of a tube goes with D⁴ − d⁴: the outside dominates. It is the thin places that matter, not the average.",
		[]slip{
			{100 * (after - before) / outer, "The widths were compared in proportion."},
			{100 * (after*after - before*before) / (outer*outer - before*before), "Areas were compared: that is the dentine lost, not the stiffness."},
			{100 * (after/outer - before/outer) * 2, "Both sides were counted in proportion."},
			{100 * (1 - before/after), "The canal was compared with itself; the outside was left out."},
		}, 100})
}

func reviewSurvival(d *draft) {
	teeth := d.draw("teeth", "", 200, 1000, 100)
	d.stem("In a large cohort 95.4 %% of the teeth were still there four years after their first root canal treatment. Of %.0f such teeth, how many would be lost in that time?", teeth)
	d.ask(figure{teeth * 0.046, "", 0,
		"4.6 % of them. A figure of a population: it predicts nothing for one tooth.",
		[]slip{
			{teeth * 0.954, "This is the number of teeth that are still there."},
			{teeth * 0.046 * 4, "The share covers the four years together; it is not a yearly one."},
			{teeth * 0.046 / 4, "The share covers the four years together and is not divided by them."},
			{teeth * 0.17, "The share that did not heal is another figure; a tooth that has not healed may still be there."},
		}, 0})
}

func mishapFragment(d *draft) {
	whole := d.state("whole", "mm", pick(d, 21.0, 25, 31))
	rest := d.state("rest", "mm", whole-d.stream.Range(1.5, 5))
	rest = round(rest*2, 0) / 2
	d.item.Made.Given[1].Value = rest
	d.stem("A file of %.0f mm comes out of the canal shorter: from handle to end it measures %.1f mm. How long is the fragment in the canal?", whole, rest)
	d.ask(figure{d.call("difference", whole, rest), "mm", 1,
		"Length before less length after. Then stop, take a film, tell supervisor and patient, and record it.",
		[]slip{
			{rest, "This is the part in your hand."},
			{25 - rest + map[bool]float64{true: 4, false: 0}[whole == 25], "The lengths files are sold in were mixed up."},
			{(whole - rest) / 2, "Nothing is halved."},
			{whole - rest + 1.5, "The tip belongs to the length of the file already."},
		}, 0})
}

func mishapFragmentWidth(d *draft) {
	size := d.size(20, 30)
	taper := d.taper(0.04, 0.06)
	length := d.draw("length", "mm", 2, 5, 1)
	d.stem("A file of size %s and taper %s breaks and leaves %.0f mm in the canal. How wide is the fragment at its upper end?", sizeWord(size), taperWord(taper), length)
	d.ask(figure{d.call("diameter", size, taper, length), "mm", 2,
		"Tip size plus taper times its length: what a fine file must find its way past.",
		[]slip{
			{size / 100, "This is its tip; the upper end is wider."},
			{size/100 + 0.02*length, "The standard taper was used."},
			{size/100 + (0.1-taper)*length, "The other taper was used."},
			{taper * length, "The tip's diameter was left out."},
		}, 0})
}
