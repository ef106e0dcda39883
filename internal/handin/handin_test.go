package handin_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"tugback/internal/handin"
)

// said is a request that a server has heard.
type said struct{ method, path, token, body string }

// listening is a server that answers all alike and keeps what it hears.
func listening(t *testing.T, status int, answer string) (handin.Client, *[]said) {
	t.Helper()
	var heard []said
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Error(err)
		}
		heard = append(heard, said{r.Method, r.URL.EscapedPath(), r.Header.Get("Authorization"), string(body)})
		w.WriteHeader(status)
		io.WriteString(w, answer)
	}))
	t.Cleanup(server.Close)
	return handin.Client{Base: server.URL, Token: "my-token"}, &heard
}

// TestClientAsks holds what goes over the wire for each call, the name of an attempt escaped, so that no name
// leads to another address.
func TestClientAsks(t *testing.T) {
	c, heard := listening(t, http.StatusOK, `{"attempt":"a"}`)
	ctx := t.Context()
	_, err1 := c.Status(ctx)
	packet, err2 := c.Packet(ctx)
	err3 := c.Append(ctx, "a/../b?x", handin.Append{From: 2, Lines: []string{"l"}, Step: "open", LeftS: -1})
	_, err4 := c.Log(ctx, "a")
	receipt, err5 := c.Submit(ctx, "a", []byte("export\x00"))
	err6 := c.Practise(ctx, []byte("record"))
	if err := errors.Join(err1, err2, err3, err4, err5, err6); err != nil {
		t.Fatal(err)
	}
	want := []said{
		{"GET", "/api/status", "Bearer my-token", ""},
		{"GET", "/api/packet", "Bearer my-token", ""},
		{"POST", "/api/log/a%2F..%2Fb%3Fx", "Bearer my-token", `{"from":2,"lines":["l"],"step":"open","left_s":-1}`},
		{"GET", "/api/log/a", "Bearer my-token", ""},
		{"POST", "/api/submit/a", "Bearer my-token", "export\x00"},
		{"POST", "/api/practice", "Bearer my-token", "record"},
	}
	if !slices.Equal(*heard, want) {
		t.Errorf("got %q, want %q", *heard, want)
	}
	if string(packet) != `{"attempt":"a"}` || receipt.Attempt != "a" {
		t.Errorf("got packet %s, receipt %+v", packet, receipt)
	}
}

// TestClientHears holds what the client makes of answers that are refusals, no JSON, broken off, or never
// come.
func TestClientHears(t *testing.T) {
	c, _ := listening(t, http.StatusInsufficientStorage, "no room left\n")
	var refused *handin.Error
	if _, err := c.Submit(t.Context(), "a", []byte("x")); !errors.As(err, &refused) || refused.Status != 507 ||
		err.Error() != "the class server refused (507): no room left" {
		t.Errorf("refusal: got %v", err)
	}
	c, _ = listening(t, http.StatusOK, "<html>a page of another server</html>")
	if _, err := c.Status(t.Context()); err == nil || !strings.Contains(err.Error(), "the class server's answer: ") {
		t.Errorf("no JSON: got %v", err)
	}
	half := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Length", "100")
		io.WriteString(w, "half")
	}))
	defer half.Close()
	if packet, err := (handin.Client{Base: half.URL}).Packet(t.Context()); err == nil || !strings.Contains(err.Error(), "broke off") {
		t.Errorf("broken off: got %q, %v", packet, err)
	}
	half.Close()
	if _, err := (handin.Client{Base: half.URL}).Packet(t.Context()); err == nil {
		t.Error("nobody there: no error")
	}
	release := make(chan struct{})
	slow := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { <-release }))
	defer slow.Close()
	defer close(release)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if err := (handin.Client{Base: slow.URL}).Practise(ctx, nil); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("no answer in time: got %v", err)
	}
	endless := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		for block := make([]byte, 1<<20); ; {
			if _, err := w.Write(block); err != nil {
				return
			}
		}
	}))
	defer endless.Close()
	if _, err := (handin.Client{Base: endless.URL}).Packet(t.Context()); err == nil || !strings.Contains(err.Error(), "longer than 64 MB") {
		t.Errorf("endless: got %v", err)
	}
}

// TestReceiptCheck holds that a receipt stands by its key alone and falls with any change.
func TestReceiptCheck(t *testing.T) {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	key := hex.EncodeToString(private.Public().(ed25519.PublicKey))
	r := handin.Receipt{Paper: "p", Candidate: "ann", Attempt: "one", Digest: "d", Received: 1500, Key: key}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	r.Signature = hex.EncodeToString(ed25519.Sign(private, text))
	if err := r.Check(key); err != nil {
		t.Fatal(err)
	}
	other := hex.EncodeToString(bytes.Repeat([]byte{9}, ed25519.PublicKeySize))
	for what, change := range map[string]func(*handin.Receipt){
		"paper":         func(r *handin.Receipt) { r.Paper = "q" },
		"candidate":     func(r *handin.Receipt) { r.Candidate = "bo" },
		"attempt":       func(r *handin.Receipt) { r.Attempt = "two" },
		"digest":        func(r *handin.Receipt) { r.Digest = "e" },
		"time":          func(r *handin.Receipt) { r.Received-- },
		"late":          func(r *handin.Receipt) { r.Late = true },
		"another key":   func(r *handin.Receipt) { r.Key = other },
		"no signature":  func(r *handin.Receipt) { r.Signature = "" },
		"cut signature": func(r *handin.Receipt) { r.Signature = r.Signature[:60] },
		"no hex":        func(r *handin.Receipt) { r.Signature = "ü" + r.Signature[2:] },
	} {
		changed := r
		change(&changed)
		if changed.Check(key) == nil {
			t.Errorf("%s changed: the receipt stands", what)
		}
	}
	for _, wrong := range []string{"", "zz", other, key[:20]} {
		if r.Check(wrong) == nil {
			t.Errorf("key %q: the receipt stands", wrong)
		}
	}
}
