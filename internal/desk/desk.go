// Package desk is where examinations are sat: it keeps the log of a sitting before an action counts, sends the
// lines to the server of a class where there is one, and keeps and hands in the export.
//
// The main idea: a sitting waits for this machine and never for the net. On a computer logs are files in a
// folder (NewFolder); in the page they stand in the browser's memory for it (NewPage). What the server has
// of a sitting begun at another machine is fetched before the paper is opened (Fetch).
//
// Begin reading at Desk.
package desk

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/handin"
)

// lasting reports whether a classroom that answered so would answer the same another time: the token is not known,
// the paper is closed, the lines do not follow those kept.
func lasting(err error) bool {
	later := []int{408, 425, 429} // too slow, too early, too many requests: ask again
	var refused *handin.Error
	return errors.As(err, &refused) && refused.Status >= 400 && refused.Status < 500 && !slices.Contains(later, refused.Status)
}

// classroom speaks to a class server for one candidate. Where lines and steps are refused, its error is a
// *handin.Error.
type classroom interface {
	packet() ([]byte, error)
	// lines returns what the server keeps of an attempt, nil when nothing.
	lines(attempt int) ([]string, error)
	append(attempt, from int, lines []string, step string) error
	submit(attempt int, export []byte) (digest string, late bool, err error)
	status() (handin.Status, error)
	step(attempt int, step handin.Step) (handin.Seen, error)
	comments() ([]byte, error)
}

// retry is how long a sender waits before it tries again.
const retry = 3 * time.Second

// sender sends the lines of a log after they were kept here, one after the other, as long as it takes: a
// sitting does not wait for the net. It ends, and tells why, when the server refuses them for good.
type sender struct {
	room    classroom
	tell    func(error)
	attempt int
	mu      sync.Mutex
	change  *sync.Cond
	waiting []string
	sent    int  // lines that the server has
	refused bool // nothing more is sent
}

// newSender sends what the server lacks of an attempt's lines, and all that comes.
func newSender(room classroom, attempt int, kept [][]byte, tell func(error)) *sender {
	s := &sender{room: room, attempt: attempt, tell: tell}
	s.change = sync.NewCond(&s.mu)
	for _, l := range kept {
		s.waiting = append(s.waiting, string(l))
	}
	go s.work()
	return s
}

func (s *sender) add(lines [][]byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.refused {
		return
	}
	for _, l := range lines {
		s.waiting = append(s.waiting, string(l))
	}
	s.change.Signal()
}

// most lines that are sent at once.
const mostSent = 200

func (s *sender) work() {
	for {
		s.mu.Lock()
		for len(s.waiting) == 0 {
			s.change.Wait()
		}
		now := s.waiting[:min(len(s.waiting), mostSent)]
		s.mu.Unlock()
		err := s.room.append(s.attempt, s.sent, now, stepOf(now[len(now)-1]))
		if lasting(err) {
			s.mu.Lock()
			s.refused, s.waiting = true, nil
			s.mu.Unlock()
			s.tell(err)
			return
		}
		if err != nil {
			time.Sleep(retry)
			continue
		}
		s.mu.Lock()
		s.waiting, s.sent = s.waiting[len(now):], s.sent+len(now)
		s.mu.Unlock()
	}
}

// stepOf says what a line is about, for the instructor's live list.
func stepOf(line string) string {
	e, err := exam.DecodeLine([]byte(line))
	if err != nil || e.Action == nil {
		return string(e.Kind)
	}
	return fmt.Sprintf("case %d: %s", e.Case+1, e.Action.Do)
}

// sentLog is a log that is kept here first and then sent.
type sentLog struct {
	exam.Log
	sender *sender
}

func (l sentLog) Append(lines [][]byte) error {
	if err := l.Log.Append(lines); err != nil {
		return err
	}
	l.sender.add(lines)
	return nil
}

// Desk is where examinations are sat: logs are kept here, and sent where there is a class server.
type Desk struct {
	home home
	room classroom // nil without a server
	tell func(error)
}

// Told returns the desk with what is to be told, from another goroutine and once for a sitting, when the
// class server takes no more lines of it; they are kept here all the same. Checked by TestRefusedLines.
func (d Desk) Told(tell func(error)) Desk {
	d.tell = tell
	return d
}

// home keeps logs and exports on this machine.
type home interface {
	open(packet exam.Packet, attempt int) (exam.Log, [][]byte, error)
	keep(name string, export []byte) (string, error)
}

// Remote reports whether there is a class server.
func (d Desk) Remote() bool { return d.room != nil }

// Log opens the log of an attempt, with the lines that are kept of it.
func (d Desk) Log(packet exam.Packet, attempt int) (exam.Log, [][]byte, error) {
	log, lines, err := d.home.open(packet, attempt)
	if err != nil || d.room == nil {
		return log, lines, err
	}
	return sentLog{log, newSender(d.room, attempt, lines, d.tell)}, lines, nil
}

// Keep keeps an export.
func (d Desk) Keep(name string, export []byte) (string, error) { return d.home.keep(name, export) }

// HandIn sends an export to the class server.
func (d Desk) HandIn(attempt int, export []byte) <-chan bench.HandedIn {
	if d.room == nil {
		return nil
	}
	done := make(chan bench.HandedIn, 1)
	go func() {
		digest, late, err := d.room.submit(attempt, export)
		done <- bench.HandedIn{Digest: digest, Late: late, Err: err}
	}()
	return done
}

// Seat is the class server where sittings are stepped; nil without one.
func (d Desk) Seat() bench.Seat {
	if d.room == nil {
		return nil
	}
	return seat{d.room}
}

// seat asks a class server that steps a sitting.
type seat struct{ room classroom }

func (s seat) Status() (handin.Status, error) { return s.room.status() }

// tries is how often a step is asked for before the candidate is told that no answer comes.
const tries = 3

// Step asks again when no answer comes; the server does nothing twice.
func (s seat) Step(attempt int, step handin.Step) (handin.Seen, error) {
	for n := 1; ; n++ {
		seen, err := s.room.step(attempt, step)
		switch {
		case err == nil, lasting(err):
			return seen, err
		case n == tries:
			return seen, fmt.Errorf("the class server does not answer; what was done before is kept there, try again: %w", err)
		}
		time.Sleep(retry / 3)
	}
}

// Comments gets what instructors say about the candidate's own sittings, CSV of package comment. It waits for
// the server. Checked by TestClassroom.
func (d Desk) Comments() ([]byte, error) { return d.room.comments() }

// Clock is the machine's.
func (d Desk) Clock() exam.Clock { return nil }

// Fetch gets a candidate's paper from the class server, and the lines that another machine sent of a sitting
// that is not kept here. It waits for the server. Checked by TestClassroom.
func (d Desk) Fetch() ([]byte, error) {
	data, err := d.room.packet()
	if err != nil {
		return nil, fmt.Errorf("get the paper: %w", err)
	}
	if _, err := exam.DecodeOutside(data); err == nil {
		return data, nil // the server keeps the log
	}
	packet, err := exam.DecodePacket(data)
	if err != nil {
		return nil, err
	}
	for attempt := 1; attempt <= packet.Terms.Attempts; attempt++ {
		lines, err := d.room.lines(attempt)
		if err != nil {
			return nil, fmt.Errorf("get the log: %w", err)
		}
		if err := d.adopt(packet, attempt, lines); err != nil {
			return nil, err
		}
	}
	return data, nil
}

// adopt keeps lines of another machine where nothing is kept here.
func (d Desk) adopt(packet exam.Packet, attempt int, lines []string) error {
	if len(lines) == 0 {
		return nil
	}
	log, kept, err := d.home.open(packet, attempt)
	if err != nil || len(kept) >= len(lines) {
		return err
	}
	var missing [][]byte
	for i, l := range lines {
		if i < len(kept) && string(kept[i]) != l {
			return errors.New("the log that is kept here is not the one that the class server has; ask your instructor")
		}
		if i >= len(kept) {
			missing = append(missing, []byte(l))
		}
	}
	return log.Append(missing)
}
