package bench

import (
	"slices"
	"strconv"
	"strings"

	"tugback/internal/quiz"
)

// openQuestions prepares the questions of the paper.
func (x *examining) openQuestions(s *Session) {
	if len(x.packet.Items) == 0 {
		return
	}
	q := &quizzing{exam: x, phase: quizAsking, scenes: map[string]*Scene{}, practice: quiz.NewPractice()}
	if s.quiz != nil {
		q.now = s.quiz.now
	}
	for _, i := range x.packet.Items {
		one := i.Order()
		q.sitting = append(q.sitting, one)
		x.answers = append(x.answers, newAnswering(one))
	}
	x.quiz = q
}

// recall lays the answers out as they were kept.
func (x *examining) recall() {
	if x.quiz == nil {
		return
	}
	for id, r := range x.sitting.Answers() {
		i := slices.IndexFunc(x.quiz.sitting, func(one quiz.Shown) bool { return one.Item.ID == id })
		if i >= 0 {
			x.answers[i].recall(x.quiz.sitting[i], r)
		}
	}
}

// recall lays an answer out that was given before.
func (a *answering) recall(one quiz.Shown, r quiz.Response) {
	a.chosen = slices.Clone(r.Chosen)
	for _, j := range r.Joined {
		pair := slices.IndexFunc(one.Item.Pairs, func(p quiz.Pair) bool { return p.ID == j.Pair })
		side := slices.Index(one.Sides, j.Right)
		if pair >= 0 && side >= 0 {
			a.joined[pair] = side
		}
	}
	switch one.Item.Kind {
	case quiz.Numeric, quiz.Measure:
		a.text = strconv.FormatFloat(r.Value, 'f', -1, 64)
	case quiz.Place:
		a.put(r.Point)
	default: // is chosen or joined
	}
}

// ask opens a question of the paper.
func (x *examining) ask(s *Session, at int) {
	if x.quiz == nil || at < 0 || at >= len(x.quiz.sitting) {
		return
	}
	s.quiz = x.quiz
	x.turn(at)
	s.open(QuizScreen)
	s.readItem()
}

// turn takes another question in hand; what was marked for the one before stays as it was left.
func (x *examining) turn(at int) {
	q := x.quiz
	if q.at < len(x.answers) && q.asked {
		x.answers[q.at] = q.answer
	}
	q.at, q.answer, q.asked = at, x.answers[at], true
}

// answerExam keeps an answer and goes to the next question without one, or to the desk. Nothing is said of
// what is right.
func (s *Session) answerExam() {
	x, q := s.exam, s.quiz
	response, err := q.answer.response(q.item())
	if err == nil {
		err = examError(x.sitting.Answer(q.item().Item.ID, response))
	}
	if err != nil {
		s.refuse(err.Error())
		return
	}
	s.toTop()
	x.answers[q.at] = q.answer
	answers := x.sitting.Answers()
	for step := 1; step < len(q.sitting); step++ {
		next := (q.at + step) % len(q.sitting)
		if _, given := answers[q.sitting[next].Item.ID]; !given {
			s.speak(say("exam.kept"))
			x.turn(next)
			s.focus = ""
			s.readItem()
			return
		}
	}
	s.toDesk()
	s.refuse(say("exam.allanswered"))
}

// examItemPage shows a question of the paper.
func (s *Session) examItemPage() Page {
	x, q := s.exam, s.quiz
	item := q.item().Item
	points := x.packet.Items[q.at].Points
	page := Page{Title: s.quizTitle()}
	head := []Block{{Kind: Heading, Text: s.quizTitle()}, {Kind: Quiet, Text: say("exam.points", "points", shortFigure(points), "step", stepName(item.Step))}}
	body := append([]Block{{Kind: Subhead, Text: item.Stem}}, q.answerBlocks()...)
	how := Block{Kind: Quiet, Text: strings.ReplaceAll(say("quiz.how."+string(item.Kind)), "  ", " ")}
	page.Act = s.examItemAct()
	if scene := q.scene(); scene != nil {
		page.Centre = q.pictureCentre(scene)
		page.Centre.Clock = x.clock()
		page.Left = append(head, body...)
		page.Right = []Block{{Kind: Subhead, Text: say("quiz.howto")}, how, {Kind: Gap},
			controls(Control{ID: "quiz:zoom", Kind: Button, Label: say("quiz.zoom"), Value: "×" + figure(q.answer.zoom, 0), Detail: "="})}
		return page
	}
	page.Left = append(head, Block{Kind: Figures, Pairs: [][2]string{{say("exam.left"), x.clock()}}}, how)
	page.Centre.Blocks = body
	return page
}

// examItemAct are the answer and the way to other questions.
func (s *Session) examItemAct() []Block {
	x, q := s.exam, s.quiz
	var blocks []Block
	if text := s.told(); text != "" {
		blocks = append(blocks, Block{Kind: Warning, Text: text})
	}
	_, err := q.answer.response(q.item())
	c := Control{ID: "quiz:answer", Kind: Primary, Label: say("exam.answer"), Disabled: err != nil}
	if err != nil {
		c.Why = err.Error()
	}
	if _, given := x.sitting.Answers()[q.item().Item.ID]; given {
		c.Label = say("exam.answeranew")
	}
	return append(blocks, controls(c), Block{Kind: Row, Controls: []Control{
		{ID: "quiz:turn-" + strconv.Itoa(max(0, q.at-1)), Kind: Tab, Label: say("exam.before"), Disabled: q.at == 0, Why: say("exam.firstquestion")},
		{ID: "quiz:turn-" + strconv.Itoa(min(q.at+1, len(q.sitting)-1)), Kind: Tab, Label: say("exam.after"), Disabled: q.at+1 == len(q.sitting), Why: say("exam.lastquestion")},
		{ID: "exam:desk", Kind: Tab, Label: say("exam.todesk"), Detail: "Esc"}}})
}

// shortFigure writes a number without needless decimals.
func shortFigure(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
