package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"maps"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Clock tells the time: wall in ms since 1970 as the machine has it, mono in ms since any moment.
type Clock func() (wall, mono int64)

// Why a sitting does not begin or go on.
var (
	ErrTime      = errors.New("the time is over; submit")
	ErrSubmitted = errors.New("the sitting is submitted")
	ErrEarly     = errors.New("the paper is not open yet")
	ErrExpired   = errors.New("the paper has expired")
	ErrResting   = errors.New("this is a rest; come back first")
	ErrEngine    = errors.New("made for another version of the engine")
)

// Sitting is a packet being sat. It is not safe for use by several at once.
type Sitting struct {
	packet  Packet
	digest  string
	attempt string
	key     ed25519.PrivateKey
	clock   Clock
	runs    []*attempt.Run
	answers map[string]quiz.Response
	log     []Event
	meter   meter
	done    bool
	export  []byte
}

// Session is what besides packet and log must be kept so that a sitting can be resumed. It is the
// candidate's own: who has it can sign as this sitting.
type Session struct {
	Key     string `json:"key"` // seed of the session's ed25519 key, hex
	Attempt string `json:"attempt"`
}

// NewSession draws a session from a source of chance.
func NewSession(chance io.Reader) (Session, error) {
	buffer := make([]byte, ed25519.SeedSize+10)
	if _, err := io.ReadFull(chance, buffer); err != nil {
		return Session{}, fmt.Errorf("session: %w", err)
	}
	return Session{hex.EncodeToString(buffer[:ed25519.SeedSize]), hex.EncodeToString(buffer[ed25519.SeedSize:])}, nil
}

// Start begins a sitting of a packet that must be signed by the instructor's key (hex; "" takes the
// packet's own). Outside the window the error wraps ErrEarly or ErrExpired. Checked by TestSitting and
// TestWindow.
func Start(packet Packet, instructor string, session Session, clock Clock) (*Sitting, error) {
	s, err := open(packet, instructor, session, clock)
	if err != nil {
		return nil, err
	}
	wall, _ := clock()
	if wall < packet.Terms.FromS*1000 {
		return nil, ErrEarly
	}
	if packet.Terms.UntilS > 0 && wall > packet.Terms.UntilS*1000 {
		return nil, ErrExpired
	}
	return s, s.note(Event{Kind: KindStart})
}

// open grows the cases of a packet.
func open(packet Packet, instructor string, session Session, clock Clock) (*Sitting, error) {
	seed, err := hex.DecodeString(session.Key)
	if err != nil || len(seed) != ed25519.SeedSize || session.Attempt == "" || len(session.Attempt) > 64 {
		return nil, errors.New("the session's key is damaged")
	}
	if err := packet.Check(instructor); err != nil {
		return nil, fmt.Errorf("packet: %w", err)
	}
	if packet.Engine != treatment.Engine {
		return nil, fmt.Errorf("packet: %w: %q, this is %q", ErrEngine, packet.Engine, treatment.Engine)
	}
	digest, err := packet.Digest()
	if err != nil {
		return nil, err
	}
	s := &Sitting{packet: packet, digest: digest, attempt: session.Attempt, key: ed25519.NewKeyFromSeed(seed), clock: clock,
		answers: map[string]quiz.Response{}, meter: meter{rest: int64(packet.RestS) * 1000}}
	for _, c := range packet.Cases {
		paper, err := c.Grow(c.Seed)
		if err != nil {
			return nil, err
		}
		s.runs = append(s.runs, attempt.Begin(paper))
	}
	return s, nil
}

// Resume goes on with a sitting from the lines that were saved. A last line that was only half written
// is left out. A submitted sitting comes back as it is. Checked by TestResume.
func Resume(packet Packet, instructor string, session Session, lines [][]byte, clock Clock) (*Sitting, error) {
	s, err := open(packet, instructor, session, clock)
	if err != nil {
		return nil, err
	}
	for n, line := range lines {
		e, err := decodeLine(line)
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
	if len(s.log) == 0 {
		return nil, errors.New("resume: the log is empty")
	}
	if s.done {
		return s, s.close()
	}
	return s, s.note(Event{Kind: KindResume})
}

// replay does what a saved line says.
func (s *Sitting) replay(e Event) error {
	if s.done || (e.Kind == KindStart) != (len(s.log) == 0) {
		return fmt.Errorf("a line of kind %s does not stand here", e.Kind)
	}
	switch e.Kind {
	case KindAction:
		if e.Case < 0 || e.Case >= len(s.runs) {
			return fmt.Errorf("there is no case %d", e.Case+1)
		}
		if _, err := s.runs[e.Case].Do(*e.Action); err != nil {
			return err
		}
	case KindAnswer:
		s.answers[e.Item] = *e.Response
	case KindSubmit:
		s.done = true
	default:
	}
	hash := e.Hash
	if err := s.add(e); err != nil {
		return err
	}
	if s.log[len(s.log)-1].Hash != hash {
		return errors.New("it does not follow from the lines before it: the log was changed, or belongs to another packet or session")
	}
	return nil
}

// add puts a line at the end of the chain.
func (s *Sitting) add(e Event) error {
	before := first(s.digest, s.attempt, public(s.key))
	if n := len(s.log); n > 0 {
		before = s.log[n-1].Hash
	}
	e.Index = len(s.log)
	hash, err := link(before, e)
	if err != nil {
		return err
	}
	e.Hash = hash
	s.log = append(s.log, e)
	s.meter.take(e)
	return nil
}

// note stamps a line and adds it, after one about the clock if that did not run evenly.
func (s *Sitting) note(e Event) error {
	e.Wall, e.Mono = s.clock()
	if s.meter.begun {
		if text := unevenly(s.meter.last, e); text != "" && e.Kind != KindResume {
			if err := s.add(Event{Wall: e.Wall, Mono: e.Mono, Kind: KindClock, Note: text}); err != nil {
				return err
			}
		}
	}
	return s.add(e)
}

// ready returns why nothing can be done now, or nil.
func (s *Sitting) ready() error {
	left, limited := s.Left()
	wall, _ := s.clock()
	switch {
	case s.done:
		return ErrSubmitted
	case s.meter.resting:
		return ErrResting
	case limited && left <= 0:
		return ErrTime
	case s.packet.Terms.UntilS > 0 && wall > s.packet.Terms.UntilS*1000:
		return ErrExpired
	case len(s.log) >= mostEvents-2:
		return fmt.Errorf("a sitting has at most %d lines", mostEvents)
	}
	return nil
}

// Left returns the ms left of the time limit, and whether there is one.
func (s *Sitting) Left() (int64, bool) {
	return int64(s.packet.LimitS)*1000 - s.meter.usedAt(s.clock()), s.packet.LimitS > 0
}

// Do does an action in a case, counted from 0, and returns what happened. A refused action changes
// nothing and is not noted.
func (s *Sitting) Do(one int, a treatment.Action) ([]treatment.Event, error) {
	if err := s.ready(); err != nil {
		return nil, err
	}
	if one < 0 || one >= len(s.runs) {
		return nil, fmt.Errorf("there is no case %d", one+1)
	}
	events, err := s.runs[one].Do(a)
	if err != nil {
		return nil, err
	}
	return events, s.note(Event{Kind: KindAction, Case: one, Action: &a})
}

// Answer answers a question; the last answer to it counts. A response that does not fit is an error
// and is not noted.
func (s *Sitting) Answer(item string, r quiz.Response) error {
	if err := s.ready(); err != nil {
		return err
	}
	for _, shown := range s.packet.Items {
		if shown.Item.ID != item {
			continue
		}
		if err := shown.Fit(r); err != nil {
			return err
		}
		s.answers[item] = r
		return s.note(Event{Kind: KindAnswer, Item: item, Response: &r})
	}
	return fmt.Errorf("there is no question %.60q", item)
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

// Run returns the run of a case to be looked at; actions go through Do alone.
func (s *Sitting) Run(one int) *attempt.Run { return s.runs[one] }

// Packet returns the packet that is sat.
func (s *Sitting) Packet() Packet { return s.packet }

// Attempt returns the name of the attempt.
func (s *Sitting) Attempt() string { return s.attempt }

// Submitted reports whether the sitting is over.
func (s *Sitting) Submitted() bool { return s.done }

// Answers returns the last answer to every question answered.
func (s *Sitting) Answers() map[string]quiz.Response { return maps.Clone(s.answers) }

// Notes returns what was noted about the clock.
func (s *Sitting) Notes() []string { return append([]string(nil), s.meter.notes...) }

// Lines returns the log from line number from on, each as canonical JSON without line end, to be saved
// after every action. An earlier line never changes.
func (s *Sitting) Lines(from int) ([][]byte, error) {
	var out [][]byte
	for _, e := range s.log[min(max(from, 0), len(s.log)):] {
		text, err := encodeLine(e)
		if err != nil {
			return nil, err
		}
		out = append(out, text)
	}
	return out, nil
}

// Submit ends the sitting and returns its export; called again, it returns the same bytes. It can be
// called after the time is over.
func (s *Sitting) Submit() ([]byte, error) {
	if !s.done {
		if err := s.note(Event{Kind: KindSubmit}); err != nil {
			return nil, err
		}
		s.done = true
		if err := s.close(); err != nil {
			return nil, err
		}
	}
	return s.export, nil
}
