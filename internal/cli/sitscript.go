package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"tugback/internal/detmath"
	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// script sits without a person: questions first, then the cases; what is done already is left alone.
func (c *paperSit) script(s *session, room *examRoom) error {
	answers, err := c.answers(room.sitting.Packet())
	if err != nil {
		return err
	}
	for _, one := range answers {
		if _, given := room.sitting.Answers()[one.Item]; given {
			continue
		}
		if err := room.sitting.Answer(one.Item, one.Response); err != nil {
			return fmt.Errorf("question %s: %w", one.Item, err)
		}
	}
	if len(c.Plan) > len(room.sitting.Packet().Cases) {
		return usage("%d plans for %d cases", len(c.Plan), len(room.sitting.Packet().Cases))
	}
	for n := range room.sitting.Packet().Cases {
		actions, err := c.actions(s, room.sitting.Packet(), n)
		if err != nil {
			return err
		}
		for _, a := range actions[min(len(room.sitting.Run(n).Actions()), len(actions)):] {
			if _, err := room.sitting.Do(n, a); err != nil {
				return fmt.Errorf("case %d, %w; %d of its actions are done and kept", n+1, err, len(room.sitting.Run(n).Actions()))
			}
		}
	}
	if c.Open {
		fmt.Fprintln(s.out, "Not submitted; give the same command to go on.")
		return nil
	}
	return room.handIn(s)
}

// actions returns what a script does in a case.
func (c *paperSit) actions(s *session, packet exam.Packet, n int) ([]treatment.Action, error) {
	from, grown, err := packet.Scenario(n)
	if err != nil {
		return nil, err
	}
	switch {
	case c.Operator != "":
		operator, err := s.loadOperator(c.Operator)
		if err != nil {
			return nil, err
		}
		return trial.TakeOver(grown.Case, grown.Done, operator, detmath.NewStream(c.Hand, fmt.Sprintf("case %d", n)).State).Actions, nil
	case n < len(c.Plan):
		plan, err := s.loadPlan(c.Plan[n], from.Name())
		if err != nil {
			return nil, err
		}
		return append(slices.Clone(grown.Done), plan.Steps...), plan.CheckAgainst(grown.Case)
	}
	return nil, nil
}

// answers returns what a script answers.
func (c *paperSit) answers(packet exam.Packet) ([]exam.Answer, error) {
	var out []exam.Answer
	if c.Guess {
		for _, shown := range packet.Items {
			stream := detmath.NewStream(c.Hand, "guess "+shown.Item.ID)
			out = append(out, exam.Answer{Item: shown.Item.ID, Response: guess(shown, &stream)})
		}
		return out, nil
	}
	if c.Answers == "" {
		return nil, nil
	}
	text, err := os.ReadFile(c.Answers)
	if err != nil {
		return nil, fmt.Errorf("--answers %s: %w", c.Answers, cause(err))
	}
	reader := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	reader.FieldsPerRecord = 2
	var faults []error
	for line := 1; ; line++ {
		row, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("--answers %s: %w", c.Answers, err)
		}
		if line == 1 {
			if row[0] != "item" || row[1] != "answer" {
				return nil, fmt.Errorf("--answers %s:1: the first line must be item,answer", c.Answers)
			}
			continue
		}
		one, err := readAnswer(packet, row)
		if err != nil {
			faults = append(faults, fmt.Errorf("--answers %s:%d: %w", c.Answers, line, err))
		}
		out = append(out, one)
	}
	return out, errors.Join(faults...)
}

// readAnswer reads a line of a file of answers.
func readAnswer(packet exam.Packet, row []string) (exam.Answer, error) {
	for _, shown := range packet.Items {
		if shown.Item.ID != strings.TrimSpace(row[0]) {
			continue
		}
		r, err := read(shown.Order(), row[1])
		if err == nil {
			err = shown.Fit(r)
		}
		return exam.Answer{Item: shown.Item.ID, Response: r}, err
	}
	return exam.Answer{}, fmt.Errorf("there is no question %.60q", row[0])
}

// guess answers by chance.
func guess(shown exam.Shown, stream *detmath.Stream) quiz.Response {
	item := shown.Item
	var r quiz.Response
	switch item.Kind {
	case quiz.Matching:
		for _, p := range item.Pairs {
			r.Joined = append(r.Joined, quiz.Joined{Pair: p.ID, Right: shown.Sides[stream.Intn(len(shown.Sides))]})
		}
	case quiz.Ordering:
		for _, o := range item.Options {
			r.Chosen = append(r.Chosen, o.ID)
		}
		i, j := stream.Intn(len(r.Chosen)), stream.Intn(len(r.Chosen))
		r.Chosen[i], r.Chosen[j] = r.Chosen[j], r.Chosen[i]
	case quiz.Numeric, quiz.Measure:
		r.Value = float64(stream.Intn(200)) / 10
	case quiz.Place:
		r.Point.Y = -float64(stream.Intn(200)) / 10
	case quiz.Single, quiz.Several, quiz.Predict:
		r.Chosen = []string{item.Options[stream.Intn(len(item.Options))].ID}
	}
	return r
}
