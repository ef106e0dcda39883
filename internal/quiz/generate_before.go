package quiz

import (
	"fmt"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// beforeGenerators make items on judging, isolating, opening and finding.
func beforeGenerators() []Generator {
	form := "case difficulty form 2022"
	deutsch := "Deutsch and Musikant 2004, Journal of Endodontics 30:388; geometry"
	return []Generator{
		{"judge-sum", "judge", "apply", "easy", form, []string{"difficulty"}, judgeSum},
		{"judge-form-curve", "judge", "apply", "easy", form, []string{"difficulty", "curvature"}, judgeFormCurve},
		{"judge-schneider", "judge", "recall", "easy", "Schneider 1971, Oral Surgery 32:271", []string{"curvature"}, judgeSchneider},
		{"judge-positive", "judge", "analyse", "hard", "Mainkar and Kim 2018, Journal of Endodontics; Bayes", []string{"pulp-test"}, judgePositive},
		{"judge-negative", "judge", "analyse", "hard", "Mainkar and Kim 2018, Journal of Endodontics; Bayes", []string{"pulp-test"}, judgeNegative},
		{"isolate-number", "isolate", "recall", "easy", "two-digit notation, ISO 3950", []string{"wrong-tooth"}, isolateNumber},
		{"open-roof", "open", "apply", "moderate", deutsch, []string{"roof-not-reached", "floor-cut"}, openRoof},
		{"open-floor", "open", "apply", "moderate", deutsch, []string{"floor-cut"}, openFloor},
		{"open-left", "open", "apply", "moderate", deutsch, []string{"floor-perforated"}, openLeft},
		{"find-side", "find", "understand", "moderate", "geometry of projection (SLOB rule)", []string{"parallax"}, findSide},
		{"find-shift", "find", "apply", "hard", "geometry of projection", []string{"parallax"}, findShift},
		{"find-mirror", "find", "apply", "moderate", "Krasner and Rankow 2004, Journal of Endodontics 30:5", []string{"canal-not-found"}, findMirror},
	}
}

func judgeSum(d *draft) {
	moderate, high := d.draw("moderate", "", 0, 4, 1), d.draw("high", "", 0, 1, 1)
	right := "low"
	switch {
	case high > 0 || moderate >= 3:
		right = "high"
	case moderate > 0:
		right = "moderate"
	}
	d.stem("A case has %.0f findings of moderate and %.0f of high difficulty on the case difficulty form; all others are low. Which class does the case belong to?", moderate, high)
	d.classes(right, "One or two moderate findings make a case moderate; three moderate or a single high one make it high.",
		Option{Text: "low", Feedback: "Low needs a case without any moderate or high finding."},
		Option{Text: "moderate", Feedback: "Moderate stands for one or two moderate findings and no high one."},
		Option{Text: "high", Feedback: "High stands for at least three moderate findings, or one high one."})
}

// clear draws a whole number of degrees out of spans that keep away from the limits of classes.
func (d *draft) clear(name string, wanted float64, spans ...[2]float64) float64 {
	for _, s := range spans {
		if wanted >= s[0] && wanted <= s[1] {
			return d.state(name, "deg", wanted)
		}
	}
	s := pick(d, spans...)
	return d.draw(name, "deg", s[0], s[1], 1)
}

func judgeFormCurve(d *draft) {
	index, words := d.canal()
	angle := d.clear("angle", round(anatomy.Measure(d.ground.Tooth, index).Schneider/degree, 0), [2]float64{1, 8}, [2]float64{12, 28}, [2]float64{32, 60})
	d.stem("On the film %s curves by %.0f° without a second bend. Which class does the case difficulty form give to this finding?", words, angle)
	d.classes(geom.FormClass(angle*degree, false), "The form counts curvature below 10° as low, 10° to 30° as moderate, and more than 30° or an S shape as high.",
		Option{Text: "low", Feedback: "Low ends at 10°."},
		Option{Text: "moderate", Feedback: "Moderate runs from 10° to 30°."},
		Option{Text: "high", Feedback: "High begins above 30°, or with an S shape."})
}

func judgeSchneider(d *draft) {
	index, words := d.canal()
	angle := d.clear("angle", round(anatomy.Measure(d.ground.Tooth, index).Schneider/degree, 0), [2]float64{1, 5}, [2]float64{10, 20}, [2]float64{25, 65})
	d.stem("Schneider's angle of %s is %.0f°. Which of Schneider's classes is that?", words, angle)
	d.classes(geom.SchneiderClass(angle*degree), "Schneider called up to 5° easy, 10° to 20° moderate and 25° to 70° difficult; between these classes nothing is defined.",
		Option{Text: "easy", Feedback: "Easy ends at 5°."},
		Option{Text: "moderate", Feedback: "Moderate runs from 10° to 20°."},
		Option{Text: "difficult", Feedback: "Difficult begins at 25°."})
}

// pulpTest draws a pulp test with its pooled sensitivity and specificity.
func (d *draft) pulpTest() (name string, sensitivity, specificity float64) {
	n := d.stream.Intn(3)
	name = []string{"cold", "electric", "heat"}[n]
	return name, d.state("sensitivity", "", []float64{0.87, 0.72, 0.78}[n]), d.state("specificity", "", []float64{0.84, 0.93, 0.67}[n])
}

func judgePositive(d *draft) {
	name, sensitivity, specificity := d.pulpTest()
	prevalence := d.draw("prevalence", "", 0.2, 0.7, 0.1)
	d.stem("The %s test finds non-vital pulps with a sensitivity of %.2f and a specificity of %.2f. In your patients %.0f %% of the teeth tested are non-vital. What share of the positive tests is right?",
		name, sensitivity, specificity, 100*prevalence)
	d.ask(figure{d.call("predictive-positive", sensitivity, specificity, prevalence), "%", 0,
		"Right positives are sensitivity × prevalence; false ones (1 − specificity) × (1 − prevalence). Their share changes with how many teeth are non-vital.",
		[]slip{
			{100 * sensitivity, "That is the sensitivity: the share of non-vital teeth that the test finds, not the share of positive tests that are right."},
			{100 * specificity, "That is the specificity: the share of vital teeth that test negative."},
			{100 * prevalence, "That is the share before any test was made."},
			{100 * sensitivity * prevalence, "These are the right positives as a share of all teeth, not of the positive tests."},
		}, 100})
}

func judgeNegative(d *draft) {
	name, sensitivity, specificity := d.pulpTest()
	prevalence := d.draw("prevalence", "", 0.2, 0.7, 0.1)
	d.stem("The %s test has a sensitivity of %.2f and a specificity of %.2f for non-vital pulps; %.0f %% of the teeth tested are non-vital. What share of the negative tests is right?",
		name, sensitivity, specificity, 100*prevalence)
	d.ask(figure{d.call("predictive-negative", sensitivity, specificity, prevalence), "%", 0,
		"Right negatives are specificity × (1 − prevalence); missed teeth (1 − sensitivity) × prevalence.",
		[]slip{
			{100 * specificity, "That is the specificity, which says nothing of the missed teeth among the negative tests."},
			{100 * (1 - prevalence), "That is the share of vital teeth before any test."},
			{100 * sensitivity, "That is the sensitivity: it belongs to the non-vital teeth."},
			{100 * specificity * (1 - prevalence), "These are the right negatives as a share of all teeth, not of the negative tests."},
		}, 100})
}

func isolateNumber(d *draft) {
	kinds := anatomy.Kinds()
	kind := d.ground.Tooth.Kind
	place := slices.Index(kinds, kind)%7 + 1
	quadrant := d.state("quadrant", "", float64(pick(d, 0, 1)))
	upper := d.ground.Tooth.Upper
	number := func(upper, left bool, place int) int {
		q := 4
		switch {
		case upper && left:
			q = 2
		case upper:
			q = 1
		case left:
			q = 3
		}
		return 10*q + place
	}
	left := quadrant == 1
	d.state("place", "", float64(place))
	side := map[bool]string{true: "left", false: "right"}[left]
	neighbour := place + 1
	if place == 7 {
		neighbour = 6
	}
	d.item.Made.Value = float64(number(upper, left, place))
	words := strings.Fields(d.tooth())
	d.stem("Before the dam goes on you check the number: which number in two-digit notation has the patient's %s %s %s?", words[0], side, strings.Join(words[1:], " "))
	text := func(n int) string { return fmt.Sprint(n) }
	d.classes(text(number(upper, left, place)), "The first digit is the quadrant, counted from the patient's upper right clockwise as you face the patient; the second counts from the midline.",
		Option{Text: text(number(upper, left, place)), Feedback: "Quadrant by jaw and the patient's side, place counted from the midline."},
		Option{Text: text(number(upper, !left, place)), Feedback: "Sides are the patient's, not yours: this tooth stands on the other side."},
		Option{Text: text(number(!upper, left, place)), Feedback: "This is the same place in the other jaw."},
		Option{Text: text(number(upper, left, neighbour)), Feedback: "Count from the midline: this is the neighbour."})
}

// roofDepth returns how deep the roof lies below the reference cusp of the tooth, rounded, and for a tooth
// with a flat chamber a figure from the published range.
func (d *draft) roofDepth() float64 {
	depth, _ := Read(d.ground.Tooth, 0, "roof-depth", 0)
	return min(9, max(4, round(depth*2, 0)/2))
}

func openRoof(d *draft) {
	m := d.draw("magnification", "", 1.04, 1.14, 0.02)
	image := d.state("image", "mm", round(d.roofDepth()*m, 1))
	d.stem("A film shows this %s enlarged %.2f times. On it the roof of the chamber lies %.1f mm below the tip of the reference cusp. At what drilling depth do you expect the roof?", d.tooth(), m, image)
	d.ask(figure{d.call("true-length", image, m), "mm", 1,
		"What is read on an enlarged film is divided by the magnification.",
		[]slip{
			{image, "This is the length on the film, not corrected for its magnification: the bur would be there too late."},
			{image * m, "The film is larger than the tooth: divide by the magnification, do not multiply."},
			{image/m + 2, "This depth lies below the roof, near the floor."},
		}, 0})
}

func openFloor(d *draft) {
	roof := d.state("roof", "mm", d.roofDepth())
	height := d.draw("height", "mm", 1.2, 2.6, 0.1)
	floor := d.draw("floor", "mm", 2.4, 3.4, 0.1)
	d.stem("The roof of a molar's chamber lies %.1f mm below the cusp, the chamber is %.1f mm high and the floor %.1f mm thick. At what depth does a round bur that goes straight down begin to cut the floor?", roof, height, floor)
	d.ask(figure{d.call("sum", roof, height), "mm", 1,
		"Depth of the roof and height of the chamber add up to the depth of the floor; beyond it the bur has no more business.",
		[]slip{
			{roof, "Here the bur only drops through the roof."},
			{roof + height + floor, "At this depth the bur is through the floor, in the furcation."},
			{roof + floor, "The thickness of the floor was taken for the height of the chamber."},
		}, 0})
}

func openLeft(d *draft) {
	furcation := d.draw("furcation", "mm", 10.0, 12.0, 0.1)
	depth := d.draw("depth", "mm", 8.2, 9.6, 0.1)
	d.stem("In a molar the furcation lies %.1f mm below the cusp. The chamber is calcified, no drop was felt, and the stop of the bur reads %.1f mm. How much dentine is left under the bur?", furcation, depth)
	d.ask(figure{d.call("difference", furcation, depth), "mm", 1,
		"Depth of the furcation less the depth drilled. Stop, take a film and look for the roof before any more is cut.",
		[]slip{
			{furcation - depth + 3, "The thickness of the floor was added; but the furcation is measured from the cusp already."},
			{furcation - 6.3, "This counts from the usual depth of the roof, not from where the bur is."},
			{depth - 6.3, "This is how far the bur is below the usual depth of the roof."},
		}, 0})
}

func findSide(d *draft) {
	tube := pick(d, "mesially", "distally")
	with := d.state("with", "", float64(d.stream.Intn(2))) == 1
	moved := map[bool]map[string]string{true: {"mesially": "mesially", "distally": "distally"}, false: {"mesially": "distally", "distally": "mesially"}}[with][tube]
	right := "buccal of the other"
	if with {
		right = "lingual of the other"
	}
	d.stem("Two canals of a root lie over each other on the straight film. For a second film the tube is moved %s, and one canal's image has moved %s against the other's. Where does that canal lie?", tube, moved)
	d.classes(right, "Same lingual, opposite buccal: the image of the lingual object moves with the tube, that of the buccal one against it.",
		Option{Text: "buccal of the other", Feedback: "The buccal object's image moves against the tube."},
		Option{Text: "lingual of the other", Feedback: "The lingual object's image moves with the tube."},
		Option{Text: "in one line with the other", Feedback: "Then the two images would stay over each other on both films."})
}

func findShift(d *draft) {
	gap := d.draw("gap", "mm", 2, 5, 0.5)
	angle := d.draw("shift", "deg", 15, 35, 5)
	d.stem("Two canals lie %.1f mm apart from buccal to lingual. The tube is turned by %.0f° horizontally for a second film. By how much do their images part?", gap, angle)
	d.ask(figure{d.call("parallax", gap, angle), "mm", 2,
		"The images part by the gap times the tangent of the angle.",
		[]slip{
			{gap, "That would be the whole gap: it would take a shift of 45°."},
			{gap * sine(angle), "The sine was taken; the detector stays where it was, so the tangent counts."},
			{gap * cosine(angle), "The cosine was taken: at 0° the images would then part by the whole gap."},
			{gap * angle / 90, "The shift does not grow in proportion to the angle over 90°."},
		}, 0})
}

func findMirror(d *draft) {
	off := d.draw("off", "mm", 1.2, 2.6, 0.1)
	d.stem("On the floor of a lower molar the orifice found in the mesial root lies %.1f mm buccal of the mesiodistal midline. How far from it do you look for its lingual partner?", off)
	d.ask(figure{d.call("sum", off, off), "mm", 1,
		"The law of symmetry: but for upper molars, orifices lie at equal distances from the midline of the floor and square to it. The partner is as far on the other side.",
		[]slip{
			{off, "This is the way to the midline only: on the midline lies an orifice that has no partner."},
			{off * 1.5, "The partner lies as far from the midline as the first, not half as far."},
			{off * 3, "This is beyond the mirror image."},
		}, 0})
}
