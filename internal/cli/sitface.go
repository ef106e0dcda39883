package cli

import (
	"bufio"
	"bytes"
	"encoding/json"
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
	mirror  *mirror
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

// mirror does in a sitting what was done at the prompt of a case.
type mirror struct {
	sitting *exam.Sitting
	one     int
	err     error
}

// Keep takes a finished record; in an exam there is none before submitting.
func (m *mirror) Keep([]byte) {}

// SaveCurrent does the actions that the sitting has not done yet.
func (m *mirror) SaveCurrent(run []byte) {
	var kept struct {
		Actions []treatment.Action `json:"actions"`
	}
	if len(run) == 0 || m.err != nil {
		return
	}
	if m.err = json.Unmarshal(run, &kept); m.err != nil {
		return
	}
	have := len(m.sitting.Run(m.one).Actions())
	for _, a := range kept.Actions[min(have, len(kept.Actions)):] {
		if _, m.err = m.sitting.Do(m.one, a); m.err != nil {
			return
		}
	}
}

// forbidden are the words of a treatment that an exam has not, whatever the paper allows: what is done is
// done, and nothing is marked before the end.
func forbidden(t exam.Terms) []string {
	words := []string{"finish", "checkpoint", "rewind"}
	for word, sight := range map[string]string{"hint": exam.SeeHints, "guide": exam.SeeGuidance, "section": exam.SeeSection} {
		if !t.Sees(sight) {
			words = append(words, word)
		}
	}
	return words
}

// open opens a case, or opens it again as the sitting has it.
func (f *examFace) open(n int) []string {
	actions := f.sitting.Run(n).Actions()
	current, err := json.Marshal(map[string]any{"format": 1, "engine": treatment.Engine, "scenario": f.from[n].Name(),
		"digest": f.grown[n].Case.Digest, "seed": strconv.FormatUint(f.grown[n].Case.Seed, 10), "actions": actions})
	if err != nil {
		f.failed = err
		return nil
	}
	f.mirror = &mirror{sitting: f.sitting, one: n}
	o := bench.Sitting{Scenario: f.from[n], Case: f.grown[n].Case, Keeper: f.mirror, Without: forbidden(f.sitting.Packet().Terms)}
	if len(actions) > 0 {
		o.Current = current
	}
	var said []string
	f.prompt, said = bench.Sit(o)
	return said
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
	for word, sight := range map[string]string{"hint": exam.SeeHints, "guide": exam.SeeGuidance, "section": exam.SeeSection} {
		if words := strings.Fields(line); len(words) > 0 && strings.EqualFold(words[0], word) && f.sitting.Packet().Terms.Sees(sight) {
			if err := f.sitting.Look(f.mirror.one, sight); err != nil {
				return f.refuse(err)
			}
		}
	}
	said := f.prompt.Line(line)
	f.wrong = f.prompt.Wrong()
	if err := f.mirror.err; err != nil {
		f.open(f.mirror.one) // as the sitting has it
		return append([]string{"! This was not done: " + err.Error()}, f.refused(err)...)
	}
	if f.prompt.Done() {
		f.prompt = nil
		said = append(said, f.list()...)
	}
	return said
}

// refused marks a line as refused, and leaves the case when the time is over.
func (f *examFace) refused(err error) []string {
	f.wrong = true
	if errors.Is(err, exam.ErrNotKept) {
		return []string{"Make room on the disk and do it again; what was done before is kept."}
	}
	f.prompt = nil
	return nil
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
		return []string{"  list: what there is, and the time left", "  case N: treat a case; quit leaves it", "  question N: answer a question; the last answer counts",
			"  rest, back: stop the clock as long as you have rest", "  submit: hand in; after that nothing can be changed", "  quit: leave; the clock goes on"}
	}
	return f.refuse(fmt.Errorf("%.40q is not known here; there are list, case, question, rest, back, submit, help, quit", words[0]))
}

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
func (f *examFace) question() []string {
	shown := f.sitting.Packet().Items[f.item]
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
