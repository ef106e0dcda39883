package cli

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// examFace is an exam by lines: a list of cases and questions, and within a case the treatment by lines.
type examFace struct {
	room    *examRoom
	sitting *exam.Sitting
	prompt  *bench.Prompt // of the case that is open, nil none
	from    []scenario.Scenario
	grown   []attempt.Paper
	item    int // question that is open, −1 none
	warned  int // minutes left that were warned of last
	wrong   bool
	done    bool
	failed  error // what ends the program
}

func newExamFace(r *examRoom) *examFace {
	f := &examFace{room: r, sitting: r.sitting, item: -1, warned: 1 << 30}
	for n := range r.sitting.Packet().Cases {
		from, grown, err := r.sitting.Packet().Scenario(n)
		if err != nil {
			f.failed = err
		}
		f.from, f.grown = append(f.from, from), append(f.grown, grown)
	}
	return f
}

// open opens a case, or opens it again as the sitting has it.
func (f *examFace) open(n int) []string {
	var said []string
	f.prompt, said = bench.SitExam(bench.Exam{Scenario: f.from[n], Case: f.grown[n].Case, Done: f.sitting.Run(n).Actions(),
		Do: func(a treatment.Action) error {
			_, err := f.sitting.Do(n, a)
			if errors.Is(err, exam.ErrNotKept) {
				err = fmt.Errorf("%w. Make room on the disk and do it again; what was done before is kept", err)
			}
			return err
		},
		Look: func(what string) error { return f.sitting.Look(n, what) }})
	return append(said, "", "Type help for what can be asked, offers for what can be done now, leave to leave the case; it can be taken up again until you submit.")
}

// welcome says what there is to do.
func (f *examFace) welcome() []string {
	packet := f.sitting.Packet()
	said := []string{packet.Title, fmt.Sprintf("Paper %s, candidate %s, attempt %d.", packet.Paper, packet.Candidate, f.sitting.Attempt())}
	if f.room.taken {
		said = append(said, "You go on where you were; nothing is lost.")
	}
	return append(append(said, f.list()...), "", "Type case N or question N to begin with one, submit when you are done, help for all words. Everything is kept at once; you may leave and come back, but the clock goes on.")
}

// list says what there is and how far it is.
func (f *examFace) list() []string {
	packet := f.sitting.Packet()
	var out []string
	for n, c := range packet.Cases {
		out = append(out, fmt.Sprintf("  case %d: %s, %d actions done", n+1, c.Title, len(f.sitting.Run(n).Actions())))
	}
	answers, open := f.sitting.Answers(), []string{}
	for n, shown := range packet.Items {
		if _, given := answers[shown.Item.ID]; !given {
			open = append(open, strconv.Itoa(n+1))
		}
	}
	if len(packet.Items) > 0 {
		text := fmt.Sprintf("  questions 1 to %d: all answered", len(packet.Items))
		if len(open) > 0 {
			text = fmt.Sprintf("  questions 1 to %d: not answered yet %s", len(packet.Items), strings.Join(open, " "))
		}
		out = append(out, text)
	}
	return append(out, "  "+f.time())
}

// time says what time is left.
func (f *examFace) time() string {
	left, limited := f.sitting.Left()
	switch {
	case !limited:
		return "there is no time limit"
	case left <= 0:
		return "the time is over; submit"
	}
	return fmt.Sprintf("%d:%02d minutes left", left/60000, left/1000%60)
}

// Ask is what stands before the next line: in which part, and the minutes left.
func (f *examFace) Ask() string {
	left := ""
	if ms, limited := f.sitting.Left(); limited {
		left = fmt.Sprintf("[%d min] ", max(0, (ms+59_999)/60_000))
	}
	switch {
	case f.prompt != nil:
		return left + f.prompt.Ask()
	case f.item >= 0:
		return left + fmt.Sprintf("question %d> ", f.item+1)
	}
	return left + "exam> "
}

// Done reports whether the person left or submitted.
func (f *examFace) Done() bool { return f.done || f.failed != nil }

// Line does what a line asks for.
func (f *examFace) Line(line string) []string {
	f.wrong = false
	var said []string
	switch {
	case f.prompt != nil:
		said = f.treat(line)
	case f.item >= 0:
		said = f.answer(line)
	default:
		said = f.menu(line)
	}
	return append(said, f.warnings()...)
}

// warnings tells once that 10, 5, 2 and 1 minutes are left, and that the time is over.
func (f *examFace) warnings() []string {
	left, limited := f.sitting.Left()
	if !limited || f.sitting.Submitted() {
		return nil
	}
	for _, minutes := range []int{0, 1, 2, 5, 10} {
		if left <= int64(minutes)*60_000 {
			if f.warned <= minutes {
				return nil
			}
			f.warned = minutes
			return []string{"", "! " + f.time()}
		}
	}
	return nil
}

// treat hands a line to the case that is open.
func (f *examFace) treat(line string) []string {
	switch strings.ToLower(strings.TrimSpace(line)) {
	case "leave", "quit":
		f.prompt = nil
		return f.list()
	case "time":
		return []string{f.time()}
	}
	said := f.prompt.Line(line)
	f.wrong = f.prompt.Wrong()
	if strings.EqualFold(strings.TrimSpace(line), "help") {
		said = append(said, "  time: what time is left", "  leave: leave the case; it can be taken up again until you submit")
	}
	return said
}

func (f *examFace) refuse(err error) []string {
	f.wrong = true
	return []string{err.Error()}
}

// menu does a word of the exam itself.
func (f *examFace) menu(line string) []string {
	words := strings.Fields(line)
	if len(words) == 0 {
		return nil
	}
	number := 0
	if len(words) > 1 {
		number, _ = strconv.Atoi(words[1])
	}
	switch words[0] {
	case "case":
		if number < 1 || number > len(f.from) {
			return f.refuse(fmt.Errorf("which case? 1 to %d", len(f.from)))
		}
		return f.open(number - 1)
	case "question":
		if number < 1 || number > len(f.sitting.Packet().Items) {
			return f.refuse(fmt.Errorf("which question? 1 to %d", len(f.sitting.Packet().Items)))
		}
		f.item = number - 1
		return f.question()
	case "list", "time":
		return f.list()
	case "rest":
		return f.said(f.sitting.Rest(), "The clock stands still, as long as rest is left. Type back to go on.")
	case "back":
		return f.said(f.sitting.Back(), "The clock goes on.")
	case "submit":
		return f.submit(words[1:])
	case "quit", "leave":
		f.done = true
		return []string{"Left. Everything is kept; give the same command to go on. The clock goes on."}
	case "help":
		return menuHelp()
	}
	return f.refuse(fmt.Errorf("%.40q is not known here; there are list, case, question, rest, back, submit, help, quit", words[0]))
}

// menuHelp explains the words of an exam itself.
func menuHelp() []string {
	return []string{"  list: what there is, and the time left", "  case N: treat a case; leave leaves it", "  question N: answer a question; the last answer counts",
		"  rest, back: stop the clock as long as you have rest", "  submit: hand in; after that nothing can be changed", "  quit: leave; the clock goes on"}
}

// Wrong reports whether the last line was refused.
func (f *examFace) Wrong() bool { return f.wrong }

// Failed returns what ended it.
func (f *examFace) Failed() error { return f.failed }

func (f *examFace) said(err error, text string) []string {
	if err != nil {
		return f.refuse(err)
	}
	return []string{text}
}

// submit hands in, once the person has said yes.
func (f *examFace) submit(words []string) []string {
	if !slices.Equal(words, []string{"yes"}) {
		return append(f.list(), "Submit for good? Then type: submit yes")
	}
	said, err := f.room.submit()
	if err != nil {
		if !f.sitting.Submitted() {
			return f.refuse(err)
		}
		f.failed = err
		return nil
	}
	f.done = true
	return said
}

// question prints the question that is open.
func (f *examFace) question() []string { return questionLines(f.sitting.Packet().Items[f.item]) }

// questionLines prints a question.
func questionLines(shown exam.Shown) []string {
	var text bytes.Buffer
	out := bufio.NewWriter(&text)
	d := &dialogue{s: &session{out: out}, page: page{out}}
	d.page.paragraph("", fmt.Sprintf("%s (%s points)", shown.Item.Stem, points(shown.Points)))
	d.parts(shown.Order())
	fmt.Fprintf(out, "\n%s or skip\n", prompt(shown.Item))
	_ = out.Flush()
	return strings.Split(strings.TrimRight(text.String(), "\n"), "\n")
}

// answer reads an answer to the question that is open.
func (f *examFace) answer(line string) []string {
	shown := f.sitting.Packet().Items[f.item]
	switch word := strings.ToLower(strings.TrimSpace(line)); word {
	case "":
		return nil
	case "skip", "quit", "q":
		f.item = -1
		return f.list()
	}
	r, err := read(shown.Order(), line)
	if err == nil {
		err = f.sitting.Answer(shown.Item.ID, r)
	}
	if err != nil {
		return f.refuse(err)
	}
	f.item++
	if _, given := f.sitting.Answers()[shown.Item.ID]; given && f.item < len(f.sitting.Packet().Items) {
		return append([]string{"Noted.", ""}, f.question()...)
	}
	f.item = -1
	return append([]string{"Noted."}, f.list()...)
}

// Complete returns how the last word may go on.
func (f *examFace) Complete(line string) []string {
	if f.prompt != nil {
		return f.prompt.Complete(line)
	}
	var out []string
	for _, w := range []string{"list", "case", "question", "rest", "back", "submit", "help", "quit"} {
		if f.item < 0 && strings.HasPrefix(w, line) {
			out = append(out, w)
		}
	}
	return out
}

// newLines reads lines of a bounded length.
func newLines(from io.Reader) *bufio.Scanner {
	in := bufio.NewScanner(from)
	in.Buffer(make([]byte, 0, lineLimit), lineLimit)
	return in
}
