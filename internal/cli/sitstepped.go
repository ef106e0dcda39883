package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// stepped sits a paper that is stepped on a class server: this machine never knows the tooth.
func (c *paperSit) stepped(s *session, client handin.Client, text []byte) error {
	if c.Operator != "" {
		return usage("--operator treats a tooth it is given; at a paper stepped on the server nobody is given one")
	}
	f := &steppedSeat{client: client, attempt: strconv.Itoa(max(c.Attempt, 1))}
	if err := json.Unmarshal(text, &f.packet); err != nil {
		return fmt.Errorf("the packet from %s: %w", c.Server, err)
	}
	if err := f.step(handin.Step{Do: handin.StepBegin}); err != nil {
		return fmt.Errorf("--server %s: %w", c.Server, err)
	}
	switch {
	case f.seen.Submitted:
		return tellReceipt(s, f)
	case c.scripted():
		return c.scriptThere(s, f)
	}
	return s.talk(newExamFace(f, f.packet))
}

func tellReceipt(s *session, f *steppedSeat) error {
	said, err := f.receipt()
	for _, line := range said {
		fmt.Fprintln(s.out, line)
	}
	return err
}

// scriptThere sends plans and answers to the server.
func (c *paperSit) scriptThere(s *session, f *steppedSeat) error {
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
func (f *steppedSeat) carryOut(n int, actions []treatment.Action) error {
	for k := f.seen.Actions[n]; k < len(actions); k++ {
		if err := f.must(handin.Step{Do: handin.StepAction, Case: n, Action: &actions[k]}); err != nil {
			return fmt.Errorf("case %d, action %d: %w; %d of its actions are done and kept", n+1, k+1, err, k)
		}
	}
	return nil
}

// must does a step that is not to be refused.
func (f *steppedSeat) must(step handin.Step) error {
	if err := f.step(step); err != nil {
		return err
	}
	if f.seen.Refused {
		return errors.New(strings.Join(f.seen.Said, " "))
	}
	return nil
}

// steppedSeat is a sitting that a class server keeps and steps.
type steppedSeat struct {
	client  handin.Client
	attempt string
	packet  exam.Packet // without teeth
	seen    handin.Seen
	at      time.Time // when it was seen
}

// step asks one thing of the server, again when no answer comes.
func (f *steppedSeat) step(step handin.Step) error {
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

func (f *steppedSeat) name() string {
	return fmt.Sprintf("attempt %s, stepped on the server", f.attempt)
}

func (f *steppedSeat) taken() bool { return f.seen.Acts > 0 }

func (f *steppedSeat) actions(n int) int { return f.seen.Actions[n] }

func (f *steppedSeat) answered(item string) bool { return slices.Contains(f.seen.Answered, item) }

func (f *steppedSeat) left() (ms int64, limited bool) {
	ms = int64(f.seen.LeftS) * 1000
	if ms >= 0 && !f.seen.Resting {
		ms = max(0, ms-time.Since(f.at).Milliseconds())
	}
	return ms, ms >= 0
}

// say does a step and returns what the server says.
func (f *steppedSeat) say(step handin.Step) (said []string, wrong bool) {
	if err := f.step(step); err != nil {
		return refused(err)
	}
	return f.seen.Said, f.seen.Refused
}

func (f *steppedSeat) open(n int) (said []string, wrong bool) {
	return f.say(handin.Step{Do: handin.StepBegin, Case: n})
}

func (f *steppedSeat) line(n int, line string) (said []string, wrong bool) {
	return f.say(handin.Step{Do: handin.StepLine, Case: n, Line: line})
}

func (f *steppedSeat) ask(int) string { return f.seen.Ask }

// complete knows the words only, not the tooth.
func (f *steppedSeat) complete(_ int, line string) []string {
	words := []string{"offers", "look", "steps", "go", "next", "canal", "tray", "repeat", "record", "sheet", "help", "leave", "time"}
	for _, k := range treatment.Kinds() {
		words = append(words, string(k))
	}
	slices.Sort(words)
	return beginning(words, line)
}

func (f *steppedSeat) answer(item string, r quiz.Response) (said []string, wrong bool) {
	return f.say(handin.Step{Do: handin.StepAnswer, Item: item, Answer: &r})
}

func (f *steppedSeat) rest() (said []string, wrong bool) {
	return f.say(handin.Step{Do: handin.StepRest})
}

func (f *steppedSeat) back() (said []string, wrong bool) {
	return f.say(handin.Step{Do: handin.StepBack})
}

func (f *steppedSeat) submit() (said []string, submitted bool, err error) {
	if err := f.step(handin.Step{Do: handin.StepSubmit}); err != nil {
		return nil, false, err
	}
	said, err = f.receipt()
	return said, true, err
}

// receipt says the receipt of the submitted sitting.
func (f *steppedSeat) receipt() ([]string, error) {
	r, err := receiptOf(f.seen.Receipt)
	if err != nil {
		return nil, fmt.Errorf("receipt: %w", err)
	}
	said, err := receiptLines(r, "")
	return append(slices.Clone(f.seen.Said), said...), err
}
