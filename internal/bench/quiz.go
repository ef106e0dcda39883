package bench

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// QuizScreen is the quiz: its door, a sitting, and what came of it.
const QuizScreen Screen = "quiz"

// QuizOpening is what the quiz begins with.
type QuizOpening struct {
	Practice []byte           // as Save got it; empty none
	Now      func() time.Time // the present time; without it there is no quiz
	Save     func(practice []byte)
}

// quizPhase says where a student stands in the quiz.
type quizPhase int

const (
	quizDoor quizPhase = iota
	quizAsking
	quizSure // the answer is given, how sure one is not yet said
	quizTold
	quizEnd
)

// quizzing is the quiz of a session.
type quizzing struct {
	files    fs.FS
	now      func() time.Time
	save     func([]byte)
	broken   string // why practice cannot be read; then nothing is asked, since nothing could be kept
	bank     []quiz.Item
	practice quiz.Practice
	count    int
	step     int // 0 all, else one more than the index in quiz.Steps
	level    int // 0 all, else one more than the index in quiz.Levels
	dueOnly  bool
	after    []string // cards that the last treatment brought back
	from     Screen   // where the quiz was opened
	sitting  []quiz.Shown
	at       int
	phase    quizPhase
	answer   answering
	result   quiz.Result
	answered int
	credit   float64
	scenes   map[string]*Scene
	exam     *examining // whose questions these are, nil in practice
	asked    bool       // a question of it was in hand
}

// quizCounts are the lengths of a sitting.
func quizCounts() []int { return []int{5, 10, 20} }

// openQuiz prepares the quiz; the items are read when it is first entered.
func (s *Session) openQuiz(o Opening) {
	if names, err := fs.Glob(o.Cases, "quiz/*.yaml"); err != nil || len(names) == 0 || o.Quiz.Now == nil {
		return
	}
	q := &quizzing{files: o.Cases, now: o.Quiz.Now, save: o.Quiz.Save, practice: quiz.NewPractice(), count: 10, scenes: map[string]*Scene{}}
	if len(o.Quiz.Practice) > 0 {
		err := json.Unmarshal(o.Quiz.Practice, &q.practice)
		if err == nil {
			err = q.practice.Check()
		}
		if err != nil {
			q.broken = say("quiz.broken", "why", err.Error())
		}
	}
	s.quiz = q
}

// load reads the items once.
func (q *quizzing) load() error {
	if q.bank != nil {
		return nil
	}
	bank, err := scenario.LoadItemsFS(q.files, "quiz")
	if err != nil {
		return fmt.Errorf("read the quiz: %w", err)
	}
	q.bank = bank
	return nil
}

// time is the present time, never before the last answer: a clock that was set back may not undo what
// was scheduled.
func (q *quizzing) time() time.Time {
	now := q.now().UTC().Truncate(time.Second)
	for _, a := range q.practice.Answers {
		if a.At.After(now) {
			now = a.At
		}
	}
	return now
}

// quizBlocks are the door on the shelf.
func (s *Session) quizBlocks() []Block {
	q := s.quiz
	if q == nil {
		return nil
	}
	c := Control{ID: "quiz:open", Kind: Button, Label: say("quiz.door"), Detail: say("quiz.fresh"), Disabled: q.broken != "", Why: q.broken}
	if due := len(q.practice.Due(q.time())); due > 0 {
		c.Detail = say("quiz.due", "count", strconv.Itoa(due))
	} else if len(q.practice.Cards) > 0 {
		c.Detail = say("quiz.nodue")
	}
	return []Block{controls(c)}
}

// pressQuiz handles the controls of the quiz.
func (s *Session) pressQuiz(rest string) {
	q := s.quiz
	if q == nil {
		return
	}
	head, tail, _ := strings.Cut(rest, "-")
	switch head {
	case "open":
		s.enterQuiz(false)
	case "after":
		s.enterQuiz(true)
	case "due":
		q.dueOnly = !q.dueOnly
	case "begin":
		s.sit(nil)
	case "again":
		q.phase, s.focus = quizDoor, ""
	case "answer":
		s.giveAnswer()
	case "change":
		q.phase, s.focus = quizAsking, ""
	case "sure":
		if percent, err := strconv.Atoi(tail); err == nil {
			s.beSure(percent)
		}
	case "next":
		s.nextItem()
	case "turn":
		if at, err := strconv.Atoi(tail); err == nil && q.exam != nil {
			q.exam.ask(s, at)
		}
	default:
		q.pressAnswer(s, head, tail)
	}
}

// enterQuiz opens the quiz; after says that the cards are asked which the treatment brought back.
func (s *Session) enterQuiz(after bool) {
	q := s.quiz
	if err := q.load(); err != nil {
		s.refuse(err.Error())
		return
	}
	q.from = s.screen
	if q.phase == quizEnd {
		q.phase = quizDoor
	}
	if after {
		s.sit(q.after)
		if q.phase != quizAsking {
			return
		}
	}
	s.open(QuizScreen)
	s.readItem()
}

// sit draws a sitting by what was chosen, or of the cards named.
func (s *Session) sit(cards []string) {
	q := s.quiz
	now := q.time()
	seed := uint64(now.UnixNano()) //nolint:gosec // any bits will do
	ground := s.cases[seed%uint64(len(s.cases))]
	wish := quiz.Wish{Seed: seed, Now: now, DueOnly: q.dueOnly || cards != nil,
		Ground: quiz.Ground{Scenario: ground.scenario.Name(), Tooth: ground.preview.Tooth}}
	list := slices.DeleteFunc(quiz.Sit(q.practice, q.bank, wish), func(one quiz.Shown) bool {
		if cards != nil {
			return !slices.Contains(cards, quiz.CardID(one.Item))
		}
		return q.step > 0 && one.Item.Step != quiz.Steps()[q.step-1] || q.level > 0 && one.Item.Level != quiz.Levels()[q.level-1]
	})
	if len(list) == 0 {
		s.refuse(say("quiz.nothing"))
		return
	}
	q.begin(list[:min(len(list), q.count)])
	s.focus = ""
	s.readItem()
}

// begin starts a sitting of items.
func (q *quizzing) begin(list []quiz.Shown) {
	q.sitting, q.at, q.phase, q.answered, q.credit = list, 0, quizAsking, 0, 0
	q.answer = newAnswering(list[0])
	clear(q.scenes)
}

// item is the item in hand.
func (q *quizzing) item() quiz.Shown { return q.sitting[q.at] }

// readItem says the item aloud.
func (s *Session) readItem() {
	q := s.quiz
	if q.phase != quizAsking {
		return
	}
	s.changed()
	one := q.item()
	s.speak(s.quizTitle() + ". " + one.Item.Stem)
	for i, at := range one.Order {
		s.speak(quiz.OptionID(i) + ": " + one.Item.Options[at].Text)
	}
	for i, p := range one.Item.Pairs {
		s.speak(strconv.Itoa(i+1) + ": " + p.Left)
	}
	for i, side := range one.Sides {
		s.speak(quiz.OptionID(i) + ": " + side)
	}
	s.speak(say("quiz.how." + string(one.Item.Kind)))
}

// giveAnswer takes the answer as given and asks how sure one is.
func (s *Session) giveAnswer() {
	q := s.quiz
	if q.exam != nil {
		s.answerExam()
		return
	}
	response, err := q.answer.response(q.item())
	if err == nil {
		_, err = quiz.Mark(q.item().Item, response)
	}
	if err != nil {
		s.refuse(err.Error())
		return
	}
	q.phase, s.focus = quizSure, ""
	s.speak(say("quiz.howsure"))
}

// beSure marks the answer, keeps it and tells the result.
func (s *Session) beSure(percent int) {
	q := s.quiz
	if q.phase != quizSure {
		return
	}
	item := q.item().Item
	response, err := q.answer.response(q.item())
	if err == nil {
		q.result, err = quiz.Mark(item, response)
	}
	var practice quiz.Practice
	if err == nil {
		practice, err = q.practice.Record(item, q.result.Credit, percent, q.time())
	}
	if err != nil {
		s.refuse(err.Error())
		return
	}
	q.practice, q.phase, s.focus = practice, quizTold, "quiz:next"
	q.answered, q.credit = q.answered+1, q.credit+q.result.Credit
	s.toTop()
	s.keepQuiz()
	s.speak(verdict(q.result) + " " + say("quiz.key", "key", q.result.Key) + " " + q.result.Why)
}

// keepQuiz hands the practice to the host.
func (s *Session) keepQuiz() {
	if s.quiz.save == nil {
		return
	}
	data, err := json.Marshal(s.quiz.practice)
	if err != nil {
		s.refuse(err.Error())
		return
	}
	s.quiz.save(data)
}

// nextItem goes on, or ends the sitting.
func (s *Session) nextItem() {
	q := s.quiz
	s.scroll, s.revealed, s.focus = [4]float64{}, "", ""
	if q.at+1 >= len(q.sitting) {
		q.phase = quizEnd
		s.speak(s.quizTitle())
		return
	}
	q.at++
	q.phase, q.answer = quizAsking, newAnswering(q.item())
	s.readItem()
}

// bringBack makes the items due that belong to the faults of a treatment, those that its case links to what was
// decided wrongly, and those that belong to the marks it lost.
func (s *Session) bringBack(d *debriefing) {
	q := s.quiz
	if q == nil || q.broken != "" {
		return
	}
	if err := q.load(); err != nil {
		s.refuse(err.Error())
		return
	}
	from, events, marks := s.cases[d.index].scenario, d.faults(), d.record.Marks
	q.practice, q.after = q.practice.BringBack(q.bank, events, q.time())
	var linked, lost []string
	q.practice, linked = q.practice.BringLinked(q.bank, from.QuizLinks(), marks, events, q.time())
	q.practice, lost = q.practice.BringBackLost(q.bank, from.Rules(), d.tried(), q.time())
	for _, id := range append(linked, lost...) {
		if !slices.Contains(q.after, id) {
			q.after = append(q.after, id)
		}
	}
	if len(q.after) > 0 {
		s.keepQuiz()
	}
}

// tried are the marks of the steps in which something was done: what was not reached was no decision.
func (d *debriefing) tried() []marking.RuleMark {
	return slices.DeleteFunc(slices.Clone(d.record.Marks.Rules), func(m marking.RuleMark) bool {
		return !slices.ContainsFunc(d.run.Actions(), func(a treatment.Action) bool { return a.Do.Stage() == m.Stage })
	})
}

// quizOffer offers in the debrief what the treatment brought back.
func (s *Session) quizOffer() []Block {
	if s.quiz == nil || len(s.quiz.after) == 0 {
		return nil
	}
	return []Block{{Kind: Gap}, {Kind: Quiet, Text: say("quiz.aftertext")},
		controls(Control{ID: "quiz:after", Kind: Button, Label: say("quiz.after"), Detail: strconv.Itoa(len(s.quiz.after))})}
}

// leaveQuiz goes back to where the quiz was opened; a sitting under way stays as it is.
func (s *Session) leaveQuiz() {
	if s.quiz.exam != nil {
		s.toDesk()
		return
	}
	to := ShelfScreen
	if s.quiz.from == DebriefScreen && s.debrief != nil {
		to = DebriefScreen
	}
	s.open(to)
}

// adjustQuiz moves a choice of the quiz.
func (s *Session) adjustQuiz(rest string, steps int, fine bool) {
	q := s.quiz
	turn := func(v, n int) int { return ((v+steps)%n + n) % n }
	head, tail, _ := strings.Cut(rest, "-")
	switch head {
	case "count":
		i := slices.Index(quizCounts(), q.count)
		q.count = quizCounts()[turn(i, len(quizCounts()))]
	case "step":
		q.step = turn(q.step, len(quiz.Steps())+1)
	case "level":
		q.level = turn(q.level, len(quiz.Levels())+1)
	case "across":
		q.answer.move(float64(steps), 0, fine)
	case "up":
		q.answer.move(0, float64(steps), fine)
	case "pair":
		q.answer.turnPair(q.item(), tail, steps)
	}
}

// faults are the events of a finished run.
func (d *debriefing) faults() []treatment.Event {
	var out []treatment.Event
	for _, l := range d.lines {
		out = append(out, l.events...)
	}
	return out
}
