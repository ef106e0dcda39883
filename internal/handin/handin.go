// Package handin is what a candidate's program says to the server of a class, and what it hears.
//
// Every request carries the token of one candidate in the header "Authorization: Bearer TOKEN".
//
//	GET  /api/status              Status: the paper, own attempts, own receipts
//	GET  /api/packet              the own packet, byte for byte, while the paper is open and after handing in
//	POST /api/log/{attempt}       Append: lines of the log; 204. Sending lines twice does no harm
//	GET  /api/log/{attempt}       Append with all lines, to go on at another machine
//	POST /api/submit/{attempt}    the export; Receipt. The same bytes give the same receipt
//	POST /api/practice            a practice record; 204
//	GET  /api/comments            what instructors say about the own sittings, CSV of package comment
//	POST /api/step/{attempt}      Step of a sitting that is stepped on the server; Seen
//
// Faults are answered with a status and a line of plain text: 401 unknown token, 403 paper not open,
// 404 nothing of that name, 409 lines that do not follow those kept, 413 too large, 429 too many
// requests (try again later), 507 no room, nothing kept. The package builds for the page too. Begin
// reading at Client.
package handin

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
)

// answerLimit is more than any answer has, in bytes.
const answerLimit = 64 << 20

// Append is lines for the log of an attempt and how far it is.
type Append struct {
	From    int      `json:"from"`              // number of the first line, from 0
	Lines   []string `json:"lines"`             // without line ends
	Session string   `json:"session,omitempty"` // what another machine needs to go on
	Step    string   `json:"step"`              // shown to the instructor, at most 100 bytes
	LeftS   int      `json:"left_s"`            // time left, s; -1 without limit
}

// Receipt says that a hand-in was kept. The signature is ed25519 over the JSON of the receipt with an
// empty signature.
type Receipt struct {
	Paper     string `json:"paper"`
	Candidate string `json:"candidate"`
	Attempt   string `json:"attempt"`
	Digest    string `json:"digest"`   // SHA-256 of what was handed in, hex
	Received  int64  `json:"received"` // by the server's clock, s since 1970
	Late      bool   `json:"late"`
	Key       string `json:"key"`
	Signature string `json:"signature"`
}

// Check returns whether the receipt was signed by the class whose key, in hex, is given.
func (r Receipt) Check(key string) error {
	public, err := hex.DecodeString(key)
	signature, err2 := hex.DecodeString(r.Signature)
	if err != nil || err2 != nil || len(public) != ed25519.PublicKeySize {
		return errors.New("key or signature of the receipt is damaged")
	}
	r.Signature = ""
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if r.Key != key || !ed25519.Verify(public, text, signature) {
		return errors.New("the receipt was not signed by this class")
	}
	return nil
}

// Status is what a candidate may know of their own paper.
type Status struct {
	Paper     string            `json:"paper"`
	Title     string            `json:"title"`
	Candidate string            `json:"candidate"`
	Opens     int64             `json:"opens"`   // s since 1970; 0 open
	Closes    int64             `json:"closes"`  // s since 1970; 0 open
	Stepped   bool              `json:"stepped"` // sat step by step on the server
	Attempts  []string          `json:"attempts"`
	Receipts  []json.RawMessage `json:"receipts"`
}

// Error is the server's refusal.
type Error struct {
	Status int
	Text   string
}

// Error returns the server's words.
func (e *Error) Error() string {
	return fmt.Sprintf("the class server refused (%d): %s", e.Status, e.Text)
}

// Client speaks for one candidate.
type Client struct {
	Base  string // http://host:port, "" in a page from the server itself
	Token string
	HTTP  *http.Client // nil: http.DefaultClient
}

// Status returns what is known of the candidate's own paper.
func (c Client) Status(ctx context.Context) (Status, error) {
	var s Status
	return s, c.ask(ctx, http.MethodGet, "status", nil, &s)
}

// Packet returns the candidate's packet.
func (c Client) Packet(ctx context.Context) ([]byte, error) {
	return c.send(ctx, http.MethodGet, "packet", nil)
}

// Append sends lines of the log.
func (c Client) Append(ctx context.Context, attempt string, a Append) error {
	text, err := json.Marshal(a)
	if err != nil {
		return err
	}
	_, err = c.send(ctx, http.MethodPost, "log/"+url.PathEscape(attempt), text)
	return err
}

// Log returns what was kept of an attempt.
func (c Client) Log(ctx context.Context, attempt string) (Append, error) {
	var a Append
	return a, c.ask(ctx, http.MethodGet, "log/"+url.PathEscape(attempt), nil, &a)
}

// Submit hands an export in. After an error it may be called again with the same bytes.
func (c Client) Submit(ctx context.Context, attempt string, export []byte) (Receipt, error) {
	var r Receipt
	return r, c.ask(ctx, http.MethodPost, "submit/"+url.PathEscape(attempt), export, &r)
}

// Comments returns what instructors say about the candidate's own sittings, CSV of package comment.
func (c Client) Comments(ctx context.Context) ([]byte, error) {
	return c.send(ctx, http.MethodGet, "comments", nil)
}

// Practise sends a practice record.
func (c Client) Practise(ctx context.Context, record []byte) error {
	_, err := c.send(ctx, http.MethodPost, "practice", record)
	return err
}

func (c Client) ask(ctx context.Context, method, path string, body []byte, into any) error {
	text, err := c.send(ctx, method, path, body)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(text, into); err != nil {
		return fmt.Errorf("the class server's answer: %w", err)
	}
	return nil
}

func (c Client) send(ctx context.Context, method, path string, body []byte) (text []byte, err error) {
	request, err := http.NewRequestWithContext(ctx, method, c.Base+"/api/"+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	request.Header.Set("Authorization", "Bearer "+c.Token)
	client := c.HTTP
	if client == nil {
		client = http.DefaultClient
	}
	answer, err := client.Do(request)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, answer.Body.Close()) }()
	text, err = io.ReadAll(io.LimitReader(answer.Body, answerLimit+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the class server's answer broke off: %w", err)
	case len(text) > answerLimit:
		return nil, fmt.Errorf("the class server's answer is longer than %d MB", answerLimit>>20)
	}
	if answer.StatusCode >= 300 {
		return nil, &Error{answer.StatusCode, strings.TrimSpace(string(text))}
	}
	return text, nil
}
