package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/treatment"
)

// ExamScreen is an examination: its rules, its desk, and what is left when it was handed in.
const ExamScreen Screen = "exam"

// ExamDesk is what an examination needs from outside the session: a log that outlives a kill, a place for
// what is handed in, and a server where there is one. Its methods return at once.
type ExamDesk interface {
	// Log opens the log of an attempt, from 1, with the lines that are kept of it.
	Log(packet exam.Packet, attempt int) (exam.Log, [][]byte, error)
	// Keep keeps an export as a file or a download and says where.
	Keep(name string, export []byte) (string, error)
	// HandIn sends an export to the class server; the channel gives what came of it. Nil: there is none.
	HandIn(attempt int, export []byte) <-chan HandedIn
	// Seat is the class server that steps the sitting; nil: there is none.
	Seat() Seat
	// Clock is the clock of the sitting; nil the machine's.
	Clock() exam.Clock
}

// HandedIn is what came of handing in at a server.
type HandedIn struct {
	Digest string // of what the server kept, SHA-256 in hex
	Late   bool
	Err    error
}

// examPhase says where a candidate stands.
type examPhase int

const (
	examStart   examPhase = iota // rules and time
	examDesk                     // what is to be done, the clock running
	examConfirm                  // hand in?
	examReceipt                  // it is handed in
)

// examining is an examination on the bench.
type examining struct {
	desk     ExamDesk
	packet   exam.Packet
	attempt  int // that will be begun or gone on with
	log      exam.Log
	lines    [][]byte
	sitting  sitting // nil before it began
	far      Seat    // that steps it; nil: it is sat here
	status   handin.Status
	phase    examPhase
	cases    []examCase
	chosen   int       // case looked at on the desk
	practice *treating // that lay on the bench before
	quiz     *quizzing // of the paper, nil without questions
	own      *quizzing // the student's own
	answers  []answering
	left     int64 // s, as last told
	warned   int   // warnings given
	why      string
	export   []byte
	where    string // the export was kept
	sent     <-chan HandedIn
	handed   *HandedIn
	unsent   string // that the class server takes no more of the log
}

// examCase is one case of the paper.
type examCase struct {
	title, summary string
	paper          attempt.Paper // empty where a server steps it
	run            *treating     // nil before it was entered
}

// warnings are the times left, s, at which a candidate is told.
func warnings() []int64 { return []int64{30 * 60, 10 * 60, 5 * 60, 60} }

// takePacket opens an examination that was handed to the bench.
func (s *Session) takePacket(data []byte) {
	if s.exam != nil && s.exam.phase != examReceipt && s.exam.sitting != nil {
		s.refuse(say("exam.already"))
		return
	}
	if s.desk == nil {
		s.refuse(say("exam.nodesk"))
		return
	}
	packet, far, err := s.readPacket(data)
	if err != nil {
		s.refuse(examRefusal(err))
		return
	}
	x := &examining{desk: s.desk, packet: packet, far: far, own: s.quiz, practice: s.run, left: -1}
	for i := range packet.Cases {
		if far != nil {
			x.cases = append(x.cases, examCase{title: packet.Cases[i].Title})
			continue
		}
		sc, paper, err := packet.Scenario(i)
		if err != nil {
			s.refuse(err.Error())
			return
		}
		x.cases = append(x.cases, examCase{title: sc.Title(), summary: sc.Summary(), paper: paper})
	}
	if err := x.find(); err != nil {
		s.refuse(err.Error())
		return
	}
	x.openQuestions(s)
	s.exam = x
	s.open(ExamScreen)
}

// readPacket reads a packet that is sat here, or what a class server hands out of one that it steps.
func (s *Session) readPacket(data []byte) (exam.Packet, Seat, error) {
	packet, err := exam.DecodePacket(data)
	if seat := s.desk.Seat(); err != nil && seat != nil {
		if outside, err := exam.DecodeOutside(data); err == nil {
			return outside, seat, nil
		}
	}
	return packet, nil, err
}

// examRefusal says why a document of an examination is refused.
func examRefusal(err error) string {
	refused := exam.AsRefusal(err)
	if refused == nil {
		return err.Error()
	}
	if text := refused.Code.Meaning(); text != "" {
		return capital(text) + " (" + refused.Error() + ")"
	}
	return refused.Error()
}

// find finds the attempt to go on with or to begin: the first that is not submitted. With none left, or when the
// paper has closed, the last one is shown as it was handed in.
func (x *examining) find() error {
	if x.far != nil {
		return x.findFar()
	}
	for n := 1; n <= x.packet.Terms.Attempts; n++ {
		log, lines, err := x.desk.Log(x.packet, n)
		if err != nil {
			return errors.New(say("exam.nolog", "why", err.Error()))
		}
		if len(lines) == 0 && n > 1 && x.closedNow() {
			break
		}
		x.attempt, x.log, x.lines = n, log, lines
		if len(lines) == 0 {
			return nil
		}
		last, err := exam.DecodeLine(lines[len(lines)-1])
		if err != nil || last.Kind != exam.KindSubmit {
			return nil
		}
	}
	return x.begin(nil)
}

// findFar does what find does where a class server steps the sitting.
func (x *examining) findFar() error {
	var err error
	if x.status, err = x.far.Status(); err != nil {
		return errors.New(say("exam.nolog", "why", err.Error()))
	}
	handed := map[string]bool{}
	for _, text := range x.status.Receipts {
		var r handin.Receipt
		if err := json.Unmarshal(text, &r); err != nil {
			return fmt.Errorf("receipt: %w", err)
		}
		handed[r.Attempt] = true
	}
	x.attempt = 1
	for x.attempt < x.packet.Terms.Attempts && handed[strconv.Itoa(x.attempt)] {
		x.attempt++
	}
	if x.attempt > 1 && !x.begun() && x.closedNow() {
		x.attempt--
	}
	if handed[strconv.Itoa(x.attempt)] {
		return x.begin(nil)
	}
	return nil
}

// begun reports whether the attempt was begun before.
func (x *examining) begun() bool {
	return len(x.lines) > 0 || slices.Contains(x.status.Attempts, strconv.Itoa(x.attempt))
}

// now is the clock of the sitting.
func (x *examining) now() exam.Clock {
	if clock := x.desk.Clock(); clock != nil {
		return clock
	}
	return exam.SystemClock()
}

// closedNow reports whether no sitting can be begun any more.
func (x *examining) closedNow() bool {
	now, _ := x.now()()
	return x.packet.Terms.UntilS > 0 && now > x.packet.Terms.UntilS*1000
}

// begin begins the sitting or goes on with it, and takes every case up where it stands.
func (x *examining) begin(s *Session) error {
	if err := x.sitDown(); err != nil {
		return err
	}
	x.phase, x.left = examDesk, -1
	x.recall()
	for x.warned < len(warnings()) && x.secondsLeft() < warnings()[x.warned] {
		x.warned++
	}
	if x.sitting.Submitted() {
		return x.closed(s)
	}
	return nil
}

// sitDown begins the sitting or takes it up, here or at the server that steps it.
func (x *examining) sitDown() error {
	if x.far != nil {
		far, err := beginFar(x.far, x.packet, x.attempt, x.now())
		if err == nil {
			x.sitting = far
		}
		return err
	}
	options := exam.Options{Log: x.log, Clock: x.desk.Clock()}
	var near *exam.Sitting
	var err error
	if len(x.lines) == 0 {
		near, err = exam.Begin(x.packet, x.attempt, options)
	} else {
		near, err = exam.Resume(x.packet, x.lines, options)
	}
	if err == nil {
		x.sitting = nearSitting{near}
	}
	return err
}

// limited reports whether the time is limited.
func (x *examining) limited() bool { return x.packet.LimitS > 0 }

// secondsLeft returns the time left in whole seconds; a year where it is not limited.
func (x *examining) secondsLeft() int64 {
	if x.sitting == nil || !x.limited() {
		return 365 * 86400
	}
	left, _ := x.sitting.Left()
	return left / 1000
}

// tickExam lets the clock of a sitting run: it is shown by the second, warns at the stated times, and hands
// in when the time is over.
func (s *Session) tickExam() {
	x := s.exam
	if x == nil || x.sitting == nil {
		return
	}
	select {
	case handed := <-x.sent:
		x.sent, x.handed = nil, &handed
		s.speak(x.handedText())
		s.changed()
	default:
	}
	if x.sitting.Submitted() || !x.limited() {
		return
	}
	left := x.secondsLeft()
	if left == x.left {
		return
	}
	x.left = left
	if s.screen != HelpScreen && s.screen != SettingsScreen {
		s.changed()
	}
	if left <= 0 {
		s.handIn(say("exam.over"))
		return
	}
	if x.warned < len(warnings()) && left <= warnings()[x.warned] {
		x.warned++
		s.refuse(say("exam.warning", "left", longTime(left)))
	}
}

// do does an action in a case of the sitting; what could not be kept was not done.
func (x *examining) do(index int, a treatment.Action) ([]treatment.Event, error) {
	events, err := x.sitting.do(index, a)
	return events, examError(err)
}

// examError puts a reason why nothing was done into the candidate's words.
func examError(err error) error {
	for _, known := range []struct {
		err error
		key string
	}{{exam.ErrTime, "exam.over"}, {exam.ErrExpired, "exam.expired"}, {exam.ErrEarly, "exam.early"}, {exam.ErrNotKept, "exam.notkept"},
		{exam.ErrResting, "exam.isresting"}, {exam.ErrAttempts, "exam.noattempt"}, {exam.ErrNotSeen, "exam.notseen"}} {
		if errors.Is(err, known.err) {
			return errors.New(say(known.key, "why", err.Error()))
		}
	}
	return err
}

// enter opens a case of the sitting.
func (x *examining) enter(s *Session, index int) {
	if index < 0 || index >= len(x.cases) {
		return
	}
	c := &x.cases[index]
	if c.run == nil {
		r := &treating{index: -2 - index, paper: c.paper, exam: x, examCase: index, perceived: true, lines: s.lines}
		if near, here := x.sitting.(nearSitting); here {
			r.forms, r.aim = firstForms(c.paper.Case), c.paper.Goal
			r.replay(near.Run(index).Actions())
			r.run = near.Run(index)
		} else {
			r.paper.Case = r.far().tray
			r.forms = firstForms(r.paper.Case)
			r.far().lay(r)
		}
		r.kind = stages()[0].kinds[0]
		r.settle()
		c.run = r
	}
	s.run = c.run
	s.open(TreatmentScreen)
}

// toDesk goes back to the desk of the sitting.
func (s *Session) toDesk() {
	x := s.exam
	if s.run != nil && s.run.exam != nil {
		s.run.letGo(s)
		s.run.unhang()
	}
	s.run, s.quiz = x.practice, x.own
	if x.phase == examConfirm {
		x.phase = examDesk
	}
	s.open(ExamScreen)
}

// pressExam handles the controls of an examination.
func (s *Session) pressExam(rest string) {
	x := s.exam
	if x == nil {
		return
	}
	word, number, _ := strings.Cut(rest, "-")
	tail, _ := strconv.Atoi(number) // the id was made here
	switch word {
	case "begin":
		if err := x.begin(s); err != nil {
			s.refuse(examError(err).Error())
			return
		}
		s.focus = ""
		s.speak(say("exam.begun"))
	case "case":
		x.chosen = tail
	case "enter":
		x.enter(s, tail)
	case "question":
		x.ask(s, tail)
	case "desk":
		s.toDesk()
	case "rest":
		x.rest(s)
	case "submit":
		x.phase, s.focus = examConfirm, ""
		s.speak(x.open())
	case "stay":
		x.phase, s.focus = examDesk, ""
	case "handin":
		s.handIn("")
	case "again":
		x.send(s)
	case "save":
		x.keep(s)
	case "leave":
		s.leaveExam()
	}
}

// rest begins a rest or ends it.
func (x *examining) rest(s *Session) {
	_, resting := x.sitting.RestLeft()
	err := error(nil)
	if resting {
		err = x.sitting.Back()
	} else {
		err = x.sitting.Rest()
	}
	if err != nil {
		s.refuse(examError(err).Error())
	}
}

// handIn ends the sitting, keeps the export and sends it where there is a server.
func (s *Session) handIn(why string) {
	x := s.exam
	if s.run != nil && s.run.exam != nil {
		s.run.hold = holding{}
	}
	s.toDesk()
	if err := x.closed(s); err != nil {
		s.refuse(examError(err).Error())
		return
	}
	x.why = why
	s.open(ExamScreen)
	if why != "" {
		s.speak(why)
	}
}

// closed makes the export of a sitting that is to be over, keeps it and sends it; a nil session means that
// it was handed in before and nothing is to be done again.
func (x *examining) closed(s *Session) error {
	export, err := x.sitting.Submit()
	if err != nil {
		return err
	}
	x.export, x.phase = export, examReceipt
	if far, is := x.sitting.(*farSitting); is {
		x.handed = &HandedIn{Digest: far.receipt.Digest, Late: far.receipt.Late}
		if s != nil {
			s.speak(x.handedText())
		}
		return nil
	}
	if s != nil {
		x.keep(s)
		x.send(s)
	}
	return nil
}

// keep keeps the export as a file or a download.
func (x *examining) keep(s *Session) {
	name, text := exam.ExportFile(x.packet.Candidate, x.attempt), x.export
	if far, is := x.sitting.(*farSitting); is {
		name, text = exam.ReceiptFile(x.packet.Candidate, x.attempt), far.seen.Receipt
	}
	where, err := x.desk.Keep(name, text)
	if err != nil {
		s.refuse(say("exam.notsaved", "why", err.Error()))
		return
	}
	x.where = where
}

// send hands the export in at the server, where there is one.
func (x *examining) send(s *Session) {
	x.handed = nil
	x.sent = x.desk.HandIn(x.attempt, x.export)
	if x.sent != nil {
		s.speak(say("exam.sending"))
	}
}

// leaveExam puts the paper away.
func (s *Session) leaveExam() {
	x := s.exam
	if x.sitting != nil && !x.sitting.Submitted() {
		s.refuse(say("exam.stay"))
		return
	}
	s.run, s.quiz, s.exam = x.practice, x.own, nil
	s.open(ShelfScreen)
}

// backInExam goes one step back on the pages of an examination.
func (s *Session) backInExam() {
	x := s.exam
	if x.phase == examConfirm {
		x.phase, s.focus = examDesk, ""
		return
	}
	s.leaveExam()
}

// open says what is still open when a sitting is to be handed in.
func (x *examining) open() string {
	answered := len(x.sitting.Answers())
	untouched := 0
	for i := range x.cases {
		if x.sitting.count(i) == 0 {
			untouched++
		}
	}
	return say("exam.open", "cases", strconv.Itoa(untouched), "questions", strconv.Itoa(len(x.packet.Items)-answered))
}

// sees reports whether something may be seen: in practice everything, in an examination what its paper
// says.
func (r *treating) sees(what string) bool {
	return r.exam == nil || r.exam.packet.Terms.Sees(what)
}

// blocked refuses what an examination does not have, and notes the look at what its paper allows.
func (r *treating) blocked(s *Session, head string) bool {
	if r.exam == nil {
		return false
	}
	switch head {
	case "section", "live", "hint", "guide":
		what := map[string]string{"section": exam.SeeSection, "live": exam.SeeSection, "hint": exam.SeeHints, "guide": exam.SeeGuidance}[head]
		if r.far() != nil && head != "hint" {
			s.refuse(say("exam.notfar"))
			return true
		}
		on := head == "section" && r.section || head == "live" && r.live || head == "guide" && r.guided
		if on {
			return false // it is put away
		}
		if err := r.exam.sitting.Look(r.examCase, what); err != nil {
			s.refuse(examError(err).Error())
			return true
		}
	case "checkpoint", "rewind":
		s.refuse(say("exam.nowind"))
		return true
	case "finish":
		s.toDesk()
		return true
	}
	return false
}

// isPacket reports whether a text is the paper of a candidate.
func isPacket(data []byte) bool {
	return bytes.Contains(data, []byte(`"`+exam.PacketSchema+`"`))
}
