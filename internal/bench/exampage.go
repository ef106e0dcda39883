package bench

import (
	"strconv"
	"time"

	"tugback/internal/exam"
)

// longTime writes a time of a sitting: "1 h 20 min", "5 min", "45 s".
func longTime(seconds int64) string {
	switch h, m := seconds/3600, seconds%3600/60; {
	case seconds < 60:
		return strconv.FormatInt(seconds, 10) + " s"
	case h > 0 && m > 0:
		return strconv.FormatInt(h, 10) + " h " + strconv.FormatInt(m, 10) + " min"
	case h > 0:
		return strconv.FormatInt(h, 10) + " h"
	default:
		return strconv.FormatInt(m, 10) + " min"
	}
}

// clock is the time left, as a clock shows it, or that there is no limit.
func (x *examining) clock() string {
	if !x.limited() {
		return say("exam.nolimit")
	}
	left := max(0, x.secondsLeft())
	if h := left / 3600; h > 0 {
		return strconv.FormatInt(h, 10) + ":" + twoDigits(left%3600/60) + ":" + twoDigits(left%60)
	}
	return strconv.FormatInt(left/60, 10) + ":" + twoDigits(left%60)
}

func twoDigits(n int64) string {
	if n < 10 {
		return "0" + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}

// examPage shows the examination.
func (s *Session) examPage() Page {
	x := s.exam
	page := Page{Title: x.packet.Title}
	switch x.phase {
	case examStart:
		x.startPage(&page)
	case examDesk:
		x.deskPage(&page)
	case examConfirm:
		x.confirmPage(&page)
	case examReceipt:
		x.receiptPage(&page)
		page.Centre.Blocks = append(page.Centre.Blocks, x.commentBlocks(s.comments)...)
	}
	if text := s.told(); text != "" {
		page.Act = append([]Block{{Kind: Warning, Text: text}}, page.Act...)
	}
	return page
}

// examBlocks are the door to examinations on the shelf.
func (s *Session) examBlocks() []Block {
	if s.desk == nil {
		return nil
	}
	if s.pick == nil {
		return []Block{{Kind: Subhead, Text: say("exam.title")}, {Kind: Quiet, Text: say("exam.dropdesk")}, {Kind: Gap}}
	}
	return []Block{{Kind: Subhead, Text: say("exam.title")}, controls(Control{ID: "pick:", Kind: Button, Label: say("exam.openfile")}),
		{Kind: Quiet, Text: say("exam.drop")}, {Kind: Gap}}
}

// moment writes a time of the paper's window.
func moment(seconds int64) string { return time.Unix(seconds, 0).UTC().Format("2 Jan 2006 15:04 UTC") }

// startPage tells the rules and the time before the clock starts.
func (x *examining) startPage(page *Page) {
	t := x.packet.Terms
	pairs := [][2]string{
		{say("exam.candidate"), x.packet.Candidate},
		{say("exam.tasks"), say("exam.taskcount", "cases", strconv.Itoa(len(x.cases)), "questions", strconv.Itoa(len(x.packet.Items)))},
		{say("exam.attempt"), say("exam.attemptof", "number", strconv.Itoa(x.attempt), "of", strconv.Itoa(t.Attempts))},
	}
	limit := say("exam.nolimit")
	if x.limited() {
		limit = longTime(int64(x.packet.LimitS))
	}
	pairs = append(pairs, [2]string{say("exam.time"), limit})
	if x.packet.RestS > 0 {
		pairs = append(pairs, [2]string{say("exam.rests"), longTime(int64(x.packet.RestS))})
	}
	if t.FromS > 0 {
		pairs = append(pairs, [2]string{say("exam.opens"), moment(t.FromS)})
	}
	if t.UntilS > 0 {
		pairs = append(pairs, [2]string{say("exam.closes"), moment(t.UntilS)})
	}
	act := Control{ID: "exam:begin", Kind: Primary, Label: say("exam.begin")}
	if x.begun() {
		act.Label = say("exam.goon")
	}
	page.Left = []Block{{Kind: Heading, Text: x.packet.Title}, {Kind: Pairs, Pairs: pairs}}
	page.Act = []Block{controls(act, Control{ID: "exam:leave", Kind: Button, Label: say("exam.notnow"), Detail: "Esc"})}
	page.Centre.Blocks = []Block{{Kind: Heading, Text: say("exam.rules")}}
	for _, text := range paragraphs("exam.rule.") {
		page.Centre.Blocks = append(page.Centre.Blocks, Block{Kind: Text, Text: text})
	}
	if x.limited() {
		page.Centre.Blocks = append(page.Centre.Blocks, Block{Kind: Text, Text: say("exam.warned")})
	}
	page.Centre.Blocks = append(page.Centre.Blocks, Block{Kind: Subhead, Text: say("exam.seen")}, Block{Kind: Text, Text: x.sightText()}, Block{Kind: Quiet, Text: say("caution.aid")})
}

// sightText says what the paper lets be seen.
func (x *examining) sightText() string {
	text := say("exam.always")
	for _, what := range exam.Sights() {
		if x.packet.Terms.Sees(what) {
			text += " " + say("exam.sees."+what)
		}
	}
	return text
}

// deskPage shows what is to be done, what of it is done, and the clock.
func (x *examining) deskPage(page *Page) {
	restLeft, resting := x.sitting.RestLeft()
	page.Left = []Block{{Kind: Heading, Text: x.packet.Title},
		{Kind: Figures, Pairs: [][2]string{{say("exam.left"), x.clock()}}}}
	var cases, questions []Control
	for i, c := range x.cases {
		n := x.sitting.count(i)
		cases = append(cases, Control{ID: "exam:case-" + strconv.Itoa(i), Kind: Pick, Label: say("exam.case", "number", strconv.Itoa(i+1), "title", c.title),
			Detail: countActions(n), Chosen: i == x.chosen, Done: n > 0})
	}
	if len(cases) > 0 {
		page.Left = append(page.Left, Block{Kind: Subhead, Text: say("exam.cases")}, controls(cases...))
	}
	answers := x.sitting.Answers()
	for i, q := range x.packet.Items {
		state := say("exam.unanswered")
		_, given := answers[q.Item.ID]
		if given {
			state = say("exam.answered")
		}
		questions = append(questions, Control{ID: "exam:question-" + strconv.Itoa(i), Kind: Pick, Label: say("exam.question", "number", strconv.Itoa(i+1)), Detail: state, Done: given, Disabled: resting, Why: say("exam.isresting")})
	}
	if len(questions) > 0 {
		page.Left = append(page.Left, Block{Kind: Subhead, Text: say("exam.questions"), Note: say("exam.answeredof", "count", strconv.Itoa(len(answers)), "of", strconv.Itoa(len(questions)))}, controls(questions...))
	}
	act := []Control{{ID: "exam:submit", Kind: Button, Label: say("exam.submit"), Disabled: resting, Why: say("exam.isresting")}}
	if x.packet.RestS > 0 {
		label := say("exam.rest", "left", longTime(restLeft/1000))
		if resting {
			label = say("exam.backagain")
		}
		act = append(act, Control{ID: "exam:rest", Kind: Button, Label: label, Chosen: resting})
	}
	page.Act = []Block{controls(act...)}
	if resting {
		page.Centre.Blocks = []Block{{Kind: Heading, Text: say("exam.resting")}, {Kind: Text, Text: say("exam.restingtext")}}
		return
	}
	page.Centre.Blocks = x.caseBlocks()
}

// caseBlocks tell what is known of the chosen case; what the tests and the film show is for the candidate to
// find.
func (x *examining) caseBlocks() []Block {
	if len(x.cases) == 0 {
		return []Block{{Kind: Text, Text: say("exam.onlyquestions")}}
	}
	at := min(max(x.chosen, 0), len(x.cases)-1)
	c := x.cases[at]
	number, age, summary, film := x.patient(at)
	label := say("exam.enter")
	if x.sitting.count(at) > 0 {
		label = say("exam.reenter")
	}
	return []Block{{Kind: Heading, Text: c.title},
		{Kind: Quiet, Text: say("briefing.tooth", "number", strconv.Itoa(number), "age", figure(age, 0))},
		{Kind: Subhead, Text: say("briefing.history")}, {Kind: Text, Text: summary},
		{Kind: Subhead, Text: say("briefing.film")}, {Kind: SmallFilm, Film: film}, {Kind: Gap},
		controls(Control{ID: "exam:enter-" + strconv.Itoa(at), Kind: Primary, Label: label})}
}

// patient returns what is known of a case before it is entered.
func (x *examining) patient(at int) (number int, age float64, summary string, film *FilmScene) {
	if far, is := x.sitting.(*farSitting); is {
		h := &far.cases[at].chair
		return h.Number, h.Age, h.Summary, far.films(at)[0].scene
	}
	c := x.cases[at]
	return c.paper.Case.Number, c.paper.Case.Tooth.Age, c.summary, firstFilm(c.paper.Case)
}

// confirmPage asks whether to hand in, and says what is still open.
func (x *examining) confirmPage(page *Page) {
	page.Left = []Block{{Kind: Heading, Text: x.packet.Title}, {Kind: Figures, Pairs: [][2]string{{say("exam.left"), x.clock()}}}}
	page.Centre.Blocks = []Block{{Kind: Heading, Text: say("exam.sure")}, {Kind: Text, Text: x.open()}, {Kind: Text, Text: say("exam.suretext")}, {Kind: Gap},
		controls(Control{ID: "exam:stay", Kind: Primary, Label: say("exam.goback"), Detail: "Esc"}, Control{ID: "exam:handin", Kind: Button, Label: say("exam.handin")})}
}

// receiptPage is what is left of a sitting that was handed in: its receipt, and where the export lies.
func (x *examining) receiptPage(page *Page) {
	page.Left = []Block{{Kind: Heading, Text: x.packet.Title}, {Kind: Pairs, Pairs: [][2]string{{say("exam.candidate"), x.packet.Candidate},
		{say("exam.attempt"), say("exam.attemptof", "number", strconv.Itoa(x.attempt), "of", strconv.Itoa(x.packet.Terms.Attempts))}}}}
	blocks := []Block{{Kind: Heading, Text: say("exam.handedin")}}
	if x.why != "" {
		blocks = append(blocks, Block{Kind: Said, Text: x.why})
	}
	told, spoken, save := say("exam.receipttext"), exam.Spoken(x.export), say("exam.save")
	if far, is := x.sitting.(*farSitting); is {
		told, spoken, save = say("exam.receiptfar"), exam.SpokenDigest(far.receipt.Digest), say("exam.savereceipt")
	}
	blocks = append(blocks, Block{Kind: Text, Text: told}, Block{Kind: Figures, Pairs: [][2]string{{say("exam.receipt"), spoken}}})
	if x.where != "" {
		blocks = append(blocks, Block{Kind: Text, Text: say("exam.where", "where", x.where)})
	}
	list := []Control{{ID: "exam:save", Kind: Button, Label: save}}
	if text := x.handedText(); text != "" {
		blocks = append(blocks, Block{Kind: Said, Text: text})
		if x.handed != nil && x.handed.Err != nil {
			list = append([]Control{{ID: "exam:again", Kind: Primary, Label: say("exam.sendagain")}}, list...)
		}
	}
	blocks = append(blocks, x.markBlocks()...)
	page.Centre.Blocks = append(blocks, Block{Kind: Gap}, controls(append(list, Control{ID: "exam:leave", Kind: Button, Label: say("exam.leave"), Detail: "Esc"})...))
}

// handedText says what came of handing in at the server, "" where there is none.
func (x *examining) handedText() string {
	switch {
	case x.sent != nil:
		return say("exam.sending")
	case x.handed == nil:
		return ""
	case x.handed.Err != nil:
		return say("exam.notsent", "why", x.handed.Err.Error())
	case x.far == nil && x.handed.Digest != exam.Digest(x.export):
		return say("exam.otherkept")
	case x.handed.Late:
		return say("exam.sentlate")
	case x.far != nil:
		return say("exam.sentfar")
	}
	return say("exam.sent")
}

// markBlocks tell the marks of the cases where the paper lets them be told.
func (x *examining) markBlocks() []Block {
	if !x.packet.Terms.Sees(exam.SeeMarks) {
		return []Block{{Kind: Quiet, Text: say("exam.nomarks")}}
	}
	var pairs [][2]string
	for i, c := range x.cases {
		total, available := x.sitting.marks(i)
		pairs = append(pairs, [2]string{c.title, figure(total, 1) + " / " + figure(available, 0)})
	}
	return []Block{{Kind: Subhead, Text: say("exam.marks")}, {Kind: Pairs, Pairs: pairs}}
}
