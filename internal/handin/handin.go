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
// requests (try again later), 507 no room, nothing kept. In the page, which asks
// through the browser, the package has no Client and so none of the weight of net/http. Begin reading at Step.
package handin

import (
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
)

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
