package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/exam"
	"tugback/internal/quiz"
)

// seat is where a sitting is kept: on this machine, or on a class server that steps it. What a method says is
// told to the candidate; wrong means that it was refused.
type seat interface {
	name() string               // which attempt, and where
	taken() bool                // gone on with
	actions(n int) int          // done in a case, from 0
	answered(item string) bool  // by its id
	left() (ms int64, lim bool) // time left, and whether there is a limit
	open(n int) (said []string, wrong bool)
	line(n int, line string) (said []string, wrong bool)
	ask(n int) string
	complete(n int, line string) []string
	answer(item string, r quiz.Response) (said []string, wrong bool)
	rest() (said []string, wrong bool)
	back() (said []string, wrong bool)
	submit() (said []string, submitted bool, err error)
}

// refused says an error.
func refused(err error) (said []string, wrong bool) { return []string{err.Error()}, true }

// examFace is an exam by lines: a list of cases and questions, and within a case the treatment by lines.
type examFace struct {
	seat   seat
	packet exam.Packet
	one    int   // case that is open, −1 none
	item   int   // question that is open, −1 none
	warned int64 // minutes left that were warned of last
	wrong  bool
	done   bool
	failed error // what ends the program
}

func newExamFace(at seat, packet exam.Packet) *examFace {
	return &examFace{seat: at, packet: packet, one: -1, item: -1, warned: 1 << 30}
}

// welcome says what there is to do.
func (f *examFace) welcome() []string {
	said := []string{f.packet.Title, fmt.Sprintf("Paper %s, candidate %s, %s.", f.packet.Paper, f.packet.Candidate, f.seat.name())}
	if f.seat.taken() {
		said = append(said, "You go on where you were; nothing is lost.")
	}
	return append(append(said, f.list()...), "", "Type case N or question N to begin with one, submit when you are done, help for all words. Everything is kept at once; you may leave and come back, but the clock goes on.")
}

// list says what there is and how far it is.
func (f *examFace) list() []string {
	var out, open []string
	for n, c := range f.packet.Cases {
		out = append(out, fmt.Sprintf("  case %d: %s, %d actions done", n+1, c.Title, f.seat.actions(n)))
	}
	for n, shown := range f.packet.Items {
		if !f.seat.answered(shown.Item.ID) {
			open = append(open, strconv.Itoa(n+1))
		}
	}
	if count := len(f.packet.Items); count > 0 {
		text := fmt.Sprintf("  questions 1 to %d: all answered", count)
		if len(open) > 0 {
			text = fmt.Sprintf("  questions 1 to %d: not answered yet %s", count, strings.Join(open, " "))
		}
		out = append(out, text)
	}
	return append(out, "  "+f.time())
}

// time says what time is left.
func (f *examFace) time() string {
	left, limited := f.seat.left()
	switch {
	case !limited:
		return "there is no time limit"
	case left <= 0:
		return "the time is over; submit"
	}
	return fmt.Sprintf("%d:%02d minutes left", left/60_000, left/1000%60)
}

// Ask is what stands before the next line: in which part, and the minutes left.
func (f *examFace) Ask() string {
	left := ""
	if ms, limited := f.seat.left(); limited {
		left = fmt.Sprintf("[%d min] ", max(0, (ms+59_999)/60_000))
	}
	switch {
	case f.one >= 0:
		return left + f.seat.ask(f.one)
	case f.item >= 0:
		return left + fmt.Sprintf("question %d> ", f.item+1)
	}
	return left + "exam> "
}

// Done reports whether the person left or submitted.
func (f *examFace) Done() bool { return f.done || f.failed != nil }

// Line does what a line asks for.
func (f *examFace) Line(line string) []string {
	var said []string
	switch {
	case f.one >= 0:
		said, f.wrong = f.treat(line)
	case f.item >= 0:
		said, f.wrong = f.answer(line)
	default:
		said, f.wrong = f.menu(line)
	}
	return append(said, f.warnings()...)
}

// warnings tells once that 10, 5, 2 and 1 minutes are left, and that the time is over.
func (f *examFace) warnings() []string {
	left, limited := f.seat.left()
	if !limited || f.Done() {
		return nil
	}
	for _, minutes := range []int64{0, 1, 2, 5, 10} {
		if left <= minutes*60_000 {
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
func (f *examFace) treat(line string) (said []string, wrong bool) {
	word := strings.ToLower(strings.TrimSpace(line))
	switch word {
	case "":
		return nil, false
	case "leave", "quit":
		f.one = -1
		return f.list(), false
	case "time":
		return []string{f.time()}, false
	}
	said, wrong = f.seat.line(f.one, line)
	if word == "help" {
		said = append(slices.Clone(said), "  time: what time is left", "  leave: leave the case; it can be taken up again until you submit")
	}
	return said, wrong
}

// menuWords are the words of the exam itself.
func menuWords() []string {
	return []string{"list", "case", "question", "rest", "back", "submit", "help", "quit"}
}

// menu does a word of the exam itself.
func (f *examFace) menu(line string) (said []string, wrong bool) {
	words := strings.Fields(line)
	if len(words) == 0 {
		return nil, false
	}
	number := 0
	if len(words) > 1 {
		number, _ = strconv.Atoi(words[1])
	}
	switch words[0] {
	case "case":
		return f.open(number)
	case "question":
		if number < 1 || number > len(f.packet.Items) {
			return refused(fmt.Errorf("which question? 1 to %d", len(f.packet.Items)))
		}
		f.item = number - 1
		return f.question(), false
	case "list", "time":
		return f.list(), false
	case "rest":
		return f.seat.rest()
	case "back":
		return f.seat.back()
	case "submit":
		return f.submit(words[1:])
	case "quit", "leave":
		f.done = true
		return []string{"Left. Everything is kept; give the same command to go on. The clock goes on."}, false
	case "help":
		return []string{"  list: what there is, and the time left", "  case N: treat a case; leave leaves it", "  question N: answer a question; the last answer counts",
			"  rest, back: stop the clock as long as you have rest", "  submit: hand in; after that nothing can be changed", "  quit: leave; the clock goes on"}, false
	}
	return refused(fmt.Errorf("%.40q is not known here; there are %s", words[0], strings.Join(menuWords(), ", ")))
}

// open opens a case by its number, or opens it again as the sitting has it.
func (f *examFace) open(number int) (said []string, wrong bool) {
	if number < 1 || number > len(f.packet.Cases) {
		return refused(fmt.Errorf("which case? 1 to %d", len(f.packet.Cases)))
	}
	said, wrong = f.seat.open(number - 1)
	if !wrong {
		f.one = number - 1
		said = append(slices.Clone(said), "", "Type help for what can be asked, offers for what can be done now, leave to leave the case; it can be taken up again until you submit.")
	}
	return said, wrong
}

// Wrong reports whether the last line was refused.
func (f *examFace) Wrong() bool { return f.wrong }

// Failed returns what ended it.
func (f *examFace) Failed() error { return f.failed }

// submit hands in, once the person has said yes.
func (f *examFace) submit(words []string) (said []string, wrong bool) {
	if !slices.Equal(words, []string{"yes"}) {
		return append(f.list(), "Submit for good? Then type: submit yes"), false
	}
	said, submitted, err := f.seat.submit()
	if !submitted {
		return refused(err)
	}
	f.done, f.failed = true, err
	return said, false
}

// question prints the question that is open.
func (f *examFace) question() []string {
	shown := f.packet.Items[f.item]
	var text bytes.Buffer
	out := bufio.NewWriter(&text)
	d := &dialogue{s: &session{out: out}, page: page{out}}
	d.page.paragraph("", fmt.Sprintf("%s (%s points)", shown.Item.Stem, points(shown.Points)))
	d.parts(shown.Order())
	fmt.Fprintf(out, "\n%s or skip\n", prompt(shown.Item))
	_ = out.Flush()
	return strings.Split(strings.TrimRight(text.String(), "\n"), "\n")
}

// answer reads an answer to the question that is open and goes on to the next.
func (f *examFace) answer(line string) (said []string, wrong bool) {
	shown := f.packet.Items[f.item]
	switch word := strings.ToLower(strings.TrimSpace(line)); word {
	case "":
		return nil, false
	case "skip", "quit", "q":
		f.item = -1
		return f.list(), false
	}
	r, err := read(shown.Order(), line)
	if err != nil {
		return refused(err)
	}
	if said, wrong = f.seat.answer(shown.Item.ID, r); wrong {
		return said, true
	}
	if f.item++; f.item < len(f.packet.Items) {
		return append(append(slices.Clone(said), ""), f.question()...), false
	}
	f.item = -1
	return append(slices.Clone(said), f.list()...), false
}

// Complete returns how the last word may go on.
func (f *examFace) Complete(line string) []string {
	switch {
	case f.one >= 0:
		return f.seat.complete(f.one, line)
	case f.item >= 0:
		return nil
	}
	return beginning(menuWords(), line)
}

// beginning returns the words that begin with a text.
func beginning(words []string, text string) []string {
	return slices.DeleteFunc(words, func(w string) bool { return !strings.HasPrefix(w, text) })
}

// newLines reads lines of a bounded length.
func newLines(from io.Reader) *bufio.Scanner {
	in := bufio.NewScanner(from)
	in.Buffer(make([]byte, 0, lineLimit), lineLimit)
	return in
}
