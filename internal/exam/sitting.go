package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Clock tells the time: wall in ms since 1970 as the machine has it, mono in ms since any moment.
type Clock func() (wall, mono int64)

// SystemClock returns the machine's clock, its monotonic time counted from now.
func SystemClock() Clock {
	begun := time.Now()
	return func() (int64, int64) { return time.Now().UnixMilli(), time.Since(begun).Milliseconds() }
}

// Log is where the lines of a sitting are kept. File is one on disk; a server or a browser's storage may
// be others.
type Log interface {
	// Append keeps lines, without line ends, for good: all of them, or on an error none.
	Append(lines [][]byte) error
}

// Options are what a sitting is given from outside.
type Options struct {
	Log        Log    // nil: nothing is kept but in memory
	Clock      Clock  // nil: the machine's
	Instructor string // public key in hex that must have signed the packet; "" takes the packet's own
}

// Why a sitting does not begin or go on.
var (
	ErrTime      = errors.New("the time is over; submit")
	ErrSubmitted = errors.New("the sitting is submitted")
	ErrEarly     = errors.New("the paper is not open yet")
	ErrExpired   = errors.New("the paper has closed")
	ErrResting   = errors.New("this is a rest; come back first")
	ErrNotKept   = errors.New("it could not be kept and so was not done")
	ErrAttempts  = errors.New("the paper does not allow that many attempts")
	ErrNotSeen   = errors.New("the paper does not allow this to be looked at")
)

// Sitting is a packet being sat. It is not safe for use by several at once.
type Sitting struct {
	packet  Packet
	digest  string
	attempt int
	key     ed25519.PrivateKey
	keep    Log
	clock   Clock
	runs    []*attempt.Run
	given   [][]treatment.Action // done for the candidate, by case
	answers map[string]quiz.Response
	log     []Event
	meter   meter
	done    bool
	export  []byte
}

// Begin begins an attempt, counted from 1, and writes its first line. The error wraps ErrEarly or
// ErrExpired outside the window, ErrAttempts, ErrNotKept, or is a *Refusal of the packet. Checked by
// TestSitting and TestWindow.
func Begin(packet Packet, attempt int, o Options) (*Sitting, error) {
	s, err := open(packet, attempt, o)
	if err != nil {
		return nil, err
	}
	wall, _ := s.clock()
	switch t := packet.Terms; {
	case wall < t.FromS*1000:
		return nil, fmt.Errorf("%w: it opens at %s, the clock here says %s", ErrEarly, stamp(t.FromS*1000), stamp(wall))
	case t.UntilS > 0 && wall > t.UntilS*1000:
		return nil, fmt.Errorf("%w: it closed at %s, the clock here says %s", ErrExpired, stamp(t.UntilS*1000), stamp(wall))
	}
	if err := s.note(Event{Kind: KindStart, Packet: s.digest, Attempt: attempt}); err != nil {
		return s, err
	}
	return s, s.prepare()
}

// prepare does what drills begin with, as far as it is not done yet, as the first actions of their cases.
func (s *Sitting) prepare() error {
	for n, given := range s.given {
		for i := len(s.runs[n].Actions()); i < len(given); i++ {
			if _, err := s.Do(n, given[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// stamp writes a time for people.
func stamp(ms int64) string { return time.UnixMilli(ms).UTC().Format("2006-01-02 15:04:05 UTC") }

// open checks a packet and grows its cases.
func open(packet Packet, number int, o Options) (*Sitting, error) {
	if packet.Engine != engine() {
		return nil, refuse(OtherEngine, "the packet is for engine %.40q, this is engine %q", packet.Engine, engine())
	}
	if err := packet.Check(o.Instructor); err != nil {
		return nil, err
	}
	if err := packet.sound(); err != nil {
		return nil, refuse(OutOfBounds, "packet: %v", err)
	}
	if number < 1 || number > packet.Terms.Attempts {
		return nil, fmt.Errorf("%w: this is number %d, allowed %d", ErrAttempts, number, packet.Terms.Attempts)
	}
	digest, err := packet.Digest()
	if err != nil {
		return nil, err
	}
	seed, err := hex.DecodeString(packet.Key)
	if err != nil {
		return nil, err
	}
	s := &Sitting{packet: packet, digest: digest, attempt: number, key: ed25519.NewKeyFromSeed(seed), keep: o.Log, clock: o.Clock,
		answers: map[string]quiz.Response{}, meter: meter{rest: int64(packet.RestS) * 1000}}
	if s.clock == nil {
		s.clock = SystemClock()
	}
	for _, c := range packet.Cases {
		paper, err := c.Grow()
		if err != nil {
			return nil, err
		}
		s.runs, s.given = append(s.runs, attempt.Begin(paper)), append(s.given, paper.Done)
	}
	return s, nil
}

// Resume goes on with a sitting from the lines that were kept, and writes a line that says so. A last line
// that was only half written is left out. A submitted sitting comes back as it is. When the lines are
// of another packet or were changed, the error says which. Checked by TestResume.
func Resume(packet Packet, lines [][]byte, o Options) (*Sitting, error) {
	if len(lines) == 0 {
		return nil, errors.New("resume: the log is empty")
	}
	start, err := DecodeLine(lines[0])
	if err != nil || start.Kind != KindStart {
		return nil, errors.New("resume: line 1 is not the beginning of a log")
	}
	s, err := open(packet, start.Attempt, o)
	if err != nil {
		return nil, err
	}
	if start.Packet != s.digest {
		return nil, errors.New("resume: the log belongs to another packet")
	}
	for n, line := range lines {
		e, err := DecodeLine(line)
		if err != nil && n == len(lines)-1 && n > 0 {
			break
		}
		if err == nil {
			err = s.replay(e)
		}
		if err != nil {
			return nil, fmt.Errorf("resume: line %d: %w", n+1, err)
		}
	}
	if s.done {
		return s, s.close()
	}
	if err := s.note(Event{Kind: KindResume}); err != nil {
		return s, err
	}
	if err := s.prepare(); err != nil && !errors.Is(err, ErrTime) && !errors.Is(err, ErrExpired) && !errors.Is(err, ErrResting) {
		return s, err
	}
	return s, nil
}

// replay does what a kept line says.
func (s *Sitting) replay(e Event) error {
	next, err := s.linked(e)
	switch {
	case err != nil:
		return err
	case next.Hash != e.Hash || next.Index != e.Index:
		return errors.New("it does not follow from the lines before it: the log was changed")
	case s.done || (e.Kind == KindStart) != (len(s.log) == 0):
		return fmt.Errorf("a line of kind %s does not stand here", e.Kind)
	}
	switch e.Kind {
	case KindAction:
		if e.Case >= len(s.runs) {
			return fmt.Errorf("there is no case %d", e.Case+1)
		}
		if _, err := s.runs[e.Case].Do(*e.Action); err != nil {
			return err
		}
		if last, _ := s.runs[e.Case].Last(); last.Digest != e.State || last.Elapsed != e.Elapsed {
			return errors.New("this engine gives another state than the one that was kept")
		}
	case KindAnswer:
		s.answers[e.Item] = *e.Answer
	case KindSubmit:
		s.done = true
	default:
	}
	s.add(e)
	return nil
}

// linked returns a line as it stands at the end of the chain.
func (s *Sitting) linked(e Event) (Event, error) {
	before := first(s.digest, s.attempt)
	if n := len(s.log); n > 0 {
		before = s.log[n-1].Hash
	}
	e.Index = len(s.log)
	var err error
	e.Hash, err = link(before, e)
	return e, err
}

func (s *Sitting) add(e Event) {
	s.log = append(s.log, e)
	s.meter.take(e)
}

// note stamps a line, after one about the clock if that did not run evenly, and keeps it. On an error
// nothing has changed.
func (s *Sitting) note(e Event) error {
	e.Wall, e.Mono = s.clock()
	news := []Event{e}
	if s.meter.begun && e.Kind != KindResume {
		if text := unevenly(s.meter.last, e); text != "" {
			news = []Event{{Wall: e.Wall, Mono: e.Mono, Kind: KindClock, Note: text}, e}
		}
	}
	log, clock := s.log, s.meter
	lines := make([][]byte, 0, len(news))
	for _, one := range news {
		linked, err := s.linked(one)
		if err != nil {
			s.log, s.meter = log, clock
			return err
		}
		s.add(linked)
		line, err := EncodeLine(linked)
		if err != nil {
			s.log, s.meter = log, clock
			return err
		}
		lines = append(lines, line)
	}
	if s.keep == nil {
		return nil
	}
	if err := s.keep.Append(lines); err != nil {
		s.log, s.meter = log, clock
		return fmt.Errorf("%w: %w", ErrNotKept, err)
	}
	return nil
}

// ready returns why nothing can be done now, or nil.
func (s *Sitting) ready() error {
	left, limited := s.Left()
	wall, mono := s.clock()
	switch {
	case s.done:
		return ErrSubmitted
	case s.meter.resting:
		return ErrResting
	case limited && left <= 0:
		return ErrTime
	case s.packet.Terms.UntilS > 0 && s.meter.clock+s.meter.between(wall, mono, false) > s.packet.Terms.UntilS*1000:
		return ErrExpired
	case len(s.log) >= mostLines-10:
		return fmt.Errorf("a sitting has at most %d lines; submit", mostLines)
	}
	return nil
}

// Left returns the ms left of the time limit, negative once it is over, and whether there is a limit.
func (s *Sitting) Left() (int64, bool) {
	return int64(s.packet.LimitS)*1000 - s.meter.usedAt(s.clock()), s.packet.LimitS > 0
}

// LeftS returns the whole s left of the time limit, 0 once it is over, −1 without limit.
func (s *Sitting) LeftS() int {
	left, limited := s.Left()
	if !limited {
		return -1
	}
	return int(max(0, left) / 1000)
}

// Used returns the ms used so far, rests left out.
func (s *Sitting) Used() int64 { return s.meter.usedAt(s.clock()) }

// RestLeft returns the ms of rest left when the last line was written, and whether a rest is on.
func (s *Sitting) RestLeft() (int64, bool) { return s.meter.rest, s.meter.resting }

// Do does an action in a case, counted from 0, and returns what happened. A refused action changes
// nothing and is not noted; nor does one that could not be kept (ErrNotKept), which may be tried again.
// Checked by TestSitting and TestDiskFull.
func (s *Sitting) Do(one int, a treatment.Action) ([]treatment.Event, error) {
	if err := s.ready(); err != nil {
		return nil, err
	}
	if one < 0 || one >= len(s.runs) {
		return nil, fmt.Errorf("there is no case %d", one+1)
	}
	before := *s.runs[one]
	events, err := s.runs[one].Do(a)
	if err != nil {
		return nil, err
	}
	last, _ := s.runs[one].Last()
	if err := s.note(Event{Kind: KindAction, Case: one, Action: &a, Elapsed: last.Elapsed, State: last.Digest}); err != nil {
		*s.runs[one] = before
		return nil, err
	}
	return events, nil
}

// Answer answers a question; the last answer to it counts. A response that does not fit is an error
// and is not noted.
func (s *Sitting) Answer(item string, r quiz.Response) error {
	if err := s.ready(); err != nil {
		return err
	}
	n := slices.IndexFunc(s.packet.Items, func(i Shown) bool { return i.Item.ID == item })
	if n < 0 {
		return fmt.Errorf("there is no question %.60q", item)
	}
	if err := s.packet.Items[n].Fit(r); err != nil {
		return err
	}
	if err := s.note(Event{Kind: KindAnswer, Item: item, Answer: &r}); err != nil {
		return err
	}
	s.answers[item] = r
	return nil
}

// Look notes that something of Sights, which the paper allows, was looked at in a case; else the error
// wraps ErrNotSeen and it must not be shown.
func (s *Sitting) Look(one int, what string) error {
	if err := s.ready(); err != nil {
		return err
	}
	if one < 0 || one >= len(s.runs) {
		return fmt.Errorf("there is no case %d", one+1)
	}
	if !s.packet.Terms.Sees(what) {
		return fmt.Errorf("%w: %.40s", ErrNotSeen, what)
	}
	return s.note(Event{Kind: KindLook, Case: one, Note: what})
}

// Rest begins a rest. The clock stands still until Back, as long as rest is left.
func (s *Sitting) Rest() error {
	if err := s.ready(); err != nil {
		return err
	}
	if s.meter.rest <= 0 {
		return errors.New("no rest is left")
	}
	return s.note(Event{Kind: KindRest})
}

// Back ends a rest.
func (s *Sitting) Back() error {
	if s.done || !s.meter.resting {
		return errors.New("this is no rest")
	}
	return s.note(Event{Kind: KindBack})
}

// Submit ends the sitting and returns its export; called again, it returns the same bytes. It can be
// called after the time is over.
func (s *Sitting) Submit() ([]byte, error) {
	if !s.done {
		if err := s.note(Event{Kind: KindSubmit}); err != nil {
			return nil, err
		}
		s.done = true
	}
	if s.export == nil {
		if err := s.close(); err != nil {
			return nil, err
		}
	}
	return s.export, nil
}

// Run returns the run of a case to be looked at; actions go through Do alone.
func (s *Sitting) Run(one int) *attempt.Run { return s.runs[one] }

// Packet returns the packet that is sat.
func (s *Sitting) Packet() Packet { return s.packet }

// Attempt returns the number of the attempt, from 1.
func (s *Sitting) Attempt() int { return s.attempt }

// Submitted reports whether the sitting is over.
func (s *Sitting) Submitted() bool { return s.done }

// Answers returns the last answer to every question answered.
func (s *Sitting) Answers() map[string]quiz.Response { return maps.Clone(s.answers) }

// Notes returns what was noted about the clock.
func (s *Sitting) Notes() []string { return slices.Clone(s.meter.notes) }

// Lines returns the log from line number from on, each as canonical JSON without line end, as Log gets
// them. An earlier line never changes.
func (s *Sitting) Lines(from int) ([][]byte, error) {
	var out [][]byte
	for _, e := range s.log[min(max(from, 0), len(s.log)):] {
		line, err := EncodeLine(e)
		if err != nil {
			return nil, err
		}
		out = append(out, line)
	}
	return out, nil
}
