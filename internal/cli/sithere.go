package cli

import (
	"errors"
	"fmt"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// hereSeat is a sitting that is kept on this machine.
type hereSeat struct {
	room   *examRoom
	prompt *bench.Prompt // of the case that was opened last
}

func (h *hereSeat) name() string { return fmt.Sprintf("attempt %d", h.room.sitting.Attempt()) }

func (h *hereSeat) taken() bool { return h.room.taken }

func (h *hereSeat) actions(n int) int { return len(h.room.sitting.Run(n).Actions()) }

func (h *hereSeat) answered(item string) bool {
	_, given := h.room.sitting.Answers()[item]
	return given
}

func (h *hereSeat) left() (ms int64, limited bool) { return h.room.sitting.Left() }

func (h *hereSeat) open(n int) (said []string, wrong bool) {
	sitting := h.room.sitting
	from, grown, err := sitting.Packet().Scenario(n)
	if err != nil {
		return refused(err)
	}
	h.prompt, said = bench.SitExam(bench.Exam{Scenario: from, Case: grown.Case, Done: sitting.Run(n).Actions(),
		Do: func(a treatment.Action) error {
			_, err := sitting.Do(n, a)
			if errors.Is(err, exam.ErrNotKept) {
				err = fmt.Errorf("%w. Make room on the disk and do it again; what was done before is kept", err)
			}
			return err
		},
		Look: func(what string) error { return sitting.Look(n, what) }})
	return said, false
}

func (h *hereSeat) line(_ int, line string) (said []string, wrong bool) {
	said = h.prompt.Line(line)
	return said, h.prompt.Wrong()
}

func (h *hereSeat) ask(int) string { return h.prompt.Ask() }

func (h *hereSeat) complete(_ int, line string) []string { return h.prompt.Complete(line) }

func (h *hereSeat) answer(item string, r quiz.Response) (said []string, wrong bool) {
	return done(h.room.sitting.Answer(item, r), "Noted.")
}

func (h *hereSeat) rest() (said []string, wrong bool) {
	return done(h.room.sitting.Rest(), "The clock stands still, as long as rest is left. Type back to go on.")
}

func (h *hereSeat) back() (said []string, wrong bool) {
	return done(h.room.sitting.Back(), "The clock goes on.")
}

// done says a text, or why it was not done.
func done(err error, text string) (said []string, wrong bool) {
	if err != nil {
		return refused(err)
	}
	return []string{text}, false
}

func (h *hereSeat) submit() (said []string, submitted bool, err error) {
	said, err = h.room.submit()
	return said, h.room.sitting.Submitted(), err
}
