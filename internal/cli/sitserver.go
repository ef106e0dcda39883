package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"tugback/internal/exam"
	"tugback/internal/handin"
)

// How long a class server is waited for.
const (
	answerTime = 30 * time.Second // for one answer
	sendTime   = 3 * time.Second  // for lines of a log, which can be sent later too
	retryTime  = 20 * time.Second // asking again when no answer came
	retryPause = 500 * time.Millisecond
)

// onServer sits at a class server: it fetches the packet and sits here, or, when the paper is stepped there,
// sits there. done tells that all is done.
func (c *paperSit) onServer(s *session) (done bool, err error) {
	if c.Token == "" {
		return true, usage("--server needs --token, or the variable TUGBACK_TOKEN")
	}
	client := handin.Client{Base: strings.TrimSuffix(c.Server, "/"), Token: c.Token, HTTP: &http.Client{Timeout: answerTime}}
	var status handin.Status
	if err := patiently(func() (err error) { status, err = client.Status(context.Background()); return err }); err != nil {
		return true, fmt.Errorf("--server %s: %w", c.Server, err)
	}
	text, err := client.Packet(context.Background())
	if err != nil {
		return true, fmt.Errorf("--server %s: %w", c.Server, err)
	}
	if status.Stepped {
		return true, c.stepped(s, client, text)
	}
	packet, err := exam.DecodePacket(text)
	if err != nil {
		return true, refusal("the packet from "+c.Server, err)
	}
	if c.Folder == "" {
		c.Folder = "."
	}
	c.Packet = filepath.Join(c.Folder, exam.PacketFile(packet.Candidate))
	c.sender = &sender{client: client}
	return false, keepPacket(c.Packet, text)
}

// keepPacket writes a packet beside the log, unless it is there.
func keepPacket(path string, text []byte) error {
	have, err := os.ReadFile(path)
	switch {
	case err == nil && string(have) == string(text):
		return nil
	case err == nil:
		return fmt.Errorf("%s: it is another packet than the server's; name another --folder", path)
	case !errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("%s: %w", path, cause(err))
	}
	var files outputs
	if err := files.add("the packet", path, func(w io.Writer) error { _, err := w.Write(text); return err }); err != nil {
		return err
	}
	return files.write()
}

// patiently asks again when a server does not answer or asks to wait.
func patiently(ask func() error) error {
	for begun := time.Now(); ; time.Sleep(retryPause) {
		err := ask()
		var refused *handin.Error
		told := errors.As(err, &refused) && refused.Status != http.StatusTooManyRequests && refused.Status != http.StatusServiceUnavailable
		if err == nil || told || time.Since(begun) > retryTime {
			return err
		}
	}
}

// sender is a log that is kept here and sent to a class server as it grows, so that the sitting can go on at
// another machine and the server can say when what was done. Sending may fail without harm: what is kept
// here is sent with the next lines.
type sender struct {
	client  handin.Client
	file    *exam.File
	attempt string
	left    func() int // s, −1 without limit
	sent    int        // lines the server has
	waiting []string
	silent  bool // the server did not answer last time
}

// join takes up the log of an attempt: what the server has and this machine has not is written here first. It
// returns all lines.
func (l *sender) join(file *exam.File, number int, lines [][]byte) ([][]byte, error) {
	l.file, l.attempt = file, strconv.Itoa(number)
	kept, err := l.client.Log(context.Background(), l.attempt)
	var refused *handin.Error
	if err != nil && !(errors.As(err, &refused) && refused.Status == http.StatusNotFound) {
		return nil, fmt.Errorf("log on the server: %w", err)
	}
	for i, line := range kept.Lines {
		if i < len(lines) && string(lines[i]) != line {
			return nil, fmt.Errorf("line %d of the log here is not the server's: the attempt was sat at another machine; name another --folder", i+1)
		}
	}
	if more := len(kept.Lines) - len(lines); more > 0 {
		var missing [][]byte
		for _, line := range kept.Lines[len(lines):] {
			missing = append(missing, []byte(line))
		}
		if err := file.Append(missing); err != nil {
			return nil, err
		}
		lines = append(lines, missing...)
	}
	l.sent = len(kept.Lines)
	for _, line := range lines[l.sent:] {
		l.waiting = append(l.waiting, string(line))
	}
	return lines, nil
}

// Append keeps lines here, then tries to send them.
func (l *sender) Append(lines [][]byte) error {
	if err := l.file.Append(lines); err != nil {
		return err
	}
	for _, line := range lines {
		l.waiting = append(l.waiting, string(line))
	}
	l.send(sendTime)
	return nil
}

// send sends what waits.
func (l *sender) send(limit time.Duration) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	left := -1
	if l.left != nil {
		left = l.left()
	}
	err := l.client.Append(ctx, l.attempt, handin.Append{From: l.sent, Lines: l.waiting, Step: "sitting", LeftS: left})
	if l.silent = err != nil; err == nil {
		l.sent, l.waiting = l.sent+len(l.waiting), nil
	}
}

// handIn hands an export in and returns what is to be told.
func (l *sender) handIn(export []byte) ([]string, error) {
	if len(l.waiting) > 0 {
		l.send(answerTime)
	}
	var receipt handin.Receipt
	err := patiently(func() (err error) {
		receipt, err = l.client.Submit(context.Background(), l.attempt, export)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("it is submitted and kept here, but not handed in: %w; nothing is lost: give the same command again", err)
	}
	return receiptLines(receipt, exam.Digest(export))
}

// receiptLines checks a receipt and says it.
func receiptLines(r handin.Receipt, digest string) ([]string, error) {
	if err := r.Check(r.Key); err != nil {
		return nil, err
	}
	if digest != "" && r.Digest != digest {
		return nil, errors.New("the server's receipt is for another sitting")
	}
	text := fmt.Sprintf("Handed in at %s by the server's clock.", time.Unix(r.Received, 0).UTC().Format("2006-01-02 15:04:05 UTC"))
	if r.Late {
		text += " It came after the paper had closed."
	}
	return []string{text, "Receipt of the server: " + r.Digest[:16] + "…"}, nil
}

// receiptOf reads the receipt of a stepped sitting.
func receiptOf(text json.RawMessage) (handin.Receipt, error) {
	var r handin.Receipt
	err := json.Unmarshal(text, &r)
	return r, err
}
