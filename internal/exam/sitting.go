package exam

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// Clock tells the time. Both are in ms: Wall since 1970 as the machine's clock has it, Mono since any
// moment, never set back.
type Clock interface {
	Now() (wall, mono int64)
}

// Kinds of event in a log.
const (
	KindStart  = "start"
	KindResume = "resume"
	KindAction = "action"
	KindAnswer = "answer"
	KindRest   = "rest"
	KindClock  = "clock"
	KindSubmit = "submit"
)

// Event is one line of a log.
type Event struct {
	Index    int               `json:"i"`
	Wall     int64             `json:"wall"`
	Mono     int64             `json:"mono"`
	Kind     string            `json:"kind"`
	Case     int               `json:"case"`
	Action   *treatment.Action `json:"action,omitempty"`
	Item     string            `json:"item,omitempty"`
	Response *quiz.Response    `json:"response,omitempty"`
	Seconds  int               `json:"seconds,omitempty"`
	Note     string            `json:"note,omitempty"`
	Hash     string            `json:"hash"` // of the chain up to here
}

// clockSlack is by how much wall and monotonic time may part between two events, ms.
const clockSlack = 2000

// Reasons for which a sitting does not go on.
var (
	ErrTime      = errors.New("the time is over")
	ErrSubmitted = errors.New("the sitting is submitted")
	ErrWindow    = errors.New("the paper is not open now")
)

// Sitting is a packet being sat. It is not safe for use by several at once.
type Sitting struct {
	packet    Packet
	digest    string
	attempt   string
	key       ed25519.PrivateKey
	clock     Clock
	runs      []*attempt.Run
	answers   map[string]quiz.Response
	log       []Event
	used      int64 // ms of the limit
	rested    int
	submitted bool
}

// Start begins a sitting of a checked packet. chance gives 32 bytes for the session's key and 10 for the
// name of the attempt; instructor is the key (hex) that must have signed the packet, "" takes the
// packet's own. Outside the window the error wraps ErrWindow. Checked by TestSitting.
func Start(packet Packet, instructor string, chance io.Reader, clock Clock) (*Sitting, error) {
	buffer := make([]byte, ed25519.SeedSize+10)
	if _, err := io.ReadFull(chance, buffer); err != nil {
		return nil, fmt.Errorf("start: %w", err)
	}
	s, err := open(packet, instructor, ed25519.NewKeyFromSeed(buffer[:ed25519.SeedSize]), hex.EncodeToString(buffer[ed25519.SeedSize:]), clock)
	if err != nil {
		return nil, err
	}
	wall, _ := clock.Now()
	if t := packet.Terms; t.FromS > 0 && wall < t.FromS*1000 || t.UntilS > 0 && wall > t.UntilS*1000 {
		return nil, fmt.Errorf("start: %w", ErrWindow)
	}
	return s, s.note(Event{Kind: KindStart})
}

// open grows the cases of a packet.
func open(packet Packet, instructor string, key ed25519.PrivateKey, id string, clock Clock) (*Sitting, error) {
	if err := packet.Check(instructor); err != nil {
		return nil, fmt.Errorf("packet: %w", err)
	}
	digest, err := digestOf(packet)
	if err != nil {
		return nil, err
	}
	s := &Sitting{packet: packet, digest: digest, attempt: id, key: key, clock: clock, answers: map[string]quiz.Response{}}
	for i, c := range packet.Cases {
		paper, err := c.Grow(packet.Seeds[i])
		if err != nil {
			return nil, err
		}
		s.runs = append(s.runs, attempt.Begin(paper))
	}
	return s, nil
}

func digestOf(v any) (string, error) {
	text, err := canonical(v)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

func parseSeed(text string) (uint64, error) {
	n, err := strconv.ParseUint(text, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%.40q is no seed", text)
	}
	return n, nil
}

// first returns h0: SHA-256 over the schema, the packet's digest, the engine, the attempt and the key.
func first(packet, id, key string) string {
	sum := sha256.Sum256([]byte(ExportSchema + "\x00" + packet + "\x00" + treatment.Engine + "\x00" + id + "\x00" + key))
	return hex.EncodeToString(sum[:])
}

// link returns the next hash of a chain: SHA-256(0x01 ‖ before ‖ canonical event without its hash).
func link(before string, e Event) (string, error) {
	e.Hash = ""
	text, err := canonical(e)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(append([]byte("\x01"+before), text...))
	return hex.EncodeToString(sum[:]), nil
}

// add puts an event at the end of the chain.
func (s *Sitting) add(e Event) error {
	before := first(s.digest, s.attempt, s.public())
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
	return nil
}

func (s *Sitting) public() string {
	return hex.EncodeToString(s.key.Public().(ed25519.PublicKey)) //nolint:forcetypeassert // by its type
}

// note stamps an event, after one about the clock if that did not run evenly.
func (s *Sitting) note(e Event) error {
	e.Wall, e.Mono = s.clock.Now()
	if n := len(s.log); n > 0 && e.Kind != KindResume {
		last := s.log[n-1]
		wall, mono := e.Wall-last.Wall, e.Mono-last.Mono
		if text := uneven(wall, mono); text != "" {
			if err := s.add(Event{Wall: e.Wall, Mono: e.Mono, Kind: KindClock, Note: text}); err != nil {
				return err
			}
		}
		s.used += max(wall, mono, 0)
	} else if n > 0 {
		s.used += max(0, e.Wall-s.log[n-1].Wall)
	}
	return s.add(e)
}

// uneven says how the clock ran unevenly between two events, or "".
func uneven(wall, mono int64) string {
	switch {
	case wall < 0:
		return "the clock was set back"
	case wall-mono > clockSlack:
		return "the clock jumped ahead, or the machine slept"
	case mono-wall > clockSlack:
		return "the clock ran slow or was set back"
	}
	return ""
}

// ready returns why nothing can be done now, or nil.
func (s *Sitting) ready() error {
	if s.submitted {
		return ErrSubmitted
	}
	if left, limited := s.Left(); limited && left <= 0 {
		return ErrTime
	}
	return nil
}

// Left returns the ms left, and whether there is a limit. Rest does not count, up to what is allowed.
func (s *Sitting) Left() (int64, bool) {
	used := s.used
	if n := len(s.log); n > 0 {
		wall, mono := s.clock.Now()
		used += max(wall-s.log[n-1].Wall, mono-s.log[n-1].Mono, 0)
	}
	return int64(s.packet.LimitS)*1000 - used, s.packet.LimitS > 0
}

// Do does an action in a case, from 0, and returns what happened. A refused action changes nothing and
// is not noted.
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

// Answer answers an item; the last answer counts.
func (s *Sitting) Answer(item string, r quiz.Response) error {
	if err := s.ready(); err != nil {
		return err
	}
	if !slices.ContainsFunc(s.packet.Items, func(i ShownItem) bool { return i.Item.ID == item }) {
		return fmt.Errorf("there is no item %q", item)
	}
	s.answers[item] = r
	return s.note(Event{Kind: KindAnswer, Item: item, Response: &r})
}

// Rest takes seconds of the rest allowed; they are given back to the limit.
func (s *Sitting) Rest(seconds int) error {
	if err := s.ready(); err != nil {
		return err
	}
	if seconds <= 0 || s.rested+seconds > s.packet.RestS {
		return fmt.Errorf("%d s of rest are left", s.packet.RestS-s.rested)
	}
	s.rested += seconds
	s.used -= int64(seconds) * 1000
	return s.note(Event{Kind: KindRest, Seconds: seconds})
}

// Run returns the run of a case, to be looked at; nothing may be done to it but by Do.
func (s *Sitting) Run(one int) *attempt.Run { return s.runs[one] }

// Packet returns the packet that is sat.
func (s *Sitting) Packet() Packet { return s.packet }

// Lines returns the log from a line on, each as canonical JSON, for saving after every action.
func (s *Sitting) Lines(from int) ([][]byte, error) {
	var out [][]byte
	for _, e := range s.log[min(from, len(s.log)):] {
		text, err := canonical(e)
		if err != nil {
			return nil, err
		}
		out = append(out, text)
	}
	return out, nil
}

// Session is what besides the log must be kept to resume: the seed of the session's key and the name
// of the attempt.
type Session struct {
	Key     string `json:"key"`
	Attempt string `json:"attempt"`
}

// Session returns what must be kept beside the log.
func (s *Sitting) Session() Session { return Session{hex.EncodeToString(s.key.Seed()), s.attempt} }

// Resume goes on with a saved sitting. A last line that was only half written is left out. Checked by
// TestResume.
func Resume(packet Packet, instructor string, session Session, lines [][]byte, clock Clock) (*Sitting, error) {
	seed, err := hex.DecodeString(session.Key)
	if err != nil || len(seed) != ed25519.SeedSize {
		return nil, errors.New("resume: the session's key is damaged")
	}
	s, err := open(packet, instructor, ed25519.NewKeyFromSeed(seed), session.Attempt, clock)
	if err != nil {
		return nil, err
	}
	for n, line := range lines {
		var e Event
		if err := json.Unmarshal(line, &e); err != nil {
			if n == len(lines)-1 {
				break
			}
			return nil, fmt.Errorf("resume: line %d: %w", n+1, err)
		}
		if err := s.again(e); err != nil {
			return nil, fmt.Errorf("resume: line %d: %w", n+1, err)
		}
	}
	if s.submitted {
		return s, nil
	}
	return s, s.note(Event{Kind: KindResume})
}

// again does what a saved line says.
func (s *Sitting) again(e Event) error {
	if n := len(s.log); n > 0 && e.Kind != KindClock {
		last := s.log[n-1]
		s.used += max(e.Wall-last.Wall, 0)
		if e.Kind != KindResume {
			s.used += max(e.Mono-last.Mono-max(e.Wall-last.Wall, 0), 0)
		}
	}
	switch {
	case e.Kind == KindAction && e.Action != nil && e.Case >= 0 && e.Case < len(s.runs):
		if _, err := s.runs[e.Case].Do(*e.Action); err != nil {
			return err
		}
	case e.Kind == KindAnswer && e.Response != nil:
		s.answers[e.Item] = *e.Response
	case e.Kind == KindRest:
		s.rested, s.used = s.rested+e.Seconds, s.used-int64(e.Seconds)*1000
	case e.Kind == KindSubmit:
		s.submitted = true
	case e.Kind != KindStart && e.Kind != KindResume && e.Kind != KindClock:
		return fmt.Errorf("unknown kind of line %.20q", e.Kind)
	}
	hash := e.Hash
	if err := s.add(e); err != nil {
		return err
	}
	if s.log[len(s.log)-1].Hash != hash {
		return errors.New("the line does not follow from those before it")
	}
	return nil
}
