package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/term"

	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/treatment"
)

// stepped sits a paper that is stepped on a class server: this machine never knows the tooth.
func (c *paperSit) stepped(s *session, client handin.Client, text []byte) error {
	if c.Operator != "" {
		return usage("--operator treats a tooth it is given; at a paper stepped on the server nobody is given one")
	}
	f := &steppedFace{client: client, attempt: strconv.Itoa(max(c.Attempt, 1)), one: -1, item: -1}
	if err := json.Unmarshal(text, &f.packet); err != nil {
		return fmt.Errorf("the packet from %s: %w", c.Server, err)
	}
	if err := f.step(handin.Step{Do: handin.StepBegin}); err != nil {
		return fmt.Errorf("--server %s: %w", c.Server, err)
	}
	switch file, is := s.in.(*os.File); {
	case f.seen.Submitted:
		return tellReceipt(s, f)
	case c.scripted():
		return c.scriptThere(s, f)
	case is && term.IsTerminal(int(file.Fd())): //nolint:gosec // a descriptor fits
		return s.typed(file, f.welcome(), f, func() error { return f.failed })
	}
	return s.piped(f)
}

func tellReceipt(s *session, f *steppedFace) error {
	said, err := f.receipt()
	for _, line := range said {
		fmt.Fprintln(s.out, line)
	}
	return err
}

// scriptThere sends plans and answers to the server.
func (c *paperSit) scriptThere(s *session, f *steppedFace) error {
	answers, err := c.answers(f.packet)
	if err != nil {
		return err
	}
	for _, one := range answers {
		if slices.Contains(f.seen.Answered, one.Item) {
			continue
		}
		if err := f.must(handin.Step{Do: handin.StepAnswer, Item: one.Item, Answer: &one.Response}); err != nil {
			return fmt.Errorf("question %s: %w", one.Item, err)
		}
	}
	if len(c.Plan) > len(f.packet.Cases) {
		return usage("%d plans for %d cases", len(c.Plan), len(f.packet.Cases))
	}
	for n, name := range c.Plan {
		plan, err := s.loadPlan(name, f.packet.Cases[n].Name)
		if err != nil {
			return err
		}
		if err := f.carryOut(n, plan.Steps); err != nil {
			return err
		}
	}
	if c.Open {
		fmt.Fprintln(s.out, "Not submitted; give the same command to go on.")
		return nil
	}
	if err := f.must(handin.Step{Do: handin.StepSubmit}); err != nil {
		return err
	}
	return tellReceipt(s, f)
}

// carryOut does the actions of a case that are not done yet.
func (f *steppedFace) carryOut(n int, actions []treatment.Action) error {
	for k := f.seen.Actions[n]; k < len(actions); k++ {
		if err := f.must(handin.Step{Do: handin.StepAction, Case: n, Action: &actions[k]}); err != nil {
			return fmt.Errorf("case %d, action %d: %w; %d of its actions are done and kept", n+1, k+1, err, k)
		}
	}
	return nil
}

// must does a step that is not to be refused.
func (f *steppedFace) must(step handin.Step) error {
	if err := f.step(step); err != nil {
		return err
	}
	if f.seen.Refused {
		return errors.New(strings.Join(f.seen.Said, " "))
	}
	return nil
}

// steppedFace is an exam by lines that a class server steps.
type steppedFace struct {
	client  handin.Client
	attempt string
	packet  exam.Packet // without teeth
	seen    handin.Seen
	at      time.Time // when it was seen
	one     int       // case that is open, −1 none
	item    int       // question that is open, −1 none
	wrong   bool
	done    bool
	failed  error
}

// step asks one thing of the server, again when no answer comes.
func (f *steppedFace) step(step handin.Step) error {
	step.Acts = f.seen.Acts
	err := patiently(func() error {
		seen, err := f.client.Step(context.Background(), f.attempt, step)
		if err == nil {
			f.seen, f.at = seen, time.Now()
		}
		return err
	})
	var refused *handin.Error
	if errors.As(err, &refused) && refused.Status == http.StatusConflict && step.Do != handin.StepBegin {
		if err2 := f.step(handin.Step{Do: handin.StepBegin}); err2 != nil {
			return err2
		}
		return fmt.Errorf("the sitting went on elsewhere: %d acts are done by now; see list", f.seen.Acts)
	}
	return err
}

// welcome says what there is to do.
func (f *steppedFace) welcome() []string {
	said := []string{f.packet.Title, fmt.Sprintf("Paper %s, candidate %s, attempt %s, stepped on the server.", f.packet.Paper, f.packet.Candidate, f.attempt)}
	if f.seen.Acts > 0 {
		said = append(said, "You go on where you were; nothing is lost.")
	}
	return append(append(said, f.list()...), "", "Type case N or question N to begin with one, submit when you are done, help for all words. Everything is kept at once; you may leave and come back, but the clock goes on.")
}

// list says what there is and how far it is.
func (f *steppedFace) list() []string {
	var out []string
	for n, c := range f.packet.Cases {
		out = append(out, fmt.Sprintf("  case %d: %s, %d actions done", n+1, c.Title, f.seen.Actions[n]))
	}
	var open []string
	for n, shown := range f.packet.Items {
		if !slices.Contains(f.seen.Answered, shown.Item.ID) {
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

// left returns the seconds left by now, −1 without limit.
func (f *steppedFace) left() int {
	if f.seen.LeftS < 0 || f.seen.Resting {
		return f.seen.LeftS
	}
	return max(0, f.seen.LeftS-int(time.Since(f.at).Seconds()))
}

// time says what time is left.
func (f *steppedFace) time() string {
	switch left := f.left(); {
	case left < 0:
		return "there is no time limit"
	case left == 0:
		return "the time is over; submit"
	default:
		return fmt.Sprintf("%d:%02d minutes left", left/60, left%60)
	}
}

// Ask is what stands before the next line.
func (f *steppedFace) Ask() string {
	before := ""
	if left := f.left(); left >= 0 {
		before = fmt.Sprintf("[%d min] ", (left+59)/60)
	}
	switch {
	case f.one >= 0:
		return before + f.seen.Ask
	case f.item >= 0:
		return before + fmt.Sprintf("question %d> ", f.item+1)
	}
	return before + "exam> "
}

// Done reports whether the person left or submitted.
func (f *steppedFace) Done() bool { return f.done || f.failed != nil }

// Wrong reports whether the last line was refused.
func (f *steppedFace) Wrong() bool { return f.wrong }

// Failed returns what ended it.
func (f *steppedFace) Failed() error { return f.failed }

// Line does what a line asks for.
func (f *steppedFace) Line(line string) []string {
	f.wrong = false
	switch {
	case f.one >= 0:
		return f.treat(line)
	case f.item >= 0:
		return f.answer(line)
	}
	return f.menu(line)
}

// say does a step and returns what the server says.
func (f *steppedFace) say(step handin.Step) []string {
	if err := f.step(step); err != nil {
		return f.refuse(err)
	}
	f.wrong = f.seen.Refused
	return f.seen.Said
}

func (f *steppedFace) refuse(err error) []string {
	f.wrong = true
	return []string{err.Error()}
}

// treat sends a line to the case that is open.
func (f *steppedFace) treat(line string) []string {
	switch strings.ToLower(strings.TrimSpace(line)) {
	case "":
		return nil
	case "leave", "quit":
		f.one = -1
		return f.list()
	case "time":
		return []string{f.time()}
	}
	return f.say(handin.Step{Do: handin.StepLine, Case: f.one, Line: line})
}

// menu does a word of the exam itself.
func (f *steppedFace) menu(line string) []string {
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
		if number < 1 || number > len(f.packet.Cases) {
			return f.refuse(fmt.Errorf("which case? 1 to %d", len(f.packet.Cases)))
		}
		f.one = number - 1
		return f.say(handin.Step{Do: handin.StepBegin, Case: f.one})
	case "question":
		if number < 1 || number > len(f.packet.Items) {
			return f.refuse(fmt.Errorf("which question? 1 to %d", len(f.packet.Items)))
		}
		f.item = number - 1
		return questionLines(f.packet.Items[f.item])
	case "list", "time":
		return f.list()
	case "rest":
		return f.say(handin.Step{Do: handin.StepRest})
	case "back":
		return f.say(handin.Step{Do: handin.StepBack})
	case "submit":
		return f.submit(words[1:])
	case "quit", "leave":
		f.done = true
		return []string{"Left. Everything is kept on the server; give the same command to go on. The clock goes on."}
	case "help":
		return menuHelp()
	}
	return f.refuse(fmt.Errorf("%.40q is not known here; there are list, case, question, rest, back, submit, help, quit", words[0]))
}

// submit hands in, once the person has said yes.
func (f *steppedFace) submit(words []string) []string {
	if !slices.Equal(words, []string{"yes"}) {
		return append(f.list(), "Submit for good? Then type: submit yes")
	}
	if err := f.step(handin.Step{Do: handin.StepSubmit}); err != nil {
		return f.refuse(err)
	}
	f.done = true
	said, err := f.receipt()
	if err != nil {
		f.failed = err
	}
	return said
}

// receipt says the receipt of the submitted sitting.
func (f *steppedFace) receipt() ([]string, error) {
	r, err := receiptOf(f.seen.Receipt)
	if err != nil {
		return nil, fmt.Errorf("receipt: %w", err)
	}
	said, err := receiptLines(r, "")
	return append(slices.Clone(f.seen.Said), said...), err
}

// answer reads an answer to the question that is open.
func (f *steppedFace) answer(line string) []string {
	shown := f.packet.Items[f.item]
	switch word := strings.ToLower(strings.TrimSpace(line)); word {
	case "":
		return nil
	case "skip", "quit", "q":
		f.item = -1
		return f.list()
	}
	r, err := read(shown.Order(), line)
	if err != nil {
		return f.refuse(err)
	}
	said := f.say(handin.Step{Do: handin.StepAnswer, Item: shown.Item.ID, Answer: &r})
	if f.wrong {
		return said
	}
	if f.item++; f.item < len(f.packet.Items) {
		return append(append(said, ""), questionLines(f.packet.Items[f.item])...)
	}
	f.item = -1
	return append(said, f.list()...)
}

// Complete returns how the last word may go on.
func (f *steppedFace) Complete(line string) []string {
	words := []string{"list", "case", "question", "rest", "back", "submit", "help", "quit"}
	switch {
	case f.item >= 0:
		words = nil
	case f.one >= 0:
		words = []string{"offers", "look", "steps", "go", "next", "canal", "tray", "repeat", "record", "sheet", "help", "leave", "time"}
		for _, k := range treatment.Kinds() {
			words = append(words, string(k))
		}
	}
	slices.Sort(words)
	return slices.DeleteFunc(words, func(w string) bool { return !strings.HasPrefix(w, line) })
}
