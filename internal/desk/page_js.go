package desk

import (
	"encoding/json"
	"strconv"
	"strings"

	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/store"
)

// browser keeps logs in the browser's memory for this page, a line under each name, and offers exports
// as downloads.
type browser struct{}

// browserLog is a log in the browser's memory.
type browserLog struct {
	name  string
	count int
}

func (browser) open(packet exam.Packet, attempt int) (exam.Log, [][]byte, error) {
	digest, err := packet.Digest()
	if err != nil {
		return nil, nil, err
	}
	log := &browserLog{name: "tugback.exam." + digest[:16] + "." + strconv.Itoa(attempt) + "."}
	var lines [][]byte
	for {
		line, err := store.Remembered(log.name + strconv.Itoa(log.count))
		if err != nil {
			return nil, nil, err
		}
		if line == nil {
			return log, lines, nil
		}
		lines = append(lines, line)
		log.count++
	}
}

// Append keeps lines, all or none.
func (l *browserLog) Append(lines [][]byte) error {
	for i, line := range lines {
		if err := store.Remember(l.name+strconv.Itoa(l.count+i), line); err != nil {
			for k := range i {
				store.Remember(l.name+strconv.Itoa(l.count+k), nil) //nolint:errcheck // taking away needs no room
			}
			return err
		}
	}
	l.count += len(lines)
	return nil
}

func (browser) keep(name string, export []byte) (string, error) {
	return name, store.Offer(name, export)
}

// pageRoom is the class server that served this page.
type pageRoom struct{ token string }

func (r pageRoom) packet() ([]byte, error) {
	_, text, err := store.Ask("GET", "api/packet", r.token, nil)
	return text, err
}

func (r pageRoom) lines(attempt int) ([]string, error) {
	status, text, err := store.Ask("GET", "api/log/"+strconv.Itoa(attempt), r.token, nil)
	if status == 404 {
		return nil, nil
	}
	var log struct {
		Lines []string `json:"lines"`
	}
	if err == nil {
		err = json.Unmarshal(text, &log)
	}
	return log.Lines, err
}

func (r pageRoom) append(attempt, from int, lines []string, step string) error {
	return r.ask("POST", "api/log/"+strconv.Itoa(attempt), handin.Append{From: from, Lines: lines, Step: step, LeftS: -1}, nil)
}

func (r pageRoom) submit(attempt int, export []byte) (digest string, late bool, err error) {
	_, text, err := store.Ask("POST", "api/submit/"+strconv.Itoa(attempt), r.token, export)
	if err != nil {
		return "", false, err
	}
	var got struct {
		Digest string `json:"digest"`
		Late   bool   `json:"late"`
	}
	err = json.Unmarshal(text, &got)
	return got.Digest, got.Late, err
}

func (r pageRoom) status() (handin.Status, error) {
	var s handin.Status
	return s, r.ask("GET", "api/status", nil, &s)
}

func (r pageRoom) step(attempt int, step handin.Step) (handin.Seen, error) {
	var seen handin.Seen
	return seen, r.ask("POST", "api/step/"+strconv.Itoa(attempt), step, &seen)
}

// ask asks the server and reads its answer where one is wanted; a refusal is a *handin.Error.
func (r pageRoom) ask(method, path string, say, into any) error {
	var text []byte
	var err error
	if say != nil {
		if text, err = json.Marshal(say); err != nil {
			return err
		}
	}
	status, text, err := store.Ask(method, path, r.token, text)
	switch {
	case status >= 400:
		return &handin.Error{Status: status, Text: strings.TrimSpace(string(text))}
	case err != nil || into == nil:
		return err
	}
	return json.Unmarshal(text, into)
}

func (r pageRoom) comments() ([]byte, error) {
	_, text, err := store.Ask("GET", "api/comments", r.token, nil)
	return text, err
}

// NewPage returns the desk of the page: with the class server that served it where there is a token.
func NewPage(token string) Desk {
	d := Desk{home: browser{}, tell: func(error) {}}
	if token != "" {
		d.room = pageRoom{token}
	}
	return d
}
