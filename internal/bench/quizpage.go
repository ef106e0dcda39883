package bench

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// quizTitle is the title of the quiz's page.
func (s *Session) quizTitle() string {
	q := s.quiz
	if q.phase == quizDoor {
		return say("quiz.title")
	}
	if q.phase == quizEnd {
		return say("quiz.ended", "answered", strconv.Itoa(q.answered), "credit", figure(q.credit, 1))
	}
	return say("quiz.question", "at", strconv.Itoa(q.at+1), "of", strconv.Itoa(len(q.sitting)))
}

// quizPage shows the quiz.
func (s *Session) quizPage() Page {
	if s.quiz.exam != nil {
		return s.examItemPage()
	}
	if s.quiz.phase == quizDoor || s.quiz.phase == quizEnd {
		return s.quizDoorPage()
	}
	return s.itemPage()
}

// quizDoorPage offers a sitting and shows how the student stands.
func (s *Session) quizDoorPage() Page {
	q := s.quiz
	left := []Block{{Kind: Heading, Text: s.quizTitle()}}
	act := Control{ID: "quiz:begin", Kind: Primary, Label: say("quiz.begin")}
	if q.phase == quizEnd {
		act = Control{ID: "quiz:again", Kind: Primary, Label: say("quiz.again")}
		left = append(left, Block{Kind: Text, Text: say("quiz.keptall")})
	} else {
		left = append(left, s.quizChoices()...)
	}
	left = append(left, Block{Kind: Rule}, Block{Kind: Quiet, Text: say("caution.aid")})
	page := Page{Title: s.quizTitle(), Left: left, Centre: Centre{Blocks: s.masteryBlocks()}, Right: s.calibrationBlocks()}
	if text := s.told(); text != "" {
		page.Act = []Block{{Kind: Warning, Text: text}}
	}
	page.Act = append(page.Act, controls(act, Control{ID: "back", Kind: Button, Label: say("settings.back"), Detail: "Esc"}))
	return page
}

// quizChoices are the controls of the door.
func (s *Session) quizChoices() []Block {
	q := s.quiz
	step, level := say("quiz.allsteps"), say("quiz.alllevels")
	if q.step > 0 {
		step = stepName(quiz.Steps()[q.step-1])
	}
	if q.level > 0 {
		level = say("quiz.level." + quiz.Levels()[q.level-1])
	}
	due := len(q.practice.Due(q.time()))
	only := say("settings.off")
	if q.dueOnly {
		only = say("settings.on")
	}
	return []Block{
		{Kind: Quiet, Text: say("quiz.intro")},
		{Kind: Gap},
		controls(
			Control{ID: "quiz:count", Kind: Choice, Label: say("quiz.count"), Value: strconv.Itoa(q.count)},
			Control{ID: "quiz:step", Kind: Choice, Label: say("quiz.step"), Value: step},
			Control{ID: "quiz:level", Kind: Choice, Label: say("quiz.level"), Value: level},
			Control{ID: "quiz:due", Kind: Toggle, Label: say("quiz.dueonly"), Value: only, Detail: say("quiz.due", "count", strconv.Itoa(due)), Chosen: q.dueOnly}),
	}
}

// stepName is a step of the procedure as it is shown.
func stepName(step string) string { return say("quiz.step." + step) }

// percent writes a share of 0 to 1.
func percent(v float64) string { return figure(100*v, 0) + " %" }

// masteryBlocks show how the student stands by step.
func (s *Session) masteryBlocks() []Block {
	q := s.quiz
	var rows [][2]string
	for _, m := range q.practice.Masteries(quiz.Entries(q.bank, true), q.time()) {
		text := say("quiz.unmet", "items", strconv.Itoa(m.Items))
		if m.Met > 0 {
			text = say("quiz.mastery", "mastery", percent(m.Mastery), "met", strconv.Itoa(m.Met), "items", strconv.Itoa(m.Items), "credit", percent(m.Credit))
		}
		rows = append(rows, [2]string{stepName(m.Step), text})
	}
	return []Block{{Kind: Heading, Text: say("quiz.stand")}, {Kind: Subhead, Text: say("quiz.bystep")}, {Kind: Pairs, Pairs: rows}}
}

// calibrationBlocks show how well confidence met the truth.
func (s *Session) calibrationBlocks() []Block {
	c := s.quiz.practice.Calibrate()
	blocks := []Block{{Kind: Subhead, Text: say("quiz.calibration")}}
	if c.Answers == 0 {
		return append(blocks, Block{Kind: Quiet, Text: say("quiz.noanswers")})
	}
	own := Line{Name: say("quiz.own")}
	var rows [][2]string
	for _, b := range c.Bins {
		own.Points = append(own.Points, geom.Point{X: 100 * b.Confidence, Y: 100 * b.Credit})
		rows = append(rows, [2]string{say("quiz.said", "percent", percent(b.Confidence)), say("quiz.was", "percent", percent(b.Credit), "count", strconv.Itoa(b.Answers))})
	}
	text := say("quiz.met")
	switch {
	case c.Over > 0.1:
		text = say("quiz.over", "points", figure(100*c.Over, 0))
	case c.Over < -0.1:
		text = say("quiz.under", "points", figure(-100*c.Over, 0))
	}
	graph := &Graph{Across: say("quiz.across"), Up: say("quiz.up"), Right: 100, Top: 100, Marker: math.NaN(),
		Lines: []Line{{Name: say("quiz.ideal"), Points: []geom.Point{{}, {X: 100, Y: 100}}, Dashed: true}, own}}
	return append(blocks, Block{Kind: Said, Text: text}, Block{Kind: Curve, Graph: graph}, Block{Kind: Pairs, Pairs: rows})
}

// itemPage shows the item in hand.
func (s *Session) itemPage() Page {
	q := s.quiz
	item := q.item().Item
	page := Page{Title: s.quizTitle()}
	head := []Block{{Kind: Heading, Text: s.quizTitle()},
		{Kind: Quiet, Text: stepName(item.Step) + " · " + say("quiz.level."+item.Level)}}
	body := []Block{{Kind: Subhead, Text: item.Stem}}
	var told []Block
	if q.phase == quizTold {
		told = q.toldBlocks()
	} else {
		body = append(body, q.answerBlocks()...)
	}
	page.Act = s.quizAct()
	if scene := q.scene(); scene != nil {
		page.Centre = q.pictureCentre(scene)
		page.Left, page.Right = append(head, body...), told
		if q.phase != quizTold {
			page.Right = []Block{{Kind: Subhead, Text: say("quiz.howto")}, {Kind: Text, Text: say("quiz.how." + string(item.Kind))}}
		}
		page.Right = append(page.Right, Block{Kind: Gap}, controls(Control{ID: "quiz:zoom", Kind: Button, Label: say("quiz.zoom"), Value: "×" + figure(q.answer.zoom, 0), Detail: "="}))
		return page
	}
	page.Left = append(head, Block{Kind: Gap}, Block{Kind: Quiet, Text: say("quiz.how." + string(item.Kind))})
	page.Centre.Blocks = append(body, told...)
	return page
}

// quizAct is what goes on: the answer, how sure one is, the next item.
func (s *Session) quizAct() []Block {
	q := s.quiz
	var blocks []Block
	if text := s.told(); text != "" {
		blocks = append(blocks, Block{Kind: Warning, Text: text})
	}
	switch q.phase {
	case quizAsking:
		_, err := q.answer.response(q.item())
		c := Control{ID: "quiz:answer", Kind: Primary, Label: say("quiz.answer"), Disabled: err != nil}
		if err != nil {
			c.Why = err.Error()
		}
		blocks = append(blocks, controls(c))
	case quizSure:
		var list []Control
		for i, percent := range quiz.Confidences() {
			list = append(list, Control{ID: "quiz:sure-" + strconv.Itoa(percent), Kind: Button, Label: say("quiz.sure." + strconv.Itoa(percent)), Detail: strconv.Itoa(i + 1)})
		}
		list = append(list, Control{ID: "quiz:change", Kind: Button, Label: say("quiz.change")})
		blocks = append(blocks, Block{Kind: Subhead, Text: say("quiz.howsure")}, controls(list...))
	default:
		label := say("quiz.next")
		if q.at+1 == len(q.sitting) {
			label = say("quiz.close")
		}
		blocks = append(blocks, controls(Control{ID: "quiz:next", Kind: Primary, Label: label}))
	}
	return append(blocks, controls(Control{ID: "back", Kind: Button, Label: say("quiz.leave"), Detail: "Esc"}))
}

// answerBlocks are the controls by which an item is answered.
func (q *quizzing) answerBlocks() []Block {
	one := q.item()
	fixed := q.phase != quizAsking
	switch one.Item.Kind {
	case quiz.Matching:
		return q.matchingBlocks(fixed)
	case quiz.Numeric:
		return q.numberBlocks(fixed)
	case quiz.Measure:
		blocks := append(q.spotBlocks(fixed), controls(
			Control{ID: "quiz:mark", Kind: Button, Label: say("quiz.mark"), Detail: "m", Disabled: fixed},
			Control{ID: "quiz:clear", Kind: Button, Label: say("quiz.clear"), Detail: "x", Disabled: fixed}),
			Block{Kind: Said, Text: q.answer.measured()})
		return append(blocks, q.numberBlocks(fixed)...)
	case quiz.Place:
		return q.spotBlocks(fixed)
	default:
		return q.optionBlocks(fixed)
	}
}

// optionBlocks are the options in the order shown; those of an ordering carry the place they were given.
func (q *quizzing) optionBlocks(fixed bool) []Block {
	one := q.item()
	var list []Control
	for i, at := range one.Order {
		o := one.Item.Options[at]
		c := Control{ID: "quiz:opt-" + strconv.Itoa(i), Kind: Pick, Label: quiz.OptionID(i) + ") " + o.Text, Disabled: fixed}
		place := slices.Index(q.answer.chosen, o.ID)
		c.Chosen = place >= 0
		if one.Item.Kind == quiz.Ordering && place >= 0 {
			c.Value = strconv.Itoa(place + 1)
		}
		list = append(list, c)
	}
	return []Block{{Kind: Gap}, controls(list...)}
}

// matchingBlocks are left sides with what was joined to them, and the right sides.
func (q *quizzing) matchingBlocks(fixed bool) []Block {
	one := q.item()
	var lefts, rights []Control
	for i, p := range one.Item.Pairs {
		c := Control{ID: "quiz:pair-" + strconv.Itoa(i), Kind: Pick, Label: strconv.Itoa(i+1) + ") " + p.Left, Value: "–", Chosen: i == q.answer.pair && !fixed, Disabled: fixed}
		if side, ok := q.answer.joined[i]; ok {
			c.Value = quiz.OptionID(side)
		}
		lefts = append(lefts, c)
	}
	for i, side := range one.Sides {
		rights = append(rights, Control{ID: "quiz:side-" + strconv.Itoa(i), Kind: Pick, Label: quiz.OptionID(i) + ") " + side, Disabled: fixed})
	}
	return []Block{{Kind: Gap}, controls(lefts...), {Kind: Rule}, controls(rights...)}
}

// numberBlocks are the number as typed and keys for those who have no keyboard.
func (q *quizzing) numberBlocks(fixed bool) []Block {
	unit := q.item().Item.Unit
	if unit == "deg" {
		unit = "°"
	}
	text := q.answer.text
	if text == "" {
		text = "–"
	}
	var keys []Control
	for _, k := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "0", "."} {
		keys = append(keys, Control{ID: "quiz:key-" + k, Kind: Button, Label: k, Disabled: fixed})
	}
	keys = append(keys, Control{ID: "quiz:minus", Kind: Button, Label: "−", Disabled: fixed},
		Control{ID: "quiz:key-Backspace", Kind: Button, Label: say("quiz.erase"), Disabled: fixed})
	return []Block{{Kind: Figures, Pairs: [][2]string{{say("quiz.number"), strings.TrimSpace(text + " " + unit)}}}, {Kind: Row, Controls: keys}}
}

// spotBlocks move the spot.
func (q *quizzing) spotBlocks(fixed bool) []Block {
	return []Block{controls(
		Control{ID: "quiz:across", Kind: Choice, Label: say("quiz.spotacross"), Value: figure(q.answer.spot.X, 1) + " mm", Disabled: fixed},
		Control{ID: "quiz:up", Kind: Choice, Label: say("quiz.spotup"), Value: figure(q.answer.spot.Y, 1) + " mm", Disabled: fixed})}
}

// verdict is the result in a word.
func verdict(r quiz.Result) string {
	switch {
	case r.Right:
		return say("quiz.right")
	case r.Credit > 0:
		return say("quiz.partly", "credit", percent(r.Credit))
	}
	return say("quiz.wrong")
}

// toldBlocks are the result: verdict, answer, reason, source, and the feedback on each option.
func (q *quizzing) toldBlocks() []Block {
	r := q.result
	blocks := []Block{{Kind: Gap}, {Kind: Heading, Text: verdict(r)}}
	for _, text := range q.happened() {
		blocks = append(blocks, Block{Kind: Said, Text: text})
	}
	blocks = append(blocks, Block{Kind: Text, Text: say("quiz.key", "key", r.Key)}, Block{Kind: Text, Text: r.Why},
		Block{Kind: Quiet, Text: say("quiz.source", "source", r.Source)}, Block{Kind: Rule})
	for i, l := range q.lines() {
		blocks = append(blocks, Block{Kind: Text, Text: l.Text}, Block{Kind: Quiet, Text: q.lineWord(i, l) + " " + l.Why})
	}
	return blocks
}

// lines are the lines of feedback in the order in which the options were shown.
func (q *quizzing) lines() []quiz.Line {
	one := q.item()
	if !one.Item.Chosen() {
		return q.result.Lines
	}
	var out []quiz.Line
	for i, at := range one.Order {
		l := q.result.Lines[at]
		l.Text = quiz.OptionID(i) + ") " + l.Text
		out = append(out, l)
	}
	return out
}

// lineWord says what was done with the i-th line of feedback, and whether that was right.
func (q *quizzing) lineWord(i int, l quiz.Line) string {
	one := q.item()
	if one.Item.Kind == quiz.Ordering {
		n := slices.Index(q.answer.chosen, l.ID) + 1
		if l.Right {
			return say("quiz.line.place", "n", strconv.Itoa(n))
		}
		return say("quiz.line.notplace", "n", strconv.Itoa(n))
	}
	if one.Item.Kind == quiz.Matching && i < len(one.Item.Pairs) {
		if l.Right {
			return say("quiz.line.joined", "side", one.Item.Pairs[i].Right)
		}
		return say("quiz.line.notjoined", "side", one.Item.Pairs[i].Right, "yours", one.Sides[q.answer.joined[i]])
	}
	switch {
	case l.Chosen && l.Right:
		return say("quiz.line.right")
	case l.Chosen:
		return say("quiz.line.wrong")
	case l.Right:
		return say("quiz.line.left")
	}
	return say("quiz.line.missed")
}

// happened is what the action of a predict item did, in sentences.
func (q *quizzing) happened() []string {
	item := q.item().Item
	if item.Kind != quiz.Predict || item.Trial == nil {
		return nil
	}
	_, events, refusal, err := item.Trial.Run()
	switch {
	case err != nil:
		return []string{err.Error()}
	case refusal != "":
		return []string{say("quiz.refused", "why", refusal)}
	}
	var out []string
	for _, e := range events {
		out = append(out, capital(attempt.Sentence(e)))
	}
	return out
}

// scene is the picture of the item in hand, nil where it has none: the tooth it asks about, or before and
// after the action that is to be predicted.
func (q *quizzing) scene() *Scene {
	item := q.item().Item
	after := item.Kind == quiz.Predict && q.phase == quizTold
	key := "quiz:" + item.ID + ":" + strconv.FormatBool(after)
	if scene, ok := q.scenes[key]; ok {
		return scene
	}
	var scene *Scene
	switch {
	case item.Subject != nil:
		if tooth, _, err := item.Subject.Grow(); err == nil {
			scene = &Scene{Key: key, Canal: -1, State: treatment.Start(&treatment.Case{Scenario: "quiz", Seed: tooth.Seed, Tooth: tooth, Settings: treatment.DefaultSettings()})}
		}
	case item.Kind == quiz.Predict && item.Trial != nil:
		if state, err := item.Trial.State(after); err == nil {
			scene = &Scene{Key: key, Canal: -1, State: state}
		}
	}
	q.scenes[key] = scene
	return scene
}

// pictureCentre is the picture with what was marked on it.
func (q *quizzing) pictureCentre(scene *Scene) Centre {
	item := q.item().Item
	c := Centre{Plate: scene, Zoom: q.answer.zoom, At: q.answer.spot}
	if item.Subject == nil {
		c.At = geom.Point{}
		return c
	}
	c.Spot, c.Marks = &q.answer.spot, q.answer.marks
	if item.Kind == quiz.Place && q.phase == quizTold {
		if tooth, canal, err := item.Subject.Grow(); err == nil {
			if at, ok := quiz.Landmark(tooth, canal, item.Target); ok {
				shown := *scene
				shown.Notes = []PlateNote{{At: at, Head: strings.ReplaceAll(item.Target, "-", " "), Detail: q.result.Lines[0].Text}}
				c.Plate, c.Marks = &shown, []geom.Point{at, q.answer.spot}
			}
		}
	}
	return c
}
