package class

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/treatment"
)

// mostTyped bounds the lines that are kept beside a log because they changed what is in hand.
const mostTyped = 50

// Step does one thing in a sitting that is stepped on the server and returns what the candidate may see and
// feel. What was done is in the database before the answer goes out, so that a kill loses nothing, and any
// process of the class can go on. The same step asked again is not done twice. Checked by TestStep,
// TestStepResume and TestDryRun.
func (c *Class) Step(ctx context.Context, who Candidate, name string, ask handin.Step) (handin.Seen, error) {
	if !who.Stepped {
		return handin.Seen{}, fmt.Errorf("%w: this paper is not stepped on the server; fetch the packet", ErrNone)
	}
	if !goodName.MatchString(name) {
		return handin.Seen{}, ErrName
	}
	s := c.seat(who, name)
	s.Lock()
	defer s.Unlock()
	for range 5 {
		seen, err := s.once(ctx, ask)
		if !errors.Is(err, errMoved) {
			return seen, err
		}
		s.drop()
	}
	return handin.Seen{}, fmt.Errorf("%w: the sitting goes on elsewhere at this moment; try again", ErrConflict)
}

// once tries a step; errMoved means that the log has gone on elsewhere meanwhile.
func (s *seat) once(ctx context.Context, ask handin.Step) (handin.Seen, error) {
	if err := s.load(ctx, ask.Do == handin.StepBegin); err != nil {
		return handin.Seen{}, examFault(err)
	}
	if ask.Case < 0 || ask.Case >= max(1, len(s.prompts)) {
		return handin.Seen{}, fmt.Errorf("%w: there is no case %d", ErrConflict, ask.Case+1)
	}
	switch {
	case ask.Do == handin.StepSubmit:
		return s.submit(ctx, ask)
	case ask.Do == handin.StepBegin:
		return s.first(ctx, ask)
	case ask.Do == handin.StepFilm:
		return s.film(ask)
	case s.acts > 0 && ask.Acts == s.acts-1:
		return s.again(ask)
	case ask.Acts != s.acts:
		return handin.Seen{}, fmt.Errorf("%w: %d acts are done, the step is to follow %d", ErrConflict, s.acts, ask.Acts)
	}
	before := s.acts
	s.fault = nil
	said, refused := s.do(ask)
	if s.fault != nil {
		return handin.Seen{}, s.fault
	}
	if s.acts > before || ask.Do == handin.StepLine {
		if err := s.note(ctx, s.place(ask)); err != nil {
			return handin.Seen{}, err
		}
	}
	return s.view(ask, said, refused)
}

// first tells what a case says first.
func (s *seat) first(ctx context.Context, ask handin.Step) (handin.Seen, error) {
	if s.sitting.Submitted() {
		return s.submit(ctx, ask)
	}
	var said []string
	if ask.Case < len(s.said) {
		said = s.said[ask.Case]
	}
	seen, err := s.view(ask, said, false)
	return seen, errors.Join(err, s.note(ctx, s.place(handin.Step{Case: ask.Case})))
}

// film develops a film that was taken.
func (s *seat) film(ask handin.Step) (handin.Seen, error) {
	if ask.Case >= len(s.prompts) {
		return handin.Seen{}, fmt.Errorf("%w: there is no case %d", ErrConflict, ask.Case+1)
	}
	shot, err := s.prompts[ask.Case].Film(ask.Film)
	if err != nil {
		return handin.Seen{}, fmt.Errorf("%w: %w", ErrNone, err)
	}
	ask.View = false
	seen, err := s.view(ask, nil, false)
	if err != nil {
		return seen, err
	}
	seen.View, err = json.Marshal(bench.View{Film: &shot})
	return seen, err
}

// place says for the instructor's list where the sitting is.
func (s *seat) place(ask handin.Step) string {
	if ask.Do == handin.StepAnswer || ask.Case >= len(s.prompts) {
		return "questions"
	}
	return s.sitting.Packet().Cases[ask.Case].Name + ": " + strings.TrimSuffix(s.prompts[ask.Case].Ask(), "> ")
}

// do does a step and says what came of it.
func (s *seat) do(ask handin.Step) (said []string, refused bool) {
	answer := func(err error, done string) ([]string, bool) {
		if s.counted(err) != nil {
			return []string{sentence(strings.TrimPrefix(err.Error(), ask.Item+": "))}, true
		}
		return []string{done}, false
	}
	switch {
	case ask.Do == handin.StepLine && ask.Case < len(s.prompts):
		return s.line(ask)
	case ask.Do == handin.StepAction && ask.Action != nil && ask.Case < len(s.prompts):
		said := s.prompts[ask.Case].Do(*ask.Action)
		return said, s.prompts[ask.Case].Wrong()
	case ask.Do == handin.StepAnswer && ask.Answer != nil:
		return answer(s.sitting.Answer(ask.Item, *ask.Answer), answered)
	case ask.Do == handin.StepRest:
		return answer(s.sitting.Rest(), rests)
	case ask.Do == handin.StepBack:
		return answer(s.sitting.Back(), isBack)
	}
	return []string{"This step is not known, or a part of it is missing."}, true
}

// What is said when something was done that is no treatment.
const (
	answered = "The answer is kept."
	rests    = "A rest; the clock stands still as long as rest is left."
	isBack   = "The clock goes on."
)

// line does what a line asks for. One that did nothing but changed what is in hand is kept beside the log.
func (s *seat) line(ask handin.Step) (said []string, refused bool) {
	p := s.prompts[ask.Case]
	before := s.acts
	said = p.Line(ask.Line)
	head, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(ask.Line)), " ")
	if !p.Wrong() && s.acts == before && len(ask.Line) <= 200 && slices.Contains([]string{"go", "next", "back", "canal"}, head) {
		s.typed = append(s.typed[max(0, len(s.typed)-mostTyped+1):], typedLine{ask.Case, ask.Line})
	}
	return said, p.Wrong()
}

// again answers a step whose answer was lost: it says once more what the last act said.
func (s *seat) again(ask handin.Step) (handin.Seen, error) {
	lines, err := s.sitting.Lines(0)
	if err != nil {
		return handin.Seen{}, err
	}
	lines = slices.DeleteFunc(lines, func(line []byte) bool { return !isAct(line) })
	last, err := exam.DecodeLine(lines[len(lines)-1])
	if err != nil {
		return handin.Seen{}, err
	}
	if !sameAct(ask, last) {
		return handin.Seen{}, fmt.Errorf("%w: %d acts are done, the last one is another than this", ErrConflict, s.acts)
	}
	said := []string{map[exam.Kind]string{exam.KindAnswer: answered, exam.KindRest: rests, exam.KindBack: isBack}[last.Kind]}
	if last.Kind == exam.KindAction || last.Kind == exam.KindLook {
		if said, err = s.sayAgain(ask, last); err != nil {
			return handin.Seen{}, err
		}
	}
	return s.view(ask, said, false)
}

// sayAgain does the last act once more on a bench of its own, which keeps nothing.
func (s *seat) sayAgain(ask handin.Step, last exam.Event) ([]string, error) {
	actions := s.sitting.Run(last.Case).Actions()
	if last.Kind == exam.KindAction {
		actions = actions[:len(actions)-1]
	}
	prompt, _, err := s.layCase(last.Case, actions, func(treatment.Action) error { return nil }, func(string) error { return nil })
	if err != nil {
		return nil, err
	}
	if last.Kind == exam.KindAction {
		return prompt.Do(*last.Action), nil
	}
	return prompt.Line(ask.Line), nil
}

// sameAct reports whether a step may be what a line of the log holds. What a line of text does is not known
// without doing it, so that its case alone is compared.
func sameAct(ask handin.Step, last exam.Event) bool {
	same := func(a, b any) bool {
		first, err1 := json.Marshal(a)
		second, err2 := json.Marshal(b)
		return err1 == nil && err2 == nil && string(first) == string(second)
	}
	switch last.Kind {
	case exam.KindAction:
		return ask.Case == last.Case && (ask.Do == handin.StepLine || ask.Do == handin.StepAction && same(nameless(ask.Action), nameless(last.Action)))
	case exam.KindLook:
		return ask.Case == last.Case && ask.Do == handin.StepLine
	case exam.KindAnswer:
		return ask.Do == handin.StepAnswer && ask.Item == last.Item && same(ask.Answer, last.Answer)
	case exam.KindRest:
		return ask.Do == handin.StepRest
	case exam.KindBack:
		return ask.Do == handin.StepBack
	default:
		return false
	}
}

// nameless returns an action without the canal where the bench may have put another in its place: a search of the
// floor finds what lies open, and a film of a canal that was not found is one of the tooth.
func nameless(a *treatment.Action) *treatment.Action {
	if a == nil || a.Do != treatment.Find && a.Do != treatment.Radiograph {
		return a
	}
	bare := *a
	bare.Canal = ""
	return &bare
}

// submit ends the sitting and hands it in; asked again it returns the same receipt.
func (s *seat) submit(ctx context.Context, ask handin.Step) (handin.Seen, error) {
	export, err := s.sitting.Submit()
	if err != nil {
		return handin.Seen{}, err
	}
	receipt, err := s.class.take(ctx, s.who, s.name, export)
	if err != nil {
		return handin.Seen{}, err
	}
	seen, err := s.view(ask, []string{"Submitted. Receipt: " + exam.Spoken(export) + "."}, false)
	if err != nil {
		return handin.Seen{}, err
	}
	seen.Receipt = receipt
	s.class.forget(seatName{s.who.Paper, s.who.ID, s.name})
	return seen, s.note(ctx, "submitted")
}

// examFault turns a fault of beginning or going on into one that the server has a status for.
func examFault(err error) error {
	switch {
	case errors.Is(err, exam.ErrEarly), errors.Is(err, exam.ErrExpired), exam.AsRefusal(err) != nil:
		return fmt.Errorf("%w: %w", ErrClosed, err)
	case errors.Is(err, exam.ErrAttempts):
		return fmt.Errorf("%w: %w", ErrLimit, err)
	}
	return err
}

// sentence writes a fault for people.
func sentence(text string) string {
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// CollectOver submits the stepped sittings whose time has been over for a minute and that nobody has submitted,
// and returns how many: what was done counts, as with papers that are collected. One that cannot be collected,
// such as of another engine, does not keep the others waiting; the error is of the first. Checked by
// TestCollectOver and TestCollectPast.
func (c *Class) CollectOver(ctx context.Context) (int, error) {
	now := c.now().Unix()
	rows, err := c.db.QueryContext(ctx, `SELECT g.paper, g.candidate, g.attempt, c.opens, c.closes, p.title FROM progress g
		JOIN paper p ON p.id = g.paper JOIN candidate c ON c.paper = g.paper AND c.id = g.candidate
		WHERE p.stepped = 1 AND (g.left_s >= 0 AND g.seen + g.left_s + 60 < $1 OR c.closes > 0 AND c.closes + 60 < $1)
		AND NOT EXISTS (SELECT 1 FROM sitting s WHERE s.paper = g.paper AND s.candidate = g.candidate AND s.attempt = g.attempt)
		ORDER BY g.paper, g.candidate, g.attempt`, now)
	if err != nil {
		return 0, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []Candidate
	var names []string
	for rows.Next() {
		who, name := Candidate{Stepped: true}, ""
		if err := rows.Scan(&who.Paper, &who.ID, &name, &who.Opens, &who.Closes, &who.Title); err != nil {
			return 0, err
		}
		list, names = append(list, who), append(names, name)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return 0, err
	}
	done := 0
	var failed error
	for i, who := range list {
		if _, err := c.Step(ctx, who, names[i], handin.Step{Do: handin.StepSubmit}); err == nil {
			done++
		} else if failed == nil {
			failed = fmt.Errorf("collect candidate %s, attempt %s: %w", strconv.Quote(who.ID), names[i], err)
		}
	}
	return done, failed
}
