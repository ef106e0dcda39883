package class

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/treatment"
)

// mostSeats is how many stepped sittings a process holds ready. Of others the log is read and carried out again
// when they are asked for, which takes a fraction of a second.
const mostSeats = 64

// errMoved says that another process has written to a sitting's log since it was read here.
var errMoved = errors.New("another process went on with this sitting")

// seatName names a stepped sitting.
type seatName struct{ paper, candidate, attempt string }

// seats are the stepped sittings held ready.
type seats struct {
	sync.Mutex
	by map[seatName]*seat
}

// seat is a sitting stepped here. What counts is the log in the database: a seat is made of it and can be
// dropped at any moment, and a process that finds lines it has not written itself makes its seat anew.
type seat struct {
	sync.Mutex
	class   *Class
	who     Candidate
	name    string
	used    time.Time
	sitting *exam.Sitting // nil: to be made from the log
	prompts []*bench.Prompt
	said    [][]string // what each case says first
	log     *keptLog
	typed   []typedLine // since the last line of the log; kept beside it
	acts    int
	fault   error // why the last action could not be kept
}

// typedLine is a line that changed what is in hand but did nothing: another canal, another step.
type typedLine struct {
	Case int    `json:"case"`
	Line string `json:"line"`
}

// seat returns the seat of a sitting, made when there is none, and forgets the one that was used least lately
// when there are too many.
func (c *Class) seat(who Candidate, name string) *seat {
	c.seats.Lock()
	defer c.seats.Unlock()
	key := seatName{who.Paper, who.ID, name}
	s := c.seats.by[key]
	if s == nil {
		if len(c.seats.by) >= mostSeats {
			var oldest seatName
			for k, other := range c.seats.by {
				if first := c.seats.by[oldest]; first == nil || other.used.Before(first.used) {
					oldest = k
				}
			}
			delete(c.seats.by, oldest)
		}
		s = &seat{class: c, who: who, name: name}
		c.seats.by[key] = s
	}
	s.used = c.now()
	return s
}

// forget drops a seat that is needed no more.
func (c *Class) forget(name seatName) {
	c.seats.Lock()
	defer c.seats.Unlock()
	delete(c.seats.by, name)
}

// keptLog is the log of a stepped sitting in the database. Lines go there before an act counts, all or none;
// the primary key lets one process alone write a line.
type keptLog struct {
	seat *seat
	ctx  context.Context //nolint:containedctx // that of the step under way, set before each
	next int
}

// Append implements exam.Log.
func (l *keptLog) Append(lines [][]byte) error {
	s := l.seat
	err := s.class.inOne(l.ctx, func(tx *sql.Tx) error {
		for i, line := range lines {
			done, err := tx.ExecContext(l.ctx, `INSERT INTO line (paper, candidate, attempt, seq, data) VALUES ($1, $2, $3, $4, $5)
				ON CONFLICT (paper, candidate, attempt, seq) DO NOTHING`, s.who.Paper, s.who.ID, s.name, l.next+i, line)
			if err != nil {
				return err
			}
			if n, err := done.RowsAffected(); err != nil || n == 0 {
				return errors.Join(errMoved, err)
			}
		}
		if !slices.ContainsFunc(lines, isAct) {
			return nil
		}
		_, err := tx.ExecContext(l.ctx, `UPDATE progress SET seen = $1, session = $2 WHERE paper = $3 AND candidate = $4 AND attempt = $5`,
			s.class.now().Unix(), []byte("[]"), s.who.Paper, s.who.ID, s.name)
		return err
	})
	if err == nil {
		l.next += len(lines)
	}
	return err
}

// clock is the server's clock as a sitting takes it.
func (c *Class) clock() (wall, mono int64) {
	now := c.now()
	return now.UnixMilli(), now.Sub(c.begun).Milliseconds()
}

// load makes the seat fit for a step: begins the sitting, or carries the log out again where it holds other lines
// than were written here.
func (s *seat) load(ctx context.Context, begin bool) error {
	lines, err := texts(ctx, s.class.db, `SELECT data FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3 AND seq >= $4 ORDER BY seq`,
		s.who.Paper, s.who.ID, s.name, s.have())
	if err != nil {
		return err
	}
	if s.sitting != nil && len(lines) == 0 {
		s.log.ctx = ctx
		return nil
	}
	if s.sitting != nil {
		s.drop()
		return s.load(ctx, begin)
	}
	text, err := s.class.packet(ctx, s.who)
	if err != nil {
		return err
	}
	packet, err := exam.DecodePacket(text)
	if err != nil {
		return err
	}
	s.log = &keptLog{s, ctx, len(lines)}
	options := exam.Options{Log: s.log, Clock: s.class.clock}
	switch {
	case len(lines) > 0:
		s.sitting, err = exam.Resume(packet, bytesOf(lines), options)
	case !begin:
		return ErrNone
	default:
		s.sitting, err = s.begin(ctx, packet, options)
	}
	if err == nil {
		err = s.lay(ctx)
	}
	if err != nil {
		s.drop()
	}
	return err
}

// have returns how many lines of the log were carried out here.
func (s *seat) have() int {
	if s.sitting == nil {
		return 0
	}
	return s.log.next
}

// drop forgets what was made of the log.
func (s *seat) drop() { s.sitting, s.prompts, s.said, s.typed = nil, nil, nil, nil }

func bytesOf(lines []string) [][]byte {
	out := make([][]byte, len(lines))
	for i, line := range lines {
		out[i] = []byte(line)
	}
	return out
}

// begin begins a sitting while the paper is open.
func (s *seat) begin(ctx context.Context, packet exam.Packet, o exam.Options) (*exam.Sitting, error) {
	if err := s.class.open(s.who); err != nil {
		return nil, err
	}
	number, err := strconv.Atoi(s.name)
	if err != nil || strconv.Itoa(number) != s.name {
		return nil, fmt.Errorf("%w; of this paper by its number: 1", ErrName)
	}
	if number < 1 || number > packet.Terms.Attempts {
		return nil, fmt.Errorf("%w: attempt %d, allowed are %d", ErrLimit, number, packet.Terms.Attempts)
	}
	now := s.class.now().Unix()
	if _, err := s.class.db.ExecContext(ctx, `INSERT INTO progress (paper, candidate, attempt, begun, seen, step, left_s, session)
		VALUES ($1, $2, $3, $4, $4, '', -1, $5) ON CONFLICT (paper, candidate, attempt) DO NOTHING`,
		s.who.Paper, s.who.ID, s.name, now, []byte("[]")); err != nil {
		return nil, err
	}
	return exam.Begin(packet, number, o)
}

// lay lays the cases of a sitting on the bench as they stand, and does what was typed since.
func (s *seat) lay(ctx context.Context) error {
	packet := s.sitting.Packet()
	s.acts = 0
	lines, err := s.sitting.Lines(0)
	if err != nil {
		return err
	}
	for _, line := range lines {
		if isAct(line) {
			s.acts++
		}
	}
	for n := range packet.Cases {
		prompt, said, err := s.layCase(n, s.sitting.Run(n).Actions(), func(a treatment.Action) error { return s.keep(n, a) },
			func(what string) error { return s.counted(s.sitting.Look(n, what)) })
		if err != nil {
			return err
		}
		s.prompts, s.said = append(s.prompts, prompt), append(s.said, said)
	}
	var typed []byte
	err = s.class.db.QueryRowContext(ctx, `SELECT session FROM progress WHERE paper = $1 AND candidate = $2 AND attempt = $3`,
		s.who.Paper, s.who.ID, s.name).Scan(&typed)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(typed, &s.typed); err != nil {
		return fmt.Errorf("lines typed: %w", err)
	}
	for _, t := range s.typed {
		if t.Case < len(s.prompts) {
			s.prompts[t.Case].Line(t.Line)
		}
	}
	return nil
}

// layCase lays one case on the bench after some actions.
func (s *seat) layCase(n int, done []treatment.Action, do func(treatment.Action) error, look func(string) error) (*bench.Prompt, []string, error) {
	from, grown, err := s.sitting.Packet().Scenario(n)
	if err != nil {
		return nil, nil, err
	}
	prompt, said := bench.SitExam(bench.Exam{Scenario: from, Case: grown.Case, Done: done, Do: do, Look: look})
	return prompt, said, nil
}

// keep keeps an action before the bench does it.
func (s *seat) keep(n int, a treatment.Action) error {
	_, err := s.sitting.Do(n, a)
	return s.counted(err)
}

// counted counts an act that was kept, and remembers why one was not.
func (s *seat) counted(err error) error {
	switch {
	case err == nil:
		s.acts++
		s.typed = nil
	case errors.Is(err, exam.ErrNotKept):
		s.fault = err
	}
	return err
}

// isAct reports whether a line of a log is something the candidate did, not something the server noted.
func isAct(line []byte) bool {
	e, err := exam.DecodeLine(line)
	return err == nil && slices.Contains([]exam.Kind{exam.KindAction, exam.KindAnswer, exam.KindLook, exam.KindRest, exam.KindBack}, e.Kind)
}

// view tells how the sitting stands.
func (s *seat) view(ask handin.Step, said []string, refused bool) (handin.Seen, error) {
	one := ask.Case
	seen := handin.Seen{Said: said, Refused: refused, Acts: s.acts, LeftS: s.sitting.LeftS(), Submitted: s.sitting.Submitted(), Answered: []string{}}
	if seen.Said == nil {
		seen.Said = []string{}
	}
	rest, resting := s.sitting.RestLeft()
	seen.RestS, seen.Resting = int(rest/1000), resting
	for _, p := range s.prompts {
		seen.Actions = append(seen.Actions, p.Actions())
	}
	for item := range s.sitting.Answers() {
		seen.Answered = append(seen.Answered, item)
	}
	slices.Sort(seen.Answered)
	if one < len(s.prompts) {
		seen.Ask = s.prompts[one].Ask()
	}
	if !ask.View {
		return seen, nil
	}
	view := bench.View{Answers: s.sitting.Answers()}
	if one < len(s.prompts) {
		chair := s.prompts[one].Chair(ask.From)
		if m := s.sitting.Run(one).Marks(); seen.Submitted && s.sitting.Packet().Terms.Sees(exam.SeeMarks) {
			chair.Marks = &bench.ChairMarks{Total: m.Total, Available: m.Available}
		}
		view.Chair = &chair
	}
	var err error
	seen.View, err = json.Marshal(view)
	return seen, err
}

// note writes down for the instructor's list how far the sitting is, and what was typed since the last act.
// In a rest the time left includes the rest, so that nobody's paper is collected in it.
func (s *seat) note(ctx context.Context, step string) error {
	typed, err := json.Marshal(append([]typedLine{}, s.typed...))
	if err != nil {
		return err
	}
	left := s.sitting.LeftS()
	if rest, resting := s.sitting.RestLeft(); resting && left >= 0 {
		left += int(rest / 1000)
	}
	_, err = s.class.db.ExecContext(ctx, `UPDATE progress SET step = $1, left_s = $2, session = $3, seen = $4 WHERE paper = $5 AND candidate = $6 AND attempt = $7`,
		strings.ToValidUTF8(step[:min(len(step), 100)], ""), left, typed, s.class.now().Unix(), s.who.Paper, s.who.ID, s.name)
	return err
}
