//go:build !js

package handin

import (
	"bytes"
	"context"
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

// Step asks one thing of a sitting that is stepped on the server. After an error it may be asked again.
func (c Client) Step(ctx context.Context, attempt string, step Step) (Seen, error) {
	var seen Seen
	text, err := json.Marshal(step)
	if err != nil {
		return seen, err
	}
	err = c.ask(ctx, http.MethodPost, "step/"+url.PathEscape(attempt), text, &seen)
	return seen, err
}
